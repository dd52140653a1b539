"""Wikipedia, "Piston motion equations", example of a rod of 6 and a crank of 2 (from memory).

Revision not checked. Remembered: crank 73.17615, rod 18.60647, between them 88.21738 degrees. The
article's digits hold to 0.001 degree only; the exact angles satisfy the condition of zero
acceleration.
"""

import pytest
from scipy.optimize import brentq

from balance.engine.motion import piston


def at(degrees):
    return piston(degrees, stroke_mm=4, rod_length_mm=6, speed_rpm=1000)


def test_angles_of_the_greatest_velocity():
    crank = brentq(lambda q: float(at(q).acceleration_m_s2), 60, 90, xtol=1e-11)
    rod = float(at(crank).rod_degrees)
    angles = (crank, rod, 180 - crank - rod)
    assert angles == pytest.approx((73.17615, 18.60647, 88.21738), abs=0.001)
    assert angles == pytest.approx((73.17529664, 18.60638527, 88.2183181), abs=1e-7)
