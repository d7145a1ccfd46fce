"""Heat made in the section, and the steady section with it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linewright.base.units import ZERO_CELSIUS
from linewright.physics import film, heat, profile, section

Inputs = Mapping[str, Any]
NO_RESISTANCE = 1e12


def _span(given: Inputs, to_air: float) -> profile.Span:
    made = np.asarray(given["q"] * np.pi * given["r"] ** 2)
    return profile.Span(np.asarray(to_air), np.asarray(section.mean_resistance(given["k"])), made, np.zeros(()))


def heated_cylinder(given: Inputs) -> dict[str, Any]:
    """Centre over surface of an evenly heated cylinder."""
    return {"dT": _span(given, 0.0).core}


def cooled_cylinder(given: Inputs) -> dict[str, Any]:
    """Surface, centre and mean of an evenly heated cylinder in a stream."""
    diameter = 2.0 * given["r"]
    span = _span(given, float(section.surface_resistance(diameter, given["h"])))
    core = section.core_rise(span.inside, diameter, given["k"], given["h"])
    air = given["T_inf"]
    return {"T_surface": air + span.face, "T_centre": air + core, "T_area_mean": air + span.mean}


def scaled_steady_core(given: Inputs) -> dict[str, Any]:
    """Scaled steady rise of the centre at a Biot number: k (T - Tinf)/(q R^2) with q, R, k of one."""
    return {"steady": section.core_rise(np.pi, 2.0, 1.0, given["Bi"])}


def core_over_surface(given: Inputs) -> dict[str, Any]:
    """Core over surface for heat per metre."""
    return {"core - surface": 2.0 * given["q_line"] * section.mean_resistance(given["k"])}


def free_span(given: Inputs) -> dict[str, Any]:
    """Core of a free span."""
    rise = section.core_rise(given["q_line"], given["d"], given["k_r"], given["h"])
    return {"core": given["air"] + rise}


def fin(given: Inputs) -> dict[str, Any]:
    """Decay length where the section conducts without resistance, as in the fin equation."""
    length = profile.decay_length(0.5 * given["d"], (NO_RESISTANCE, given["k_axial"]), given["h"])
    return {"decay_length": length}


def decay_beyond_contact(given: Inputs) -> dict[str, Any]:
    """1/e length beyond a contact with the section's own resistance."""
    return {
        "length": 100.0 * profile.decay_length(0.5 * given["d"], (given["k_r"], np.array(given["k_z"])), given["h"])
    }


def grey_radiation(given: Inputs) -> dict[str, Any]:
    """Linearised radiation."""
    coefficient = film.radiation_coefficient(given["eps"], given["T_s"], given["T_sur"])
    return {"h_rad": coefficient, "flux": coefficient * (given["T_s"] - given["T_sur"])}


def viscoelastic_loss(given: Inputs) -> dict[str, Any]:
    """Hysteresis heat of one square metre of fibre, and of rope with its fill."""
    stiffness, share = given["E_storage"], given["fill"]
    amplitude = stiffness * given["strain_amplitude"]

    def made(area: float, period: float) -> Any:
        return heat.hysteresis_heat(given["tan_delta"], area * amplitude, area * stiffness, period)

    period = 1.0 / given["f"]
    return {"loss_per_cycle": made(1.0, 1.0), "q_fibre": made(1.0, period), "q_rope": made(share, period)}


def lumped(given: Inputs) -> dict[str, Any]:
    """Time constant of a bare rope."""
    return {"tau": section.lumped_time_constant(given["rho"] * given["c"], given["d"], given["h"])}


def hysteresis_of_a_line(given: Inputs) -> dict[str, Any]:
    """Hysteresis heat of a line's sine tension."""
    stiffness = given["K_d"] * given["LDBF"]
    return {"q_t": heat.hysteresis_heat(given["eta"], given["F_a"], stiffness, given["P"])}


def rise_per_bend(given: Inputs) -> dict[str, Any]:
    """First temperature rise of a bend cycle at a load."""
    stress = section.fibre_stress(given["load"] * given["LDBF"], given["rho_f"], given["m_l"])
    capacity = given["rho_f"] * given["c"]
    return {"rise": heat.adiabatic_rise_per_bend(np.array(given["c_b"]), stress, given["D_over_d"], capacity)}


def fill_and_stress(given: Inputs) -> dict[str, Any]:
    """Fill and fibre stress at break."""
    return {
        "fill": section.fill(given["m_l"], given["rho_f"], given["d"]),
        "stress": section.fibre_stress(given["LDBF"], given["rho_f"], given["m_l"]) / 1e9,
    }


def tilted_strand(given: Inputs) -> dict[str, Any]:
    """Conductivities of a strand that lies at an angle to the axis."""
    tilt = np.radians(given["angle"])
    along, across, between = section.tilted_conductivity(given["k_fibre"], given["k_transverse"], tilt)
    return {"k_xx": across, "k_zz": along, "k_xz": between}


def sky(given: Inputs) -> dict[str, Any]:
    """Clear-sky temperature."""
    kelvin = film.sky_temperature(given["air"] + ZERO_CELSIUS, given["dew_point"] + ZERO_CELSIUS, 0.0)
    return {"sky": kelvin - ZERO_CELSIUS}


SUBJECTS = {
    part.__name__: part
    for part in (
        heated_cylinder, cooled_cylinder, scaled_steady_core, core_over_surface, free_span, fin, decay_beyond_contact,
        grey_radiation, viscoelastic_loss, lumped, hysteresis_of_a_line, rise_per_bend, fill_and_stress, sky,
        tilted_strand,
    )
}  # fmt: skip
