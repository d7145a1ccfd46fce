"""Lines in a sea state: spectrum, cycles, extremes, against closed forms, other methods and the referee."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from linewright.assessment import sea
from linewright.assessment.duty import Elastic, duty_of
from linewright.base.errors import InputError
from linewright.base.units import Load
from linewright.case.model import Response, State, Tension, Wave
from linewright.importers.curves import Curve, read_curve
from linewright.physics import cycles, realisation, spectra, spectral_fatigue
from linewright.physics.spectra import Spectrum

SWELL = Wave(1.6, 14.0, 5.0)
CONSTANT = Response(tension=40e3)
TWO_BANDS = spectra.combined(spectra.band(0.005, 0.015, 400.0), spectra.band(0.08, 0.12, 100.0))


def state_of(response: Response, *waves: Wave, sea_file: str = "") -> State:
    tension = Tension(Load(0.25, "LDBF"), None, None, 10.0, "significant", response=response)
    return State("swell", 1.0, 0.0, {"line": tension}, sea=waves, sea_file=sea_file)


def answer(state: State, curves=None) -> sea.Answer:
    return sea.answer(state, state.tension["line"], curves or {})


def test_sea_when_the_response_is_one_number_then_the_deviation_is_a_quarter_of_the_height_times_it() -> None:
    """By hand: sigma of the wave is Hs/4 = 0.4 m, times 40 kN/m is 16 kN."""
    found = answer(state_of(CONSTANT, SWELL))

    assert found.deviation == pytest.approx(16e3, rel=1e-9)
    assert 0.6 * 14.0 < found.zero_crossing < 14.0
    assert found.weights.sum() == pytest.approx(1.0)
    assert not found.is_motion


def test_sea_when_parts_add_then_variances_add() -> None:
    """By hand: 1.6, 0.8 and 0.4 m: sqrt(1.6^2 + 0.8^2 + 0.4^2)/4 m times 40 kN/m = 18.33 kN."""
    parts = (SWELL, Wave(0.8, 6.0), Wave(0.4, 0.0, band=(30.0, 300.0)))
    found = answer(state_of(CONSTANT, *parts))

    assert found.deviation == pytest.approx(40e3 * np.sqrt(1.6**2 + 0.8**2 + 0.4**2) / 4.0, rel=1e-6)


@pytest.mark.parametrize("method", ["narrow-band", "Dirlik", "Tovo-Benasciutti"])
def test_cycles_of_a_sea_make_the_damage_of_their_method(method: str) -> None:
    """The table of amplitudes carries the damage of the closed form at slopes of 3 and 5."""
    parts = (SWELL, Wave(0.2, 0.0, band=(30.0, 300.0)))
    state = state_of(replace(CONSTANT, method=method), *parts)
    found = answer(state)
    spectrum, _ = sea.spectrum_of(state, state.tension["line"].response, {}, "")

    mixture = spectral_fatigue.METHODS[method](spectra.moments(spectrum))
    for exponent in (3.0, 5.0):
        ours = found.rate * np.sum(found.weights * (2.0 * found.deviation * found.amplitudes) ** exponent)
        assert ours == pytest.approx(spectral_fatigue.damage_rate(mixture, exponent, 1.0), rel=2e-3)


def test_cycles_of_histories_make_the_damage_of_the_referee() -> None:
    """Two flat bands apart (SP-03: 67 to 200 s and 8 to 12.5 s, 20 and 10 kN), where closed forms are low."""
    frequency = np.array([0.005, 0.015, 0.0151, 0.0799, 0.08, 0.12])
    density = 1e6 * np.array([400.0 / 0.01, 400.0 / 0.01, 0.0, 0.0, 100.0 / 0.04, 100.0 / 0.04])
    curves = {"bands.csv": Curve(frequency, density, "spectrum of tension")}
    counted, closed = (state_of(Response(spectrum="bands.csv", method=method)) for method in ("histories", "Dirlik"))
    spectrum, _ = sea.spectrum_of(counted, counted.tension["line"].response, curves, "")
    told = realisation.referee(spectrum, (5.0, 1.0), 1.0, 2**15, range(100, 116))

    def damage(state: State) -> float:
        item = answer(state, curves)
        return item.rate * float(np.sum(item.weights * (2.0 * item.deviation * item.amplitudes) ** 5.0))

    assert damage(counted) == pytest.approx(told.rate, rel=0.03 + 4.0 * told.standard_error)
    assert damage(closed) < 0.9 * damage(counted)
    assert sea.has_bands_apart(closed, closed.tension["line"], curves)
    assert not sea.has_bands_apart(counted, counted.tension["line"], curves)
    assert not sea.has_bands_apart(state_of(CONSTANT, SWELL), state_of(CONSTANT, SWELL).tension["line"], {})


@pytest.mark.slow
def test_cycles_of_a_sea_agree_with_rainflow_of_seeded_histories() -> None:
    """Referee: rainflow (ASTM E1049-85) of 12 seeded histories; Dirlik lies within 15 % and three standard errors."""
    state = state_of(CONSTANT, SWELL, Wave(0.6, 0.0, band=(40.0, 120.0)))
    found = answer(state)
    spectrum, _ = sea.spectrum_of(state, state.tension["line"].response, {}, "")
    told = realisation.referee(spectrum, (5.0, 1.0), 0.5, 2**15, range(12))
    ours = found.rate * np.sum(found.weights * (2.0 * found.deviation * found.amplitudes) ** 5.0)

    assert abs(ours / told.rate - 1.0) < 0.15 + 3.0 * told.standard_error


def test_sea_when_the_response_is_a_table_then_only_what_it_covers_answers(tmp_path: Path) -> None:
    """A response that is 40 kN/m from 10 to 20 s and zero elsewhere: less than the constant one, the rest is said."""
    path = tmp_path / "response.csv"
    path.write_text("period,response\ns,kN/m\n20,40\n15,40\n10,40\n")
    curves = {"response.csv": read_curve(path)}
    state = state_of(Response(file="response.csv"), Wave(1.6, 12.0))
    found, whole = answer(state, curves), answer(state_of(CONSTANT, Wave(1.6, 12.0)))

    covered = 1.0 - sea.left_out(state, state.tension["line"], curves)
    assert 0.3 < covered < 0.9
    assert found.deviation == pytest.approx(whole.deviation * np.sqrt(covered), rel=1e-3)


def test_sea_when_the_table_of_responses_misses_it_then_it_is_refused_with_both_periods(tmp_path: Path) -> None:
    """A table in Hz read as seconds: 0.05 to 0.2 s. A JONSWAP sea of 14 s has nothing there."""
    path = tmp_path / "response.csv"
    path.write_text("period,response\ns,kN/m\n0.2,5\n0.1,20\n0.05,40\n")
    curves = {"response.csv": read_curve(path)}

    with pytest.raises(InputError, match="does not answer to the sea") as caught:
        answer(state_of(Response(file="response.csv"), SWELL), curves)
    (problem,) = caught.value.problems
    assert problem.read.startswith("responses to waves of 0.05 s to 0.2 s")
    longest = float(problem.needs.split(" to ")[2].removesuffix(" s"))
    assert 14.0 < longest < 18.0  # little energy lies below 0.8/Tp of a peaked sea


def test_sea_when_it_is_calm_then_a_table_of_responses_leaves_nothing_out(tmp_path: Path) -> None:
    path = tmp_path / "response.csv"
    path.write_text("period,response\ns,kN/m\n20,40\n10,40\n")
    curves = {"response.csv": read_curve(path)}
    state = state_of(Response(file="response.csv"), Wave(0.0, 8.0))

    assert answer(state, curves).deviation == 0.0
    assert sea.left_out(state, state.tension["line"], curves) == 0.0


@pytest.mark.parametrize(
    ("unit", "response"), [("m2/Hz", CONSTANT), ("m2/Hz", Response(spectrum="f.csv")), ("kN2/Hz", None)]
)
def test_spectrum_when_its_file_is_all_zeros_then_it_is_refused(tmp_path: Path, unit: str, response) -> None:
    path = tmp_path / "f.csv"
    path.write_text(f"frequency [Hz],density [{unit}]\n0.05,0\n0.06,0\n0.08,0\n")
    state = state_of(response or Response(spectrum="f.csv"), sea_file="f.csv")

    with pytest.raises(InputError, match="holds no spectrum") as caught:
        answer(state, {"f.csv": read_curve(path)})
    assert caught.value.problems[0].read == "a density of 0 at all 3 frequencies"


def test_sea_when_a_buoy_measured_it_then_the_height_is_that_of_its_spectrum(tmp_path: Path) -> None:
    path = tmp_path / "waves.csv"
    path.write_text("frequency [Hz],density [m2/Hz]\n0.05,0\n0.06,4\n0.08,4\n0.09,0\n")
    found = answer(state_of(CONSTANT, sea_file="waves.csv"), {"waves.csv": read_curve(path)})

    assert found.deviation == pytest.approx(40e3 * np.sqrt(0.02 * 4.0 + 0.01 * 4.0), rel=1e-9)  # trapezium by hand


@pytest.fixture
def plan(make_case):
    """Duty of the fixture's line in a sea: constant response, or motion."""
    case = make_case()
    line = case.lines[0]
    berth = case.berths[0]

    def duty(response: Response, assessed: Elastic | None = None, same="load"):
        tension = Tension(Load(0.25, "LDBF"), None, None, 10.0, "significant", response=response)
        state = replace(berth.states[0], tension={line.name: tension}, sea=(SWELL,), share=1.0)
        changed = replace(case, berths=(replace(berth, states=(state,)),))
        own = Elastic(1.2e6, 55.0)
        return duty_of(changed, line, (own, assessed or own), None, same), line, own

    return duty


def test_duty_in_a_sea_has_the_longuet_higgins_maximum(plan) -> None:
    """mean + sigma sqrt(2 ln N), N the zero crossings of the call (Longuet-Higgins 1952)."""
    duty, _, _ = plan(CONSTANT)
    found = answer(state_of(CONSTANT, SWELL))
    number = duty.call_hours[0] * 3600.0 / found.zero_crossing

    assert duty.swing[0] == pytest.approx(2.0 * 16e3, rel=1e-9)
    assert duty.highest[0] == pytest.approx(duty.mean[0] + 16e3 * np.sqrt(2.0 * np.log(number)))
    assert np.sum(duty.weight[0] * duty.amplitude[0] ** 2) > 0.0


def test_duty_when_a_motion_is_imposed_then_the_tension_is_stiffness_times_it(plan) -> None:
    """By hand: 0.05 m/m times Hs/2 = 0.04 m significant, times EA/L of the line without tail."""
    duty, line, own = plan(Response(motion=0.05))
    length = line.inboard_length.value + line.outboard_length

    assert duty.swing[0] == pytest.approx(0.05 * 1.6 / 2.0 * own.stiffness * own.design_break_force / length, rel=1e-6)


def test_duty_when_the_ship_moves_the_same_then_a_softer_rope_swings_less(plan) -> None:
    soft = Elastic(1.2e6, 27.5)
    stiff, _, _ = plan(CONSTANT)
    same_motion, _, _ = plan(CONSTANT, soft, "motion")
    same_load, _, _ = plan(CONSTANT, soft, "load")

    assert same_motion.swing[0] == pytest.approx(0.5 * stiff.swing[0], rel=1e-6)
    assert same_load.swing[0] == pytest.approx(stiff.swing[0])


def test_words_of_other_methods_give_heat_and_damage_by_hand() -> None:
    """Two lines of 5 m2 and 2 m2 at 0.04 and 0.11 Hz, nearly: narrow bands of 0.1 mHz.

    By hand: m0 = 7, m2 = 5 0.04^2 + 2 0.11^2 = 0.0322, m4 = 5 0.04^4 + 2 0.11^4 = 3.0562e-4. Heat goes as the sum of
    the parts' rates times 2 s^2. Narrow-band: sqrt(0.0322/7) 14 = 0.067823 14 = 0.94952. Tovo-Benasciutti: m1 = 0.42,
    alpha1 = 0.42/sqrt(0.2254) = 0.88465, alpha2 = 0.0322/sqrt(7 3.0562e-4) = 0.69617; inner = 1.112 (1 + 0.61587
    - 1.58082) e^1.46892 + 0.18848 = 0.35781; b = 0.18848 0.35781/0.30383^2 = 0.73056;
    b nu0 14 + (1 - b) nup 0.69617^2 14, nup = sqrt(3.0562e-4/0.0322) = 0.097423: 0.69368 + 0.17811 = 0.87179.
    """
    frequency = np.array([0.03995, 0.04005, 0.04006, 0.10994, 0.10995, 0.11005])
    density = 1e6 * np.array([5e4, 5e4, 0.0, 0.0, 2e4, 2e4])
    curves = {"lines.csv": Curve(frequency, density, "spectrum of tension")}
    state = state_of(Response(spectrum="lines.csv", method="Tovo-Benasciutti"))
    text = sea.other_methods(state, state.tension["line"], curves)

    assert text.startswith("cycles by Tovo-Benasciutti; heat, and damage at slopes 5 and 9, would be narrow-band 1.1, ")
    assert "; Dirlik " in text
    assert sea._ratio(
        spectra.moments(Spectrum(frequency, density)), "narrow-band", "Tovo-Benasciutti", 2.0
    ) == pytest.approx(0.94952 / 0.87179, rel=1e-4)


@pytest.mark.parametrize(
    ("method", "heat"), [("narrow-band", (1.5, 1.6)), ("Dirlik", (0.95, 1.05)), ("Tovo-Benasciutti", (0.95, 1.05))]
)
def test_heat_when_two_bands_lie_apart_then_the_caution_says_how_far_it_is_off(method: str, heat) -> None:
    """Referee: rainflow of eight seeded histories of two bands apart (SP-03), slope 2 as heat goes."""
    told = realisation.referee(TWO_BANDS, (2.0, 1.0), 0.25, 2**17, range(8))
    mixture = spectral_fatigue.METHODS[method](spectra.moments(TWO_BANDS))
    ratio = spectral_fatigue.damage_rate(mixture, 2.0, 1.0) / told.rate

    assert heat[0] < ratio < heat[1]
    assert ("1.6 times the heat" in sea.doubt_of(method)) == (method == "narrow-band")


@pytest.mark.parametrize("exponent", [2.0, 5.0, 9.0])
def test_histories_when_sampled_as_they_are_then_crests_between_values_cost_little(exponent: float) -> None:
    """By hand: a crest is up to half a step from a value; the mean of 1 - cos(x) over half a step of 1/32 of a period
    is (pi/32)^2/6 = 0.16 %, so at most 0.32 % of the heat, m times 0.16 % of the damage. Against four times as many."""
    step, number = sea._length(TWO_BANDS)
    found = np.zeros(2)
    for seed in range(4):
        fine = realisation.realise(TWO_BANDS, step / 4.0, number, np.random.default_rng(seed))
        for n, history in enumerate((fine[::4], fine)):
            rows = cycles.rainflow(history)
            found[n] += np.sum(rows[:, 2] * rows[:, 0] ** exponent)

    assert 1.0 - exponent * (np.pi / sea.PER_PERIOD) ** 2 / 6.0 < found[0] / found[1] < 1.0


def test_cycles_when_the_sea_is_flat_then_there_are_none(plan) -> None:
    duty, _, _ = plan(Response(tension=0.0))

    assert duty.swing[0] == 0.0
    assert duty.highest[0] == duty.mean[0]
    assert cycles.rayleigh_bins(np.array(0.0))[0].shape == duty.amplitude[0].shape


def test_energy_when_the_rope_is_one_spring_then_it_is_that_of_the_spring() -> None:
    """By hand: F = 600 kN, l = 60 m, EA = 55 x 1.2 MN: F^2 l/(2 EA) = 163.6 kJ."""
    rope = Elastic(1.2e6, 55.0)

    assert rope.energy(60.0, 0.0, 600e3) == pytest.approx(600e3**2 * 60.0 / (2.0 * 55.0 * 1.2e6))


def test_energy_when_the_mean_is_put_on_slowly_then_it_is_larger() -> None:
    """By hand: (0.3^2/25 + (0.5^2 - 0.3^2)/55)/2 times 1.2 MN times 60 m = 234.3 kJ."""
    rope = Elastic(1.2e6, 55.0, quasi_static=25.0)

    assert rope.energy(60.0, 360e3, 600e3) == pytest.approx(1.2e6 * 60.0 * 0.5 * (0.09 / 25.0 + 0.16 / 55.0), rel=1e-9)
    assert rope.energy(60.0, 360e3, 600e3) == pytest.approx(234.3e3, rel=1e-3)
