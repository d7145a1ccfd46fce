"""Make .venv in the project folder and install linewright with its pinned packages.

    python3 scripts/setup.py                 what linewright needs to run
    python3 scripts/setup.py --test          also what the checks need
    python3 scripts/setup.py --from FOLDER   install from wheels in FOLDER, without a network

Running it again is quick: nothing is done unless a requirement file, the project file, the
kernels, the folder or the Python version changed. Your own pip settings (index, proxy,
certificates) are honoured. Only the standard library is used, and the file is written so that
an old Python can still read it and print why it is too old.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import subprocess
import sys
import time
from pathlib import Path
from typing import Callable, Dict, List, NoReturn, Optional, Sequence, Tuple

ROOT = Path(__file__).resolve().parent.parent
OLDEST_PYTHON = (3, 11)
STAMP_NAME = "linewright-setup.json"
RUN_FILES = ("requirements/build.txt", "requirements/run.txt")
TEST_FILES = ("requirements/test.txt",)
ENVIRONMENT_KEYS = ("python", "folder")  # with another one of these, .venv is made anew
KERNELS = "src/linewright/physics/_kernels.py"
KERNELS_MODULE = "linewright.physics._kernels"

Runner = Callable[[Sequence[str]], int]


class SetupFailure(Exception):
    """A step of the setup failed: what happened, where, and what to do about it."""

    def __init__(self, what: str, where: str, remedy: str) -> None:
        super().__init__(what)
        self.what, self.where, self.remedy = what, where, remedy

    def __str__(self) -> str:
        return "Setup stopped.\n  What:  {}\n  Where: {}\n  Do:    {}".format(
            self.what, self.where, self.remedy.replace("\n", "\n         ")
        )


def say(text: str) -> None:
    """Print a line at once, so that it stays in order with what other programs print."""
    print(text, flush=True)


def old_python_message(version: Sequence[int], executable: str) -> Optional[str]:
    """Why this Python is too old, or None if it is not."""
    if tuple(version[:2]) >= OLDEST_PYTHON:
        return None
    needed = ".".join(str(part) for part in OLDEST_PYTHON)
    found = ".".join(str(part) for part in version[:3])
    return (
        "linewright needs Python {needed} or newer. This is Python {found} ({executable}).\n"
        "Install a newer Python and start this script with it, for example:\n"
        "  python{needed} scripts/start.py        (Linux, macOS)\n"
        "  py -{needed} scripts\\start.py          (Windows)"
    ).format(needed=needed, found=found, executable=executable)


def require_python() -> None:
    """Leave with a clear message if this Python is too old."""
    message = old_python_message(tuple(sys.version_info[:3]), sys.executable)
    if message:
        sys.exit(message)


def environment_program(root: Path, name: str, platform: str = sys.platform) -> Path:
    """Where a program of the project's own environment lies on this kind of machine."""
    if platform == "win32":
        return root / ".venv" / "Scripts" / (name + ".exe")
    return root / ".venv" / "bin" / name


def requirement_files(with_test: bool) -> Tuple[str, ...]:
    """The requirement files to install, relative to the project folder."""
    return RUN_FILES + TEST_FILES if with_test else RUN_FILES


def digest(path: Path) -> str:
    """SHA-256 of a file's text with plain line ends, or 'absent'."""
    if not path.exists():
        return "absent"
    return hashlib.sha256(path.read_bytes().replace(b"\r\n", b"\n")).hexdigest()


def wanted_stamp(root: Path, with_test: bool) -> Dict[str, str]:
    """All the things that decide whether the environment is still good."""
    stamp = {name: digest(root / name) for name in (*requirement_files(with_test), "pyproject.toml", KERNELS)}
    stamp["python"] = environment_python_version()
    stamp["folder"] = str(root)
    return stamp


def environment_python_version() -> str:
    """Name and version of the running Python, as far as installed packages depend on it."""
    return "{} {}.{}".format(sys.implementation.name, *sys.version_info[:2])


def read_stamp(root: Path) -> Dict[str, str]:
    """What the last complete setup wrote down; empty if there was none."""
    try:
        found = json.loads((root / ".venv" / STAMP_NAME).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def write_stamp(root: Path, stamp: Dict[str, str]) -> None:
    """Write down what this complete setup was made from."""
    (root / ".venv" / STAMP_NAME).write_text(json.dumps(stamp, indent=1), encoding="utf-8")


def is_current(wanted: Dict[str, str], found: Dict[str, str]) -> bool:
    """Whether a finished setup covers what is wanted now; it may cover more."""
    return all(found.get(name) == value for name, value in wanted.items())


def environment_usable(root: Path, found: Dict[str, str], wanted: Dict[str, str]) -> bool:
    """Whether an environment can be kept and only brought up to date."""
    same_base = all(found.get(name) == wanted[name] for name in ENVIRONMENT_KEYS)
    return same_base and environment_program(root, "python").exists()


def create_command(root: Path) -> List[str]:
    """The command that makes an empty environment."""
    base = getattr(sys, "_base_executable", None) or sys.executable
    return [base, "-m", "venv", "--clear", str(root / ".venv")]


def pip_command(python: Path, wheels: Optional[Path]) -> List[str]:
    """The start of each pip command: from the user's index, or only from a folder of wheels."""
    command = [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    if wheels is not None:
        command += ["--no-index", "--find-links", str(wheels)]
    return command


def packages_command(root: Path, python: Path, with_test: bool, wheels: Optional[Path]) -> List[str]:
    """The command that installs the pinned packages."""
    command = pip_command(python, wheels)
    for name in requirement_files(with_test):
        command += ["-r", str(root / name)]
    return command


def project_command(root: Path, python: Path, wheels: Optional[Path]) -> List[str]:
    """The command that installs linewright itself, so that edits take effect at once."""
    options = ["--no-deps", "--no-build-isolation", "--editable", str(root)]
    return pip_command(python, wheels) + options


def call(command: Sequence[str]) -> int:
    """Run a command, its output shown as it comes; a missing program counts as failed."""
    try:
        return subprocess.call(list(command))
    except OSError as error:
        say("  {}".format(error))
        return 127


def step(title: str, command: Sequence[str], remedy: str, run: Runner) -> None:
    """Say what is done, do it, say how long it took; stop with the remedy if it fails."""
    say(title + " ...")
    begin = time.monotonic()
    code = run(command)
    if code != 0:
        where = " ".join(command)
        raise SetupFailure("'{}' failed with exit code {}.".format(title, code), where, remedy)
    say("  done in {:.1f} s".format(time.monotonic() - begin))


def pip_remedy(wheels: Optional[Path]) -> str:
    """What a user can do when pip could not install the packages."""
    if wheels is not None:
        return (
            "Read pip's message above. The folder {} must hold a wheel for each line of the\n"
            "requirement files that fits this Python and this machine."
        ).format(wheels)
    return (
        "Read pip's message above. Without a network: collect the wheels elsewhere with\n"
        "'pip download -r' for the files in requirements/, then run scripts/setup.py --from FOLDER.\n"
        "Behind a proxy or with your own index: set it with 'pip config set' and run again.\n"
        "If no wheel fits a Python newer than the pins, use Python 3.11 to 3.13."
    )


VENV_REMEDY = (
    "On Debian or Ubuntu install the package python3-venv. Elsewhere check that the project\n"
    "folder can be written and that no program is using .venv, then run again."
)
KERNELS_REMEDY = (
    "The packages are installed, but the fast loops could not be compiled. Read the message above;\n"
    "delete .venv and run again if the compiler packages look damaged."
)


def make_environment(root: Path, run: Runner) -> None:
    """Make an empty environment in the project folder."""
    step("Making the project's own Python environment in .venv", create_command(root), VENV_REMEDY, run)


def install(root: Path, with_test: bool, wheels: Optional[Path], run: Runner) -> None:
    """Install the pinned packages, then linewright itself."""
    python = environment_program(root, "python")
    kind = "what linewright and its checks need" if with_test else "what linewright needs"
    title = "Installing {} (the first time this can take a minute or two)".format(kind)
    step(title, packages_command(root, python, with_test, wheels), pip_remedy(wheels), run)
    step("Installing linewright itself", project_command(root, python, wheels), pip_remedy(wheels), run)


def compile_kernels(root: Path, run: Runner) -> None:
    """Compile the fast loops once, so that the first run does not wait for it."""
    if not (root / KERNELS).exists():
        say("No fast loops to compile ({} is not there).".format(KERNELS))
        return
    python = environment_program(root, "python")
    step("Compiling the fast loops", [str(python), "-m", KERNELS_MODULE], KERNELS_REMEDY, run)


def checked_wheels(folder: Optional[str]) -> Optional[Path]:
    """The folder of wheels as a full path; stops if it is not a folder."""
    if folder is None:
        return None
    path = Path(folder).expanduser().resolve()
    if not path.is_dir():
        raise SetupFailure("--from names no folder.", str(path), "Give the folder that holds the wheels.")
    return path


def prepare(root: Path = ROOT, with_test: bool = False, wheels: Optional[Path] = None, run: Runner = call) -> None:
    """Bring the environment up to date; does nothing when it already is."""
    wanted, found = wanted_stamp(root, with_test), read_stamp(root)
    usable = environment_usable(root, found, wanted)
    if usable and is_current(wanted, found):
        return
    begin = time.monotonic()
    if not usable:
        make_environment(root, run)
    write_stamp(root, {name: wanted[name] for name in ENVIRONMENT_KEYS})  # kept if a later step fails
    install(root, with_test, wheels, run)
    compile_kernels(root, run)
    write_stamp(root, wanted)
    say("Setup complete in {:.1f} s.".format(time.monotonic() - begin))


def prepare_or_exit(with_test: bool = False, wheels: Optional[str] = None) -> None:
    """Bring the environment up to date, or print what is wrong and leave with exit code 1."""
    require_python()
    try:
        prepare(with_test=with_test, wheels=checked_wheels(wheels))
    except SetupFailure as failure:
        leave(str(failure))
    except KeyboardInterrupt:
        leave("Setup interrupted. Run it again to go on.")
    except OSError as error:
        remedy = "Check that the project folder can be written and the disk is not full, then run again."
        leave(str(SetupFailure(str(error), str(ROOT), remedy)))


def leave(message: str) -> NoReturn:
    """Print a message on standard error and leave with exit code 1."""
    sys.stdout.flush()
    sys.exit(message)


def main(arguments: Optional[Sequence[str]] = None) -> int:
    """Read the command line and set up."""
    require_python()
    parser = argparse.ArgumentParser(description="Set linewright up in .venv of the project folder.")
    parser.add_argument("--test", action="store_true", help="also install what the checks need")
    parser.add_argument("--from", dest="wheels", metavar="FOLDER", help="install from wheels, no network")
    options = parser.parse_args(arguments)
    prepare_or_exit(options.test, options.wheels)
    say("Ready: {}".format(environment_program(ROOT, "linewright")))
    return 0


if __name__ == "__main__":
    sys.exit(main())
