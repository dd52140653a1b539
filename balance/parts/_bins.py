"""A whole bin of parts into matched engine sets, nothing cut, in whole hundredths of a gram."""

from collections.abc import Callable

import numpy as np

from balance._work import Stop
from balance.parts._task import Ints

__all__ = ["groups_of", "groups_within", "order_of", "together"]

SWEEPS = 3
SHIFTS = 3
STEPS = 3 * SWEEPS + SHIFTS  # of the whole work


def together(
    pistons: Ints, pins: Ints, small_ends: Ints, *, told: Callable[[], None], stop: Stop
) -> tuple[Ints, Ints]:
    """Return (n, 3) piston, pin, rod of n assemblies, and their sums, as equal as sweeps make.

    ``told`` is called after each of the `STEPS` steps; after any of them it may be stopped.

    Each kind in turn is set, heaviest first, against the sums of the other two, lightest first.
    Where one kind is more numerous its lightest and heaviest stay in the bin. All kinds come
    sorted; the start is a fixed shuffle, for sorted lists would only mirror each other.

    Source: rearrangement algorithm, G. Puccetti and L. Rueschendorf, J. Computational and Applied
    Mathematics 236 (2012) 1833-1840, from memory.
    """
    kinds = pistons, pins, small_ends
    n = min(k.size for k in kinds)
    middle = [(k.size - n) // 2 for k in kinds]
    masses = [k[m : m + n] for k, m in zip(kinds, middle, strict=True)]
    rng = np.random.default_rng(1)
    places = [np.arange(n), rng.permutation(n), rng.permutation(n)]
    for kind in (2, 1, 0) * SWEEPS:
        others = [masses[k][places[k]] for k in range(3) if k != kind]
        order = order_of(-(others[0] + others[1]))
        places[kind][order] = np.arange(n)
        told()
        if stop():
            break
    sums = sum(m[p] for m, p in zip(masses, places, strict=True))
    picks = np.column_stack([p + m for p, m in zip(places, middle, strict=True)])
    return picks, np.asarray(sums)


def order_of(values: Ints) -> Ints:
    """Return a stable order of whole numbers: with the place in the low bits, any sort is stable.

    Much faster for long lists than a stable sort of the values.
    """
    bits = int(values.size).bit_length()
    key = (values << bits) | np.arange(values.size)
    key.sort()
    order: Ints = key & ((1 << bits) - 1)
    return order


def groups_of(mass: Ints, size: int, tolerance: int) -> Ints:
    """Return (groups, size) indexes: the most groups of one kind that lie within ``tolerance``.

    From the lightest up, a group is taken as soon as ``size`` neighbours fit, else the lightest is
    left over. A group with the lightest in it can as well take its next neighbours, and a lightest
    that its neighbours do not fit, fits nobody: nothing is lost.
    """
    return _groups_in_bands(mass, np.zeros_like(mass), size, tolerance)


def _groups_in_bands(mass: Ints, band: Ints, size: int, tolerance: int) -> Ints:
    """Return (groups, size) indexes of groups inside one band each, most for each band."""
    order = order_of(mass)
    order = order[order_of(band[order])]
    sorted_mass, sorted_band = mass[order], band[order]
    firsts = max(0, mass.size - size + 1)
    fits = sorted_mass[size - 1 :] - sorted_mass[:firsts] <= tolerance
    fits &= sorted_band[size - 1 :] == sorted_band[:firsts]
    starts, free = [], 0
    for at in np.flatnonzero(fits).tolist():
        if at >= free:
            starts.append(at)
            free = at + size
    groups: Ints = order[np.array(starts, dtype=np.int64)[:, None] + np.arange(size)]
    return groups


def groups_within(
    sums: Ints,
    big_ends: Ints,
    size: int,
    *,
    slack: int,
    big_slack: int,
    told: Callable[[], None],
    stop: Stop,
) -> Ints:
    """Return (groups, size) indexes of groups that keep both tolerances.

    When all sums agree, or are too few for a group, the big ends alone decide. Else bands of sums
    as wide as the tolerance are grouped by big end, and what is left over again in bands shifted
    by half. The first bands are grouped in any case; after them it may be stopped.
    """
    if sums.size < size or np.ptp(sums) <= slack:
        return groups_of(big_ends, size, big_slack)
    left = np.arange(sums.size)
    found: list[Ints] = []
    for shift in (0, slack // 2, 0):
        if left.size < size or (found and stop()):
            break
        band = (sums[left] - sums.min() + shift) // (slack + 1)
        groups = left[_groups_in_bands(big_ends[left], band, size, big_slack)]
        found.append(groups)
        left = np.setdiff1d(left, groups)
        told()
    return np.concatenate(found)
