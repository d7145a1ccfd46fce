"""The six texts for an owner: fatigue, bending, abrasion, creep, heat, cold. Numbers are filled in, words stay here.

A template never holds a number of its own. Each paragraph says what happens, what it takes here, and what would
change it most.
"""

from __future__ import annotations

ORDER = ("fatigue", "bending", "abrasion", "creep", "heat", "cold")
MECHANISM = {"fatigue": "tension", "bending": "bending", "abrasion": "abrasion", "creep": "creep"}

INTRO = "The rope on board: {rope}."
WHAT = {
    "fatigue": "Every wave stretches the line and lets it go, and each stretch wears the fibres a little.",
    "bending": "Where the rope runs over steel it is bent and straightened as the line stretches, and fibres rub on "
    "each other inside it.",
    "abrasion": "Where the rope slides on steel its outside wears away.",
    "creep": "A rope under steady pull grows longer for good, faster when it is pulled harder or is warmer, until the "
    "fibre is spent.",
    "rupture": "A rope under steady pull weakens with time, even if nothing moves.",
    "heat": "A warm rope is weaker and ages faster.",
    "cold": "A cold rope creeps and ages less; a storm pulls it no less.",
}
SHARE = "This takes {share} of the strength that the rope loses before it is finished."
LITTLE = "It plays next to no part here: {share} of the strength lost."
NOT_ASSESSED = "It is not assessed for this rope: there are no data for it. A life would be an upper bound."
CONFIDENTIAL = "! Made with confidential data and in full: for an owner hand out answer.html, which leaves them out."
NOT_COMPARABLE = "The rope gets no life on these fittings ({reason}), so there is no share to give."
MOST = "The largest part ({part}) comes in {state}: {hours} hours a year at {mean} kN{swing}."
SWING = ", swinging {amplitude} kN either way every {period} s"
CHANGE = {
    "fatigue": "What would change it most: smaller swings. Swings a tenth smaller leave {factor} of it.",
    "bending": "What would change it most: a wider bend. The rope goes round the {contact} at {ratio} times its own "
    "thickness; a quarter more gives {factor} times the bending cycles.",
    "abrasion": "What would change it most: a smoother surface. Rust or a weld that wears {rough} times as "
    "hard would take {taken}.",
    "creep": "What would change it most: less steady pull in the warm hours, or a fibre that creeps less.",
    "creep rope": "On this duty {rope} lasts {ratio} times as long ({low} to {high}).",
}
PAYOUT = "Tending matters as well: {spread} m of rope pass the mark during a state, so the bend moves along the rope."
NARROW = "What would make the figure surer: {test}."
HEAT = (
    "The middle of the rope reaches {core} C ({low} to {high}) in {state}; its limit for long use is {limit} C, "
    "{room}. The face at the steel reaches {skin} C. Of the {rise} K above air {sources}."
)
HEAT_NO_LIMIT = (
    "The middle of the rope reaches {core} C ({low} to {high}) in {state}; its card names no limit. The face at the "
    "steel reaches {skin} C. Of the {rise} K above air {sources}."
)
NOT_SUSTAINABLE = "In {state} it cannot last: steady heat takes the middle of the rope to its melting range."
ROOM = "{kelvin} K below"
OVER = "which it passes by {kelvin} K"
SOURCES = {
    "sun": "the sun gives {value} K",
    "sliding": "friction on the steel gives {value} K",
    "bending": "bending gives {value} K",
    "hysteresis": "stretching gives {value} K",
    "contact": "sun-warmed steel gives {value} K",
    "creep": "creep gives {value} K",
    "sky": "the cold sky takes {value} K",
    "evaporation": "drying takes {value} K",
}
REMEDY = {
    "sun": "What would change it most: shade, or a cover that throws sunlight back.",
    "sliding": "What would change it most: less rope between fitting and drum, so that less slides, or a roller that "
    "turns.",
    "bending": "What would change it most: a wider bend, or less rope between fitting and drum.",
    "hysteresis": "What would change it most: smaller swings of tension.",
    "contact": "What would change it most: shade on the fitting.",
    "creep": "What would change it most: less steady pull.",
}
COLD_HOURS = "In its coldest hours the air is {air} C."
COLDEST = "The coldest hours are those at {berth}, with air of {air} C."
COLD_CREEP = "{creep} of the year's creep falls at that berth."
LEAST = (
    "The smallest reserve of strength is {margin} times the highest pull, {highest} kN, in {state}. What would change "
    "it most: a lower highest pull there; 10 % less pull gives {better} times. Ice in or on the rope is not assessed."
)
NO_STATES = "No state has any hours, so there is nothing to say."
PERCENT_SMALL = "less than 1 %"


def percent(share: float) -> str:
    """A share in whole per cent; small ones in words, none as 0 %."""
    if share <= 0.0:
        return "0 %"
    return PERCENT_SMALL if share < 0.01 else f"{100.0 * share:.0f} %"
