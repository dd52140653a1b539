"""Public functions beside the contract, called with one argument that cannot be, say so too."""

import math
import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from balance import job, metal, parts, spin
from balance.errors import InputError
from balance.metal.discs import plan_disc

BAD: dict[str, Any] = {
    "none": None, "text": "x", "nan": math.nan, "infinite": math.inf, "empty": [],
    "object": object(), "true": True, "complex": 1 + 1j, "shape": np.ones((2, 3, 4)),
    "dict": {}, "holds none": [None], "holds nan": [math.nan] * 2,
}  # fmt: skip
MACHINE = spin.Machine(
    planes_mm=(0, 400), first_plane="nose", unit="g mm", counts="clockwise",
    seen_from="flywheel", zero_degrees=0, points_to="heavy",
)  # fmt: skip
PUTTY = [spin.Putty(0, 80, 10, 90)]
CHECK = spin.predict_check_spin([300j, 100], PUTTY, MACHINE, u_reading_gmm=5)
PAD = parts.RoundPad(20.0)
DISC = {
    "unbalance": 300j, "circle_mm": 110.0, "drills_mm": [8.0, 10.0], "max_depth_mm": 9.0,
    "tolerance_gmm": 40.0, "hole_spacing_mm": 15.0, "min_depth_mm": 2.0, "depth_step_mm": 0.5,
    "angle_step_degrees": 1.0, "point_degrees": 118.0, "density_g_cm3": 7.85,
    "keep_clear": [(0.0, 20.0)], "holes_degrees": [200.0], "margin": 0.5,
}  # fmt: skip
GOOD: dict[Callable[..., Any], dict[str, Any]] = {
    plan_disc: DISC,
    metal.bolted_weight: {
        "mass_g": 20.0, "radius_mm": 130.0, "screw_mass_g": 6.0, "screw_hole_mm": 8.0,
        "thickness_mm": 10.0, "density_g_cm3": 7.85,
    },
    metal.pitch_circle: {"count": 4, "first_degrees": 300.0},
    metal.split: {"unbalance": 100j, "first_degrees": 60.0, "second_degrees": 120.0},
    metal.split_on_circle: {"unbalance": 100.0, "positions_degrees": [20.0, 140.0, 260.0]},
    parts.RoundPad: {"diameter_mm": 20.0, "hole_mm": 2.0, "deepest_mm": 5.0},
    parts.RectangularPad: {
        "length_mm": 22.0, "width_mm": 15.0, "corner_mm": 1.0, "deepest_mm": 5.0,
    },
    parts.mass_of_cut: {"shape": PAD, "depth_mm": 1.0, "density_g_cm3": 7.85},
    parts.depth_of_cut: {"shape": PAD, "mass_g": 1.0, "density_g_cm3": 7.85},
    parts.difference: {"gross": parts.Weight(2.0, 0.1, 1), "tare": parts.Weight(1.0, 0.1, 1)},
    parts.pooled_repeatability: {"readings_g": [[1.0, 1.1]]},
    parts.u_of_sum: {"counts": [2, 1], "u_g": 0.1, "offset_u_g": 0.1},
    parts.weigh_all: {"readings_g": [[1.0, 1.1]], "resolution_g": 0.1},
    spin.putty_gmm: {"putty": PUTTY, "planes_mm": [0.0, 400.0]},
    spin.predict_check_spin: {
        "before": [300j, 100], "putty": PUTTY, "machine": MACHINE, "u_reading_gmm": 5.0,
        "declared": False,
    },
    spin.judge_check_spin: {"check": CHECK, "after": [1100j, 100], "u_reading_gmm": 5.0},
}  # fmt: skip
MAY_BE = {
    "unbalance": {"complex"},
    "keep_clear": {"empty", "dict"},
    "holes_degrees": {"empty", "dict"},
    "deepest_mm": {"infinite"},
    "declared": {"true"},
}
ANY_SHAPE = {"mass_g", "radius_mm", "screw_mass_g", "density_g_cm3", "screw_hole_mm",
             "thickness_mm"}  # fmt: skip


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        pytest.param(call, argument, id=f"{call.__name__}-{argument}")
        for call, arguments in GOOD.items()
        for argument in arguments
    ],
)
def test_what_cannot_be_is_named(call: Callable[..., Any], argument: str) -> None:
    good = GOOD[call]
    call(**good)
    may = MAY_BE.get(argument, set())
    if call is parts.weigh_all:
        may = {"empty", "dict"} if argument == "readings_g" else set()  # nothing weighed
    if call is metal.bolted_weight and argument in ANY_SHAPE:
        may = {"empty", "shape"}
    for kind in BAD.keys() - may:
        with pytest.raises(InputError):
            call(**{**good, argument: BAD[kind]})


REFUSED: list[tuple[Callable[[], Any], str]] = [
    (lambda: plan_disc(**DISC | {"drills_mm": 8.0}), "drills_mm must be a list, got 8.0"),
    (lambda: plan_disc(**DISC | {"drills_mm": [[8.0]]}), "drills_mm must be a plain list"),
    (
        lambda: plan_disc(**DISC | {"keep_clear": [(0, 20, 40)]}),
        "keep_clear must hold pairs (from, to), got (0, 20, 40)",
    ),
    (
        lambda: plan_disc(**DISC | {"angle_step_degrees": 400}),
        "angle_step_degrees must be at most 180, got 400",
    ),
    (lambda: plan_disc(**DISC | {"margin": "half"}), "margin must be a number, got 'half'"),
    (
        lambda: metal.bolted_weight(20.0, radius_mm=130.0, density_g_cm3=-1),
        "density_g_cm3 must be greater than zero, got -1",
    ),
    (
        lambda: metal.bolted_weight([1, 2], radius_mm=[1, 2, 3]),
        "mass_g and radius_mm do not go together",
    ),
    (
        lambda: parts.mass_of_cut("pad", 1.0, density_g_cm3=7.85),  # type: ignore[arg-type]
        "shape must be a cut such as a RoundPad, got 'pad'",
    ),
    (lambda: parts.RoundPad(20.0, deepest_mm=-1.0), "deepest_mm must be greater than zero"),
    (
        lambda: spin.putty_gmm([(0, 80, 10, 90)], [0, 400]),  # type: ignore[list-item]
        "putty[0] must be of type Putty, got (0, 80, 10, 90)",
    ),
    (
        lambda: spin.judge_check_spin(CHECK, [1, 2], u_reading_gmm=[1, 2, 3]),
        "u_reading_gmm must be one number or one for each plane, got [1, 2, 3]",
    ),
    (lambda: job.read_job(None), "path must be that of a job file, got None"),  # type: ignore[arg-type]
    (lambda: job.as_csv(None), "rows must be a list, got None"),  # type: ignore[arg-type]
    (lambda: job.parse_line(7), "line must be of type str, got 7"),  # type: ignore[arg-type]
    (
        lambda: job.starter("V-8", cylinders=8.0, name="x"),  # type: ignore[arg-type]
        "cylinders must be a whole number of at least 1, got 8.0",
    ),
    (lambda: metal.chance_of(None), "plan must be of type Plan, got None"),  # type: ignore[arg-type]
    (lambda: metal.alternatives(None), "plan must be of type Plan, got None"),  # type: ignore[arg-type]
    (
        lambda: metal.practice_warnings([metal.DrilledHole(0.0, math.nan, 20.0)]),
        "holes[0].diameter_mm must be finite, got nan",
    ),
    (lambda: parts.pin_group([1]), "rods[0] must be of type RodGroup, got 1"),  # type: ignore[list-item]
    (lambda: parts.rod_group([1]), "items[0] must be of type RodItem, got 1"),  # type: ignore[list-item]
    (lambda: parts.rod_item([], 1.0), "kind must be of type str, got []"),  # type: ignore[arg-type]
    (lambda: parts.punch_list(7), "sets must be a list, got 7"),  # type: ignore[arg-type]
    (lambda: parts.cut_place(7, "pad"), "part must be of type str, got 7"),  # type: ignore[arg-type]
    (
        lambda: parts.difference(parts.Weight(2.0, math.nan, 1), parts.Weight(1.0, 0.1, 1)),
        "gross.u_g must be finite, got nan",
    ),
    (lambda: spin.learn([7], u_reading_gmm=1.0), "history[0] must be of type CorrectionStep"),  # type: ignore[list-item]
    (lambda: spin.statement(None), "machine must be of type Machine, got None"),  # type: ignore[arg-type]
    (lambda: spin.grade_rows(edition=[]), "edition must be of type str, got []"),  # type: ignore[arg-type]
    (lambda: spin.differences(MACHINE, None), "identified must be of type Identified, got None"),  # type: ignore[arg-type]
    (lambda: spin.what_each_adds([7], planes_mm=(0, 1)), "spins[0] must be of type StackSpin"),  # type: ignore[list-item]
    (lambda: parts.weigh_all(420.3, resolution_g=0.1), "readings_g must be a list, got 420.3"),  # type: ignore[arg-type]
]


@pytest.mark.parametrize(("call", "message"), REFUSED, ids=[text[:40] for _, text in REFUSED])
def test_the_message_says_which_and_why(call: Callable[[], Any], message: str) -> None:
    with pytest.raises(InputError, match=re.escape(message)):
        call()
