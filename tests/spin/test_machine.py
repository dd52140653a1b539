"""The convention of a balancing machine: round trips, refusals, and a rotor built in space.

`Bench` below knows nothing of the formula under test: it places points in three dimensions, looks
at them from an end, prints a scale of numbers round the crank and reads off the number that
stands at the heavy (or light) point, as a person would.
"""

import itertools
from dataclasses import replace

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from balance.errors import InputError
from balance.spin.machine import (
    Machine,
    Reading,
    crank_degrees,
    from_crank,
    statement,
    to_crank,
)

COUNTS = ("counter-clockwise", "clockwise", "with", "against")
ENDS = ("nose", "flywheel", "left", "right")
POINTS = ("heavy", "light", "remove", "add")
TURNS = ("with engine", "against engine", "counter-clockwise", "clockwise")
CLOCK = ("counter-clockwise", "clockwise")
UNITS = (("g mm", None), ("oz in", None), ("g", (50.0, 76.0)), ("oz", (31.0, 80.0)))
EVERY = [
    {
        "counts": counts,
        "first_plane": first,
        "points_to": points,
        "seen_from": seen,
        "nose": nose,
        "turns": turns,
        "engine_turns": engine,
    }
    for counts, first, points, seen, nose, turns, engine in itertools.product(
        COUNTS, ENDS, POINTS, ENDS, ("left", "right"), TURNS, CLOCK
    )
]


def machine(**changes):
    plain = {
        "planes_mm": (40.0, 460.0),
        "first_plane": "nose",
        "unit": "g mm",
        "counts": "counter-clockwise",
        "seen_from": "flywheel",
        "zero_degrees": 0.0,
        "points_to": "heavy",
    }
    return Machine(**(plain | changes))


class Bench:
    """A crank in a machine, in the room: x to the operator's right, y up, z towards him."""

    def __init__(self, *, nose, pin_clock_degrees):
        self.flywheel_is_right = nose == "left"
        start = np.radians(pin_clock_degrees)
        self.pin = np.array([0.0, np.cos(start), np.sin(start)])

    def eye(self, end):
        """Return the right and up directions on the retina of somebody standing at an end."""
        at_right = {
            "left": False,
            "right": True,
            "flywheel": self.flywheel_is_right,
            "nose": not self.flywheel_is_right,
        }[end]
        look, up = np.array([-1.0 if at_right else 1.0, 0, 0]), np.array([0, 1.0, 0])
        return np.cross(look, up), up

    def walk(self, point, degrees, clock, end):
        """Return where a walk round the crank ends, clockwise or not as that person sees it."""
        right, up = self.eye(end)
        x, y = point @ right, point @ up
        a = np.radians(degrees) * (-1 if clock == "clockwise" else 1)
        x, y = x * np.cos(a) - y * np.sin(a), x * np.sin(a) + y * np.cos(a)
        return np.outer(x, right) + np.outer(y, up)

    def turned(self, point, degrees, m):
        """Return where a point of the crank goes when the machine turns the crank."""
        if m["turns"] in CLOCK:
            return self.walk(point, degrees, m["turns"], m["seen_from"])[0]
        way = {"with engine": 1, "against engine": -1}[m["turns"]]
        return self.walk(point, way * degrees, m["engine_turns"], "flywheel")[0]

    def scale(self, m, zero_degrees):
        """Return the points where the numbers 0 to 359 of the machine are printed."""
        zero = self.walk(self.pin, zero_degrees, "counter-clockwise", "flywheel")[0]
        numbers = np.arange(360)
        if m["counts"] in CLOCK:
            return self.walk(zero, numbers, m["counts"], m["seen_from"])
        speed = self.turned(zero, 0.01, m) - zero
        one_way = self.walk(zero, numbers, "clockwise", "right")
        goes_with = (one_way[1] - zero) @ speed > 0
        if goes_with == (m["counts"] == "with"):
            return one_way
        return self.walk(zero, numbers, "counter-clockwise", "right")

    def display(self, m, zero_degrees, masses, grams_mm_of_one):
        """Return (amount, angle) per plane in the order shown; masses are (z, g mm, degrees)."""
        scale, shown = self.scale(m, zero_degrees), []
        for (z, gmm, degrees), one in zip(masses, grams_mm_of_one, strict=True):
            point = self.walk(self.pin, degrees, "counter-clockwise", "flywheel")[0]
            target = point if m["points_to"] in ("heavy", "remove") else -point
            number = int(np.argmin(np.linalg.norm(scale - target, axis=1)))
            shown.append((z if self.flywheel_is_right else -z, gmm / one, number))
        shown.sort()  # as they lie from left to right
        first_is_left = {
            "left": True,
            "right": False,
            "nose": self.flywheel_is_right,
            "flywheel": not self.flywheel_is_right,
        }[m["first_plane"]]
        return [(a, d) for _, a, d in (shown if first_is_left else shown[::-1])]


ONE = {  # g mm of one displayed unit, per plane: 1 oz = 28.349523125 g, 1 in = 25.4 mm, exact
    "g mm": (1.0, 1.0),
    "oz in": (28.349523125 * 25.4,) * 2,
    "g": (50.0, 76.0),
    "oz": (28.349523125 * 31.0, 28.349523125 * 80.0),
}


def test_every_convention_agrees_with_a_rotor_built_in_space():
    rng = np.random.default_rng(11)
    for k, m in enumerate(EVERY):
        unit, radii = UNITS[k % len(UNITS)]
        zero, a1, a2 = (int(v) for v in rng.integers(0, 360, 3))
        masses = [(40.0, 310.0, a1), (460.0, 95.0, a2)]
        bench = Bench(nose=m["nose"], pin_clock_degrees=float(rng.uniform(0, 360)))
        shown = bench.display(m, zero, masses, ONE[unit])
        declared = machine(**m, unit=unit, radii_mm=radii, zero_degrees=zero)
        truth = [w * np.exp(1j * np.radians(d)) for _, w, d in masses]
        # numbers are whole degrees on both sides, so only rounding of floats is left
        np.testing.assert_allclose(to_crank(shown, declared), truth, atol=1e-9, err_msg=str(m))


def test_round_trip_over_every_convention():
    rng = np.random.default_rng(12)
    for k, m in enumerate(EVERY):
        unit, radii = UNITS[k % len(UNITS)]
        declared = machine(**m, unit=unit, radii_mm=radii, zero_degrees=rng.uniform(-400, 400))
        truth = rng.normal(size=2) * 300 + 300j * rng.normal(size=2)
        shown = from_crank(truth, declared)
        assert all(0 <= r.degrees < 360 for r in shown)
        np.testing.assert_allclose(to_crank(shown, declared), truth, atol=1e-9)


def test_one_case_told_in_words():
    """The engine turns counter-clockwise seen from the flywheel, and so does the machine.

    Counted against the rotation, numbers run clockwise seen from the flywheel. The zero is at the
    keyway, a quarter turn counter-clockwise from crankpin 1. Shown: 12 g at 30 degrees at a radius
    of 50 mm, where metal is to be added. So the light side is at 90 - 30 = 60 degrees and the heavy
    side at 240: 600 g mm.
    """
    told = machine(
        planes_mm=[0], counts="against", turns="with engine", zero_degrees=90, unit="g",
        radii_mm=[50], points_to="add",
    )  # fmt: skip
    heavy = to_crank([(12, 30)], told)[0]
    assert abs(heavy) == pytest.approx(600)
    assert np.degrees(np.angle(heavy)) % 360 == pytest.approx(240)


@pytest.mark.parametrize("counts", ["with", "against"])
@pytest.mark.parametrize("turns", ["with engine", "against engine"])
def test_turned_by_hand_past_a_pointer_the_numbers_go_down_when_counted_with(counts, turns):
    m = {"counts": counts, "turns": turns, "engine_turns": "counter-clockwise", "seen_from": "nose"}
    bench = Bench(nose="left", pin_clock_degrees=20)
    scale = bench.scale(m, 0)
    after = np.array([bench.turned(p, 10, m) for p in scale])
    pointer = scale[180]
    number = int(np.argmin(np.linalg.norm(after - pointer, axis=1)))
    assert number == (170 if counts == "with" else 190)
    # and the field `sense` says the same as the printed scale seen from the flywheel
    ninety = bench.walk(bench.pin, 90, "counter-clockwise", "flywheel")[0]
    assert np.allclose(scale[90], ninety * machine(**m).sense)


def test_turning_the_crank_end_for_end_changes_only_what_is_said_of_the_machine():
    """A machine told in its own terms (left, right): the same display means another unbalance."""
    told = {
        "first_plane": "left",
        "seen_from": "left",
        "counts": "with",
        "turns": "clockwise",
        "zero_degrees": 25.0,
    }
    left, right = machine(**told, nose="left"), machine(**told, nose="right")
    shown = [(100.0, 30.0), (40.0, 200.0)]
    near, far = to_crank(shown, left)
    assert np.allclose(to_crank([shown[1], shown[0]], right), _mirrored([near, far], 25.0))


def _mirrored(values, about_degrees):
    axis = np.exp(1j * np.radians(about_degrees))
    return [np.conj(v / axis) * axis for v in values]


@given(
    st.lists(st.tuples(st.floats(0, 1e4), st.floats(-720, 720)), min_size=2, max_size=2),
    st.floats(-360, 360),
    st.floats(-360, 360),
    st.sampled_from(EVERY),
)
@settings(max_examples=60, deadline=None)
def test_a_changed_convention_with_changed_readings_is_the_same_unbalance(shown, zero, by, m):
    before = machine(**m, zero_degrees=zero)
    truth = to_crank(shown, before)
    # the zero moved by `by`: every angle shown drops by it, in the sense of counting
    moved = replace(before, zero_degrees=zero + by)
    turned = [(a, d - before.sense * by) for a, d in shown]
    # swapped planes
    swap = {"nose": "flywheel", "flywheel": "nose", "left": "right", "right": "left"}
    swapped = replace(before, first_plane=swap[m["first_plane"]])
    # the other sense, same zero: 360 minus the angle
    flip = dict(zip(COUNTS, ("clockwise", "counter-clockwise", "against", "with"), strict=True))
    flipped = replace(before, counts=flip[m["counts"]])
    # the other side
    side = dict(zip(POINTS, ("light", "heavy", "add", "remove"), strict=True))
    other = replace(before, points_to=side[m["points_to"]])
    size = max(1.0, float(np.max(np.abs(truth))))
    for again in (
        to_crank(turned, moved),
        to_crank(shown[::-1], swapped),
        to_crank([(a, 360 - d) for a, d in shown], flipped),
        to_crank([(a, d + 180) for a, d in shown], other),
    ):
        np.testing.assert_allclose(again, truth, atol=1e-11 * size)


def test_readings_as_array_of_many_spins():
    m = machine(counts="clockwise", zero_degrees=12)
    spins = np.random.default_rng(3).uniform(0, 360, (5, 3, 2, 2))
    whole = to_crank(spins, m)
    assert whole.shape == (5, 3, 2)
    assert np.allclose(whole[4, 1], to_crank([Reading(*p) for p in spins[4, 1]], m))


def test_one_plane_takes_a_single_reading_and_a_single_vector():
    one = machine(planes_mm=[0])
    assert np.allclose(to_crank(Reading(3, 90), one), [3j])
    assert from_crank(3j, one)[0].amount == pytest.approx(3)


@pytest.mark.parametrize("seen_from", ["nose", "flywheel"])
@pytest.mark.parametrize("counts", CLOCK)
def test_an_angle_counted_off_at_an_end_lands_where_the_walk_ends(counts, seen_from):
    bench = Bench(nose="right", pin_clock_degrees=77)
    zero = bench.walk(bench.pin, 40, "counter-clockwise", "flywheel")[0]
    walked = bench.walk(zero, 110, counts, seen_from)[0]
    there = crank_degrees(110, counts=counts, seen_from=seen_from, zero_degrees=40)
    expected = bench.walk(bench.pin, there, "counter-clockwise", "flywheel")[0]
    assert np.allclose(walked, expected)


def test_statement_says_what_a_single_plane_reading_means():
    one = machine(planes_mm=[0], points_to="add", unit="g", radii_mm=[60])
    assert statement(one).startswith("The machine's 0 lies at 0.0 deg of the crank,")
    assert "light side: add metal there. One unit shown is 60 g mm." in statement(one)


def test_statement_of_a_display_that_begins_at_the_flywheel_names_the_planes_in_its_order():
    said = statement(machine(planes_mm=(40, 250, 460), first_plane="flywheel"))
    assert "first plane shown is the one nearest the flywheel (460 mm)" in said
    assert "the last the one nearest the nose (40 mm)" in said


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"unit": "oz"}, r"'oz' is a mass.*at which radius.*'oz in', as in a \"28 oz\" flywheel"),
        ({"unit": "g"}, "'g' is a mass.*at which radius.*'g mm'"),
        ({"unit": "g/mm2"}, "unit must be one of g mm, .*got 'g/mm2'"),
        ({"unit": None}, "unit must be one of .*got None"),
        ({"unit": "g mm", "radii_mm": [5, 5]}, "radii_mm goes with a mass.*'g mm'"),
        ({"unit": "g", "radii_mm": [5]}, r"radii_mm must hold one value.*2 plane\(s\), got 1"),
        ({"unit": "g", "radii_mm": 5}, r"radii_mm must hold one value.*2 plane\(s\), got 1"),
        ({"unit": "g", "radii_mm": [5, 0]}, "radii_mm must be greater than zero"),
        ({"planes_mm": [460, 40]}, "planes_mm must rise from the nose to the flywheel"),
        ({"planes_mm": [0, 1j]}, "planes_mm must list the position of each plane"),
        ({"planes_mm": []}, "planes_mm must list the position of each plane"),
        ({"planes_mm": [0, float("nan")]}, "planes_mm must be finite"),
        ({"zero_degrees": float("inf")}, "zero_degrees must be finite"),
        ({"zero_degrees": [1, 2]}, "zero_degrees must be one number"),
        ({"counts": "lag"}, "counts must be one of 'counter-clockwise', .*got 'lag'"),
        ({"points_to": "spot"}, "points_to must be one of 'heavy', .*got 'spot'"),
        ({"first_plane": "A"}, "first_plane must be one of 'nose', .*got 'A'"),
        ({"engine_turns": "left"}, "engine_turns must be one of .*got 'left'"),
        ({"seen_from": "front"}, "seen_from must be one of .*got 'front'"),
        ({"nose": "up"}, "nose must be one of 'left', 'right', got 'up'"),
        ({"turns": "back"}, "turns must be one of 'with engine', .*got 'back'"),
        ({"counts": "with"}, "counts='with' needs turns: does the machine turn"),
        ({"seen_from": None}, "counts='counter-clockwise' needs seen_from: from which end"),
        (
            {"counts": "with", "turns": "clockwise", "seen_from": None},
            "turns='clockwise' needs seen_from",
        ),
        ({"first_plane": "left"}, "first_plane='left' needs nose: on which side"),
        ({"seen_from": "right"}, "seen_from='right' needs nose"),
    ],
)
def test_a_machine_that_cannot_be_is_refused_with_the_question(changes, message):
    with pytest.raises(InputError, match=message):
        machine(**changes)


@pytest.mark.parametrize(
    ("readings", "message"),
    [
        ([(1, 2)], r"readings must hold one value for each of the machine's 2 plane\(s\), got 1"),
        ([(1, 2, 3), (1, 2, 3)], "readings must be pairs"),
        ([(1, 2), (1,)], "readings must have rows of one length"),
        ([1, 2], "readings must be pairs"),
        ([("12 g", 2), (1, 2)], "readings must be a number"),
        ([(-1, 2), (1, 2)], "amount must not be negative"),
        ([(1, float("nan")), (1, 2)], "readings must be finite"),
        ([(1j, 2), (1, 2)], "readings must be pairs"),
    ],
)
def test_readings_that_cannot_be_are_refused(readings, message):
    with pytest.raises(InputError, match=message):
        to_crank(readings, machine())


def test_a_spin_with_a_plane_too_many_among_several_is_counted_by_its_planes():
    with pytest.raises(InputError, match=r"the machine's 2 plane\(s\), got 3"):
        to_crank(np.zeros((5, 3, 2)), machine())


def test_unbalance_of_another_number_of_planes_is_refused():
    with pytest.raises(InputError, match=r"unbalance must hold one value.*got 3"):
        from_crank([1, 2, 3], machine())
    with pytest.raises(InputError, match="unbalance must be finite"):
        from_crank([1, complex("nan")], machine())


def test_how_it_turns_must_be_known_before_it_is_asked():
    with pytest.raises(InputError, match="turns must be known"):
        _ = machine().rotation


def test_an_angle_seen_from_no_end_is_refused():
    with pytest.raises(InputError, match="seen_from must be one of 'nose', 'flywheel'"):
        crank_degrees(1, counts="clockwise", seen_from="left", zero_degrees=0)
    with pytest.raises(InputError, match="counts must be one of 'counter-clockwise', 'clockwise'"):
        crank_degrees(1, counts="with", seen_from="nose", zero_degrees=0)
    with pytest.raises(InputError, match="degrees must be finite"):
        crank_degrees(np.nan, counts="clockwise", seen_from="nose", zero_degrees=0)


def test_the_module_of_the_machine_also_finds_its_convention() -> None:
    from balance.spin import conventions, machine

    assert machine.identify is conventions.identify
    assert "identify" in machine.__all__
