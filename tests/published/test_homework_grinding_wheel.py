"""Single-plane balancing of a grinding wheel.

Homework page, Question 4, grinding wheel at 1200 rpm (wording of S. S. Rao, Mechanical Vibrations,
chapter 9 problem; edition and number not checked); question only, no answer printed. Expected
figures by components, by hand.
"""

import math

import pytest

from balance.spin.influence import coefficients, correction
from balance.vectors import amount, degrees, vector

TRIAL_KG, TRIAL_DEGREES = 0.2, -65.0  # at 65 mm, counter-clockwise positive from the phase mark


def test_mass_and_place():
    original, with_trial = vector(0.2, 40), vector(0.5, 150)
    trial = vector(TRIAL_KG, TRIAL_DEGREES)
    added = correction(coefficients(original, with_trial, trial), original)[0]
    x = 0.5 * math.cos(math.radians(150)) - 0.2 * math.cos(math.radians(40))
    y = 0.5 * math.sin(math.radians(150)) - 0.2 * math.sin(math.radians(40))
    mass = TRIAL_KG * 0.2 / math.hypot(x, y)
    place = TRIAL_DEGREES + 40 + 180 - math.degrees(math.atan2(y, x))
    assert (round(mass, 5), round(place % 360, 2)) == (0.06681, 346.70)
    assert amount(added) == pytest.approx(mass)
    assert degrees(added) == pytest.approx(place % 360)
