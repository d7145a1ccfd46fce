"""Tension-fatigue curves by name: each has a source and plausible data; a rope card can name one."""

from pathlib import Path

import pytest

from linewright.base.errors import CardError
from linewright.cards import form, loader
from linewright.cards.curves import KEYS, all_curves, curves_for

ROPE = """
format = 1
kind = "rope"
title = "Rope of a test"
fibre = "polyester"
construction = "invented"
tension_curve = "{name}"
[data]
{more}
"""
OWN = 'tension_fatigue_constant = { value = "9", basis = "estimate", source = "judgement" }'


@pytest.fixture
def own(tmp_path: Path) -> Path:
    (tmp_path / "ropes").mkdir()
    return tmp_path


def write(own: Path, name: str, more: str = "") -> None:
    (own / "ropes" / "mine.toml").write_text(ROPE.format(name=name, more=more), encoding="utf-8")


@pytest.mark.parametrize("name", sorted(all_curves()))
def test_curve_when_listed_cites_a_known_source_and_is_plausible(name: str) -> None:
    curve, sources = all_curves()[name], loader.read_sources()
    assert curve.title
    assert set(curve.data) >= {"tension_fatigue_exponent", "tension_fatigue_constant"}
    for key, datum in curve.data.items():
        meaning = form.key_of(form.FibreData, key)
        assert datum.kind == meaning.kind
        assert meaning.least <= datum.value <= meaning.most
        assert datum.source in sources
        assert datum.where


def test_curves_when_asked_for_a_fibre_are_those_of_its_material() -> None:
    polyester = ["polyester-9", "polyester-5", "polyester-13"]
    assert [curve.name for curve in curves_for("polyester")] == polyester
    assert [curve.name for curve in curves_for("hmpe-standard")] == polyester  # stand-ins: HMPE has no public curve
    assert [curve.name for curve in curves_for("polyamide-wet")] == ["polyamide-wet-9", "polyamide-hawser-5"]
    assert curves_for("polypropylene") == ()


def test_shipped_fibre_when_it_rests_on_a_curve_has_that_curves_constants() -> None:
    # The fibre cards and the list of curves tell the same numbers; the cards add the band.
    fibres = loader.load_shelf().fibres
    for fibre, name in (("polyester", "polyester-9"), ("hmpe-standard", "polyester-9"),
                        ("polyamide-wet", "polyamide-wet-9")):  # fmt: skip
        for key, datum in all_curves()[name].data.items():
            assert fibres[fibre].data[key].value == datum.value


def test_rope_when_it_names_a_curve_has_its_data_and_else_the_fibres(own: Path) -> None:
    write(own, "polyester-13")
    shelf = loader.load_shelf(own)
    named, plain = shelf.rope("mine"), shelf.rope("polyester-8-strand")
    assert [named.data[key].value for key in KEYS if key in named.data] == [13.46, 0.259, 0.4]
    assert named.data["tension_fatigue_constant"].source == "polyester-steep-curve"
    assert not named.data["tension_fatigue_constant"].has_band
    assert plain.data["tension_fatigue_constant"] == shelf.fibres["polyester"].data["tension_fatigue_constant"]
    assert "tension_curve" not in plain.words


def test_rope_when_its_curve_has_no_range_limit_keeps_none_of_the_fibres(own: Path) -> None:
    write(own, "chain-studlink")
    assert "tension_fatigue_range_limit" not in loader.load_shelf(own).rope("mine").data


def test_rope_when_its_curve_is_unknown_is_told_the_nearest(own: Path) -> None:
    write(own, "polyester-12")
    with pytest.raises(CardError) as caught:
        loader.load_shelf(own)
    text = caught.value.render()
    assert "mine.toml:7  tension_curve" in text
    assert "did you mean polyester-1" in text


def test_rope_when_it_names_a_curve_and_types_another_constant_is_refused(own: Path) -> None:
    write(own, "polyester-13", OWN)
    with pytest.raises(CardError, match="cannot be used"):
        loader.load_shelf(own)
