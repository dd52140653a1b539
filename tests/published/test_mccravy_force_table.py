"""E. McCravy, answer 739174 to question 1122981 on algebra.com: equilibrant on a force table."""

import pytest

from balance.spin.planes import static_and_couple
from balance.vectors import amount, degrees, vector


def test_equilibrant_of_three_vectors():
    found = static_and_couple(vector([300, 450, 400], [30, 110, 230]), [0, 0, 0], at_mm=0)
    assert amount(found.static) == pytest.approx(306.36, abs=0.01)  # printed to 0.01 g
    assert degrees(-found.static) == pytest.approx(299.6, abs=0.05)  # and 0.1 degree
