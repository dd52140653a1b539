"""Every function of the contract, called with one argument that cannot be, raises InputError."""

import inspect
import itertools
import re
from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
import pytest

import balance
from balance import engine, metal, parts, spin, units
from balance.engine.layouts import middle_mm
from balance.engine.loci import locus
from balance.engine.one_gram import unit_vectors
from balance.engine.torque import inertia_defect
from balance.errors import InputError
from balance.metal import Counterweight, DrilledHole
from balance.spin.conventions import KnownSpin
from balance.spin.noise import left_by_angle_error
from balance.spin.trials import trial_answer, trial_size

BAD: dict[str, Any] = {
    "none": None,
    "text": "x",
    "nan": float("nan"),
    "infinite": float("inf"),
    "empty": [],
    "object": object(),
    "true": True,
    "complex": 1 + 1j,
    "shape": np.ones((2, 3, 4)),
}
FOUR = engine.layout("inline-4", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
SINGLE = engine.layout("single", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
WEBS = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
PLAN = {
    "unbalance": [900, 600], "planes_mm": [100, 500], "counterweights": WEBS,
    "drills_mm": [10, 12], "tolerance_gmm": [60, 60],
}  # fmt: skip
HOLE = {"point_degrees": 118.0, "density_g_cm3": 7.85}
BIN = {
    "pistons_g": [420.0, 421, 422], "pins_g": [110.0] * 3, "small_ends_g": [180.0, 181, 182],
    "tolerance_g": 0.2, "big_ends_g": [500.0, 501, 502], "big_end_tolerance_g": 5.0,
}  # fmt: skip
SPINS = [
    KnownSpin([(100, 0), (50, 90)], [0, 0]),
    KnownSpin([(600, 0), (50, 90)], [500, 0]),
    KnownSpin([(100, 0), (450, 270)], [0, 500j]),
]
MACHINE = {
    "planes_mm": (40, 460), "first_plane": "left", "nose": "left", "unit": "g mm",
    "counts": "clockwise", "seen_from": "left", "zero_degrees": 30.0, "points_to": "heavy",
    "engine_turns": "clockwise",
}  # fmt: skip


@cache
def made() -> metal.Plan:
    return metal.plan(**PLAN)


GOOD: dict[Callable[..., Any], dict[str, Any]] = {
    units.read: {"text": "1 g", "kind": "mass", "unit": "g"},
    units.show: {"value": 1.0, "kind": "mass", "unit": "g", "decimals": 1},
    balance.vector: {"amount": 1.0, "degrees": 2.0},
    balance.amount: {"v": 1.0},
    balance.degrees: {"v": 1.0},
    balance.fold: {"angle_degrees": 1.0},
    balance.turn: {"angle_degrees": 1.0},
    parts.average: {"readings_g": [1.0, 2], "resolution_g": 0.1, "repeatability_g": 0.1},
    parts.rod_ends: {"total_g": 600.0, "big_end_g": 432.0, "small_end_g": 168.0, "u_g": 0.1},
    parts.rod_from_centre: {
        "mass_g": 600.0, "length_mm": 150.0, "centre_of_mass_from_big_end_mm": 42.0,
        "u_mass_g": 0.1, "u_length_mm": 0.1, "u_centre_mm": 0.1,
    },
    parts.rod_from_swing: {
        "mass_g": 600.0, "length_mm": 150.0, "period_big_end_s": 0.727385,
        "centre_of_mass_from_big_end_mm": 42.0, "big_end_pivot_mm": 28.0,
        "small_end_pivot_mm": 11.0, "amplitude_degrees": 1.0, "u_period_s": 0.001,
        "gravity_m_s2": 9.81,
    },
    parts.match_each: {"weights_g": [1.0, 2.0], "tolerance_g": 0.5, "limits_g": 1.0},
    parts.match_sets: {
        **BIN, "piston_limits_g": 1.0, "small_end_limits_g": 1.0, "big_end_limits_g": 5.0,
        "choose": 2, "time_limit_s": 5.0,
    },
    parts.partition: {**BIN, "size": 2, "progress": lambda *_: None, "stop": lambda: False},
    engine.Throw: {"degrees": 0.0, "z_mm": 0.0},
    engine.Cylinder: {"throw": 0, "bank_degrees": 0.0, "z_mm": 0.0, "pin_offset_mm": 0.0,
                      "link": None},
    engine.Engine: {
        "stroke_mm": 80.0, "rod_length_mm": 130.0, "bore_spacing_mm": 90.0,
        "throws": SINGLE.throws, "cylinders": SINGLE.cylinders, "pin_offset_mm": 0.0,
    },
    engine.layout: {
        "name": "V-8", "stroke_mm": 80.0, "rod_length_mm": 130.0, "bore_spacing_mm": 90.0,
        "pin_offset_mm": 0.0, "bank_degrees": 90.0, "splay_degrees": 0.0, "bank_offset_mm": 0.0,
        "crank": "cross", "numbering": "pairs",
    },
    engine.piston: {
        "crank_degrees": 1.0, "stroke_mm": 80.0, "rod_length_mm": 130.0, "speed_rpm": 100.0,
        "pin_offset_mm": 0.0,
    },
    engine.harmonics: {"ratio": 0.25, "orders": [1, 2]},
    engine.shake: {
        "engine": FOUR, "reciprocating_g": 500.0, "rotating_g": 400.0, "speed_rpm": 3000.0,
        "counterweights": [(1, 2)], "orders": (1, 2), "reference_z_mm": 0.0,
    },
    engine.per_throw: {
        "engine": FOUR, "rotating_g": 1.0, "reciprocating_g": 2.0, "oil_g": 1.0, "factor": 0.5,
    },
    engine.needed: {"engine": FOUR},
    engine.residual_primary: {"engine": FOUR, "factor": 0.5},
    engine.existing_factor: {
        "engine": SINGLE, "hung_g": 750.0, "rotating_g": 450.0, "reciprocating_g": 500.0,
        "hung_radius_mm": 40.0,
    },
    engine.place: {
        "engine": FOUR, "reciprocating_g": [1.0, 2, 3, 4], "rotating_g": [1.0, 2, 3, 4],
        "fixed": {0: 0},
    },
    spin.Machine: MACHINE,
    spin.to_crank: {"readings": [(1, 2), (3, 4)], "machine": spin.Machine(**MACHINE)},
    spin.identify: {"test_spins": SPINS, "zero_degrees": 0.0, "u_reading": 1.0},
    spin.coefficients: {"initial": [1j], "responses": [[3 + 1j]], "trials": [2], "left_on": False},
    spin.correction: {"coefficients": [[2.0]], "vibration": [4 + 4j], "u_vibration": 1.0},
    spin.from_amplitudes: {
        "initial": 1.0, "trials": [1, -1, 1j], "amplitudes": [2.0, 0.0, 1.4], "u_amplitude": 0.02,
    },
    spin.transfer: {"unbalance": [100], "z_mm": [250], "onto_mm": (0, 1000)},
    spin.static_and_couple: {"unbalance": [100], "z_mm": [250], "at_mm": 100.0},
    spin.permissible: {"rotor_mass_kg": 25.0, "speed_rpm": 6000.0, "grade": "G 16"},
    spin.allocate: {
        "permissible_gmm": 100.0, "centre_of_mass_mm": 100.0, "bearings_mm": (0, 500),
        "overhung_support": True,
    },
    spin.judge: {"unbalance": 75.0, "permissible_gmm": 100.0, "u_gmm": 15.0},
    spin.separate: {"readings": [1, 2], "index_degrees": [0, 180]},
    spin.best_positions: {"crank": 100.0, "components": [(60, 2)], "permissible_gmm": 5.0},
    metal.radial_hole: {
        "diameter_mm": 12.0, "depth_mm": 20.0, "surface_radius_mm": 76.0, **HOLE,
    },
    metal.axial_hole: {
        "diameter_mm": 12.0, "depth_mm": 20.0, "radius_mm": 70.0, "through": False,
        "rim_radius_mm": 80.0, "thickness_mm": 30.0, **HOLE,
    },
    metal.depth_for: {
        "unbalance_gmm": 1377.0, "diameter_mm": 12.0, "surface_radius_mm": 76.0, **HOLE,
    },
    metal.slug: {
        "diameter_mm": 19.05, "length_mm": 25.4, "surface_radius_mm": 80.0, "bore_depth_mm": 30.0,
        "slug_density_g_cm3": 18.0, "existing": DrilledHole(0.0, 19.05, 30.0), **HOLE,
    },
    metal.web_mm: {
        "hole_a": DrilledHole(0.0, 12.7, 10.0), "hole_b": DrilledHole(20.0, 12.7, 30.0),
        "surface_radius_mm": 76.0, "point_degrees": 118.0,
    },
    metal.plan: {
        **PLAN, **HOLE, "depth_step_mm": 0.5, "min_depth_mm": 5.0, "angle_step_degrees": 1.0,
        "min_web_mm": 4.0, "edge_mm": 3.0, "margin": 0.5, "slugs": None, "time_limit_s": 10.0,
    },
    metal.stage: {
        "plan": made, "errors": None, "overshoot": 0.05, "draws": 500, "seed": 1, "workers": 1,
        "progress": None, "stop": None,
    },
}  # fmt: skip

# What can be, though it looks odd, and why.
ELEMENT_BY_ELEMENT = {  # arrays of any shape, the empty one as well
    balance.vector, balance.amount, balance.degrees, balance.fold, balance.turn, engine.piston,
    spin.permissible, metal.radial_hole, metal.axial_hole, metal.depth_for, metal.slug,
}  # fmt: skip
MAY_BE = {
    "unit": {"text"},  # read asks for it where a number is bare; show is tested with its own
    "v": {"complex"},  # a vector is complex
    "limits_g": {"infinite"},  # infinity sets no limit
    "piston_limits_g": {"infinite"},
    "small_end_limits_g": {"infinite"},
    "big_end_limits_g": {"infinite"},
    "counterweights": {"empty"},  # a crank without any can be shaken; a plan names its own refusal
    "components": {"empty"},  # nothing bolted on
    "slugs": {"empty"},  # none in the shop
    "orders": {"shape"},  # harmonics returns the shape of its orders
    "initial": {"complex"},  # readings of vibration and unbalance are vectors
    "responses": {"complex"},
    "trials": {"complex"},
    "coefficients": {"complex"},
    "vibration": {"complex"},
    "unbalance": {"complex", "shape"},
    "crank": {"complex"},
    "name": {"text"},
}
NOT_CALLED = {
    "Counterweight": "a record that plan looks at",
    "DrilledHole": "a record that whoever uses it looks at",
    "SlugChoice": "a record that plan looks at",
    "Reading": "a record that to_crank looks at",
    "RodEnds": "a result",
    "Weight": "a result",
    "from_crank": "draws what to_crank reads; its inverse",
    "read_job": "job files have tests of their own",
    "read_text": "job files have tests of their own",
    "Results": "made from a job",
}


def cases() -> list[Any]:
    return [
        pytest.param(call, argument, id=f"{call.__name__}-{argument}")
        for call, arguments in GOOD.items()
        for argument in arguments
    ]


def allowed(call: Callable[..., Any], argument: str) -> set[str]:
    """Return which of the bad values are none for this argument."""
    given = inspect.signature(call).parameters.get(argument)
    usual = given.default if given else None  # an option of a layout may be left out
    found = set() if usual is not None else {"none"}
    if isinstance(usual, bool):
        found.add("true")
    if call in ELEMENT_BY_ELEMENT and argument not in ("through", "existing", "grade"):
        found |= {"empty", "shape"}
    return found | MAY_BE.get(argument, set())


@pytest.mark.parametrize(("call", "argument"), cases())
def test_what_cannot_be_is_named(call: Callable[..., Any], argument: str) -> None:
    good = {key: value() if value is made else value for key, value in GOOD[call].items()}
    for kind in BAD.keys() - allowed(call, argument):
        with pytest.raises(InputError):  # a warning on the way would be an error too
            call(**{**good, argument: BAD[kind]})


@pytest.mark.parametrize("call", sorted(ELEMENT_BY_ELEMENT, key=lambda call: call.__name__))
def test_lists_of_two_and_of_three_do_not_go_together(call: Callable[..., Any]) -> None:
    whole = {"through", "existing", "grade"}  # one for all
    good = GOOD[call]
    for one, other in itertools.combinations([key for key in good if key not in whole], 2):
        uneven = {one: [good[one]] * 2, other: [good[other]] * 3}
        with pytest.raises(InputError, match="do not go together: shapes"):
            call(**good | uneven)
        level = {one: [good[one]] * 2, other: [[good[other]]] * 3}
        call(**good | level)  # a row and a column do


def test_the_good_arguments_are_good() -> None:
    for call, arguments in GOOD.items():
        call(**{key: value() if value is made else value for key, value in arguments.items()})


def test_the_whole_contract_is_called() -> None:
    called = {call.__name__ for call in GOOD}
    offered = {name for name in balance.__all__ if callable(getattr(balance, name))}
    assert offered <= called | set(NOT_CALLED)


REFUSED: list[tuple[Callable[[], Any], str]] = [
    (lambda: balance.vector([1, 2], [1, 2, 3]), "amount and degrees do not go together: shapes"),
    (lambda: balance.vector(1, 1j), "degrees must be real, got 1j"),
    (lambda: balance.turn(True), "angle_degrees must be a number, got True"),
    (
        lambda: engine.piston([1, 2], stroke_mm=[1, 2, 3], rod_length_mm=9, speed_rpm=1),
        "crank_degrees and stroke_mm do not go together: shapes (2,) and (3,); give one value",
    ),
    (
        lambda: engine.piston(1, stroke_mm=120, rod_length_mm=50, speed_rpm=1),
        "got rod 50, radius 60, offset 0; is the stroke given as the radius?",
    ),
    (
        lambda: engine.piston(1, stroke_mm=[40, 120], rod_length_mm=50, speed_rpm=1),
        "got rod 50, radius [20, 60], offset 0; is the stroke",
    ),
    (lambda: engine.harmonics([], 2), "ratio must hold at least one value, got []"),
    (lambda: engine.harmonics(1.5, 2), "pin offset, got 1.5 and 0"),
    (
        lambda: engine.shake(
            FOUR, reciprocating_g=1, rotating_g=1, speed_rpm=1, orders=[[1, 2], [3, 4]]
        ),
        "orders must be a plain list, got [[1, 2], [3, 4]]",
    ),
    (
        lambda: engine.shake(
            FOUR, reciprocating_g=1, rotating_g=1, speed_rpm=1, counterweights=[(1, 2j)]
        ),
        "counterweights must be pairs (unbalance_gmm, z_mm) of finite numbers, got [(1, 2j)]",
    ),
    (lambda: engine.needed("V-8"), "engine must be of type Engine, got 'V-8'"),
    (
        lambda: engine.Engine(80, 130, 90, None, SINGLE.cylinders),  # type: ignore[arg-type]
        "throws must be a list, got None",
    ),
    (
        lambda: engine.Cylinder(0, 0, 0, link="master"),  # type: ignore[arg-type]
        "cylinder link must be of type Link, got 'master'",
    ),
    (
        lambda: engine.existing_factor(SINGLE, hung_g=[], rotating_g=1, reciprocating_g=1),
        "hung_g must be one mass or a list of masses, got []",
    ),
    (lambda: middle_mm("V-8"), "engine must be of type Engine, got 'V-8'"),  # type: ignore[arg-type]
    (lambda: unit_vectors(None), "engine must be of type Engine, got None"),  # type: ignore[arg-type]
    (lambda: locus(None), "shaking must be of type Shaking, got None"),  # type: ignore[arg-type]
    (
        lambda: inertia_defect(
            rod_mass_g=600,
            rod_length_mm=[150, 160],  # type: ignore[arg-type]
            centre_of_mass_from_big_end_mm=50,
            inertia_gmm2=1e6,
        ),
        "rod_length_mm must be one number, got [150, 160]",
    ),
    (lambda: trial_size(rotor_mass_kg=[12], speed_rpm=500), "rotor_mass_kg must be one number"),  # type: ignore[arg-type]
    (lambda: trial_answer([10, 9], 9j), "initial must be one number, got [10, 9]"),  # type: ignore[arg-type]
    (lambda: left_by_angle_error(5j), "error_degrees must be real, got 5j"),
    (
        lambda: spin.permissible(rotor_mass_kg=[1, 2], speed_rpm=[1, 2, 3], grade=16),
        "rotor_mass_kg and speed_rpm do not go together",
    ),
    (lambda: spin.identify(None), "test_spins must be a list, got None"),
    (
        lambda: spin.identify([(1, 2, 3)]),
        "test_spins[0] must be a KnownSpin or a pair (readings, added), got (1, 2, 3)",
    ),
    (lambda: spin.identify([(None, [0]), (None, [1])]), "readings must be a list, got None"),
    (lambda: spin.from_amplitudes(1, [], []), "trials must hold at least two runs, got []"),
    (
        lambda: spin.coefficients([1], [[2]], [1], left_on="no"),  # type: ignore[arg-type]
        "left_on must be True or False, got 'no'",
    ),
    (lambda: spin.best_positions(1, [(1, True)]), "positions must be a number, got True"),
    (
        lambda: metal.radial_hole([1, 2], [1, 2, 3], surface_radius_mm=76),
        "diameter_mm and depth_mm do not go together",
    ),
    (
        lambda: metal.depth_for([900, 950], diameter_mm=[10, 11, 12], surface_radius_mm=76),
        "unbalance_gmm and diameter_mm do not go together",
    ),
    (
        lambda: metal.axial_hole(12, [1, 2], radius_mm=70, thickness_mm=[4, 5, 6]),
        "depth_mm and thickness_mm do not go together",
    ),
    (
        lambda: metal.axial_hole(12, 20, radius_mm=70, through="yes"),  # type: ignore[arg-type]
        "through must be True or False, got 'yes'",
    ),
    (
        lambda: metal.radial_hole(12, 20, surface_radius_mm=76, point_degrees=1j),
        "point_degrees must be real, got 1j",
    ),
    (lambda: metal.stage(made(), seed=-1), "seed must be a whole number of at least 0, got -1"),
    (
        lambda: metal.stage(made(), draws=1.5),  # type: ignore[arg-type]
        "draws must be a whole number of at least 1, got 1.5",
    ),
    (
        lambda: metal.stage(made(), errors={"depth_mm": 1}),  # type: ignore[arg-type]
        "errors must be of type Errors, got {'depth_mm': 1}",
    ),
    (
        lambda: metal.plan(**PLAN | {"planes_mm": [100, 500j]}),
        "planes_mm must be real, got [100, 500j]",
    ),
    (
        lambda: metal.plan(**PLAN | {"counterweights": [Counterweight(1j, 0, 60, 80, 25, 35)]}),
        "counterweights[0].z_mm must be real, got 1j",
    ),
    (
        lambda: parts.match_sets([420], [110], [180], tolerance_g=1, big_end_limits_g=[2.0]),
        "big_end_limits_g goes with big_ends_g, which is not given; got [2.0]",
    ),
    (
        lambda: parts.match_sets([420], [110], [180], tolerance_g=1, big_end_tolerance_g=2.0),
        "big_end_tolerance_g goes with big_ends_g, which is not given; got 2.0",
    ),
]


@pytest.mark.parametrize(("call", "message"), REFUSED, ids=[text[:40] for _, text in REFUSED])
def test_the_message_says_which_and_why(call: Callable[[], Any], message: str) -> None:
    with pytest.raises(InputError, match=re.escape(message)):
        call()


def test_counterweights_may_come_as_one_array() -> None:
    """An array of pairs is complex as a whole; its places have nothing imaginary."""
    how = {"reciprocating_g": 1, "rotating_g": 1, "speed_rpm": 900}
    pairs = engine.shake(SINGLE, counterweights=[(100, 5), (50j, 3)], **how)
    array = engine.shake(SINGLE, counterweights=np.array([[100, 5], [50j, 3]]), **how)
    assert array.counterweights == pairs.counterweights
    np.testing.assert_array_equal(array.forward_couple_nm, pairs.forward_couple_nm)
