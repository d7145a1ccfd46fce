"""Long work with progress, stop and resume: one folder STUDY/.jobs/NAME a job, and `run_job` for every front end.

    request.json     what was asked
    progress.jsonl   one line a finished block
    NAME.block       a finished block
    cancel           asks the job to stop before its next block
    outcome.json     how it ended, in a worker process

A job that ends, well or not, takes its folder away. One that is stopped or killed leaves it; the next run of the study
takes over the finished blocks that fit, and clears the rest.
"""

from __future__ import annotations

import contextlib
import json
import multiprocessing
import os
import secrets
import shutil
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, Any

from linewright.base import errors
from linewright.base.errors import Cancelled, LinewrightError, Problem, StorageError
from linewright.services.assess import assess_study
from linewright.services.blocks import CANCEL, REQUEST, BlockKeeper, Progress
from linewright.services.program import command
from linewright.services.store import refused, write_whole
from linewright.services.study import open_study

FOLDER = ".jobs"
LOCK = "lock"
PROGRESS = "progress.jsonl"
OUTCOME = "outcome.json"
LOOK_EVERY = 0.05
Told = Callable[[Progress], None]
KINDS = (errors.InputError, errors.CardError, errors.ModelError, errors.StorageError, Cancelled)


def new_name() -> str:
    """A name for a job: its time and a random end."""
    return f"{datetime.now(UTC):%Y%m%dT%H%M%SZ}-{secrets.token_hex(4)}"


@dataclass(frozen=True)
class Request:
    """What a job is to do: assess a study and, if asked, keep its result."""

    study: Path
    keep: bool = True
    name: str = field(default_factory=new_name)

    @property
    def folder(self) -> Path:
        """The job's folder."""
        return self.study / FOLDER / self.name


def run_job(request: Request, on_progress: Told | None = None, process: bool = False) -> dict[str, Any]:
    """Run a job to its result, here or in a worker process. Raises Cancelled when it is stopped.

    With keep=False and no worker nothing is written, so there is nothing to resume from either.
    """
    request = Request(open_study(request.study).root, request.keep, request.name)
    tell = on_progress or (lambda progress: None)
    if not request.keep and not process:
        return _assess(request, None, tell)
    with _job(request):
        return _in_worker(request, tell) if process else _assess(request, request.folder, tell)


def cancel(request: Request) -> bool:
    """Ask a job to stop before its next block. False where there is no such job."""
    with contextlib.suppress(OSError):
        (request.folder / CANCEL).touch()
        return True
    return False


def _assess(request: Request, folder: Path | None, tell: Told) -> dict[str, Any]:
    """Assess here, with a line of progress.jsonl a block."""
    last: list[Progress] = []

    def told(progress: Progress) -> None:
        last[:] = [progress]
        if folder is not None:
            with contextlib.suppress(OSError), (folder / PROGRESS).open("a", encoding="utf-8") as stream:
                stream.write(json.dumps(asdict(progress)) + "\n")
        tell(progress)

    keeper = BlockKeeper(folder, told)
    try:
        return assess_study(request.study, request.keep, keeper)
    except Cancelled:
        raise stopped(request, last[-1] if last else None) from None
    finally:
        keeper.shutdown(cancel_futures=True)


def stopped(request: Request, last: Progress | None) -> Cancelled:
    """The error of a run that was stopped, with how to go on."""
    study = request.study
    done = f"{last.done} of {last.total} blocks are done" if last else "no block is done"
    do = f"{command('run', study)} goes on from there" if request.keep else "run it again from the start"
    return Cancelled(f"The run of {study} was stopped.", [Problem(str(study), done, "the other blocks", do)])


# --- the folder -------------------------------------------------------------------------------------


@contextlib.contextmanager
def _job(request: Request) -> Iterator[None]:
    """A job's folder, locked, with the finished blocks of dead jobs; taken away when the job ends."""
    folder = request.folder
    with _locked(folder) as lock:
        row = {"study": str(request.study), "keep": request.keep, "name": request.name}
        try:
            write_whole(folder / REQUEST, json.dumps(row).encode())
            _gather(folder)
            yield
        except Cancelled:
            raise
        except LinewrightError:
            _end(folder, lock)
            raise
        _end(folder, lock)


def _locked(folder: Path) -> IO[bytes]:
    """Make a folder and take its lock. Raises StorageError, and then neither is there."""
    try:
        folder.mkdir(parents=True)
    except OSError as error:
        raise refused(folder, error) from None
    try:
        lock = (folder / LOCK).open("wb")
        _try_lock(lock)
    except OSError as error:
        _remove(folder)
        raise refused(folder, error) from None
    return lock


def _end(folder: Path, lock: IO[bytes]) -> None:
    """Take the folder away; the request goes first, so that nobody takes it for work to go on with."""
    (folder / REQUEST).unlink(missing_ok=True)
    lock.close()
    _remove(folder)


def _remove(folder: Path) -> None:
    """Take a job's folder away, and that of all jobs if it was the last."""
    shutil.rmtree(folder, ignore_errors=True)
    with contextlib.suppress(OSError):
        folder.parent.rmdir()


def _gather(folder: Path) -> None:
    """Move the blocks of dead jobs here and take their folders away: a living job holds its lock."""
    for other in sorted(folder.parent.iterdir()):
        if other == folder:
            continue
        with contextlib.suppress(OSError), (other / LOCK).open("r+b") as lock:
            if _try_lock(lock):
                for block in other.glob("*.block"):
                    os.replace(block, folder / block.name)
                _end(other, lock)


def _try_lock(stream: IO[bytes]) -> bool:
    """Take the lock of a file, held until it is closed or the process ends, however it ends."""
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(stream.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(stream, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


# --- the worker process -----------------------------------------------------------------------------


def _in_worker(request: Request, tell: Told) -> dict[str, Any]:
    """Start a worker, pass on its progress, return its outcome."""
    worker = multiprocessing.get_context("spawn").Process(target=work, args=(request,), daemon=True)
    worker.start()
    last: list[Progress] = []
    seen = 0
    try:
        while True:
            alive = worker.is_alive()
            seen, fresh = _news(request.folder / PROGRESS, seen)
            last += fresh
            for progress in fresh:
                tell(progress)
            if not alive:
                break
            time.sleep(LOOK_EVERY)
    except BaseException:
        cancel(request)
        raise
    finally:
        worker.join()
    return _outcome(request, last[-1] if last else None)


def _news(path: Path, seen: int) -> tuple[int, list[Progress]]:
    """Whole lines beyond what was seen."""
    try:
        with path.open("rb") as stream:
            stream.seek(seen)
            text = stream.read()
    except OSError:
        return seen, []
    whole = text[: text.rfind(b"\n") + 1]
    return seen + len(whole), [Progress(**json.loads(line)) for line in whole.splitlines()]


def _outcome(request: Request, last: Progress | None) -> dict[str, Any]:
    path = request.folder / OUTCOME
    if not path.exists():
        raise stopped(request, last)
    row = json.loads(path.read_text(encoding="utf-8"))
    path.unlink()
    if "error" in row:
        kind = next((kind for kind in KINDS if kind.__name__ == row["error"]), LinewrightError)
        raise kind(row["message"], [Problem(**problem) for problem in row["problems"]])
    return dict(row["result"])


def work(request: Request) -> None:
    """What the worker process does: assess, and write how it ended."""
    try:
        row: dict[str, Any] = {"result": _assess(request, request.folder, _parent_lives)}
    except LinewrightError as error:
        problems = [asdict(problem) for problem in error.problems]
        row = {"error": type(error).__name__, "message": error.message, "problems": problems}
    except KeyboardInterrupt:
        return
    with contextlib.suppress(StorageError):
        write_whole(request.folder / OUTCOME, json.dumps(row).encode())


def _parent_lives(_: Progress) -> None:
    """Stop where the process that asked is gone: nobody waits for the answer."""
    parent = multiprocessing.parent_process()
    if parent is not None and not parent.is_alive():
        raise Cancelled("The process that asked for this run has ended.")
