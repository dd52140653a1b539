"""Properties, edges and messages of matching."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.parts._grid import cents, cents_below, whole_cents
from balance.parts.matching import MatchedSet, match_each, match_sets

DUST = 1e-9  # binary fractions of decimal grams
PISTONS = [420.00, 421.30, 419.20, 422.50]
PINS = [110.00, 110.40, 109.70, 110.10]
SMALLS = [180.00, 181.20, 179.10, 180.70]
BIGS = [420.00, 423.10, 421.00, 420.40]


def grams(low, high, step=1):
    """Masses in hundredths on a scale of ``step`` hundredths, as grams."""
    return st.integers(low // step, high // step).map(lambda c: c * step / 100)


@st.composite
def benches(draw, least=1, most=6):
    """Parts on a bench: a coarse scale makes many ties, a fine one hardly any."""
    n, step = draw(st.integers(least, most)), draw(st.sampled_from((1, 10, 100)))
    kinds = ((41700, 42300), (10850, 11150), (17750, 18250), (41600, 42400))
    lists = [draw(st.lists(grams(*k, step), min_size=n, max_size=n)) for k in kinds]
    return (*lists, draw(st.sampled_from((0.0, 0.2, 0.5))))


def uniform(n):
    """Pistons, pins and small ends of a usual spread."""
    rng = np.random.default_rng(0)
    kinds = ((420, 3), (110, 1.5), (180, 2.5))
    return [np.round(rng.uniform(c - h, c + h, n), 2) for c, h in kinds]


def physical(match, pistons, pins, smalls, bigs):
    """Describe an answer by masses and cuts alone."""
    return sorted(
        (pistons[s.piston], pins[s.pin], smalls[s.rod], bigs[s.rod], *vars(c).values())
        for s, c in zip(match.sets, match.cuts, strict=True)
    )


@settings(max_examples=40, deadline=None)
@given(benches(), st.randoms(use_true_random=False))
def test_order_of_the_parts_does_not_matter(bench, random):
    *lists, tolerance = bench
    shuffled = [list(x) for x in lists]
    rods = list(zip(shuffled[2], shuffled[3], strict=True))
    for kind in (shuffled[0], shuffled[1], rods):
        random.shuffle(kind)
    shuffled[2], shuffled[3] = ([rod[end] for rod in rods] for end in (0, 1))
    answers = [
        physical(match_sets(*x[:3], tolerance_g=tolerance, big_ends_g=x[3]), *x)
        for x in (lists, shuffled)
    ]
    assert answers[0] == answers[1]


@settings(max_examples=25, deadline=None)
@given(benches(least=3), st.randoms(use_true_random=False))
def test_order_of_a_shelf_does_not_matter(bench, random):
    *lists, tolerance = bench
    shuffled = [list(x) for x in lists]
    rods = list(zip(shuffled[2], shuffled[3], strict=True))
    for kind in (shuffled[0], shuffled[1], rods):
        random.shuffle(kind)
    shuffled[2], shuffled[3] = ([rod[end] for rod in rods] for end in (0, 1))
    answers = [
        physical(match_sets(*x[:3], tolerance_g=tolerance, big_ends_g=x[3], choose=2), *x)
        for x in (lists, shuffled)
    ]
    assert answers[0] == answers[1]


@settings(max_examples=40, deadline=None)
@given(benches(), st.integers(-2000, 2000))
def test_heavier_pistons_alike_change_nothing(bench, shift):
    pistons, pins, smalls, _, tolerance = bench
    moved = [round(p + shift / 100, 2) for p in pistons]
    before = match_sets(pistons, pins, smalls, tolerance_g=tolerance)
    after = match_sets(moved, pins, smalls, tolerance_g=tolerance)
    assert before.sets == after.sets
    assert before.removed_g == pytest.approx(after.removed_g, abs=DUST)


@settings(max_examples=40, deadline=None)
@given(benches())
def test_twice_the_masses_are_twice_the_cuts(bench):
    *lists, tolerance = bench
    before = match_sets(*lists[:3], tolerance_g=tolerance)
    twice = [[2 * m for m in x] for x in lists[:3]]
    after = match_sets(*twice, tolerance_g=2 * tolerance)
    assert after.removed_g == pytest.approx(2 * before.removed_g, abs=DUST)


@settings(max_examples=40, deadline=None)
@given(benches(least=2))
def test_more_freedom_never_costs_more(bench):
    *lists, tolerance = bench
    n = len(lists[0])
    plain = match_sets(*lists[:3], tolerance_g=tolerance)
    wider = match_sets(*lists[:3], tolerance_g=tolerance + 0.3)
    fewer = match_sets(*lists[:3], tolerance_g=tolerance, choose=n - 1)
    limited = match_sets(*lists[:3], tolerance_g=tolerance, piston_limits_g=1.0)
    assert wider.removed_g <= plain.removed_g + DUST
    assert fewer.removed_g <= plain.removed_g + DUST
    assert not limited.feasible or limited.removed_g >= plain.removed_g - DUST
    assert plain.removed_g <= plain.shop_removed_g + sum(lists[1]) - n * min(lists[1]) + DUST


@settings(max_examples=40, deadline=None)
@given(benches())
def test_two_kinds_heavy_with_light(bench):
    """With equal pins the optimum is known: sorted lists against each other.

    Source: the exchange argument for two lists, e.g. Hardy, Littlewood and Polya, Inequalities,
    2nd ed. 1952, chapter 10; from memory.
    """
    pistons, pins, smalls, _, tolerance = bench
    match = match_sets(pistons, [110.0] * len(pins), smalls, tolerance_g=tolerance)
    sums = np.sort(pistons) + np.sort(smalls)[::-1]
    best = np.maximum(sums - sums.min() - tolerance, 0).sum()
    assert match.removed_g == pytest.approx(best, abs=1e-8)  # a sum of many binary fractions


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("n", [8, 12])
def test_usual_sizes_are_proven(n, seed):
    rng = np.random.default_rng(seed)
    draw = rng.normal if seed % 2 else lambda c, h, n: rng.uniform(c - h, c + h, n)
    step = (0.01, 0.1)[seed % 3 == 0]
    lists = [np.round(draw(c, h, n) / step) * step for c, h in ((420, 3), (110, 1.5), (180, 2.5))]
    match = match_sets(*lists, tolerance_g=0.5 if seed > 3 else 0.0)
    assert match.optimal
    assert match.bound_g == pytest.approx(match.removed_g, abs=DUST)
    assert match.removed_g < match.shop_removed_g


def test_all_equal_take_their_places_in_order():
    match = match_sets([420.0] * 12, [110.0] * 12, [180.0] * 12, tolerance_g=0.0)
    assert match.sets == [MatchedSet(i, i, i) for i in range(12)]
    assert match.removed_g == 0
    assert match.optimal


def test_one_set():
    match = match_sets([420.0], [110.0], [180.0], tolerance_g=0.0, big_ends_g=[420.0])
    assert match.sets == [MatchedSet(0, 0, 0)]
    assert (match.removed_g, match.bound_g, match.target_g) == (0, 0, 710.0)


def test_one_very_light_piston_drags_all_down():
    match = match_sets([409.0] + [420.0] * 7, [110.0] * 8, [180.0] * 8, tolerance_g=0.0)
    assert match.removed_g == pytest.approx(77.0, abs=DUST)
    assert match.optimal


def test_one_very_light_piston_stays_on_the_shelf():
    match = match_sets([409.0] + [420.0] * 8, [110.0] * 9, [180.0] * 9, tolerance_g=0.0, choose=8)
    assert match.removed_g == 0
    assert all(s.piston != 0 for s in match.sets)


def test_a_cut_is_made_in_one_place_if_it_can_be():
    kinds = [420.0, 421.0, 422.0], [110.0] * 3, [180.0] * 3
    on_pistons = match_sets(*kinds, tolerance_g=0.0)
    assert [c.piston_g for c in on_pistons.cuts] == [0, 1, 2]
    on_rods = match_sets(*kinds, tolerance_g=0.0, piston_limits_g=[None, 1.0, 0.5])
    assert [(c.piston_g, c.small_end_g) for c in on_rods.cuts] == [(0, 0), (1, 0), (0, 2)]
    on_both = match_sets(*kinds, tolerance_g=0.0, piston_limits_g=1.5, small_end_limits_g=1.0)
    assert [(c.piston_g, c.small_end_g) for c in on_both.cuts] == [(0, 0), (1, 0), (1.5, 0.5)]


def test_limits_that_make_it_impossible_name_the_set_and_the_lack():
    match = match_sets(
        [420.0, 420.0, 431.0],
        [110.0] * 3,
        [180.0] * 3,
        tolerance_g=0.5,
        piston_limits_g=2.0,
        small_end_limits_g=1.5,
    )
    assert not match.feasible
    assert not match.optimal
    assert match.bound_g == math.inf
    assert "pistons_g[2] with" in match.reason
    assert "must lose 10.50 g to reach 710.50 g" in match.reason
    assert "may lose 3.50 g: 7.00 g too little" in match.reason
    assert "the odd part is pistons_g[2], 11.00 g above the middle of its kind" in match.reason
    assert max(c.piston_g for c in match.cuts) == 2.0
    assert max(c.small_end_g for c in match.cuts) == 1.5


def test_a_big_end_beyond_its_limit_is_named():
    match = match_sets(
        *([420.0] * 2, [110.0] * 2, [180.0] * 2),
        tolerance_g=0.0,
        big_ends_g=[420.0, 425.0],
        big_end_limits_g=2.0,
    )
    assert not match.feasible
    assert match.reason == (
        "big_ends_g[1] must lose 5.00 g to reach 420.00 g, but its limit is 2.00 g: "
        "3.00 g too little"
    )
    assert [c.big_end_g for c in match.cuts] == [0.0, 2.0]


def test_a_tolerance_below_the_hundredth_is_none():
    bench = (PISTONS, PINS, SMALLS)
    assert match_sets(*bench, tolerance_g=0.009) == match_sets(*bench, tolerance_g=0.0)
    assert match_sets(*bench, tolerance_g=0.019) == match_sets(*bench, tolerance_g=0.01)


def test_masses_finer_than_the_hundredth_keep_the_tolerance_as_given():
    rng = np.random.default_rng(3)
    kinds = [rng.uniform(c - h, c + h, 7) for c, h in ((420, 3), (110, 1.5), (180, 2.5))]
    match = match_sets(*kinds, tolerance_g=0.1)
    left = [
        kinds[0][s.piston] - c.piston_g + kinds[1][s.pin] + kinds[2][s.rod] - c.small_end_g
        for s, c in zip(match.sets, match.cuts, strict=True)
    ]
    assert np.ptp(left) <= 0.1 + DUST
    assert match.bound_g <= match.removed_g <= match.bound_g + 7 * 0.06  # rounding, both ways


def test_a_stopped_search_claims_nothing():
    rng = np.random.default_rng(0)
    kinds = [
        np.round(rng.uniform(c - h, c + h, 18), 2) for c, h in ((420, 3), (110, 1.5), (180, 2.5))
    ]
    match = match_sets(*kinds, tolerance_g=0.0, time_limit_s=1e-9)
    assert match.feasible
    assert not match.optimal
    assert 0 <= match.bound_g < match.removed_g


def test_more_sets_than_the_search_can_hold_still_get_a_bound():
    rng = np.random.default_rng(0)
    kinds = [
        np.round(rng.uniform(c - h, c + h, 80), 2) for c, h in ((420, 3), (110, 1.5), (180, 2.5))
    ]
    match = match_sets(*kinds, tolerance_g=0.0)
    assert len(match.sets) == 80
    assert match.bound_g <= match.removed_g < 80 * 0.2
    assert match_sets(*kinds, tolerance_g=0.5).optimal


def test_a_full_shelf():
    rng = np.random.default_rng(0)
    kinds = [np.round(rng.normal(c, h, 300), 2) for c, h in ((420, 3), (110, 1.5), (180, 2.5))]
    bigs = np.round(rng.normal(420, 4, 300), 2)
    match = match_sets(*kinds, tolerance_g=0.2, big_ends_g=bigs, choose=8)
    assert (match.removed_g, match.optimal) == (0, True)


@pytest.mark.parametrize("name", ["pistons_g", "pins_g", "small_ends_g", "big_ends_g"])
@pytest.mark.parametrize(
    ("bad", "message"),
    [
        ([], "must be a list of at least one weight"),
        (420.0, "must be a list of at least one weight"),
        ([[420.0]], "must be a list of at least one weight"),
        ([420.0, math.nan, 420.0, 420.0], "must be finite"),
        ([420.0, -1.0, 420.0, 420.0], "must be greater than zero"),
        ([420.0, 0.0, 420.0, 420.0], "must be greater than zero"),
        (["a"] * 4, "must be a number"),
    ],
)
def test_bad_masses(name, bad, message):
    given_masses = {
        "pistons_g": PISTONS,
        "pins_g": PINS,
        "small_ends_g": SMALLS,
        "big_ends_g": BIGS,
    }
    with pytest.raises(InputError, match=f"{name} {message}"):
        match_sets(**{**given_masses, name: bad}, tolerance_g=0.5)


@pytest.mark.parametrize(
    ("bad", "message"),
    [
        ({"tolerance_g": -0.1}, "tolerance_g must not be negative"),
        ({"tolerance_g": math.nan}, "tolerance_g must be finite"),
        ({"tolerance_g": [0.1, 0.2]}, "tolerance_g must be one number"),
        ({"big_end_tolerance_g": -1.0}, "big_end_tolerance_g must not be negative"),
        ({"piston_limits_g": -1.0}, "piston_limits_g must not be negative"),
        ({"piston_limits_g": [1.0, 2.0]}, "piston_limits_g must be one limit or one for each of 4"),
        ({"small_end_limits_g": [None, None, None, math.nan]}, "small_end_limits_g must be finite"),
        ({"big_end_limits_g": -2.0}, "big_end_limits_g must not be negative"),
        ({"choose": 5}, r"choose must not exceed the parts of any kind, got 5 with \(4, 4, 4\)"),
        ({"choose": 0}, "choose must be a whole number of at least 1, got 0"),
        ({"choose": 2.0}, "choose must be a whole number of at least 1, got 2.0"),
        ({"time_limit_s": 0.0}, "time_limit_s must be greater than zero"),
        ({"big_ends_g": [420.0] * 3}, "big_ends_g must hold one mass for each rod, got 3 for 4"),
    ],
)
def test_bad_options(bad, message):
    with pytest.raises(InputError, match=message):
        match_sets(PISTONS, PINS, SMALLS, **{"tolerance_g": 0.5, "big_ends_g": BIGS, **bad})


def test_unequal_lists_need_a_number_of_sets():
    with pytest.raises(InputError, match=r"equally many, got \(4, 3, 4\): give choose=n"):
        match_sets(PISTONS, PINS[:3], SMALLS, tolerance_g=0.5)
    assert len(match_sets(PISTONS, PINS[:3], SMALLS, tolerance_g=0.5, choose=3).sets) == 3
    with pytest.raises(InputError, match=r"parts of any kind, got 4 with \(4, 3, 4\)"):
        match_sets(PISTONS, PINS[:3], SMALLS, tolerance_g=0.5, choose=4)


def test_every_hundredth_of_a_gram_counts_as_itself():
    # binary fractions lie on either side of the decimal ones: 4.35 * 100 is 434.99999999999994
    every = np.arange(1, 100_001)
    assert (cents(every / 100) == every).all()
    assert (cents_below(every / 100) == every).all()
    assert (cents_below((every - 0.1) / 100) == every - 1).all()
    assert whole_cents(every / 100)
    assert not whole_cents(np.array([4.35, 4.351]))


def test_a_limit_that_a_cut_just_meets_is_kept():
    # 100.671 - 100.371 is 0.30000000000001137 in binary fractions
    trim = match_each([100.371, 100.671], tolerance_g=0.0, limits_g=0.3)
    assert trim.feasible
    assert not match_each([100.371, 100.672], tolerance_g=0.0, limits_g=0.3).feasible


def test_cuts_add_up_to_what_a_person_would_add():
    assert match_each([100.0, 100.1, 100.2], tolerance_g=0.0).removed_g == 0.3
    match = match_sets([100.0, 100.1, 100.2], [50.0] * 3, [80.0] * 3, tolerance_g=0.0)
    assert (match.removed_g, match.bound_g) == (0.3, 0.3)


def test_match_each_says_which_part_stands_in_the_way():
    trim = match_each([420.0, 421.0, 431.0], tolerance_g=0.5, limits_g=[None, None, 4.0])
    assert not trim.feasible
    assert trim.cuts_g.tolist() == [0.0, 0.5, 4.0]
    assert trim.short_g.tolist() == [0.0, 0.0, 6.5]
    assert trim.reason == (
        "weights_g[2] = 431.00 g must lose 10.50 g to reach 420.50 g, but its limit is 4.00 g: "
        "6.50 g too little; the lightest is weights_g[0] = 420.00 g"
    )


def test_match_each_edges():
    assert match_each([420.0], tolerance_g=0.0).removed_g == 0
    assert match_each([420.0] * 5, tolerance_g=0.0).cuts_g.tolist() == [0.0] * 5
    assert match_each([420.0, 420.5], tolerance_g=0.5).target_g == 420.5
    with pytest.raises(InputError, match="weights_g must be a list of at least one weight"):
        match_each([], tolerance_g=0.0)
    with pytest.raises(InputError, match="limits_g must not be negative"):
        match_each([420.0], tolerance_g=0.0, limits_g=-1.0)
