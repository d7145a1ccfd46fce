"""Makes the invented tension record of the demo: harbour surge of 60 to 120 s with a little swell on top.

Random phases, fixed seed; nothing was measured. Run it to write the CSV again:
    python examples/surge_record.py src/linewright/services/demo_study/harbour-surge.csv
"""

import sys
from pathlib import Path

import numpy as np

MEAN, SURGE, SWELL = 258.0, 49.0, 9.0  # [kN] mean, standard deviations of surge and swell
STEP, DURATION = 1.0, 3 * 3600.0  # [s]


def record(seed: int = 20260) -> tuple[np.ndarray, np.ndarray]:
    """Time [s] and tension [kN] of three hours."""
    random = np.random.default_rng(seed)
    time = np.arange(0.0, DURATION, STEP)
    tension = np.full(time.shape, MEAN)
    for deviation, shortest, longest in ((SURGE, 60.0, 120.0), (SWELL, 11.0, 17.0)):
        frequencies = np.linspace(1.0 / longest, 1.0 / shortest, 60)
        amplitude = deviation * np.sqrt(2.0 / len(frequencies))
        phases = random.uniform(0.0, 2.0 * np.pi, len(frequencies))
        tension += amplitude * np.cos(2.0 * np.pi * frequencies[:, None] * time + phases[:, None]).sum(axis=0)
    return time, np.maximum(tension, 0.0)


def main() -> None:
    """Write the record with a row of names and a row of units."""
    time, tension = record()
    rows = [f"{t:.0f},{f:.1f}" for t, f in zip(time, tension, strict=True)]
    head = ["# invented record of a forward spring, harbour surge; three hours at 1 Hz", "time,tension", "s,kN"]
    Path(sys.argv[1]).write_text("\n".join([*head, *rows]) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
