"""Timing side by side, and the growth of a time with the size of the task.

Times are processor time of this process unless a clock is given: others work on the same machine.
In a run of all benches linear algebra keeps to one thread: threads that wait for a core of a busy
machine spin, and that is no work.
"""

import math
import os
import resource
import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

ONE_THREAD = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")
os.environ |= ONE_THREAD  # read when numpy is loaded

import numpy as np  # noqa: E402

CPU = time.process_time
WALL = time.perf_counter


def children() -> float:
    """Return the processor time of processes that were started and have ended [s]."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


LEAST_S = 0.03  # a shorter call is repeated: its first run warms up, and the clock can see it
NO_LAW = 2.0  # times three times as long or as short as the line say no law was seen

Clock = Callable[[], float]
Call = Callable[[], Any]


@dataclass(frozen=True)
class Timing:
    """What a call answered and how long it took [s]."""

    answer: Any
    seconds: float


def timed(call: Call, *, clock: Clock = CPU, least_s: float = LEAST_S) -> Timing:
    """Time one call; one shorter than ``least_s`` is repeated for so long, and the mean taken."""
    start = clock()
    answer = call()
    seconds = clock() - start
    again = math.ceil(least_s / max(seconds, 1e-7)) if seconds < least_s else 0
    if again:
        start = clock()
        for _ in range(again):
            call()
        seconds = (clock() - start) / again
    return Timing(answer, seconds)


def side_by_side(*calls: Call, repeats: int = 3, clock: Clock = CPU) -> list[Timing]:
    """Time calls in turn, again and again, so that the load of the machine falls on all alike.

    The median of each is returned, in the order of the calls.
    """
    runs = [[timed(call, clock=clock) for call in calls] for _ in range(repeats)]
    return [
        Timing(mine[-1].answer, statistics.median(run.seconds for run in mine))
        for mine in zip(*runs, strict=True)
    ]


@dataclass(frozen=True)
class Growth:
    """How a time grows: ``size ** rate`` (power) or ``rate ** size`` (exponential).

    ``residual`` is how far, as a part of itself, a time typically lies off the fitted line.
    """

    shape: str
    rate: float
    residual: float

    def __str__(self) -> str:
        if self.residual > NO_LAW:
            return f"none ±{100 * self.residual:.0f}%"
        law = f"n^{self.rate:.1f}" if self.shape == "power" else f"{self.rate:.2f}^n"
        return f"{law} ±{100 * self.residual:.0f}%"


def growth(sizes: Sequence[float], seconds: Sequence[float]) -> Growth | None:
    """Fit both laws to the logarithm of the times; return the one that lies closer.

    Two sizes fit any law: with fewer than three different ones there is none. Nothing that is
    measured over more than a decade is exponential: no clock would see its end.
    """
    if len(set(sizes)) < 3:
        return None
    power_rate, power_left = _line(np.log(sizes), np.log(seconds))
    slope, left = _line(np.asarray(sizes, dtype=float), np.log(seconds))
    if power_left <= left or max(sizes) > 10 * min(sizes):
        return Growth("power", power_rate, math.expm1(power_left))
    return Growth("exponential", math.exp(slope), math.expm1(left))


def _line(x: Any, y: Any) -> tuple[float, float]:
    """Return the slope of the least-squares line and the standard deviation off it."""
    design = np.stack([x, np.ones_like(x)], axis=1)
    solved = np.linalg.lstsq(design, y, rcond=None)[0]
    off = y - design @ solved
    return float(solved[0]), math.sqrt(float(off @ off) / (len(x) - 2))
