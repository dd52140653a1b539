"""A bin sorted into engine sets: tolerances kept, the count against the bound."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.parts._bins import groups_of
from balance.parts.alone_bins import sort_kind
from balance.parts.matching import partition

DUST = 1e-9  # binary fractions of decimal grams


def bin_of(n, seed, shape="uniform"):
    rng = np.random.default_rng(seed)
    draw = rng.normal if shape == "normal" else lambda c, h, n: rng.uniform(c - h, c + h, n)
    kinds = ((420, 3), (110, 1.5), (180, 2.5), (420, 4))
    return [np.round(draw(c, h, n), 2) for c, h in kinds]


@pytest.mark.parametrize("shape", ["uniform", "normal"])
@pytest.mark.parametrize("size", [1, 4, 6, 8])
def test_every_set_keeps_both_tolerances(size, shape):
    pistons, pins, smalls, bigs = bin_of(600, size, shape)
    found = partition(pistons, pins, smalls, size=size, tolerance_g=0.3, big_ends_g=bigs)
    sums = pistons[found.groups[..., 0]] + pins[found.groups[..., 1]] + smalls[found.groups[..., 2]]
    assert np.ptp(sums, axis=1).max() == pytest.approx(found.spread_g, abs=DUST)
    assert np.ptp(bigs[found.groups[..., 2]], axis=1).max() <= 0.3 + DUST
    assert found.spread_g <= 0.3
    assert 0.9 * found.bound <= found.count <= found.bound
    assert found.optimal == (found.count == found.bound)
    for kind, left in enumerate((found.left_pistons, found.left_pins, found.left_rods)):
        used = found.groups[..., kind].ravel()
        assert sorted([*used, *left]) == list(range(600))


@pytest.mark.parametrize("seed", range(6))
def test_pistons_too_far_apart_to_be_evened_out_still_keep_both_tolerances(seed):
    rng = np.random.default_rng(seed)
    pistons = np.round(rng.uniform(405, 435, 300), 2)
    pins, smalls = np.full(300, 110.0), np.full(300, 180.0)
    bigs = np.round(rng.uniform(416, 424, 300), 2)
    found = partition(
        pistons,
        pins,
        smalls,
        size=4,
        tolerance_g=0.5,
        big_ends_g=bigs,
        big_end_tolerance_g=3.0,
    )
    assert np.ptp(pistons[found.groups[..., 0]], axis=1).max() <= 0.5 + DUST
    assert np.ptp(bigs[found.groups[..., 2]], axis=1).max() <= 3.0 + DUST
    used = found.groups.reshape(-1, 3)
    assert all(len(set(column)) == len(column) for column in used.T.tolist())
    # with like pins and small ends the pistons alone allow so many sets, whatever the big ends
    alone = len(groups_of(np.round(100 * pistons).astype(np.int64), 4, 50))
    assert 0.6 * alone <= found.count <= alone


def test_the_whole_bin_when_nothing_stands_in_the_way():
    pistons, pins, smalls, _ = bin_of(2000, 1)
    found = partition(pistons, pins, smalls, size=8, tolerance_g=0.5)
    assert (found.count, found.bound, found.optimal) == (250, 250, True)


def test_unequal_numbers_leave_the_extremes():
    pistons, pins, smalls, _ = bin_of(100, 1)
    found = partition(pistons, pins[:90], smalls, size=8, tolerance_g=0.5)
    assert found.bound == 11
    assert found.count >= 10
    assert np.argmin(pistons) in found.left_pistons


def test_too_few_parts_make_no_set():
    found = partition([420.0] * 3, [110.0] * 3, [180.0] * 3, size=4, tolerance_g=0.5)
    assert (found.count, found.bound, found.optimal) == (0, 0, True)
    assert (found.spread_g, found.left_rods.tolist()) == (0.0, [0, 1, 2])


@settings(max_examples=30, deadline=None)
@given(st.lists(st.integers(0, 12), min_size=1, max_size=7), st.integers(1, 3), st.integers(0, 4))
def test_greedy_groups_are_the_most_there_are(masses, size, tolerance):
    def most(left):
        best = 0
        for group in itertools.combinations(left, size):
            if max(group) - min(group) <= tolerance:
                rest = list(left)
                for mass in group:
                    rest.remove(mass)
                best = max(best, 1 + most(rest))
        return best

    assert len(groups_of(np.array(masses), size, tolerance)) == most(masses)


def test_order_of_the_bin_does_not_matter():
    pistons, pins, smalls, bigs = bin_of(200, 4)
    rng = np.random.default_rng(0)
    p, q, r = (rng.permutation(200) for _ in range(3))
    answers = []
    for lists in ((pistons, pins, smalls, bigs), (pistons[p], pins[q], smalls[r], bigs[r])):
        found = partition(*lists[:3], size=4, tolerance_g=0.3, big_ends_g=lists[3])
        a, b, c = (found.groups[..., k] for k in range(3))
        answers.append(np.stack([lists[0][a], lists[1][b], lists[2][c], lists[3][c]]))
    np.testing.assert_array_equal(*answers)


@pytest.mark.parametrize(
    ("bad", "message"),
    [
        ({"size": 0}, "size must be a whole number of at least 1, got 0"),
        ({"size": 2.5}, "size must be a whole number of at least 1, got 2.5"),
        ({"tolerance_g": -1.0}, "tolerance_g must not be negative"),
        (
            {"big_ends_g": [420.0, 421.0], "big_end_tolerance_g": -1.0},
            "big_end_tolerance_g must not be negative",
        ),
        (
            {"big_end_tolerance_g": 1.0},
            "big_end_tolerance_g goes with big_ends_g, which is not given; got 1.0",
        ),
        ({"stop": True}, "stop must be a function or None, got True"),
        ({"progress": "x"}, "progress must be a function or None, got 'x'"),
        ({"big_ends_g": [420.0]}, "big_ends_g must hold one mass for each rod, got 1 for 2"),
        ({"pins_g": []}, "pins_g must be a list of at least one weight"),
    ],
)
def test_bad_input(bad, message):
    good = {
        "pistons_g": [420.0] * 2,
        "pins_g": [110.0] * 2,
        "small_ends_g": [180.0] * 2,
        "size": 2,
        "tolerance_g": 0.5,
    }
    with pytest.raises(InputError, match=message):
        partition(**{**good, **bad})


def partition_big(**more):
    *sums, big = bin_of(2001, 5, "normal")
    wanted = {"size": 4, "tolerance_g": 0.02, "big_ends_g": big, "big_end_tolerance_g": 0.5}
    return partition(*sums, **wanted, **more)


def test_progress_ends_at_the_whole():
    told = []
    found = partition_big(progress=lambda *said: told.append(said))
    assert [done for done, _ in told] == [*range(1, len(told) + 1)]
    assert told[-1][0] <= told[-1][1] == told[0][1]
    assert found.finished


@pytest.mark.parametrize("after", [0, 1, 5, 9, 10])
def test_sets_made_when_it_was_stopped_hold(after):
    told = []
    found = partition_big(progress=lambda *said: told.append(said), stop=lambda: len(told) >= after)
    assert not found.finished
    assert 0 < found.count < found.bound
    pistons, pins, small, big = bin_of(2001, 5, "normal")
    piston, pin, rod = np.moveaxis(found.groups, -1, 0)
    sums = pistons[piston] + pins[pin] + small[rod]
    assert np.ptp(sums, axis=1).max() <= 0.02 + DUST
    assert np.ptp(big[rod], axis=1).max() <= 0.5 + DUST
    for used in (piston, pin, rod):
        assert np.unique(used).size == used.size, "no part is in two sets"


@pytest.mark.parametrize("n", range(1, 8))
def test_fewer_parts_than_a_set_give_none(n):
    pistons = [420.0 + i for i in range(n)]
    found = partition(pistons, [110.0] * n, [180.0] * n, size=8, tolerance_g=0.1)
    assert (found.count, found.bound, found.left_rods.size) == (0, 0, n)


@pytest.mark.parametrize("seed", range(8))
def test_one_kind_in_the_most_sets(seed):
    rng = np.random.default_rng(seed)
    masses, size = np.round(rng.uniform(420, 421, rng.integers(1, 9)), 2), int(rng.integers(1, 5))
    found = sort_kind(masses, size=size, tolerance_g=0.25)
    assert found.count == most_sets(tuple(masses), size)
    assert np.ptp(masses[found.groups], axis=1).max(initial=0) == pytest.approx(
        found.spread_g, abs=DUST
    )
    assert found.spread_g <= 0.25
    assert sorted([*found.groups.ravel(), *found.left]) == [*range(masses.size)]


def most_sets(masses, size):
    """Try every set that holds the first part, and the bin without that part."""
    if len(masses) < size:
        return 0
    first, *rest = masses
    most = most_sets(tuple(rest), size)
    for others in itertools.combinations(range(len(rest)), size - 1):
        chosen = [first, *(rest[i] for i in others)]
        if max(chosen) - min(chosen) <= 0.25 + DUST:
            kept = tuple(mass for i, mass in enumerate(rest) if i not in others)
            most = max(most, 1 + most_sets(kept, size))
    return most


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"masses_g": [420, 0]}, "masses_g"),
        ({"size": 0}, "size must be a whole number of at least 1"),
        ({"tolerance_g": -0.1}, "tolerance_g"),
    ],
)
def test_one_kind_that_cannot_be_sorted(change, message):
    with pytest.raises(InputError, match=message):
        sort_kind(**{"masses_g": [420.0], "size": 1, "tolerance_g": 0.1} | change)
