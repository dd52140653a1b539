"""Three-run balancing without phase, trial weight at 0 and at 180 degrees.

BalanceB.txt, dated 11/29/98 (author not named), steps 1 to 8. The readings are printed; the answer
was not in the text seen, so it is taken from the median theorem of the triangle by hand.
"""

import numpy as np
import pytest

from balance.spin.influence import from_amplitudes
from balance.vectors import amount, turn

INITIAL, AT_0, AT_180 = 3.0, 5.0, 4.0


def test_size_and_the_two_angles():
    effect = np.sqrt((AT_0**2 + AT_180**2) / 2 - INITIAL**2)
    phase = np.degrees(np.arccos((AT_0**2 - AT_180**2) / (4 * INITIAL * effect)))
    assert effect == pytest.approx(3.3912, abs=5e-5)
    assert phase == pytest.approx(77.22, abs=0.005)
    found = from_amplitudes(INITIAL, [1, -1], [AT_0, AT_180])
    assert amount(found.correction) == pytest.approx(INITIAL / effect)
    angles = sorted(float(turn(np.degrees(np.angle(w)))) for w in (found.correction, found.other))
    assert angles == pytest.approx([-(180 - phase), 180 - phase])
