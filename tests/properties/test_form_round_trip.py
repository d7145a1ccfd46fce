"""A case written back from its form is the same case: by hypothesis over units, bands and lists."""

import tomllib
from importlib import resources

import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from linewright.base.form import fill
from linewright.base.tables import tables_of
from linewright.case.form import CaseForm

DEMO = tomllib.loads((resources.files("linewright.services") / "demo_study" / "case.toml").read_text("utf-8"))

lengths = st.sampled_from(["12 m", "1200 cm", "40 ft", "9 fathom", "7.25 m"])
loads = st.sampled_from(["25 %LDBF", "7.31 %SDMBL", "310 kN", "31.6 tf", "70 kip"])
swings = st.sampled_from(["3.75 %LDBF", "0 kN", "45.5 kN"])
bands = st.sampled_from(["12 m", {"value": "12 m", "low": "10 m", "high": "15 m"}])
months = st.lists(st.integers(1, 12), unique=True, max_size=12)


def again(form: CaseForm) -> CaseForm:
    """The form read from its own tables, through the text of a TOML file."""
    text = tomlkit.dumps(tables_of(form))
    return fill(CaseForm, tomllib.loads(text), text, "case.toml")


@given(lengths, bands, loads, swings, months, st.sampled_from([256, 2048]))
def test_case_when_written_back_then_it_is_the_same(outboard, inboard, mean, swing, chosen, samples) -> None:
    raw = tomllib.loads(tomlkit.dumps(DEMO))
    raw["line"][0].update(outboard_length=outboard, inboard_length=inboard)
    raw["berth"][0]["months"] = chosen
    raw["spread"]["samples"] = samples
    tension = raw["berth"][0]["state"][0]["tension"]["forward springs"]
    tension.update(mean=mean, amplitude=swing)
    form = fill(CaseForm, raw, "", "case.toml")

    assert again(form) == form
    assert again(again(form)) == form
