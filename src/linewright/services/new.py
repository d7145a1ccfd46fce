"""A new study from answers: asked one by one, checked at once by the forms that check every case."""

from __future__ import annotations

import difflib
import json
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from linewright.base import form as base_form
from linewright.base import places, units
from linewright.base.errors import InputError, LinewrightError, Problem, StorageError, visible
from linewright.base.nearest import nearest
from linewright.cards.loader import load_shelf
from linewright.cards.model import Shelf
from linewright.case.form import case_of
from linewright.importers.tension import read_record
from linewright.services.questions import BERTH, MOST_BERTHS, SHIP, Answer, Known, Question, is_log
from linewright.services.store import write_whole
from linewright.services.study import CASE_NAME, misfits

KEPT = "# estimate kept"


@dataclass
class Filled:
    """Answers so far."""

    shelf: Shelf
    ship: dict[str, Answer] = field(default_factory=dict)
    berths: list[dict[str, Answer]] = field(default_factory=list)

    def known(self, berth: int | None) -> Known:
        """What is known for a question on the ship or on a berth."""
        if berth is None:
            return Known(self.shelf, self.ship)
        return Known(self.shelf, self.ship, tuple(self.berths[:berth]), self.berths[berth])

    def completed(self) -> Filled:
        """The same with every open question at its estimate; at least one berth."""
        full = Filled(self.shelf, dict(self.ship), [dict(berth) for berth in self.berths] or [{}])
        for question, answers, berth in full.questions():
            if question.key not in answers and question.when(full.known(berth)):
                answers[question.key] = Answer(question.offered(full.known(berth)), True)
        return full

    def questions(self) -> Iterator[tuple[Question, dict[str, Answer], int | None]]:
        """Every question of the ship and of the berths there are, with where its answer goes."""
        for question in SHIP:
            yield question, self.ship, None
        for number, berth in enumerate(self.berths):
            for question in BERTH:
                yield question, berth, number

    @property
    def kept(self) -> int:
        """How many estimates were kept."""
        return sum(answer.kept for answers in (self.ship, *self.berths) for answer in answers.values())


@dataclass(frozen=True)
class Asked:
    """One question as it is put: the question, the berth's number (None: the ship), and what is known by then."""

    question: Question
    berth: int | None
    known: Known

    @property
    def offered(self) -> str:
        """The estimate that Enter keeps."""
        return self.question.offered(self.known)

    @property
    def about(self) -> str:
        """What is asked."""
        asks = self.question.asks
        return asks if self.berth is None else f"Berth {self.berth + 1}: {asks[0].lower()}{asks[1:]}"

    @property
    def line(self) -> str:
        """The question on one line, with its choices or example and, in brackets, what Enter keeps and whence."""
        choices = self.question.choices(self.known)
        given = f"one of {', '.join(choices)}" if choices else f"e.g. {self.question.example}"
        kept = ": ".join(filter(None, [self.offered, self.question.origin(self.known)]))
        return f"{self.about}, {given} [{kept}]"

    @property
    def help(self) -> list[str]:
        """What is meant, an example, and what each choice is."""
        choices = self.question.choices(self.known)
        wide = max(map(len, choices), default=0)
        example = [] if choices else [f"For example {self.question.example}."]
        return [self.question.help, *example, *(f"  {name:<{wide}}  {title}" for name, title in choices.items())]


Ask = Callable[[Asked], str]
Tell = Callable[[LinewrightError], None]


def interview(ask: Ask, tell: Tell | None = None) -> Filled:
    """Put every question; an empty answer keeps the estimate. A wrong one is told and asked again, or raised."""
    filled = Filled(load_shelf())
    for question in SHIP:
        _put(filled, filled.ship, question, None, (ask, tell))
    for number in range(int(filled.ship["berths"].text)):
        filled.berths.append({})
        for question in BERTH:
            if question.when(filled.known(number)):
                _put(filled, filled.berths[number], question, number, (ask, tell))
    return filled


def _put(
    filled: Filled, answers: dict[str, Answer], question: Question, berth: int | None, how: tuple[Ask, Tell | None]
) -> None:
    ask, tell = how
    asked = Asked(question, berth, filled.known(berth))
    offered = asked.offered
    while True:
        text = ask(asked).strip()
        answer = text or offered
        answers[question.key] = Answer(answer, not text)
        try:
            _check(filled, asked, answer)
        except LinewrightError as error:
            if tell is None:
                raise
            tell(error)
        else:
            return


def _check(filled: Filled, asked: Asked, text: str) -> None:
    """Raise InputError if a case with this answer and estimates for all that is open has a problem."""
    where = asked.about
    if asked.question.key == "berths":
        if not (text.isascii() and text.isdigit() and 1 <= int(text) <= MOST_BERTHS):
            raise _refusal([Problem(where, f'"{text}"', f"a whole number from 1 to {MOST_BERTHS}")])
        return
    if visible(text) != text:
        raise _refusal([Problem(where, text, "a text on one line, without control characters")])
    if asked.question.key == "swell" and is_log(text):
        read_record(Path(text))
    try:
        toml = case_text(filled.completed())
        case = case_of(toml, tomllib.loads(toml), Path(CASE_NAME))
        problems: list[Problem] | tuple[Problem, ...] = misfits(case, filled.shelf, lambda path: "")
    except InputError as error:
        problems = error.problems
    except units.UnitError as error:
        problems = [Problem("", json.dumps(error.read, ensure_ascii=False), error.needs, error.do)]
    except KeyError as error:
        problems = _unknown_card(filled.shelf, asked.question.key, text, error)
    if problems:
        raise _refusal([Problem(where, item.read, item.needs, item.do) for item in problems])


def _refusal(problems: list[Problem]) -> InputError:
    unique = list(dict.fromkeys(problems))
    return InputError("This answer cannot be used.", unique)


def _unknown_card(shelf: Shelf, key: str, text: str, error: KeyError) -> list[Problem]:
    """An estimate looked up a card that is not there."""
    names: Mapping[str, object] = {"rope": shelf.ropes, "contact": shelf.contacts}.get(key, {})
    if not names:
        raise error
    near = nearest(text, names)
    hint = f"did you mean {near}?" if near else "linewright cards list says what each is"
    return [Problem("", f'"{text}"', f"a {key} card: {', '.join(sorted(names))}", hint)]


# --- the case as text -------------------------------------------------------------------------------

HEAD = """\
# Written by linewright new. Texts carry their unit; a percentage of strength names its base: %LDBF (this rope) or
# %SDMBL (the ship). "estimate kept" marks what nobody typed: write what you know in its place, without a basis.
format = 1
"""


def case_text(filled: Filled) -> str:
    """The commented case of completed answers."""
    ship = filled.ship
    rows = [
        HEAD + _row(ship, "title"),
        "\n[ship]",
        _row(ship, "design_break_load", note="SDMBL: the load that fittings and lines are sized from"),
        "\n[[line]]                                # a group of equal lines; add others likewise",
        _row(ship, "line", "name"),
        _row(ship, "rope", note="a rope card"),
        _row(ship, "diameter", note="the card's own where it is kept"),
        _row(ship, "design_break_force", note="LDBF; by the square of the diameter where it is kept"),
        _row(ship, "inboard_length", note="fairlead to drum: it drives the slip, so it drives the heat"),
        _row(ship, "outboard_length", note="fairlead to shore"),
        "[[line.contact]]                        # in order from drum to shore",
        _row(ship, "contact", "card"),
        _row(ship, "bend_radius", note="radius of the steel"),
        _row(ship, "wrap", note="angle over which the rope touches"),
    ]
    for number, berth in enumerate(filled.berths):
        rows += _berth_rows(berth, ship["line"].text, number)
    return "\n".join(rows) + "\n"


def _berth_rows(berth: Mapping[str, Answer], line: str, number: int) -> list[str]:
    swell = units.parse(berth["swell_share"].text, "fraction")
    rows = ["\n[[berth]]", *(_row(berth, key) for key in ("name", "climate", "calls_per_year", "hours_per_call"))]
    table = f"[berth.state.tension.{_quoted(line)}]"
    if swell < 1.0:
        calm = {**berth, "share": Answer(f"{100.0 * (1.0 - swell):.10g} %", berth["swell_share"].kept)}
        rows += ["\n[[berth.state]]", 'name = "calm"', _row(calm, "share"), table]
        rows += [_row(berth, "calm_mean", "mean"), 'amplitude = "0 kN"']
    if swell > 0.0:
        rows += ["\n[[berth.state]]", 'name = "swell"', _row(berth, "swell_share", "share"), table]
        rows += _swell_rows(berth, number)
    return rows


def _swell_rows(berth: Mapping[str, Answer], number: int) -> list[str]:
    if is_log(berth["swell"].text):
        return [f"log = {_quoted(log_name(berth['swell'].text, number))}  # a recorded tension, in this folder"]
    return [
        _row(berth, "swell_mean", "mean"),
        _row(berth, "swell", "amplitude"),
        'amplitude_kind = "significant"          # 2 sigma, Rayleigh within the state',
        _row(berth, "swell_period", "period"),
    ]


def log_name(text: str, number: int) -> str:
    """The name of a log's copy in the study."""
    return f"berth-{number + 1}-{Path(text).name}"


def _row(answers: Mapping[str, Answer], key: str, name: str = "", note: str = "") -> str:
    """One key of the case; where a card's own estimate is kept the key stands in a comment."""
    answer = answers[key]
    value = answer.text if _is_number(key, answer.text) else _quoted(answer.text)
    if answer.kept and key not in WORDS | OF_CARD:
        value = f'{{ value = {value}, basis = "estimate" }}'
    text = f"{name or key} = {value}"
    if answer.kept and key in OF_CARD:
        return f"{'# ' + text:<38}  {KEPT}: the card's own holds"
    said = "; ".join([KEPT[2:]] * answer.kept + [note] * bool(note))
    return f"{text:<38}  # {said}" if said else text


WORDS = {"title", "line", "rope", "contact", "name", "climate"}  # names: they have no basis
OF_CARD = {question.key for question in SHIP if question.of_card}


def _is_number(key: str, text: str) -> bool:
    return key == "calls_per_year" and text.isascii() and text.isdigit()


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


# --- files ------------------------------------------------------------------------------------------


def refuse_taken(folder: Path) -> None:
    """Raise InputError if a folder's name is taken by a file or by a folder that holds anything."""
    try:
        taken = "a file" if folder.exists() and not folder.is_dir() else ""
        if not taken and folder.is_dir() and any(folder.iterdir()):
            taken = "a study" if (folder / CASE_NAME).exists() else "other files"
    except (OSError, ValueError) as error:
        cause = getattr(error, "strerror", None) or str(error)
        problem = Problem(str(folder), cause, "a folder that may be read")
        raise StorageError(f"{folder} cannot be read: {cause}.", [problem]) from None
    if taken:
        problem = Problem(str(folder), taken, "an empty folder, or a name that is still free", "choose another name")
        raise InputError(f"{folder} is taken; nothing is overwritten.", [problem])


def write_study(folder: Path, filled: Filled) -> Path:
    """Write the case and copies of the logs it names. Raises InputError where the folder is taken."""
    refuse_taken(folder)
    for number, berth in enumerate(filled.berths):
        if "swell" in berth and is_log(berth["swell"].text):
            log = berth["swell"].text
            write_whole(folder / log_name(log, number), Path(log).read_bytes())
    path = folder / CASE_NAME
    write_whole(path, case_text(filled).encode())
    return path


def from_lines(lines: Iterator[str]) -> Ask:
    """Answers from lines of text in the order of the questions; what is not there keeps its estimate."""
    return lambda asked: next(lines, "").strip()


def from_file(path: Path) -> Ask:
    """Answers from a TOML file: keys of the ship at the top, [[berth]] tables. Raises InputError for unknown keys."""
    text, raw = base_form.read_toml(path, "file of answers")
    found = places.lines_of(text)
    berths = raw.pop("berth", [])
    if not isinstance(berths, list) or not all(isinstance(berth, dict) for berth in berths):
        problem = Problem(places.at(str(path), found, ("berth",)), "berth", "tables [[berth]]")
        raise InputError(f"{path} cannot be used.", [problem])
    tables = [((), raw, SHIP), *((("berth", number), berth, BERTH) for number, berth in enumerate(berths))]
    problems = [
        problem for spot, table, asked in tables for problem in _strangers(table, asked, spot, (str(path), found))
    ]
    if problems:
        raise InputError(f"{path} has keys that nobody asks for.", problems)
    raw.setdefault("berths", len(berths) or 1)
    return lambda asked: _looked_up(raw if asked.berth is None else _at(berths, asked.berth), asked.question.key)


def _strangers(
    table: dict[str, Any], asked: tuple[Question, ...], spot: places.Path, at: tuple[str, dict[places.Path, int]]
) -> list[Problem]:
    keys = [question.key for question in asked]
    rows = []
    for key in table:
        if key not in keys:
            near = difflib.get_close_matches(key, keys, n=1)
            hint = f"did you mean {near[0]}?" if near else f"known keys: {', '.join(keys)}"
            rows.append(Problem(places.at(*at, (*spot, key)), key, "a known key", hint))
    return rows


def _at(berths: list[dict[str, Any]], number: int) -> dict[str, Any]:
    return berths[number] if number < len(berths) else {}


def _looked_up(table: Mapping[str, Any], key: str) -> str:
    return str(table[key]) if key in table else ""
