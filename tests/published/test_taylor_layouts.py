"""What the usual layouts leave unbalanced: C. F. Taylor, The Internal-Combustion Engine in Theory
and Practice, vol. 2 (MIT Press), ch. 8; J. P. Den Hartog, Mechanical Vibrations, ch. 5; R. L.
Norton, Design of Machinery, multicylinder chapter. From memory, not re-read; editions not checked.

The books give which of these are zero and the well-known roots (sqrt 3, 2 sqrt 3, sqrt 10,
2 sqrt 10); the decimals here were worked by hand from their method, sums of exp(i pin angle).
Unit: one cylinder's m r w^2, couples times one cylinder spacing.
"""

import cmath
import math

import numpy as np
import pytest

from balance.engine.layouts import layout
from balance.engine.shaking import shake

UNIT = {"stroke_mm": 80.0, "rod_length_mm": 130.0, "bore_spacing_mm": 100.0}
SPEED_RPM = 30.0 / math.pi * math.sqrt(1e6 / 40.0)  # one gram at the crankpin makes one newton

# name, options, rotating force and couple, backward force and couple of order 1
TABLE = [
    ("single", {}, 1, 0, 0.5, 0),
    ("twin", {"crank_degrees": 360}, 2, 0, 1, 0),
    ("twin", {"crank_degrees": 180}, 0, 1, 0, 0.5),
    ("twin", {"crank_degrees": 270}, 1.414, 0.707, 0.707, 0.354),
    ("inline-3", {}, 0, 1.732, 0, 0.866),
    ("inline-4", {}, 0, 0, 0, 0),
    ("inline-4", {"crank": "cross"}, 0, 3.162, 0, 1.581),
    ("inline-5", {}, 0, 0.449, 0, 0.225),
    ("inline-6", {}, 0, 0, 0, 0),
    ("V-2", {"bank_degrees": 45}, 2, 0, 0.707, 0),
    ("V-2", {"bank_degrees": 60}, 2, 0, 0.5, 0),
    ("V-2", {"bank_degrees": 90}, 2, 0, 0, 0),
    ("V-4", {"bank_degrees": 90}, 0, 2, 0, 0),
    ("V-6", {"bank_degrees": 60, "splay_degrees": 60}, 0, 3.0, 0, 0),
    ("V-6", {"bank_degrees": 90}, 0, 3.464, 0, 0),
    ("V-6", {"bank_degrees": 90, "splay_degrees": 30}, 0, 3.346, 0, 0.448),
    ("V-6", {"bank_degrees": 120}, 0, 3.464, 0, 0.866),
    ("V-8", {"bank_degrees": 90}, 0, 6.325, 0, 0),
    ("V-8", {"bank_degrees": 90, "crank": "flat"}, 0, 0, 0, 0),
    ("V-10", {"bank_degrees": 72}, 0, 0.898, 0, 0.139),
    ("V-10", {"bank_degrees": 90}, 0, 0.898, 0, 0),
    ("V-12", {"bank_degrees": 60}, 0, 0, 0, 0),
    ("flat-2", {}, 0, 1, 0, 0.5),
    ("flat-4", {}, 0, 0, 0, 0),
    ("flat-6", {}, 0, 0, 0, 0),
]


@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row[0]} {row[1]}")
def test_what_is_left_at_order_one(row):
    name, options, rot_f, rot_c, back_f, back_c = row
    engine = layout(name, **UNIT, **options)
    rotating = shake(engine, reciprocating_g=0, rotating_g=1, speed_rpm=SPEED_RPM)
    reciprocating = shake(engine, reciprocating_g=1, rotating_g=0, speed_rpm=SPEED_RPM)
    half_a_digit = 0.0006  # three decimals printed
    assert abs(rotating.forward_force_n[0]) == pytest.approx(rot_f, abs=half_a_digit)
    assert abs(rotating.forward_couple_nm[0]) / 0.1 == pytest.approx(rot_c, abs=half_a_digit)
    assert abs(reciprocating.backward_force_n[0]) == pytest.approx(back_f, abs=half_a_digit)
    assert abs(reciprocating.backward_couple_nm[0]) / 0.1 == pytest.approx(back_c, abs=half_a_digit)


@pytest.mark.parametrize(("name", "options"), [row[:2] for row in TABLE])
def test_half_the_reciprocating_mass_cancels_the_forward_vector_in_every_layout(name, options):
    engine = layout(name, **UNIT, **options)
    whole = shake(engine, reciprocating_g=200, rotating_g=300, speed_rpm=SPEED_RPM)
    as_bobweight = shake(engine, reciprocating_g=0, rotating_g=400, speed_rpm=SPEED_RPM)
    # Newtons and newton-metres of some thousand: what is left is rounding.
    np.testing.assert_allclose(whole.forward_force_n[0], as_bobweight.forward_force_n[0], atol=1e-9)
    np.testing.assert_allclose(
        whole.forward_couple_nm[0], as_bobweight.forward_couple_nm[0], atol=1e-9
    )


# Greatest force of order 2 in units of m r w^2 a_2: sums of exp(2i pin angle).
SECOND = [
    ("inline-3", {}, 0.0),
    ("inline-4", {}, 4.0),
    ("inline-4", {"crank": "cross"}, 0.0),
    ("inline-5", {}, 0.0),
    ("inline-6", {}, 0.0),
    ("V-8", {}, 0.0),
    ("V-8", {"crank": "flat"}, 4.0 * math.sqrt(2.0)),
    ("V-12", {}, 0.0),
    ("flat-2", {}, 0.0),
    ("flat-4", {}, 0.0),
    ("flat-6", {}, 0.0),
    ("twin", {"crank_degrees": 180}, 2.0),
    ("twin", {"crank_degrees": 270}, 0.0),
    ("V-2", {"bank_degrees": 90}, math.sqrt(2.0)),
]


@pytest.mark.parametrize(("name", "options", "most"), SECOND)
def test_second_order_force(name, options, most):
    s = shake(
        layout(name, **UNIT, **options),
        reciprocating_g=1,
        rotating_g=0,
        speed_rpm=SPEED_RPM,
        orders=(2,),
    )
    ratio = 40.0 / 130.0
    second = ratio + ratio**3 / 4 + 15 * ratio**5 / 128
    greatest = abs(s.forward_force_n[0]) + abs(s.backward_force_n[0])
    # The books' series stops at L^5; the next term is 6e-5 of the whole at this ratio.
    assert greatest / second == pytest.approx(most, rel=1e-4, abs=1e-9)


def test_v6_90_with_common_pins_is_exact_at_one_half_whatever_old_charts_say():
    """Backward force and couple vanish, so counterweights for one half leave nothing."""
    engine = layout("V-6", **UNIT, bank_degrees=90)
    half = [
        (-(300 + 2 * 0.5 * 200) * 40 * cmath.exp(1j * math.radians(t.degrees)), t.z_mm)
        for t in engine.throws
    ]
    s = shake(engine, reciprocating_g=200, rotating_g=150, speed_rpm=3000, counterweights=half)
    assert abs(s.forward_force_n[0]) + abs(s.backward_force_n[0]) < 1e-9  # N, of 1600
    assert abs(s.forward_couple_nm[0]) + abs(s.backward_couple_nm[0]) < 1e-9  # N m
