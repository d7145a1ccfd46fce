"""What is written is whole or not there, and a failure leaves nothing behind."""

import errno
import os
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from linewright.base.errors import StorageError
from linewright.services.store import try_folder, write_folder, write_whole

FULL = OSError(errno.ENOSPC, "No space left on device")


def everything(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*"))


def fail(*_: object, **__: object) -> None:
    raise FULL


def fail_second() -> object:
    calls = []
    real = os.fsync

    def sync(handle: int) -> None:
        calls.append(handle)
        if len(calls) > 1:
            raise FULL
        real(handle)

    return sync


def test_file_when_written_replaces_the_old_one(tmp_path: Path) -> None:
    write_whole(tmp_path / "a", b"old")
    write_whole(tmp_path / "a", b"new")

    assert (tmp_path / "a").read_bytes() == b"new"
    assert everything(tmp_path) == ["a"]


def test_file_when_the_disk_is_full_stays_the_old_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_whole(tmp_path / "a", b"old")
    monkeypatch.setattr(os, "fsync", fail)

    with pytest.raises(StorageError) as caught:
        write_whole(tmp_path / "a", b"new")

    assert caught.value.exit_code == 5
    assert "free some space; nothing was changed" in caught.value.render()
    assert (tmp_path / "a").read_bytes() == b"old"
    assert everything(tmp_path) == ["a"]


def test_file_when_it_fails_takes_back_the_folders_it_made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "fsync", fail)

    with pytest.raises(StorageError):
        write_whole(tmp_path / "b" / "c" / "a", b"new")

    assert everything(tmp_path) == []


def test_file_when_interrupted_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", stop)

    with pytest.raises(KeyboardInterrupt):
        write_whole(tmp_path / "a", b"new")

    assert everything(tmp_path) == []


def test_file_when_its_folder_is_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "f").write_text("x")

    with pytest.raises(StorageError, match="choose another folder"):
        write_whole(tmp_path / "f" / "a", b"new")

    assert (tmp_path / "f").read_text() == "x"


def test_name_when_too_long_for_the_disk_is_refused(tmp_path: Path) -> None:
    with pytest.raises(StorageError):
        write_whole(tmp_path / "b" / ("x" * 300) / "a", b"new")

    assert everything(tmp_path) == []


def test_folder_when_written_holds_all_its_files(tmp_path: Path) -> None:
    kept = write_folder(tmp_path / "results" / "one", {"a": b"1", "b": b"2"})

    assert kept == tmp_path / "results" / "one"
    assert everything(tmp_path) == ["results", "results/one", "results/one/a", "results/one/b"]


def test_folder_when_its_name_is_taken_gets_a_number(tmp_path: Path) -> None:
    names = [write_folder(tmp_path / "one", {"a": text}).name for text in (b"1", b"2", b"3")]

    assert names == ["one", "one-2", "one-3"]
    assert (tmp_path / "one" / "a").read_bytes() == b"1"


def test_folder_when_its_second_file_fails_is_not_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_folder(tmp_path / "results" / "one", {"a": b"1"})
    before = everything(tmp_path)
    monkeypatch.setattr(os, "fsync", fail_second())

    with pytest.raises(StorageError):
        write_folder(tmp_path / "results" / "two", {"a": b"1", "b": b"2"})

    assert everything(tmp_path) == before


@pytest.mark.skipif(os.name == "nt", reason="Windows has no umask")
def test_file_when_the_user_shares_nothing_is_private(tmp_path: Path) -> None:
    old = os.umask(0o077)
    try:
        write_whole(tmp_path / "a", b"new")
    finally:
        os.umask(old)

    assert (tmp_path / "a").stat().st_mode & 0o077 == 0


def test_folder_when_a_run_was_killed_long_ago_takes_its_remains_away(tmp_path: Path) -> None:
    killed, running, own = (tmp_path / name for name in (".one.0a1b2c3d", ".two.0a1b2c3d", ".mine"))
    for path in (killed, running, own):
        path.mkdir()
        (path / "a").write_bytes(b"1")
    for path in (killed, own):
        os.utime(path, (0, 0))

    write_folder(tmp_path / "three", {"a": b"1"})

    assert sorted(path.name for path in tmp_path.iterdir()) == [".mine", ".two.0a1b2c3d", "three"]


def test_place_when_tried_is_left_as_it_was(tmp_path: Path) -> None:
    try_folder(tmp_path / "results" / "one")

    assert everything(tmp_path) == []


def test_place_when_it_cannot_be_written_is_refused_before_the_work(tmp_path: Path) -> None:
    (tmp_path / "results").write_text("x")

    with pytest.raises(StorageError, match="choose another folder"):
        try_folder(tmp_path / "results" / "one")


def test_place_when_two_runs_try_it_then_neither_takes_it_from_the_other(tmp_path: Path) -> None:
    def often(name: int) -> None:
        for _ in range(50):
            try_folder(tmp_path / "results" / str(name))

    with ThreadPoolExecutor(4) as threads:
        list(threads.map(often, range(4)))
    assert everything(tmp_path) == []
