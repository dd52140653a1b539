"""Placing sets in cylinders: ours beside all permutations and a constraint solver.

Run as ``python tests/bench/bench_placing.py [--short]``. Prints its seeds; writes nothing.
The constraint solver (OR-Tools CP-SAT) gets the same objective as whole numbers.
"""

import argparse
import itertools
import time
from collections.abc import Callable

import numpy as np

from balance.engine.layouts import Cylinder, Engine, Throw, layout
from balance.engine.one_gram import unit_vectors
from balance.engine.placing import place, placed_residual

SEEDS = range(3)
SIZE = {"stroke_mm": 80.0, "rod_length_mm": 140.0, "bore_spacing_mm": 100.0}
GRID = 1000  # the solver's whole numbers: columns to a thousandth


def best(call: Callable[[], object], repeats: int) -> float:
    """The shortest of several runs: the one the rest of the machine disturbed least."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return min(times)


def sets(count: int, seed: int) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(seed)
    return {
        "reciprocating_g": rng.normal(500, 1, count).round(1),
        "rotating_g": rng.normal(600, 1, count).round(1),
    }


def pulls(engine: Engine) -> np.ndarray:
    """What 1 g reciprocating and 1 g rotating add in each cylinder: (cylinders, 2, dimensions)."""
    unit = unit_vectors(engine)
    moving = unit.reciprocating.reshape(len(engine.cylinders), -1)
    turning = unit.rotating[:, [0, 2], 0]
    none = np.zeros_like(turning), np.zeros_like(moving)
    both = np.stack([np.hstack([moving, none[0]]), np.hstack([none[1], turning])], axis=1)
    return np.concatenate([both.real, both.imag], axis=2)


def deviations(masses: dict[str, np.ndarray]) -> np.ndarray:
    both = np.stack([masses["reciprocating_g"], masses["rotating_g"]], axis=-1)
    return both - both.mean(axis=0)


def all_permutations(engine: Engine, masses: dict[str, np.ndarray]) -> float:
    """Every permutation at once with numpy."""
    columns, off = pulls(engine), deviations(masses)
    orders = np.array(list(itertools.permutations(range(len(off)))))
    width = columns.shape[0] * 2
    vectors = off[orders].reshape(len(orders), width) @ columns.reshape(width, -1)
    return float(np.sqrt(np.einsum("od,od->o", vectors, vectors).min()))


def cp_sat(
    engine: Engine, masses: dict[str, np.ndarray], seconds: float
) -> tuple[float, float, bool]:
    """Return the residual found, the solver's bound and whether it is proven, one core."""
    from ortools.sat.python import cp_model

    columns = np.round(pulls(engine) * GRID).astype(int)
    off = np.round((deviations(masses)) * 100).astype(int)
    count, model = len(off), cp_model.CpModel()
    at = [[model.new_bool_var(f"{c} {s}") for s in range(count)] for c in range(count)]
    for k in range(count):
        model.add_exactly_one(at[k])
        model.add_exactly_one(row[k] for row in at)
    squares = []
    for d in range(columns.shape[2]):
        part = off @ columns[:, :, d].T  # (sets, cylinders)
        if part.any():
            reach = int(np.abs(part).max(axis=0).sum())
            total = model.new_int_var(-reach, reach, f"sum {d}")
            terms = (int(part[s, c]) * at[c][s] for c in range(count) for s in range(count))
            model.add(total == sum(terms))
            square = model.new_int_var(0, reach**2, f"square {d}")
            model.add_multiplication_equality(square, [total, total])
            squares.append(square)
    model.minimize(sum(squares))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    chosen = [next(s for s in range(count) if solver.value(at[c][s])) for c in range(count)]
    bound = max(solver.best_objective_bound, 0.0) ** 0.5 / (GRID * 100)
    return placed_residual(engine, chosen, **masses), bound, status == cp_model.OPTIMAL


def sixteen() -> Engine:
    """Two mirrored cross-plane eights on one crank."""
    angles = (0, 90, 270, 180, 180, 270, 90, 0)
    return Engine(
        *SIZE.values(),
        throws=[Throw(a, 100.0 * k) for k, a in enumerate(angles)],
        cylinders=[Cylinder(k // 2, 45.0 - 90.0 * (k % 2), 100.0 * (k // 2)) for k in range(16)],
    )


def compare(name: str, engine: Engine, *, solver_s: float, repeats: int) -> None:
    for seed in SEEDS:
        masses = sets(len(engine.cylinders), seed)
        found = place(engine, **masses)
        ours = best(lambda m=masses: place(engine, **m), repeats)
        as_numbered = placed_residual(engine, range(len(engine.cylinders)), **masses)
        print(
            f"{name}, seed {seed}: {ours * 1e3:.1f} ms, {found.residual:.4f} g "
            f"(as numbered {as_numbered:.4f}), proven {found.optimal}, bound {found.bound:.4f}"
        )
        if len(engine.cylinders) <= 8:
            every = best(lambda m=masses: all_permutations(engine, m), 1)
            same = abs(all_permutations(engine, masses) - found.residual) < 1e-9
            print(f"  all permutations: {every * 1e3:.0f} ms ({every / ours:.0f} times), {same=}")
        if solver_s:
            start = time.perf_counter()
            residual, bound, proven = cp_sat(engine, masses, solver_s)
            took = time.perf_counter() - start
            print(
                f"  CP-SAT, one core: {took:.2f} s ({took / ours:.0f} times), {residual:.4f} g, "
                f"{bound=:.4f}, {proven=}"
            )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--short", action="store_true")
    short = parser.parse_args().short
    compare("V-8", layout("V-8", **SIZE), solver_s=3 if short else 30, repeats=7)
    compare("V-12", layout("V-12", **SIZE), solver_s=0 if short else 30, repeats=1 if short else 3)
    if not short:
        compare("sixteen", sixteen(), solver_s=30, repeats=1)


if __name__ == "__main__":
    main()
