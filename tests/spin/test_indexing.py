"""Index separation and the best way to bolt parts up."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.spin.indexing import Component, best_positions, separate
from balance.vectors import vector

COORDINATE = st.floats(-1000, 1000, allow_subnormal=False)
VECTOR = st.builds(complex, COORDINATE, COORDINATE)
ROUNDING_GMM = 1e-7  # sums of a few vectors of 1000 g mm in double precision


def spins(carrier, part, index_degrees):
    return [carrier + part * np.exp(1j * np.radians(a)) for a in index_degrees]


# separate --------------------------------------------------------------------------------------


@settings(max_examples=60, deadline=None)
@given(VECTOR, VECTOR, st.integers(2, 8))
def test_what_was_put_together_comes_apart(carrier, part, k):
    angles = np.arange(k) * 360 / k
    found = separate(spins(carrier, part, angles), angles)
    assert found.carrier == pytest.approx(carrier, abs=ROUNDING_GMM)
    assert found.part == pytest.approx(part, abs=ROUNDING_GMM)
    assert found.closure == pytest.approx(0, abs=ROUNDING_GMM)
    assert found.spare == k - 2


def test_half_turn_is_half_sum_and_half_difference():
    r0, r180 = 12 + 5j, -7 + 1j
    found = separate([r0, r180], [0, 180])
    assert found.carrier == pytest.approx((r0 + r180) / 2)
    assert found.part == pytest.approx((r0 - r180) / 2)
    assert (found.closure, found.spare) == (pytest.approx(0, abs=1e-12), 0)


def test_half_turn_worked_by_hand():
    # readings printed to 0.1 g mm and 0.1 degree: 0.35 g mm at 200 g mm
    found = separate(vector([43.5, 199.3], [48.6, 206.0]), [0, 180])
    assert found.carrier == pytest.approx(vector(80, 200), abs=0.3)
    assert found.part == pytest.approx(vector(120, 30), abs=0.3)


def test_uneven_positions_in_any_order():
    angles = [300, 0, 75]
    found = separate(spins(40j, 25 - 10j, angles), angles)
    assert found.carrier == pytest.approx(40j)
    assert found.part == pytest.approx(25 - 10j)


def test_two_planes_come_apart_each_for_itself():
    carrier, part = np.array([10, 20j]), np.array([5j, -8])
    angles = [0, 90, 180, 270]
    both = separate(spins(carrier, part, angles), angles)
    assert both.carrier == pytest.approx(carrier)
    assert both.part == pytest.approx(part)


def test_a_repeat_that_differs_shows_in_the_closure():
    angles = [0, 180, 0]
    readings = spins(100, 50, angles)
    readings[2] += 8  # the part came back to another seat
    found = separate(readings, angles)
    assert found.closure == pytest.approx(4)  # the two readings at 0 share the miss
    assert found.spare == 1


def test_uncertainty_factors_are_those_of_simulated_spins():
    angles = np.array([0, 60, 180])
    rng = np.random.default_rng(7)
    noise = rng.normal(size=(3, 20_000)) + 1j * rng.normal(size=(3, 20_000))
    found = separate(noise, angles)
    # standard deviation of 40 000 numbers: relative spread 0.35 %, so 2 % is nearly six of them
    assert np.sqrt(np.mean(np.abs(found.carrier) ** 2) / 2) == pytest.approx(
        found.carrier_factor, rel=0.02
    )
    assert np.sqrt(np.mean(np.abs(found.part) ** 2) / 2) == pytest.approx(
        found.part_factor, rel=0.02
    )


def test_a_small_turn_separates_badly_and_says_so():
    assert separate([1, 1], [0, 180]).part_factor == pytest.approx(np.sqrt(0.5))
    assert separate([1, 1], [0, 10]).part_factor > 8


@pytest.mark.parametrize(
    ("readings", "angles", "message"),
    [
        ([1, 2], [0], r"readings must have one row for each index position \(1\)"),
        ([1, 2], [30, 390], "index_degrees must hold at least two different positions"),
        ([1], [0], "index_degrees must hold at least two different positions"),
        (5, 0, "index_degrees must be a list of angles"),
        ([1, np.nan], [0, 180], "readings must be finite"),
        ([1, 2], [0, np.inf], "index_degrees must be finite"),
        (np.zeros((2, 2, 2)), [0, 180], "readings must have one row"),
    ],
)
def test_separate_refuses(readings, angles, message):
    with pytest.raises(InputError, match=message):
        separate(readings, angles)


def test_nothing_read_is_refused():
    with pytest.raises(InputError, match="index_degrees must hold at least two different"):
        separate([], [])


# best positions --------------------------------------------------------------------------------


def brute_force(crank, parts, limit=1.0):
    """The least score over all combinations, by the definition."""
    crank = np.atleast_1d(np.asarray(crank, dtype=complex))
    scores = {}
    for choice in itertools.product(*(range(part.positions) for part in parts)):
        total = crank.copy()
        for k, part in zip(choice, parts, strict=True):
            total += np.atleast_1d(part.unbalance) * np.exp(2j * np.pi * k / part.positions)
        scores[choice] = (np.abs(total) / limit).max()
    return scores


@settings(max_examples=40, deadline=None)
@given(
    st.lists(VECTOR, min_size=2, max_size=2),
    st.lists(st.tuples(st.lists(VECTOR, min_size=2, max_size=2), st.integers(1, 5)), max_size=4),
    st.tuples(st.floats(1, 100), st.floats(1, 100)),
)
def test_nothing_beats_the_best(crank, given_parts, limit):
    parts = [Component(np.array(u), k) for u, k in given_parts]
    best = best_positions(crank, parts, permissible_gmm=limit)
    scores = brute_force(crank, parts, np.array(limit))
    assert best.score == pytest.approx(min(scores.values()), abs=1e-5)
    assert best.score == pytest.approx(scores[best.positions], abs=1e-5)
    assert best.as_given == pytest.approx(scores[(0,) * len(parts)], abs=1e-5)
    assert best.combinations == len(scores)
    assert (np.abs(best.residual) / limit).max() == pytest.approx(best.score)


def test_many_combinations_in_blocks_agree_with_brute_force():
    rng = np.random.default_rng(3)
    parts = [
        Component(rng.normal(size=2) + 1j * rng.normal(size=2), k) for k in (5, 9, 8, 7, 6, 9)
    ]  # 136 080 combinations: more than one block
    best = best_positions([1, 1j], parts)
    scores = all_scores([1, 1j], parts)
    assert best.score == pytest.approx(scores.min(), rel=1e-12)
    assert np.ravel_multi_index(best.positions, [p.positions for p in parts]) == scores.argmin()


def test_ruling_out_a_block_does_not_lose_the_best():
    # the first part alone can undo the crank; its five other positions are ruled out unseen
    rng = np.random.default_rng(8)
    small = [Component(rng.normal(size=2) + 1j * rng.normal(size=2), 9) for _ in range(5)]
    parts = [Component([100, 100], 6), *small]
    best = best_positions([100, 90], parts)
    assert best.positions[0] == 3
    assert best.score == pytest.approx(all_scores([100, 90], parts).min(), rel=1e-12)


def all_scores(crank, parts):
    """The scores of all combinations, in the order of their indexes."""
    grid = np.array([crank], dtype=complex)
    for part in parts:
        turned = np.exp(2j * np.pi * np.arange(part.positions) / part.positions)
        grid = (grid[:, None, :] + (turned[:, None] * part.unbalance)[None]).reshape(-1, 2)
    return np.abs(grid).max(axis=1)


@settings(max_examples=30, deadline=None)
@given(VECTOR, st.lists(st.tuples(VECTOR, st.integers(1, 4)), min_size=1, max_size=3))
def test_order_of_parts_and_frame_do_not_change_the_score(crank, parts):
    score = best_positions(crank, parts).score
    assert best_positions(crank, parts[::-1]).score == pytest.approx(score, abs=1e-5)
    turned = [(u * 1j, k) for u, k in parts]
    assert best_positions(crank * 1j, turned).score == pytest.approx(score, abs=1e-5)


def test_ties_fall_to_the_lowest_positions():
    # nothing but one part: every position leaves the same, up to rounding
    assert best_positions(0, [Component(vector(70, 33), 6)]).positions == (0,)
    # two equal parts on nothing: opposite each other, the first at 0
    assert best_positions(0, [(10, 6), (10, 6)]).positions == (0, 3)


def test_no_parts_leaves_the_crank():
    best = best_positions(3 + 4j, [])
    assert (best.positions, best.residual, best.score) == ((), 3 + 4j, 5)


def test_residual_has_the_shape_of_the_crank():
    assert np.ndim(best_positions(5, [(1, 2)]).residual) == 0
    assert best_positions([5, 5], [([1, 1], 2)]).residual == pytest.approx([4, 4])


def test_a_list_of_angles_is_a_list_of_positions():
    # an odd bolt pattern that goes on in two ways, 140 degrees apart
    best = best_positions(vector(50, 100), [Component(vector(50, 140), [0, 140], "flywheel")])
    assert best.positions == (1,)
    assert best.degrees == (140,)
    assert best.score == pytest.approx(0, abs=1e-12)


def test_a_tight_plane_is_served_first():
    parts = [Component([10, 30], 2)]
    assert best_positions([-10, 30], parts).positions == (1,)  # worst plane alike: 60 or 20
    tight = best_positions([-10, 30], parts, permissible_gmm=[1, 1000])
    assert tight.positions == (0,)


@pytest.mark.parametrize(
    ("crank", "parts", "message"),
    [
        ([1, 2], [Component(1, 2, "damper")], "unbalance of damper must be one vector for each"),
        (1, [(1, 0)], "positions must be at least 1, got 0"),
        (1, [(1, [])], "positions must be a count or a list of angles"),
        (1, [(1, 2.5)], "positions must be a count or a list of angles, got 2.5"),
        (1, [(1, [0, np.nan])], "positions must be finite"),
        (1, [(np.nan, 2)], "unbalance must be finite"),
        (1, [(1, 2, 3, 4)], r"components must be Component or a pair \(unbalance, positions\)"),
        (1, [5], "components must be Component or a pair"),
        (np.nan, [], "crank must be finite"),
        ([], [], "crank must be one vector for each plane"),
        (1, [(1, 10_000), (1, 10_000)], "components must not make more than"),
    ],
)
def test_best_positions_refuses(crank, parts, message):
    with pytest.raises(InputError, match=message):
        best_positions(crank, parts)


def test_limits_must_belong_to_the_planes():
    with pytest.raises(InputError, match="permissible_gmm must be one limit or one for each"):
        best_positions([1, 2], [], permissible_gmm=[1, 2, 3])
    with pytest.raises(InputError, match="permissible_gmm must be greater than zero"):
        best_positions([1, 2], [], permissible_gmm=0)
