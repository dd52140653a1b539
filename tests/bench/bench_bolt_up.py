"""Bolt-up positions: the block search beside a plain loop over all combinations.

Run: python tests/bench/bench_bolt_up.py [--short]. Prints seeds, combinations and the ratio of
the two times in the same run; the scores must agree.
"""

import itertools
import math
import sys
import time

import numpy as np

from balance.spin.indexing import Component, best_positions


def plain_loop(crank, parts):
    turned = [
        part.unbalance * np.exp(2j * np.pi * np.arange(part.positions) / part.positions)[:, None]
        for part in parts
    ]
    return min(float(np.abs(crank + sum(choice)).max()) for choice in itertools.product(*turned))


def timed(function, *arguments):
    start = time.perf_counter()
    result = function(*arguments)
    return result, time.perf_counter() - start


def main(short):
    stocks = [(3, 6, 6), (3, 6, 8, 6), (3, 6, 8, 6, 4, 4)]
    for seed, positions in itertools.product(range(2), stocks[:2] if short else stocks):
        rng = np.random.default_rng(seed)
        draw = rng.normal(size=(len(positions) + 1, 2, 2)) @ np.array([1, 1j]) * 200
        parts = [Component(u, k) for u, k in zip(draw[1:], positions, strict=True)]
        best, fast = timed(best_positions, draw[0], parts)
        score, slow = timed(plain_loop, draw[0], parts)
        assert math.isclose(best.score, score, rel_tol=1e-9)
        print(
            f"seed {seed}  {best.combinations:6d} combinations  as given {best.as_given:6.1f}  "
            f"best {best.score:6.1f} g mm  plain loop / search = {slow / fast:.0f}"
        )


if __name__ == "__main__":
    main("--short" in sys.argv)
