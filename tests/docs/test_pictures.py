"""Pictures of the how-to pages: each is shown, and is what the page's own study gives today, but for its numbers."""

import re
import sys
from pathlib import Path

import pytest
from PIL import Image

from linewright.services.depth import depth_of, needs_depth
from linewright.services.figures import pictures, running_pictures
from linewright.services.running import run_running

DOCS = Path(__file__).resolve().parents[2] / "docs"
sys.path.insert(0, str(DOCS / "pictures"))

import how_to  # noqa: E402


def study(page: str, name: str, folder: Path) -> Path:
    """The study that a page shows, written to a folder."""
    text = (DOCS / "how-to" / page).read_text(encoding="utf-8")
    (block,) = re.findall(rf"```toml\n(# {re.escape(name)}\n.*?)```", text, re.DOTALL)
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(block, encoding="utf-8")
    return path


def shape(title: str) -> str:
    """A title without its figures, which the physics may move a little."""
    return re.sub(r"[\d.]+", "#", title)


@pytest.mark.parametrize("page", how_to.PAGES)
def test_page_when_read_shows_every_picture_and_no_other(page: str) -> None:
    _, first, names = how_to.PAGES[page]
    shown = re.findall(r"!\[[^\]]+\]\(\.\./pictures/([^)]+)\)", (DOCS / "how-to" / page).read_text(encoding="utf-8"))
    assert sorted(shown) == sorted(f"{first}-{name}.png" for name in names)
    for name in shown:
        with Image.open(DOCS / "pictures" / name) as picture:
            assert picture.width == how_to.WIDE
        assert (DOCS / "pictures" / name).stat().st_size < 150_000


@pytest.mark.slow
@pytest.mark.parametrize("page", how_to.PAGES)
def test_pictures_when_drawn_today_say_the_same(page: str, tmp_path: Path) -> None:
    _, first, names = how_to.PAGES[page]
    if first == "heat":
        found = pictures(needs_depth(depth_of(study(page, "my-study/case.toml", tmp_path).parent)))
    else:
        found = running_pictures(run_running(study(page, "dry.toml", tmp_path)))
    assert set(names) == set(found)
    for name, figure in found.items():
        with Image.open(DOCS / "pictures" / f"{first}-{name}.png") as picture:
            assert shape(picture.text["Title"]) == shape(figure.get_label())  # type: ignore[attr-defined]
