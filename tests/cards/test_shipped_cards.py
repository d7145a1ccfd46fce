"""The shipped cards load, cite what they rest on, keep within reason and name nobody."""

import hashlib
import math
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from linewright.base.data import Datum
from linewright.cards import form, loader
from linewright.cards.curves import all_curves
from linewright.cards.model import Card, Shelf

FOLDER = loader.SHIPPED
FILES = [path for path in sorted(FOLDER.rglob("*")) if path.suffix in (".toml", ".csv")]

# Estimates without a band, and why: they are definitions or choices, not quantities.
WITHOUT_BAND = {
    "ageing_reference_temperature": "the temperature at which the datum is stated",
    "bend_radius": "geometry of the example; a case gives its own",
    "bending_cycle_cap": "a limit of the law's use",
    "bending_minimum_ratio": "a limit of the law's use",
    "bending_reference_load": "definition of the anchor",
    "bending_reference_ratio": "definition of the anchor",
    "bending_reference_stroke": "definition of the anchor",
    "bending_tested_ratio": "a limit of the law's use",
    "compression_range": "threshold of a count; the band of the cycles carries the doubt",
    "compression_trough": "threshold of a count; the band of the cycles carries the doubt",
    "design_break_force": "describes the example rope; a certificate replaces it",
    "diameter": "describes the example rope; a certificate replaces it",
    "mass_per_length": "describes the example rope; a certificate replaces it",
    "partial_bend": "a choice: the warm end",
    "tension_design_factor": "a choice, kept apart from the curve",
    "tension_fatigue_exponent": "the band of the constant carries the doubt of the whole curve",
    "tension_fatigue_range_limit": "a limit of the law's use",
}

CREEP = ("creep_", "rupture_slope")
# Of wire curves; and the second process of creep, which no card has: without it creep at low stress is an upper bound.
OF_NO_FIBRE = {"tension_fatigue_mean_slope", "creep_network_rate_constant", "creep_network_activation_energy",
               "creep_network_volume"}  # fmt: skip
HMPE = ("hmpe-standard", "hmpe-low-creep", "hmpe-very-low-creep")
CREEP_LAW = {
    "activated": {"creep_rate_constant", "creep_activation_energy", "creep_activation_volume",
                  "creep_anchor_temperature", "creep_anchor_stress", "creep_crossover_stress",
                  "creep_high_stress_volume", "creep_retirement_strain"},
    "log-time": {"creep_strain_per_decade", "rupture_slope"},
}  # fmt: skip

# Brands, makers, ships and ports, as the first twelve digits of a SHA-256, so that this file names none.
NAMES = """
    04259e76a6a1 1589b543d206 15dafaa14e46 192414c114c6 1b02fb8402e1 28a516f0a673 2a1f0b59dd6d
    2fbd815570f9 3c26595b2bae 3ccf243960d5 41af0a57b59c 44559eb50687 4762caacdc26 48825f91ff80
    4ac6b1d4ae20 4cc3550a06e7 4db0ed1e03f1 51e2a46721d1 56fe43f748e2 5785b8e341b0 59c1de0763e8
    5d20c8201dd9 5f3b259a29bf 63a659cb271a 6919ef3b7ee7 6ca6986bec27 704e5e4ca7f4 7aa288232c02
    7b47eb22dc99 7cae14b0c0f1 80b4626db961 860c9d595446 87fb4fe50c1b 8d6c925e8dc5 8e31ffc36193
    95d3f3850f61 995a70184c5c a431d2af821b aabc98ba2519 ad2c57153cc2 b043864b7ffb c5c9304a1432
    ce635c4eabff cee7ea4e4089 d7cfe538c0fe e2107de831d5 e285cdd85064 e4a2634fb3d7 e4a5bfe43644
    e7286b7d6afa e76f96ad0464 ed1084021d36 f56a404c7973 f759b22535e1 fd48c210f069 ffcf2d2dd7b5
    9b4c6ef69ae6
"""
TRACES = re.compile(r"/home/|/tmp/|/work/|/root/|[A-Z]:\\|https?://|\b(chat|session|agent|prompt)s?\b", re.IGNORECASE)


def named(text: str) -> set[str]:
    """The words of a text that are on the list of names."""
    words = set(re.findall(r"[a-z0-9]+", text.lower()))
    return {word for word in words if hashlib.sha256(word.encode()).hexdigest()[:12] in NAMES.split()}


@pytest.fixture(scope="module")
def shelf() -> Shelf:
    return loader.load_shelf()


def cards(shelf: Shelf) -> Iterator[Card]:
    for kind in (shelf.fibres, shelf.ropes, shelf.contacts, shelf.practices):
        yield from kind.values()


def data(shelf: Shelf) -> Iterator[tuple[str, Datum]]:
    for card in cards(shelf):
        for datum in card.data.values():
            yield f"{card.name}: {datum.key}", datum


def test_shelf_when_shipped_holds_what_the_demo_needs(shelf: Shelf) -> None:
    assert {"hmpe-standard-12-strand", "polyester-parallel-strand", "polyester-tail-double-braid"} <= set(shelf.ropes)
    assert {"closed-chock", "roller", "bitt", "sheave", "steel-fairlead", "nylon-liner"} <= set(shelf.contacts)
    assert {"moored-line-one-mark", "cargo-bulk-loading"} <= set(shelf.practices)
    assert len(shelf.climates) == 6
    assert len(shelf.fibres) == 8


def test_sources_when_shipped_are_all_cited(shelf: Shelf) -> None:
    cited = {datum.source for _, datum in data(shelf)} | {card.source for card in shelf.climates.values()}
    cited |= {datum.source for curve in all_curves().values() for datum in curve.data.values()}

    assert cited == set(shelf.sources)


def test_datum_when_shipped_says_where(shelf: Shelf) -> None:
    assert [name for name, datum in data(shelf) if not datum.where] == []


def test_datum_when_from_memory_is_an_estimate(shelf: Shelf) -> None:
    recalled = [(name, datum) for name, datum in data(shelf) if shelf.sources[datum.source].seen == "memory"]

    assert recalled
    assert [name for name, datum in recalled if not datum.is_weak] == []


def test_literature_when_cited_was_seen(shelf: Shelf) -> None:
    for name, datum in data(shelf):
        if datum.basis in ("literature", "standard"):
            assert shelf.sources[datum.source].seen in ("full", "abstract", "second-hand"), name


def test_estimate_when_shipped_has_a_band_or_a_reason(shelf: Shelf) -> None:
    bare = {datum.key for _, datum in data(shelf) if datum.is_weak and not datum.has_band}

    assert bare <= set(WITHOUT_BAND)


def test_curve_when_an_estimate_has_a_band_away_from_its_fixed_point(shelf: Shelf) -> None:
    for name, datum in data(shelf):
        if datum.curve is not None:
            bare = [
                p
                for p, low, high in zip(datum.curve.points, datum.curve.low, datum.curve.high, strict=True)
                if low == high
            ]
            assert len(bare) <= 1, name


def test_curve_when_relative_is_one_at_twenty_degrees(shelf: Shelf) -> None:
    for fibre in shelf.fibres.values():
        for key in ("strength_factor", "stiffness_factor"):
            curve = fibre.data[key].curve
            assert curve is not None
            assert curve.value[curve.points.index(293.15)] == 1.0, fibre.name


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(FOLDER)))
def test_file_when_shipped_names_nobody(path: Path) -> None:
    text = path.read_text(encoding="utf-8")

    assert named(text) == set()
    assert TRACES.findall(text) == []
    assert text.isascii()


def test_named_when_a_listed_name_stands_in_a_text_finds_it() -> None:
    assert named("A rope by NobodysRopeBrand, 42 mm") == {"nobodysropebrand"}
    assert TRACES.search("see /home/x")
    assert TRACES.search(r"see C:\x")


def test_hmpe_grades_when_compared_differ_only_in_creep(shelf: Shelf) -> None:
    first, *others = (shelf.fibres[name].data for name in HMPE)

    for other in others:
        assert set(other) == set(first)
        for key in first:
            if key.startswith(CREEP) and key != "creep_unit_strength":
                continue
            mine, theirs = first[key], other[key]
            assert (mine.value, mine.low, mine.high) == (theirs.value, theirs.low, theirs.high), key
            assert (mine.source, mine.basis, mine.curve) == (theirs.source, theirs.basis, theirs.curve), key


def test_fibre_when_shipped_lacks_only_the_other_creep_law(shelf: Shelf) -> None:
    every = set(form.FibreData.model_fields)
    for fibre in shelf.fibres.values():
        law = fibre.words["creep_law"]
        other = CREEP_LAW["log-time" if law == "activated" else "activated"]
        assert every - set(fibre.data) == other | OF_NO_FIBRE, fibre.name


def test_rope_when_joined_with_its_fibre_is_packed_plausibly(shelf: Shelf) -> None:
    for name in shelf.ropes:
        rope = shelf.rope(name).data
        circle = math.pi * rope["diameter"].value ** 2 / 4.0
        fill = rope["mass_per_length"].value / (rope["density"].value * circle)
        assert 0.55 <= fill <= 0.80, name
        noted = re.search(r"circle\): (0\.\d\d)\.", shelf.ropes[name].note.replace("\n", " "))
        assert noted, name
        assert float(noted.group(1)) == pytest.approx(fill, abs=0.006), name


def test_rope_when_at_its_break_force_loads_the_fibre_below_its_strength(shelf: Shelf) -> None:
    strength = {
        "hmpe": 3.4e9,
        "polyester": 1.13e9,
        "polyamide": 0.8e9,
        "para": 3.0e9,
        "lcp": 3.0e9,
        "polypropylene": 0.55e9,
    }
    for name in shelf.ropes:
        rope = shelf.rope(name)
        stress = rope.data["design_break_force"].value * rope.data["density"].value / rope.data["mass_per_length"].value
        most = next(value for fibre, value in strength.items() if rope.words["fibre"].startswith(fibre))
        assert 0.2 <= stress / most <= 0.65, name


def test_limits_when_shipped_stand_in_order(shelf: Shelf) -> None:
    for fibre in shelf.fibres.values():
        limits = [fibre.data[key].value for key in ("long_term_limit", "short_term_limit", "melting_temperature")]
        assert limits == sorted(limits), fibre.name


def test_climate_when_shipped_is_what_its_name_says(shelf: Shelf) -> None:
    means = {
        name: sum((month.air_low + month.air_high) / 2.0 for month in climate.months) / 12.0 - 273.15
        for name, climate in shelf.climates.items()
        if climate.months
    }

    assert means == pytest.approx(
        {
            "hot-harbour-monthly": 29.2,
            "swell-coast-monthly": 21.4,
            "cold-quay-monthly": 4.0,
            "temperate-monthly": 10.9,
        },
        abs=0.1,
    )
    for climate in shelf.climates.values():
        assert "invented" in climate.title or climate.title.endswith("station, public typical year")
        for month in climate.months:
            assert month.dew_point <= month.air_low + 0.5
