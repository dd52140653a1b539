"""One million virtual drillings of a three-hole plan, and chances of plans made for 95 %.

    python tests/bench/bench_drilling.py [--short]

All cases are invented. Times are wall clock of this run; read them as ratios on a shared machine.
"""

import argparse
import time

import numpy as np

from balance.errors import InputError
from balance.metal.chance import chance_of, plan_for_chance
from balance.metal.planning import Counterweight, plan

PLANES = (60.0, 540.0)
DRILLS = (8.0, 10.0, 12.0, 16.0)
TOLERANCE = (60.0, 60.0)


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


def heavy(rng, webs, holes, most=1500.0):
    """Return an unbalance that about so many holes take away, with 15 g mm of noise."""
    total = rng.normal(0, 15, 2) + 1j * rng.normal(0, 15, 2)
    a, b = PLANES
    for _ in range(holes):
        cw = webs[rng.integers(len(webs))]
        angle = cw.centre_degrees + rng.uniform(-1, 1) * cw.half_span_degrees
        force = rng.uniform(300, most) * np.exp(1j * np.radians(angle))
        total += force * np.array([(b - cw.z_mm) / (b - a), (cw.z_mm - a) / (b - a)])
    return total


def three_holes():
    """Return a plan of three holes."""
    for seed in range(100):
        rng = np.random.default_rng([3, seed])
        webs = crank(rng, 4)
        made = plan(
            heavy(rng, webs, 3),
            PLANES,
            counterweights=webs,
            drills_mm=DRILLS,
            tolerance_gmm=TOLERANCE,
        )
        if made.feasible and len(made.holes) == 3:
            print(f"three-hole plan: seed [3, {seed}]")
            return made
    raise SystemExit("no plan of three holes among the seeds")


def million(short):
    """Time one million virtual drillings."""
    made = three_holes()
    times = []
    for seed in range(1 if short else 5):
        start = time.perf_counter()
        chance = chance_of(made, draws=1_000_000, seed=seed)
        times.append(time.perf_counter() - start)
    start = time.perf_counter()
    np.random.default_rng(0).normal(size=13_000_000)
    floor = time.perf_counter() - start
    print(
        f"1e6 drillings of 3 holes: {np.median(times):.3f} s (aim 0.5); 13e6 normal draws alone "
        f"{floor:.3f} s, ratio {np.median(times) / floor:.2f}; inside {chance.inside:.4f}"
    )


def aimed(short):
    """Print chances, on fresh draws, of plans aimed at 95 % beside plans at half the tolerance."""
    rows = []
    for seed in range(6 if short else 24):
        rng = np.random.default_rng([77, seed])
        webs = crank(rng, (2, 4, 6, 8)[seed % 4])
        task = {"counterweights": webs, "drills_mm": DRILLS, "tolerance_gmm": TOLERANCE}
        wanted = heavy(rng, webs, 2 + seed % 3)
        start = time.perf_counter()
        try:
            made = plan_for_chance(wanted, PLANES, **task)
        except InputError as error:
            print(f"  seed [77, {seed}]: {str(error)[:70]}")
            continue
        spent = time.perf_counter() - start
        least = made.plan.removed_g - made.extra_g
        half = plan(wanted, PLANES, **task)
        rows.append(
            (
                chance_of(made.plan, seed=99).inside,
                100 * made.extra_g / least,
                chance_of(half, seed=99).inside if half.feasible else 0.0,
                100 * (half.removed_g / least - 1) if half.feasible else np.nan,
                spent,
            )
        )
    inside, extra, half, half_extra, spent = np.array(rows).T
    for name, chances, metal in (("aimed at 95 %", inside, extra), ("at half", half, half_extra)):
        print(
            f"{name}: {len(rows)} cases, chance median {np.median(chances):.3f}, worst tenth "
            f"{np.quantile(chances, 0.1):.3f}; extra metal median {np.nanmedian(metal):.2f} %, "
            f"mean {np.nanmean(metal):.2f} %"
        )
    print(f"time of an aimed plan: median {np.median(spent):.2f} s, most {spent.max():.2f} s")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--short", action="store_true")
    short = parser.parse_args().short
    million(short)
    aimed(short)
