"""The planner's inner claims: webs for arrays, bounds that never exceed a real placing.

Webs against :func:`balance.metal.webs.web_mm` (itself held against meshes) and against scipy's
k-d tree on dense outlines; bounds against random placings, which they may never exceed.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from balance.metal import _crowd
from balance.metal._bounds import bound_patterns, price, set_price
from balance.metal._clearance import Profiles, clearance_mm, steps_apart
from balance.metal._crowd import Crowd
from balance.metal._sites import Rules, drill_site
from balance.metal._task import Counterweight
from balance.metal.shapes import DrilledHole
from balance.metal.webs import web_mm

RULES = Rules((100.0, 500.0), (8.0, 12.0, 16.0), 118.0, 7.85, 2.5, 5.0, 2.0, 4.0, 3.0)
WEBS = [
    Counterweight(z, centre, 50.0, radius, 25.0, 25.0)
    for z, centre, radius in ((80, 10, 80), (310, 170, 70), (520, 250, 90))
]
SITES = [drill_site(n, cw, RULES) for n, cw in enumerate(WEBS)]

hole = st.tuples(st.floats(3, 25), st.floats(4, 38))


def profiles(holes, R):
    a = np.array([d / 2 for d, _ in holes])
    shoulder = R - np.array([h for _, h in holes])
    return Profiles(a, shoulder, shoulder - a / np.tan(np.radians(59)))


@settings(max_examples=150, deadline=None)
@given(hole, hole, st.floats(0, 180), st.floats(65, 110))
def test_webs_for_arrays_are_the_webs_of_two_holes(one, two, apart, R):
    flat = profiles([one, two], R)
    named = web_mm(
        DrilledHole(0.0, *one), DrilledHole(apart, *two), surface_radius_mm=R, point_degrees=118
    )
    assert float(clearance_mm(flat[0], flat[1], apart)) == pytest.approx(named, abs=1e-6)


def test_the_least_step_is_the_first_that_leaves_the_web():
    holes = [(d, h) for d in (8.0, 12.0, 16.0) for h in (5.0, 14.0, 30.0)]
    flat = profiles(holes, 80.0)
    table = steps_apart(flat, step_degrees=1.5, most_steps=60, min_web_mm=4.0)
    assert (table == table.T).all()
    for i in range(len(holes)):
        for j in range(len(holes)):
            webs = clearance_mm(flat[i], flat[j], 1.5 * np.arange(61))
            assert table[i, j] == np.argmax(webs >= 4.0)
            assert (np.diff(webs) >= -1e-12).all()  # more angle, more metal


def test_no_angle_in_the_sector_is_said_to_be_none():
    flat = profiles([(20.0, 30.0)], 80.0)
    table = steps_apart(flat, step_degrees=1.0, most_steps=10, min_web_mm=4.0)
    assert table[0, 0] == 11


def placing(random, counts):
    """Return what a random placing takes off, and its metal."""
    taken, metal = np.zeros(2, dtype=complex), 0.0
    for site, count in zip(SITES, counts, strict=True):
        for pick in random.integers(len(site.x), size=count):
            taken += site.x[pick] * site.share
            metal += site.mass[pick]
    return taken, metal


@pytest.mark.parametrize("counts", [(1, 1, 0), (1, 1, 1), (2, 0, 1), (0, 3, 1)])
@pytest.mark.parametrize("seed", range(4))
def test_a_bound_never_exceeds_the_metal_of_a_placing(counts, seed):
    random = np.random.default_rng(seed)
    taken, metal = placing(random, counts)
    off = random.uniform(0, 20, 2) * np.exp(2j * np.pi * random.uniform(size=2))
    bound = bound_patterns(SITES, np.array([counts]), taken + off, np.array([20.0, 20.0]))
    assert bound.metal_g[0] <= metal + 1e-9


@pytest.mark.parametrize("seed", range(2))
def test_the_bound_is_that_of_linear_programming(seed):
    random = np.random.default_rng(seed)
    taken, _ = placing(random, (1, 1, 1))
    limit = np.array([20.0, 30.0])
    ours = bound_patterns(SITES, np.array([[1, 1, 1]]), taken, limit).metal_g[0]
    v = np.concatenate([site.x[:, None] * site.share for site in SITES])
    faces = np.exp(2j * np.pi * np.arange(64) / 64)
    rows = np.vstack([-np.real(np.conj(faces)[:, None] * v[:, p]) for p in (0, 1)])
    right = [limit[p] - np.real(np.conj(faces) * taken[p]) for p in (0, 1)]
    ones = np.zeros((3, len(v)))
    ends = np.cumsum([0, *(len(site.x) for site in SITES)])
    for n in range(3):
        ones[n, ends[n] : ends[n + 1]] = 1
    mass = np.concatenate([site.mass for site in SITES])
    found = linprog(mass, A_ub=rows, b_ub=np.concatenate(right), A_eq=ones, b_eq=np.ones(3))
    # 64 sides reach 1.2e-3 of the limit further out (0.04 g mm); ours stops within 1e-3 g
    assert ours == pytest.approx(found.fun, abs=5e-3)


def test_the_crowd_of_two_is_met_by_the_best_pair():
    site, crowd = SITES[0], Crowd(SITES[0])
    for turn in (10, 58, 100, 190, 305):
        pull = 0.016 * np.exp(1j * np.radians(turn))
        value = site.mass - np.real(np.conj(pull) * site.x)
        cheap = np.argsort(value)[:2500]
        best = np.inf
        for n, i in enumerate(cheap):
            if 2 * value[i] > best:
                break
            rest = cheap[n + 1 :]
            rest = rest[value[rest] + value[i] < best]
            free = rest[site.clear(np.full(len(rest), i), rest)]
            best = min([best, *(value[free[:1]] + value[i])])
        floor = crowd.price(2, pull).value
        # the floor takes the best angle, not the nearest of every 2 degrees: 1 - cos(1 degree)
        assert floor <= best + 1e-9
        assert floor >= best - 2e-4 * 2 * 0.016 * np.abs(site.x).max()


WIDE = [
    drill_site(0, Counterweight(80, centre, half, 80, 25.0, 20.0, holes), rules)
    for centre, half, holes in (
        (10, 105.0, ()),
        (200, 180.0, ()),
        (-30, 40.0, (DrilledHole(-38.0, 12.0, 9.0), DrilledHole(-2.0, 8.0, 5.0))),
        (100, 180.0, (DrilledHole(40.0, 8.0, 9.0), DrilledHole(120.0, 16.0, 20.0))),
    )
    for rules in [Rules((100.0, 500.0), (8.0, 12.0), 118.0, 7.85, 5.0, 5.0, 10.0, 4.0, 3.0, True)]
]


def pulls(random, count):
    """Return multipliers around the circle, from none to where every hole is worth its metal."""
    return 0.03 * random.uniform(0, 1, count) * np.exp(2j * np.pi * random.uniform(size=count))


@pytest.mark.parametrize("site", WIDE)
def test_the_price_of_a_hole_is_the_least_over_all_that_may_be_drilled(site):
    many = pulls(np.random.default_rng(5), 400)
    value, x, mass = price(site, many)
    every = site.mass - np.real(np.conj(many)[:, None] * site.x)
    np.testing.assert_allclose(value, every.min(axis=1), atol=1e-9)
    np.testing.assert_allclose(mass - np.real(np.conj(many) * x), value, atol=1e-9)


def cheapest_sets(site, pull):
    """Return the least values of any two and any three candidates that may stand together."""
    value = site.mass - np.real(np.conj(pull) * site.x)
    i, j = np.triu_indices(len(value), 1)
    free = site.clear(i, j)
    pairs = np.full((len(value), len(value)), np.inf)
    pairs[i[free], j[free]] = pairs[j[free], i[free]] = value[i[free]] + value[j[free]]
    third = np.inf
    for a, b in zip(
        *np.unravel_index(np.argsort(pairs, axis=None)[:4000:2], pairs.shape), strict=True
    ):
        if np.isfinite(pairs[a, b]):
            along = np.isfinite(pairs[a]) & np.isfinite(pairs[b])
            third = min(third, pairs[a, b] + value[along].min(initial=np.inf))
    return pairs.min(), third


@pytest.mark.parametrize("site", WIDE)
def test_the_price_of_a_set_knows_old_holes_wide_sectors_and_deepening(site):
    crowd = Crowd(site)
    for pull in pulls(np.random.default_rng(6), 12):
        two, three = cheapest_sets(site, pull)
        floors = [set_price(site, crowd, number, pull)[0] for number in (2, 3)]
        assert floors[0] <= two + 1e-9
        assert floors[1] <= three + 1e-9
        pair = crowd.price(2, pull)
        attained = pair.mass - np.real(np.conj(pull) * pair.x)
        assert attained == pytest.approx(pair.value, abs=1e-9)
        # it is no poorer than twice the best hole, and no step of 10 degrees from the best pair
        assert floors[0] >= 2 * price(site, np.array(pull))[0] - 1e-9
        swing = abs(pull) * np.abs(site.x).max() * np.radians(10)
        assert floors[0] >= two - 2 * swing


def test_the_price_of_a_pair_does_not_depend_on_which_shapes_are_tried_first(monkeypatch):
    web = Counterweight(80, 10, 50.0, 80, 25.0, 30.0)
    rules = Rules((100.0, 500.0), (8.0, 12.0, 16.0), 118.0, 7.85, 0.5, 5.0, 1.0, 4.0, 3.0)
    crowd = Crowd(drill_site(0, web, rules))
    many = pulls(np.random.default_rng(7), 60)
    few_first = [crowd.price(2, pull).value for pull in many]
    for scouts in (1, 10_000):  # the poorest choice, and every shape there is
        monkeypatch.setattr(_crowd, "_SCOUTS", scouts)
        assert [crowd.price(2, pull).value for pull in many] == pytest.approx(few_first, abs=1e-12)
