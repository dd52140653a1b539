"""Two-plane influence coefficients, turbine rotor.

S. S. Rao, Mechanical Vibrations (Pearson; 4th or 5th edition, not checked), chapter 9, Example 9.1.
Readings and answers are quoted FROM MEMORY. The remembered magnitudes are reproduced to six
figures. The remembered angles are those of the unbalance U; the weights that cancel it stand
exactly 180 degrees round. Which of the two the book prints was not seen, so both are stated.
"""

import numpy as np
import pytest

from balance.spin.influence import coefficients, correction
from balance.vectors import amount, degrees, vector

# [amplitude mils, phase degrees] at bearings A and B; weights [oz, degrees from the mark]
ORIGINAL = [vector(8.5, 60), vector(6.5, 205)]
WITH_LEFT = [vector(6.0, 125), vector(4.5, 230)]
WITH_RIGHT = [vector(6.0, 35), vector(10.5, 160)]
TRIALS = [vector(10, 270), vector(12, 180)]


def test_weights_in_both_planes():
    found = coefficients(ORIGINAL, [WITH_LEFT, WITH_RIGHT], TRIALS)
    added = correction(found, ORIGINAL)
    # printed to four decimals, the remembered inputs to two or three figures
    np.testing.assert_allclose(amount(added), [10.0561, 5.8774], atol=1e-4)
    np.testing.assert_allclose(degrees(-added), [145.5548, 248.2559], atol=1e-4)
    np.testing.assert_allclose(degrees(added), [325.5548, 68.2559], atol=1e-4)
    # whatever the book calls it, these weights are the ones that cancel the vibration
    np.testing.assert_allclose(np.array(ORIGINAL) + found @ added, 0, atol=1e-12)


def test_the_trial_runs_are_predicted_by_the_coefficients():
    found = coefficients(ORIGINAL, [WITH_LEFT, WITH_RIGHT], TRIALS)
    for k, shown in enumerate((WITH_LEFT, WITH_RIGHT)):
        assert ORIGINAL + found[:, k] * TRIALS[k] == pytest.approx(np.array(shown))
