"""Motion and shaking of one engine beside plain loops, quadrature and a multibody engine.

    python tests/bench/bench_motion.py [--short]

n is the number of crank angles, of orders, or of cylinders. The multibody engine computes the
inverse dynamics of the open tree with rigid rods, as in the tests, at each angle; it agrees.
"""

import math
from collections.abc import Iterator

import mpmath
import numpy as np
from _cases import from_tests
from _measure import growth, side_by_side, timed
from _table import Row, alone
from scipy.integrate import quad

from balance.engine.layouts import layout, middle_mm
from balance.engine.motion import harmonics, piston
from balance.engine.shaking import shake

ROOM = "engine"
SEEDS = "none: nothing is drawn"
SIZES = {"stroke_mm": 88.9, "rod_length_mm": 145.0}
SPEED_RPM = 4200.0
LOOPED = 2000


def plain_loop(degrees: list[float]) -> list[float]:
    """Return the piston's acceleration [m/s2] at each angle with the standard library."""
    r, length, w = SIZES["stroke_mm"] / 2, SIZES["rod_length_mm"], SPEED_RPM * math.pi / 30
    found = []
    for angle in degrees:
        q = math.radians(angle)
        s, c = math.sin(q), math.cos(q)
        along = math.sqrt(length**2 - (r * s) ** 2)
        bend = r * c + (r**2 * (c * c - s * s) + (r**2 * s * c / along) ** 2) / along
        found.append(1e-3 * w**2 * bend)
    return found


def pistons(sizes) -> Iterator[Row]:
    """Yield the motion of a piston at many angles."""
    spent = []
    for n in sizes:
        angles = np.linspace(0, 720, n)
        some = angles[:LOOPED].tolist()
        mine, loop = side_by_side(
            lambda a=angles: piston(a, **SIZES, speed_rpm=SPEED_RPM),
            lambda s=some: plain_loop(s),
        )
        assert np.allclose(mine.answer.acceleration_m_s2[:LOOPED], loop.answer, rtol=1e-10)
        spent.append(mine.seconds)
        yield Row(
            room=ROOM,
            what="motion of a piston",
            size=n,
            ours_s=mine.seconds,
            baseline="plain loop",
            baseline_s=loop.seconds * n / len(some),
            growth=growth(sizes, spent) if n == sizes[-1] else None,
            note="ours: position, speed and acceleration of piston and rod; the loop: one of six"
            if n == sizes[0]
            else "",
        )


def coefficient(order: int, ratio: float) -> float:
    """Return a_n by quadrature of the exact acceleration."""

    def part(q):
        s, c = math.sin(q), math.cos(q)
        along = math.sqrt(1 - (ratio * s) ** 2)
        bend = c + ratio * ((c * c - s * s) + (ratio * s * c / along) ** 2) / along
        return bend * math.cos(order * q) / math.pi

    return quad(part, 0, 2 * math.pi, epsabs=1e-12, limit=400)[0]


def by_mpmath(order: int, ratio: float) -> float:
    """The same with mpmath at fifteen digits."""

    def part(q):
        s, c = mpmath.sin(q), mpmath.cos(q)
        along = mpmath.sqrt(1 - (ratio * s) ** 2)
        bend = c + ratio * ((c * c - s * s) + (ratio * s * c / along) ** 2) / along
        return bend * mpmath.cos(order * q) / mpmath.pi

    return float(mpmath.quad(part, mpmath.linspace(0, 2 * mpmath.pi, 5)))


def series(sizes) -> Iterator[Row]:
    """Yield the harmonics of a piston, so many orders at once."""
    ratio, spent = 0.3, []
    for n in sizes:
        orders = list(range(1, n + 1))
        mine, theirs = side_by_side(
            lambda o=orders: harmonics(ratio, o),
            lambda o=orders: [coefficient(k, ratio) for k in o],
        )
        assert np.allclose(mine.answer, theirs.answer, atol=1e-10)
        spent.append(mine.seconds)
        common = {"room": ROOM, "what": "harmonics", "size": n, "ours_s": mine.seconds}
        last = n == sizes[-1]
        law = growth(sizes, spent) if last else None
        yield Row(**common, baseline="scipy quad", baseline_s=theirs.seconds, growth=law)
        if n == sizes[0]:
            slow = timed(lambda o=orders: [by_mpmath(k, ratio) for k in o])
            assert np.allclose(mine.answer, slow.answer, atol=1e-10)
            yield Row(**common, baseline="mpmath quad", baseline_s=slow.seconds)


def whole_engines(points: int) -> Iterator[Row]:
    """Yield force and couple over a turn of whole engines, beside the multibody engine."""
    tests = from_tests("engine/test_multibody.py")
    angles = np.arange(points) * 360.0 / points
    names = ("single", "V-2", "inline-4", "V-8", "V-12")
    sizes, spent = [], []
    for name in names:
        engine = layout(name, **SIZES, bore_spacing_mm=111.8)
        middle = middle_mm(engine)
        model = tests.tree(engine, middle)
        small = tests.ROD_G * tests.TO_CENTRE_MM / engine.rod_length_mm
        masses = {
            "reciprocating_g": tests.PISTON_G + small,
            "rotating_g": tests.ROD_G - small,
            "speed_rpm": SPEED_RPM,
            "counterweights": [tests.WEIGHT],
            "reference_z_mm": middle,
        }

        def ours(e=engine, m=masses):
            found = shake(e, **m)
            return found.force_n(angles), found.couple_nm(angles)

        mine, theirs = side_by_side(
            ours, lambda e=engine, m=model: [tests.ask(e, m, a)[0] for a in angles.tolist()]
        )
        largest = np.abs(mine.answer[0]).max()
        assert np.abs(mine.answer[0] + theirs.answer).max() < 1e-8 * largest
        sizes.append(len(engine.cylinders))
        spent.append(mine.seconds)
        yield Row(
            room=ROOM,
            what=f"shaking, {name}",
            size=sizes[-1],
            ours_s=mine.seconds,
            baseline="multibody",
            baseline_s=theirs.seconds,
            growth=growth(sizes, spent) if name == names[-1] else None,
            note=f"{points} angles of one turn; most of the multibody time is its Python loop"
            if name == names[0]
            else "",
        )


def rows(*, short: bool) -> Iterator[Row]:
    """Yield the rows of this bench."""
    yield from pistons((1000, 10_000, 100_000) if short else (1000, 10_000, 100_000, 1_000_000))
    yield from series((8, 16, 32) if short else (8, 16, 32, 64))
    yield from whole_engines(36 if short else 360)


if __name__ == "__main__":
    alone(__doc__, rows)
