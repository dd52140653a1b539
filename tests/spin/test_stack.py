"""The stack of crank, damper, flywheel and cover: differences, seats, keys, replacements."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.spin.planes import transfer
from balance.spin.stack import (
    StackSpin,
    match_replacement,
    mounting,
    to_key_convention,
    what_each_adds,
)
from balance.vectors import vector

COORDINATE = st.floats(-1000, 1000, allow_subnormal=False)
VECTOR = st.builds(complex, COORDINATE, COORDINATE)
PAIR = st.lists(VECTOR, min_size=2, max_size=2).map(np.array)
PLANES = (50, 550)  # invented crank: main bearings this far from the nose


def stacked(contributions, **options):
    names = ["crank", "damper", "flywheel", "clutch cover", "trigger wheel"]
    whole = np.cumsum(contributions, axis=0)
    return [
        StackSpin(name, reading, **options) for name, reading in zip(names, whole, strict=False)
    ]


@settings(max_examples=40, deadline=None)
@given(st.lists(PAIR, min_size=1, max_size=5))
def test_each_part_gives_back_what_it_brought(contributions):
    for added, own in zip(
        what_each_adds(stacked(contributions), planes_mm=PLANES), contributions, strict=True
    ):
        assert added.unbalance == pytest.approx(own, abs=1e-9)  # rounding of sums of thousands
        assert added.correction == pytest.approx(-own, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.lists(PAIR, min_size=2, max_size=5))
def test_correcting_each_part_on_itself_leaves_nothing_at_any_step(contributions):
    spins = stacked(contributions)
    corrections = [a.correction for a in what_each_adds(spins, planes_mm=PLANES)]
    for k, spin in enumerate(spins):
        left = spin.unbalance + sum(corrections[: k + 1])
        assert left == pytest.approx(np.zeros(2), abs=1e-8)


def test_doubt_of_a_difference_has_two_readings_in_it():
    spins = [StackSpin("crank", [0, 0], u_gmm=[3, 4]), StackSpin("damper", [50, 50], u_gmm=4)]
    crank, damper = what_each_adds(spins, planes_mm=PLANES)
    assert crank.u_gmm.tolist() == [3, 4]
    assert damper.u_gmm == pytest.approx([5, np.sqrt(32)])
    assert damper.floor_gmm == pytest.approx([10, 2 * np.sqrt(32)])


def test_single_plane_part_knows_what_it_can_correct():
    """A flywheel 80 mm beyond the rear bearing: its unbalance comes back out of the readings."""
    wheel = vector(200, 35)
    reading = transfer(wheel, 630, PLANES)
    spins = [StackSpin("crank", [0, 0]), StackSpin("flywheel", reading, z_mm=630, marks="dowel")]
    added = what_each_adds(spins, planes_mm=PLANES)[1]
    assert added.static == pytest.approx(wheel)
    assert added.couple_left == pytest.approx(0, abs=1e-9)
    assert added.chase


def test_cocked_part_leaves_a_couple():
    spins = [StackSpin("crank", [0, 0]), StackSpin("flywheel", [-60, 60], z_mm=630)]
    added = what_each_adds(spins, planes_mm=PLANES)[1]
    assert added.static == 0
    assert added.couple_left == 60 * 500


def test_a_part_within_its_own_seat_is_not_chased():
    seat = mounting(mass_g=8000, clearance_mm=0.05).unbalance_gmm  # 200 g mm
    reading = transfer(vector(150, 10), 630, PLANES)
    spins = [
        StackSpin("crank", [0, 0]),
        StackSpin("flywheel", reading, mounting_gmm=seat, z_mm=630, marks="dowel"),
    ]
    added = what_each_adds(spins, planes_mm=PLANES)[1]
    assert not added.chase
    assert added.floor_gmm == pytest.approx(np.abs(transfer(seat, 630, PLANES)))
    assert added.remarks == ("no more than its reading or its seat can do: nothing to chase",)


def test_a_part_without_unbalance_or_doubt_is_not_chased():
    added = what_each_adds(stacked([[5, 5], [0, 0]]), planes_mm=PLANES)
    assert [part.chase for part in added] == [True, False]


def test_missing_marks_and_another_key_are_remarked():
    spins = [
        StackSpin("crank", [9, 9], key="full"),
        StackSpin("damper", [50, 9], key="half", marks="punch mark at key"),
        StackSpin("flywheel", [50, 90], key="half"),
    ]
    crank, damper, flywheel = what_each_adds(spins, planes_mm=PLANES)
    assert crank.remarks == ()
    assert damper.remarks == (
        "key convention is half here and full for crank: the difference holds part of a key",
    )
    assert damper.marks == "punch mark at key"
    assert flywheel.remarks == ("no marks recorded: mark how it sits before it comes off",)


@pytest.mark.parametrize(
    ("spins", "message"),
    [
        ([], "spins must hold at least the spin of the crank alone"),
        ([StackSpin("crank", [1, 2]), StackSpin("crank", [1, 2])], "got 'crank' twice"),
        ([StackSpin("crank", 5)], "unbalance of crank must be one vector for each of two planes"),
        ([StackSpin("crank", [1, np.nan])], "unbalance of crank must be finite"),
        ([StackSpin("crank", [1, 2], u_gmm=[1, 2, 3])], "with u_gmm of shape"),
        ([StackSpin("crank", [1, 2], u_gmm=-1)], "u_gmm of crank must not be negative"),
        ([StackSpin("crank", [1, 2], mounting_gmm=-1)], "mounting_gmm of crank must not be neg"),
        ([StackSpin("crank", [1, 2], key="whole")], "key of crank must be one of half, full, none"),
    ],
)
def test_what_each_adds_refuses(spins, message):
    with pytest.raises(InputError, match=message):
        what_each_adds(spins, planes_mm=PLANES)


# seats -----------------------------------------------------------------------------------------


def test_mounting_by_hand():
    seat = mounting(mass_g=8000, tir_mm=0.02, clearance_mm=0.03)
    assert seat.eccentricity_mm == pytest.approx(0.025)
    assert seat.unbalance_gmm == pytest.approx(200)
    assert seat.refit_gmm == pytest.approx(120)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"mass_g": 0}, "mass_g must be greater than zero, got 0"),
        ({"tir_mm": -0.01}, "tir_mm must not be negative"),
        ({"clearance_mm": np.nan}, "clearance_mm must be finite"),
        ({"mass_g": [1, 2]}, "mass_g must be one number"),
    ],
)
def test_mounting_refuses(change, message):
    with pytest.raises(InputError, match=message):
        mounting(**{"mass_g": 1000, **change})


# replacement -----------------------------------------------------------------------------------


@settings(max_examples=30, deadline=None)
@given(VECTOR, VECTOR, VECTOR)
def test_what_the_arbor_adds_cancels(old, new, arbor):
    plain = match_replacement(old, new, tolerance_gmm=100)
    on_arbor = match_replacement(old + arbor, new + arbor, tolerance_gmm=100)
    assert on_arbor.to_add == pytest.approx(plain.to_add, abs=1e-9)
    assert new + plain.to_add == pytest.approx(old, abs=1e-9)


@pytest.mark.parametrize(
    ("new", "verdict"),
    [(19_900, "pass"), (20_000 + 150j, "not proven"), (20_000 - 400j, "fail"), (-20_000, "fail")],
)
def test_the_length_of_the_difference_is_judged(new, verdict):
    # guard: 1.65 * sqrt(2) * 20 = 46.7 g mm
    assert match_replacement(20_000, new, tolerance_gmm=150, u_gmm=20).verdict == verdict


def test_a_weight_at_another_place_leaves_a_couple():
    found = match_replacement(20_000, 20_000, tolerance_gmm=100, old_z_mm=600, new_z_mm=612)
    assert found.verdict == "pass"
    assert found.couple_left == 20_000 * 12


def test_two_planes_are_matched_each_for_itself():
    found = match_replacement([100, 50j], [90, 20j], tolerance_gmm=20)
    assert found.to_add.tolist() == [10, 30j]
    assert found.amount_gmm.tolist() == [10, 30]
    assert found.verdict == "fail"


def test_match_replacement_refuses():
    with pytest.raises(InputError, match="old and new must have the same planes"):
        match_replacement([1, 2], 1, tolerance_gmm=1)
    with pytest.raises(InputError, match="permissible_gmm must be greater than zero"):
        match_replacement(1, 1, tolerance_gmm=0)
    with pytest.raises(InputError, match="u_gmm must not be negative"):
        match_replacement(1, 1, tolerance_gmm=1, u_gmm=-1)


# keys ------------------------------------------------------------------------------------------

KEY = {"key_mass_g": 20, "radius_mm": 15, "degrees": 90}


@settings(max_examples=30, deadline=None)
@given(VECTOR, st.sampled_from(["half", "full", "none"]), st.sampled_from(["half", "full", "none"]))
def test_there_and_back(reading, was, now):
    there = to_key_convention(reading, was=was, now=now, **KEY)
    assert to_key_convention(there, was=now, now=was, **KEY) == pytest.approx(reading, abs=1e-9)


def test_key_by_hand():
    assert to_key_convention(0, was="none", now="full", **KEY) == pytest.approx(300j)
    assert to_key_convention(0, was="full", now="half", **KEY) == pytest.approx(-150j)


def test_to_key_convention_refuses():
    with pytest.raises(InputError, match="now must be one of half, full, none, got 'most'"):
        to_key_convention(0, was="half", now="most", **KEY)
    with pytest.raises(InputError, match="key_mass_g must be greater than zero"):
        to_key_convention(0, was="half", now="full", **{**KEY, "key_mass_g": 0})
