"""Matching beside general solvers in their natural formulation, and beside trying all pairings.

    python tests/bench/bench_matching.py [--short]

Masses come from seeds: pistons 420 +- 3 g, pins 110 +- 1.5, small ends 180 +- 2.5, big ends
420 +- 4, uniform (half width) and normal (standard deviation), on a 0.01 and a 0.1 g scale, with a
tolerance of 0 and 0.5 g: eight benches of parts a seed. The solvers run in their default settings
on one thread, with a time limit; "wrong" counts answers that they call optimal and that ours beats.
"""

import itertools
import statistics
from collections.abc import Iterator

import highspy
import numpy as np
from _cases import cp_sat as solve_cp_sat
from _cases import silent_highs
from _measure import growth, timed
from _table import Row, alone, count, span
from ortools.sat.python import cp_model
from scipy.optimize import linprog

from balance.parts.matching import match_each, match_sets, partition

ROOM = "parts"
SEEDS = "beside solvers 2024 ..., alone 3000 ..."
KINDS = ((420, 3), (110, 1.5), (180, 2.5), (420, 4))


def parts(n, seed, shape, step):
    """Return whole hundredths of a gram on a scale of ``step`` hundredths."""
    rng = np.random.default_rng(seed)
    draw = rng.normal if shape == "normal" else lambda c, h, n: rng.uniform(c - h, c + h, n)
    return [(np.round(draw(c, h, n) * 100 / step) * step).astype(int) for c, h in KINDS]


def benches(n, seeds):
    """Return fresh parts for every shape, scale, tolerance and seed."""
    for shape, step, slack in itertools.product(("uniform", "normal"), (1, 10), (0, 50)):
        for seed in seeds:
            yield parts(n, seed, shape, step), slack


def ours(lists, slack, choose=None):
    """Return the sets."""
    grams = [x / 100 for x in lists]
    return match_sets(
        *grams[:3],
        tolerance_g=slack / 100,
        big_ends_g=grams[3] if choose else None,
        choose=choose,
    )


def interchangeable_g(lists, slack, match):
    """Return what is cut when each kind of the chosen parts is brought to one weight."""
    kinds = ((lists[0], "piston"), (lists[2], "rod"))
    each = [x[[getattr(s, kind) for s in match.sets]] / 100 for x, kind in kinds]
    return sum(match_each(x, tolerance_g=slack / 100).removed_g for x in each)


def brute(lists, slack, limit_s, choose=None):
    """Return the least over all pairings."""
    pistons, pins, smalls = (x.tolist() for x in lists[:3])
    best = None
    for p in itertools.permutations(pistons):
        for q in itertools.permutations(pins):
            sums = [a + b + c for a, b, c in zip(p, q, smalls, strict=True)]
            top = min(sums) + slack
            cost = sum(s - top for s in sums if s > top)
            best = cost if best is None else min(best, cost)
    return best, True


def cp_sat(lists, slack, limit_s, choose=None):
    """Each rod takes one piston and one pin; the floor is free; cuts are the excess."""
    pistons, pins, smalls, bigs = (x.tolist() for x in lists)
    rods, model = range(len(smalls)), cp_model.CpModel()
    used = [model.new_bool_var("") for _ in rods]
    model.add(sum(used) == (choose or len(smalls)))
    mass = list(smalls)
    for kind in (pistons, pins):
        takes = [[model.new_bool_var("") for _ in kind] for _ in rods]
        for r in rods:
            model.add(sum(takes[r]) == used[r])
            mass[r] += sum(m * t for m, t in zip(kind, takes[r], strict=True))
        for i in range(len(kind)):
            model.add(sum(takes[r][i] for r in rods) <= 1)
    cuts = []
    for amount in (mass, bigs) if choose else (mass,):
        floor = model.new_int_var(0, 200_000, "")
        for r in rods:
            cut = model.new_int_var(0, 200_000, "")
            model.add(amount[r] >= floor).only_enforce_if(used[r])
            model.add(amount[r] - cut <= floor + slack).only_enforce_if(used[r])
            cuts.append(cut)
    model.minimize(sum(cuts))
    solver, found, proven = solve_cp_sat(model, limit_s)
    return round(solver.objective_value) if found else None, proven


def highs(lists, slack, limit_s, choose=None):
    """The same with a large constant for rods that stay on the shelf."""
    pistons, pins, smalls, bigs = (x.tolist() for x in lists)
    rods, model, far = range(len(smalls)), silent_highs(limit_s), 100_000
    used = [model.addBinary() for _ in rods]
    model.addConstr(sum(used) == (choose or len(smalls)))
    mass = list(smalls)
    for kind in (pistons, pins):
        takes = [[model.addBinary() for _ in kind] for _ in rods]
        for r in rods:
            model.addConstr(sum(takes[r]) == used[r])
            mass[r] = mass[r] + sum(m * t for m, t in zip(kind, takes[r], strict=True))
        for i in range(len(kind)):
            model.addConstr(sum(takes[r][i] for r in rods) <= 1)
    cuts = []
    for amount in (mass, bigs) if choose else (mass,):
        floor = model.addVariable(0, 200_000)
        for r in rods:
            cut = model.addVariable(0, 200_000)
            model.addConstr(floor - amount[r] + far * used[r] <= far)
            model.addConstr(amount[r] - cut - floor + far * used[r] <= far + slack)
            cuts.append(cut)
    model.minimize(sum(cuts))
    optimal = model.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return round(model.getInfo().objective_function_value), optimal


NAMES = {brute: "all pairings", cp_sat: "CP-SAT", highs: "HiGHS"}


def beside(cases, rivals, limit_s, choose=None) -> Iterator[Row]:
    """Yield a row for each rival on the same parts."""
    lists = list(cases)
    mine = [timed(lambda c=case: ours(*c, choose), least_s=0) for case in lists]
    median = statistics.median(t.seconds for t in mine)
    what = "sets" if choose is None else f"best {choose} from a shelf"
    for rival in rivals:
        theirs = [
            timed(lambda c=case, r=rival: r(*c, limit_s, choose), least_s=0) for case in lists
        ]
        done = [
            (their.answer[0], round(my.answer.removed_g * 100))
            for their, my in zip(theirs, mine, strict=True)
            if their.answer[1]
        ]
        wrong, beaten = sum(t > m for t, m in done), sum(t < m for t, m in done)
        took = statistics.median(t.seconds for t in theirs)
        yield Row(
            room=ROOM,
            what=what,
            size=len(lists[0][0][0]),
            ours_s=median,
            baseline=NAMES[rival],
            baseline_s=took,
            stopped=2 * len(done) <= len(lists),
            note=f"{NAMES[rival]} finished {len(done)} of {len(lists)} within {limit_s:g} s; "
            f"wrong {wrong}, better than ours {beaten}",
        )


def alone_rows(what, sizes, seeds, aims, choose=None) -> Iterator[Row]:
    """Yield median and slowest for each size, growth with the last."""
    medians, slowest = [], []
    for n in sizes:
        lists = list(benches(n, seeds(n)))
        mine = [timed(lambda c=case: ours(*c, choose), least_s=0) for case in lists]
        took = [t.seconds for t in mine]
        medians.append(statistics.median(took))
        slowest.append(max(took))
        proven = sum(t.answer.optimal for t in mine)
        last = n == sizes[-1]
        sets = np.mean([t.answer.removed_g for t in mine])
        shop = np.mean([t.answer.shop_removed_g for t in mine])
        each = np.mean(
            [interchangeable_g(*case, t.answer) for case, t in zip(lists, mine, strict=True)]
        )
        for name, times, at, note in (
            (
                "median",
                medians,
                0,
                f"proven {proven} of {len(mine)}; metal {sets:.2f} g, pistons and small ends "
                f"interchangeable {each:.2f} g, shop rule {shop:.2f} g",
            ),
            ("slowest", slowest, 1, ""),
        ):
            aim = aims.get(n, (None, None))[at]
            yield Row(
                room=ROOM,
                what=f"{what}, {name}",
                size=n,
                ours_s=times[-1],
                growth=growth(sizes, times) if last else None,
                aim=span(aim) if aim else "",
                kept=times[-1] <= aim and proven == len(mine) if aim else None,
                note=note,
            )


def bins(sizes, seeds) -> Iterator[Row]:
    """Yield a row for bins of each size."""
    medians = []
    for n in sizes:
        took, short_of = [], 0
        for shape, seed in itertools.product(("uniform", "normal"), seeds):
            grams = [x / 100 for x in parts(n, seed, shape, 1)]
            found = timed(
                lambda g=grams: partition(*g[:3], size=8, tolerance_g=0.5, big_ends_g=g[3])
            )
            took.append(found.seconds)
            short_of += found.answer.bound - found.answer.count
        medians.append(statistics.median(took))
        aim = n == 20_000
        yield Row(
            room=ROOM,
            what="bin into sets of 8",
            size=n,
            ours_s=medians[-1],
            growth=growth(sizes, medians) if n == sizes[-1] else None,
            aim="50 ms" if aim else "",
            kept=medians[-1] <= 0.05 if aim else None,
            note=f"{short_of} sets short of the bound in {len(took)} bins of {count(n)} of each",
        )


def one_kind(n) -> Row:
    """Bring one kind of part to one weight, beside a linear program."""
    grams = parts(n, 3000, "uniform", 1)[0] / 100

    def program():
        """Cuts and the floor are free; nobody ends above floor + tolerance or below the floor."""
        eye, one = np.eye(n), np.ones((n, 1))
        return linprog(
            [*np.ones(n), 0],
            A_ub=np.block([[-eye, -one], [eye, one]]),
            b_ub=[*(0.5 - grams), *grams],
            bounds=[(0, None)] * (n + 1),
        )

    mine = timed(lambda: match_each(grams, tolerance_g=0.5))
    theirs = timed(program)
    assert abs(mine.answer.removed_g - theirs.answer.fun) < 1e-6
    return Row(
        room=ROOM,
        what="one kind to one weight",
        size=n,
        ours_s=mine.seconds,
        baseline="scipy linprog",
        baseline_s=theirs.seconds,
    )


def rows(*, short: bool) -> Iterator[Row]:
    """Yield the rows of this bench."""
    ours(*next(benches(4, [1])))  # imports are not matching
    limit_s = 2.0 if short else 5.0
    seed = [2024]
    yield from beside(benches(4, seed), (brute, cp_sat, highs), limit_s)
    yield from beside(itertools.islice(benches(6, seed), 2 if short else 8), (cp_sat, highs), 10.0)
    yield from beside(
        itertools.islice(benches(8, seed), 1 if short else 6), (cp_sat, highs), limit_s
    )
    if not short:
        yield from beside(benches(12, seed), (cp_sat,), 10.0, choose=8)
    yield one_kind(100 if short else 300)
    few, many = (1, 1) if short else (5, 10)
    yield from alone_rows(
        "sets",
        (4, 6, 8, 10, 12, 14, 16),
        lambda n: range(3000, 3000 + (few if n > 12 else many)),
        {8: (None, 0.01), 12: (0.01, 0.3), 16: (None, 5.0)},
    )
    yield from alone_rows(
        "best 8 of n",
        (10, 12, 24),
        lambda n: range(3000, 3000 + many),
        {10: (None, 1.0), 12: (None, 1.0), 24: (0.005, None)},
        choose=8,
    )
    yield from bins(
        (2000, 20_000, 100_000) if short else (2000, 6000, 20_000, 60_000, 200_000),
        range(3000, 3001 if short else 3003),
    )


if __name__ == "__main__":
    alone(__doc__, rows)
