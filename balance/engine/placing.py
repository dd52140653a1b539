"""Which finished set goes to which cylinder, so that what remains is smallest; proven."""

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.engine._halves import TIE, Task, arrangements, exhaust, improve
from balance.engine.layouts import Engine
from balance.engine.one_gram import unit_vectors
from balance.errors import InputError, instance_of, is_whole, items_of, not_negative

__all__ = ["Placement", "place", "placed_residual"]

Floats = NDArray[np.float64]

SAME = 1e-9  # of one gram's pull: differences this small are rounding
PROVABLE = 1e9  # arrangements that are all looked at: 12 different sets make 4.8e8

# The 20 dimensions: orders 1 and 2 of forward force, backward force, forward couple and backward
# couple (real, then imaginary), then rotating force and couple (real, then imaginary).
COUPLE = np.array([False] * 4 + [True] * 4 + [False] * 4 + [True] * 4 + [False, True] * 2)
SECOND = np.array([False, True] * 8 + [False] * 4)


@dataclass(frozen=True)
class Placement:
    """Where each finished set goes; ``residual`` and ``bound`` in grams at the crank radius.

    ``set_at_cylinder[k]`` is the index of the set for cylinder k; no arrangement leaves less than
    ``bound``; ``optimal`` says that the residual itself is proven to be the smallest.
    """

    set_at_cylinder: tuple[int, ...]
    residual: float
    bound: float
    optimal: bool


def place(
    engine: Engine,
    *,
    reciprocating_g: ArrayLike,
    rotating_g: ArrayLike,
    fixed: Mapping[int, int] | None = None,
) -> Placement:
    """Return the placing of the finished sets that leaves the smallest shake.

    ``residual^2 = sum |A_n|^2 + |B_n|^2 + (|A'_n|^2 + |B'_n|^2) / spacing^2 + |R|^2
    + |R'|^2 / spacing^2``

    over n = 1, 2: A forward and B backward force of the reciprocating deviations from their mean,
    R the force of the rotating ones, a dash the couple about the middle of the throws, all divided
    by r w^2. Half of the cylinders is laid against the other half, so that every arrangement is
    compared: up to 12 different sets, more where sets are equal. Beyond that the best found is
    returned, and the bound is 0: nothing more is proven.

    Parameters
    ----------
    engine : Engine
        Layout; cylinders as numbered there.
    reciprocating_g : array (sets,) [g]
        Piston, pin, rings, locks and small end of each set; as many sets as cylinders.
    rotating_g : array (sets,) [g]
        Big end and bearing of each set.
    fixed : mapping of int to int, optional
        Cylinder index to the index of the set that must stay there.

    Raises
    ------
    InputError
        When the lists do not fit the engine, a mass is negative or no number, or ``fixed`` names
        a cylinder or set that is not there or a set twice.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> four = layout("inline-4", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
    >>> best = place(four, reciprocating_g=[501, 500, 501, 500], rotating_g=[600] * 4)
    >>> best.set_at_cylinder, best.optimal
    ((0, 2, 1, 3), True)

    Source: own method, held against all permutations and a constraint solver.
    """
    sets = _sets(engine, reciprocating_g, rotating_g)
    stay = _fixed(engine, fixed)
    columns = _columns(engine)
    mirrored = None if stay else _mirrored(columns)
    cylinders = mirrored or [c for c in range(len(sets)) if c not in stay]
    task, owners = _task(sets, _squeezed(columns), stay, cylinders, mirror=bool(mirrored))
    proven = arrangements(task.counts) <= PROVABLE
    rows = exhaust(task) if proven else improve(task)
    chosen = _hand_out(rows, cylinders, owners, stay)
    residual = _residual(columns, sets, chosen)
    zero = residual <= math.sqrt(TIE) * float(np.abs(sets - sets.mean(axis=0)).max())
    return Placement(tuple(chosen), residual, residual if proven else 0.0, bool(proven or zero))


def placed_residual(
    engine: Engine,
    set_at_cylinder: Sequence[int],
    *,
    reciprocating_g: ArrayLike,
    rotating_g: ArrayLike,
) -> float:
    """Return what a given placing leaves [g], measured as in `place`.

    Parameters
    ----------
    engine : Engine
        Layout.
    set_at_cylinder : sequence of int
        Index of the set in each cylinder; every set once.
    reciprocating_g, rotating_g : array (sets,) [g]
        As in `place`.

    Raises
    ------
    InputError
        When the lists do not fit the engine or a set is missing.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> twin = layout("twin", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
    >>> round(placed_residual(twin, (0, 1), reciprocating_g=[400, 400], rotating_g=[500, 502]), 6)
    1.0

    Source: definition in `place`.
    """
    sets = _sets(engine, reciprocating_g, rotating_g)
    chosen = [k for k in items_of("set_at_cylinder", set_at_cylinder) if is_whole(k)]
    if sorted(chosen) != list(range(len(sets))) or len(chosen) != len(set_at_cylinder):
        raise InputError(
            f"set_at_cylinder must name each of the {len(sets)} sets once, counted from 0, "
            f"got {set_at_cylinder!r}"
        )
    return _residual(_columns(engine), sets, chosen)


def _sets(engine: Engine, reciprocating_g: ArrayLike, rotating_g: ArrayLike) -> Floats:
    """Return the masses as (sets, 2) after checking them."""
    masses, count = [], len(instance_of("engine", engine, Engine).cylinders)
    for name, given in (("reciprocating_g", reciprocating_g), ("rotating_g", rotating_g)):
        mass = not_negative(name, given)
        if mass.shape != (count,):
            raise InputError(
                f"{name} must hold one mass for each of the {count} cylinders, got {given!r}"
            )
        masses.append(mass)
    return np.stack(masses, axis=-1)


def _fixed(engine: Engine, fixed: Mapping[int, int] | None) -> dict[int, int]:
    count, stay = len(engine.cylinders), {} if fixed is None else fixed
    if not isinstance(stay, Mapping):
        raise InputError(f"fixed must map cylinder index to set index, got {fixed!r}")
    for index in (*stay.keys(), *stay.values()):
        if not is_whole(index) or not 0 <= index < count:
            raise InputError(
                f"fixed must map cylinder index to set index, both 0 to {count - 1}, got {fixed!r}"
            )
    if len(set(stay.values())) < len(stay):
        raise InputError(f"fixed must put each set in one cylinder only, got {fixed!r}")
    return dict(stay)


def _columns(engine: Engine) -> Floats:
    """Return (cylinders, 2, 20): what 1 g reciprocating and 1 g rotating add, over r w^2."""
    unit = unit_vectors(engine)
    turning = unit.rotating[:, [0, 2], 0]  # force and couple that turn with the crank
    parts = (unit.reciprocating.reshape(len(turning), -1), turning)
    shaking, rotating = (np.hstack([part.real, part.imag]) for part in parts)
    wide = shaking.shape[1]
    columns = np.zeros((len(shaking), 2, wide + rotating.shape[1]))
    columns[:, 0, :wide], columns[:, 1, wide:] = shaking, rotating
    return columns


def _squeezed(columns: Floats) -> Floats:
    """Return columns with the same lengths for deviations (sum zero) in as few dimensions."""
    centred = columns - columns.mean(axis=0)
    parts = []
    for group in (0, 1):
        u, s, _ = np.linalg.svd(centred[:, group], full_matrices=False)
        parts.append((u * s)[:, s > 1e-12])
    wide = parts[0].shape[1]
    squeezed = np.zeros((len(columns), 2, wide + parts[1].shape[1]))
    squeezed[:, 0, :wide], squeezed[:, 1, wide:] = parts
    return squeezed


def _mirrored(columns: Floats) -> list[int] | None:
    """Return the cylinders, each one of the second half the mirror image of one of the first.

    Mirror images stand as far on the other side of the middle, and in each order all of them pull
    alike or all opposite. Exchanging the halves then changes no length. None when the engine has
    no such halves.
    """
    for first_order, second_order in product((1.0, -1.0), repeat=2):
        image = columns * np.where(SECOND, second_order, first_order) * np.where(COUPLE, -1.0, 1.0)
        apart = np.abs(columns[:, None] - image[None]).max(axis=(2, 3))
        partner = apart.argmin(axis=1)
        first = np.flatnonzero(partner > np.arange(len(partner)))
        both = [*first.tolist(), *partner[first].tolist()]
        if apart.min(axis=1).max() < SAME and sorted(both) == list(range(len(columns))):
            return both
    return None


def _task(
    sets: Floats, columns: Floats, stay: Mapping[int, int], cylinders: list[int], *, mirror: bool
) -> tuple[Task, list[list[int]]]:
    """Return the task of the free cylinders, and the sets of each kind."""
    deviations = sets - sets.mean(axis=0)
    owners: dict[tuple[float, ...], list[int]] = defaultdict(list)
    matters = columns.any(axis=(0, 2))  # a difference that no cylinder shows is none
    for s in set(range(len(sets))) - set(stay.values()):
        owners[tuple((sets[s] * matters).tolist())].append(s)
    kinds = [sorted(owners[key]) for key in sorted(owners)]
    scale = float(np.abs(deviations).max()) or 1.0
    start = sum((deviations[s] @ columns[c] for c, s in stay.items()), np.zeros(columns.shape[2]))
    task = Task(
        kinds=deviations[[group[0] for group in kinds]].reshape(-1, 2) / scale,
        counts=tuple(len(group) for group in kinds),
        columns=columns[cylinders],
        start=start / scale,
        mirror=mirror,
    )
    return task, kinds


def _hand_out(
    kinds: NDArray[np.intp],
    cylinders: Sequence[int],
    owners: Sequence[Sequence[int]],
    stay: Mapping[int, int],
) -> list[int]:
    """Return the set of each cylinder: the sets of a kind in the order of their numbers.

    Of equally good rows the one whose list of sets comes first in order is taken.
    """
    kinds = kinds[:, np.argsort(cylinders)]
    numbers = np.array([s for group in owners for s in group], dtype=np.intp)
    rows = np.empty_like(kinds)
    np.put_along_axis(rows, np.argsort(kinds, axis=1, kind="stable"), numbers[None, :], axis=1)
    chosen = dict(stay) | dict(zip(sorted(cylinders), min(rows.tolist()), strict=True))
    return [int(chosen[c]) for c in range(len(chosen))]


def _residual(columns: Floats, sets: Floats, chosen: Sequence[int]) -> float:
    deviations = (sets - sets.mean(axis=0))[list(chosen)]
    return float(np.linalg.norm(np.einsum("ck,ckd->d", deviations, columns)))
