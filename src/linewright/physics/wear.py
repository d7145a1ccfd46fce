"""Losses that need no cycle count: external abrasion, sunlight, ageing."""

from __future__ import annotations

import numpy as np

from linewright.physics.types import GAS_CONSTANT, Real


def abrasion_area_rate(wear_coefficient: Real, sliding_power: Real, friction: Real, arc: Real) -> Real:
    """Fibre area rubbed off per second at a sliding contact, k_w (P/mu) / arc.

    Parameters
    ----------
    wear_coefficient : depth per pressure and sliding distance [m2/N]
    sliding_power : friction power over the arc [W]
    friction : friction coefficient, above zero [-]
    arc : length of rope on the contact [m]

    Returns
    -------
    area lost per second by the rope on the arc [m2/s]

    From
    ----
    Archard 1953: depth rate k_w p v; p v summed over the patch is friction power over mu.
    """
    return wear_coefficient * sliding_power / (friction * arc)


def sunlight_loss_rate(yarn_loss: Real, dose: Real, depth: Real, diameter: Real, irradiance: Real) -> Real:
    """Loss of ln strength per second by sunlight on the outer layer of a rope.

    Parameters
    ----------
    yarn_loss : strength lost by bare yarn over the dose [-]
    dose : sunlight of that year [J/m2]
    depth : depth that loses like bare yarn [m]
    diameter : rope diameter [m]
    irradiance : global irradiance that reaches the fibre [W/m2]

    Returns
    -------
    loss of ln strength per second [1/s]

    From
    ----
    Area share of the layer, 1 - (1 - 2 depth/d)^2, times the yarn's -ln(1 - loss) per dose.
    """
    share = 1.0 - np.square(np.maximum(1.0 - 2.0 * depth / diameter, 0.0))
    return -np.log1p(-np.asarray(yarn_loss)) / dose * share * irradiance


def arrhenius(activation_energy: Real, temperature: Real, reference: Real) -> Real:
    """Rate over the rate at a reference temperature, exp[E/R (1/T_ref - 1/T)].

    Parameters
    ----------
    activation_energy : E [J/mol]
    temperature : local temperature [K]
    reference : reference temperature [K]

    Returns
    -------
    factor, 1 at the reference [-]

    From
    ----
    Arrhenius 1889; check value CR-05 (mean over a daily wave).
    """
    return np.exp(activation_energy / GAS_CONSTANT * (1.0 / reference - 1.0 / temperature))
