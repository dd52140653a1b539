"""What the planner refuses, and the words it says it in."""

import math

import pytest

from balance.errors import InputError
from balance.metal.planning import Counterweight, DrilledHole, SlugChoice, plan
from balance.metal.variants import alternatives

PLANES = (60.0, 540.0)
WEBS = [Counterweight(z, 0, 60, 80, 25, 35) for z in PLANES]


def test_a_direction_that_no_counterweight_reaches_is_named():
    webs = [Counterweight(z, 0, 85, 80, 25, 35) for z in (100, 500)]
    made = plan([-900, -600], PLANES, counterweights=webs, drills_mm=[10], tolerance_gmm=[60, 60])
    assert made.feasible is False
    assert not made.optimal
    assert "nothing can be taken at 85 to 275 degrees" in made.reason
    assert "slugs" in made.reason
    assert made.holes == ()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            {"unbalance": [1, 2, 3]},
            r"unbalance must hold two values, one a plane, got shape \(3,\)",
        ),
        ({"unbalance": [1, math.nan]}, "unbalance must be finite"),
        ({"planes_mm": [5, 5]}, r"planes_mm must be two different places, got \[5, 5\]"),
        ({"counterweights": []}, "counterweights must name at least one"),
        ({"drills_mm": []}, "drills_mm must name at least one drill"),
        ({"drills_mm": [-1]}, "drills_mm must be greater than zero"),
        ({"tolerance_gmm": [0, 1]}, "tolerance_gmm must be greater than zero"),
        ({"tolerance_gmm": 5}, "tolerance_gmm must hold two values"),
        ({"margin": 1.5}, "margin must be over 0 and at most 1 .* got 1.5"),
        ({"margin": [0.5]}, "margin must be one number, got"),
        ({"depth_step_mm": 0}, "depth_step_mm must be greater than zero"),
        ({"angle_step_degrees": -1}, "angle_step_degrees must be greater than zero"),
        ({"min_web_mm": -1}, "min_web_mm must not be negative"),
        ({"point_degrees": 190}, "point_degrees must be over 0 and at most 180"),
        ({"time_limit_s": 0}, "time_limit_s must be greater than zero"),
    ],
)
def test_bad_input_is_named(change, words):
    good = {
        "unbalance": [900, 600],
        "planes_mm": PLANES,
        "counterweights": WEBS,
        "drills_mm": [10],
        "tolerance_gmm": [60, 60],
    }
    with pytest.raises(InputError, match=words):
        plan(**(good | change))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"radius_mm": 0}, r"counterweights\[0\].radius_mm must be greater than zero"),
        ({"z_mm": math.inf}, r"counterweights\[0\].z_mm must be finite"),
        ({"half_span_degrees": 181}, "half_span_degrees must be from 0 to 180, got 181"),
        ({"half_span_degrees": -0.5}, "half_span_degrees must be from 0 to 180, got -0.5"),
        ({"max_depth_mm": 79}, "max_depth_mm must leave the drill point short of the crank's axis"),
        ({"holes": (DrilledHole(0, 8, -5),)}, r"holes\[0\].depth_mm must not be negative, got -5"),
        (
            {"holes": (DrilledHole(0, 8, 5), DrilledHole(math.nan, 8, 5))},
            r"holes\[1\].degrees must",
        ),
        ({"holes": (DrilledHole(0, -1, 5),)}, r"holes\[0\].diameter_mm must be greater than zero"),
        (
            {"holes": (DrilledHole(0, 10, 500),)},
            r"holes\[0\].depth_mm must end short of the crank's axis, got 500 with a point of 3",
        ),
        ({"holes": (DrilledHole(0, 300, 5),)}, r"holes\[0\].diameter_mm must be less than the rim"),
    ],
)
def test_a_bad_counterweight_is_named(change, words):
    good = {
        "z_mm": 100,
        "centre_degrees": 0,
        "half_span_degrees": 60,
        "radius_mm": 80,
        "width_mm": 25,
        "max_depth_mm": 30,
    }
    with pytest.raises(InputError, match=words):
        plan(
            [900, 600],
            PLANES,
            counterweights=[Counterweight(**(good | change))],
            drills_mm=[10],
            tolerance_gmm=[60, 60],
        )


@pytest.mark.parametrize(
    ("choice", "words"),
    [
        (SlugChoice(30.0, 20.0, bore_depth_mm=25.0), "none of the slugs offered fits"),
        (SlugChoice(10.0, 40.0), "none of the slugs offered fits"),
        (SlugChoice(6.0, 6.0), "none of the slugs offered fits"),  # bored through, it loses more
        (SlugChoice(8.0, 25.0), "proven not to help either"),
    ],
)
def test_slugs_that_do_not_help_are_said_not_to(choice, words):
    made = plan(
        [-9000, -6000],
        PLANES,
        counterweights=WEBS,
        drills_mm=[10],
        tolerance_gmm=[60, 60],
        slugs=[choice],
    )
    assert made.feasible is False
    assert words in made.reason


def test_alternatives_need_a_plan():
    made = plan([-900, 0], PLANES, counterweights=WEBS, drills_mm=[10], tolerance_gmm=[60, 60])
    with pytest.raises(InputError, match="plan must be one that can be drilled"):
        alternatives(made)


@pytest.mark.parametrize(
    "choice", [SlugChoice(30.0, 20.0, bore_depth_mm=25.0), SlugChoice(8.0, 25.0)]
)
def test_slugs_that_do_not_help_prove_nothing_about_holes_that_ran_out_of_time(choice):
    crank = {
        "counterweights": [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 300, 500)],
        "drills_mm": [8, 10, 12, 16],
        "tolerance_gmm": [4, 4],
        "time_limit_s": 1e-6,
    }
    assert plan([4000, 3000], PLANES, **crank).feasible is None
    made = plan([4000, 3000], PLANES, **crank, slugs=[choice])
    assert made.feasible is None
    assert "none ruled out" in made.reason
