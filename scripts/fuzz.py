"""Coverage-guided fuzzing of the file readers, where the fuzzer is installed: python scripts/fuzz.py [seconds] [kind].

Every input must end as an import whose report is valid JSON, or as a refusal in words; anything else stops the fuzzer
with the input that did it. `pip install atheris` brings the fuzzer; it is no part of the pinned environment.
"""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path

try:
    import atheris
except ImportError:
    sys.exit("the fuzzer is not installed: pip install atheris")

with atheris.instrument_imports():
    from linewright.base.errors import InputError
    from linewright.importers import recognise

SAMPLES = Path(__file__).resolve().parent.parent / "tests" / "importers" / "samples"


def main() -> None:
    """Fuzz for some seconds (default 60), with a kind or by content."""
    seconds = sys.argv[1] if len(sys.argv) > 1 else "60"
    kind = sys.argv[2] if len(sys.argv) > 2 else None
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "file.csv"
        seeds = Path(folder) / "seeds"
        seeds.mkdir()
        for sample in SAMPLES.iterdir():
            (seeds / sample.name).write_bytes(sample.read_bytes())

        def one(content: bytes) -> None:
            path.write_bytes(content)
            try:
                found = recognise.import_file(path, {}, kind)
            except InputError as error:
                error.render()
            else:
                json.dumps(found.report.as_dict(), allow_nan=False)

        options = [f"-max_total_time={seconds}", "-max_len=4000", "-timeout=20", "-rss_limit_mb=3000", str(seeds)]
        atheris.Setup([sys.argv[0], *options], one)
        atheris.Fuzz()


if __name__ == "__main__":
    main()
