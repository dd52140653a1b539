"""ASTM B777-15, Standard specification for tungsten base, high-density metal, Table 1.

Density ranges of the four classes, as shown in a published excerpt of the table.
"""

import pytest

from balance.metal.materials import material


@pytest.mark.parametrize(
    ("grade", "low", "high"),
    [(1, 16.85, 17.30), (2, 17.15, 17.85), (3, 17.75, 18.35), (4, 18.25, 18.85)],
)
def test_density_range(grade: int, low: float, high: float) -> None:
    alloy = material(f"tungsten alloy class {grade}")
    assert (alloy.low_g_cm3, alloy.high_g_cm3) == (low, high)
    assert low <= alloy.density_g_cm3 <= high
