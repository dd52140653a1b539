"""Bolt-up positions: the block search beside a plain loop over all combinations.

    python tests/bench/bench_bolt_up.py [--short]

n is the number of combinations. The scores must agree.
"""

import itertools
import math
import statistics
from collections.abc import Iterator

import numpy as np
from _measure import growth, side_by_side, timed
from _table import Row, alone

from balance.spin.indexing import Component, best_positions

ROOM = "spin"
SEEDS = "0 to 4"
STOCKS = ((3, 6, 6), (3, 6, 8, 6), (3, 6, 8, 6, 4, 4), (6, 8, 6, 8, 6, 8, 6), (8,) * 8)
LOOPED = 20_000  # more combinations than this are not looped over


def case(seed, positions):
    """Return an invented crank and what is bolted to it."""
    rng = np.random.default_rng(seed)
    draw = rng.normal(size=(len(positions) + 1, 2, 2)) @ np.array([1, 1j]) * 200
    return draw[0], [Component(u, k) for u, k in zip(draw[1:], positions, strict=True)]


def plain_loop(crank, parts):
    """Return the least score over every combination."""
    turned = [
        part.unbalance * np.exp(2j * np.pi * np.arange(part.positions) / part.positions)[:, None]
        for part in parts
    ]
    return min(float(np.abs(crank + sum(choice)).max()) for choice in itertools.product(*turned))


def rows(*, short: bool) -> Iterator[Row]:
    """Yield a row for each stock of parts."""
    stocks = STOCKS[:3] if short else STOCKS
    sizes, medians = [math.prod(stock) for stock in stocks], []
    for positions, size in zip(stocks, sizes, strict=True):
        cases = [case(seed, positions) for seed in range(2 if short else 5)]
        ours = [timed(lambda c=c: best_positions(*c)) for c in cases]
        medians.append(statistics.median(t.seconds for t in ours))
        loop = None
        if size <= LOOPED:
            mine, loop = side_by_side(
                lambda c=cases[0]: best_positions(*c), lambda c=cases[0]: plain_loop(*c), repeats=1
            )
            assert math.isclose(mine.answer.score, loop.answer, rel_tol=1e-9)
        gain = statistics.median(t.answer.score / t.answer.as_given for t in ours)
        yield Row(
            room=ROOM,
            what="bolt-up positions",
            size=size,
            ours_s=medians[-1] if loop is None else mine.seconds,
            baseline="" if loop is None else "plain loop",
            baseline_s=loop and loop.seconds,
            growth=growth(sizes, medians) if size == sizes[-1] else None,
            note=f"what remains is {100 * gain:.0f} % of that as given (median)",
        )


if __name__ == "__main__":
    alone(__doc__, rows)
