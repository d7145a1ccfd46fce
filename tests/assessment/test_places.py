"""What no line can be: contacts beyond its end or on each other, swings beyond the mean, means beyond the strength."""

import pytest

from linewright.assessment.central import prepared
from linewright.assessment.judge import above_strength
from linewright.base.errors import InputError

CHOCK = '[[line.contact]]\ncard = "closed-chock"\nbend_radius = "0.2 m"\nwrap = "60 deg"\n'
TYPED = 'mean = "25 %LDBF", amplitude = "8 %LDBF"'


def at(*metres: str) -> tuple[str, str]:
    """The small case with a named chock at each place; its line is 15 m inboard and 40 m outboard."""
    chocks = [f'{CHOCK}name = "c{n}"\n' + (f'inboard_length = "{metre} m"\n' if metre else "")
              for n, metre in enumerate(metres)]  # fmt: skip
    return CHOCK, "".join(chocks)


@pytest.mark.parametrize("metre", ["55", "54.95"])
def test_contact_at_the_end_of_the_line_is_refused(make_case, shelf, metre: str) -> None:
    """By hand: 0.2 m x 60 deg = 0.2094 m of rope on it, half of which must lie before the 55 m."""
    with pytest.raises(InputError) as caught:
        prepared(make_case(at(metre)), shelf)

    (problem,) = caught.value.problems
    assert problem.where.endswith('line "springs" > contact "c0" > inboard_length')
    assert problem.where.startswith("case.toml:")
    assert problem.read == f"{metre} m, with 0.209 m of rope on it"
    assert problem.needs == "less than 54.8953 m: the line ends at 55 m"


@pytest.mark.parametrize("metres", [("5", "5.2"), ("5.2", "5"), ("15.1", "")])
def test_contacts_on_each_other_are_refused(make_case, shelf, metres: tuple[str, ...]) -> None:
    """By hand: two chocks with 0.2094 m of rope on each need 0.2094 m between their middles."""
    with pytest.raises(InputError, match="cannot be") as caught:
        prepared(make_case(at(*metres)), shelf)

    (problem,) = caught.value.problems
    assert problem.needs == "at least 0.209 m between them: 0.209 m and 0.209 m of rope lie on them"


@pytest.mark.parametrize("metres", [("54.89",), ("5", "5.21"), ("", ""), ("5", "")])
def test_contacts_beside_each_other_or_whose_places_are_not_told_are_taken(make_case, shelf, metres) -> None:
    assert len(prepared(make_case(at(*metres)), shelf)[0].setup.subject.contacts) == len(metres)


@pytest.mark.parametrize(
    ("swing", "most"),
    [('mean = "20 kN", amplitude = "8 %LDBF"', "30 kN"), ('mean = "5 %SDMBL", amplitude = "110 kN"', "101.2 kN")],
)
def test_swing_beyond_the_mean_is_refused_in_unlike_units_too(make_case, shelf, swing: str, most: str) -> None:
    """By hand: 1.5 x 20 kN; 1.5 x 5 % of 1350 kN = 101.25 kN."""
    with pytest.raises(InputError, match="swings too far") as caught:
        prepared(make_case((TYPED, swing)), shelf)

    assert f"at most {most}" in caught.value.problems[0].needs


@pytest.mark.parametrize(
    "way", ['response = "20 kN/m"', 'motion = "0.2 m", amplitude_kind = "constant", period = "9 s"']
)
def test_motion_about_no_tension_is_refused(make_case, way: str) -> None:
    sea = 'share = "30 %"\nsea = [{ height = "1 m", period = "9 s" }]\n'
    with pytest.raises(InputError, match="a mean above 0"):
        make_case(
            ('{ mean = "25 %LDBF", amplitude = "8 %LDBF", amplitude_kind = "significant", period = "14 s" }',
             f'{{ mean = "0 kN", {way} }}'),
            ('share = "30 %"\n', sea if "response" in way else 'share = "30 %"\n'),
        )  # fmt: skip


def test_mean_beyond_the_break_force_is_said(make_case, shelf) -> None:
    setup = prepared(make_case((TYPED, 'mean = "120 %LDBF", amplitude = "8 %LDBF"')), shelf)[0].setup
    (finding,) = above_strength(setup.subject, setup.duty)

    assert (finding.code, finding.severity) == ("tension-above-strength", "refused")
    assert "exceeds the break force 1380 kN in hot berth, swell" in finding.text
