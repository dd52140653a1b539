"""The uncertainty budget: readings, bobweights, planes; and their sum."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.spin.doubt import (
    Budget,
    Line,
    bobweight_doubt,
    doubt_onto,
    from_bound,
    reading_doubt,
)
from balance.spin.planes import transfer

SPREAD = st.floats(0, 100)


# budget ----------------------------------------------------------------------------------------


def test_independent_causes_add_as_squares_and_one_cause_adds_straight():
    lines = (Line("repeats", 3), Line("resolution", 4))
    assert Budget(lines).u_gmm == 5
    together = (Line("scale, big ends", 3, shared="scale"), Line("small ends", 4, shared="scale"))
    assert Budget(together).u_gmm == 7


def test_the_same_name_twice_is_two_causes():
    budget = Budget((Line("refit", 3), Line("refit", 4)))
    assert budget.u_gmm == 5
    assert budget.shares == (("refit", 0.36), ("refit (2)", 0.64))


@settings(max_examples=30, deadline=None)
@given(st.lists(SPREAD, min_size=1, max_size=6))
def test_shares_make_the_whole(values):
    budget = Budget(tuple(Line(f"cause {k}", u) for k, u in enumerate(values)))
    assert budget.u_gmm == pytest.approx(np.linalg.norm(values))
    assert sum(part for _, part in budget.shares) == pytest.approx(1 if budget.u_gmm else 0)


def test_empty_budget_is_no_doubt():
    assert (Budget(()).u_gmm, Budget(()).shares) == (0, ())


def test_line_refuses():
    with pytest.raises(InputError, match="u_gmm must not be negative, got -1"):
        Line("repeats", -1)
    with pytest.raises(InputError, match="u_gmm must be one number"):
        Line("repeats", [1, 2])
    with pytest.raises(InputError, match="bound_gmm must not be negative"):
        from_bound("clearance", -1)


def test_bound_is_the_spread_of_a_vector_of_that_length_at_any_angle():
    angles = np.radians(np.arange(360))
    assert from_bound("clearance", 80).u_gmm == pytest.approx(np.std(80 * np.cos(angles)))


# readings --------------------------------------------------------------------------------------


def test_resolution_is_a_rectangle():
    # JCGM 100:2008 F.2.2.1: d / sqrt(12)
    doubt = reading_doubt([50, 50, 50], resolution_gmm=6)
    assert doubt.u_along_gmm == pytest.approx(6 / np.sqrt(12))
    assert doubt.u_across_gmm == 0
    assert doubt.u_gmm == doubt.u_along_gmm


def test_angle_acts_across_and_grows_with_the_amount():
    doubt = reading_doubt([200j, 200j], u_degrees=1.5)
    assert doubt.u_along_gmm == 0
    assert doubt.u_across_gmm == pytest.approx(200 * np.radians(1.5))


def test_single_reading_takes_the_known_repeatability():
    doubt = reading_doubt(120, repeatability_gmm=4)
    assert (doubt.mean, doubt.n, doubt.u_along_gmm) == (120, 1, 4)


def test_the_larger_of_known_and_seen_spread_counts():
    calm, wild = [100, 100, 100, 100], [60, 140, 100 + 40j, 100 - 40j]
    assert reading_doubt(calm, repeatability_gmm=5).u_repeat_gmm == pytest.approx(2.5)
    assert reading_doubt(wild, repeatability_gmm=5).u_repeat_gmm > 16


@pytest.mark.parametrize("n", [2, 3, 5])
def test_guard_of_few_repeats_keeps_its_chance(n):
    """A good rotor read n times is inside mean + 1.65 u in 95 % of the cases, also for small n."""
    rng = np.random.default_rng(n)
    trials = 4000
    noise = rng.normal(size=(trials, n)) + 1j * rng.normal(size=(trials, n))
    inside = [(d := reading_doubt(row)).mean.real <= 1.65 * d.u_along_gmm for row in noise]
    # standard error of a share of 0.95 in 4000 trials is 0.0034: four of them
    assert np.mean(inside) == pytest.approx(0.95, abs=0.014)


@settings(max_examples=30, deadline=None)
@given(st.floats(0, 360))
def test_spread_is_the_same_from_every_direction(angle):
    rows = np.array([100 + 3j, 96 - 1j, 103 + 2j])
    turned = reading_doubt(rows * np.exp(1j * np.radians(angle)), resolution_gmm=1, u_degrees=1)
    straight = reading_doubt(rows, resolution_gmm=1, u_degrees=1)
    assert turned.u_along_gmm == pytest.approx(straight.u_along_gmm)
    assert turned.u_across_gmm == pytest.approx(straight.u_across_gmm)


@pytest.mark.parametrize(
    ("repeats", "options", "message"),
    [
        ([5], {}, "repeats must hold at least two readings when repeatability_gmm is not given"),
        ([], {}, "repeats must be a list of readings of one plane"),
        ([[1, 2]], {}, "repeats must be a list of readings of one plane"),
        ([1, np.nan], {}, "repeats must be finite"),
        ([1, 2], {"resolution_gmm": -1}, "resolution_gmm must not be negative"),
        ([1, 2], {"u_degrees": np.nan}, "u_degrees must be finite"),
        ([1, 2], {"repeatability_gmm": -1}, "repeatability_gmm must not be negative"),
        ([1, 2], {"resolution_gmm": [1, 2]}, "resolution_gmm must be one number"),
    ],
)
def test_reading_refuses(repeats, options, message):
    with pytest.raises(InputError, match=message):
        reading_doubt(repeats, **options)


# planes ----------------------------------------------------------------------------------------


def test_doubt_moves_as_simulated_readings_do():
    rng = np.random.default_rng(11)
    u = np.array([3.0, 8.0])
    noise = u * (rng.normal(size=(20_000, 2)) + 1j * rng.normal(size=(20_000, 2)))
    moved = transfer(noise, (0, 500), (350, 600))
    spread = np.sqrt(np.mean(np.abs(moved) ** 2, axis=0) / 2)
    # 40 000 numbers each: relative spread 0.35 %
    assert doubt_onto(u, (0, 500), (350, 600)) == pytest.approx(spread, rel=0.02)


def test_doubt_onto_refuses():
    with pytest.raises(InputError, match="u_gmm must be one value or one for each of two planes"):
        doubt_onto([1, 2, 3], (0, 1), (0, 1))
    with pytest.raises(InputError, match="onto_mm must be two different places"):
        doubt_onto(1, (0, 1), (2, 2))


# bobweights ------------------------------------------------------------------------------------

CROSS_PLANE_V8 = {
    # invented engine: pitch 111.8 mm, planes 400 mm apart, crank radius 44.45 mm
    "throw_degrees": [0, 90, 270, 180],
    "z_mm": [-167.7, -55.9, 55.9, 167.7],
    "radius_mm": 44.45,
    "planes_mm": (-200, 200),
}


def test_a_gram_on_all_four_bobweights_is_a_couple():
    doubt = bobweight_doubt(1800, **CROSS_PLANE_V8, u_common_g=1)
    # by hand: couple sqrt(10) * 111.8 * 44.45 over 400 mm, the force cancels
    expected = np.sqrt(10) * 111.8 * 44.45 / 400
    assert doubt.common_gmm == pytest.approx([expected, expected])
    assert doubt.u_gmm == pytest.approx(doubt.common_gmm)


def test_a_bobweight_off_the_pin_and_along_it():
    one = bobweight_doubt(
        1800, [0], [0], radius_mm=44.45, planes_mm=(0, 400), u_offset_mm=0.05, u_axial_mm=1
    )
    assert one.offset_gmm == pytest.approx([90, 0])
    assert one.axial_gmm == pytest.approx([1800 * 44.45 / 400] * 2)
    assert one.u_gmm == pytest.approx(np.hypot(one.offset_gmm, one.axial_gmm))


def test_bobweight_doubt_agrees_with_simulated_bobweights():
    """Root of the mean square length of the vectors: errors of mass all along the throw."""
    rng = np.random.default_rng(5)
    masses = np.array([1800, 1810, 1790, 1805.0])
    throws = np.exp(1j * np.radians(CROSS_PLANE_V8["throw_degrees"]))
    z, radius = np.array(CROSS_PLANE_V8["z_mm"]), 44.45
    shape = (20_000, 4)
    true = transfer(masses * radius * throws, z, CROSS_PLANE_V8["planes_mm"])
    by_mass = transfer(
        (masses + 0.3 * rng.normal(size=shape)) * radius * throws, z, CROSS_PLANE_V8["planes_mm"]
    )
    doubt = bobweight_doubt(masses, **CROSS_PLANE_V8, u_mass_g=0.3, u_axial_mm=0.2)
    spread = np.sqrt(np.mean(np.abs(by_mass - true) ** 2, axis=0))
    assert doubt.mass_gmm == pytest.approx(spread, rel=0.02)
    shifted = [
        transfer(masses * radius * throws, z + dz, CROSS_PLANE_V8["planes_mm"])
        for dz in 0.2 * rng.normal(size=(4000, 4))
    ]
    spread = np.sqrt(np.mean(np.abs(np.array(shifted) - true) ** 2, axis=0))
    assert doubt.axial_gmm == pytest.approx(spread, rel=0.05)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"masses_g": 0}, "masses_g must be greater than zero"),
        ({"masses_g": [1, 2]}, "masses_g must be one value or one for each of 4"),
        ({"z_mm": [0, 1]}, "throw_degrees and z_mm must have one value for each bobweight"),
        ({"radius_mm": -1}, "radius_mm must be greater than zero"),
        ({"u_mass_g": -0.1}, "u_mass_g must not be negative"),
        ({"planes_mm": (1, 1)}, "onto_mm must be two different places"),
    ],
)
def test_bobweight_doubt_refuses(change, message):
    with pytest.raises(InputError, match=message):
        bobweight_doubt(**{"masses_g": 1800, **CROSS_PLANE_V8, **change})
