"""Placing sets in cylinders: ours beside all permutations and a constraint solver.

    python tests/bench/bench_placing.py [--short]

n is the number of cylinders; growth is fitted from eight on, fewer are no search. The constraint
solver gets the same objective as whole numbers, one thread and a time limit.
"""

import itertools
import statistics
from collections.abc import Iterator

import numpy as np
from _cases import cp_sat as solve_cp_sat
from _measure import growth, side_by_side, timed
from _table import Row, alone, span
from ortools.sat.python import cp_model

from balance.engine.layouts import Cylinder, Engine, Throw, layout
from balance.engine.one_gram import unit_vectors
from balance.engine.placing import place, placed_residual

ROOM = "engine"
SEEDS = "0 to 2"
SIZE = {"stroke_mm": 80.0, "rod_length_mm": 140.0, "bore_spacing_mm": 100.0}
GRID = 1000  # the solver's whole numbers: columns to a thousandth
LAYOUTS = ("inline-4", "inline-6", "V-8", "V-10", "V-12")
AIMS = {"V-8": 0.005, "V-12": 0.5}


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


def cp_sat(engine: Engine, masses: dict[str, np.ndarray], limit_s: float) -> tuple[float, bool]:
    """Return the residual found (infinite if none) and whether it is proven."""
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
    solver, found, proven = solve_cp_sat(model, limit_s)
    if not found:
        return float("inf"), False
    chosen = [next(s for s in range(count) if solver.value(at[c][s])) for c in range(count)]
    return placed_residual(engine, chosen, **masses), proven


def sixteen() -> Engine:
    """Two mirrored cross-plane eights on one crank."""
    angles = (0, 90, 270, 180, 180, 270, 90, 0)
    return Engine(
        *SIZE.values(),
        throws=[Throw(a, 100.0 * k) for k, a in enumerate(angles)],
        cylinders=[Cylinder(k // 2, 45.0 - 90.0 * (k % 2), 100.0 * (k // 2)) for k in range(16)],
    )


def placed(engine: Engine, seeds) -> tuple[float, list]:
    """Return the median time and the placements of invented sets."""
    found = []
    for seed in seeds:
        masses = sets(len(engine.cylinders), seed)
        found.append(timed(lambda m=masses: place(engine, **m)))
    return statistics.median(t.seconds for t in found), [t.answer for t in found]


def by_size(seeds) -> Iterator[Row]:
    """Yield the time of each layout."""
    sizes, medians = [], []
    for name in LAYOUTS:
        engine = layout(name, **SIZE)
        seconds, answers = placed(engine, seeds)
        sizes.append(len(engine.cylinders))
        medians.append(seconds)
        proven, aim = sum(a.optimal for a in answers), AIMS.get(name)
        yield Row(
            room=ROOM,
            what=f"placing, {name}",
            size=sizes[-1],
            ours_s=seconds,
            growth=growth(sizes[2:], medians[2:]) if name == LAYOUTS[-1] else None,
            aim=span(aim) if aim else "",
            kept=seconds <= aim and proven == len(answers) if aim else None,
            note="" if proven == len(answers) else f"proven {proven} of {len(answers)}",
        )


def beside(name: str, limit_s: float, *, permutations: bool) -> Iterator[Row]:
    """Yield ours beside the baselines on one seed."""
    engine = layout(name, **SIZE)
    masses = sets(len(engine.cylinders), 0)
    rivals = [("CP-SAT", lambda: cp_sat(engine, masses, limit_s))]
    if permutations:
        rivals.insert(0, ("permutations", lambda: (all_permutations(engine, masses), True)))
    for baseline, rival in rivals:
        mine, theirs = side_by_side(lambda: place(engine, **masses), rival, repeats=1)
        residual, proven = theirs.answer
        yield Row(
            room=ROOM,
            what=f"placing, {name}",
            size=len(engine.cylinders),
            ours_s=mine.seconds,
            baseline=baseline,
            baseline_s=theirs.seconds,
            stopped=not proven,
            note=f"{baseline} {residual:.4f} g{'' if proven else ' (not proven)'}, "
            f"ours {mine.answer.residual:.4f} g",
        )


def too_many() -> Row:
    """Sixteen cylinders are not proven: the bound says how far from the best."""
    seconds, answers = placed(sixteen(), range(1))
    found = answers[0]
    return Row(
        room=ROOM,
        what="placing, two eights",
        size=16,
        ours_s=seconds,
        note=f"{found.residual:.4f} g, bound {found.bound:.4f} g, proven {found.optimal}",
    )


def rows(*, short: bool) -> Iterator[Row]:
    """Yield the rows of this bench."""
    place(layout("inline-4", **SIZE), **sets(4, 0))  # imports are not placing
    yield from by_size(range(1 if short else 3))
    yield from beside("V-8", 3.0 if short else 10.0, permutations=True)
    if not short:
        yield from beside("V-12", 10.0, permutations=False)
        yield too_many()


if __name__ == "__main__":
    alone(__doc__, rows)
