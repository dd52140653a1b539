"""The search behind matched sets, alone: it finds what there is and rules out only what is not.

A good first answer would hide a search that loses some: here it gets none. Every choice and every
pairing is tried beside it, in whole hundredths of a gram.
"""

import functools
import itertools
import random

import numpy as np
import pytest

from balance.parts import _sets
from balance.parts._search import search
from balance.parts._sets import solve_sets
from balance.parts._task import FAR, Kind, Meter, Outcome, Task

FREE = FAR // 8
NEVER = 10**9  # states or candidates that no case here needs


def kind(rng, size, spread, step, limits):
    """Return parts of one kind, lightest first."""
    middle, half = spread
    masses = sorted(
        step * round(rng.uniform(middle - half, middle + half) / step) for _ in range(size)
    )
    cuts = [rng.choice(limits) for _ in masses]
    rows = sorted(zip(masses, cuts, strict=True))
    return Kind(np.array([m for m, _ in rows]), np.array([c for _, c in rows]))


def bench(seed, *, whole, turning=False):
    """Return a small task; ``whole`` uses every part."""
    rng = random.Random(seed)
    n = rng.randint(1, 4) if whole else rng.randint(1, 3)
    sizes = [n + (0 if whole else rng.randint(0, 2)) for _ in range(3)]
    step = rng.choice((1, 5, 20))
    some = rng.choice(((FREE,), (FREE, 30, 90), (60, 15)))
    pins = (0,) if some != (FREE,) else some
    kinds = [
        kind(rng, size, spread, step, limits)
        for size, spread, limits in zip(
            sizes, ((420, 60), (110, 25), (180, 40)), (some, pins, some), strict=True
        )
    ]
    extra = np.zeros(sizes[0], dtype=np.int64)
    if not whole and rng.random() < 0.7:
        extra = np.array([rng.choice((0, 10, 40)) for _ in range(sizes[0])])
    # going round from every start, the part that must be used is only the start of one round
    must = not whole and rng.random() < 0.3 and not turning
    return Task(*kinds, extra, n, rng.choice((0, 0, 4, 25)), must)


@functools.cache
def least_by_floor(seed, whole, turning=False):
    """Return what the cheapest way costs at each floor where there is one, by trying them all.

    An answer whose lightest sum is above the floor ends in the window too, and is counted there.
    """
    task = bench(seed, whole=whole, turning=turning)
    floors = np.unique(task.sums())
    least = dict.fromkeys(floors.tolist(), FAR)
    masses = [k.mass.tolist() for k in task.kinds]
    limits = [k.limit.tolist() for k in task.kinds]
    places = [range(k.mass.size) for k in task.kinds]
    for anchors in itertools.combinations(places[0], task.n):
        if task.must and 0 not in anchors:
            continue
        dear = sum(int(task.extra[a]) for a in anchors)
        for first in itertools.permutations(places[1], task.n):
            for second in itertools.permutations(places[2], task.n):
                rows = list(zip(anchors, first, second, strict=True))
                sums = [sum(m[i] for m, i in zip(masses, row, strict=True)) for row in rows]
                room = [sum(x[i] for x, i in zip(limits, row, strict=True)) for row in rows]
                for floor in least:
                    if floor > min(sums):
                        break
                    cuts = [max(0, s - floor - task.slack) for s in sums]
                    if all(c <= r for c, r in zip(cuts, room, strict=True)):
                        least[floor] = min(least[floor], dear + sum(cuts))
    return least


def cost_of(task, picks, floor):
    """Return what an answer costs at a floor, FAR when it may not be done there."""
    assert len(picks) == task.n
    for column in picks.T:
        assert len(set(column.tolist())) == task.n
    assert 0 in picks[:, 0] or not task.must
    sums = sum(k.mass[p] for k, p in zip(task.kinds, picks.T, strict=True))
    cuts = np.maximum(0, sums - floor - task.slack)
    room = sum(k.limit[p] for k, p in zip(task.kinds, picks.T, strict=True))
    if sums.min() < floor or (cuts > room).any():
        return FAR
    return int(cuts.sum() + task.extra[picks[:, 0]].sum())


@pytest.mark.parametrize("turning", [False, True])
@pytest.mark.parametrize("whole", [True, False])
@pytest.mark.parametrize("seed", range(25))
def test_all_that_fits_the_budget_is_found_and_nothing_else(seed, whole, turning):
    task, least = bench(seed, whole=whole, turning=turning), least_by_floor(seed, whole, turning)
    floors = np.array(list(least))
    best = min(least.values())
    how = {"cap": NEVER, "turning": turning}
    if best == FAR:
        ruled_out = search(task, floors, task.largest_cost + 500, meter=Meter(NEVER), **how)
        assert ruled_out.cost is None
        assert ruled_out.complete
        return
    for budget in (best, best + 1, best + 60, best + 500):
        found = search(task, floors, budget, meter=Meter(NEVER), **how)
        assert found.complete
        assert found.cost == best
        assert min(cost_of(task, found.picks, floor) for floor in floors.tolist()) == best
    if best > 0:
        refuted = search(task, floors, best - 1, meter=Meter(NEVER), **how)
        assert refuted.cost is None
        assert refuted.complete


@pytest.mark.parametrize("turning", [False, True])
@pytest.mark.parametrize("whole", [True, False])
@pytest.mark.parametrize("seed", range(10))
def test_each_floor_alone(seed, whole, turning):
    task, least = bench(seed, whole=whole, turning=turning), least_by_floor(seed, whole, turning)
    for floor, best in list(least.items())[:: max(1, len(least) // 6)]:
        budget = 300 if best == FAR else best
        found = search(
            task, np.array([floor]), budget, cap=NEVER, meter=Meter(NEVER), turning=turning
        )
        assert found.complete
        assert found.cost == (best if best <= budget else None)
        if found.cost is not None:
            assert cost_of(task, found.picks, floor) == best


@pytest.mark.parametrize("beam", [False, True])
@pytest.mark.parametrize("turning", [False, True])
@pytest.mark.parametrize("whole", [True, False])
@pytest.mark.parametrize("seed", range(40, 50))
def test_a_search_cut_short_rules_out_only_what_it_looked_through(seed, whole, turning, beam):
    task, least = bench(seed, whole=whole, turning=turning), least_by_floor(seed, whole, turning)
    floors = np.array(list(least))
    best = min(least.values())
    budget = 400 if best == FAR else best + 40
    how = {"turning": turning, "beam": beam}
    for cap, candidates in itertools.product((1, 3, 10), (10, 200, NEVER)):
        found = search(task, floors, budget, cap=cap, meter=Meter(candidates), **how)
        if found.cost is not None:
            costs = [cost_of(task, found.picks, floor) for floor in floors.tolist()]
            assert best <= min(costs) <= found.cost
        limit = budget + 1 if found.cost is None else found.cost
        for floor, open_ in zip(floors.tolist(), found.unfinished, strict=True):
            assert open_ or least[floor] >= limit


@pytest.mark.parametrize("seed", range(40))
def test_the_proof_needs_no_good_first_answer(seed, monkeypatch):
    task, best = bench(seed, whole=True), min(least_by_floor(seed, True).values())
    monkeypatch.setattr(_sets, "rearranged", lambda _: Outcome())
    solved = solve_sets(task, Meter(NEVER))
    assert solved.proven
    if best == FAR:
        assert solved.cost is None
        return
    assert (solved.cost, solved.bound) == (best, best)
    floors = np.unique(task.sums()).tolist()
    assert min(cost_of(task, solved.picks, floor) for floor in floors) == best


@pytest.mark.parametrize("seed", range(20))
def test_a_bound_holds_however_little_may_be_searched(seed, monkeypatch):
    task, best = bench(seed, whole=True), min(least_by_floor(seed, True).values())
    monkeypatch.setattr(_sets, "CAPS", (1, 4))
    for candidates in (0, 5, 40, 300):
        solved = solve_sets(task, Meter(candidates))
        assert solved.bound <= best
        assert solved.cost is None or solved.cost >= best
        assert not solved.proven or (FAR if solved.cost is None else solved.cost) == best


@pytest.mark.parametrize("slack", [4, 25])
@pytest.mark.parametrize("n", [1, 2, 5])
def test_parts_that_agree_within_the_tolerance_need_no_metal_off_that_may_lose_none(
    n, slack, monkeypatch
):
    """Known without trying: the lightest and the heaviest sum are just the tolerance apart."""
    none = np.zeros(n, dtype=np.int64)
    anchors = np.full(n, 42_000)
    anchors[-1] += slack
    kinds = [Kind(anchors, none), Kind(none + 11_000, none), Kind(none + 18_000, none)]
    monkeypatch.setattr(_sets, "rearranged", lambda _: Outcome())
    found = solve_sets(Task(*kinds, none, n, slack), Meter(NEVER))
    assert (found.cost, found.proven) == (0, True)
    if n > 1:  # a hundredth less and it cannot be done: nothing may be cut
        less = solve_sets(Task(*kinds, none, n, slack - 1), Meter(NEVER))
        assert (less.cost, less.proven) == (None, True)
