"""T. Bevan, The Theory of Machines, 3rd ed., Dorling Kindersley 2005, ch. 14 and ch. 2.

Ch. 14: Example 5, p. 500, and Example 12, p. 517. Ch. 2: Example 7, p. 41.
Figures read through the FOSSEE (IIT Bombay) textbook companion (a transcription, not the page).
"""

import math

import pytest

from balance.engine.layouts import layout
from balance.engine.motion import harmonics
from balance.engine.shaking import shake
from balance.engine.torque import inertia_defect

LB_G, IN_MM, FT_MM = 453.59237, 25.4, 304.8
LBF_N = LB_G * 32.2 * FT_MM * 1e-6  # pound-force with the book's g = 32.2 ft/s2


def test_example_5_half_balance_of_a_single():
    engine = layout("single", stroke_mm=15 * IN_MM, rod_length_mm=900, bore_spacing_mm=400)
    balance_lb = (180 + 0.5 * 150) * 7.5 / 6
    assert balance_lb == pytest.approx(318.8, abs=0.06)  # printed to 0.1 lb
    s = shake(
        engine,
        reciprocating_g=150 * LB_G,
        rotating_g=180 * LB_G,
        speed_rpm=300,
        counterweights=[(-balance_lb * LB_G * 6 * IN_MM, 0.0)],
        orders=(1,),
    )
    assert abs(s.forward_force_n[0]) < 1e-6  # N of 6000: one half takes the whole forward vector
    # Printed 1436 lb, the fraction dropped; exactly 1436.76.
    assert abs(s.backward_force_n[0]) / LBF_N == pytest.approx(1436, abs=1)


def test_example_12_three_cylinder_radial():
    """That the engine is a three-cylinder radial is inferred from the book's factors 3/2."""
    engine = layout("radial-3", stroke_mm=5 * IN_MM, rod_length_mm=9 * IN_MM, bore_spacing_mm=99)
    s = shake(engine, reciprocating_g=4 * LB_G, rotating_g=0, speed_rpm=1500, orders=(1, 2))
    w = 1500 * math.pi / 30
    balance_lb = s.forward_force_n[0] * 1e6 / w**2 / (LB_G * 3.5 * IN_MM)
    assert balance_lb == pytest.approx(4.29, abs=0.005)  # printed to 0.01 lb; turns with the crank
    assert abs(s.backward_force_n[0]) < 1e-9
    assert abs(s.forward_force_n[1]) < 1e-9
    ratio = 2.5 / 9
    # The book stops at a_2 = L; exactly the force is a_2 / L = 1.0200 times as large.
    two_term = s.backward_force_n[1] * ratio / harmonics(ratio, 2)
    assert two_term.real / LBF_N == pytest.approx(266, abs=0.5)
    series = 1 + ratio**2 / 4 + 15 * ratio**4 / 128 + 35 * ratio**6 / 512
    assert s.backward_force_n[1] == pytest.approx(two_term * series, rel=1e-5)


def test_chapter_2_example_7_correction_couple_of_a_rod():
    defect = inertia_defect(
        rod_mass_g=2.5 * LB_G,
        rod_length_mm=9 * IN_MM,
        centre_of_mass_from_big_end_mm=3 * IN_MM,
        inertia_gmm2=2.5 * LB_G * (3.8 * IN_MM) ** 2,
    )
    couple_lb_ft = -defect * 1e-9 * 22500 / (LBF_N * FT_MM * 1e-3)
    assert couple_lb_ft == pytest.approx(43.2, abs=0.05)  # printed to 0.1 lb ft
