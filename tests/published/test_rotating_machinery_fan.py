"""Single-plane vector method, fan.

Rotating Machinery: Practical Solutions to Unbalance and Misalignment, Field Balancing chapter,
Figures 5-2 and 5-3 (author not shown on the pages seen; R. B. McMillan from memory; edition and
year not shown). The printed angle was measured with a protractor.
"""

import numpy as np
import pytest

from balance.spin.influence import coefficients, correction
from balance.vectors import amount, degrees, vector

ORIGINAL, WITH_TRIAL, TRIAL_OZ = vector(3.5, 60), vector(5.0, 120), 5.0


def test_length_of_the_trial_vector_and_turn_of_the_trial_weight():
    effect = coefficients(ORIGINAL, WITH_TRIAL, TRIAL_OZ)[0, 0] * TRIAL_OZ
    added = correction(effect / TRIAL_OZ, ORIGINAL)[0]
    # law of cosines on the printed inputs: angles of the two readings differ by 60 degrees
    assert amount(effect) == pytest.approx(np.sqrt(3.5**2 + 5.0**2 - 3.5 * 5.0))
    # printed 79 degrees with a protractor, 2 degrees from the exact 77.00
    assert degrees(added) == pytest.approx(79, abs=2.2)
    assert degrees(added) == pytest.approx(77.00, abs=0.005)
    assert amount(added) == pytest.approx(3.938, abs=0.0005)


def test_the_weight_moves_against_the_mark():
    """The graph counts clockwise and the mark must move on, so the weight goes counter-clockwise.

    Counted counter-clockwise on the rotor, a mark that moves clockwise on the graph by some angle
    belongs to a weight moved counter-clockwise by the same angle: the result needs no change of
    sign, and is positive, as the book's instruction says.
    """
    added = correction(coefficients(ORIGINAL, WITH_TRIAL, TRIAL_OZ), ORIGINAL)[0]
    assert 0 < degrees(added) < 180
