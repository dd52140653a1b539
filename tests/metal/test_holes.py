"""Radial and axial holes: quadrature, limits, round trips, and every message."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from balance.errors import InputError
from balance.metal.holes import axial_hole, depth_for, point_mm, radial_hole, tip_depth_mm

UNIT = 1000.0  # g/cm3: grams are then cubic millimetres
INCH = 25.4

drills = st.floats(3.0, 30.0)
rims = st.floats(40.0, 150.0)
points = st.floats(80.0, 180.0)


def by_quadrature(d: float, h: float, rim: float, point: float) -> tuple[float, float]:
    """Volume and first moment by stacking slices across the crank: y outside, z inside.

    The slice at y is the metal between the rim at sqrt(R^2 - y^2) and the cone below it.
    """
    a, q = d / 2, rim - h
    t = 0.0 if point == 180 else a / np.tan(np.radians(point) / 2)

    def slice_at(y: float, power: int) -> float:
        top = np.sqrt(rim**2 - y * y)
        # where the cone comes up to the rim
        reach = np.clip(a * (1 - (q - top) / t), 0.0, a) if t > 0 else a * (top > q)
        if reach <= abs(y):
            return 0.0

        def height(z: float) -> float:
            bottom = q - t * (1 - np.hypot(y, z) / a)
            return (top**power - bottom**power) / power

        return 2 * quad(height, 0.0, np.sqrt(reach**2 - y * y), epsabs=1e-10, epsrel=1e-11)[0]

    corner = np.sqrt(max(rim**2 - q * q, 0.0))  # where the shoulder comes up to the rim
    edges = [0.0, corner, a] if corner < a else [0.0, a]
    totals = [
        2
        * sum(
            quad(slice_at, lo, hi, args=(k,), epsabs=1e-8, epsrel=1e-9, limit=200)[0]
            for lo, hi in pairwise(edges)
        )
        for k in (1, 2)
    ]
    return totals[0], totals[1]


@pytest.mark.parametrize(
    ("d", "h", "rim", "point"),
    [(12.7, 20.0, 76.0, 118.0), (25.4, 1.0, 40.0, 118.0), (30.0, 25.0, 40.0, 140.0)],
)
def test_radial_hole_is_the_integral(d: float, h: float, rim: float, point: float) -> None:
    ours = radial_hole(d, h, surface_radius_mm=rim, point_degrees=point, density_g_cm3=UNIT)
    # the quadrature is asked for 1e-9 and meets corners on the way
    assert [ours.mass_g, ours.unbalance_gmm] == pytest.approx(
        by_quadrature(d, h, rim, point), rel=1e-7
    )


def test_the_rim_curve_takes_the_same_off_the_unbalance_of_any_depth_and_rim() -> None:
    # against a flat mouth at R: rho pi d^4 / 128, derived by hand; 75 g mm at 25 mm in steel
    d, depths, rims_mm = 25.0, np.array([[5.0], [15.0], [40.0]]), np.array([60.0, 76.0, 110.0])
    area, t = np.pi / 4 * d * d, point_mm(d, 118.0)
    flat = (depths + t / 3) * rims_mm - depths**2 / 2 - t / 3 * (depths + t / 4)
    ours = radial_hole(d, depths, surface_radius_mm=rims_mm)
    loss = 0.00785 * area * flat - ours.unbalance_gmm
    assert loss == pytest.approx(np.full((3, 3), 0.00785 * np.pi * d**4 / 128), rel=1e-9)
    assert loss[0, 0] == pytest.approx(75, abs=0.5)


def test_half_inch_holes_worked_by_hand() -> None:
    # depths 5 to 25 mm at R 76 in steel, flat mouth, then the curve's 5.0 g mm taken off each
    ours = radial_hole(12.7, [5.0, 10.0, 15.0, 20.0, 25.0], surface_radius_mm=76.0)
    flat = np.array([454, 788, 1098, 1382, 1642])
    assert ours.unbalance_gmm == pytest.approx(flat - 5.0, abs=0.6)  # printed whole
    lens = 0.00785 * np.pi * 6.35**2 * 12.7**2 / (32 * 76)  # mean height d^2 / 32 R: 0.07 g
    assert ours.mass_g == pytest.approx(
        np.array([6.24, 11.21, 16.18, 21.15, 26.13]) - lens, abs=0.006
    )
    assert ours.radius_mm == pytest.approx([72.8, 70.3, 67.8, 65.3, 62.8], abs=0.06)


def test_a_deep_hole_is_a_shallow_one_and_a_plain_length_of_drill() -> None:
    place = {"surface_radius_mm": 76.0, "density_g_cm3": UNIT}
    more = radial_hole(12.0, 30.0, **place).mass_g - radial_hole(12.0, 10.0, **place).mass_g
    assert more == pytest.approx(20 * np.pi * 36, rel=1e-12)


def test_shallow_and_deep_meet_where_the_full_diameter_goes_under() -> None:
    d, rim = 25.4, 40.0
    sagitta = rim - np.sqrt(rim**2 - (d / 2) ** 2)
    above, below = (radial_hole(d, sagitta + step, surface_radius_mm=rim) for step in (-1e-9, 1e-9))
    assert above.mass_g == pytest.approx(below.mass_g, rel=1e-8)
    assert above.unbalance_gmm == pytest.approx(below.unbalance_gmm, rel=1e-8)


def test_nothing_is_removed_by_a_flat_cutter_that_just_touches() -> None:
    ours = radial_hole(10.0, 0.0, surface_radius_mm=50.0, point_degrees=180.0)
    assert (ours.mass_g, ours.unbalance_gmm, ours.radius_mm) == (0.0, 0.0, 50.0)


def test_arrays_are_their_elements() -> None:
    d, h, rim = np.array([[6.0], [25.0]]), np.array([0.0, 0.4, 20.0]), 45.0
    whole = radial_hole(d, h, surface_radius_mm=rim)
    assert whole.mass_g.shape == (2, 3)
    for i in range(2):
        for j in range(3):
            one = radial_hole(float(d[i, 0]), float(h[j]), surface_radius_mm=rim)
            assert whole.mass_g[i, j] == pytest.approx(one.mass_g, rel=1e-14)
            assert whole.unbalance_gmm[i, j] == pytest.approx(one.unbalance_gmm, rel=1e-14)


@settings(max_examples=60, deadline=None)
@given(d=drills, h=st.floats(0.0, 40.0), rim=rims, point=points)
def test_depth_for_undoes_radial_hole(d: float, h: float, rim: float, point: float) -> None:
    t = float(point_mm(d, point))
    assume(h < 0.9 * (rim - t / 3))
    place = {"surface_radius_mm": rim, "point_degrees": point}
    unbalance = radial_hole(d, h, **place).unbalance_gmm
    # depth to 1e-9 mm; a flat cutter's touch is so light that the unbalance has no digits left
    back = depth_for(unbalance, diameter_mm=d, **place)
    assert back == pytest.approx(h, abs=1e-9 if h > 1e-3 or t > 0.1 else 1e-4)


@settings(max_examples=40, deadline=None)
@given(d=drills, h=st.floats(0.0, 30.0), rim=rims, scale=st.floats(0.1, 10.0))
def test_scaling_every_length(d: float, h: float, rim: float, scale: float) -> None:
    one = radial_hole(d, h, surface_radius_mm=rim)
    other = radial_hole(d * scale, h * scale, surface_radius_mm=rim * scale)
    assert other.mass_g == pytest.approx(one.mass_g * scale**3, rel=1e-9)
    assert other.unbalance_gmm == pytest.approx(one.unbalance_gmm * scale**4, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(d=drills, rim=rims, point=points, h=st.floats(0.0, 20.0), more=st.floats(0.01, 10.0))
def test_deeper_is_more(d: float, rim: float, point: float, h: float, more: float) -> None:
    place = {"surface_radius_mm": rim, "point_degrees": point}
    one, other = radial_hole(d, [h, h + more], **place).mass_g
    assert other > one


def test_depth_for_takes_arrays_of_shallow_and_deep() -> None:
    depths = np.array([0.0, 0.2, 1.0, 5.0, 30.0])
    unbalance = radial_hole(25.4, depths, surface_radius_mm=40.0).unbalance_gmm
    back = depth_for(unbalance, diameter_mm=25.4, surface_radius_mm=40.0)
    assert back == pytest.approx(depths, abs=1e-9)


def test_the_deepest_useful_hole_is_reached() -> None:
    d, rim = 12.7, 76.0
    deepest = rim - float(point_mm(d)) / 3
    most = radial_hole(d, deepest, surface_radius_mm=rim).unbalance_gmm
    # flat top of a parabola: half the digits of the unbalance are left in the depth
    back = depth_for(most, diameter_mm=d, surface_radius_mm=rim)
    assert back == pytest.approx(deepest, abs=1e-4)
    beyond = radial_hole(d, deepest + 3.0, surface_radius_mm=rim).unbalance_gmm
    assert beyond < most


def test_point_and_tip() -> None:
    # ideal cone over d; Machinery's Handbook, Drilling, from memory: about 0.3 d at 118 degrees
    ratios = [point_mm(1.0, p) for p in (118.0, 135.0, 140.0, 90.0, 180.0)]
    assert ratios == pytest.approx([0.3004, 0.2071, 0.182, 0.5, 0.0], abs=5e-5)
    assert tip_depth_mm(20.0, 10.0, point_degrees=90.0) == pytest.approx(25.0)


def test_mass_per_millimetre_of_drill_in_steel() -> None:
    # worked by hand: rho pi d^2 / 4
    inch = np.array([1 / 4, 5 / 16, 3 / 8, 7 / 16, 1 / 2, 5 / 8, 3 / 4, 7 / 8, 1.0])
    grams = [0.249, 0.388, 0.559, 0.761, 0.994, 1.554, 2.237, 3.045, 3.978]
    ours = axial_hole(inch * INCH, 1.0, radius_mm=70.0, through=True).mass_g
    assert ours == pytest.approx(grams, abs=6e-4)
    cones = axial_hole(np.array([3 / 8, 1 / 2, 3 / 4, 1.0]) * INCH, 0.0, radius_mm=70.0).mass_g
    assert cones == pytest.approx([0.53, 1.27, 4.27, 10.1], abs=0.04)


@pytest.mark.parametrize("d", [3.0, 12.0, 40.0])
@pytest.mark.parametrize("out", [0.2, 0.9, 1.0])
def test_a_tip_that_comes_out_at_the_back_takes_no_more_metal_than_there_is(d, out) -> None:
    # stacked slices: full diameter, then the cone down to the back face
    a, t, depth = d / 2, float(point_mm(d)), 10.0
    thickness = depth + (1 - out) * t
    cone = quad(lambda x: np.pi * (a * (1 - x / t)) ** 2, 0.0, (1 - out) * t)[0]
    ours = axial_hole(d, depth, radius_mm=60.0, thickness_mm=thickness, density_g_cm3=UNIT)
    assert ours.mass_g == pytest.approx(np.pi * a * a * depth + cone, rel=1e-12)
    plain = axial_hole(d, depth, radius_mm=60.0, through=True, density_g_cm3=UNIT)
    if out == 1.0:  # the full diameter just reaches the back face
        assert ours.mass_g == pytest.approx(plain.mass_g, rel=1e-12)


def test_axial_hole_far_inside_the_rim_does_not_see_it() -> None:
    free = axial_hole(12.0, 10.0, radius_mm=60.0)
    seen = axial_hole(12.0, 10.0, radius_mm=60.0, rim_radius_mm=80.0, thickness_mm=40.0)
    assert seen.mass_g == pytest.approx(free.mass_g, rel=1e-13)
    assert seen.unbalance_gmm == pytest.approx(free.unbalance_gmm, rel=1e-13)
    assert free.radius_mm == pytest.approx(60.0)


def test_axial_hole_on_the_crank_axis_has_no_unbalance() -> None:
    ours = axial_hole(12.0, 10.0, radius_mm=0.0, rim_radius_mm=40.0)
    assert ours.unbalance_gmm == 0.0
    assert ours.mass_g > 0


def test_half_a_hole_on_a_huge_rim() -> None:
    whole = axial_hole(12.0, 10.0, radius_mm=1e6, through=True).mass_g
    half = axial_hole(12.0, 10.0, radius_mm=1e6, through=True, rim_radius_mm=1e6).mass_g
    assert half == pytest.approx(whole / 2, rel=1e-5)  # the rim bends by a^2 / 2 R


GOOD = {"surface_radius_mm": 76.0}


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: radial_hole(0.0, 5.0, **GOOD), "diameter_mm must be greater than zero, got 0.0"),
        (lambda: radial_hole(10.0, -1.0, **GOOD), "depth_mm must not be negative, got -1.0"),
        (lambda: radial_hole(10.0, float("nan"), **GOOD), "depth_mm must be finite, got nan"),
        (lambda: radial_hole("10", 1.0, **GOOD), "diameter_mm must be a number, got '10'"),
        (
            lambda: radial_hole(10.0, 5.0, surface_radius_mm=0.0),
            "surface_radius_mm must be greater",
        ),
        (
            lambda: radial_hole(160.0, 5.0, **GOOD),
            "diameter_mm must be less than the rim's diameter",
        ),
        (lambda: radial_hole(10.0, 150.0, **GOOD), "depth_mm must end inside the rotor, got 150.0"),
        (lambda: radial_hole(10.0, 5.0, point_degrees=0.0, **GOOD), "point_degrees must be over 0"),
        (
            lambda: radial_hole(10.0, 5.0, point_degrees=181.0, **GOOD),
            r"at most 180 \(flat\), got 181",
        ),
        (
            lambda: radial_hole(10.0, 5.0, density_g_cm3=0.0, **GOOD),
            "density_g_cm3 must be greater",
        ),
        (lambda: depth_for(-1.0, diameter_mm=10.0, **GOOD), "unbalance_gmm must not be negative"),
        (
            lambda: depth_for(1e5, diameter_mm=12.7, **GOOD),
            r"at most 28\d\d\.\d+, all one such hole .* got 100000.0: use a larger drill",
        ),
        (
            lambda: depth_for([500.0, 10.0], diameter_mm=25.4, **GOOD),
            r"at least 682\.746, what the drill's point alone takes, got \[500.0, 10.0\]",
        ),
        (
            lambda: depth_for(10.0, diameter_mm=151.9, **GOOD),
            "diameter_mm is too wide for the rim, got up to 151.9 mm",
        ),
        (lambda: axial_hole(10.0, 5.0, radius_mm=-1.0), "radius_mm must not be negative, got -1.0"),
        (
            lambda: axial_hole(10.0, 5.0, radius_mm=90.0, rim_radius_mm=80.0),
            "radius_mm must let the hole touch the rim",
        ),
        (
            lambda: axial_hole(170.0, 5.0, radius_mm=10.0, rim_radius_mm=80.0),
            "diameter_mm must be less than the rim's",
        ),
        (
            lambda: axial_hole(10.0, 5.0, radius_mm=[50.0, 90.0], rim_radius_mm=80.0),
            "radius_mm must let the hole touch the rim",
        ),
        (
            lambda: axial_hole([10.0, 170.0], 5.0, radius_mm=10.0, rim_radius_mm=80.0),
            "diameter_mm must be less than the rim's",
        ),
        (
            lambda: axial_hole(10.0, [5.0, 12.0], radius_mm=50.0, thickness_mm=10.0),
            "depth_mm must not exceed the metal",
        ),
        (
            lambda: axial_hole(10.0, 12.0, radius_mm=50.0, thickness_mm=10.0),
            "depth_mm must not exceed the metal",
        ),
    ],
)
def test_messages(call, message: str) -> None:
    with pytest.raises(InputError, match=message):
        call()
