"""`match_sets` against trying every pairing, with code that shares nothing with the search."""

import itertools
import random

import pytest

from balance.parts import _shelf
from balance.parts._task import Outcome
from balance.parts.matching import match_each, match_sets

NONE = 10**9


def brute(pistons, pins, smalls, tolerance, *, piston_limit, small_limit, n, big=None):
    """Return the least metal in hundredths over all choices and pairings, or None."""
    best = None
    big_masses, big_tolerance, big_limit = big or ([0] * len(smalls), 0, [NONE] * len(smalls))
    for rods in itertools.combinations(range(len(smalls)), n):
        lightest = min(big_masses[r] for r in rods)
        big_cuts = [max(0, big_masses[r] - lightest - big_tolerance) for r in rods]
        if any(c > big_limit[r] for c, r in zip(big_cuts, rods, strict=True)):
            continue
        for p in itertools.permutations(range(len(pistons)), n):
            for q in itertools.permutations(range(len(pins)), n):
                sums = [
                    pistons[i] + pins[j] + smalls[k] for i, j, k in zip(p, q, rods, strict=True)
                ]
                top = min(sums) + tolerance
                cuts = [max(0, s - top) for s in sums]
                room = [piston_limit[i] + small_limit[k] for i, k in zip(p, rods, strict=True)]
                if any(c > r for c, r in zip(cuts, room, strict=True)):
                    continue
                cost = sum(cuts) + sum(big_cuts)
                best = cost if best is None else min(best, cost)
    return best


def stock(seed, sizes, step):
    rng = random.Random(seed)
    middles = (42000, 11000, 18000, 42000)
    halves = (300, 150, 250, 400)
    counts = (*sizes, sizes[2])
    return [
        [step * round((m + rng.uniform(-h, h)) / step) for _ in range(c)]
        for m, h, c in zip(middles, halves, counts, strict=True)
    ]


def grams(cents):
    return [c / 100 for c in cents]


def check(match, lists, tolerance, big_tolerance=None, *, proven=True):
    """Check what any answer must keep: parts used once, tolerances kept, the sum right."""
    pistons, pins, smalls, bigs = (grams(x) for x in lists)
    for kind in ("piston", "pin", "rod"):
        used = [getattr(s, kind) for s in match.sets]
        assert len(set(used)) == len(used)
    sums = [
        pistons[s.piston] - c.piston_g + pins[s.pin] + smalls[s.rod] - c.small_end_g
        for s, c in zip(match.sets, match.cuts, strict=True)
    ]
    assert max(sums) - min(sums) <= tolerance / 100 + 1e-9  # binary dust only
    if big_tolerance is not None:
        left = [bigs[s.rod] - c.big_end_g for s, c in zip(match.sets, match.cuts, strict=True)]
        assert max(left) - min(left) <= big_tolerance / 100 + 1e-9
    total = sum(c.piston_g + c.small_end_g + c.big_end_g for c in match.cuts)
    assert match.removed_g == pytest.approx(total, abs=1e-9)
    assert match.feasible
    if proven:
        assert match.bound_g == pytest.approx(match.removed_g, abs=1e-9)
        assert match.optimal


@pytest.mark.parametrize("seed", range(40))
def test_all_parts_used(seed):
    rng = random.Random(seed)
    n, step = rng.randint(1, 5), rng.choice((1, 10, 50))
    tolerance = rng.choice((0, 0, 7, 50, 200))
    lists = stock(seed, (n, n, n), step)
    piston_limit = [rng.choice((NONE, 60, 150, 400)) for _ in range(n)]
    small_limit = [rng.choice((NONE, 0, 100, 300)) for _ in range(n)]
    if seed % 3:
        piston_limit, small_limit = [NONE] * n, [NONE] * n
    best = brute(*lists[:3], tolerance, piston_limit=piston_limit, small_limit=small_limit, n=n)
    match = match_sets(
        *(grams(x) for x in lists[:3]),
        tolerance_g=tolerance / 100,
        piston_limits_g=[None if x == NONE else x / 100 for x in piston_limit],
        small_end_limits_g=[None if x == NONE else x / 100 for x in small_limit],
    )
    assert match.feasible == (best is not None)
    if best is not None:
        assert match.removed_g == pytest.approx(best / 100, abs=1e-9)
        check(match, lists, tolerance)
        for s, c in zip(match.sets, match.cuts, strict=True):
            assert 0 <= c.piston_g <= piston_limit[s.piston] / 100
            assert 0 <= c.small_end_g <= small_limit[s.rod] / 100


def shelf(seed):
    """Return what to choose from a shelf, as arguments, and the least that it costs."""
    rng = random.Random(1000 + seed)
    n = rng.randint(1, 3)
    sizes = tuple(n + rng.randint(0, 2) for _ in range(3))
    step, tolerance, big_tolerance = rng.choice((1, 10, 50)), rng.choice((0, 7, 50)), 20
    lists = stock(seed, sizes, step)
    piston_limit = [rng.choice((NONE, 20, 80)) for _ in lists[0]]
    small_limit = [rng.choice((NONE, 0, 50)) for _ in lists[2]]
    big_limit = [rng.choice((NONE, 100, 300)) for _ in lists[2]]
    big = (lists[3], big_tolerance, big_limit) if seed % 4 else None
    best = brute(
        *lists[:3], tolerance, piston_limit=piston_limit, small_limit=small_limit, n=n, big=big
    )
    asked = {
        "tolerance_g": tolerance / 100,
        "piston_limits_g": [None if x == NONE else x / 100 for x in piston_limit],
        "small_end_limits_g": [None if x == NONE else x / 100 for x in small_limit],
        "big_ends_g": grams(lists[3]) if big else None,
        "big_end_tolerance_g": big_tolerance / 100 if big else None,
        "big_end_limits_g": [None if x == NONE else x / 100 for x in big_limit] if big else None,
        "choose": n,
    }
    return lists, asked, best, (tolerance, big_tolerance if big else None)


@pytest.mark.parametrize("blind", [False, True], ids=["", "blind"])
@pytest.mark.parametrize("seed", range(40))
def test_chosen_from_a_shelf(seed, blind, monkeypatch):
    """A quick good answer could hide a proof that loses some: blind, the proof is on its own."""
    lists, asked, best, tolerances = shelf(seed)
    if blind:
        for quick in ("_first_try", "_plain", "_swapped"):
            monkeypatch.setattr(_shelf, quick, lambda *_, **__: Outcome())
    match = match_sets(*(grams(x) for x in lists[:3]), **asked)
    assert match.feasible == (best is not None)
    if best is not None:
        assert match.removed_g == pytest.approx(best / 100, abs=1e-9)
        check(match, lists, *tolerances)


@pytest.mark.parametrize("seed", range(0, 40, 6))
def test_quick_answers_are_true(seed, monkeypatch):
    """What is met without proof keeps every limit; no bound is above the least there is."""
    lists, asked, best, tolerances = shelf(seed)
    monkeypatch.setattr(_shelf, "PROOF", 0)
    match = match_sets(*(grams(x) for x in lists[:3]), **asked)
    if best is None:
        assert not match.feasible
        return
    assert match.feasible is not False
    assert match.bound_g <= best / 100 + 1e-9
    if match.feasible:
        check(match, lists, *tolerances, proven=False)
        assert match.removed_g >= best / 100 - 1e-9
        assert not match.optimal or match.removed_g == pytest.approx(best / 100, abs=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_match_each_against_every_target(seed):
    rng = random.Random(seed)
    weights = [rng.randint(17000, 17300) for _ in range(rng.randint(1, 7))]
    tolerance = rng.choice((0, 20, 90))
    costs = [sum(max(0, w - t - tolerance) for w in weights) for t in range(min(weights) + 1)]
    trim = match_each(grams(weights), tolerance_g=tolerance / 100)
    assert trim.removed_g == pytest.approx(min(costs) / 100, abs=1e-9)
    left = [w - c for w, c in zip(grams(weights), trim.cuts_g, strict=True)]
    assert max(left) - min(left) <= tolerance / 100 + 1e-9
