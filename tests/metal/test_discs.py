"""Rows of holes on a pitch circle, held against their own rules and against trying all pairs.

What a hole takes is worked out here from the cylinder and cone of a twist drill, by hand.
"""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.metal.discs import plan_disc
from balance.vectors import amount, degrees, turn, vector

CIRCLE, SPACING = 110.0, 15.0
USUAL = {
    "circle_mm": CIRCLE,
    "drills_mm": [8.0, 10.0],
    "max_depth_mm": 9.0,
    "tolerance_gmm": 40.0,
    "hole_spacing_mm": SPACING,
}


def taken_gmm(diameter, depth):
    a = diameter / 2
    point = a / math.tan(math.radians(59))
    return 7.85e-3 * math.pi * a**2 * (depth + point / 3) * CIRCLE


@settings(max_examples=40, deadline=None)
@given(st.floats(50, 1500), st.floats(0, 360))
def test_a_plan_keeps_every_rule(size, angle):
    wanted = vector(size, angle)
    blocked, old = (80.0, 130.0), 200.0
    made = plan_disc(wanted, **USUAL, keep_clear=[blocked], holes_degrees=[old])
    if not made.feasible:
        assert made.residual == pytest.approx(wanted)
        return
    left = wanted - sum(
        vector(taken_gmm(hole.diameter_mm, hole.depth_mm), hole.degrees) for hole in made.holes
    )
    assert made.residual == pytest.approx(left, abs=1e-6)  # g mm: rounding of a sum of a thousand
    assert amount(left) <= 20 + 1e-9
    gap = math.degrees(SPACING / CIRCLE)
    for hole in made.holes:
        assert hole.diameter_mm in (8.0, 10.0)
        assert 2.0 <= hole.depth_mm <= 9.0
        assert not blocked[0] <= hole.degrees <= blocked[1]
        assert abs(turn(hole.degrees - old)) >= gap
    for one, two in itertools.combinations(made.holes, 2):
        assert abs(turn(one.degrees - two.degrees)) >= gap
    assert len(made.holes) >= made.bound_holes


@pytest.mark.parametrize("angle", [0, 45, 200])
def test_one_hole_where_one_is_enough_and_the_lightest(angle):
    wanted, drills = vector(300.0, angle), [8.0, 10.0]
    made = plan_disc(wanted, **USUAL)
    depths = np.arange(2.0, 9.01, 0.5)
    fitting = [
        taken_gmm(d, h)
        for d, h in itertools.product(drills, depths)
        if abs(300.0 - taken_gmm(d, h)) <= 20
    ]
    (hole,) = made.holes
    # of holes a degree off some may be lighter still; none can be lighter than what must go
    assert hole.unbalance_gmm <= min(fitting) + 1e-9
    assert hole.unbalance_gmm >= 280 - 1e-9
    assert abs(turn(hole.degrees - angle)) <= math.degrees(math.asin(20 / 280))


def test_turning_the_disc_turns_the_row():
    first, second = (plan_disc(vector(900.0, angle), **USUAL) for angle in (30, 137))
    assert [turn(h.degrees - 30) for h in first.holes] == pytest.approx(
        [turn(h.degrees - 137) for h in second.holes]
    )
    assert degrees(second.residual) == pytest.approx((degrees(first.residual) + 107) % 360)


def test_nothing_to_do_and_nothing_that_can_be_done_are_said():
    enough = plan_disc(15.0, **USUAL)
    assert (enough.holes, enough.feasible) == ((), True)
    assert "nothing to drill" in enough.reason
    far = plan_disc(1e6, **USUAL)
    assert (far.holes, far.feasible, far.residual) == ((), False, 1e6)
    assert "do not reach it" in far.reason
    full = plan_disc(300.0, **USUAL, keep_clear=[(0, 359)], holes_degrees=[359.5])
    assert not full.feasible
    assert "none fits between the arcs to keep clear" in full.reason


def test_less_than_the_smallest_hole_takes_is_not_drilled():
    """The least hole here takes 121 g mm: of 60 it would leave as much on the other side."""
    assert taken_gmm(8.0, 2.0) == pytest.approx(121.6, abs=0.1)
    made = plan_disc(60.0, **USUAL)
    assert (made.holes, made.feasible, made.residual) == ((), False, 60.0)
    assert "the smallest takes too much" in made.reason


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"drills_mm": []}, "drills_mm must name at least one drill, got none"),
        ({"drills_mm": [-8.0]}, "drills_mm must be greater than zero"),
        ({"margin": 1.5}, "margin must be greater than 0 and at most 1, got 1.5"),
        ({"max_depth_mm": 1.0}, "max_depth_mm must not be less than 2, got 1.0"),
        ({"hole_spacing_mm": 0.0}, "hole_spacing_mm must be greater than zero"),
        ({"circle_mm": float("nan")}, "circle_mm must be finite"),
        ({"tolerance_gmm": 0.0}, "tolerance_gmm must be greater than zero"),
    ],
)
def test_bad_input_is_named(change, words):
    with pytest.raises(InputError, match=words):
        plan_disc(300.0, **(USUAL | change))
