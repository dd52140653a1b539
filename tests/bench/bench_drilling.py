"""Virtual drillings of a three-hole plan, and chances of plans made for 95 %.

    python tests/bench/bench_drilling.py [--short]

n is the number of drillings. All cases are invented. Ours works on one thread here, as the
baselines do. The plain loop draws and drills one crank after the other.
"""

import cmath
import math
import random
import statistics
from collections.abc import Iterator

import numpy as np
from _cases import PLANES, TOLERANCE, bare_moment, crank, heavy, task
from _measure import growth, side_by_side, timed
from _table import Row, alone

from balance.errors import InputError
from balance.metal.chance import Errors, chance_of, plan_for_chance
from balance.metal.planning import plan

ROOM = "metal"
SEEDS = "plan [3, k], draws 0 to 4, aimed [77, k], k = 0 ..."
LOOPED = 2000


def three_holes():
    """Return a plan of three holes."""
    for seed in range(100):
        rng = np.random.default_rng([3, seed])
        webs = crank(rng, 4)
        made = plan(heavy(rng, webs, 3, 1500.0), **task(webs))
        if made.feasible and len(made.holes) == 3:
            return made
    raise RuntimeError("no plan of three holes among the seeds")


def loop_over(made, draws):
    """Return the share inside of so many drillings, one after the other in plain Python."""
    draw, task_, inside = random.Random(1), made.task, 0
    errors, (a, b) = Errors(), PLANES
    for _ in range(draws):
        left = [
            u
            * (1 + draw.gauss(0, errors.reading_percent / 200))
            * cmath.rect(1, draw.gauss(0, math.radians(errors.reading_degrees) / 2))
            for u in task_.unbalance.tolist()
        ]
        for hole in made.holes:
            gone = bare_moment(
                hole.diameter_mm + draw.uniform(0, errors.oversize_mm),
                hole.depth_mm + draw.gauss(0, errors.depth_mm / 2),
                hole.surface_radius_mm,
            )
            off = hole.degrees + draw.gauss(0, errors.hole_degrees / 2)
            taken = cmath.rect(gone, math.radians(off))
            left[0] -= taken * (b - hole.z_mm) / (b - a)
            left[1] -= taken * (hole.z_mm - a) / (b - a)
        inside += all(abs(u) <= t for u, t in zip(left, TOLERANCE, strict=True))
    return inside / draws


def drillings(sizes, repeats) -> Iterator[Row]:
    """Yield a row for each number of drillings."""
    made, medians = three_holes(), []
    loop = timed(lambda: loop_over(made, LOOPED))
    for n in sizes:
        mine, raw = side_by_side(
            lambda n=n: chance_of(made, draws=n),
            lambda n=n: np.random.default_rng(0).normal(size=13 * n),
            repeats=repeats if n <= 1_000_000 else 1,
        )
        medians.append(mine.seconds)
        share = mine.answer.inside
        spread = math.sqrt(max(share * (1 - share), 1e-4) / LOOPED)
        assert abs(share - loop.answer) < 5 * spread, "the plain loop disagrees"
        aim = n == 1_000_000
        common = {"room": ROOM, "what": "drillings of 3 holes", "size": n, "ours_s": mine.seconds}
        yield Row(
            **common,
            baseline="bare draws",
            baseline_s=raw.seconds,
            aim="0.5 s" if aim else "",
            kept=mine.seconds <= 0.5 if aim else None,
            growth=growth(sizes, medians) if n == sizes[-1] else None,
            note=f"bare draws: the 13 normal numbers a drilling needs; inside {share:.4f}",
        )
        if aim:
            yield Row(
                **common,
                baseline="plain loop",
                baseline_s=loop.seconds * n / LOOPED,
                note=f"the loop ran over {LOOPED} drillings, scaled up",
            )


def aimed(cases) -> Iterator[Row]:
    """Yield the time of plans aimed at 95 %, and what chance they have on fresh draws."""
    took, plain_took, found = [], [], []
    for seed in range(cases):
        rng = np.random.default_rng([77, seed])
        webs = crank(rng, (2, 4, 6, 8)[seed % 4])
        wanted = heavy(rng, webs, 2 + seed % 3, 1500.0)
        try:
            mine = timed(lambda u=wanted, w=webs: plan_for_chance(u, **task(w)))
        except InputError:
            continue  # proven impossible: nothing to aim
        half = timed(lambda u=wanted, w=webs: plan(u, **task(w)))
        made, least = mine.answer, mine.answer.plan.removed_g - mine.answer.extra_g
        able = half.answer.feasible
        took.append(mine.seconds)
        plain_took.append(half.seconds)
        found.append(
            (
                chance_of(made.plan, seed=99).inside,
                100 * made.extra_g / least,
                chance_of(half.answer, seed=99).inside if able else 0.0,
                100 * (half.answer.removed_g / least - 1) if able else np.nan,
            )
        )
    inside, extra, half_inside, half_extra = np.array(found).T
    kept = np.median(inside) >= 0.95 and np.quantile(inside, 0.1) >= 0.85
    yield Row(
        room=ROOM,
        what="aimed plan, median",
        ours_s=statistics.median(took),
        baseline="plan at half",
        baseline_s=statistics.median(plain_took),
        aim="95%",
        kept=bool(kept and np.median(extra) <= 4),
        note=f"{len(took)} plans: chance median {np.median(inside):.3f}, worst tenth "
        f"{np.quantile(inside, 0.1):.3f} (aim 0.95, 0.85), extra metal {np.median(extra):.1f} % "
        f"(aim 4); at half the tolerance {np.median(half_inside):.3f}, "
        f"{np.quantile(half_inside, 0.1):.3f}, {np.nanmedian(half_extra):.1f} %",
    )
    yield Row(room=ROOM, what="aimed plan, slowest", ours_s=max(took))


def rows(*, short: bool) -> Iterator[Row]:
    """Yield the rows of this bench."""
    sizes = (30_000, 300_000, 1_000_000) if short else (10_000, 100_000, 1_000_000, 10_000_000)
    yield from drillings(sizes, 1 if short else 3)
    yield from aimed(4 if short else 24)


if __name__ == "__main__":
    alone(__doc__, rows)
