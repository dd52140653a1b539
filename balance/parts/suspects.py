"""Which of a rod's three weighings is wrong, judged by the other rods of the engine."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, positive
from balance.parts.rods import rod_ends, three_uncertainties

__all__ = ["WrongWeighing", "wrong_weighings"]

CONFIDENT = 0.95  # below it nothing is named: a decision rule of our own
REFERENCE_RODS = 2  # a spread needs two


@dataclass(frozen=True)
class WrongWeighing:
    """A rod whose three weighings do not close.

    ``weighing`` is "total", "big end" or "small end" when the other rods tell which is wrong,
    else None (weigh all three again). ``error_g`` is what that weighing then shows too much.
    ``probability`` is that of the likeliest weighing, named or not; None without good rods.
    """

    rod: int
    closure_g: float
    weighing: str | None
    error_g: float | None
    probability: float | None


def wrong_weighings(
    *, totals_g: ArrayLike, big_ends_g: ArrayLike, small_ends_g: ArrayLike, u_g: ArrayLike
) -> tuple[WrongWeighing, ...]:
    """Name, for each rod that does not close, the weighing that is probably wrong.

    For each of the three suspects its closure is taken out, and the ends left are compared with
    the m rods that close: x - mean over s sqrt(1 + 1 / m) follows Student's t with m - 1 degrees
    of freedom. A suspect is named when its probability among the three is at least 0.95. Holds
    for rods alike but for normal scatter, with one of three weighings wrong, each as likely.

    Parameters
    ----------
    totals_g, big_ends_g, small_ends_g : array, shape (n,) [g]
        The weighings of the rods of one engine, in the same order.
    u_g : float or array, shape (3,) [g]
        Standard uncertainty of a weighing, as in `rod_ends`.

    Raises
    ------
    InputError
        When the lists differ in length, or `rod_ends` would refuse one of the rods.

    Examples
    --------
    >>> wrong_weighings(
    ...     totals_g=[600.0, 600.2, 599.9, 600.1],
    ...     big_ends_g=[432.0, 432.1, 431.9, 434.0],
    ...     small_ends_g=[168.0, 168.1, 168.0, 168.0],
    ...     u_g=0.06,
    ... )[0].weighing
    'big end'

    Source: A. Gelman et al., Bayesian Data Analysis, 3rd ed., 3.2 (predictive distribution of a
    normal sample), from memory; its use on three hypotheses is derived here.
    """
    weighed = _table(totals_g, big_ends_g, small_ends_g)
    u = three_uncertainties(u_g)
    rods = [rod_ends(total_g=t, big_end_g=b, small_end_g=s, u_g=u) for t, b, s in weighed]
    good = np.array([[r.big_end_g, r.small_end_g] for r in rods if r.consistent])
    return tuple(
        _accuse(i, weighed[i], good, u) for i, rod in enumerate(rods) if not rod.consistent
    )


def _accuse(
    rod: int, weighed: NDArray[np.float64], good: NDArray[np.float64], u: NDArray[np.float64]
) -> WrongWeighing:
    """Weigh the three suspects of one rod against the good rods."""
    total, big, small = weighed
    closure = float(big + small - total)
    if len(good) < REFERENCE_RODS:
        return WrongWeighing(rod, closure, None, None, None)
    suspects = np.array([[big, small], [big - closure, small], [big, small - closure]])
    chance = _chances(suspects, good, u[1:])
    best = int(np.argmax(chance))
    probability = float(chance[best])
    if probability < CONFIDENT:
        return WrongWeighing(rod, closure, None, None, probability)
    error = -closure if best == 0 else closure
    return WrongWeighing(rod, closure, ("total", "big end", "small end")[best], error, probability)


def _chances(
    suspects: NDArray[np.float64], good: NDArray[np.float64], u: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return how probable each pair of ends is beside the good rods, together 1."""
    m = len(good)
    # Equal displays do not mean equal rods: the spread is never taken below a weighing's doubt.
    spread = np.maximum(good.std(axis=0, ddof=1), u) * np.sqrt(1 + 1 / m)
    t = (suspects - good.mean(axis=0)) / spread
    log = -m / 2 * np.log1p(t**2 / (m - 1)).sum(axis=1)
    chance = np.exp(log - log.max())
    return np.asarray(chance / chance.sum())


def _table(totals: ArrayLike, bigs: ArrayLike, smalls: ArrayLike) -> NDArray[np.float64]:
    """Return the weighings, one row a rod: total, big end, small end."""
    columns = [
        np.atleast_1d(positive(name, value))
        for name, value in (
            ("totals_g", totals),
            ("big_ends_g", bigs),
            ("small_ends_g", smalls),
        )
    ]
    if len({column.size for column in columns}) > 1 or any(c.ndim != 1 for c in columns):
        raise InputError(
            "totals_g, big_ends_g and small_ends_g must be flat and as long as each other, got "
            + ", ".join(str(column.size) for column in columns)
        )
    return np.column_stack(columns)
