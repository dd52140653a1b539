"""A whole bin of parts into as many matched engine sets as possible, nothing cut."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance._work import Progress, Stop
from balance.errors import InputError, called, whole
from balance.parts._bins import STEPS, groups_of, groups_within, order_of, together
from balance.parts._grid import Floats, cents, masses_of, tolerance_of, without_big_ends

__all__ = ["Partition", "partition"]


@dataclass(frozen=True)
class Partition:
    """Engine sets out of a bin.

    ``groups`` (count, size, 3) holds the piston, pin and rod of every assembly of every engine
    set, as indexes into the lists given. No way of sorting gives more than ``bound`` sets;
    ``optimal`` says that the count meets it. ``spread_g`` and ``big_end_spread_g`` are the largest
    differences inside one set; ``left_pistons``, ``left_pins`` and ``left_rods`` stay in the bin.
    ``finished`` is False when the work was stopped: the sets hold, but there may be more to find.
    """

    groups: NDArray[np.int64]
    count: int
    bound: int
    optimal: bool
    spread_g: float
    big_end_spread_g: float
    left_pistons: NDArray[np.int64]
    left_pins: NDArray[np.int64]
    left_rods: NDArray[np.int64]
    finished: bool


def partition(
    pistons_g: ArrayLike,
    pins_g: ArrayLike,
    small_ends_g: ArrayLike,
    *,
    size: int,
    tolerance_g: float,
    big_ends_g: ArrayLike | None = None,
    big_end_tolerance_g: float | None = None,
    progress: Progress | None = None,
    stop: Stop | None = None,
) -> Partition:
    """Sort a bin into engine sets of ``size`` assemblies that match as they are.

    Inside a set, max - min of piston + pin + small end is within the tolerance, and so for the big
    ends. Bound: the fewest parts of any kind / size, and the most groups of rods that the big ends
    alone allow (exact: neighbours in the sorted list, taken from the lightest up).

    Parameters
    ----------
    pistons_g, pins_g, small_ends_g : array, shapes (p,), (q,), (r,) [g]
        Masses, taken to 0.01 g.
    size : int
        Assemblies in one engine set.
    tolerance_g : float [g]
        Largest difference of two sums in a set; rounded down to 0.01 g.
    big_ends_g : array, shape (r,), optional [g]
        Masses of the big ends in the order of the small ends.
    big_end_tolerance_g : float, optional [g]
        Tolerance of the big ends; ``tolerance_g`` when not given.
    progress : callable, optional
        Called with the steps of the work done and their number.
    stop : callable, optional
        Asked between the steps; when it returns True the sets that can be made at once are
        returned, ``finished`` is False.

    Raises
    ------
    InputError
        When a mass is not above zero, a tolerance is negative, the size is no whole number of at
        least 1, or the big ends are not as many as the small ends.

    Examples
    --------
    >>> bin_ = partition(
    ...     [420.0, 421.0, 422.0, 423.0], [110.0] * 4, [180.0, 181.0, 182.0, 183.0],
    ...     size=2, tolerance_g=0.2)
    >>> bin_.count, bin_.bound, bin_.spread_g
    (2, 2, 0.0)

    Source: greedy grouping is exact for one list (own proof in ``balance.parts._bins``); equal
    sums by the rearrangement algorithm cited there.
    """
    piston, pin, small, big = _masses(pistons_g, pins_g, small_ends_g, big_ends_g)
    if big is None:
        without_big_ends(big_end_tolerance_g=big_end_tolerance_g)
    called("progress", progress)
    called("stop", stop)
    slack = tolerance_of("tolerance_g", tolerance_g)
    big_slack = slack
    if big_end_tolerance_g is not None:
        big_slack = tolerance_of("big_end_tolerance_g", big_end_tolerance_g)
    many = whole("size", size, least=1)
    big_cents = np.zeros(small.size, dtype=np.int64) if big is None else cents(big)
    masses = cents(piston), cents(pin), cents(small)
    by_big = order_of(big_cents)
    order = [order_of(masses[0]), order_of(masses[1]), by_big[order_of(masses[2][by_big])]]
    steps = _Steps(progress, stop)
    picks, sums = together(
        *(m[o] for m, o in zip(masses, order, strict=True)), told=steps.told, stop=steps.stop
    )
    picks = np.column_stack([o[p] for o, p in zip(order, picks.T, strict=True)])
    own = big_cents[picks[:, 2]]
    found = groups_within(
        sums, own, many, slack=slack, big_slack=big_slack, told=steps.told, stop=steps.stop
    )
    groups = picks[found]
    bound = min(piston.size // many, pin.size // many, len(groups_of(big_cents, many, big_slack)))
    return Partition(
        groups=groups,
        count=len(groups),
        bound=bound,
        optimal=len(groups) == bound,
        spread_g=_spread(sums[found]),
        big_end_spread_g=_spread(own[found]),
        left_pistons=_unused(piston.size, groups[..., 0]),
        left_pins=_unused(pin.size, groups[..., 1]),
        left_rods=_unused(small.size, groups[..., 2]),
        finished=len(groups) == bound or not steps.stopped,
    )


class _Steps:
    """The steps of the work: told one by one, stopped for good once a stop is wished."""

    def __init__(self, progress: Progress | None, stop: Stop | None) -> None:
        self._progress, self._stop = progress, stop
        self._done, self.stopped = 0, False

    def told(self) -> None:
        self._done += 1
        if self._progress is not None:
            self._progress(self._done, STEPS)

    def stop(self) -> bool:
        self.stopped = self.stopped or (self._stop is not None and self._stop())
        return self.stopped


def _masses(
    pistons_g: ArrayLike, pins_g: ArrayLike, small_ends_g: ArrayLike, big_ends_g: ArrayLike | None
) -> tuple[Floats, Floats, Floats, Floats | None]:
    """Return the checked lists of masses."""
    small = masses_of("small_ends_g", small_ends_g)
    big = None if big_ends_g is None else masses_of("big_ends_g", big_ends_g)
    if big is not None and big.size != small.size:
        raise InputError(
            f"big_ends_g must hold one mass for each rod, got {big.size} "
            f"for {small.size} small ends"
        )
    return masses_of("pistons_g", pistons_g), masses_of("pins_g", pins_g), small, big


def _unused(count: int, used: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return the indexes below ``count`` that were not used."""
    free = np.ones(count, dtype=bool)
    free[used] = False
    return np.flatnonzero(free)


def _spread(groups: NDArray[np.int64]) -> float:
    """Return the largest difference inside one group, in grams."""
    return float(np.ptp(groups, axis=1).max(initial=0) / 100)
