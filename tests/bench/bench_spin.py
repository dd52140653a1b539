"""Readings to unbalance: influence, conventions, planes, beside general least squares and loops.

    python tests/bench/bench_spin.py [--short]

n is the number of sensors, of trial runs, of spins, or of vectors. The general optimisers solve the
same task from the formula alone; answers are compared.
"""

import itertools
from collections.abc import Iterator

import numpy as np
from _measure import growth, side_by_side
from _table import Row, alone
from scipy.optimize import least_squares, minimize

from balance.spin.conventions import KnownSpin, identify
from balance.spin.indexing import separate
from balance.spin.influence import coefficients, correction, from_amplitudes
from balance.spin.planes import transfer

ROOM = "spin"
SEED = 20240618
SEEDS = f"[{SEED}, n]"
LOOPED = 1000


def drawn(rng, *shape):
    """Return complex normal numbers."""
    return rng.normal(size=shape) + 1j * rng.normal(size=shape)


def halves(values):
    """Return real and imaginary parts side by side, for optimisers of real numbers."""
    return np.concatenate([np.real(values).ravel(), np.imag(values).ravel()])


def whole(values):
    """Return complex numbers of halves."""
    real, imaginary = np.split(np.asarray(values), 2)
    return real + 1j * imaginary


def series(what, baseline, sizes, case, agree) -> Iterator[Row]:
    """Yield a row for each size; ``case`` makes ours, theirs and how much of n theirs did."""
    spent = []
    for n in sizes:
        ours, theirs, done = case(n, np.random.default_rng([SEED, n]))
        mine, other = side_by_side(ours, theirs)
        assert agree(mine.answer, other.answer), f"{what} of {n}: {baseline} disagrees"
        spent.append(mine.seconds)
        yield Row(
            room=ROOM,
            what=what,
            size=n,
            ours_s=mine.seconds,
            baseline=baseline,
            baseline_s=other.seconds * n / done,
            growth=growth(sizes, spent) if n == sizes[-1] else None,
            note=f"{baseline} timed on {done}, scaled up" if done < n == sizes[-1] else "",
        )


def trial_weights(n, rng):
    """Two planes, n sensors: from trial runs to what must be added."""
    truth, start, trials = drawn(rng, n, 2), drawn(rng, n), drawn(rng, 2) + 2
    runs = start + (truth * trials).T

    def ours():
        return correction(coefficients(start, runs, trials), start)

    def theirs():
        influence = ((runs - start) / trials[:, None]).T
        found = least_squares(lambda w: halves(start + influence @ whole(w)), np.zeros(4))
        return whole(found.x)

    return ours, theirs, n


def without_phase(n, rng):
    """N trial runs, amplitudes only, one hundredth of noise."""
    c = 0.4 * np.exp(1j * rng.uniform(0, 6))
    trials = np.exp(2j * np.pi * np.arange(n) / n)
    amplitudes = np.abs(1 + c * trials) + rng.normal(0, 0.01, n)

    def misfit(x):
        return float(np.sum((np.abs(1 + complex(*x) * trials) - amplitudes) ** 2))

    def theirs():
        starts = np.exp(2j * np.pi * np.arange(4) / 4) / 2
        tight = {"xatol": 1e-9, "fatol": 1e-15}
        tries = (
            minimize(misfit, [s.real, s.imag], method="Nelder-Mead", options=tight) for s in starts
        )
        return -1 / complex(*min(tries, key=lambda found: found.fun).x)

    return lambda: from_amplitudes(1.0, trials, amplitudes).correction, theirs, n


def conventions(n, rng):
    """N spins of a two-plane machine that counts against and shows the flywheel's plane first."""
    own, added = 300 * drawn(rng, 2), 500 * drawn(rng, n, 2)
    added[0] = 0
    shown = (np.conj((own + added) * np.exp(0.7j)) / 12)[:, ::-1] + 0.02 * drawn(rng, n, 2)
    spins = [
        KnownSpin([(abs(v), float(np.degrees(np.angle(v)))) for v in row], list(masses))
        for row, masses in zip(shown, added, strict=True)
    ]

    def rate(sense, nose_first):
        seen = shown if sense > 0 else np.conj(shown)
        seen = seen if nose_first else seen[:, ::-1]

        def off(x):
            size, vectors = whole(x[:2]), whole(x[2:])
            return halves(seen - size * (vectors + added))

        found = least_squares(off, [0.1, 0.0, 100, 100, 100, 100], x_scale=[0.1, 0.1] + [300] * 4)
        return found.cost, sense, nose_first

    def theirs():
        best = min(itertools.starmap(rate, itertools.product((1, -1), (True, False))))
        return best[1:]

    def ours():
        best = identify(spins).best
        return best.sense, best.nose_first

    return ours, theirs, n


def planes(n, rng):
    """N vectors at places of their own, moved onto two planes."""
    vectors, places, onto = drawn(rng, n), rng.uniform(0, 600, n), np.array([60.0, 540.0])

    def theirs():
        a, b = onto.tolist()
        left = right = 0j
        for u, z in zip(vectors[:LOOPED].tolist(), places[:LOOPED].tolist(), strict=True):
            left, right = left + u * (b - z) / (b - a), right + u * (z - a) / (b - a)
        return left, right

    def ours(some=n):
        return transfer(vectors[:some], places[:some], onto)

    assert np.allclose(ours(LOOPED), theirs()), "the plain loop disagrees"
    return ours, theirs, min(n, LOOPED)


def turned(n, rng):
    """A part turned to n positions on its carrier, two planes."""
    carrier, part = drawn(rng, 2), drawn(rng, 2)
    angles = np.arange(n) * 360.0 / n
    shown = carrier + part * np.exp(1j * np.radians(angles))[:, None]

    def theirs():
        turn = np.exp(1j * np.radians(angles))[:, None]
        found = least_squares(
            lambda x: halves(whole(x)[:2] + whole(x)[2:] * turn - shown), np.zeros(8)
        )
        return whole(found.x)

    def ours():
        found = separate(shown, angles)
        return np.concatenate([found.carrier, found.part])

    return ours, theirs, n


def close(tolerance):
    """Return a comparison of answers; two optimisers stop at slightly different places."""
    return lambda ours, theirs: np.allclose(ours, theirs, rtol=tolerance, atol=tolerance)


def rows(*, short: bool) -> Iterator[Row]:
    """Yield the rows of this bench."""
    few = (4, 16, 64) if short else (4, 16, 64, 256, 1024)
    yield from series("trial weights", "least_squares", few, trial_weights, close(1e-6))
    yield from series(
        "without phase", "Nelder-Mead", (3, 6, 12) if short else (3, 6, 12, 24, 48),
        without_phase, close(1e-4),
    )  # fmt: skip
    yield from series(
        "conventions", "least_squares", (3, 6, 12) if short else (3, 6, 12, 24, 48), conventions,
        lambda ours, theirs: ours == theirs,
    )  # fmt: skip
    yield from series("index positions", "least_squares", few, turned, close(1e-6))
    yield from series(
        "plane transfer", "plain loop",
        (1000, 10_000, 100_000) if short else (1000, 10_000, 100_000, 1_000_000),
        planes, lambda _, __: True,
    )  # fmt: skip


if __name__ == "__main__":
    alone(__doc__, rows)
