"""The state that a running rope would settle at if a heave or a rest went on for ever, and whether there is one."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from linewright.physics import feedback
from linewright.physics.field import Stage, core
from linewright.physics.field_solve import FieldError
from linewright.physics.running_field import WILD, cold, steel_heat, strips
from linewright.physics.running_load import Exchange, Means, Scene, exchanges, field_rope, load_of, means_of
from linewright.physics.running_parts import Piece
from linewright.physics.types import Array

SETTLED = 0.01  # change of any temperature at which a steady state is found [K]
MOST = 200  # rounds


@dataclass(frozen=True)
class Settled:
    """What a piece that went on for ever would come to.

    Attributes
    ----------
    core : by cell; not a temperature that a rope reaches where `sustainable` is false [K]
    cells : the whole field [K]
    skin : by cell [K]
    steel : of each sheave [K]
    heat : made by bending, tension and creep, by cell [W/m]
    sustainable : whether the core stays below the melting range [-]
    """

    core: Array
    cells: Array
    skin: Array
    steel: Array
    heat: Array
    sustainable: bool


def settle(scene: Scene, piece: Piece) -> Settled:
    """The steady state of a heave or a rest, or the verdict that there is none below the melting range.

    Parameters
    ----------
    scene : rope, path, surroundings, cells [fields]
    piece : its duration plays no part [fields]

    Returns
    -------
    steady state [fields]

    Raises
    ------
    FieldError : heat and films do not settle though the core stays below the melting range

    From
    ----
    Linear steady fields, with heat, films and steel taken at the last one, begun cold.
    """
    means = means_of(piece, scene.fabric, scene.path, scene.grid)
    rope = field_rope(scene.fabric, means, scene.grid)
    state = cold(scene)
    steels = np.full(len(scene.path.sheaves), scene.around.air)
    for _ in range(MOST):
        found = exchanges(scene, piece, means, state.skin[0], steels)
        load = load_of(scene, piece, means, state.cells, found)
        stage = Stage(rope, load, WILD)
        new = stage.settle(state).state
        after = _steady_steels(scene, piece, means, found, new.skin[0])
        moved = max(float(np.max(np.abs(new.cells - state.cells))), float(np.max(np.abs(after - steels), initial=0.0)))
        state, steels = new, after
        axis = core(scene.grid, state.cells)
        if moved < SETTLED or float(np.max(axis)) > WILD:
            break
    heat = np.sum([np.sum(np.asarray(part) * scene.grid.volume, axis=(0, 1)) for part in load.heat.values()], axis=0)
    skin = strips(scene, piece, means, state.skin[0], steels)
    melting = scene.fabric.melting
    fine = bool(np.max(axis) < melting) and bool(np.max(skin) < melting)
    if fine and moved >= SETTLED:
        advice = "look at the surroundings: heat and film change too fast with temperature"
        raise FieldError("the steady state of a running rope did not settle", moved, advice)
    return Settled(axis, state.cells, skin, steels, heat / scene.grid.steps[2], fine)


def runs_away(scene: Scene, piece: Piece) -> bool:
    """Whether heat that could leave below melting grows so that no stable field exists, not even a hotter one.

    Parameters
    ----------
    scene : rope, path, surroundings, cells [fields]
    piece : its duration plays no part [fields]

    Returns
    -------
    True where heat grows faster with temperature than what carries it away [-]

    From
    ----
    `feedback.runs_away` of the steady fields with heat taken at given temperatures, films and steels at their own.
    """

    def respond(kelvin: Array) -> Array:
        return settle(replace(scene, held=kelvin), piece).cells

    return feedback.runs_away(respond, cold(scene).cells, scene.fabric.melting)


def _steady_steels(scene: Scene, piece: Piece, means: Means, found: list[Exchange], skin: Array) -> Array:
    """Steel at which what it takes up leaves, the rope's skin held: what the rope gives falls as the steel warms."""
    area, rows = scene.grid.area[0], []
    names = {part.to: part for part in found}
    for part, given in zip(scene.path.sheaves, steel_heat(scene, piece, means, found, skin), strict=True):
        made, from_rope, conductance, pull, _ = given
        joint = float(np.sum(area * names[part.name].coefficient))
        old = names[part.name].temperature
        rows.append((made + from_rope + joint * old + pull) / (conductance + joint))
    return np.array(rows)
