"""Measures speed.

python -m bench             every figure, one JSON line each
python -m bench NAME ...    these figures
python -m bench --list      their names and what they measure

A ratio is taken within one run, from medians, with the two sides in turn: a busy machine slows both.
"""

from __future__ import annotations

import json
import sys

from bench import field, fleet, imports, misfit, window
from bench.figures import FIGURES as OTHERS

FIGURES = {
    **OTHERS,
    "import_small": imports.small,
    "import_large": imports.large,
    "line_year": imports.line_year,
    "field_steady": field.hot_spot,
    "field_ratio": field.hot_spot_ratio,
    "field_time": field.hot_spot_time,
    "field_year": field.section,
    "field_spread": field.spread,
    "misfit": misfit.misfit,
    "window": window.window,
    "life_deep": fleet.deep,
    "life_fleet": fleet.fleet,
}


def main(arguments: list[str]) -> int:
    """Measure what is asked; exit code 2 for a name that is not there."""
    if "--list" in arguments:
        for name, figure in FIGURES.items():
            print(f"{name:<22} {' '.join((figure.__doc__ or '').split())}")
        return 0
    unknown = [name for name in arguments if name not in FIGURES]
    if unknown:
        print(f"no figure {', '.join(unknown)}; there are: {', '.join(FIGURES)}", file=sys.stderr)
        return 2
    for name in arguments or FIGURES:
        for row in FIGURES[name]():
            print(json.dumps({"name": name, **row}), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
