"""Plans on coarse steps against every placing there is, tried one by one.

Nothing of the planner is used: masses and moments by integrating over the drill's circle, webs by
the distance of two outlines segment by segment, transfer to the planes by statics. Cranks invented.
"""

import functools
import itertools
import math

import numpy as np
import pytest
from scipy.integrate import quad

from balance.metal.planning import Counterweight, DrilledHole, plan

MOST = 4  # holes tried
MANY = 60  # possible holes, beyond which trying every four of them takes too long
EDGE, WEB, POINT = 3.0, 4.0, 118.0
SLOPE = 1 / math.tan(math.radians(POINT / 2))


@functools.cache
def moments(d, h, rim):
    """Return mass and unbalance of a radial hole: strips along the crank, summed by quadrature.

    A strip at y across the drill reaches from the cone or floor up to the rim's cylinder; along it
    the cone's depth, and its square, are summed in closed form.
    """
    a, shoulder = d / 2, rim - h

    def strip(y, power):
        top, half = math.sqrt(rim * rim - y * y), math.sqrt(a * a - y * y)
        if power == 0:
            run = 2 * half * (top - shoulder + SLOPE * a)
            return run - SLOPE * 2 * _rho(y, half)
        deep = shoulder - SLOPE * a
        square = deep**2 * 2 * half + 2 * deep * SLOPE * 2 * _rho(y, half)
        square += SLOPE**2 * 2 * (half**3 / 3 + y * y * half)
        return (2 * half * top * top - square) / 2

    whole = [quad(strip, -a, a, args=(n,), epsabs=1e-9, epsrel=1e-11)[0] for n in (0, 1)]
    return 7.85e-3 * whole[0], 7.85e-3 * whole[1]


def _rho(y, half):
    """Return the integral of sqrt(x^2 + y^2) for x from 0 to half."""
    far = math.hypot(half, y)
    if y == 0:
        return half * half / 2
    return (half * far + y * y * math.asinh(half / abs(y))) / 2


def corners(hole, rim, top):
    """Return the outline of a hole from mouth to mouth, as complex numbers on the crank."""
    a, q = hole.diameter_mm / 2, rim - hole.depth_mm
    flat = [top + 1j * a, q + 1j * a, q - a * SLOPE, q - 1j * a, top - 1j * a]
    return [p * np.exp(1j * math.radians(hole.degrees)) for p in flat]


def web(one, two, rim):
    """Return the least distance of two outlines; 0 where they cross or one lies in the other.

    ``rim`` is the larger one where two meet: both mouths are drawn out to it.
    """
    a, b = (corners(hole, own, rim) for hole, own in (one, two))
    pairs = list(itertools.product(itertools.pairwise(a), itertools.pairwise(b)))
    if any(crossing(p, q) for p, q in pairs) or inside(a[2], b) or inside(b[2], a):
        return 0.0
    return min(min(reach(x, q) for x in p) for pair in pairs for p, q in (pair, pair[::-1]))


def crossing(p, q):
    def side(a, b, c):
        return ((b - a).conjugate() * (c - a)).imag

    return side(*p, q[0]) * side(*p, q[1]) < 0 and side(*q, p[0]) * side(*q, p[1]) < 0


def inside(point, outline):
    turns = [((b - a).conjugate() * (point - a)).imag for a, b in itertools.pairwise(outline)]
    return all(t < 0 for t in turns) or all(t > 0 for t in turns)


def reach(point, segment):
    a, b = segment
    along = min(1.0, max(0.0, ((b - a).conjugate() * (point - a)).real / abs(b - a) ** 2))
    return abs(point - a - along * (b - a))


def options(case):
    """Return every hole that may be drilled: counterweight, hole, what it deepens, mass, taken."""
    every = []
    for n, cw in enumerate(case["counterweights"]):
        statics = np.array([[1, 1], case["planes_mm"]])
        share = np.linalg.solve(statics, np.array([1, cw.z_mm]))
        drills = [d for d in set(case["drills_mm"]) if (cw.width_mm - d) / 2 >= EDGE]
        depths = list(upto(case["min_depth_mm"], case["depth_step_mm"], cw.max_depth_mm))
        first = cw.centre_degrees - cw.half_span_degrees
        wide = min(2 * cw.half_span_degrees, 360.0 - case["angle_step_degrees"])
        angles = list(upto(first, case["angle_step_degrees"], first + wide))
        holes = [(DrilledHole(a, d, h), None) for d in drills for h in depths for a in angles]
        if case["deepen"]:
            holes += [
                (DrilledHole(old.degrees, old.diameter_mm, h), k)
                for k, old in enumerate(cw.holes)
                for h in depths
                if old.diameter_mm in drills and h > old.depth_mm
            ]
        for hole, deepens in holes:
            others = [
                (where, old)
                for m, where in enumerate(case["counterweights"])
                for k, old in enumerate(where.holes)
                if (m, k) != (n, deepens)
            ]
            if all(leave(cw, hole, where, old) for where, old in others):
                gone = np.array(moments(hole.diameter_mm, hole.depth_mm, cw.radius_mm))
                if deepens is not None:
                    old = cw.holes[deepens]
                    gone = gone - moments(old.diameter_mm, old.depth_mm, cw.radius_mm)
                taken = gone[1] * np.exp(1j * math.radians(hole.degrees)) * share
                every.append((n, hole, deepens, gone[0], taken))
    return every


def upto(first, step, last):
    return (first + k * step for k in range(int((last - first) / step + 1e-9) + 1) if last >= first)


def leave(here, hole, there, other):
    """Return whether two holes leave the web: those of one place along the crank, to one another.

    Of places that lie partly over one another, what the drills leave along the crank counts too.
    """
    along = abs(here.z_mm - there.z_mm)
    if along >= (here.width_mm + there.width_mm) / 2:
        return True
    rim = max(here.radius_mm, there.radius_mm)
    across = web((hole, here.radius_mm), (other, there.radius_mm), rim)
    return max(across, along - (hole.diameter_mm + other.diameter_mm) / 2) >= WEB


def stand_together(case, one, two):
    if one[0] == two[0] and one[2] is not None and one[2] == two[2]:
        return False
    here, there = (case["counterweights"][pick[0]] for pick in (one, two))
    return leave(here, one[1], there, two[1])


def brute(case, every):
    """Return (holes, metal) of the best of all placings of up to four holes, or None."""
    if not every:
        return None
    limit = case["margin"] * np.array(case["tolerance_gmm"])
    taken, mass = np.array([o[4] for o in every]), np.array([o[3] for o in every])
    together = functools.cache(lambda i, j: stand_together(case, every[i], every[j]))
    picks = np.arange(len(every))[:, None]
    for number in range(1, MOST + 1):
        left = np.abs(case["unbalance"] - taken[picks].sum(axis=1))
        good = picks[(left <= limit).all(axis=1)]
        if len(good):
            return number, float(mass[good].sum(axis=1).min())
        last = picks[:, -1]
        rows = [
            np.column_stack([picks[last < k], np.full((last < k).sum(), k)])
            for k in range(len(every))
        ]
        picks = np.concatenate(rows) if rows else picks[:0]
        for held in range(number):
            pairs, which = np.unique(
                picks[:, held] * len(every) + picks[:, -1], return_inverse=True
            )
            free = [together(*divmod(pair, len(every))) for pair in pairs.tolist()]
            picks = picks[np.array(free, dtype=bool)[which]]
        if not len(picks):
            return None
    return None


def invented(seed):
    """Return a small task: ordinary ones, and every kind of odd one."""
    random = np.random.default_rng([41, seed])
    odd = (
        *("plain", "one", "same z", "disc", "narrow", "old", "deepen", "swapped", "no depth"),
        "sectors",  # of one wheel, over one another or side by side, with holes in some
    )
    kind = odd[seed % len(odd)]
    count = 1 if kind == "one" else int(random.integers(1, 4))
    step = float(random.choice([31.0, 45.0] if kind == "disc" else [15.0, 24.0, 31.0]))
    place = float(random.uniform(50, 550))
    webs = []
    for n in range(3 if kind == "sectors" else count):
        half = {"disc": 180.0, "narrow": float(random.choice([0.0, 0.3, 7.5]))}.get(
            kind, float(random.choice([15.5, 31.0, 62.0, 110.0]))
        )
        rim, centre = float(random.choice([70.0, 85.0])), float(random.integers(-200, 400))
        width = float(random.choice([14.0, 18.0, 22.5]))  # 14: 8 mm just fits; 16 mm wants 22
        deepest = 4.0 if kind == "no depth" and n == 0 else float(random.choice([12.0, 17.0, 21.0]))
        old = ()
        if kind in ("old", "deepen", "disc") or (kind == "sectors" and n == 1):
            angles = centre + random.uniform(-1, 1, int(random.integers(1, 4))) * half
            old = tuple(
                DrilledHole(float(a), 8.0, float(random.choice([5.0, 9.0]))) for a in angles
            )
        z = place if kind in ("same z", "sectors") else float(random.uniform(20, 580))
        if kind == "sectors":
            z, rim = 540.0 if n == 2 else z, webs[0].radius_mm if n == 1 else rim
            centre = webs[0].centre_degrees + 25.0 if n == 1 else centre
        webs.append(Counterweight(z, centre, half, rim, width, deepest, old))
    return {
        "counterweights": webs,
        "planes_mm": [540.0, 60.0] if kind == "swapped" else [60.0, 540.0],
        "drills_mm": [[16.0, 8.0, 16.0], [12.0, 8.0], [8.0]][int(random.integers(3))],
        "tolerance_gmm": [float(random.choice([40.0, 150.0])), float(random.choice([60.0, 200.0]))],
        "margin": float(random.choice([0.5, 1.0])),
        "depth_step_mm": float(random.choice([5.0, 6.5])),
        "min_depth_mm": 5.0,
        "angle_step_degrees": step,
        "deepen": kind == "deepen",
    }, random


def aimed(case, every, random):
    """Return an unbalance that a few of the holes nearly take off, whether they fit or not."""
    picks = (
        random.integers(len(every), size=int(random.choice([1, 2, 3, 3, 4, 4]))) if every else []
    )
    limit = case["margin"] * np.array(case["tolerance_gmm"])
    off = limit * random.uniform(0, 1.1, 2) * np.exp(2j * np.pi * random.uniform(size=2))
    return sum((every[k][4] for k in picks), np.zeros(2)) + off


def judge(seed):
    case, random = invented(seed)
    every = options(case)
    if len(every) > MANY:
        return "too many to try"
    case["unbalance"] = aimed(case, every, random)
    if (np.abs(case["unbalance"]) <= case["margin"] * np.array(case["tolerance_gmm"])).all():
        return "nothing to do"
    best = brute(case, every)
    shop = {"edge_mm": EDGE, "min_web_mm": WEB, "point_degrees": POINT}
    made = plan(**case, **shop, time_limit_s=300)  # a busy machine proves as much as any
    if best is None:
        assert made.feasible is False or made.bound_holes > MOST
        return "cannot be"
    assert made.feasible
    assert made.optimal
    # the quadrature of every mass is good to 1e-9 g or 1e-11 of it
    assert (len(made.holes), made.removed_g) == pytest.approx(best, rel=1e-8)
    return f"{best[0]} holes"


@pytest.mark.parametrize("first", range(0, 70, 10))
def test_the_plan_is_the_best_of_all_placings(first):
    met = [judge(seed) for seed in range(first, first + 10)]
    assert len(set(met)) > 1  # cases of more than one kind
    assert sum("holes" in how for how in met) >= 4  # not only those that are refused or left out
