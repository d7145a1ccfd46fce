"""Every public thing says what it is; everything public in physics names its units and its source.

The docstrings of `physics` are read by machine: parameter names must equal the signature's, every
entry must carry a known unit in brackets, and a section `From` must say where the formula comes
from. A record (dataclass or named tuple) does the same for its fields under `Attributes`; a function
that takes or returns a record writes `[fields]`: the units stand with the record's fields.
"""

import ast
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parent.parent / "src" / "linewright"

# SI without multiples, each written one way only. Extend freely, but never with a kN or a mm.
UNITS = frozenset(
    unit.strip()
    for unit in """
    - | fields
    m | m2 | m3 | m4 | 1/m | 1/m2 | 1/m3
    s | h | 1/s | Hz | m/s | m/s2 | m2/s | m3/s | m3/kg | m3/(m2 s) | m2 s
    kg | kg/m | kg/m2 | kg/m3 | kg/s | kg/(m s) | kg/(m2 s) | kg/(m3 s) | kg/mol | 1/kg
    N | 1/N | N/m | N/m2 | N m | N m2 | N s | N2 | N2 s | N2/s | N2/s2 | N2/s4 | N/kg | N/K | N/tex | tex | m/N | m2/N
    Pa | 1/Pa | Pa s | Pa2 | Pa/K | Pa/s | Pa m | Pa2 s
    J | J/m | J/m2 | J/m3 | J/kg | J/mol | J/K | J/(kg K) | J/(m3 K) | J/(mol K) | J/(m K)
    W | W/m | W/m2 | W/m3 | W/kg | W/K | W/(m K) | W/(m2 K) | W/(m2 K4) | W/(m3 K) | W/(m2 sr) | W m/K
    K | 1/K | K/s | K/m | K/W | K m/W | m K/W | m2 K/W | K s | K2 | K4
    rad | 1/rad | rad/s | rad/m | rad2 s
    mol | 1/mol | mol/m3 | mol/(m2 s) | mol/kg
    V | A | ohm
    """.replace("\n", "|").split("|")
    if unit.strip()
)

Function = ast.FunctionDef | ast.AsyncFunctionDef
Findings = list[str]  # what breaks a rule, one line each; empty when all is well


# --- reading a docstring -----------------------------------------------------------------------


def sections(docstring: str) -> dict[str, list[str]]:
    """The underlined sections of a numpydoc text and their lines; the opening text is ''."""
    lines = docstring.expandtabs().splitlines()
    found: dict[str, list[str]] = {"": []}
    title = ""
    for index, line in enumerate(lines):
        below = lines[index + 1].strip() if index + 1 < len(lines) else ""
        if line.strip() and re.fullmatch(r"-{3,}", below):
            title = line.strip()
            found[title] = []
        elif not (title and not found[title] and re.fullmatch(r"-{3,}", line.strip())):
            found[title].append(line)
    return found


def entries(lines: list[str]) -> list[tuple[str, str]]:
    """Head and description of each entry: a line at the margin and the indented ones below it."""
    found: list[tuple[str, str]] = []
    for line in lines:
        if line and not line[0].isspace():
            found.append((line, ""))
        elif line.strip() and found:
            head, text = found[-1]
            found[-1] = (head, f"{text} {line.strip()}")
    return found


def entry_names(head: str) -> list[str]:
    """The names before the colon: 'low, high : float' names two."""
    return [name.strip().lstrip("*") for name in head.partition(" :")[0].split(",")]


def bracketed_units(text: str) -> list[str]:
    """What stands in free brackets; 'list[str]' is a type, '[1]' a citation and '[0, 1]' a range."""
    free = re.findall(r"(?<!\S)\[([^\[\]]*)\]", text)
    return [unit for unit in free if not re.fullmatch(r"[-+\d.,; ]*\d", unit)]


def unit_findings(where: str, lines: list[str]) -> Findings:
    """Entries without a unit or with an unknown one."""
    found: Findings = []
    for head, text in entries(lines):
        units = bracketed_units(f"{head} {text}")
        unknown = [unit for unit in units if unit not in UNITS]
        if unknown:
            found.append(f"{where}: {head!r} has the unknown unit {unknown}")
        elif not units:
            found.append(f"{where}: {head!r} carries no unit in brackets")
    return found


# --- what is public ----------------------------------------------------------------------------


def is_public(name: str) -> bool:
    return not name.startswith("_")


def is_rewritten(node: Function) -> bool:
    """Overload lines and setters: their other half carries the docstring."""
    return any(ast.unparse(mark).endswith(("overload", ".setter")) for mark in node.decorator_list)


def public_things(tree: ast.AST, prefix: str = "") -> Iterator[tuple[str, Function | ast.ClassDef]]:
    """Public functions, classes and methods with their dotted names."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.If | ast.Try):
            yield from public_things(node, prefix)
        elif isinstance(node, ast.ClassDef) and is_public(node.name):
            yield prefix + node.name, node
            yield from public_things(node, f"{prefix}{node.name}.")
        elif isinstance(node, Function) and is_public(node.name) and not is_rewritten(node):
            yield prefix + node.name, node


def is_record(node: ast.ClassDef) -> bool:
    marks = [ast.unparse(mark) for mark in [*node.decorator_list, *node.bases]]
    return any(re.search(r"\b(dataclass|NamedTuple)\b", mark) for mark in marks)


def field_names(node: ast.ClassDef) -> list[str]:
    return [
        child.target.id
        for child in node.body
        if isinstance(child, ast.AnnAssign)
        and isinstance(child.target, ast.Name)
        and is_public(child.target.id)
        and not ast.unparse(child.annotation).startswith("ClassVar")
    ]


def argument_names(node: Function) -> list[str]:
    args = node.args
    every = [*args.posonlyargs, *args.args, args.vararg, *args.kwonlyargs, args.kwarg]
    return [arg.arg for arg in every if arg is not None]


# --- the rules ---------------------------------------------------------------------------------


def undocumented(module: str, text: str) -> Findings:
    """Public things without a docstring."""
    tree = ast.parse(text)
    found = [] if ast.get_docstring(tree) else [f"{module}: the module has no docstring"]
    for name, node in public_things(tree):
        if not ast.get_docstring(node):
            found.append(f"{module}:{node.lineno}: {name} has no docstring")
    return found


def incomplete_physics(module: str, text: str) -> Findings:
    """Public functions and records whose docstring does not carry names, units and source."""
    found: Findings = []
    for name, node in public_things(ast.parse(text)):
        parts = sections(ast.get_docstring(node) or "")
        where = f"{module}:{node.lineno}: {name}"
        if isinstance(node, ast.ClassDef):
            found += listing_findings(where, "Attributes", field_names(node), parts) if is_record(node) else []
        elif "." not in name:
            found += function_findings(where, argument_names(node), parts)
    return found


def listing_findings(where: str, title: str, expected: list[str], parts: dict[str, list[str]]) -> Findings:
    """A section's names against the code's, and its units."""
    lines = parts.get(title, [])
    named = [name for head, _ in entries(lines) for name in entry_names(head)]
    found = unit_findings(f"{where}: {title}", lines)
    if named != expected:
        found.insert(0, f"{where}: {title} names {named}, the code has {expected}")
    return found


def function_findings(where: str, arguments: list[str], parts: dict[str, list[str]]) -> Findings:
    found = listing_findings(where, "Parameters", arguments, parts)
    returned = parts.get("Returns", [])
    if not entries(returned):
        found.append(f"{where}: no section Returns")
    found += unit_findings(f"{where}: Returns", returned)
    if not " ".join(parts.get("From", [])).strip():
        found.append(f"{where}: no section From naming the source")
    return found


def package_findings(folder: Path, rule: Callable[[str, str], Findings]) -> Findings:
    """A rule's findings in all public modules below a folder."""
    found: Findings = []
    for path in sorted(folder.rglob("*.py")):
        if is_public(path.name) or path.name == "__init__.py":
            found += rule(path.relative_to(PACKAGE).as_posix(), path.read_text(encoding="utf-8"))
    return found


def test_public_things_when_read_all_have_a_docstring() -> None:
    assert (PACKAGE / "__init__.py").exists()
    assert package_findings(PACKAGE, undocumented) == []


def test_physics_when_read_names_units_and_sources() -> None:
    assert package_findings(PACKAGE / "physics", incomplete_physics) == []


# --- the rules bite ----------------------------------------------------------------------------

GOOD = '''
"""Made up."""

def rise(heat_rate, diameter, *, kind="wet"):
    """Rise of the centre.

    Parameters
    ----------
    heat_rate, diameter : float or array, shape (...)
        Heat made per volume [W/m3] and outer diameter [m], as in [1].
    kind : list[str], a share of it lies in [0, 1] [-]

    Returns
    -------
    rise : float
        Centre minus fluid. [K]
    share : NDArray[float64]
        Share of the film,
        of the whole. [-]

    From
    ----
    Derived from the heat balance.
    """


@dataclass(frozen=True)
class Film:
    """What the surface passes.

    Attributes
    ----------
    coefficient : float
        At the surface. [W/(m2 K)]
    """

    coefficient: float
    _cache: float


def film() -> Film:
    """The film.

    Returns
    -------
    Film
        At rest. [fields]

    From
    ----
    Made up.
    """


def _private(x): ...
'''

# What is replaced in GOOD, by what, and a word of the one finding that must follow.
BAD = {
    "name differs": ("heat_rate, diameter :", "heat_rate, width :", "names"),
    "order differs": ("heat_rate, diameter :", "diameter, heat_rate :", "names"),
    "argument forgotten": ('kind="wet")', 'kind="wet", extra=1)', "names"),
    "unit missing": ("lies in [0, 1] [-]", "lies in [0, 1]", "no unit"),
    "unit of return missing": ("Centre minus fluid. [K]", "Centre minus fluid.", "no unit"),
    "unit is a multiple": ("[W/m3] and", "[kW/m3] and", "unknown unit"),
    "one of two units unknown": ("diameter [m],", "diameter [mm],", "unknown unit"),
    "unit of a continued line unknown": ("of the whole. [-]", "of the whole. [%]", "unknown unit"),
    "no returns": (
        "    Returns\n    -------\n    Film\n        At rest. [fields]\n",
        "",
        "no section Returns",
    ),
    "no source": ("    From\n    ----\n    Made up.\n", "", "no section From"),
    "empty source": ("    Made up.\n", "", "no section From"),
    "field forgotten": ("    coefficient: float\n", "    coefficient: float\n    other: float\n", "names"),
    "unit of a field missing": ("At the surface. [W/(m2 K)]", "At the surface.", "no unit"),
}


def test_incomplete_physics_when_all_is_said_finds_nothing() -> None:
    assert incomplete_physics("good.py", GOOD) == []


@pytest.mark.parametrize("name", BAD)
def test_incomplete_physics_when_something_is_amiss_says_so(name: str) -> None:
    old, new, word = BAD[name]
    assert GOOD.count(old) == 1

    found = incomplete_physics("bad.py", GOOD.replace(old, new))

    assert len(found) == 1
    assert word in found[0]


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("x = 1", "module"),
        ('"""Doc."""\ndef f(): ...', "f has"),
        ('"""Doc."""\nclass A: ...', "A has"),
        ('"""Doc."""\nclass A:\n    """Doc."""\n    def f(self): ...', "A.f has"),
        ('"""Doc."""\nif True:\n    async def f(): ...', "f has"),
    ],
)
def test_undocumented_when_docstring_is_missing_says_so(text: str, word: str) -> None:
    found = undocumented("bad.py", text)

    assert len(found) == 1
    assert word in found[0]


def test_undocumented_when_private_or_documented_says_nothing() -> None:
    text = '"""Doc."""\ndef _f(): ...\nclass A:\n    """Doc."""\n    def __len__(self): ...\n'
    assert undocumented("good.py", text) == []


def test_units_when_listed_hold_only_coherent_ones() -> None:
    assert {"-", "W/(m K)", "fields"} <= UNITS
    assert not {"kN", "mm", "degC", "%", ""} & UNITS
