"""A bin of one kind of part, such as pistons by themselves, sorted into sets as they are."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import whole
from balance.parts._bins import groups_of
from balance.parts._grid import cents, masses_of, tolerance_of

__all__ = ["KindSets", "sort_kind"]


@dataclass(frozen=True)
class KindSets:
    """Sets out of one kind of part; no way of sorting gives more of them.

    ``groups`` (count, size) are indexes into the list given, ``spread_g`` is the largest difference
    inside one set, ``left`` are the parts that stay in the bin.
    """

    groups: NDArray[np.int64]
    count: int
    spread_g: float
    left: NDArray[np.int64]


def sort_kind(masses_g: ArrayLike, *, size: int, tolerance_g: float) -> KindSets:
    """Sort one kind of part into the most sets of ``size`` with max - min within the tolerance.

    Parameters
    ----------
    masses_g : array, shape (n,) [g]
        Masses, taken to 0.01 g.
    size : int
        Parts in one set.
    tolerance_g : float [g]
        Largest difference in a set; rounded down to 0.01 g.

    Raises
    ------
    InputError
        When a mass is not above zero, the tolerance is negative, or the size is no whole number of
        at least 1.

    Examples
    --------
    >>> found = sort_kind([420.0, 423.0, 420.3, 423.4, 421.6], size=2, tolerance_g=0.5)
    >>> found.groups.tolist(), found.left.tolist()
    ([[0, 2], [1, 3]], [4])

    Source: neighbours in the sorted list, taken from the lightest up; own proof in
    ``balance.parts._bins``.
    """
    weighed = cents(masses_of("masses_g", masses_g))
    slack = tolerance_of("tolerance_g", tolerance_g)
    groups = groups_of(weighed, whole("size", size, least=1), slack)
    spread = np.ptp(weighed[groups], axis=1).max(initial=0) / 100
    left = np.setdiff1d(np.arange(weighed.size), groups)
    return KindSets(groups, len(groups), float(spread), left)
