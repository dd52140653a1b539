"""Shaking: symmetries that any right answer has, many engines at once, articulated rods."""

from dataclasses import replace

import mpmath
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.engine.layouts import Cylinder, Engine, Throw, layout
from balance.engine.orders import order_vectors
from balance.engine.paths import Path, bend_orders, big_end, piston_pin, rod_angle
from balance.engine.shaking import shake
from balance.errors import InputError

LENGTHS = {"stroke_mm": 80.0, "rod_length_mm": 160.0, "bore_spacing_mm": 100.0}
ORDERS = (1, 2, 3, 4)
NAMES = ("forward_force_n", "backward_force_n", "forward_couple_nm", "backward_couple_nm")
angles = st.floats(-360, 360)
places = st.floats(-400, 400)


@st.composite
def engines(draw):
    """Any engine of up to five cylinders on up to three throws, with its own masses."""
    throws = draw(st.lists(st.builds(Throw, angles, places), min_size=1, max_size=3))
    one = st.builds(
        Cylinder,
        st.integers(0, len(throws) - 1),
        angles,
        places,
        st.one_of(st.none(), st.floats(-20, 20)),
    )
    cylinders = draw(st.lists(one, min_size=1, max_size=5))
    masses = st.lists(st.floats(0, 2000), min_size=len(cylinders), max_size=len(cylinders))
    engine = Engine(
        draw(st.floats(40, 120)), draw(st.floats(110, 250)), 100.0, throws, cylinders,
        draw(st.floats(-15, 15)),
    )  # fmt: skip
    return engine, {
        "reciprocating_g": draw(masses),
        "rotating_g": draw(masses),
        "speed_rpm": draw(st.floats(100, 8000)),
        "counterweights": draw(
            st.lists(st.tuples(st.complex_numbers(max_magnitude=1e5), places), max_size=2)
        ),
    }


def one_part(engine, masses, *, lever_mm=None):
    """All masses pulling one way [N, or N m at a lever]: what rounding is measured against."""
    w2 = (masses["speed_rpm"] * np.pi / 30) ** 2 * 1e-6
    heavy = (np.sum(masses["reciprocating_g"]) + np.sum(masses["rotating_g"])) * engine.stroke_mm
    force = w2 * (heavy + sum(abs(u) for u, _ in masses["counterweights"])) + 1e-9
    return force if lever_mm is None else force * lever_mm * 1e-3


def assert_same(ours, theirs, engine, masses):
    for name in NAMES:
        lever = 800.0 if "couple" in name else None
        atol = 1e-11 * one_part(engine, masses, lever_mm=lever)  # rounding of angles of 360
        np.testing.assert_allclose(getattr(ours, name), getattr(theirs, name), rtol=0, atol=atol)


@given(engines(), angles)
@settings(max_examples=40, deadline=None)
def test_turning_the_whole_engine_turns_every_vector(case, turn):
    engine, masses = case
    spin = np.exp(1j * np.radians(turn))
    turned = replace(
        engine,
        throws=[replace(t, degrees=t.degrees + turn) for t in engine.throws],
        cylinders=[replace(c, bank_degrees=c.bank_degrees + turn) for c in engine.cylinders],
    )
    weights = [(u * spin, z) for u, z in masses["counterweights"]]
    here = shake(engine, **masses, orders=ORDERS)
    there = shake(turned, **{**masses, "counterweights": weights}, orders=ORDERS)
    back = replace(there, **{name: getattr(there, name) / spin for name in NAMES})
    assert_same(back, here, engine, masses)


@given(engines(), angles)
@settings(max_examples=40, deadline=None)
def test_a_crank_set_ahead_is_the_same_engine_earlier(case, turn):
    engine, masses = case
    masses = {**masses, "counterweights": []}
    ahead = replace(engine, throws=[replace(t, degrees=t.degrees + turn) for t in engine.throws])
    here, there = shake(engine, **masses, orders=ORDERS), shake(ahead, **masses, orders=ORDERS)
    spin = np.exp(1j * np.radians(turn * np.array(ORDERS)))
    back = replace(
        there,
        **{n: getattr(there, n) / (spin if n.startswith("f") else np.conj(spin)) for n in NAMES},
    )
    assert_same(back, here, engine, masses)


@given(engines(), st.randoms(use_true_random=False))
@settings(max_examples=40, deadline=None)
def test_the_numbering_of_the_cylinders_does_not_matter(case, random):
    engine, masses = case
    order = list(range(len(engine.cylinders)))
    random.shuffle(order)
    mixed = replace(engine, cylinders=[engine.cylinders[k] for k in order])
    swapped = {
        **masses,
        "reciprocating_g": [masses["reciprocating_g"][k] for k in order],
        "rotating_g": [masses["rotating_g"][k] for k in order],
    }
    here, there = shake(engine, **masses, orders=ORDERS), shake(mixed, **swapped, orders=ORDERS)
    assert_same(there, here, engine, masses)


@given(engines(), angles)
@settings(max_examples=40, deadline=None)
def test_orders_add_up_to_the_curves(case, degrees):
    engine, masses = case
    orders = np.arange(1, 80)
    s = shake(engine, **masses, orders=orders)
    spin = np.exp(1j * np.radians(degrees * orders))
    force = s.forward_force_n @ spin + s.backward_force_n @ np.conj(spin)
    couple = s.forward_couple_nm @ spin + s.backward_couple_nm @ np.conj(spin)
    # 80 orders of an angle up to 360 degrees: rounding 80 times larger than above.
    assert abs(force - s.force_n(degrees)) < 1e-9 * one_part(engine, masses)
    assert abs(couple - s.couple_nm(degrees)) < 1e-9 * one_part(engine, masses, lever_mm=800.0)


@given(engines(), st.floats(-300, 300))
@settings(max_examples=30, deadline=None)
def test_moving_the_reference_moves_the_couple_by_the_force(case, shift):
    engine, masses = case
    here = shake(engine, **masses, orders=ORDERS, reference_z_mm=0.0)
    there = shake(engine, **masses, orders=ORDERS, reference_z_mm=shift)
    moved = replace(
        there,
        forward_couple_nm=there.forward_couple_nm + 1e-3 * shift * there.forward_force_n,
        backward_couple_nm=there.backward_couple_nm + 1e-3 * shift * there.backward_force_n,
    )
    assert_same(moved, here, engine, masses)


@given(engines())
@settings(max_examples=30, deadline=None)
def test_forces_grow_with_the_square_of_the_speed_and_with_the_mass(case):
    engine, masses = case
    here = shake(engine, **masses, orders=ORDERS)
    fast = {**masses, "speed_rpm": 3 * masses["speed_rpm"]}
    there = shake(engine, **fast, orders=ORDERS)
    scaled = replace(there, **{name: getattr(there, name) / 9 for name in NAMES})
    assert_same(scaled, here, engine, masses)
    heavy = {
        **masses,
        "reciprocating_g": 2 * np.array(masses["reciprocating_g"]),
        "rotating_g": 2 * np.array(masses["rotating_g"]),
        "counterweights": [(2 * u, z) for u, z in masses["counterweights"]],
    }
    twice = shake(engine, **heavy, orders=ORDERS)
    halved = replace(twice, **{name: getattr(twice, name) / 2 for name in NAMES})
    assert_same(halved, here, engine, masses)


@given(engines(), st.sampled_from([25.4, 0.1, 1000.0]))
@settings(max_examples=30, deadline=None)
def test_another_unit_of_length_scales_forces_once_and_couples_twice(case, unit):
    engine, masses = case
    longer = Engine(
        engine.stroke_mm * unit,
        engine.rod_length_mm * unit,
        engine.bore_spacing_mm * unit,
        [replace(t, z_mm=t.z_mm * unit) for t in engine.throws],
        [
            replace(
                c,
                z_mm=c.z_mm * unit,
                pin_offset_mm=None if c.pin_offset_mm is None else c.pin_offset_mm * unit,
            )
            for c in engine.cylinders
        ],
        engine.pin_offset_mm * unit,
    )
    weights = [(u * unit, z * unit) for u, z in masses["counterweights"]]
    here = shake(engine, **masses, orders=ORDERS)
    there = shake(longer, **{**masses, "counterweights": weights}, orders=ORDERS)
    scaled = replace(
        there,
        **{n: getattr(there, n) / (unit**2 if "couple" in n else unit) for n in NAMES},
    )
    assert_same(scaled, here, engine, masses)


@given(engines(), st.complex_numbers(max_magnitude=1e5), places)
@settings(max_examples=30, deadline=None)
def test_a_counterweight_touches_the_forward_first_order_and_nothing_else(case, unbalance, z):
    engine, masses = case
    bare, weighed = (
        masses,
        {**masses, "counterweights": [*masses["counterweights"], (unbalance, z)]},
    )
    s, t = shake(engine, **bare, orders=ORDERS), shake(engine, **weighed, orders=ORDERS)
    np.testing.assert_array_equal(s.backward_force_n, t.backward_force_n)
    np.testing.assert_array_equal(s.backward_couple_nm, t.backward_couple_nm)
    np.testing.assert_array_equal(s.forward_force_n[1:], t.forward_force_n[1:])
    added = (masses["speed_rpm"] * np.pi / 30) ** 2 * 1e-6 * unbalance
    assert t.forward_force_n[0] - s.forward_force_n[0] == pytest.approx(
        added, abs=1e-11 * one_part(engine, weighed)
    )
    assert s.crank_can_cancel()[0].tolist() == [True, False, False, False]
    assert not s.crank_can_cancel()[1].any()


def test_scalar_mass_is_that_mass_in_every_cylinder():
    engine = layout("V-6", **LENGTHS)
    one = shake(engine, reciprocating_g=500, rotating_g=600, speed_rpm=3000)
    each = shake(engine, reciprocating_g=[500] * 6, rotating_g=[600] * 6, speed_rpm=3000)
    for name in NAMES:
        np.testing.assert_array_equal(getattr(one, name), getattr(each, name))
    assert each.reciprocating_g.tolist() == [500.0] * 6


def test_orders_come_back_in_the_sequence_asked_for_even_twice():
    engine = layout("single", **LENGTHS)
    masses = {"reciprocating_g": 500, "rotating_g": 600, "speed_rpm": 3000}
    usual = shake(engine, **masses)
    assert usual.orders == (1, 2, 4, 6)
    mixed = shake(engine, **masses, orders=(4, 1, 1, 2))
    assert mixed.forward_force_n == pytest.approx(usual.forward_force_n[[2, 0, 0, 1]], rel=1e-14)


def test_curves_keep_the_shape_and_a_scalar_is_an_element():
    s = shake(layout("V-6", **LENGTHS), reciprocating_g=500, rotating_g=600, speed_rpm=3000)
    theta = np.linspace(0, 700, 6).reshape(2, 3)
    assert s.force_n(theta).shape == s.couple_nm(theta).shape == (2, 3)
    assert s.force_n(theta)[1, 1] == pytest.approx(
        complex(s.force_n(theta[1, 1])), abs=1e-9
    )  # N, a sum of 1e4 that cancels


def test_couples_point_where_the_force_on_the_flywheel_side_points():
    """Equal pistons on a 180 twin: at theta = 180 the second, nearer the flywheel, is up."""
    engine = layout("twin", **LENGTHS, crank_degrees=180)
    s = shake(engine, reciprocating_g=500, rotating_g=0, speed_rpm=3000)
    assert s.couple_nm(180).real > 0
    assert s.couple_nm(0).real < 0
    assert s.reference_z_mm == 50.0


def test_speed_zero_shakes_nothing():
    s = shake(layout("single", **LENGTHS), reciprocating_g=500, rotating_g=600, speed_rpm=0)
    assert s.force_n(20.0) == 0
    assert not np.any(s.forward_force_n)


def variants(count, seed):
    rng = np.random.default_rng(seed)
    return {
        "pin_degrees": rng.uniform(0, 360, (count, 5)),
        "bank_degrees": rng.uniform(-90, 90, (count, 5)),
        "arm_mm": rng.uniform(-200, 200, (count, 5)),
        "reciprocating_g": rng.uniform(300, 700, (count, 5)),
        "rotating_g": rng.uniform(300, 700, (count, 5)),
        "radius_mm": rng.uniform(30, 50, count),
        "rod_length_mm": rng.uniform(110, 160, count),
        "speed_rpm": rng.uniform(500, 9000, count),
    }


@pytest.mark.parametrize("offset", [0.0, [3.0] * 5, [1.0, -2.0, 0.0, 4.0, 5.0]])
def test_many_engines_at_once_are_each_engine_alone(offset):
    """Across a block's edge too: 4100 variants; each element against `shake` of that engine."""
    many = variants(4100, seed=7)
    found = order_vectors(**many, pin_offset_mm=offset, orders=ORDERS)
    for row in (0, 1, 4095, 4096, 4099):
        throws = [
            Throw(*pair) for pair in zip(many["pin_degrees"][row], many["arm_mm"][row], strict=True)
        ]
        cylinders = [
            Cylinder(k, many["bank_degrees"][row, k], throw.z_mm, float(e))
            for k, (throw, e) in enumerate(zip(throws, np.broadcast_to(offset, 5), strict=True))
        ]
        alone = shake(
            Engine(
                2 * many["radius_mm"][row], many["rod_length_mm"][row], 100.0, throws, cylinders
            ),
            reciprocating_g=many["reciprocating_g"][row],
            rotating_g=many["rotating_g"][row],
            speed_rpm=many["speed_rpm"][row],
            orders=ORDERS,
            reference_z_mm=0.0,
        )
        for name in NAMES:
            np.testing.assert_allclose(
                getattr(found, name)[row], getattr(alone, name), rtol=1e-11, atol=1e-7
            )  # newtons of 1e5, summed in another order


def test_variants_broadcast_against_one_crank():
    masses = np.random.default_rng(3).uniform(400, 500, (2, 3, 4))
    v = order_vectors(
        pin_degrees=[0, 180, 180, 0],
        bank_degrees=0.0,
        arm_mm=[-150, -50, 50, 150],
        reciprocating_g=masses,
        radius_mm=40,
        rod_length_mm=130,
        speed_rpm=[1000, 2000, 3000],
        orders=[1, 2],
    )
    assert v.forward_force_n.shape == (2, 3, 2)


def test_eight_cylinders_on_one_pin_are_eight_masses():
    v = order_vectors(
        pin_degrees=0, bank_degrees=0, arm_mm=[0.0] * 8, reciprocating_g=1, rotating_g=1,
        radius_mm=40, rod_length_mm=130, speed_rpm=30 / np.pi * np.sqrt(1e6 / 40), orders=1,
    )  # fmt: skip
    assert v.forward_force_n[0] == pytest.approx(12.0, rel=1e-14)


# Articulated rods -----------------------------------------------------------------------------

RADIAL = layout("radial-7", **LENGTHS, knuckle_radius_mm=28.0)


@pytest.mark.parametrize("k", [1, 3, 6])
@pytest.mark.parametrize("degrees", [0.0, 77.0, 215.0])
def test_articulated_piston_against_mpmath(k, degrees):
    """Vector loop written out anew and differentiated numerically with 40 digits."""
    r, l, knuckle, link = 40, 160, 28, 132  # noqa: E741
    bank = mpmath.mpf(360) * k / 7

    def place(theta):
        lean = mpmath.asin(r * mpmath.sin(theta) / l)
        pin = r * mpmath.expj(theta) + knuckle * mpmath.expj(mpmath.radians(bank) - lean)
        local = pin * mpmath.expj(-mpmath.radians(bank))
        return local.real + mpmath.sqrt(link**2 - local.imag**2)

    cylinder = RADIAL.cylinders[k]
    path = piston_pin(RADIAL, cylinder, degrees).turned(cylinder.bank_degrees)
    with mpmath.workdps(40):
        theta = mpmath.radians(mpmath.mpf(degrees))
        expected = [place(theta), mpmath.diff(place, theta), mpmath.diff(place, theta, 2)]
    ours = [float(part.real) for part in (path.place, path.slope, path.bend)]
    assert ours == pytest.approx([float(v) for v in expected], rel=1e-12, abs=1e-12)
    assert abs(path.place.imag) < 1e-12  # mm: it stays on its bore's axis


def test_orders_of_a_radial_add_up_to_its_curve():
    orders = np.arange(1, 60)
    s = shake(RADIAL, reciprocating_g=500, rotating_g=300, speed_rpm=2000, orders=orders)
    theta = np.linspace(0, 360, 13)
    spin = np.exp(1j * np.radians(np.outer(theta, orders)))
    force = spin @ s.forward_force_n + np.conj(spin) @ s.backward_force_n
    assert np.max(np.abs(force - s.force_n(theta))) < 1e-9  # N, of 9000


def test_orders_beyond_the_sampled_turn_of_a_radial_are_refused():
    with pytest.raises(InputError, match="orders of an articulated rod must be below 1024, got 5"):
        shake(RADIAL, reciprocating_g=500, rotating_g=300, speed_rpm=2000, orders=(1, 5000))


def test_a_vanishing_knuckle_circle_is_a_common_pin():
    common = layout("radial-5", **LENGTHS)
    tiny = layout("radial-5", **LENGTHS, knuckle_radius_mm=1e-9, link_length_mm=160.0)
    masses = {"reciprocating_g": [500, 510, 490, 505, 480], "rotating_g": 300, "speed_rpm": 2000}
    s, t = (shake(e, **masses, orders=(1, 2, 3)) for e in (common, tiny))
    for name in NAMES:
        # Newtons of 1e4 times 1e-9 mm in 40 mm.
        np.testing.assert_allclose(getattr(s, name), getattr(t, name), atol=1e-5)


def test_rod_of_an_articulated_cylinder_leans_by_its_own_length():
    cylinder = RADIAL.cylinders[2]
    degrees = 33.0
    end = big_end(RADIAL, cylinder, degrees).turned(cylinder.bank_degrees)
    lean = rod_angle(RADIAL, cylinder, degrees).place.real
    assert np.sin(lean) * 132.0 == pytest.approx(end.place.imag, rel=1e-13)


def test_a_turn_that_is_not_resolved_is_refused():
    jagged = np.zeros(64, dtype=complex)
    jagged[::2] = 1.0
    with pytest.raises(InputError, match="the articulated rod is too short beside its crank"):
        bend_orders(Path(jagged, jagged, jagged), np.array([1]))


# What is refused ------------------------------------------------------------------------------

FOUR = layout("inline-4", **LENGTHS)
GOOD = {"reciprocating_g": 500.0, "rotating_g": 600.0, "speed_rpm": 3000.0}


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"reciprocating_g": -1}, "reciprocating_g must not be negative, got -1"),
        (
            {"reciprocating_g": [1, 2, 3]},
            "reciprocating_g must be one mass or one for each of the 4",
        ),
        ({"rotating_g": float("nan")}, "rotating_g must be finite, got nan"),
        ({"rotating_g": [[1, 2, 3, 4]]}, "rotating_g must be one mass or one for each of the 4"),
        ({"speed_rpm": -3}, "speed_rpm must not be negative, got -3"),
        ({"speed_rpm": [1, 2]}, "speed_rpm must be one number"),
        ({"speed_rpm": float("inf")}, "speed_rpm must be finite, got inf"),
        ({"orders": (0,)}, "orders must be whole numbers from 1 up"),
        ({"orders": ()}, "orders must be whole numbers from 1 up"),
        ({"reference_z_mm": float("nan")}, "reference_z_mm must be finite, got nan"),
        ({"counterweights": [5.0]}, r"counterweights must be pairs \(unbalance_gmm, z_mm\)"),
        ({"counterweights": [(1, float("nan"))]}, "counterweights must be pairs"),
        ({"counterweights": [("a", 0.0)]}, "counterweights must be pairs"),
        ({"counterweights": [(1j, 1j)]}, "counterweights must be pairs"),
    ],
)
def test_impossible_shaking_is_refused(change, message):
    with pytest.raises(InputError, match=message):
        shake(FOUR, **{**GOOD, **change})


def test_curves_refuse_an_impossible_angle():
    with pytest.raises(InputError, match="crank_degrees must be finite, got nan"):
        shake(FOUR, **GOOD).force_n(float("nan"))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"arm_mm": [1.0, 2.0]}, "the arrays must agree: one value a cylinder on the last axis"),
        ({"radius_mm": 0.0}, "radius_mm must be greater than zero"),
        ({"rod_length_mm": 20.0}, "longer than crank radius"),
        ({"pin_degrees": float("nan")}, "pin_degrees must be finite"),
        ({"reciprocating_g": -1.0}, "reciprocating_g must not be negative"),
    ],
)
def test_impossible_variants_are_refused(change, message):
    with pytest.raises(InputError, match=message):
        order_vectors(**{**variants(3, seed=1), "orders": [1], **change})
