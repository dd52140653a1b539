"""Four-run balancing without phase.

D. Shreve, Balancing Without Phase (trade article, year not shown), steps 1 to 6. The readings are
printed, the answer was not in the text seen: the expected figures below are found by other means.
The three circles do not meet: a test that the disagreement is reported.
"""

import numpy as np
import pytest

from balance.spin.influence import from_amplitudes
from balance.vectors import amount, degrees, vector

INITIAL_MILS, TRIAL_G, PLACES = 10.0, 50.0, [0.0, 120.0, 240.0]
AMPLITUDES_MILS = [7.0, 12.0, 18.0]


def test_correction_lies_between_the_two_hand_formulas():
    """For three places 120 degrees apart: |T|^2 = mean(a^2) - O^2, and T from differences."""
    found = from_amplitudes(INITIAL_MILS, vector(TRIAL_G, PLACES), AMPLITUDES_MILS)
    squares = np.array(AMPLITUDES_MILS) ** 2
    by_mean = np.sqrt(squares.mean() - INITIAL_MILS**2)
    by_difference = abs(np.sum(squares * vector(1, PLACES))) / (3 * INITIAL_MILS)
    low, high = sorted(TRIAL_G * INITIAL_MILS / np.array([by_mean, by_difference]))
    assert (round(low, 2), round(high, 2)) == (58.79, 62.00)
    assert low < amount(found.correction) < high


def test_least_squares_against_a_plain_search_over_a_grid():
    found = from_amplitudes(INITIAL_MILS, vector(TRIAL_G, PLACES), AMPLITUDES_MILS)
    sizes, angles = np.meshgrid(np.arange(58, 61, 0.01), np.arange(35, 48, 0.05))
    influence = -1 / vector(sizes, angles)
    misfit = sum(
        (INITIAL_MILS * np.abs(1 + influence * vector(TRIAL_G, place)) - measured) ** 2
        for place, measured in zip(PLACES, AMPLITUDES_MILS, strict=True)
    )
    best = np.unravel_index(np.argmin(misfit), misfit.shape)
    assert amount(found.correction) == pytest.approx(sizes[best], abs=0.01)  # grid step
    assert degrees(found.correction) == pytest.approx(angles[best], abs=0.05)  # grid step


def test_the_circles_do_not_meet_and_that_is_said():
    found = from_amplitudes(INITIAL_MILS, vector(TRIAL_G, PLACES), AMPLITUDES_MILS)
    assert not found.ambiguous
    assert 0.02 < found.closure < 0.05  # the two hand formulas differ by 5 %
    assert np.all(np.abs(found.misfit) > 0.1)
