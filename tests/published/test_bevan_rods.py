"""T. Bevan, The Theory of Machines, 3rd ed., Dorling Kindersley 2005, ch. 2.

Example 4, p. 36; Example 6, p. 39; Example 7, p. 41.
Figures read through the FOSSEE (IIT Bombay) textbook companion (a transcription, not the page).
"""

import math

import pytest

from balance.parts.pendulum import equivalent_points, inertia_from_swing, inertia_from_wires
from balance.parts.rods import rod_from_centre
from balance.parts.swing import rod_from_swing

LB_G = 453.59237
IN_MM = 25.4
FT_MM = 304.8
LB_FT2 = LB_G * FT_MM**2
GRAVITY_M_S2 = 32.2 * 0.3048  # the book's value


def test_example_4_compound_pendulum_150_lb():
    inertia = inertia_from_swing(
        150 * LB_G, period_s=92.5 / 50, pivot_to_centre_mm=25 * IN_MM, gravity_m_s2=GRAVITY_M_S2
    )
    # The book prints 221 lb ft2: half of its last digit.
    assert inertia / LB_FT2 == pytest.approx(221, abs=0.5)


def test_example_6_torsional_suspension_150_lb():
    inertia = inertia_from_wires(
        150 * LB_G,
        period_s=83.2 / 25,
        wire_length_mm=8.5 * FT_MM,
        wire_to_centre_mm=14 * IN_MM,
        gravity_m_s2=GRAVITY_M_S2,
    )
    # Radius of gyration printed 14.43 in. (The book's 219 lb ft2 comes from rounding it to 14.5.)
    assert math.sqrt(inertia / (150 * LB_G)) / IN_MM == pytest.approx(14.43, abs=0.005)
    assert inertia / LB_FT2 == pytest.approx(216.98, abs=0.01)


def test_example_7_rod_as_two_masses():
    inertia = 2.5 * LB_G * (3.8 * IN_MM) ** 2
    points = equivalent_points(2.5 * LB_G, inertia_gmm2=inertia, first_from_centre_mm=6 * IN_MM)
    # Printed to three figures: 2.41 in, 1.78 lb and 0.72 lb.
    assert points.second_mm / IN_MM == pytest.approx(2.41, abs=0.005)
    assert points.second_g / LB_G == pytest.approx(1.78, abs=0.006)
    assert points.first_g / LB_G == pytest.approx(0.72, abs=0.006)


def test_example_7_correction_couple_of_the_end_masses():
    mass, a, length = 2.5 * LB_G, 3 * IN_MM, 9 * IN_MM
    e = ((3.8 * IN_MM) ** 2 + a**2) / a  # simple pendulum of the rod hung from its big end
    rod = rod_from_swing(
        mass,
        length_mm=length,
        period_big_end_s=math.tau * math.sqrt(e / 1000 / GRAVITY_M_S2),
        centre_of_mass_from_big_end_mm=a,
        gravity_m_s2=GRAVITY_M_S2,
    )
    couple_lbf_ft = rod.inertia_defect_gmm2 / LB_FT2 * 22500 / 32.2
    # Printed 43.2 lbf ft; half of its last digit.
    assert couple_lbf_ft == pytest.approx(43.2, abs=0.05)


def test_example_7_end_masses_share_by_the_lever():
    rod = rod_from_centre(2.5 * LB_G, length_mm=9 * IN_MM, centre_of_mass_from_big_end_mm=3 * IN_MM)
    # Statics: two thirds at the big end; exact but for rounding.
    assert rod.big_end_g / LB_G == pytest.approx(5 / 3, rel=1e-12)
