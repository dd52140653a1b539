"""R. S. Khurmi and J. K. Gupta, Theory of Machines, 14th ed., Eurasia, New Delhi 2009.

Example 4.9, p. 89; 15.15, p. 545; 15.16, p. 546; 15.18, p. 550. Figures read through the FOSSEE
(IIT Bombay) textbook companion (a transcription, not the page).
"""

import math

import pytest

from balance.parts.pendulum import equivalent_points, inertia_from_wires
from balance.parts.swing import rod_from_swing


def test_example_4_9_rod_on_two_wires():
    inertia = inertia_from_wires(
        1500,
        period_s=1 / 0.5,
        wire_length_mm=1250,
        wire_to_centre_mm=(120, 120),
        gravity_m_s2=9.81,
    )
    # Printed 107 mm and 0.017 kg m2; half of the last digit.
    assert math.sqrt(inertia / 1500) == pytest.approx(107, abs=0.5)
    assert inertia / 1e9 == pytest.approx(0.017, abs=0.0005)


def test_example_15_15_rod_as_two_masses():
    # The book's inertia of 7000 kg mm2 is far too small for such a rod, but it is its figure.
    points = equivalent_points(15000, inertia_gmm2=7000e3, first_from_centre_mm=200)
    # Printed to 0.01.
    assert points.first_g / 1000 == pytest.approx(0.17, abs=0.005)
    assert points.second_g / 1000 == pytest.approx(14.83, abs=0.005)
    assert points.second_mm == pytest.approx(2.33, abs=0.005)


def test_example_15_16_rod_swung_about_the_inside_of_its_bush():
    length = 900.0  # not given and without effect: the centre of mass is known
    rod = rod_from_swing(
        37500,
        length_mm=length,
        period_small_end_s=1.87,
        centre_of_mass_from_big_end_mm=length - 625,
        small_end_pivot_mm=25,
        gravity_m_s2=9.81,
    )
    points = equivalent_points(37500, inertia_gmm2=rod.inertia_gmm2, first_from_centre_mm=625)
    # Printed 10 kg, 0.228 m and 27.5 kg: three figures.
    assert points.first_g / 1000 == pytest.approx(10, abs=0.05)
    assert points.second_mm == pytest.approx(228, abs=0.5)
    assert points.second_g / 1000 == pytest.approx(27.5, abs=0.05)


def test_example_15_18_correction_couple():
    mass, length, to_pin, k = 2000.0, 250.0, 100.0, 110.0
    e = (k**2 + to_pin**2) / to_pin
    rod = rod_from_swing(
        mass,
        length_mm=length,
        period_small_end_s=math.tau * math.sqrt(e / 1000 / 9.81),
        centre_of_mass_from_big_end_mm=length - to_pin,
        gravity_m_s2=9.81,
    )
    points = equivalent_points(mass, inertia_gmm2=rod.inertia_gmm2, first_from_centre_mm=to_pin)
    # Printed 0.121 m, 1.1 kg, 0.9 kg and 133.4 N m.
    assert points.second_mm == pytest.approx(121, abs=0.1)
    assert points.first_g / 1000 == pytest.approx(1.1, abs=0.006)
    assert points.second_g / 1000 == pytest.approx(0.9, abs=0.006)
    assert rod.inertia_defect_gmm2 / 1e9 * 23000 == pytest.approx(133.4, abs=0.01)
