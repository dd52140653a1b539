"""One pattern of holes, searched through: every placing is tried beside it, and none is lost."""

import functools
import itertools

import numpy as np
import pytest

from balance.metal import _search
from balance.metal._bounds import bound_patterns
from balance.metal._crowd import Crowd
from balance.metal._search import Pattern
from balance.metal._sites import Rules, drill_site
from balance.metal._task import Counterweight
from balance.metal.holes import DrilledHole

RULES = Rules((100.0, 500.0), (8.0, 12.0), 118.0, 7.85, 9.0, 5.0, 12.0, 4.0, 3.0, True)
OLD = (DrilledHole(152.0, 8.0, 9.0),)
SITES = [
    drill_site(n, Counterweight(z, centre, 36.0, radius, 25.0, 25.0, holes), RULES)
    for n, (z, centre, radius, holes) in enumerate(
        ((80, 10, 80, ()), (310, 170, 70, OLD), (520, 250, 90, ()))
    )
]
# the last two are on one place along the crank: their shares are parallel
TWINS = [SITES[0], SITES[1], drill_site(2, Counterweight(80, 100, 36.0, 75, 25.0, 25.0), RULES)]
PATTERNS = [
    (SITES, (1, 1, 0)),
    (SITES, (2, 0, 0)),
    (SITES, (0, 2, 1)),
    (SITES, (1, 1, 1)),
    (TWINS, (1, 0, 1)),
    (TWINS, (2, 0, 1)),
    (SITES, (3, 0, 0)),
]
CLOSE = 1e-6  # g: what counts as the same metal, with room for the sums


@functools.cache
def placings(k):
    """Return what every placing of a pattern takes off in the two planes, and its metal."""
    sites, counts = PATTERNS[k]
    sets = []
    for site, count in zip(sites, counts, strict=True):
        rows = np.array(list(itertools.combinations(range(len(site.x)), count)), dtype=np.int64)
        for a, b in itertools.combinations(range(count), 2):
            rows = rows[site.clear(rows[:, a], rows[:, b])]
        sets.append((site.x[rows].sum(axis=1)[:, None] * site.share, site.mass[rows].sum(axis=1)))
    taken, metal = np.zeros((1, 2), dtype=complex), np.zeros(1)
    for x, mass in sets:
        taken = (taken[:, None] + x).reshape(-1, 2)
        metal = (metal[:, None] + mass).ravel()
    return taken, metal


def aim(k, seed, *, limit_gmm):
    """Return an unbalance that some placing nearly cancels, its limit, and the least metal."""
    random = np.random.default_rng(seed)
    taken, metal = placings(k)
    pick = random.integers(len(metal))
    limit = np.array(limit_gmm)
    off = limit * random.uniform(0, 0.99, 2) * np.exp(2j * np.pi * random.uniform(size=2))
    target = taken[pick] + off
    fits = (np.abs(target - taken) <= limit).all(axis=1)
    return target, limit, float(metal[fits].min())


def multipliers(k, target, limit):
    """Return the best multiplier, none at all, and a poor one: any is allowed."""
    sites, counts = PATTERNS[k]
    best = bound_patterns(sites, np.array([counts]), target, limit).multiplier[0]
    return best, 0 * best, 0.4 * best * np.exp(0.5j)


@pytest.mark.parametrize("k", range(len(PATTERNS)))
@pytest.mark.parametrize("seed", range(3))
def test_the_placing_of_least_metal_is_found_and_none_below_it(k, seed):
    sites, counts = PATTERNS[k]
    crowds = [Crowd(site) for site in sites]
    for limit_gmm in ([40.0, 60.0], [250.0, 150.0]):
        target, limit, least = aim(k, seed, limit_gmm=limit_gmm)
        for multiplier in multipliers(k, target, limit):
            for known in (None, crowds):
                made = Pattern(sites, np.array(counts), multiplier, target, limit, crowds=known)
                assert made.bound_g <= least + CLOSE
                assert made.most_g >= least - CLOSE
                below = made.search(least - CLOSE)  # something dearer may turn up
                assert below is None or below.metal_g >= least - CLOSE
                assert made.searched_g == pytest.approx(max(made.bound_g, least - CLOSE))
                found = made.search(least + 5.0)
                assert found.metal_g == pytest.approx(least, abs=CLOSE)
                check(sites, counts, found, target, limit)


def check(sites, counts, found, target, limit):
    """Check a placing: so many holes on each site, webs left, the limit kept, the metal summed."""
    picks = [[pick for n, pick in found.picks if n == site] for site in range(len(sites))]
    assert tuple(map(len, picks)) == counts
    for site, own in zip(sites, picks, strict=True):
        for i, j in itertools.combinations(own, 2):
            assert site.clear(np.array([i]), np.array([j])).all()
    taken = sum(sites[n].x[pick] * sites[n].share for n, pick in found.picks)
    assert (np.abs(target - taken) <= limit + 1e-6).all()
    assert found.metal_g == pytest.approx(sum(sites[n].mass[pick] for n, pick in found.picks))


@pytest.mark.parametrize("k", range(len(PATTERNS)))
def test_where_no_placing_is_inside_none_is_found(k):
    sites, counts = PATTERNS[k]
    taken, metal = placings(k)
    target = taken[int(metal.argmax())] * 1.05
    nearest = np.abs(target - taken).max(axis=1).min()
    limit = np.full(2, 0.999 * nearest)
    made = Pattern(sites, np.array(counts), np.zeros(2, dtype=complex), target, limit)
    assert made.search(made.most_g) is None
    wider = Pattern(sites, np.array(counts), np.zeros(2, dtype=complex), target, limit / 0.998)
    check(sites, counts, wider.search(wider.most_g), target, limit / 0.998)


@pytest.mark.parametrize("k", range(len(PATTERNS)))
def test_a_glance_is_a_real_placing_or_nothing(k):
    sites, counts = PATTERNS[k]
    target, limit, least = aim(k, 7, limit_gmm=[250.0, 150.0])
    best = multipliers(k, target, limit)[0]
    made = Pattern(sites, np.array(counts), best, target, limit)
    found = made.glance(made.most_g)
    if found is not None:
        assert found.metal_g >= least - CLOSE
        check(sites, counts, found, target, limit)
    assert made.searched_g == made.bound_g  # it proves nothing


@pytest.mark.parametrize("k", range(len(PATTERNS)))
def test_a_search_cut_short_has_proven_nothing(k, monkeypatch):
    sites, counts = PATTERNS[k]
    target, limit, least = aim(k, 7, limit_gmm=[250.0, 150.0])
    best = multipliers(k, target, limit)[0]
    for calls in (0, 2, 4):  # times that the clock is asked before the time is up
        made = Pattern(sites, np.array(counts), best, target, limit)
        ticks = itertools.count()
        monkeypatch.setattr(_search, "now", lambda ticks=ticks: next(ticks))
        found = made.search(made.most_g, deadline=calls - 0.5)
        if next(ticks) <= calls:  # it was through before
            continue
        assert made.searched_g == made.bound_g
        if found is not None:
            assert found.metal_g >= least - CLOSE
            check(sites, counts, found, target, limit)
        assert made.glance(made.most_g, deadline=-1.0) is None
