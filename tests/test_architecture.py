"""The rooms of the package, which way imports run between them, and the sizes that keep it readable.

The checkers work on syntax trees, so nothing is imported. Each is shown to bite on a small bad
snippet at the end of this file.
"""

import ast
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

SOURCE = Path(__file__).resolve().parent.parent / "src"

# Higher rooms may know lower ones, never the other way round; rooms of one height do not know each other.
HEIGHT = {
    "cli": 7,
    "cli_cards": 6,  # commands that the command line takes in
    "cli_decide": 6,
    "cli_diff": 6,
    "cli_heat": 6,
    "cli_import": 6,
    "cli_limits": 6,
    "cli_progress": 5,
    "cli_running": 6,
    "cli_spread": 6,
    "web": 6,  # below cli only because the command line opens the workbench
    "services": 4,
    "validation": 3,
    "assessment": 2,
    "physics": 1,
    "cards": 1,
    "case": 1,
    "importers": 1,
    "base": 0,
}
FRONT = {"", "__main__"}  # the package's public list and 'python -m linewright'

# Which module may know which outside library.
OWNERS: dict[str, Callable[[str], bool]] = {
    "pydantic": lambda module: module.endswith(".form") or room(module) == "web",
    "pint": lambda module: module == "linewright.base.units",
    "pandas": lambda module: room(module) == "importers",
    "pvlib": lambda module: room(module) == "importers",
    "matplotlib": lambda module: module.startswith("linewright.services.figures"),
    "numba": lambda module: module == "linewright.physics._kernels",
    "typer": lambda module: (
        room(module)
        in (
            "cli",
            "cli_cards",
            "cli_decide",
            "cli_diff",
            "cli_heat",
            "cli_import",
            "cli_limits",
            "cli_running",
            "cli_spread",
        )
    ),
    "rich": lambda module: module == "linewright.cli_progress",
    "duckdb": lambda module: room(module) == "importers",
    "pyarrow": lambda module: room(module) == "importers",
    "openpyxl": lambda module: room(module) == "importers",
}
NAMELESS = {"util", "utils", "helper", "helpers", "common", "core", "manager", "managers"}
HEAVY = {
    "numpy",
    "scipy",
    "numba",
    "pydantic",
    "pint",
    "pandas",
    "pvlib",
    "matplotlib",
    "duckdb",
    "pyarrow",
    "openpyxl",
}

LONGEST_BODY = 40
LONGEST_MODULE = 400
MOST_ARGUMENTS = 7


class Module(NamedTuple):
    """One source file: dotted name, text, whether it is a package's own file."""

    name: str
    text: str
    is_package: bool


class Import(NamedTuple):
    """One import statement's target."""

    target: str  # the module, or the package when a name is taken from it
    line: int
    at_load: bool  # runs when the module is loaded
    from_package: bool  # takes a package instead of a module


Findings = list[str]  # what breaks a rule, one line each; empty when all is well


def read_modules(source: Path) -> list[Module]:
    modules = []
    for path in sorted(source.rglob("*.py")):
        parts = path.relative_to(source).with_suffix("").parts
        is_package = parts[-1] == "__init__"
        name = ".".join(parts[:-1] if is_package else parts)
        modules.append(Module(name, path.read_text(encoding="utf-8"), is_package))
    return modules


def room(module: str) -> str:
    """First name below the package; empty for the package itself."""
    return [*module.split("."), ""][1]


# --- what a module imports ---------------------------------------------------------------------


def is_type_checking(node: ast.AST) -> bool:
    return isinstance(node, ast.If) and ast.unparse(node.test) in ("TYPE_CHECKING", "typing.TYPE_CHECKING")


def import_statements(node: ast.AST, at_load: bool = True) -> Iterator[tuple[ast.Import | ast.ImportFrom, bool]]:
    """Every import below a node, and whether it runs at load."""
    if isinstance(node, ast.Import | ast.ImportFrom):
        yield node, at_load
    elif is_type_checking(node):
        assert isinstance(node, ast.If)
        for child in node.body:
            yield from import_statements(child, False)
        for child in node.orelse:
            yield from import_statements(child, at_load)
    else:
        inner = at_load and not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
        for child in ast.iter_child_nodes(node):
            yield from import_statements(child, inner)


def absolute_base(module: Module, node: ast.ImportFrom) -> str:
    """The full name behind the word 'from', also for a relative import."""
    if not node.level:
        return node.module or ""
    parts = module.name.split(".")
    kept = parts[: len(parts) - node.level + int(module.is_package)]
    return ".".join(kept + ([node.module] if node.module else []))


def imports_of(module: Module, known: dict[str, bool]) -> list[Import]:
    """Every import of a module; `known` maps the package's module names to 'is a package'."""
    found = []
    for node, at_load in import_statements(ast.parse(module.text)):
        if isinstance(node, ast.Import):
            targets = [alias.name for alias in node.names]
        else:
            base = absolute_base(module, node)
            names = [f"{base}.{alias.name}" for alias in node.names]
            targets = [name if name in known else base for name in names]
        found += [Import(name, node.lineno, at_load, known.get(name, False)) for name in targets]
    return found


def all_imports(modules: list[Module]) -> Iterator[tuple[Module, Import]]:
    known = {module.name: module.is_package for module in modules}
    for module in modules:
        for found in imports_of(module, known):
            yield module, found


def is_own(target: str) -> bool:
    return target.split(".")[0] == "linewright"


# --- the rules ---------------------------------------------------------------------------------


def rooms_without_height(modules: list[Module]) -> Findings:
    names = [module.name for module in modules if room(module.name) not in HEIGHT.keys() | FRONT]
    return [f"{name}: no such room in the design" for name in names]


def upward_imports(modules: list[Module]) -> Findings:
    found: Findings = []
    for module, taken in all_imports(modules):
        here, there = room(module.name), room(taken.target)
        if here in FRONT or not is_own(taken.target) or here == there or there == "":
            continue
        if HEIGHT.get(there, 99) >= HEIGHT.get(here, -1):
            found.append(f"{module.name}:{taken.line}: {here} must not know {there} ({taken.target})")
    return found


def package_imports(modules: list[Module]) -> Findings:
    return [
        f"{module.name}:{taken.line}: takes the package {taken.target} instead of a module"
        for module, taken in all_imports(modules)
        if taken.from_package or taken.target == "linewright"
    ]


def misplaced_libraries(modules: list[Module]) -> Findings:
    found: Findings = []
    for module, taken in all_imports(modules):
        library = taken.target.split(".")[0]
        if library in OWNERS and not OWNERS[library](module.name):
            found.append(f"{module.name}:{taken.line}: {library} has another home")
    return found


def nameless_modules(modules: list[Module]) -> Findings:
    return [
        f"{module.name}: a thing with no home means a concept is missing: name it"
        for module in modules
        if {part.strip("_") for part in module.name.split(".")} & NAMELESS
    ]


def reachable(start: str, edges: dict[str, set[str]]) -> set[str]:
    """All modules loaded by a module, directly or through others."""
    seen: set[str] = set()
    waiting = list(edges[start])
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            waiting += edges.get(name, set())
    return seen


def import_circles(modules: list[Module]) -> Findings:
    edges: dict[str, set[str]] = {module.name: set() for module in modules}
    for module, taken in all_imports(modules):
        if taken.at_load and taken.target in edges:
            edges[module.name].add(taken.target)
    reach = {name: reachable(name, edges) for name in edges}
    circles = {
        tuple(sorted(other for other in reach[name] if name in reach[other])) for name in edges if name in reach[name]
    }
    return ["import circle: " + ", ".join(circle) for circle in sorted(circles)]


def body_lines(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function's body without its docstring."""
    body = node.body[1:] if ast.get_docstring(node, clean=False) is not None else node.body
    return (node.end_lineno or 0) - body[0].lineno + 1 if body else 0


def argument_count(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    given = node.args.posonlyargs + node.args.args
    own = bool(given) and given[0].arg in ("self", "cls")
    return len(given) + len(node.args.kwonlyargs) - own


def oversized(modules: list[Module]) -> Findings:
    found: Findings = []
    for module in modules:
        length = len(module.text.splitlines())
        if length > LONGEST_MODULE:
            found.append(f"{module.name}: {length} lines, at most {LONGEST_MODULE}")
        for node in ast.walk(ast.parse(module.text)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                found += oversized_function(module.name, node)
    return found


def oversized_function(module: str, node: ast.FunctionDef | ast.AsyncFunctionDef) -> Findings:
    found: Findings = []
    where = f"{module}:{node.lineno}: {node.name}"
    if body_lines(node) > LONGEST_BODY:
        found.append(f"{where} has a body of {body_lines(node)} lines, at most {LONGEST_BODY}")
    if argument_count(node) > MOST_ARGUMENTS:
        found.append(f"{where} takes {argument_count(node)} arguments, at most {MOST_ARGUMENTS}")
    return found


RULES = [
    rooms_without_height,
    upward_imports,
    package_imports,
    misplaced_libraries,
    nameless_modules,
    import_circles,
    oversized,
]


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.__name__)
def test_package_when_read_breaks_no_rule(rule: Callable[[list[Module]], Findings]) -> None:
    modules = read_modules(SOURCE)

    assert modules, f"no source found below {SOURCE}"
    assert rule(modules) == []


# --- what is loaded ----------------------------------------------------------------------------

IMPORT_ONLY = "import linewright"
HELP = """
import linewright.cli
sys.argv = ["linewright", "--help"]
try:
    linewright.cli.main()
except SystemExit as end:
    assert not end.code, end.code
"""


def heavy_loaded_by(code: str) -> list[str]:
    """Which heavy libraries a fresh Python has loaded after running some code."""
    report = "print('LOADED', *sorted({name.split('.')[0] for name in sys.modules}))"
    script = f"import sys\n{code}\n{report}\n"
    command = [sys.executable, "-W", "ignore", "-c", script]
    done = subprocess.run(command, capture_output=True, encoding="utf-8", errors="replace", check=False)
    assert done.returncode == 0, done.stderr
    loaded = done.stdout.rsplit("LOADED", 1)[1].split()
    assert "sys" in loaded
    return sorted(HEAVY.intersection(loaded))


@pytest.mark.parametrize("code", [IMPORT_ONLY, HELP], ids=["import", "help"])
def test_start_when_nothing_is_computed_yet_loads_nothing_heavy(code: str) -> None:
    assert heavy_loaded_by(code) == []


def test_heavy_loaded_by_when_numpy_is_imported_says_so() -> None:
    assert heavy_loaded_by("import numpy") == ["numpy"]


# --- the rules bite ----------------------------------------------------------------------------


def package(**texts: str) -> list[Module]:
    """A made-up package: base__units='...' is the module linewright.base.units."""
    modules = {"linewright": Module("linewright", "", True)}
    for key, text in texts.items():
        parts = ["linewright", *key.split("__")]
        for depth in range(2, len(parts)):
            name = ".".join(parts[:depth])
            modules.setdefault(name, Module(name, "", True))
        name = ".".join(parts)
        modules[name] = Module(name, text, False)
    return list(modules.values())


def long_function(lines: int) -> str:
    return 'def f():\n    """Doc."""\n' + "    x = 1\n" * lines


BAD = {
    "unknown room": (rooms_without_height, package(attic="")),
    "base knows physics": (
        upward_imports,
        package(base__units="from linewright.physics import film", physics__film=""),
    ),
    "physics knows cards": (
        upward_imports,
        package(physics__film="import linewright.cards.model", cards__model=""),
    ),
    "case knows cards, late": (
        upward_imports,
        package(case__model="def f():\n    from linewright.cards.model import Card", cards__model=""),
    ),
    "case knows cards, for types": (
        upward_imports,
        package(
            case__model="if TYPE_CHECKING:\n    import linewright.cards.model",
            cards__model="",
        ),
    ),
    "services know web": (upward_imports, package(services__run="import linewright.web.app", web__app="")),
    "web knows cli": (upward_imports, package(web__app="import linewright.cli", cli="")),
    "relative upward": (
        upward_imports,
        package(base__units="from ..physics.film import f", physics__film=""),
    ),
    "whole package": (package_imports, package(case__model="import linewright")),
    "name from the whole package": (package_imports, package(case__model="from linewright import assess")),
    "name from a room": (
        package_imports,
        package(case__model="from linewright.base import Datum", base__data=""),
    ),
    "room itself": (package_imports, package(case__model="from linewright import base", base__data="")),
    "relative package": (package_imports, package(base__units="from . import Datum")),
    "pydantic outside a form": (misplaced_libraries, package(case__model="import pydantic")),
    "pint outside units": (misplaced_libraries, package(base__data="from pint import Quantity")),
    "pandas outside importers": (misplaced_libraries, package(case__model="import pandas as pd")),
    "pvlib outside importers": (misplaced_libraries, package(physics__sun="from pvlib import solarposition")),
    "numba outside kernels": (misplaced_libraries, package(physics__film="from numba import njit")),
    "matplotlib outside figures": (misplaced_libraries, package(services__depth="from matplotlib import figure")),
    "typer outside cli": (misplaced_libraries, package(services__run="import typer")),
    "rich in services, late": (
        misplaced_libraries,
        package(services__answer="def f():\n    import rich.table"),
    ),
    "utils": (nameless_modules, package(base__utils="")),
    "private helpers": (nameless_modules, package(base___helpers="")),
    "room called core": (nameless_modules, package(core="")),
    "circle of two": (
        import_circles,
        package(base__a="import linewright.base.b", base__b="from linewright.base import a"),
    ),
    "circle of three": (
        import_circles,
        package(
            base__a="import linewright.base.b",
            base__b="import linewright.base.c",
            base__c="try:\n    import linewright.base.a\nfinally:\n    pass",
        ),
    ),
    "long body": (oversized, package(base__a=long_function(LONGEST_BODY + 1))),
    "long module": (oversized, package(base__a="x = 1\n" * (LONGEST_MODULE + 1))),
    "many arguments": (oversized, package(base__a="def f(a, b, c, d, /, e, f, *, g, h): ...")),
}

GOOD = {
    "downwards": (
        upward_imports,
        package(cli="import linewright.web.app", web__app="from linewright.base import units", base__units=""),
    ),
    "within a room": (
        upward_imports,
        package(physics__a="from linewright.physics.b import f", physics__b=""),
    ),
    "module from a room": (
        package_imports,
        package(case__model="from linewright.base import units", base__units=""),
    ),
    "pydantic in a form": (
        misplaced_libraries,
        package(case__form="import pydantic", base__form="import pydantic"),
    ),
    "pydantic in web": (misplaced_libraries, package(web__pages__model="import pydantic")),
    "core inside a longer name": (nameless_modules, package(physics__core_temperature="")),
    "late import closes no circle": (
        import_circles,
        package(base__a="import linewright.base.b", base__b="def f():\n    import linewright.base.a"),
    ),
    "import for types closes no circle": (
        import_circles,
        package(
            base__a="import linewright.base.b",
            base__b="import typing\nif typing.TYPE_CHECKING:\n    import linewright.base.a",
        ),
    ),
    "body just short enough": (oversized, package(base__a=long_function(LONGEST_BODY))),
    "method with seven": (oversized, package(base__a="class A:\n    def f(self, a, b, c, d, e, f, g): ...")),
}


@pytest.mark.parametrize("name", BAD)
def test_rule_when_broken_says_so_once(name: str) -> None:
    rule, modules = BAD[name]
    assert len(rule(modules)) == 1


@pytest.mark.parametrize("name", GOOD)
def test_rule_when_kept_says_nothing(name: str) -> None:
    rule, modules = GOOD[name]
    assert rule(modules) == []


def test_rules_when_listed_all_have_a_bad_example() -> None:
    assert {rule for rule, _ in BAD.values()} == set(RULES)
