"""Balance weights of single and radial engines at a given factor.

[1] T. Bevan, The Theory of Machines, 3rd ed., Dorling Kindersley 2005, ch. 14, Example 5 (p. 500)
    and Example 12 (p. 517); figures read through the FOSSEE (IIT Bombay) textbook companion.
[2] R. S. Khurmi and J. K. Gupta, Theory of Machines (edition not checked), ch. 22, Example 22.1;
    balance mass seen in a reprinted solution (sarthaks.com, question 491921), residual force and
    example number from memory.

Masses in the books are pounds or kilograms. Bobweights and factors are linear in mass, so the
numbers are put in as they stand.
"""

import math

import numpy as np
import pytest

from balance.engine.bobweights import existing_factor, per_throw, residual_primary
from balance.engine.layouts import layout

IN = 25.4


def left_at(engine, factor, degrees):
    """Order-1 force at a crank angle in units of one cylinder's m r w^2."""
    left, theta = residual_primary(engine, factor), math.radians(degrees)
    return abs(left.forward_force * np.exp(1j * theta) + left.backward_force * np.exp(-1j * theta))


def test_single_with_half_of_the_reciprocating_weight():
    """[1] Example 5: 180 lb rotating, 150 lb reciprocating, crank 7.5 in, 300 rpm.

    Printed: balance weight at 6 in 318.8 lb, residual force 1436 lb (the force cut, not rounded).
    """
    engine = layout("single", stroke_mm=15 * IN, rod_length_mm=60 * IN, bore_spacing_mm=1)
    [bobweight] = per_throw(engine, rotating_g=180, reciprocating_g=150, factor=0.5)
    assert bobweight.unbalance_gmm / (6 * IN) == pytest.approx(318.8, abs=0.06)
    centrifugal_lb = 150 / 32.2 * (7.5 / 12) * (300 * math.pi / 30) ** 2
    for degrees in (0, 60, 90):  # at one half the shake is round
        assert centrifugal_lb * left_at(engine, 0.5, degrees) == pytest.approx(1436, abs=1)


def test_radial_three():
    """[1] Example 12: three cylinders on one crank, 4 lb each, stroke 5 in, rod 9 in.

    Printed: 4.29 lb at 3.5 in balances the primary force (half of the three, times 2.5/3.5).
    """
    engine = layout("radial-3", stroke_mm=5 * IN, rod_length_mm=9 * IN, bore_spacing_mm=1)
    [bobweight] = per_throw(engine, rotating_g=0, reciprocating_g=4, factor=0.5)
    assert bobweight.unbalance_gmm / (3.5 * IN) == pytest.approx(4.29, abs=0.005)
    assert left_at(engine, 0.5, 33.0) == pytest.approx(0, abs=1e-12)


def test_single_with_two_thirds():
    """[2]: 37 kg rotating, 50 kg reciprocating, stroke 300 mm, 240 rpm, balance mass at 400 mm.

    Printed 26.38 kg; 2849 N at 60 degrees with w rounded to 25.14 rad/s (0.08 percent).
    """
    engine = layout("single", stroke_mm=300, rod_length_mm=1200, bore_spacing_mm=1)
    [bobweight] = per_throw(engine, rotating_g=37, reciprocating_g=50, factor=2 / 3)
    assert bobweight.unbalance_gmm / 400 == pytest.approx(26.38, abs=0.01)
    centrifugal_n = 50 * 0.15 * (240 * math.pi / 30) ** 2
    assert centrifugal_n * left_at(engine, 2 / 3, 60) == pytest.approx(2849, abs=3)


def test_the_factor_comes_back_from_the_balance_mass():
    """[2] the other way round: 26.38 kg at 400 mm, printed to 0.01 kg: 0.0005 of the factor."""
    engine = layout("single", stroke_mm=300, rod_length_mm=1200, bore_spacing_mm=1)
    found = existing_factor(
        engine, hung_g=26.38, hung_radius_mm=400, rotating_g=37, reciprocating_g=50
    )
    assert found == pytest.approx(2 / 3, abs=0.0006)
