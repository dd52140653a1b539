"""R. S. Khurmi and J. K. Gupta, Theory of Machines, 14th ed., Eurasia 2009, ch. 22 and ch. 15.

Chapter 22 is from memory: of the V-engine the question was read on askfilo.com (without speed and
answer), of the six-cylinder engine nothing was read; edition and example numbers not checked.
Chapter 15, Example 15.18, p. 550, through the FOSSEE (IIT Bombay) textbook companion, a
transcription.
"""

import numpy as np
import pytest

from balance.engine.layouts import Cylinder, Engine, Throw, layout
from balance.engine.motion import harmonics
from balance.engine.shaking import shake
from balance.engine.torque import inertia_defect


def test_vee_twin_at_right_angles():
    engine = layout("V-2", stroke_mm=150, rod_length_mm=300, bore_spacing_mm=200)
    s = shake(engine, reciprocating_g=11500, rotating_g=0, speed_rpm=500, orders=(1, 2))
    assert abs(s.backward_force_n[0]) < 1e-9  # the primary resultant is the same at every angle
    assert abs(s.forward_force_n[0]) == pytest.approx(2364.592721, rel=1e-9)
    greatest = abs(s.forward_force_n[1]) + abs(s.backward_force_n[1])
    # Printed 836 N with a_2 = L; exactly a_2 / L = 1.016 times that.
    assert greatest * 0.25 / harmonics(0.25, 2) == pytest.approx(836, abs=0.5)


def test_six_cylinders_1_4_2_6_3_5_leave_nothing():
    angles, places = (0, 240, 120, 120, 240, 0), (-275, -175, -75, 75, 175, 275)
    throws = tuple(Throw(a, z) for a, z in zip(angles, places, strict=True))
    cylinders = tuple(Cylinder(k, 0, z) for k, z in enumerate(places))
    s = shake(
        Engine(100, 200, 100, throws, cylinders),
        reciprocating_g=1000,
        rotating_g=0,
        speed_rpm=1000,
        orders=(1, 2),
    )
    # Printed 0; newtons of 550 for one cylinder.
    for vectors in (s.forward_force_n, s.backward_force_n, s.forward_couple_nm):
        assert np.max(np.abs(vectors)) < 1e-9


def test_example_15_18_correction_couple():
    defect = inertia_defect(
        rod_mass_g=2000,
        rod_length_mm=250,
        centre_of_mass_from_big_end_mm=150,
        inertia_gmm2=2000 * 110**2,
    )
    assert -defect * 1e-9 * 23000 == pytest.approx(133.4, abs=0.01)  # N m
