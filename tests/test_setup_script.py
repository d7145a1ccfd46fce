"""The logic of the scripts a newcomer runs first, for every kind of machine."""

import ast
import importlib.util
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import ModuleType

import pytest

SCRIPTS = Path(__file__).resolve().parent.parent / "scripts"


def load(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, SCRIPTS / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def scripts() -> Iterator[dict[str, ModuleType]]:
    """The three scripts, loaded as if started from their folder."""
    names = ("setup", "start", "check")
    before = {name: sys.modules.get(name) for name in names}
    yield {name: load(name) for name in names}
    for name, module in before.items():
        if module is None:
            del sys.modules[name]
        else:
            sys.modules[name] = module


@pytest.fixture
def setup(scripts: dict[str, ModuleType]) -> ModuleType:
    return scripts["setup"]


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A made-up project folder with the files the setup reads."""
    for name in ("build", "run", "test"):
        path = tmp_path / "requirements" / f"{name}.txt"
        path.parent.mkdir(exist_ok=True)
        path.write_text(f"{name}==1\n", encoding="utf-8")
    (tmp_path / "pyproject.toml").write_text("[project]\n", encoding="utf-8")
    kernels = tmp_path / "src" / "linewright" / "physics" / "_kernels.py"
    kernels.parent.mkdir(parents=True)
    kernels.write_text("", encoding="utf-8")
    return tmp_path


class Recorder:
    """Stands in for running commands: writes them down, can fail one, makes the environment's Python."""

    def __init__(self, python: Path, failing: str = "no command") -> None:
        self.python, self.failing = python, failing
        self.commands: list[list[str]] = []

    def __call__(self, command: Sequence[str]) -> int:
        self.commands.append(list(command))
        if self.failing in command:
            return 3
        if "venv" in command:
            self.python.parent.mkdir(parents=True, exist_ok=True)
            self.python.write_text("", encoding="utf-8")
        return 0


@pytest.fixture
def recorder(setup: ModuleType, project: Path) -> Recorder:
    return Recorder(setup.environment_program(project, "python"))


# --- Python's version --------------------------------------------------------------------------


@pytest.mark.parametrize("version", [(3, 8, 10), (3, 10, 14), (2, 7, 18)])
def test_old_python_message_when_too_old_says_what_where_and_what_to_do(
    setup: ModuleType, version: tuple[int, ...]
) -> None:
    message = setup.old_python_message(version, "/somewhere/python3")

    assert "needs Python 3.11 or newer" in message
    assert ".".join(map(str, version)) in message
    assert "/somewhere/python3" in message
    assert "py -3.11" in message


@pytest.mark.parametrize("version", [(3, 11, 0), (3, 13, 2), (4, 0, 0)])
def test_old_python_message_when_new_enough_is_none(setup: ModuleType, version: tuple[int, ...]) -> None:
    assert setup.old_python_message(version, "python3") is None


@pytest.mark.parametrize("name", ["setup", "start", "check"])
def test_script_when_read_by_an_old_python_still_parses(name: str) -> None:
    ast.parse((SCRIPTS / f"{name}.py").read_text(encoding="utf-8"), feature_version=(3, 7))


@pytest.mark.parametrize("name", ["setup", "start", "check"])
def test_script_when_read_needs_only_the_standard_library(name: str) -> None:
    tree = ast.parse((SCRIPTS / f"{name}.py").read_text(encoding="utf-8"))
    named = [alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names]
    named += [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]

    assert {name.split(".")[0] for name in named} - {"setup"} <= set(sys.stdlib_module_names)


# --- where things lie --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("platform", "expected"),
    [
        ("linux", ".venv/bin/python"),
        ("darwin", ".venv/bin/python"),
        ("win32", ".venv/Scripts/python.exe"),
    ],
)
def test_environment_program_on_each_platform_lies_where_that_platform_puts_it(
    setup: ModuleType, platform: str, expected: str
) -> None:
    found = setup.environment_program(Path("project"), "python", platform)

    assert found == Path("project") / expected


# --- the stamp ---------------------------------------------------------------------------------


def test_prepare_when_run_twice_does_nothing_the_second_time(
    setup: ModuleType, project: Path, recorder: Recorder
) -> None:
    setup.prepare(project, run=recorder)
    first = len(recorder.commands)
    setup.prepare(project, run=recorder)

    assert first == 4
    assert len(recorder.commands) == first


@pytest.mark.parametrize("changed", ["requirements/run.txt", "pyproject.toml", "src/linewright/physics/_kernels.py"])
def test_prepare_when_a_file_changed_installs_again_but_keeps_the_environment(
    setup: ModuleType, project: Path, recorder: Recorder, changed: str
) -> None:
    setup.prepare(project, run=recorder)
    recorder.commands.clear()
    (project / changed).write_text("other\n", encoding="utf-8")
    setup.prepare(project, run=recorder)

    assert len(recorder.commands) == 3
    assert not any("venv" in command for command in recorder.commands)


def test_prepare_when_python_changed_makes_the_environment_anew(
    setup: ModuleType, project: Path, recorder: Recorder, monkeypatch: pytest.MonkeyPatch
) -> None:
    setup.prepare(project, run=recorder)
    recorder.commands.clear()
    monkeypatch.setattr(setup, "environment_python_version", lambda: "cpython 3.99")
    setup.prepare(project, run=recorder)

    assert "venv" in recorder.commands[0]
    assert "--clear" in recorder.commands[0]


def test_prepare_when_checks_were_set_up_before_covers_a_plain_run(
    setup: ModuleType, project: Path, recorder: Recorder
) -> None:
    setup.prepare(project, with_test=True, run=recorder)
    recorder.commands.clear()
    setup.prepare(project, run=recorder)

    assert recorder.commands == []


def test_prepare_when_a_plain_run_came_before_still_installs_for_the_checks(
    setup: ModuleType, project: Path, recorder: Recorder
) -> None:
    setup.prepare(project, run=recorder)
    recorder.commands.clear()
    setup.prepare(project, with_test=True, run=recorder)

    assert str(project / "requirements" / "test.txt") in recorder.commands[0]


def test_prepare_when_a_step_failed_goes_on_from_there_next_time(setup: ModuleType, project: Path) -> None:
    python = setup.environment_program(project, "python")
    failing = Recorder(python, failing="--editable")
    with pytest.raises(setup.SetupFailure) as caught:
        setup.prepare(project, run=failing)

    assert not setup.is_current(setup.wanted_stamp(project, False), setup.read_stamp(project))
    for part in ("exit code 3", "--editable", "pip config set"):
        assert part in str(caught.value)

    working = Recorder(python)
    setup.prepare(project, run=working)
    assert [command[2] for command in working.commands] == ["pip", "pip", setup.KERNELS_MODULE]


def test_read_stamp_when_damaged_counts_as_none(setup: ModuleType, project: Path) -> None:
    (project / ".venv").mkdir()
    (project / ".venv" / setup.STAMP_NAME).write_text("[1, 2", encoding="utf-8")

    assert setup.read_stamp(project) == {}


def test_digest_when_line_ends_differ_is_the_same(setup: ModuleType, tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"x\ny\n")
    (tmp_path / "b").write_bytes(b"x\r\ny\r\n")

    assert setup.digest(tmp_path / "a") == setup.digest(tmp_path / "b")
    assert setup.digest(tmp_path / "c") == "absent"


def test_compile_kernels_when_absent_only_says_so(
    setup: ModuleType, project: Path, recorder: Recorder, capsys: pytest.CaptureFixture[str]
) -> None:
    (project / setup.KERNELS).unlink()
    setup.compile_kernels(project, recorder)

    assert recorder.commands == []
    assert "No fast loops" in capsys.readouterr().out


# --- wheels from a folder ----------------------------------------------------------------------


def test_prepare_when_wheels_are_given_asks_no_index(
    setup: ModuleType, project: Path, recorder: Recorder, tmp_path: Path
) -> None:
    setup.prepare(project, wheels=tmp_path, run=recorder)
    pip = [command for command in recorder.commands if "pip" in command]

    assert len(pip) == 2
    for command in pip:
        position = command.index("--find-links")
        assert command[position + 1] == str(tmp_path)
        assert "--no-index" in command


def test_prepare_when_no_wheels_are_given_leaves_the_index_to_the_user(
    setup: ModuleType, project: Path, recorder: Recorder
) -> None:
    setup.prepare(project, run=recorder)

    words = {word for command in recorder.commands for word in command}
    assert not words & {"--no-index", "--find-links", "--index-url", "--isolated", "--proxy"}


def test_checked_wheels_when_no_folder_says_which(setup: ModuleType, tmp_path: Path) -> None:
    assert setup.checked_wheels(None) is None
    assert setup.checked_wheels(str(tmp_path)) == tmp_path.resolve()
    with pytest.raises(setup.SetupFailure, match="no folder"):
        setup.checked_wheels(str(tmp_path / "missing"))


def test_call_when_the_program_is_missing_counts_as_failed(setup: ModuleType, tmp_path: Path) -> None:
    assert setup.call([str(tmp_path / "missing")]) == 127


# --- pins --------------------------------------------------------------------------------------


def pins(name: str) -> dict[str, str]:
    lines = (SCRIPTS.parent / "requirements" / f"{name}.txt").read_text(encoding="utf-8").splitlines()
    found = dict(line.partition(";")[0].strip().split("==") for line in lines if not line.startswith("#"))
    return {package.lower(): version for package, version in found.items()}


def test_requirements_when_read_pin_one_version_each() -> None:
    run, build, test = pins("run"), pins("build"), pins("test")

    assert not run.keys() & test.keys()
    assert all(build[name] == {**run, **test}[name] for name in build.keys() & (run.keys() | test.keys()))


# --- start and check ---------------------------------------------------------------------------


def test_demo_command_when_nothing_is_given_names_the_demo_folder(scripts: dict[str, ModuleType]) -> None:
    root = Path("/project").resolve()
    command = scripts["start"].demo_command(root, root, [])

    assert command[1:] == ["demo", "--into", "demo-study"]


def test_demo_command_from_elsewhere_names_the_full_folder(scripts: dict[str, ModuleType]) -> None:
    root, elsewhere = Path("/project").resolve(), Path("/elsewhere").resolve()
    command = scripts["start"].demo_command(root, elsewhere, ["--quick"])

    assert command[1:] == ["demo", "--into", str(root / "demo-study"), "--quick"]


@pytest.mark.parametrize("extra", [["--into", "mine"], ["--into=mine"]])
def test_demo_command_when_the_user_names_a_folder_takes_that(scripts: dict[str, ModuleType], extra: list[str]) -> None:
    root = Path("/project").resolve()

    assert scripts["start"].demo_command(root, root, extra)[1:] == ["demo", *extra]


def test_checks_when_fast_leave_out_slow_tests(scripts: dict[str, ModuleType]) -> None:
    check = scripts["check"]
    slow, fast = check.checks(Path("p"), False), check.checks(Path("p"), True)

    assert [one.name for one in slow] == ["layout", "lint", "types", "validation", "tests"]
    assert fast[-1].command == [*slow[-1].command, "-m", "not slow"]
    assert slow[:-1] == fast[:-1]


def test_summary_when_one_failed_names_it(scripts: dict[str, ModuleType]) -> None:
    check = scripts["check"]
    outcomes = [check.Outcome("layout", 0, 0.1), check.Outcome("types", 1, 2.0)]

    assert check.summary(outcomes).endswith("Failed: types.")
    assert check.summary(outcomes[:1]).endswith("All checks passed.")
