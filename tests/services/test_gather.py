"""Files of a study: read once, cached by digest, read again when they change."""

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from linewright.base.errors import InputError
from linewright.services.demo import write_demo
from linewright.services.gather import gather
from linewright.services.study import open_study


@pytest.fixture
def study(tmp_path: Path):
    write_demo(tmp_path / "study")
    return open_study(tmp_path / "study")


def test_gather_when_run_again_then_neither_pandas_nor_pvlib_is_imported(study) -> None:
    case, shelf = study.read()
    gather(study.root, case, shelf)

    script = (
        "import sys; from pathlib import Path\n"
        "from linewright.services.study import open_study; from linewright.services.gather import gather\n"
        "study = open_study(Path(sys.argv[1])); gather(study.root, *study.read())\n"
        "print([name for name in ('pandas', 'pvlib') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", script, str(study.root)], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"


def test_gather_when_the_record_changes_then_it_is_read_anew(study) -> None:
    case, shelf = study.read()
    before = gather(study.root, case, shelf).records["harbour-surge.csv"]
    log = study.root / "harbour-surge.csv"
    log.write_text(log.read_text().replace("s,kN", "s,tf"), encoding="utf-8")
    after = gather(study.root, case, shelf).records["harbour-surge.csv"]

    assert after.mean == pytest.approx(9.80665 * before.mean, rel=1e-9)
    assert len(list((study.root / "data").glob("*harbour-surge.npz"))) == 2


@pytest.mark.parametrize("damage", ["text", "cut", "empty", "flipped", "not finite"])
def test_gather_when_the_cache_is_broken_then_the_file_is_read(study, damage: str) -> None:
    case, shelf = study.read()
    before = gather(study.root, case, shelf)
    for kept in (study.root / "data").glob("*.npz"):
        whole = kept.read_bytes()
        middle = len(whole) // 2
        flipped = whole[:middle] + bytes([whole[middle] ^ 255]) + whole[middle + 1 :]
        ways = {"text": b"not a cache", "cut": whole[:middle], "empty": b"", "flipped": flipped}
        if damage in ways:
            kept.write_bytes(ways[damage])
        else:
            with np.load(kept) as stored:
                np.savez(kept, **{name: np.full_like(stored[name], np.nan) for name in stored.files})
    after = gather(study.root, case, shelf)

    assert after.records["harbour-surge.csv"].mean == before.records["harbour-surge.csv"].mean


def test_gather_when_the_record_is_absent_then_the_line_of_the_case_is_named(study) -> None:
    (study.root / "harbour-surge.csv").unlink()
    case, shelf = study.read()
    with pytest.raises(InputError, match=r"case\.toml:\d+: harbour-surge\.csv"):
        gather(study.root, case, shelf)
