"""Three tolerance rules side by side, and the constants that tie them together.

Energy-Tech magazine, article 18389, pages 3 and 4 of 6 (author not shown on the pages seen, date
not checked); a contributor's reply in eng-tips.com thread 205881, "Balancing grades ISO 1940 vs API
610"; API Std 617 (the constant 6350, from memory; edition not checked).
"""

import pytest

from balance.spin.load_limits import four_w_over_n, navy_limit
from balance.spin.tolerance import grade_of, permissible
from balance.units import read

OZ_IN = read("1 oz in", "unbalance")
LB_KG = read("1 lb", "mass") / 1000


def test_thousand_pound_rotor():
    """Energy-Tech magazine, article 18389."""
    rotor, speed = 1000 * LB_KG, 15_000
    api = four_w_over_n(load_kg=rotor / 2, speed_rpm=speed) / OZ_IN
    navy = navy_limit(rotor_mass_kg=rotor, speed_rpm=speed) / OZ_IN
    iso = permissible(rotor_mass_kg=rotor, speed_rpm=speed, grade="G 2.5") / OZ_IN
    # printed to two figures
    assert [api, navy, iso, iso / 2] == pytest.approx([0.13, 0.27, 1.0, 0.5], abs=0.005)


def test_constant_of_the_iso_formula_in_ounces_pounds_and_rpm():
    """The reply in eng-tips.com thread 205881."""
    constant = permissible(rotor_mass_kg=LB_KG, speed_rpm=1, grade=1) / OZ_IN
    assert constant == pytest.approx(6.0153, abs=5e-5)  # five figures printed


def test_grade_of_the_four_w_over_n_rule():
    """The same reply."""
    # both planes carry half of the weight, so together they hold 4 W / N of the whole
    total = 2 * four_w_over_n(load_kg=LB_KG / 2, speed_rpm=1)
    assert grade_of(total, rotor_mass_kg=LB_KG, speed_rpm=1) == pytest.approx(0.665, abs=5e-4)


def test_api_617_metric_constant():
    by_units_alone = 4 * OZ_IN / LB_KG
    assert by_units_alone == pytest.approx(6350, abs=0.5)
    assert four_w_over_n(load_kg=1, speed_rpm=1) == pytest.approx(by_units_alone)
