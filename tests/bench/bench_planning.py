"""Plans on invented cranks: how many are proven, how long they take, and beside what.

    python tests/bench/bench_planning.py [--short]

Baselines in the same run: a vectorised exhaustive search of all pairs of holes (the honest strong
one for two holes), every triple tried on coarser steps, HiGHS through scipy milp, and CP-SAT, both
in the natural formulation (a binary for each possible hole, the limit as a polygon, webs left out),
on coarser steps and with a time limit. Times are wall clock of this run; read them as ratios on a
shared machine.
"""

import argparse
import itertools
import time

import numpy as np

from balance.metal.holes import radial_hole
from balance.metal.planning import Counterweight, plan

PLANES = (60.0, 540.0)
DRILLS = (8.0, 10.0, 12.0, 16.0)
TOLERANCE = (60.0, 60.0)
LIMIT = 30.0
SIDES = 32


def crank(rng, count):
    """Return invented counterweights along and around the crank."""
    places = np.sort(rng.uniform(40, 560, count))
    places[0], places[-1] = rng.uniform(20, 80), rng.uniform(500, 560)
    return [
        Counterweight(
            float(z),
            float(rng.integers(0, 360)),
            float(rng.integers(40, 75)),
            float(rng.uniform(65, 95)),
            float(rng.uniform(18, 30)),
            float(rng.integers(20, 40)),
        )
        for z in places
    ]


def share(cw):
    """Return the shares of an unbalance on a counterweight in the two planes."""
    a, b = PLANES
    return np.array([(b - cw.z_mm) / (b - a), (cw.z_mm - a) / (b - a)])


def heavy(rng, webs, holes, most):
    """Return an unbalance that about so many holes take away, with 15 g mm of noise."""
    total = rng.normal(0, 15, 2) + 1j * rng.normal(0, 15, 2)
    for _ in range(holes):
        cw = webs[rng.integers(len(webs))]
        angle = cw.centre_degrees + rng.uniform(-1, 1) * cw.half_span_degrees
        total += rng.uniform(300, most) * np.exp(1j * np.radians(angle)) * share(cw)
    return total


def make(wanted, webs, limit_s=10.0):
    """Return a plan and its time."""
    start = time.perf_counter()
    made = plan(
        wanted,
        PLANES,
        counterweights=webs,
        drills_mm=DRILLS,
        tolerance_gmm=TOLERANCE,
        time_limit_s=limit_s,
    )
    return made, time.perf_counter() - start


def realistic(cases):
    """Print the share proven, times and gaps for 2 to 8 counterweights."""
    print("counterweights: proven in both, feasible, median s, most s, worst gap, holes 0 1 2 ...")
    for count in range(2, 9):
        rows = []
        for case in range(cases):
            rng = np.random.default_rng([2026, count, case])
            webs = crank(rng, count)
            rows.append(make(heavy(rng, webs, 2 + case % 3, 1800.0), webs))
        proven = [m.optimal or m.feasible is False for m, _ in rows]
        gaps = [m.removed_g / m.bound_g - 1 for m, _ in rows if m.feasible and m.bound_g]
        spent = [t for _, t in rows]
        holes = np.bincount([len(m.holes) for m, _ in rows])
        able = sum(m.feasible is True for m, _ in rows)
        print(
            f"  {count}: {np.mean(proven):.3f} of {cases}, {able}, {np.median(spent):.3f}, "
            f"{max(spent):.2f}, {max(gaps, default=0):.4f}, {holes}"
        )


def impossible(cases):
    """Print the time of certificates for unbalances that no hole can reach."""
    spent = []
    for case in range(10 * cases):
        rng = np.random.default_rng([5, case])
        webs = crank(rng, int(rng.integers(2, 5)))
        made, t = make(rng.normal(0, 500, 2) + 1j * rng.normal(0, 500, 2), webs, 0.5)
        if "no number of holes" in made.reason:
            spent.append(t)
    print(
        f"impossible: {len(spent)} certificates, median {1e3 * np.median(spent):.1f} ms, "
        f"most {1e3 * max(spent):.1f} ms (candidates made within that time)"
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


def pairs(cases):
    """Compare two-hole plans with the exhaustive pair search."""
    ratios, same, done = [], 0, 0
    for case in range(20 * cases):
        rng = np.random.default_rng([7, case])
        webs = crank(rng, 2 + case % 2)
        made, spent = make(heavy(rng, webs, 2, 1500.0), webs)
        if len(made.holes) != 2 or len({h.counterweight for h in made.holes}) != 2:
            continue
        start = time.perf_counter()
        all_ = [candidates(cw) for cw in webs]
        best = min(
            best_pair(made.task.unbalance, one, two) for one, two in itertools.combinations(all_, 2)
        )
        ratios.append((time.perf_counter() - start) / spent)
        same += abs(best - made.removed_g) < 1e-6
        done += 1
        if done == cases:
            break
    print(
        f"two holes: {same} of {done} equal to the exhaustive pair search, which takes "
        f"{np.median(ratios):.1f} times as long (median)"
    )


def coarse(cw, rng):
    """Return a small counterweight: every hole set can be tried."""
    return Counterweight(
        cw.z_mm, cw.centre_degrees, 30.0, cw.radius_mm, 22.0, float(rng.integers(15, 21))
    )


def triples(cases):
    """Confirm three-hole optima on coarser steps: the pair search behind every third hole."""
    same = done = 0
    for case in range(50 * cases):
        rng = np.random.default_rng([9, case])
        webs = [coarse(cw, rng) for cw in crank(rng, 3)]
        wanted = sum(
            rng.uniform(300, 900)
            * np.exp(1j * np.radians(cw.centre_degrees + rng.uniform(-29, 29)))
            * share(cw)
            for cw in webs
        )
        made = plan(
            wanted,
            PLANES,
            counterweights=webs,
            drills_mm=(8.0, 12.0),
            tolerance_gmm=TOLERANCE,
            depth_step_mm=1.0,
            angle_step_degrees=5.0,
        )
        if len(made.holes) != 3 or not made.optimal:
            continue
        done += 1
        same += abs(_every_triple(wanted, webs) - made.removed_g) < 1e-6
        if done == cases:
            break
    print(f"three holes: {same} of {done} equal to trying every triple (5 degrees, 1 mm)")


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
    """Return metal, bound and time of HiGHS."""
    from scipy.optimize import LinearConstraint, milp

    rows, right = polygon(taken, wanted)
    start = time.perf_counter()
    found = milp(
        mass,
        constraints=[
            LinearConstraint(rows, -np.inf, right),
            LinearConstraint(np.ones((1, len(mass))), number, number),
        ],
        integrality=np.ones(len(mass)),
        bounds=(0, 1),
        options={"time_limit": limit_s},
    )
    return found.fun, found.mip_dual_bound, time.perf_counter() - start


def by_cp_sat(taken, mass, wanted, number, limit_s):
    """Return metal, bound and time of CP-SAT, in hundredths of a gram and of a gram millimetre."""
    from ortools.sat.python import cp_model

    rows, right = polygon(taken, wanted)
    model = cp_model.CpModel()
    picks = [model.new_bool_var(str(n)) for n in range(len(mass))]
    for row, most in zip(np.rint(100 * rows).astype(int), right, strict=True):
        model.add(cp_model.LinearExpr.weighted_sum(picks, row.tolist()) <= int(100 * most) + number)
    model.add(sum(picks) == number)
    cost = np.rint(1e4 * mass).astype(int)
    model.minimize(cp_model.LinearExpr.weighted_sum(picks, cost.tolist()))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds, solver.parameters.num_workers = limit_s, 2
    start = time.perf_counter()
    status = solver.solve(model)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    metal = solver.objective_value / 1e4 if found else None
    return metal, solver.best_objective_bound / 1e4, time.perf_counter() - start


def beside(cases, limit_s):
    """Print plans beside general solvers on the same instances and the same number of holes."""
    print(f"ours, then HiGHS and CP-SAT (time limit {limit_s:g} s): metal, bound, seconds")
    for case in range(cases):
        rng = np.random.default_rng([13, case])
        webs = crank(rng, 2 + case)
        wanted = heavy(rng, webs, 3, 1500.0)
        steps = {"depth_step_mm": 2.5, "angle_step_degrees": 4.0}
        start = time.perf_counter()
        made = plan(
            wanted,
            PLANES,
            counterweights=webs,
            drills_mm=(8.0, 12.0),
            tolerance_gmm=TOLERANCE,
            **steps,
        )
        spent = time.perf_counter() - start
        if not made.holes:
            print(f"  seed [13, {case}]: {made.reason[:60]}")
            continue
        lists = [candidates(cw, (8.0, 12.0), 2.5, 4) for cw in webs]
        taken, mass = (np.concatenate(part) for part in zip(*lists, strict=True))
        line = f"  seed [13, {case}], {len(mass)} holes to choose {len(made.holes)} from: "
        print(f"{line}{made.removed_g:.3f} g, {made.bound_g:.3f} g, {spent:.3f} s", flush=True)
        for name, solver in (("HiGHS", by_highs), ("CP-SAT", by_cp_sat)):
            metal, bound, t = solver(taken, mass, wanted, len(made.holes), limit_s)
            print(f"    {name}: {metal} g, {bound} g, {t:.1f} s, {t / spent:.0f} times", flush=True)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--short", action="store_true")
    short = parser.parse_args().short
    realistic(3 if short else 20)
    impossible(2 if short else 20)
    pairs(2 if short else 10)
    triples(1 if short else 5)
    beside(1 if short else 3, 5.0 if short else 30.0)
