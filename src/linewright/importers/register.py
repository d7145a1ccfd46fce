"""Registers of mooring lines: ids are text, and each line's numbers are held against each other."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field

import numpy as np

from linewright.importers.grid import Sheet, find_head
from linewright.importers.header import G
from linewright.importers.record_columns import Columns, read_columns
from linewright.importers.report import Array, Imported, Log, Source
from linewright.importers.sentences import Sentence, flag_each

TONNE = 1e3 * G  # [N]
LINE_STRENGTH = (1.00, 1.05)  # LDBF over SDMBL
TAIL_STRENGTH = (1.25, 1.30)  # TDBF over SDMBL
TAIL_LENGTHS = (5.0, 60.0)  # [m]
DIAMETERS = (0.01, 0.15)  # [m] of ropes
DATES = (0.0, 4.1e9)  # [s] 1970 to 2099
ERRORS = {"id-missing", "id-twice", "dates-order", "strength-in-tonnes"}
FITTINGS = (0.05, 3.0)  # [m] diameter of fairleads and rollers
TAIL_AND_FITTING = ("tail_strength", "tail_length", "fitting", "fitting_radius")
WORDS = {
    name: re.compile(pattern)
    for name, pattern in {
        "tail_strength": r"tdbf|tail.*(break|strength|mbl|dbf)",
        "tail_length": r"tail.*(length|l[aä]nge|\bm\b)|pendant length",
        "tail_material": r"tail",
        "ldbf": r"\bldbf|line design break|mindestbruch|^(?!.*ship).*\bmbl\b|breaking (load|force|strength)|bruchkraft",
        "sdmbl": r"sdmbl|ship design",
        "fitting_radius": r"(fairlead|roller|chock|klüse|pedestal).*radi",
        "fitting": r"fairlead.*(\bd\b|dia|ø)|roller.*(dia|\bd\b)|chock.*(dia|\bd\b)|klüse.*durchm|pedestal.*dia",
        "fairlead": r"fairlead|chock|klüse|chaumard",
        "diameter": r"diam|durchmesser|ø|\bdia\b|di[aá]metro|diamètre",
        "installed": r"install|in service|put into|einbau|eingesetzt|mise en service|date in\b",
        "retired": r"retire|removed|out of service|ausgemustert|ausgebaut|date out|discard",
        "end": r"end in use|end.for.end|^end\b",
        "onboard": r"on.?board|inboard|an bord",
        "outboard": r"out.?board|au(ß|ss)enbord",
        "winch": r"winch|winde|drum|treuil",
        "position": r"position|location|\bpos\b|platz|einsatz",
        "id": r"(\bline|rope|leine|trosse|hawser|amarre)[ -]?(id|no\.?|nr\.?|number|name|tag)?$"
        r"|^(id|no\.?|nr\.?|tag|name)$|serial",
    }.items()
}


@dataclass(frozen=True)
class LineRecord:
    """A line of a register: texts as they stand, strengths [N], diameters and lengths [m], NaN where missing.

    bend_ratio is D/d of the fairlead, NaN where it is not known; faults are the sentences about this line.
    """

    id: str
    position: str
    installed: str
    retired: str
    ldbf: float
    sdmbl: float
    diameter: float
    tail_length: float
    tail_strength: float
    fitting_diameter: float
    bend_ratio: float
    row: int
    faults: tuple[str, ...] = ()


def is_register(sheet: Sheet) -> bool:
    """Whether a sheet lists lines with strength or diameter and what belongs to a register."""
    found = set(find_head(sheet, WORDS).columns)
    own = found & {
        "installed",
        "retired",
        "winch",
        "onboard",
        "outboard",
        "tail_strength",
        "tail_length",
        "fitting",
        "position",
    }
    return "id" in found and bool(found & {"ldbf", "sdmbl", "diameter"}) and len(own) >= 2


def register_of(sheet: Sheet, source: Source, log: Log) -> Imported:
    """The lines of a register with every doubt about them."""
    columns = read_columns(sheet, WORDS, ("id", "ldbf", "sdmbl", "position"), log)
    ids = columns.texts("id")
    texts = {name: columns.texts(name) for name in ("position", "winch", "end", "tail_material", "fairlead")}
    values = {name: columns.figures(name, quantity) for name, quantity in (
        ("ldbf", "force"), ("sdmbl", "force"), ("tail_strength", "force"), ("diameter", "diameter"),
        ("fitting", "diameter"), ("fitting_radius", "diameter"), ("tail_length", "length"),
        ("onboard", "length"), ("outboard", "length"),
    )}  # fmt: skip
    values["fitting"] = np.where(np.isnan(values["fitting"]), 2.0 * values["fitting_radius"], values["fitting"])
    installed, retired = columns.dates("installed"), columns.dates("retired")
    judge = _Judge(columns, ids, tuple([] for _ in ids))
    judge.twice(ids)
    judge.dates(installed, retired)
    judge.strengths(values["ldbf"], values["sdmbl"])
    judge.tails(values["tail_strength"], values["tail_length"], values["sdmbl"])
    ratio = judge.bends(values["fitting"], values["diameter"])
    judge.tell(log)
    if np.isfinite(ratio).any():
        log.column("D/d", "number", "", ratio, because="fairlead over rope diameter")
    shown = [columns.cells(name) for name in ("installed", "retired")]
    told = {name: figures.tolist() for name, figures in values.items()}
    records = tuple(
        LineRecord(
            ids[n], texts["position"][n], shown[0][n].text, shown[1][n].text, told["ldbf"][n], told["sdmbl"][n],
            told["diameter"][n], told["tail_length"][n], told["tail_strength"][n], told["fitting"][n],
            float(ratio[n]), row.line, tuple(judge.faults[n]),
        )
        for n, row in enumerate(columns.rows)
    )  # fmt: skip
    read = len(columns.rows)
    report = log.report("records", "line register", source, read, read)
    return Imported(report, None, {**columns.values, "D/d": ratio}, dict(columns.told), records)


@dataclass(frozen=True)
class _Judge:
    """Holds the numbers of each line against each other; each sentence goes to the report and to its line."""

    columns: Columns
    ids: tuple[str, ...]
    faults: tuple[list[str], ...]
    sentences: dict[str, list[Sentence]] = field(default_factory=dict)

    def say(self, n: int, code: str, text: str) -> None:
        """One sentence about one line."""
        self.faults[n].append(text)
        sentence = Sentence(f"{self.ids[n] or 'a line without id'}: {text}", (self.columns.rows[n].line,))
        self.sentences.setdefault(code, []).append(sentence)

    def tell(self, log: Log) -> None:
        """Everything that was said, into the report."""
        for code, sentences in self.sentences.items():
            flag_each(log, code, "refused" if code in ERRORS else "caution", sentences)

    def twice(self, ids: tuple[str, ...]) -> None:
        """Ids that stand more than once, or not at all."""
        rows: dict[str, list[str]] = {}
        for name, row in zip(ids, self.columns.rows, strict=True):
            rows.setdefault(name, []).append(str(row.line))
        for n, name in enumerate(ids):
            if not name:
                self.say(n, "id-missing", "the line has no id")
            elif len(rows[name]) > 1:
                told = ", ".join(rows[name][:10])
                self.say(n, "id-twice", f"the id stands {len(rows[name])} times, in rows {told}")

    def dates(self, installed: list[float], retired: list[float]) -> None:
        """Retirement before installation, and years that no line in use has."""
        for n, (start, end) in enumerate(zip(installed, retired, strict=True)):
            if end < start:
                self.say(n, "dates-order", "it is retired before it is installed")
            for name, value in (("installed", start), ("retired", end)):
                if not DATES[0] < value < DATES[1] and not math.isnan(value):
                    self.say(n, "date-implausible", f"the date on which it was {name} is not plausible")

    def strengths(self, ldbf: Array, sdmbl: Array) -> None:
        """LDBF is 100 to 105 % of SDMBL; a tenth of that looks like tonnes."""
        for n, (own, ship) in enumerate(zip(ldbf, sdmbl, strict=True)):
            ratio = own / ship if ship > 0.0 else math.nan
            low, high = LINE_STRENGTH
            if 0.9 * low <= ratio * G <= 1.1 * high:
                text = (
                    f"LDBF {own / 1e3:g} looks like tf in a column of kN: {own / 1e3:g} tf are {own * G / 1e3:.1f} kN"
                )
                self.say(n, "strength-in-tonnes", text)
            elif not math.isnan(ratio) and not low - 5e-4 <= ratio <= high + 5e-4:
                text = f"LDBF is {100.0 * ratio:.1f} % of SDMBL, outside {100 * low:.0f} to {100 * high:.0f} %"
                self.say(n, "ldbf-outside", text)

    def tails(self, strength: Array, length: Array, sdmbl: Array) -> None:
        """A tail has 125 to 130 % of SDMBL and a length of some metres to tens of metres."""
        for n, (own, ship, metres) in enumerate(zip(strength, sdmbl, length, strict=True)):
            ratio = own / ship if ship > 0.0 else math.nan
            low, high = TAIL_STRENGTH
            if not math.isnan(ratio) and not low - 5e-4 <= ratio <= high + 5e-4:
                side = f"below {100 * low:.0f} %" if ratio < low else f"above {100 * high:.0f} %"
                self.say(n, "tail-strength", f"the tail has {100.0 * ratio:.1f} % of SDMBL, {side}")
            if not math.isnan(metres) and not TAIL_LENGTHS[0] <= metres <= TAIL_LENGTHS[1]:
                text = f"a tail of {metres:g} m is not plausible ({TAIL_LENGTHS[0]:g} to {TAIL_LENGTHS[1]:g} m)"
                self.say(n, "tail-length", text)

    def bends(self, fitting: Array, diameter: Array) -> Array:
        """D/d; unknown, not zero, where a diameter is missing or not plausible."""
        ratio = np.full(len(self.columns.rows), np.nan)
        for n, (outer, own) in enumerate(zip(fitting, diameter, strict=True)):
            if not math.isnan(own) and not DIAMETERS[0] <= own <= DIAMETERS[1]:
                self.say(n, "diameter-implausible", f"a rope of {own * 1e3:g} mm is not plausible (a circumference?)")
            elif math.isnan(outer) and (self.columns.has("fitting") or self.columns.has("fitting_radius")):
                self.say(n, "bend-unknown", "the diameter of the fairlead is missing: D/d is unknown")
            elif outer < FITTINGS[0] and FITTINGS[0] <= 1e3 * outer <= FITTINGS[1]:
                self.say(
                    n, "fitting-in-metres", f"D {outer * 1e3:g} looks like metres in a column of mm: D/d is unknown"
                )
            elif not FITTINGS[0] <= outer <= FITTINGS[1] and not math.isnan(outer):
                self.say(n, "fitting-implausible", f"a fairlead of {outer * 1e3:g} mm is not plausible: D/d is unknown")
            else:
                ratio[n] = outer / own
        return ratio
