"""A wrong study of a running rope is refused with file, line, what was read and what is needed."""

from collections.abc import Callable
from importlib import resources
from pathlib import Path

import pytest

from linewright.base.errors import InputError, LinewrightError
from linewright.case.running.form import read_running

GOOD = (resources.files("linewright.services") / "running_study" / "deep-sea.toml").read_text(encoding="utf-8")
Writer = Callable[[str], Path]
HEAVE = GOOD[GOOD.index('motion = "heave"') : GOOD.index("tension = ")]
TRAVEL = 'motion = "travel"\nstart = "30 m"\nend = "1500 m"\nspeed = "{}"\ntension_period = "10 s"\n'

WIRE = '[wire_rope]\ndiameter = "60 mm"\nwire_strength = "1770 MPa"\nb0 = 1\nb1 = -1\nb2 = 5\nb4 = -1\n{}\n[water]'

# What is changed in the example, into what, and words of the one problem that must follow.
BAD = {
    "period 0": ('period = "10 s"', 'period = "0 s"', "a period from 0.5 s to 5 min"),
    "amplitude 0": ('amplitude = "2 m"', 'amplitude = "0 m"', 'for none write motion = "rest"'),
    "amplitude larger than the rope": ('amplitude = "2 m"', 'amplitude = "1600 m"', "at most 3000 m paid out"),
    "amplitude beyond the path": ('payout = "1500 m"', 'payout = "20 m"', "the path to the last span"),
    "heave too fast": ('amplitude = "2 m"', 'amplitude = "200 m"', "at most 20 m/s at its fastest"),
    "heave with a speed": ('period = "10 s"', 'period = "10 s"\nspeed = "1 m/s"', "a key of another motion"),
    "payout negative": ('payout = "1500 m"', 'payout = "-5 m"', "a paid-out length from 0 to 20 km"),
    "payout longer than the rope": ('payout = "1500 m"', 'payout = "3500 m"', "at most 3000 m paid out"),
    "no spray data": (GOOD[GOOD.index("[spray]") : GOOD.index("[water]")], "", "add the table [spray]"),
    "no sea data": (GOOD[GOOD.index("[water]") : GOOD.index("# From")], "", "add the table [water]"),
    "sheaves overlap": ('kind = "span"\nlength = "6 m"\nsurroundings',
                        'kind = "sheave"\ndiameter = "1 m"\nwrap = "20 deg"\nsurroundings', "two sheaves that overlap"),
    "sheave at the drum": ('kind = "span"\nlength = "8 m"', 'kind = "sheave"\ndiameter = "1 m"\nwrap = "9 deg"',
                           "right behind the drum"),
    "no amplitude kind": ('amplitude_kind = "constant"\n', "", "the key amplitude_kind"),
    "unknown key": ('wind = { value', 'winds = { value', "did you mean wind?"),
    "no unit": ('length = "8 m"', 'length = "8"', "write the unit"),
    "rest with a period": ('motion = "heave"', 'motion = "rest"', "a key of another motion"),
    "ends on a sheave": (GOOD[GOOD.index('[[path]]\nname = "sheave to sea"') : GOOD.index("[[phase]]")], "",
                         "a span to the rope's end behind it"),
    "last span with a length": ('kind = "span"\nsurroundings = "water"',
                                'kind = "span"\nlength = "9 m"\nsurroundings = "water"', "last span goes to the"),
    "name twice": ('name = "deflector"\n', 'name = "drum to deflector"\n', "that no other part of the path has"),
    "dew point above the air": ('"23 degC"', '"29 degC"', "at most the air's temperature"),
    "travel that crawls": (HEAVE, TRAVEL.format("0.0001 m/s"), "a speed from 0.001 to 20 m/s"),
    "travel without end": (HEAVE, TRAVEL.replace("1500", "9900").format("0.0015 m/s"), "at most 60 days"),
    "wire rope without coefficients": ("[water]", WIRE.replace("b0 = 1", "").format(""), "b0"),
    "bent length alone": ("[water]", WIRE.format('bent_length = "4 m"'), "the key b5 beside it"),
    "bent length at the pole": ("[water]", WIRE.format('b5 = -2\nbent_length = "4 m"'), "a longer bend has less life"),
    "ranges that cross": ("[water]", WIRE.format("lowest_ratio = 40\nhighest_ratio = 20"), "at most highest_ratio, 20"),
    "no runs a year": ("[water]", "[service]\nduties_per_year = 0\n[water]", "from 0.01 to 100 000"),
    "wind beyond all": ('value = "3 m/s"', 'value = "300 m/s"', "a wind from 0 to 40 m/s"),
}  # fmt: skip


@pytest.fixture
def write(tmp_path: Path) -> Writer:
    def study(text: str) -> Path:
        path = tmp_path / "running.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return study


@pytest.mark.parametrize("name", BAD)
def test_study_when_something_cannot_be_says_where_and_what(name: str, write: Writer) -> None:
    old, new, words = BAD[name]
    assert old in GOOD, name

    with pytest.raises(InputError) as caught:
        read_running(write(GOOD.replace(old, new, 1)))

    assert words in caught.value.render()
    assert "running.toml:" in caught.value.render()
    assert caught.value.exit_code == 2


def test_study_when_much_is_wrong_lists_it_all(write: Writer) -> None:
    text = GOOD.replace('period = "10 s"', 'period = "0 s"').replace('"28 degC"', '"280 degC"')
    with pytest.raises(InputError) as caught:
        read_running(write(text))
    assert len(caught.value.problems) == 2


def test_study_when_repeated_without_end_is_refused(write: Writer) -> None:
    more = "".join(GOOD[GOOD.index("[[phase]]") :].replace("heave compensation", f"heave {n}") for n in range(2, 5))
    with pytest.raises(InputError, match="at most 400 phases"):
        read_running(write(GOOD.replace("format = 1", "format = 1\nrepeat = 101") + more))


def test_study_when_empty_says_how_to_get_one(write: Writer) -> None:
    with pytest.raises(InputError, match="--example"):
        read_running(write(""))


def test_study_when_missing_says_so(tmp_path: Path) -> None:
    with pytest.raises(LinewrightError, match="There is no running study"):
        read_running(tmp_path / "none.toml")


def test_study_when_right_keeps_every_typed_number_with_its_line(write: Writer) -> None:
    study = read_running(write(GOOD))
    places = {(datum.owner, datum.key): datum.source for datum in study.typed}
    line = GOOD[: GOOD.index('period = "10 s"')].count("\n") + 1
    assert places["heave compensation", "period"] == f"running.toml:{line}"
    assert study.data["spray_film"].basis == "estimate"
    assert (study.data["spray_film"].low, study.data["spray_film"].high) == (100.0, 1000.0)


def test_study_when_as_cold_as_it_may_be_is_read(write: Writer) -> None:
    text = GOOD.replace('"28 degC"', '"-40 degC"').replace('"23 degC"', '"-40 degC"')
    assert read_running(write(text)).data["air"].value == pytest.approx(233.15)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('period = "10 s"', 'period = "0.1 s"'),  # too short, and the heave too fast
        ('wrap = "90 deg"', 'wrapp = "90 deg"'),  # an unknown key, and one that is not there
        ('payout = "1500 m"', 'payout = "-5 m"'),  # below 0, and below the path
        ("format = 1", "format = 1\nrepeat = 1000"),  # too many, and with the phases too many
        ("wind = {", "winds = {"),  # an unknown key, and one that is not there, of the form itself
        ('amplitude_kind = "constant"', 'amplitude_kinds = "constant"'),
    ],
)
def test_study_when_one_thing_is_wrong_says_so_once(write: Writer, old: str, new: str) -> None:
    assert GOOD.count(old) == 1
    with pytest.raises(InputError) as caught:
        read_running(write(GOOD.replace(old, new)))
    assert len(caught.value.problems) == 1
