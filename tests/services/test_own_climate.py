"""A climate card of one's own: a copy that reads as its base does, its air moved if asked."""

from pathlib import Path
from typing import Any

import pytest

from linewright.base.errors import CardError, InputError
from linewright.cards import loader
from linewright.services.demo import write_demo
from linewright.services.jobs import Request, run_job
from linewright.services.own_card import Certificate, new_card
from linewright.services.own_climate import shifted

BASE = "hot-harbour-monthly"
NONE = Certificate()


@pytest.fixture
def study(tmp_path: Path) -> Path:
    write_demo(tmp_path / "study")
    return tmp_path / "study"


def test_climate_when_copied_says_what_its_base_says(study: Path) -> None:
    said = new_card(study, "our-quay", BASE, NONE)

    shelf = loader.load_shelf(study / "cards")
    own, base = shelf.climates["our-quay"], shelf.climates[BASE]
    assert (own.months, own.latitude, own.basis, own.source) == (base.months, base.latitude, base.basis, base.source)
    assert (own.origin, own.title) == ("own", f"{base.title}, our-quay")
    assert said[-1] == 'climate = "our-quay"'


def test_climate_when_shifted_is_warmer_in_every_month_and_says_so(study: Path) -> None:
    new_card(study, "our-quay", BASE, NONE, "5 K")

    shelf = loader.load_shelf(study / "cards")
    own, base = shelf.climates["our-quay"], shelf.climates[BASE]
    for month, before in zip(own.months, base.months, strict=True):
        for key in ("air_low", "air_high", "dew_point"):
            assert getattr(month, key) == pytest.approx(getattr(before, key) + 5.0)
        assert (month.wind, month.cloud, month.day_spread) == (before.wind, before.cloud, before.day_spread)
    assert (own.basis, own.where.endswith("shifted by 5 K")) == ("estimate", True)


def test_climate_when_shifted_heats_the_rope_that_lies_in_it(study: Path) -> None:
    case, base = study / "case.toml", "swell-coast-monthly"
    text = case.read_text("utf-8").replace("samples = 2048", "samples = 256")
    new_card(study, "our-quay", base, NONE, "5 K")

    def states(climate: str) -> dict[str, Any]:
        case.write_text(text.replace(f'"{base}"', f'"{climate}"'), "utf-8")
        return {f"{row['berth']} {row['name']}": row for row in run_job(Request(study, False))["ropes"][0]["states"]}

    before, after = states(base), states("our-quay")
    moved = {key for key, row in after.items() if row["air_temperature"] != before[key]["air_temperature"]}
    assert moved
    for key in moved:  # the hot hour may be another one, so that its own air moves by more or less
        core = [states[key]["core_temperature"]["p50"] for states in (before, after)]
        assert core[0] + 4.0 < core[1] < core[0] + 6.0


def test_table_when_it_has_remarks_other_units_and_columns_keeps_them() -> None:
    text = "# mine\nmonth,air_low,air_high,gusts,dew_point\nmonth,degF,K,m/s,degC\n1,50,300.25,9,3\n"

    assert shifted(text, -2.0) == (
        "# mine\nmonth,air_low,air_high,gusts,dew_point\nmonth,degF,K,m/s,degC\n1,46.4,298.25,9,1\n"
    )


WRONG = {
    "unit": ("our-quay", BASE, NONE, "5 degC", "a difference is written in K"),
    "hours": ("our-quay", "hot-typical-year", NONE, "5 K", "a monthly card"),
    "rope": ("ours", "hmpe-standard-12-strand", NONE, "5 K", "a climate card"),
    "value": ("our-quay", BASE, Certificate(("air=30 degC",), "a.pdf"), "", "a climate card"),
    "name": ("Our quay", BASE, NONE, "", "small letters"),
}


@pytest.mark.parametrize("name", WRONG)
def test_climate_when_it_cannot_be_made_is_refused_and_nothing_is_written(study: Path, name: str) -> None:
    *given, words = WRONG[name]

    with pytest.raises(InputError) as caught:
        new_card(study, *given)

    assert words in caught.value.render()
    assert not (study / "cards").exists()


def test_climate_when_shifted_beyond_what_a_card_may_say_is_refused(study: Path) -> None:
    with pytest.raises(CardError, match="cannot be used"):
        new_card(study, "our-quay", BASE, NONE, "40 K")

    assert not (study / "cards").exists()


def test_climate_when_its_table_is_there_is_refused_and_leaves_it(study: Path) -> None:
    folder = study / "cards" / "climates"
    folder.mkdir(parents=True)
    (folder / "our-quay.csv").write_text("mine", "utf-8")

    with pytest.raises(InputError, match="not written"):
        new_card(study, "our-quay", BASE, NONE)

    assert (folder / "our-quay.csv").read_text("utf-8") == "mine"


def test_climate_when_hour_by_hour_or_confidential_is_copied_as_such(study: Path) -> None:
    new_card(study, "our-year", "hot-typical-year", Certificate(confidential=True))

    own = loader.load_shelf(study / "cards").climates["our-year"]
    assert own.hourly == loader.load_shelf().climates["hot-typical-year"].hourly
    assert (own.confidential, own.sealed) == (True, True)
