"""Skims, flats, flywheel weights and pitch circles."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.metal.axial import axial_hole
from balance.metal.flywheels import bolted_weight, pitch_circle, split, split_on_circle
from balance.metal.surfaces import ground_flat, ground_flat_for, skim, skim_for
from balance.vectors import vector

RIM = {"surface_radius_mm": 76.0, "width_mm": 20.0}


def test_one_millimetre_off_the_rim_worked_by_hand() -> None:
    # 0.00785 x 20 x 2 sin 60 x (76^3 - 75^3) / 3
    assert skim(1.0, half_span_degrees=60.0, **RIM).unbalance_gmm == pytest.approx(1550, abs=0.5)


def test_a_skim_all_round_changes_no_balance() -> None:
    ring = skim(1.0, half_span_degrees=180.0, **RIM)
    assert ring.mass_g == pytest.approx(0.00785 * 20 * math.pi * (76**2 - 75**2))
    assert ring.unbalance_gmm == pytest.approx(0.0, abs=1e-9)


def test_a_narrow_skim_acts_at_the_rim() -> None:
    assert skim(1e-6, half_span_degrees=0.1, **RIM).radius_mm == pytest.approx(76.0, rel=1e-5)
    assert skim(0.0, half_span_degrees=0.1, **RIM).mass_g == 0.0


@settings(max_examples=40, deadline=None)
@given(depth=st.floats(1e-6, 70.0), half_span=st.floats(1.0, 170.0))
def test_inverses(depth: float, half_span: float) -> None:
    arc = {"half_span_degrees": half_span, **RIM}
    assert skim_for(skim(depth, **arc).unbalance_gmm, **arc) == pytest.approx(depth, rel=1e-9)
    flat = ground_flat(depth, **RIM).unbalance_gmm
    assert ground_flat_for(flat, **RIM) == pytest.approx(depth, rel=1e-9)


def test_a_flat_is_shallower_than_the_skim_it_replaces() -> None:
    # small flats: chord 2 c, depth h = c^2 / 2 R, area 2/3 of the box, acting near the rim
    h = 0.01
    c = math.sqrt(2 * 76 * h)
    assert ground_flat(h, **RIM).mass_g == pytest.approx(0.00785 * 20 * 4 / 3 * c * h, rel=1e-3)


def test_weight_on_a_flywheel_with_its_new_hole() -> None:
    drilled = axial_hole(6.6, 18.0, radius_mm=130.0, through=True)
    gain = bolted_weight(
        20.0, radius_mm=130.0, screw_mass_g=7.0, screw_hole_mm=6.6, thickness_mm=18.0
    )
    assert gain.mass_g == pytest.approx(27.0 - drilled.mass_g)
    assert gain.unbalance_gmm == pytest.approx(130.0 * gain.mass_g)


@settings(max_examples=60, deadline=None)
@given(
    amount=st.floats(0.1, 1e4),
    degrees=st.floats(-360.0, 360.0),
    count=st.integers(3, 24),
    first=st.floats(-360.0, 360.0),
)
def test_two_neighbours_make_up_the_unbalance(amount, degrees, count: int, first: float) -> None:
    u = complex(vector(amount, degrees))
    positions = pitch_circle(count, first_degrees=first)
    found = split_on_circle(u, positions)
    back = vector([found.first_gmm, found.second_gmm], [found.first_degrees, found.second_degrees])
    assert back.sum() == pytest.approx(u, abs=1e-9 * amount)
    pairs = [
        split(u, float(a), float(b))
        for a in positions
        for b in positions
        if a < b and holds(u, float(a), float(b))
    ]
    least = min(each.first_gmm + each.second_gmm for each in pairs)
    assert found.first_gmm + found.second_gmm <= least * (1 + 1e-9)


def holds(u: complex, a: float, b: float) -> bool:
    try:
        split(u, a, b)
    except InputError:
        return False
    return True


def test_a_hole_where_the_unbalance_points_needs_no_other() -> None:
    found = split_on_circle(100.0, [0.0, 180.0])
    assert (found.second_degrees, found.second_gmm, found.first_gmm) == (0.0, 100.0, 0.0)


def test_pitch_circle_turns_with_its_first_hole() -> None:
    assert pitch_circle(3, first_degrees=-10.0) == pytest.approx([350.0, 110.0, 230.0])


ARC = {"half_span_degrees": 60.0, **RIM}


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: skim(80.0, **ARC), "depth_mm must be less than surface_radius_mm, got 80.0"),
        (lambda: skim(-1.0, **ARC), "depth_mm must not be negative, got -1.0"),
        (
            lambda: skim(1.0, half_span_degrees=190.0, **RIM),
            "half_span_degrees must not exceed 180",
        ),
        (lambda: skim_for(1e9, **ARC), r"unbalance_gmm must be less than all the arc holds, 397"),
        (
            lambda: ground_flat(76.0, **RIM),
            "depth_mm must be less than surface_radius_mm, got 76.0",
        ),
        (
            lambda: ground_flat_for(1e9, **RIM),
            "unbalance_gmm must be less than half the disc holds",
        ),
        (
            lambda: bolted_weight(20.0, radius_mm=130.0, screw_hole_mm=6.0),
            "screw_hole_mm and thickness_mm belong together",
        ),
        (lambda: bolted_weight(-20.0, radius_mm=130.0), "mass_g must not be negative, got -20.0"),
        (lambda: pitch_circle(0), "count must be a whole number of at least 1, got 0"),
        (lambda: pitch_circle(2.5), "count must be a whole number of at least 1, got 2.5"),
        (lambda: split(100.0, 30.0, 210.0), "lie on one line: 30.0 and 210.0"),
        (
            lambda: split(100j, 300.0, 20.0),
            "unbalance must point between 300 and 20 degrees, got an angle of 90",
        ),
        (
            lambda: split_on_circle(100.0, [40.0]),
            r"positions_degrees must hold two angles, got \[40",
        ),
        (
            lambda: split_on_circle(100.0, [40.0, 80.0, 120.0]),
            "positions_degrees leave nothing on one side",
        ),
        (lambda: split_on_circle(np.nan, [0.0, 90.0]), "unbalance must be finite, got nan"),
    ],
)
def test_messages(call, message: str) -> None:
    with pytest.raises(InputError, match=message):
        call()
