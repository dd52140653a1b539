"""Textbook problem of a three-cylinder radial (Fig. 12.43), question only, seen at holooly.com.

Book and author were not named there, and the answer was not seen. Held instead against the closed
result of every book for three cylinders on one pin: (3/2) m r w^2 turning with the crank, (3/2) m r
w^2 a_2 turning twice against it.
"""

import numpy as np
import pytest

from balance.engine.layouts import layout
from balance.engine.motion import harmonics
from balance.engine.shaking import shake


def test_three_cylinders_at_2400_rpm():
    engine = layout("radial-3", stroke_mm=120, rod_length_mm=240, bore_spacing_mm=120)
    s = shake(engine, reciprocating_g=1000, rotating_g=0, speed_rpm=2400, orders=(1, 2))
    assert s.forward_force_n[0] == pytest.approx(5684.892135, rel=1e-9)
    two_term = s.backward_force_n[1] * 0.25 / harmonics(0.25, 2)
    assert two_term == pytest.approx(1421.223034, rel=1e-9)
    assert np.max(np.abs([s.backward_force_n[0], s.forward_force_n[1]])) < 1e-9
