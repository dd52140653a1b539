"""Holes: speed beside a general-purpose library, shop formulas, and webs against meshes.

Run as ``python tests/bench/bench_holes.py [--short]``. Prints its seeds; writes nothing.
"""

import argparse
import importlib.util
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from scipy.optimize import brentq

from balance.metal.holes import DrilledHole, depth_for, point_mm, radial_hole, slug, web_mm

SEED = 20240614
DENSITY = 7.85


def best(call: Callable[[], object], repeats: int = 7) -> float:
    """The shortest of several runs: the one the rest of the machine disturbed least."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return min(times)


def speed(n: int) -> None:
    rng = np.random.default_rng(SEED)
    d, h, rim = rng.uniform(6, 25, n), rng.uniform(5, 40, n), rng.uniform(60, 110, n)
    print(f"\n{n} holes, seed {SEED}: d 6-25, depth 5-40, R 60-110 mm, 118 degrees")
    for what, one_d, one_rim in (("one drill, one rim", 12.7, 76.0), ("all different", d, rim)):
        unbalance = radial_hole(one_d, h, surface_radius_mm=one_rim).unbalance_gmm
        place = {"surface_radius_mm": one_rim}
        forward = best(lambda o=one_d, p=place: radial_hole(o, h, **p))
        back = best(lambda o=one_d, p=place, u=unbalance: depth_for(u, diameter_mm=o, **p))
        lost = np.abs(depth_for(unbalance, diameter_mm=one_d, **place) - h).max()
        print(f"  {what:20s} forward {forward:.3f} s, inverse {back:.3f} s, off by {lost:.0e} mm")
    spots = rng.uniform(0, 0.5, n // 100)
    shallow = best(lambda: radial_hole(25.0, spots, surface_radius_mm=60.0), 3)
    print(f"  {n // 100} shallow spots: {shallow:.3f} s")
    some = slice(0, max(n // 5000, 20))
    wanted = radial_hole(d, h, surface_radius_mm=rim).unbalance_gmm[some]

    def by_root_finder() -> None:
        for di, ri, ui in zip(d[some], rim[some], wanted, strict=True):
            brentq(lambda x, di=di, ri=ri, ui=ui: moment(di, x, ri) - ui, 0.5, 45.0)

    each = best(by_root_finder, 3) / len(wanted)
    print(f"  scipy brentq on the bare formula, a hole at a time: {each * n:.1f} s for as many")


def moment(d: float, h: float, rim: float) -> float:
    """The bare formula, for the root finder."""
    a = d / 2
    t, q = a / np.tan(np.radians(59.0)), rim - h
    area = np.pi * a * a
    volume_part = area / 2 * (rim * rim - a * a / 4 - q * q)
    return DENSITY / 1000 * (volume_part + area * t / 3 * (q - t / 4))


def shop_formulas(n: int) -> None:
    rng = np.random.default_rng(SEED + 1)
    d, h, rim = rng.uniform(6, 25, n), rng.uniform(5, 40, n), rng.uniform(60, 110, n)
    exact = radial_hole(d, h, surface_radius_mm=rim)
    per_mm = DENSITY / 1000 * np.pi / 4 * d * d
    t = point_mm(d)
    rules = {
        "flat cylinder at mid-depth, no point": per_mm * h * (rim - h / 2),
        "flat cylinder, all of it at the rim": per_mm * h * rim,
        "exact mass, all of it at the rim": exact.mass_g * rim,
        "tip depth taken as a flat cylinder": per_mm * (h + t) * (rim - (h + t) / 2),
        "point counted, curve of the rim not": per_mm
        * ((h + t / 3) * rim - h * h / 2 - t / 3 * (h + t / 4)),
    }
    print(f"\nShop formulas, error in unbalance, {n} holes, seed {SEED + 1} (5th, 50th, 95th)")
    for name, value in rules.items():
        errors = np.percentile(100 * (value / exact.unbalance_gmm - 1), [5, 50, 95])
        print(f"  {name:38s} " + " ".join(f"{e:+6.1f} %" for e in errors))
    length, above = rng.uniform(12, 30, n), rng.uniform(3, 12, n)
    width = rng.uniform(12, 26, n)
    gain = slug(width, length, surface_radius_mm=rim, bore_depth_mm=length + above)
    rule = (18.0 - DENSITY) / 1000 * np.pi / 4 * width**2 * length * gain.slug_radius_mm
    errors = np.percentile(100 * (rule / gain.net_unbalance_gmm - 1), [5, 50, 95])
    print(
        f"  {'slug: density difference x volume':38s} " + " ".join(f"{e:+6.1f} %" for e in errors)
    )


def webs(n: int) -> None:
    """Webs against the gap of meshes, whose outline in the mid-plane is exact."""
    path = Path(__file__).parents[1] / "metal" / "test_mesh_booleans.py"
    spec = importlib.util.spec_from_file_location("meshes", path)
    meshes = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(meshes)
    rng = np.random.default_rng(SEED + 2)
    over, under, chord = [], [], []
    spent = {"ours": 0.0, "mesh": 0.0}
    for _ in range(n):
        rim, point, holes = meshes.random_pair(rng)
        start = time.perf_counter()
        ours = web_mm(*holes, surface_radius_mm=rim, point_degrees=point)
        middle = time.perf_counter()
        for facets in (64, 256):  # a flat spot's mouth shows the facets of the rim: cut them finer
            one, two = (meshes.empty(hole, rim, point, facets) for hole in holes)
            gap = one.min_gap(two, 500.0)
            if gap - ours < 5e-4:
                break
        spent["ours"] += middle - start
        spent["mesh"] += time.perf_counter() - middle
        over.append(ours - gap)
        under.append(gap - ours)
        if 0 < gap < 20 and min(hole.depth_mm for hole in holes) > 5:
            chord.append(surface_chord(rim, holes) - gap)
    print(f"\nWebs against mesh gaps, {n} random pairs, seed {SEED + 2}")
    print(f"  most above the mesh {max(over):+.1e} mm (unsafe), most below {max(under):+.1e} mm")
    print(f"  time a pair: ours {spent['ours'] / n:.5f} s, mesh {spent['mesh'] / n:.5f} s")
    tenths = np.percentile(chord, [5, 50, 95])
    print(
        "  the chord at the surface overstates by " + ", ".join(f"{c:.1f}" for c in tenths) + " mm"
    )


def surface_chord(rim: float, holes: list[DrilledHole]) -> float:
    one, two = holes
    turn = np.radians(two.degrees - one.degrees)
    return float(2 * rim * np.sin(turn / 2) - (one.diameter_mm + two.diameter_mm) / 2)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--short", action="store_true", help="a few seconds, for CI")
    short = parser.parse_args().short
    speed(100_000 if short else 1_000_000)
    shop_formulas(10_000 if short else 200_000)
    webs(20 if short else 1000)


if __name__ == "__main__":
    main()
