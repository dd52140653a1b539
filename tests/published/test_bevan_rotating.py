"""T. Bevan, The Theory of Machines, 3rd edition (Dorling Kindersley, 2005), chapter 14, p. 491.

Examples 1 and 2. Read through the FOSSEE (IIT Bombay) textbook companion, a secondary source.
"""

import numpy as np
import pytest

from balance.spin.planes import static_and_couple, transfer
from balance.vectors import amount, degrees, vector


@pytest.mark.parametrize(
    ("place_in", "far_lb", "near_lb"),
    [(-10, 24, -144), (10, -24, -96)],  # outside the span: the far weight is on the same side
)
def test_example_1_one_mass_balanced_in_two_planes(place_in, far_lb, near_lb):
    disturbing = vector(200 * 9, 0)
    near, far = -transfer([disturbing], [place_in], (0, 50)) / 15
    # the printed answers are whole pounds and exact; 1e-9 lb is rounding in the sums
    assert near == pytest.approx(near_lb, abs=1e-9)
    assert far == pytest.approx(far_lb, abs=1e-9)


def test_example_2_four_masses_in_one_plane():
    moments = vector(np.array([200, 300, 240, 260]) * [9, 7, 10, 12], [0, 45, 120, 255])
    found = static_and_couple(moments, [0, 0, 0, 0], at_mm=0)
    # printed to 0.1 lb (57.9, exact 57.94) and 0.01 degree
    assert amount(found.static) / 24 == pytest.approx(57.9, abs=0.06)
    assert degrees(found.static) == pytest.approx(23.28, abs=0.01)
    assert found.couple == 0
