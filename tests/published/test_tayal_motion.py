"""A. K. Tayal, Engineering Mechanics, 14th ed., Umesh Publications 2010, ch. 21, Example 21.5.

Figures read through the FOSSEE (IIT Bombay) textbook companion (a transcription, not the page).
"""

import pytest

from balance.engine.motion import piston


def test_example_21_5_exact_velocity_by_the_sine_rule():
    m = piston(30, stroke_mm=240, rod_length_mm=600, speed_rpm=300)
    assert float(m.rod_velocity_rad_s) == pytest.approx(5.468, abs=0.001)
    # Printed 2.211 from angles rounded to 0.1 degree: 0.1 % low.
    assert float(m.velocity_m_s) == pytest.approx(2.211, abs=0.003)
    assert float(m.velocity_m_s) == pytest.approx(2.213084243, rel=1e-9)
