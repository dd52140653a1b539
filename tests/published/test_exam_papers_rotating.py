"""Open examination papers on the balancing of rotating masses.

GATE Mechanical Engineering 2019 set 2, question 38 (answer from memory), and a GATE fill-in
question on the couple of two pairs (year not shown; answer from memory); IAS (UPSC) Mechanical
2004 (only the question is used); MSBTE diploma paper, graphical solution, mechdiploma.com.
"""

import numpy as np
import pytest

from balance.spin.planes import static_and_couple, transfer
from balance.vectors import amount, degrees, vector


def test_gate_2019_two_masses_at_right_angles():
    moments = vector(np.array([10, 20]) * [200, 400], [0, 90])
    balance = -static_and_couple(moments, [0, 0], at_mm=0).static / 200
    assert amount(balance) == pytest.approx(41.23, abs=0.005)  # printed to 0.01 kg


def test_gate_couple_of_two_pairs():
    first = static_and_couple([50, -50], [0, 2000], at_mm=0)
    # the second pair: m1 at 20 mm, 2.5 m apart; the key says 2 kg exactly
    assert amount(first.pair(2500)) / 20 == pytest.approx(2, abs=1e-9)


def test_ias_2004_complete_balance_of_four_masses():
    """The paper gives no answer: the check is that nothing is left, force or couple."""
    b, c = vector(np.array([18 * 60, 12.5 * 60]), [0, 100])
    direction = vector(1, 190)
    about_a = static_and_couple([b, c], [100, 300], at_mm=0)
    # A + D = -(B + C) and D z = -couple, so A = -(B + C) + couple / z; z makes A point at 190
    across = (np.array([-about_a.static, about_a.couple]) / direction).imag
    z_d = -across[1] / across[0]
    a, d = -transfer([b, c], [100, 300], (0, z_d))
    assert degrees(a) == pytest.approx(190)
    rest = static_and_couple([a, b, c, d], [0, 100, 300, z_d], at_mm=0)
    assert amount(rest.static) == pytest.approx(0, abs=1e-9 * amount(b))
    assert amount(rest.couple) == pytest.approx(0, abs=1e-9 * amount(b) * 300)


def test_msbte_three_weights_drawn_to_scale():
    moments = vector(np.array([100, 200, 150]) * [0.3, 0.15, 0.25], [0, 45, 120])
    resultant = static_and_couple(moments, np.zeros(3), at_mm=0).static
    # answers taken off a drawing: 2 N and 1.5 degrees
    assert amount(resultant) / 0.2 == pytest.approx(315, abs=2)
    assert degrees(resultant) == pytest.approx(60, abs=1.5)
