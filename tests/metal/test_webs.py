"""Metal between holes, faces and round bodies: cases by hand, and nearest points by a solver."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from balance.errors import InputError
from balance.metal.holes import DrilledHole, point_mm, web_mm
from balance.metal.webs import KeepOut, Place, face_mm, keep_out_mm

holes = st.builds(
    DrilledHole,
    degrees=st.floats(-400.0, 400.0),
    diameter_mm=st.floats(3.0, 26.0),
    depth_mm=st.floats(0.0, 40.0),
    surface_radius_mm=st.just(76.0),
    z_mm=st.just(0.0),
    point_degrees=st.sampled_from([90.0, 118.0, 135.0, 180.0]),
)


def test_two_like_holes_by_hand() -> None:
    # cylinders that end flat: the near shoulders stand on either side of the line between the axes
    q, a, half = 56.0, 6.0, math.radians(15.0)
    by_hand = 2 * (q * math.sin(half) - a * math.cos(half))
    one, two = (DrilledHole(d, 2 * a, 20.0, 76.0, point_degrees=180.0) for d in (0.0, 30.0))
    assert web_mm(one, two) == pytest.approx(by_hand, abs=1e-12)
    # with a point the shoulders are as near as before: the cones lean away
    assert web_mm(*(replace(h, point_degrees=118.0) for h in (one, two))) <= by_hand


def test_the_chord_at_the_surface_flatters() -> None:
    one, two = DrilledHole(0.0, 12.7, 30.0), DrilledHole(20.0, 12.7, 30.0)
    chord = 2 * 76 * math.sin(math.radians(10)) - 12.7
    assert web_mm(one, two, surface_radius_mm=76.0) < chord - 9.0


def test_holes_that_meet_leave_nothing() -> None:
    deep = DrilledHole(0.0, 12.0, 60.0, 76.0)
    assert web_mm(deep, replace(deep, degrees=25.0)) == 0.0  # only far below
    assert web_mm(deep, deep) == 0.0
    wide, spot = DrilledHole(0.0, 26.0, 30.0, 76.0), DrilledHole(3.0, 3.0, 0.1, 76.0)
    assert web_mm(wide, spot) == 0.0  # a spot inside the mouth, above the other's mouth corners


def test_a_flat_cutter_that_only_touches_is_a_point() -> None:
    touch = DrilledHole(0.0, 10.0, 0.0, 76.0, point_degrees=180.0)
    deep = DrilledHole(90.0, 10.0, 30.0, 76.0)
    # from the point (76, 0) to the deep hole's shoulder at (5, 46)
    assert web_mm(touch, deep) == pytest.approx(math.hypot(71.0, 46.0), abs=1e-12)


@settings(max_examples=30, deadline=None)
@given(one=holes, two=holes)
@example(DrilledHole(0.0, 12.7, 10.0, 76.0), DrilledHole(20.0, 12.7, 30.0, 76.0))
def test_the_web_has_the_unit_of_the_drawing(one, two) -> None:
    def in_metres(hole: DrilledHole) -> DrilledHole:
        lengths = ("diameter_mm", "depth_mm", "surface_radius_mm")
        return replace(hole, **{name: getattr(hole, name) / 1000 for name in lengths})

    small = web_mm(in_metres(one), in_metres(two))
    assert 1000 * small == pytest.approx(web_mm(one, two), abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(one=holes, two=holes, turned=st.floats(-360.0, 360.0))
def test_order_and_turning_do_not_matter(one, two, turned: float) -> None:
    web = web_mm(one, two)
    assert web_mm(two, one) == pytest.approx(web, abs=1e-9)
    both = [replace(h, degrees=h.degrees + turned) for h in (one, two)]
    assert web_mm(*both) == pytest.approx(web, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(one=holes, two=holes, more=st.floats(0.0, 5.0))
def test_a_bigger_hole_never_leaves_more(one, two, more: float) -> None:
    assert web_mm(one, replace(two, depth_mm=two.depth_mm + more)) <= web_mm(one, two) + 1e-9


@settings(max_examples=40, deadline=None)
@given(one=holes, two=holes, seed=st.integers(0, 2**32 - 1))
def test_no_two_points_of_the_voids_are_nearer(one, two, seed: int) -> None:
    rng = np.random.default_rng(seed)
    p, q = (points_inside(h, rng) for h in (one, two))
    nearest = np.linalg.norm(p[:, None] - q[None, :], axis=2).min()
    assert web_mm(one, two) <= nearest + 1e-9


def points_inside(hole: DrilledHole, rng: np.random.Generator, n: int = 150) -> np.ndarray:
    """Points of the void below the rim, by throwing away those outside."""
    a, rim = hole.diameter_mm / 2, hole.surface_radius_mm
    t = float(point_mm(hole.diameter_mm, hole.point_degrees))
    q = rim - hole.depth_mm
    x = rng.uniform(q - t, rim, n)
    y, z = rng.uniform(-a, a, (2, n))
    rho = np.hypot(y, z)
    inside = (rho <= a) & (x >= q - t * (1 - rho / a)) & (np.hypot(x, y) <= rim)
    x, y, z = (v[inside] for v in (x, y, z))
    x, y, z = np.append(x, rim), np.append(y, 0.0), np.append(z, 0.0)  # the mouth's middle
    angle = math.radians(hole.degrees)
    turned = (x + 1j * y) * np.exp(1j * angle)
    return np.column_stack([turned.real, turned.imag, z])


def by_solver(one: DrilledHole, two: DrilledHole) -> float:
    """Distance of two drills with flat mouths, as a convex programme for a general solver."""
    solids = []
    for h in (one, two):
        a, t = h.diameter_mm / 2, float(point_mm(h.diameter_mm, h.point_degrees))
        c, s = math.cos(math.radians(h.degrees)), math.sin(math.radians(h.degrees))
        solids.append((np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]]), a, t, h))

    def place(x, k: int):
        frame, _, _, h = solids[k]
        return x[3 * k : 3 * k + 3] @ frame + [0, 0, h.z_mm]

    def inside(x):
        rules = []
        for k, (_, a, t, h) in enumerate(solids):
            depth, rho2 = x[3 * k], x[3 * k + 1] ** 2 + x[3 * k + 2] ** 2
            above = depth - (h.surface_radius_mm - h.depth_mm - t)
            cone = above * a - t * math.sqrt(rho2 + 1e-18)
            rules += [a * a - rho2, cone, h.surface_radius_mm - depth]
        return np.array(rules)

    start = np.array([70.0, 0, 0, 70.0, 0, 0])
    found = minimize(
        lambda x: np.sum((place(x, 0) - place(x, 1)) ** 2),
        start,
        constraints=[{"type": "ineq", "fun": inside}],
        method="SLSQP",
        options={"maxiter": 500, "ftol": 1e-15},
    )
    return math.sqrt(found.fun)


def test_holes_at_different_z_against_a_general_solver() -> None:
    rng = np.random.default_rng(7)
    for _ in range(12):
        one = DrilledHole(0.0, rng.uniform(5, 20), rng.uniform(5, 40), 76.0, 0.0, 118.0)
        two = DrilledHole(
            rng.uniform(0, 90),
            rng.uniform(5, 20),
            rng.uniform(5, 40),
            76.0,
            rng.uniform(21, 50),
            118.0,
        )
        # the solver stops within about 1e-6 mm
        assert web_mm(one, two) == pytest.approx(by_solver(one, two), abs=1e-5)


def test_parallel_holes_side_by_side() -> None:
    one = DrilledHole(40.0, 10.0, 20.0, 76.0)
    assert web_mm(one, replace(one, z_mm=15.0, diameter_mm=8.0)) == pytest.approx(6.0, abs=1e-6)
    assert web_mm(one, replace(one, z_mm=8.0)) == 0.0


def test_a_hole_on_a_higher_rim_is_never_given_too_much() -> None:
    low, high = DrilledHole(0.0, 10.0, 20.0, 70.0), DrilledHole(20.0, 10.0, 26.0, 76.0)
    lifted = replace(low, surface_radius_mm=76.0, depth_mm=26.0)  # the same drill, fed from higher
    assert web_mm(low, high) == pytest.approx(web_mm(lifted, high), abs=1e-6)


def test_faces() -> None:
    assert face_mm([10.0, 20.0], width_mm=22.0) == pytest.approx([6.0, 1.0])
    assert face_mm(20.0, width_mm=22.0, off_middle_mm=-3.0) == pytest.approx(-2.0)


def test_an_oil_way_under_the_point_and_a_crankpin_beside() -> None:
    hole = DrilledHole(30.0, 12.0, 20.0, 76.0, 10.0, 90.0)  # tip at 76 - 20 - 6 = 50 mm
    along_crank = KeepOut(Place(40.0, 30.0, -20.0), Place(40.0, 30.0, 40.0), 8.0)
    assert keep_out_mm(hole, along_crank) == pytest.approx(50 - 40 - 4, abs=1e-6)
    pin = KeepOut(Place(30.0, 30.0, 30.0), Place(30.0, 30.0, 60.0), 20.0)
    flat = replace(hole, point_degrees=180.0)  # bottom edge at 56 mm, z = 16; the pin's at 40, 30
    assert keep_out_mm(flat, pin) == pytest.approx(math.hypot(56 - 40, 30 - 16), abs=1e-6)
    assert keep_out_mm(hole, replace(along_crank, diameter_mm=30.0)) == 0.0


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: web_mm(DrilledHole(0, 10, 10), DrilledHole(40, 10, 10, 76.0)),
            "hole_a has no surface_radius_mm",
        ),
        (
            lambda: web_mm(DrilledHole(0, 10, 10, 76.0), DrilledHole(40, 10, -1, 76.0)),
            "depth_mm must not be negative, got -1",
        ),
        (
            lambda: web_mm(DrilledHole(0, 10, 10, 76.0), DrilledHole(float("inf"), 10, 1, 76.0)),
            "hole_b.degrees must be finite, got inf",
        ),
        (
            lambda: keep_out_mm(
                DrilledHole(0, 10, 10, 76.0), KeepOut(Place(1, 0, 0), Place(1, 0, 0), 5.0)
            ),
            "keep_out must have a length",
        ),
        (
            lambda: keep_out_mm(
                DrilledHole(0, 10, 10, 76.0), KeepOut(Place(1, 0, 0), Place(1, 0, 9), 0.0)
            ),
            "keep_out.diameter_mm must be greater than zero, got 0.0",
        ),
        (lambda: face_mm(10.0, width_mm=0.0), "width_mm must be greater than zero, got 0.0"),
        (lambda: face_mm(10.0, width_mm=20.0, off_middle_mm=float("nan")), "off_middle_mm must be"),
    ],
)
def test_messages(call, message: str) -> None:
    with pytest.raises(InputError, match=message):
        call()
