"""Plans on invented cranks: how many are proven, how long they take, and beside what.

    python tests/bench/bench_planning.py [--short]

n is the number of counterweights. Baselines: a vectorised exhaustive search of all pairs of holes
(the honest strong one for two holes), every triple tried on coarser steps, and HiGHS and CP-SAT in
the natural formulation (a binary for each possible hole, the limit as a polygon, webs left out),
on coarser steps, one thread and a time limit.
"""

import itertools
import statistics
from collections.abc import Iterator

import numpy as np
from _cases import DRILLS, cp_sat, crank, heavy, share, silent_highs
from _cases import task as common_task
from _measure import growth, timed
from _table import Row, alone
from ortools.sat.python import cp_model

from balance.metal.holes import radial_hole
from balance.metal.planning import Counterweight, SlugChoice, plan

ROOM = "metal"
SEEDS = "[2026, n, k], impossible [5, k], pairs [7, k], triples [9, k], solvers [13, k]"
LIMIT = 30.0
SIDES = 32
WITHIN_S = 10.0


def make(wanted, webs, **rules):
    """Return the plan, timed once."""
    return timed(lambda: plan(wanted, **{**common_task(webs), **rules}), least_s=0)


def realistic(sizes, cases) -> Iterator[Row]:
    """Yield the median for each number of counterweights, then the slowest and what is proven."""
    medians, every = [], []
    for n in sizes:
        made = []
        for case in range(cases):
            rng = np.random.default_rng([2026, n, case])
            webs = crank(rng, n)
            made.append(make(heavy(rng, webs, 2 + case % 3, 1800.0), webs))
        every += made
        medians.append(statistics.median(t.seconds for t in made))
        most = 0.2 if n <= 6 else 0.5
        yield Row(
            room=ROOM,
            what="plans, median",
            size=n,
            ours_s=medians[-1],
            growth=growth(sizes, medians) if n == sizes[-1] else None,
            aim=f"{most:g} s" if n <= 6 or n == 8 else "",
            kept=medians[-1] <= most if n <= 6 or n == 8 else None,
        )
    yield slowest(every)


def slowest(timings) -> Row:
    """Return the slowest of all plans, and how many are proven within what gap."""
    plans = [t.answer for t in timings]
    proven = [made.optimal or made.feasible is False for made in plans]
    gaps = [made.removed_g / made.bound_g - 1 for made in plans if made.feasible and made.bound_g]
    holes = np.bincount([len(made.holes) for made in plans])
    most, worst = max(t.seconds for t in timings), max(gaps, default=0.0)
    return Row(
        room=ROOM,
        what="plans, slowest",
        ours_s=most,
        aim="10 s",
        kept=bool(np.mean(proven) >= 0.95 and most <= WITHIN_S and worst <= 0.02),
        note=f"proven in both {sum(proven)} of {len(plans)} (aim 95 %), worst gap {100 * worst:.2f}"
        f" % (aim 2); plans of 0, 1, 2 ... holes: {', '.join(map(str, holes))}",
    )


def impossible(cases) -> Row:
    """Return the time of certificates for unbalances that no hole can reach."""
    found = []
    for case in range(cases):
        rng = np.random.default_rng([5, case])
        webs = crank(rng, int(rng.integers(2, 5)))
        wanted = rng.normal(0, 500, 2) + 1j * rng.normal(0, 500, 2)
        found.append(make(wanted, webs, time_limit_s=0.5))
    ruled_out = [t.seconds for t in found if "no number of holes" in t.answer.reason]
    median = statistics.median(ruled_out)
    return Row(
        room=ROOM,
        what="proof of impossible",
        ours_s=median,
        aim="10 ms",
        kept=median <= 0.01,
        note=f"{len(ruled_out)} certificates, slowest {1e3 * max(ruled_out):.1f} ms",
    )


def with_slugs() -> Row:
    """Return the time of a plan whose counterweights hold too little steel to come off."""
    webs = [Counterweight(z, 0.0, 50.0, 80.0, 30.0, 25.0) for z in (80.0, 520.0)]
    choices = [SlugChoice(25.4, 20.0, bore_depth_mm=30.0), SlugChoice(19.0, 15.0, bore_depth_mm=25)]
    made = make(np.array([-900.0, -700.0 + 150j]), webs, slugs=choices)
    found = made.answer
    return Row(
        room=ROOM,
        what="plan with slugs",
        size=2,
        ours_s=made.seconds,
        note=f"{len(found.slugs)} slugs, {len(found.holes)} holes, proven {found.optimal}; "
        "limit 10 s",
    )


def candidates(cw, drills=DRILLS, depth_step=0.5, angle_step=1):
    """Return all holes of a counterweight: what each takes off in the two planes, and its mass."""
    fitting = [d for d in drills if (cw.width_mm - d) / 2 >= 3]
    d, h = np.meshgrid(fitting, np.arange(5.0, cw.max_depth_mm + 1e-9, depth_step))
    gone = radial_hole(d.ravel(), h.ravel(), surface_radius_mm=cw.radius_mm)
    steps = np.arange(0, int(2 * cw.half_span_degrees) + 1, angle_step)
    turn = np.exp(1j * np.radians(cw.centre_degrees - cw.half_span_degrees + steps))
    x = np.outer(gone.unbalance_gmm, turn).ravel()
    return x[:, None] * share(cw), np.repeat(gone.mass_g, len(turn))


def best_pair(wanted, one, two):
    """Return the least metal of a hole of each of two counterweights, every pair considered.

    Sorted by the first plane's real part, so that only a window of partners is compared.
    """
    (v1, m1), (v2, m2) = one, two
    order = np.argsort(v2[:, 0].real)
    v2, m2 = v2[order], m2[order]
    left = wanted - v1
    low = np.searchsorted(v2[:, 0].real, left[:, 0].real - LIMIT)
    high = np.searchsorted(v2[:, 0].real, left[:, 0].real + LIMIT)
    best = np.inf
    for rows in np.array_split(np.arange(len(v1)), max(1, int((high - low).sum() // 4_000_000))):
        n = high[rows] - low[rows]
        i = np.repeat(rows, n)
        j = np.arange(n.sum()) - np.repeat(np.cumsum(n) - n, n) + np.repeat(low[rows], n)
        good = (np.abs(left[i] - v2[j]) <= LIMIT).all(axis=1)
        if good.any():
            best = min(best, float((m1[i[good]] + m2[j[good]]).min()))
    return best


def pairs(cases) -> Row:
    """Compare two-hole plans with the exhaustive pair search."""
    ours, theirs, same = [], [], 0
    for case in range(20 * cases):
        rng = np.random.default_rng([7, case])
        webs = crank(rng, 2 + case % 2)
        mine = make(heavy(rng, webs, 2, 1500.0), webs)
        made = mine.answer
        if len(made.holes) != 2 or len({h.counterweight for h in made.holes}) != 2:
            continue
        best = timed(lambda w=webs, u=made.task.unbalance: every_pair(u, w), least_s=0)
        ours.append(mine.seconds)
        theirs.append(best.seconds)
        same += abs(best.answer - made.removed_g) < 1e-6
        if len(ours) == cases:
            break
    return Row(
        room=ROOM,
        what="two holes",
        ours_s=statistics.median(ours),
        baseline="every pair",
        baseline_s=statistics.median(theirs),
        note=f"{same} of {len(ours)} plans equal to the exhaustive search",
    )


def every_pair(wanted, webs):
    """Return the least metal of two holes in two counterweights."""
    lists = [candidates(cw) for cw in webs]
    return min(best_pair(wanted, one, two) for one, two in itertools.combinations(lists, 2))


def coarse(cw, rng):
    """Return a small counterweight: every hole set can be tried."""
    return Counterweight(
        cw.z_mm, cw.centre_degrees, 30.0, cw.radius_mm, 22.0, float(rng.integers(15, 21))
    )


def triples(cases) -> Row:
    """Confirm three-hole optima on coarser steps: the pair search behind every third hole."""
    ours, theirs, same = [], [], 0
    for case in range(50 * cases):
        rng = np.random.default_rng([9, case])
        webs = [coarse(cw, rng) for cw in crank(rng, 3)]
        wanted = sum(
            rng.uniform(300, 900)
            * np.exp(1j * np.radians(cw.centre_degrees + rng.uniform(-29, 29)))
            * share(cw)
            for cw in webs
        )
        mine = make(wanted, webs, drills_mm=(8.0, 12.0), depth_step_mm=1.0, angle_step_degrees=5.0)
        if len(mine.answer.holes) != 3 or not mine.answer.optimal:
            continue
        best = timed(lambda u=wanted, w=webs: _every_triple(u, w), least_s=0)
        ours.append(mine.seconds)
        theirs.append(best.seconds)
        same += abs(best.answer - mine.answer.removed_g) < 1e-6
        if len(ours) == cases:
            break
    return Row(
        room=ROOM,
        what="three holes, coarse",
        ours_s=statistics.median(ours),
        baseline="every triple",
        baseline_s=statistics.median(theirs),
        note=f"{same} of {len(ours)} equal to trying every triple (5 degrees, 1 mm)",
    )


def _every_triple(wanted, webs):
    """Return the least metal over all triples of holes, two or more counterweights, webs kept."""
    options = []
    for cw in webs:
        d, h = np.meshgrid((8.0, 12.0), np.arange(5.0, cw.max_depth_mm + 1e-9, 1.0))
        gone = radial_hole(d.ravel(), h.ravel(), surface_radius_mm=cw.radius_mm)
        turn = np.exp(1j * np.radians(cw.centre_degrees + np.arange(-30, 31, 5)))
        x = np.outer(gone.unbalance_gmm, turn).ravel()
        apart = np.tile(np.arange(13), d.size)
        size = np.repeat(np.arange(d.size), 13)
        options.append((x[:, None] * share(cw), np.repeat(gone.mass_g, 13), apart, size, d, h, cw))
    best = np.inf
    for a, b, c in itertools.combinations_with_replacement(range(len(webs)), 3):
        best = min(best, _triple(wanted, [options[a], options[b], options[c]], (a, b, c)))
    return best


def _triple(wanted, three, index):
    """Return the least metal of one hole from each of three lists."""
    best = np.inf
    (v1, m1, *_), (v2, m2, *_), (v3, m3, *_) = three
    for i in range(len(v1)):
        left = wanted - v1[i] - v2
        for j in np.flatnonzero(m1[i] + m2 + m3.min() < best):
            good = (np.abs(left[j] - v3) <= LIMIT).all(axis=1)
            for k in np.flatnonzero(good):
                metal = m1[i] + m2[j] + m3[k]
                if metal < best and _kept(three, index, (i, j, k)):
                    best = metal
    return best


def _kept(three, index, picks):
    """Return whether the webs are kept, by dense points on both outlines."""
    for p, q in itertools.combinations(range(3), 2):
        if index[p] == index[q]:
            one, two = _outline(three[p], picks[p]), _outline(three[q], picks[q])
            if np.abs(one[:, None] - two).min() < 4.0:
                return False
    return True


def _outline(option, pick):
    """Return points 0.05 mm apart on the flat profile of a hole."""
    _, _, apart, size, d, h, cw = option
    a, q = d.ravel()[size[pick]] / 2, cw.radius_mm - h.ravel()[size[pick]]
    corners = [cw.radius_mm + 1j * a, q + 1j * a, q - a / np.tan(np.radians(59)), q - 1j * a]
    corners.append(cw.radius_mm - 1j * a)
    lines = [np.linspace(p, s, int(abs(s - p) / 0.05) + 2) for p, s in itertools.pairwise(corners)]
    turn = cw.centre_degrees - 30 + 5 * apart[pick]
    return np.concatenate(lines) * np.exp(1j * np.radians(turn))


def polygon(taken, wanted):
    """Return rows and right sides of the limit as a polygon around the circle, both planes."""
    faces = np.exp(2j * np.pi * np.arange(SIDES) / SIDES)
    rows, right = [], []
    for p in (0, 1):
        rows.append(-np.real(np.conj(faces)[:, None] * taken[:, p]))
        right.append(LIMIT - np.real(np.conj(faces) * wanted[p]))
    return np.vstack(rows), np.concatenate(right)


def by_highs(taken, mass, wanted, number, limit_s):
    """Return the metal that HiGHS finds (None if nothing) and whether it is proven."""
    import highspy

    rows_, right = polygon(taken, wanted)
    model = silent_highs(limit_s)
    picks = [model.addBinary(obj=float(m)) for m in mass]
    index = np.arange(len(mass), dtype=np.int32)
    for row, most in zip(rows_, right, strict=True):
        model.addRow(-highspy.kHighsInf, float(most), len(index), index, row)
    model.addRow(float(number), float(number), len(picks), index, np.ones(len(picks)))
    model.minimize()
    proven = model.getModelStatus() == highspy.HighsModelStatus.kOptimal
    metal = model.getInfo().objective_function_value
    return (metal if np.isfinite(metal) else None), proven


def by_cp_sat(taken, mass, wanted, number, limit_s):
    """The same of CP-SAT, in hundredths of a gram millimetre and ten-thousandths of a gram."""
    rows_, right = polygon(taken, wanted)
    model = cp_model.CpModel()
    picks = [model.new_bool_var(str(n)) for n in range(len(mass))]
    for row, most in zip(np.rint(100 * rows_).astype(int), right, strict=True):
        model.add(cp_model.LinearExpr.weighted_sum(picks, row.tolist()) <= int(100 * most) + number)
    model.add(sum(picks) == number)
    cost = np.rint(1e4 * mass).astype(int)
    model.minimize(cp_model.LinearExpr.weighted_sum(picks, cost.tolist()))
    solver, found, proven = cp_sat(model, limit_s)
    return (solver.objective_value / 1e4 if found else None), proven


def beside(cases, limit_s) -> Iterator[Row]:
    """Yield plans beside general solvers on the same instances and the same number of holes."""
    for case in range(cases):
        rng = np.random.default_rng([13, case])
        webs = crank(rng, 2 + case)
        wanted = heavy(rng, webs, 3, 1500.0)
        mine = make(wanted, webs, drills_mm=(8.0, 12.0), depth_step_mm=2.5, angle_step_degrees=4.0)
        made = mine.answer
        if not made.holes:
            continue
        lists = [candidates(cw, (8.0, 12.0), 2.5, 4) for cw in webs]
        taken, mass = (np.concatenate(part) for part in zip(*lists, strict=True))
        for name, solver in (("HiGHS", by_highs), ("CP-SAT", by_cp_sat)):
            asked = (taken, mass, wanted, len(made.holes), limit_s)
            theirs = timed(lambda s=solver, a=asked: s(*a), least_s=0)
            metal, proven = theirs.answer
            said = "nothing" if metal is None else f"{metal:.3f} g"
            yield Row(
                room=ROOM,
                what="coarse plan",
                size=len(webs),
                ours_s=mine.seconds,
                baseline=name,
                baseline_s=theirs.seconds,
                stopped=not proven,
                note=f"{len(made.holes)} of {len(mass)} holes: ours {made.removed_g:.3f} g (proven "
                f"{made.optimal}), {name} without webs {said}{'' if proven else ' (not proven)'}",
            )


def rows(*, short: bool) -> Iterator[Row]:
    """Yield the rows of this bench."""
    make(np.array([900.0, 600.0]), crank(np.random.default_rng(0), 2))  # imports are not planning
    yield from realistic((2, 4, 6, 8) if short else range(2, 9), 3 if short else 14)
    yield impossible(10 if short else 100)
    yield pairs(2 if short else 10)
    yield from beside(1 if short else 3, 2.0 if short else 10.0)
    if not short:
        yield triples(1)
        yield with_slugs()


if __name__ == "__main__":
    alone(__doc__, rows)
