"""H. D. Young and R. A. Freedman, University Physics, 13th ed., exercise 14.53.

Year not checked. The data were seen in an excerpt; the answer 0.129 kg m2 is from memory.
"""

import pytest

from balance.parts.pendulum import inertia_from_swing


def test_exercise_14_53_rod_on_a_knife_edge():
    inertia = inertia_from_swing(1800, period_s=1.2, pivot_to_centre_mm=200, gravity_m_s2=9.8)
    about_pivot = inertia + 1800 * 200**2
    # Three figures printed.
    assert about_pivot / 1e9 == pytest.approx(0.129, abs=0.0005)
