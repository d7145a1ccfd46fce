"""Set linewright up for checking and run every check a commit must pass.

    python3 scripts/check.py          everything
    python3 scripts/check.py --fast   without the tests marked slow

Every check runs even if an earlier one fails; the exit code is 0 only if all pass.
Works from any folder. The build server runs exactly this.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from pathlib import Path
from typing import List, NamedTuple, Optional, Sequence

import setup


class Check(NamedTuple):
    """One check: its name, why it exists, its command."""

    name: str
    reason: str
    command: List[str]


class Outcome(NamedTuple):
    """How one check ended."""

    name: str
    code: int
    seconds: float


def checks(root: Path, fast: bool) -> List[Check]:
    """The checks in the order they run: cheapest first, the tests' closing line last."""
    python = str(setup.environment_program(root, "python"))
    validate = [str(setup.environment_program(root, "linewright")), "validate"]
    tests = [python, "-m", "pytest", "-n", "2"] + (["-m", "not slow"] if fast else [])
    return [
        Check("layout", "one layout, so that a change shows only what changed",
              [python, "-m", "ruff", "format", "--check", "."]),
        Check("lint", "slips a reader would have to catch", [python, "-m", "ruff", "check", "."]),
        Check("types", "what goes in and comes out is what the names say", [python, "-m", "mypy"]),
        Check("validation", "the numbers still agree with the published ones", validate),
        Check("tests", "the code does what the documentation says", tests),
    ]  # fmt: skip


def run(check: Check, run_command: setup.Runner = setup.call) -> Outcome:
    """Run one check and say why it exists."""
    setup.say("\n== {}: {}".format(check.name, check.reason))
    begin = time.monotonic()
    code = run_command(check.command)
    return Outcome(check.name, code, time.monotonic() - begin)


def summary(outcomes: Sequence[Outcome]) -> str:
    """One line per check and the verdict."""
    lines = [
        "  {:<11}{:<8}{:6.1f} s".format(done.name, "ok" if done.code == 0 else "FAILED", done.seconds)
        for done in outcomes
    ]
    failed = [done.name for done in outcomes if done.code != 0]
    verdict = "Failed: {}.".format(", ".join(failed)) if failed else "All checks passed."
    return "\n".join(["", *lines, verdict])


def main(arguments: Optional[Sequence[str]] = None) -> int:
    """Set up, run all checks, report."""
    setup.require_python()
    parser = argparse.ArgumentParser(description="Run every check a commit must pass.")
    parser.add_argument("--fast", action="store_true", help="leave out the tests marked slow")
    fast = parser.parse_args(arguments).fast
    setup.prepare_or_exit(with_test=True)
    os.chdir(setup.ROOT)
    outcomes = [run(check) for check in checks(setup.ROOT, fast)]
    setup.say(summary(outcomes))
    return 1 if any(done.code != 0 for done in outcomes) else 0


if __name__ == "__main__":
    sys.exit(main())
