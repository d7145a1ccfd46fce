"""Jobs: what is finished counts, whatever stopped the rest; the answer is always the one of a plain run."""

import errno
import hashlib
import io
import multiprocessing
import os
import subprocess
import sys
import threading
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from linewright.assessment import line as line_stage
from linewright.base.errors import Cancelled, InputError, StorageError
from linewright.services import blocks, jobs
from linewright.services.assess import assess_study
from linewright.services.blocks import Progress
from linewright.services.jobs import Request, run_job

CASE = """
format = 1
title = "One berth"
ship.design_break_load = "900 kN"
spread.samples = 1024
[[line]]
name = "springs"
rope = "hmpe-standard-12-strand"
inboard_length = "10 m"
outboard_length = "35 m"
contact = [{ card = "closed-chock", bend_radius = "200 mm", wrap = "50 deg" }]
[[berth]]
name = "Swell berth"
climate = "swell-coast-monthly"
calls_per_year = 25
hours_per_call = "36 h"
[[berth.state]]
name = "swell"
share = "100 %"
tension.springs = { mean = "20 %LDBF", amplitude = "6.5 %LDBF", amplitude_kind = "significant", period = "13 s" }
[[compare]]
rope = "hmpe-low-creep-12-strand"
"""
BLOCKS = 4 + 4 + 2  # the rope on board, the other one, and the other one with laws of its own
KILLED = """
import os, sys
from pathlib import Path
from linewright.services.jobs import Request, run_job
run_job(Request(Path(sys.argv[1])), lambda progress: os._exit(9) if progress.done == 3 else None)
"""


@pytest.fixture
def study(tmp_path: Path) -> Path:
    (tmp_path / "case.toml").write_text(CASE, "utf-8")
    return tmp_path


@pytest.fixture(scope="module")
def expected(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("plain")
    (folder / "case.toml").write_text(CASE, "utf-8")
    return digest(assess_study(folder, keep=False))


def digest(result: dict[str, Any]) -> str:
    return str(result["stamp"]["digest"])


def kept(study: Path) -> list[Path]:
    return sorted((study / jobs.FOLDER).rglob("*.block"))


def stop_after(study: Path, done: int) -> None:
    """Run a job and stop it by its file."""
    request = Request(study)
    with pytest.raises(Cancelled):
        run_job(request, lambda progress: jobs.cancel(request) if progress.done == done else None)  # type: ignore[arg-type, func-returns-value]


@pytest.fixture
def computed(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Grows by one for every block that is really computed."""
    counted: list[int] = []
    real = line_stage._assess_rows

    def counting(*arguments: Any) -> Any:
        counted.append(1)
        return real(*arguments)

    monkeypatch.setattr(line_stage, "_assess_rows", counting)
    return counted


@pytest.mark.parametrize("process", [False, True], ids=["here", "worker"])
def test_job_when_it_runs_through_answers_as_a_plain_run_and_tells_its_way(
    study: Path, expected: str, process: bool
) -> None:
    seen: list[Progress] = []

    result = run_job(Request(study), seen.append, process=process)

    assert digest(result) == expected
    assert [progress.done for progress in seen] == list(range(1, BLOCKS + 1))
    assert {progress.total for progress in seen} == {BLOCKS}
    assert (seen[-1].share, seen[-1].seconds_left) == (1.0, 0.0)
    assert Path(result["kept"]).is_dir()
    assert not (study / jobs.FOLDER).exists()


def test_job_when_killed_in_the_middle_goes_on_with_what_is_finished(
    study: Path, expected: str, computed: list[int]
) -> None:
    dead = subprocess.run([sys.executable, "-c", KILLED, str(study)], capture_output=True, check=False)
    assert dead.returncode == 9, dead.stderr
    finished = len(kept(study))
    assert 3 <= finished < BLOCKS

    assert digest(run_job(Request(study))) == expected
    assert len(computed) == BLOCKS - finished
    assert not (study / jobs.FOLDER).exists()


def test_job_when_cancelled_stops_between_blocks_and_keeps_them(study: Path, expected: str) -> None:
    request = Request(study)
    seen: list[Progress] = []

    def tell(progress: Progress) -> None:
        seen.append(progress)
        if progress.done == 2:
            assert jobs.cancel(request)

    with pytest.raises(Cancelled, match="goes on from there") as ended:
        run_job(request, tell)

    assert ended.value.exit_code == 130
    assert len(seen) < BLOCKS
    assert len(kept(study)) >= 2
    assert not (study / "results").exists()
    assert digest(run_job(Request(study))) == expected


def test_worker_when_cancelled_ends_the_job(study: Path) -> None:
    request = Request(study)
    with pytest.raises(Cancelled):
        run_job(request, lambda progress: jobs.cancel(request) and None, process=True)

    assert not (study / "results").exists()


def test_cancel_when_there_is_no_such_job_says_so(study: Path) -> None:
    assert not jobs.cancel(Request(study))


def damaged(path: Path, how: str) -> None:
    content = path.read_bytes()
    if how == "cut":
        path.write_bytes(content[: len(content) // 2])
    elif how == "a bit":
        middle = len(content) // 2
        path.write_bytes(content[:middle] + bytes([content[middle] ^ 1]) + content[middle + 1 :])
    elif how == "empty":
        path.write_bytes(b"")
    else:
        stream = io.BytesIO()
        np.savez(stream, core=np.zeros(3))
        path.write_bytes(hashlib.sha256(stream.getvalue()).digest() + stream.getvalue())


@pytest.mark.parametrize("how", ["cut", "a bit", "empty", "other arrays"])
def test_block_when_its_file_is_damaged_is_computed_again(
    study: Path, expected: str, computed: list[int], how: str
) -> None:
    stop_after(study, 3)
    whole = len(kept(study))
    damaged(kept(study)[0], how)
    computed.clear()

    assert digest(run_job(Request(study))) == expected
    assert len(computed) == BLOCKS - whole + 1


def test_blocks_when_the_case_has_changed_are_not_taken_over(study: Path, expected: str, computed: list[int]) -> None:
    stop_after(study, 5)
    (study / "case.toml").write_text(CASE.replace("200 mm", "210 mm"), "utf-8")
    computed.clear()

    changed = digest(run_job(Request(study)))

    assert len(computed) == BLOCKS
    assert changed != expected
    assert changed == digest(assess_study(study, keep=False))


def test_jobs_when_two_run_at_once_do_not_mix(study: Path, expected: str, computed: list[int]) -> None:
    answers: list[str] = []
    both = threading.Barrier(2)

    def one() -> None:
        seen: list[Progress] = []

        def tell(progress: Progress) -> None:
            seen.append(progress)
            if progress.done == 1:
                both.wait(30)

        answers.append(digest(run_job(Request(study), tell)))
        assert [progress.done for progress in seen] == list(range(1, BLOCKS + 1))

    threads = [threading.Thread(target=one) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert answers == [expected, expected]
    assert len(computed) == 2 * BLOCKS
    assert len(list((study / "results").iterdir())) == 2
    assert not (study / jobs.FOLDER).exists()


def test_job_when_the_case_is_wrong_raises_the_same_from_a_worker_and_leaves_nothing(study: Path) -> None:
    (study / "case.toml").write_text(CASE.replace('"36 h"', "36"), "utf-8")
    with pytest.raises(InputError) as here:
        run_job(Request(study))
    with pytest.raises(InputError) as there:
        run_job(Request(study), process=True)

    assert there.value.render() == here.value.render()
    assert "hours_per_call" in here.value.render()
    assert not (study / jobs.FOLDER).exists()


def test_job_when_the_disk_is_full_at_its_start_leaves_no_folder(study: Path, monkeypatch) -> None:
    def no_space(path: Path, *_: object, **__: object) -> None:
        raise jobs.refused(path, OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)))

    monkeypatch.setattr(jobs, "write_whole", no_space)
    with pytest.raises(StorageError, match="No space"):
        run_job(Request(study))
    assert not (study / jobs.FOLDER).exists()


def test_job_when_its_lock_cannot_be_made_leaves_no_folder(study: Path, monkeypatch) -> None:
    monkeypatch.setattr(jobs, "LOCK", "no-such-folder/lock")
    with pytest.raises(StorageError, match="No such file"):
        run_job(Request(study))
    assert not (study / jobs.FOLDER).exists()


def test_job_when_nothing_is_to_be_kept_writes_nothing(study: Path, expected: str) -> None:
    seen: list[Progress] = []

    assert digest(run_job(Request(study, keep=False), seen.append)) == expected
    assert len(seen) == BLOCKS
    assert [path.name for path in study.iterdir()] == ["case.toml"]


def test_job_when_no_block_can_be_kept_still_answers(
    study: Path, expected: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: Any, **__: Any) -> None:
        raise StorageError("full")

    monkeypatch.setattr(blocks, "write_whole", full)

    assert digest(run_job(Request(study))) == expected


def test_block_when_kept_comes_back_bit_by_bit(study: Path, tmp_path: Path) -> None:
    stop_after(study, 1)
    path = kept(study)[0]
    block = blocks.read_block(path)
    assert block is not None

    blocks.keep_block(tmp_path / "again.block", block)
    again = blocks.read_block(tmp_path / "again.block")

    assert again is not None
    assert again.asked == block.asked
    assert {type(again.is_bounded), type(block.is_bounded)} == {bool}
    for name, values in blocks.arrays_of(block).items():
        assert np.array_equal(blocks.arrays_of(again)[name], values), name


@pytest.mark.slow
def test_assessment_when_blocks_run_in_processes_gives_the_same_digest(study: Path, expected: str) -> None:
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        assert digest(assess_study(study, keep=False, executor=pool)) == expected


def test_name_of_a_block_when_any_part_changes_is_another() -> None:
    base = {"a": np.arange(3.0), "b": (1.0, "x"), "c": frozenset({"p", "q"})}
    others = [
        {**base, "a": np.array([0.0, 1.0, 2.0000001])},
        {**base, "a": np.arange(3)},
        {**base, "a": np.arange(3.0).reshape(3, 1)},
        {**base, "b": (1.0, "y")},
        {**base, "c": frozenset({"p"})},
        {key: base[key] for key in "ab"},
    ]
    names = {blocks.block_name([value], {}) for value in (base, *others)}

    assert len(names) == 1 + len(others)
    assert blocks.block_name([dict(reversed(base.items()))], {}) == blocks.block_name([base], {})


def test_block_when_a_folder_has_its_name_or_a_byte_flipped_is_made_again(study: Path, tmp_path: Path) -> None:
    stop_after(study, 1)
    block = blocks.read_block(kept(study)[0])
    assert block is not None
    path = tmp_path / "one.block"
    path.mkdir()
    (path / "x").touch()
    blocks.keep_block(path, block)
    assert blocks.read_block(path) is None

    path = tmp_path / "two.block"
    blocks.keep_block(path, block)
    whole = bytearray(path.read_bytes())
    whole[len(whole) // 2] ^= 1
    path.write_bytes(whole)
    assert blocks.read_block(path) is None
