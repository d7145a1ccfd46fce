"""Draws the pictures of the pages on temperatures and running ropes from the studies that the pages hold.

    python docs/pictures/how_to.py          draw them again

Each page is played in an empty folder (docs/replay.py); what its commands write with --pictures is kept beside this
file, smaller.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from PIL import Image
from PIL.PngImagePlugin import PngInfo

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))

import replay  # noqa: E402

WIDE = 1000  # pixels
PAGES = {  # page: folder that its command writes to, first word of the files kept, pictures
    "temperature.md": (
        "my-study/pictures",
        "heat",
        ("thermogram", "section", "lengthwise", "rises", "hours", "heat-up"),
    ),
    "running-rope.md": ("dry-result", "running", ("course", "marks")),
}


def smaller(source: Path, target: Path) -> None:
    """Keep a picture with fewer pixels and colours, and its title."""
    with Image.open(source) as picture:
        title = PngInfo()
        title.add_itxt("Title", picture.text["Title"])  # type: ignore[attr-defined]
        high = round(picture.height * WIDE / picture.width)
        small = picture.convert("RGB").resize((WIDE, high), Image.Resampling.LANCZOS)
        even = small.quantize(256, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE)
        even.save(target, pnginfo=title, optimize=True)


def main() -> None:
    """Draw all of them."""
    for page, (folder, first, names) in PAGES.items():
        with tempfile.TemporaryDirectory() as root:
            replay.play((HERE.parent / "how-to" / page).read_text(encoding="utf-8"), Path(root), with_demo=False)
            for name in names:
                smaller(Path(root) / folder / f"{name}.png", HERE / f"{first}-{name}.png")


if __name__ == "__main__":
    main()
