"""Invented cranks, and functions that several benches share."""

import importlib.util
import math
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np

from balance.metal.planning import Counterweight

PLANES = (60.0, 540.0)
DRILLS = (8.0, 10.0, 12.0, 16.0)
TOLERANCE = (60.0, 60.0)


def crank(rng: np.random.Generator, count: int) -> list[Counterweight]:
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


def share(cw: Counterweight) -> np.ndarray:
    """Return the shares of an unbalance on a counterweight in the two planes."""
    a, b = PLANES
    return np.array([(b - cw.z_mm) / (b - a), (cw.z_mm - a) / (b - a)])


def heavy(
    rng: np.random.Generator, webs: Sequence[Counterweight], holes: int, most: float
) -> np.ndarray:
    """Return an unbalance that about so many holes take away, with 15 g mm of noise."""
    total = rng.normal(0, 15, 2) + 1j * rng.normal(0, 15, 2)
    for _ in range(holes):
        cw = webs[rng.integers(len(webs))]
        angle = cw.centre_degrees + rng.uniform(-1, 1) * cw.half_span_degrees
        total += rng.uniform(300, most) * np.exp(1j * np.radians(angle)) * share(cw)
    return total


def task(webs: Sequence[Counterweight]) -> dict[str, Any]:
    """Return the arguments of a plan that are alike in all benches."""
    return {
        "planes_mm": PLANES,
        "counterweights": webs,
        "drills_mm": DRILLS,
        "tolerance_gmm": TOLERANCE,
    }


def bare_moment(diameter_mm: float, depth_mm: float, rim_mm: float) -> float:
    """Return the unbalance of one plain radial hole in steel [g mm], without checks."""
    a = diameter_mm / 2
    tip, floor = a / math.tan(math.radians(59.0)), rim_mm - depth_mm
    area = math.pi * a * a
    whole = area / 2 * (rim_mm * rim_mm - a * a / 4 - floor * floor)
    return 7.85e-3 * (whole + area * tip / 3 * (floor - tip / 4))


def from_tests(path: str) -> ModuleType:
    """Load a test module for the references it holds."""
    place = Path(__file__).parents[1] / path
    spec = importlib.util.spec_from_file_location(place.stem, place)
    if spec is None or spec.loader is None:
        raise ImportError(f"no module at {place}")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def cp_sat(model: Any, limit_s: float) -> tuple[Any, bool, bool]:
    """Solve on one thread; return solver, whether there is an answer and whether it is proven."""
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.num_workers, solver.parameters.max_time_in_seconds = 1, limit_s
    solver.parameters.catch_sigint_signal = False  # Ctrl-C is for the bench, not for the solver
    status = solver.solve(model)
    proven = status in (cp_model.OPTIMAL, cp_model.INFEASIBLE)
    return solver, status in (cp_model.OPTIMAL, cp_model.FEASIBLE), proven


def silent_highs(limit_s: float) -> Any:
    """Return HiGHS on one thread with a time limit; its banner at birth knows no option."""
    import highspy

    sys.stdout.flush()
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        model = highspy.Highs()
        model.silent()
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)
    model.setOptionValue("time_limit", limit_s)
    model.setOptionValue("threads", 1)
    return model
