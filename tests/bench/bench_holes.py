"""Holes: speed beside a general-purpose library, shop formulas, and webs against meshes.

    python tests/bench/bench_holes.py [--short]

n is the number of holes: 6-25 mm wide, 5-40 mm deep, rims of 60-110 mm, 118 degrees.
"""

from collections.abc import Iterator

import numpy as np
from _cases import bare_moment, from_tests
from _measure import growth, side_by_side, timed
from _table import Row, alone, count
from scipy.optimize import brentq

from balance.metal.holes import DrilledHole, depth_for, point_mm, radial_hole, slug, web_mm

ROOM = "metal"
SEED = 20240614
SEEDS = f"holes {SEED}, shop formulas {SEED + 1}, webs {SEED + 2}"
DENSITY = 7.85
SAMPLE = 200  # holes that the one-at-a-time baselines are timed on


def invented(n: int, seed: int):
    """Return widths, depths and rims [mm]."""
    rng = np.random.default_rng(seed)
    return rng.uniform(6, 25, n), rng.uniform(5, 40, n), rng.uniform(60, 110, n)


def root_finder(d, rim, wanted) -> list[float]:
    """Return the depths, a hole at a time, by a general root finder on the bare formula."""
    return [
        brentq(lambda x, di=di, ri=ri, ui=ui: bare_moment(di, x, ri) - ui, 0.5, 45.0)
        for di, ri, ui in zip(d, rim, wanted, strict=True)
    ]


def speed(sizes, repeats) -> Iterator[Row]:
    """Yield forward and inverse, one drill on one rim and all different."""
    spent = {}
    for n in sizes:
        d, h, rim = invented(n, SEED)
        first = (x[:SAMPLE].tolist() for x in (d, h, rim))
        forward_loop = timed(lambda f=tuple(first): [bare_moment(*hole) for hole in zip(*f)])  # noqa: B905
        for kind, one_d, one_rim in (("one drill", 12.7, 76.0), ("all different", d, rim)):
            place = {"surface_radius_mm": one_rim}
            unbalance = radial_hole(one_d, h, **place).unbalance_gmm
            forward, back = side_by_side(
                lambda o=one_d, p=place, h=h: radial_hole(o, h, **p),
                lambda o=one_d, p=place, u=unbalance: depth_for(u, diameter_mm=o, **p),
                repeats=repeats,
            )
            off = float(np.abs(back.answer - h).max())
            wide = np.broadcast_to(one_d, n)[:SAMPLE].tolist()
            rims = np.broadcast_to(one_rim, n)[:SAMPLE].tolist()
            found = timed(lambda w=wide, r=rims, u=unbalance: root_finder(w, r, u[:SAMPLE]))
            assert np.allclose(found.answer, h[:SAMPLE], atol=1e-6)
            for task, mine, name, theirs, most in (
                ("holes", forward, "plain loop", forward_loop, 0.15),
                ("depths", back, "scipy brentq", found, 0.02),
            ):
                last, what = n == sizes[-1], f"{task}, {kind}"
                spent.setdefault(what, []).append(mine.seconds)
                aim = n == 1_000_000
                yield Row(
                    room=ROOM,
                    what=what,
                    size=n,
                    ours_s=mine.seconds,
                    baseline=name,
                    baseline_s=theirs.seconds * n / SAMPLE,
                    growth=growth(sizes, spent[what]) if last else None,
                    aim=f"{most:g} s" if aim else "",
                    kept=mine.seconds <= most if aim else None,
                    note=f"back to the depth within {off:.0e} mm" if last and mine is back else "",
                )


def shallow(n) -> Row:
    """Spots that are not wholly below the curved surface take the long way."""
    spots = np.random.default_rng(SEED).uniform(0, 0.5, n)
    mine = timed(lambda: radial_hole(25.0, spots, surface_radius_mm=60.0))
    return Row(room=ROOM, what="shallow spots", size=n, ours_s=mine.seconds)


def shop_formulas(n: int) -> Row:
    """What the short rules of the shop are worth: errors of the unbalance, no times."""
    d, h, rim = invented(n, SEED + 1)
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
    errors = {name: 100 * (value / exact.unbalance_gmm - 1) for name, value in rules.items()}
    errors["slug: density difference x volume"] = slug_rule_errors(rim)
    said = (
        f"{name} " + " / ".join(f"{e:+.1f}" for e in np.percentile(off, [5, 50, 95]))
        for name, off in errors.items()
    )
    return Row(
        room=ROOM,
        what="rules of the shop",
        size=n,
        note="errors in % (5th, 50th, 95th): " + "; ".join(said),
    )


def slug_rule_errors(rim):
    """Return the errors [%] of the short rule for slugs."""
    rng = np.random.default_rng([SEED, 1])
    length, above, width = (rng.uniform(*ends, len(rim)) for ends in ((12, 30), (3, 12), (12, 26)))
    gain = slug(width, length, surface_radius_mm=rim, bore_depth_mm=length + above)
    rule = (18.0 - DENSITY) / 1000 * np.pi / 4 * width**2 * length * gain.slug_radius_mm
    return 100 * (rule / gain.net_unbalance_gmm - 1)


def webs(n: int) -> Row:
    """Webs against the gap of meshes, whose outline in the mid-plane is exact."""
    meshes = from_tests("metal/test_mesh_booleans.py")
    rng = np.random.default_rng(SEED + 2)
    over, chord, ours_s, mesh_s = [], [], 0.0, 0.0
    for _ in range(n):
        rim, point, holes = meshes.random_pair(rng)
        ours, mesh = side_by_side(
            lambda h=holes, r=rim, p=point: web_mm(*h, surface_radius_mm=r, point_degrees=p),
            lambda h=holes, r=rim, p=point: mesh_gap(meshes, h, r, p, 64),
            repeats=1,
        )
        gap = mesh.answer
        if gap - ours.answer >= 5e-4:  # a flat spot's mouth shows the facets: cut them finer
            gap = mesh_gap(meshes, holes, rim, point, 256)
        ours_s, mesh_s = ours_s + ours.seconds, mesh_s + mesh.seconds
        over.append(float(ours.answer - gap))
        if 0 < gap < 20 and min(hole.depth_mm for hole in holes) > 5:
            chord.append(surface_chord(rim, holes) - gap)
    trap = f"; the chord at the surface overstates by {np.median(chord):.1f} mm" if chord else ""
    return Row(
        room=ROOM,
        what="web of two holes",
        ours_s=ours_s / n,
        baseline="mesh gap",
        baseline_s=mesh_s / n,
        aim="1e-3mm",
        kept=max(over) <= 1e-9 and min(over) >= -1e-3,
        note=f"{count(n)} pairs: most above the mesh {max(over):+.1e} mm (unsafe), most below "
        f"{-min(over):.1e} mm{trap}",
    )


def mesh_gap(meshes, holes, rim, point, facets) -> float:
    """Return the gap of two meshes with so many facets."""
    one, two = (meshes.empty(hole, rim, point, facets) for hole in holes)
    return float(one.min_gap(two, 500.0))


def surface_chord(rim: float, holes: list[DrilledHole]) -> float:
    """Return the distance of two mouths along the chord: what a rule laid on the rim would say."""
    one, two = holes
    turn = np.radians(two.degrees - one.degrees)
    return float(2 * rim * np.sin(turn / 2) - (one.diameter_mm + two.diameter_mm) / 2)


def rows(*, short: bool) -> Iterator[Row]:
    """Yield the rows of this bench."""
    yield from speed((10_000, 100_000, 1_000_000), 1 if short else 5)
    yield shallow(1000 if short else 10_000)
    yield shop_formulas(10_000 if short else 200_000)
    yield webs(20 if short else 200)


if __name__ == "__main__":
    alone(__doc__, rows)
