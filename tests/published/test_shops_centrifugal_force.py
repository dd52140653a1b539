"""Forces printed by engine balancing shops (authors and dates not noted).

1. "Crankshaft balancing", an engine reconditioner's page: 293.41 g at 3 in gives 55.14 lb at
   1000 rpm and 1985.13 lb at 6000 rpm.
2. "Maintaining your balance: engine building tips to reduce NVH and increase life", Brake & Front
   End: 2 oz in gives 14 lb at 2000 rpm and 227 lb at 8000 rpm.
"""

import pytest

from balance.metal.slugs import slug_force_n

NEWTON_PER_LBF = 4.4482216152605
OUNCE_G, INCH_MM = 28.349523125, 25.4


@pytest.mark.parametrize(("speed", "pounds"), [(1000.0, 55.14), (6000.0, 1985.13)])
def test_a_mass_at_three_inches(speed: float, pounds: float) -> None:
    force = slug_force_n(293.41, radius_mm=3 * INCH_MM, speed_rpm=speed) / NEWTON_PER_LBF
    assert force == pytest.approx(pounds, rel=2e-3)  # the page rounds its constant: 0.1 % apart


@pytest.mark.parametrize(("speed", "pounds"), [(2000.0, 14.0), (8000.0, 227.0)])
def test_two_ounce_inches(speed: float, pounds: float) -> None:
    force = slug_force_n(2 * OUNCE_G, radius_mm=INCH_MM, speed_rpm=speed) / NEWTON_PER_LBF
    assert force == pytest.approx(pounds, abs=0.5)  # printed whole
