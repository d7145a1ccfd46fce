"""The words of the page: headings, sentences and captions, in one place."""

from __future__ import annotations

LASTS = "{rope}, rope A on board, lasts {years} ({low} to {high} years) on this duty; {end}."
REFUSED = "{rope}, rope A on board, is not comparable: {reason}."
ENDS = "{by} at the {at}, {line}, ends it"
NOT_REACHED = "its end is {told}"
OUTLASTS = "{rope} lasts {ratio} times as long ({low} to {high})."
FIRM, TABLE, BANDS, LINE = "What is best known", "The ropes", "Years until it is finished", "From drum to shore"
STAIRS, WIDE, CAUTIONS = "What heats the core", "What makes the band wide", "Cautions"
RESTS, STAMP = "What it rests on", "This result"
DUTY = "The duty"
SHIP = "The ship's design break load (SDMBL) is {force}."
INVENTED = "invented: no place has this weather"
BERTHS_NOTE = "Berths, the time alongside, and the weather that was taken."
CONTACTS_NOTE = "Contacts from drum to shore."
SWING_NOTE = (
    "Tensions of the rope on board. Swing: half the range; of an irregular sea two standard deviations (significant)."
)
RATIO = "{ratio} times the life of A ({low} to {high})"
TOO_WIDE = "too wide to say: {low} to {high} times the life of A"
ODDS = "outlives A in {same} of 100 draws, {apart} if their laws are unrelated"
WEAK = "estimates on both sides"
MARGIN = "{margin} ({low} to {high}) times the highest pull, {highest}"
SUSTAINED = (
    "{margin} ({low} to {high}) times the mean pull, {mean}, if strength falls with the time that a load is held; "
    "the creep law does not confirm this reading"
)
NOT_SUSTAINABLE = "not sustainable: steady heat takes the core to its melting range"
ABOVE = "above the working load limit, half of the ship's design break load"
BAND_NOTE = (
    "Bar: P10 to P90, eight draws in ten. Dot: P50, half of the draws. Beyond {horizon} years nothing is counted."
)
UNDERLINE = (
    "Underline: solid for measured or calibrated, dashed for given, standard, literature or derived, dotted where a "
    "number rests on an estimate. The weakest datum decides."
)
TABLE_NOTE = "Years; P10, P50 and P90 from the bands of all data, central with every datum at its central value."
LINE_NOTE = "Core temperature in the hot hour, the hour that 5 % of this state's time exceeds; P10 to P90 beside it."
SCALE = "Core temperature, C"
LIMIT = "dotted: limit for long use, {limit} C"
STAIRS_NOTE = (
    "From air to core at the {place}, central run, in K. Hollow: takes heat away. Air is that of the hour whose core "
    "5 % of the state's time exceeds, so it differs between states of one berth."
)
WIDE_NOTE = "Share of the spread of life on board, and what would narrow it."
NOT_TOLD = "maker's data, on file: the steps would tell them."
COUNT = "{count} data: {parts}."
MADE_UP = "Invented for examples, for no product and no place: data of {owners}."
NOT_FULL = "{count} of the sources were not read in full:"
ALL_READ = "All sources were read in full."
CLIENT = "Made for a client: confidential data are withheld."
SOURCE_WORDS = {
    "hysteresis": "stretching of the rope", "bending": "bending", "sliding": "friction on the steel", "sun": "sun",
    "contact": "sun-warmed steel", "creep": "creep", "sky": "cold sky", "evaporation": "drying", "rest": "rest",
}  # fmt: skip
