"""B. K. Sarkar, Theory of Machines, 1st edition (Tata McGraw-Hill, 2002), chapter 8.

Read through the FOSSEE (IIT Bombay) textbook companion, a secondary source.
"""

import numpy as np
import pytest

from balance.spin.planes import static_and_couple, transfer
from balance.vectors import amount, degrees, vector


def test_illustration_1_four_masses_in_one_plane():
    # p. 221; printed to 0.1 kg and 0.1 degree
    moments = vector(np.array([12, 10, 18, 15]) * [40, 50, 60, 30], [0, 60, 130, 270])
    balance = -static_and_couple(moments, np.zeros(4), at_mm=0).static / 100
    assert amount(balance) == pytest.approx(8.1, abs=0.05)
    assert degrees(balance) == pytest.approx(267.5, abs=0.05)


def test_illustration_4_a_mass_and_two_places_for_complete_balance():
    """P. 225; the angles of C and D and the spacing are from memory of the same problem elsewhere.

    The printed places were measured on a drawing: 3 % of a metre, 1 degree and 0.1 kg.
    """
    b, c, d = vector(np.array([30 * 240, 50 * 120, 40 * 150]), [0, 90, 210])
    a = -static_and_couple([b, c, d], [0, 300, 0], at_mm=0).static
    assert amount(a) / 180 == pytest.approx(20, abs=0.1)
    assert degrees(a) == pytest.approx(236, abs=0.5)
    # one unknown plane each for A and D: the couple of all four vanishes
    rows = np.array([[a.real, d.real], [a.imag, d.imag]])
    couple = static_and_couple([b, c], [0, 300], at_mm=0).couple
    plane_a, plane_d = np.linalg.solve(rows, [-couple.real, -couple.imag])
    assert plane_a == pytest.approx(1000, abs=30)
    # and then A and D are what B and C call for in those two planes
    assert -transfer([b, c], [0, 300], (plane_a, plane_d)) == pytest.approx([a, d])
