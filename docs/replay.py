"""Plays the commands of the pages again and keeps the outputs that they show.

    python docs/replay.py           say which shown outputs differ from today's
    python docs/replay.py --write   put today's outputs into the pages

A `toml` or `csv` block that begins with `# PATH` is written to PATH; with `# PATH, at the end` it is added to
that file. In a `sh` block every `linewright ...` line is run; a comment `# exit code N` says how it
ends. A `text` block right after a `sh` block shows what its last command prints.
"""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
HOW_TO = sorted((ROOT / "docs" / "how-to").glob("*.md"))
PAGES = ("README.md", "docs/tutorial.md", *(page.relative_to(ROOT).as_posix() for page in HOW_TO))
FENCE = re.compile(r"^```(sh|toml|csv|text)\n(.*?)^```$", re.DOTALL | re.MULTILINE)
KEPT = re.compile(r"\d{8}T\d{6}Z-[0-9a-f]{8}")
START = "python3 scripts/start.py"
DEMO = "linewright demo --into demo-study"
SETUP = (START, "python3 scripts/check.py")


@dataclass(frozen=True)
class Shown:
    """A text block of a page: where it stands, what it shows, what the command prints now."""

    start: int
    end: int
    shown: str
    now: str

    @property
    def differs(self) -> bool:
        """Whether they differ in more than the name of the kept result."""
        return KEPT.sub("KEPT", self.shown) != KEPT.sub("KEPT", self.now)


def play(page: str, folder: Path, with_demo: bool = True) -> list[Shown]:
    """Run a page's blocks in a folder, in order. Raises AssertionError where a command ends otherwise."""
    found: list[Shown] = []
    printed: str | None = None
    for match in FENCE.finditer(page):
        kind, body = match.groups()
        if kind in ("toml", "csv"):
            _write(body, folder)
        elif kind == "sh":
            printed = _run_block(body, folder, with_demo)
        elif printed is not None:
            found.append(Shown(match.start(2), match.end(2), body, printed))
            printed = None
    return found


def _write(body: str, folder: Path) -> None:
    match = re.match(r"# (\S+\.(?:toml|csv))(, at the end)?\n", body)
    if not match:
        return
    path = folder / match.group(1)
    rest = body if path.suffix == ".toml" else body[match.end() :]  # lines of a TOML file count as the page shows them
    path.parent.mkdir(parents=True, exist_ok=True)
    before = path.read_text(encoding="utf-8") + "\n" if match.group(2) else ""
    path.write_text(before + rest, encoding="utf-8")


def _run_block(body: str, folder: Path, with_demo: bool) -> str | None:
    printed = None
    for line in filter(None, map(str.strip, body.splitlines())):
        command, _, comment = line.partition("#")
        command = command.strip()
        if command in SETUP:
            assert (ROOT / command.split()[1]).exists(), command
            command = DEMO if command == START and with_demo else ""
        if command:
            printed = _run(command, folder, _exit_code(comment))
    return printed


def _exit_code(comment: str) -> int:
    match = re.search(r"exit code (\d)", comment)
    return int(match.group(1)) if match else 0


def _run(command: str, folder: Path, expected: int) -> str:
    program, *words = shlex.split(command)
    assert program == "linewright", f"a page may only run linewright, not: {command}"
    call = [sys.executable, "-m", "linewright.cli", *words]
    done = subprocess.run(
        call, cwd=folder, stdin=subprocess.DEVNULL, capture_output=True, encoding="utf-8", timeout=300
    )
    assert done.returncode == expected, f"{command}: exit code {done.returncode}\n{done.stderr}"
    return done.stdout or done.stderr


def main(arguments: list[str]) -> int:
    """Compare, or write with --write; exit code 1 if a page differs."""
    stale = 0
    for name in PAGES:
        path = ROOT / name
        page = path.read_text(encoding="utf-8")
        with tempfile.TemporaryDirectory() as folder:
            found = play(page, Path(folder))
        for item in reversed([item for item in found if item.differs]):
            stale += 1
            print(f"{name}: an output differs: {item.now.splitlines()[0][:70]}")
            page = page[: item.start] + item.now + page[item.end :]
        if "--write" in arguments:
            path.write_text(page, encoding="utf-8", newline="\n")
    return 1 if stale and "--write" not in arguments else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
