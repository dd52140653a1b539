"""Matching beside general solvers in their natural formulation, and beside trying all pairings.

    python tests/bench/bench_matching.py [--short]

Masses come from printed seeds: pistons 420 +- 3 g, pins 110 +- 1.5, small ends 180 +- 2.5, big ends
420 +- 4, uniform (half width) and normal (standard deviation), on a 0.01 and a 0.1 g scale.
Times are processor time on whatever machine runs it: read them as ratios. The solvers run in
their default settings on one thread, stopped after ten seconds; "wrong" counts answers that
they call optimal and that ours beats.
"""

import itertools
import sys
import time

import numpy as np

from balance.parts.matching import match_each, match_sets, partition

KINDS = ((420, 3), (110, 1.5), (180, 2.5), (420, 4))
LIMIT_S = 10.0


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
    """Return hundredths removed, whether proven, and what interchangeable and shop rule take."""
    grams = [x / 100 for x in lists]
    match = match_sets(
        *grams[:3],
        tolerance_g=slack / 100,
        big_ends_g=grams[3] if choose else None,
        choose=choose,
    )
    each = [
        x[[getattr(s, k) for s in match.sets]] for x, k in ((grams[0], "piston"), (grams[2], "rod"))
    ]
    each = sum(match_each(x, tolerance_g=slack / 100).removed_g for x in each)
    return round(match.removed_g * 100), match.optimal, each, match.shop_removed_g


def brute(lists, slack):
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


def cp_sat(lists, slack, choose=None):
    """Each rod takes one piston and one pin; the floor is free; cuts are the excess."""
    from ortools.sat.python import cp_model

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
    solver = cp_model.CpSolver()
    solver.parameters.num_workers, solver.parameters.max_time_in_seconds = 1, LIMIT_S
    status = solver.solve(model)
    known = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return round(solver.objective_value) if known else None, status == cp_model.OPTIMAL


def highs(lists, slack, choose=None):
    """The same with a large constant for rods that stay on the shelf."""
    import highspy

    pistons, pins, smalls, bigs = (x.tolist() for x in lists)
    rods, model, far = range(len(smalls)), highspy.Highs(), 100_000
    model.setOptionValue("output_flag", False)
    model.setOptionValue("time_limit", LIMIT_S)
    model.setOptionValue("threads", 1)
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


def timed(function, *arguments):
    """Return the answer and the seconds it took."""
    start = time.process_time()
    answer = function(*arguments)
    return answer, time.process_time() - start


def report(title, cases, choose=None, rivals=()):
    """Print one row: our times, how many are proven, metal, and the rivals' ratios."""
    lists = list(cases)
    mine = [timed(ours, *case, choose) for case in lists]
    took = np.array([t for _, t in mine]) * 1e3
    proven = sum(answer[1] for answer, _ in mine)
    metal = [float(np.mean([answer[k] for answer, _ in mine])) for k in (0, 2, 3)]
    print(
        f"{title:34} median {np.median(took):8.1f} ms  worst {took.max():8.1f} ms  "
        f"proven {proven}/{len(mine)}  metal {metal[0] / 100:6.2f} g, "
        f""
        f"pistons and small ends interchangeable {metal[1]:6.2f}, shop rule {metal[2]:6.2f}",
        flush=True,
    )
    for rival in rivals:
        theirs = [timed(rival, *case, *([choose] if choose else [])) for case in lists]
        ratio = np.median([t * 1e3 for _, t in theirs]) / np.median(took)
        done = [
            (their[0], my[0])
            for (their, _), (my, *_), *_ in zip(theirs, mine, strict=True)
            if their[1]
        ]
        wrong = sum(their > my for their, my in done)
        beaten = sum(their < my for their, my in done)
        print(
            f"{'':6}{rival.__name__:10} {ratio:9.1f} times our median, finished "
            f"{len(done)}/{len(mine)}, wrong {wrong}, better than ours {beaten}",
            flush=True,
        )


def bins(n, seeds):
    """Print one row for a bin of ``n`` of each."""
    for shape in ("uniform", "normal"):
        took, counts = [], []
        for seed in seeds:
            grams = [x / 100 for x in parts(n, seed, shape, 1)]
            found, seconds = timed(
                lambda g: partition(*g[:3], size=8, tolerance_g=0.5, big_ends_g=g[3]), grams
            )
            took.append(seconds * 1e3)
            counts.append(f"{found.count}/{found.bound}")
        print(
            f"bin of {n}, {shape:8}             median {np.median(took):8.1f} ms  worst "
            f"{max(took):8.1f} ms  sets/bound {' '.join(counts)}"
        )


def main():
    short = "--short" in sys.argv
    seeds = range(2024, 2024 + (1 if short else 3))
    print(f"seeds {list(seeds)}; uniform and normal, 0.01 and 0.1 g, tolerance 0 and 0.5 g")
    report("sets of 4", benches(4, seeds), rivals=(brute, cp_sat, highs))
    solvers = (cp_sat,) if short else (cp_sat, highs)
    report("sets of 6", benches(6, seeds), rivals=solvers)
    report("sets of 8", benches(8, seeds), rivals=solvers)
    many = range(3000, 3000 + (3 if short else 25))
    print(f"seeds {many}")
    for n in (8, 12):
        report(f"sets of {n}", benches(n, many))
    report("sets of 16", benches(16, many[:3] if short else many[:10]))
    for stock in (24, 12, 10):
        report(f"8 from {stock} with big ends", benches(stock, many), choose=8)
    report("8 from 12 with big ends", benches(12, seeds[:1]), choose=8, rivals=(cp_sat,))
    bins(20_000, many[:5])


if __name__ == "__main__":
    main()
