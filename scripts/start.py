"""Set linewright up and run its demonstration study.

    python3 scripts/start.py             set up, then 'linewright demo --into demo-study'
    python3 scripts/start.py [OPTIONS]   further options go to 'linewright demo'

Works from any folder. Without a network run scripts/setup.py --from FOLDER first.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import List, Sequence

import setup


def shown_path(path: Path, folder: Path) -> str:
    """The path as the user would type it from a folder: short if it lies inside."""
    inside = folder == path.parent or folder in path.parents
    return os.path.relpath(str(path), str(folder)) if inside else str(path)


def demo_command(root: Path, folder: Path, extra: Sequence[str]) -> List[str]:
    """The demonstration's command line; a target folder given by the user wins."""
    command = [str(setup.environment_program(root, "linewright")), "demo"]
    if not any(word == "--into" or word.startswith("--into=") for word in extra):
        command += ["--into", shown_path(root / "demo-study", folder)]
    return command + list(extra)


def main(extra: Sequence[str]) -> int:
    """Set up, then run the demonstration."""
    if any(word in ("-h", "--help") for word in extra):
        setup.say((__doc__ or "").strip())
        return 0
    setup.prepare_or_exit()
    command = demo_command(setup.ROOT, Path.cwd(), extra)
    setup.say("Running: linewright {}".format(" ".join(command[1:])))
    return setup.call(command)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
