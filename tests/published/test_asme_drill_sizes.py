"""ASME B94.11M, Twist Drills: number and letter sizes.

The sizes are from memory of the standard and of Machinery's Handbook (editions not checked); those
of numbers 1, 2, 3, 4, 7, 10, 21 and 25 and letters A and Z were compared with a published list of
drill bit sizes.
"""

import pytest

from balance.job.drills import drill

SEEN_IN = {
    "#1": 0.2280,
    "#2": 0.2210,
    "#3": 0.2130,
    "#4": 0.2090,
    "#7": 0.2010,
    "#10": 0.1935,
    "#21": 0.1590,
    "#25": 0.1495,
    "A": 0.234,
    "Z": 0.413,
}
FROM_MEMORY_IN = {"#30": 0.1285, "#40": 0.0980, "#52": 0.0635, "#60": 0.0400, "#80": 0.0135}
FROM_MEMORY_IN |= {"F": 0.257, "E": 0.250, "I": 0.272, "Q": 0.332, "U": 0.368, "X": 0.397}


@pytest.mark.parametrize(("name", "inches"), list((SEEN_IN | FROM_MEMORY_IN).items()))
def test_size(name: str, inches: float) -> None:
    assert drill(name).diameter_mm / 25.4 == pytest.approx(inches, abs=1e-9)  # printed exactly
