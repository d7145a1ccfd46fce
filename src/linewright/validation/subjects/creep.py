"""Creep laws: rates, cycle averages, log time, rupture."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from scipy import optimize

from linewright.assessment.temperature import activated
from linewright.base.units import ZERO_CELSIUS, parse
from linewright.cards.loader import load_shelf
from linewright.physics import creep, cycles, wear
from linewright.physics.types import BOLTZMANN, GAS_CONSTANT
from linewright.validation.subjects import bench

Inputs = Mapping[str, Any]
NEVER = 1e12
AVOGADRO = GAS_CONSTANT / BOLTZMANN


def eyring_units(given: Inputs) -> dict[str, Any]:
    """Conversion of published constants with our units and our constants of nature."""
    volume = parse(f"{given['V']} A3", "molecular_volume")
    per_mole = volume * parse("1 GPa", "stress") * AVOGADRO
    return {
        "Ea_molar": parse(f"{given['Ea']} eV", "molar_energy") / 1e3,
        "V_times_1GPa": per_mole / parse("1 eV", "molar_energy"),
        "V_molar": 1e6 * volume * AVOGADRO,
    }


def stepwise(given: Inputs) -> dict[str, Any]:
    """Creep strain of steps of temperature and stress, forwards and backwards."""
    law = creep.Activated(given["e0"], given["Q"], given["V_molar"] / AVOGADRO, NEVER, 0.0)
    steps = [float(creep.creep_rate(law, stress, kelvin)) * time for kelvin, stress, time in given["steps_T_sigma_t"]]
    return {"step_strains": steps, "total": sum(steps), "total, backwards": sum(reversed(steps))}


def daily_wave(given: Inputs) -> dict[str, Any]:
    """Mean Arrhenius factor over a day's wave, and the constant temperature that does the same."""
    phase = 2.0 * np.pi * np.arange(1440) / 1440.0
    mean = given["T_mean"]
    factor = float(np.mean(wear.arrhenius(given["Q"], mean + given["amplitude"] * np.cos(phase), mean)))

    def excess(kelvin: float) -> float:
        return float(wear.arrhenius(given["Q"], kelvin, mean)) - factor

    same = optimize.brentq(excess, mean, mean + 30.0, xtol=1e-12)
    return {"rate_factor": factor, "T_equivalent": same - ZERO_CELSIUS}


def log_time(given: Inputs) -> dict[str, Any]:
    """Log-time creep, and its rate at the end from a step of a ten-thousandth of the time."""
    end, half = given["t"], 5e-5 * given["t"]
    later, earlier = (creep.log_time_strain(given["c"], end + step, given["t0"]) for step in (half, -half))
    return {
        "strain": creep.log_time_strain(given["c"], end, given["t0"]),
        "rate_at_end": (later - earlier) / (2.0 * half),
    }


def larson_miller(given: Inputs) -> dict[str, Any]:
    """Parameter of a rupture time, the time at another temperature, and what the activated law carries it to."""
    parameter = given["T1"] * (given["C"] + np.log10(given["t1"]))
    law = activated(bench.draws(load_shelf(), {}, given["rope"]), 1)
    rates = [np.asarray(creep.creep_rate(law, given["sigma"], kelvin)).item() for kelvin in (given["T1"], given["T2"])]
    return {
        "LMP": parameter,
        "t2": 10.0 ** (parameter / given["T2"] - given["C"]),
        "t2 by the shipped law": given["t1"] * rates[0] / rates[1],
    }


def discard_strain(given: Inputs) -> dict[str, Any]:
    """Creep strain that retires a shipped fibre."""
    return {name: 100.0 * load_shelf().fibres[name].data["creep_retirement_strain"].value for name in given["fibres"]}


def two_processes(given: Inputs) -> dict[str, Any]:
    """What a second process takes of a stress, and the rate with it."""
    network = creep.Network(
        given["rate_22"] / np.exp(-given["H1"] / (GAS_CONSTANT * given["T"])), given["H1"], given["v1"]
    )
    law = activated(bench.draws(load_shelf(), {}, given["rope"]), 1)

    def rate(mean: Any) -> Any:
        return creep.creep_rate(law, mean, given["T"])

    left = np.asarray(creep.behind_network(network, given["sigma"], given["T"], rate)).item()
    return {
        "threshold": np.asarray(creep.network_stress(network, given["rate"], given["T"])) / 1e6,
        "sum of the two stresses": (left + np.asarray(creep.network_stress(network, rate(left), given["T"])).item())
        / 1e6,
    }


def cycle_average(given: Inputs) -> dict[str, Any]:
    """Averages over sine, Gaussian and Rayleigh stress, in units of kT/v, below the crossover."""
    kelvin, volume = given["T"], given["v"]
    unit = BOLTZMANN * kelvin / volume
    law = creep.Activated(1.0, 0.0, volume, NEVER, 0.0)
    size = given["x"] * unit
    amplitudes, weights = cycles.rayleigh_bins(np.asarray(size))
    rate = creep.creep_rate(law, 5.0 * unit, kelvin)
    return {
        "sine": creep.cycle_mean_rate(law, 5.0 * unit, (size, True), kelvin) / rate,
        "Gaussian": creep.cycle_mean_rate(law, 5.0 * unit, (size, False), kelvin) / rate,
        "Rayleigh mean of the sine factor": np.sum(weights * creep.sine_factor(law, amplitudes, kelvin)),
        "rise with true stress": creep.stress_exponent(law, 2.0 * unit, 0.0, kelvin),
    }


def crest_above_crossover(given: Inputs) -> dict[str, Any]:
    """Averages where the crests pass the crossover stress, over the rate at the mean."""
    law = creep.Activated(1.0, 0.0, given["v"], given["s1"], given["v2"])
    rate = creep.creep_rate(law, given["mean"], given["T"])
    swings = {"sine": (given["amplitude"], True), "Gaussian": (given["deviation"], False)}
    return {name: creep.cycle_mean_rate(law, given["mean"], swing, given["T"]) / rate for name, swing in swings.items()}


def card_rate(given: Inputs) -> dict[str, Any]:
    """Creep rate of a shipped rope's fibre at stresses and temperatures."""
    law = activated(bench.draws(load_shelf(), {}, given["rope"]), 1)
    rates = [np.asarray(creep.creep_rate(law, 1e6 * stress, t + ZERO_CELSIUS)).item() for t, stress in given["T_sigma"]]
    return {
        "rate": rates,
        "rate per day": [86400.0 * 100.0 * rate for rate in rates],
        "rate per hour": [3600.0 * 100.0 * rate for rate in rates],
    }


def strand_rupture(given: Inputs) -> dict[str, Any]:
    """Stress rupture of the shipped aramid card at a load."""
    slope = load_shelf().rope("para-aramid-12-strand").data["rupture_slope"].value
    return {"time": creep.rupture_time(given["load"], slope) / 3600.0}


SUBJECTS = {
    part.__name__: part
    for part in (
        eyring_units, stepwise, daily_wave, log_time, cycle_average, crest_above_crossover, card_rate, strand_rupture,
        larson_miller, discard_strain, two_processes,
    )
}  # fmt: skip
