"""B. K. Sarkar, Theory of Machines, 1st ed., Tata McGraw-Hill 2002, ch. 12, Illustration 8, p. 320.

Figures read through the FOSSEE (IIT Bombay) textbook companion (a transcription, not the page);
the pitch of 150 mm and the order 1-4-2-3 are from memory of Khurmi & Gupta, Example 22.8.
"""

import pytest

from balance.engine.layouts import layout
from balance.engine.motion import harmonics
from balance.engine.shaking import shake


def test_in_line_four_with_cranks_at_90_degrees():
    engine = layout(
        "inline-4",
        stroke_mm=120,
        rod_length_mm=240,
        bore_spacing_mm=150,
        throw_degrees=(0, 180, 270, 90),
    )
    s = shake(engine, reciprocating_g=1500, rotating_g=0, speed_rpm=1800, orders=(1, 2))
    for forces in (s.forward_force_n, s.backward_force_n):
        assert max(abs(forces)) < 1e-9  # printed 0
    # In one plane the forward and backward vectors are equal: the couple's peak is their sum.
    primary, secondary = abs(s.forward_couple_nm) + abs(s.backward_couple_nm)
    # Printed 675 N m from 0.0191 w^2 cut to 0.019 w^2; exactly 678.35.
    assert primary == pytest.approx(675, abs=4)
    assert primary == pytest.approx(678.3456, abs=1e-4)
    # Printed 479.66 with a_2 = L; exactly it is a_2 / L = 1.016 times that.
    assert secondary * 0.25 / harmonics(0.25, 2) == pytest.approx(479.66, abs=0.01)
    assert secondary == pytest.approx(487.39, abs=0.01)
