"""Index balancing: telling the carrier from the part it carries, and how to bolt parts up best.

Turn a part on its carrier and read again: what turns with the part is the part's, what stays is
the carrier's (crank, arbor or drive).
"""

import math
import operator
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, finite, is_whole, items_of, positive, real

__all__ = ["BoltUp", "Component", "Separated", "best_positions", "separate"]

_BLOCK = 1 << 16  # combinations looked at in one sweep: a few MB
_MOST = 50_000_000  # some seconds of work if nothing can be ruled out
_TIE = 1e-9  # relative to everything added up: amounts this close are the same


@dataclass(frozen=True)
class Separated:
    """What belongs to the carrier and what to the part [g mm].

    ``part`` is the part's unbalance at index 0 degrees. ``closure`` is the largest amount by which
    a reading misses ``carrier + part`` turned; it proves something only when ``spare`` (readings
    beyond the two that are needed) is not zero. An uncertainty of one reading is multiplied by
    ``carrier_factor`` and ``part_factor``.
    """

    carrier: Any
    part: Any
    closure: float
    spare: int
    carrier_factor: float
    part_factor: float


@dataclass(frozen=True)
class Component:
    """A part that bolts up in ``positions`` equally spaced ways, or at a list of angles.

    ``unbalance`` [g mm] is the part's vector at position 0, one per plane: all turn together.
    ``positions`` is a count, or the angles [degree] the part can be turned by in the crank's sense.
    """

    unbalance: Any
    positions: int | Sequence[float]
    name: str = ""

    @property
    def angles(self) -> NDArray[np.float64]:
        """The angles [degree] that the part can be turned by."""
        if is_whole(self.positions):
            count = operator.index(self.positions)  # type: ignore[arg-type]
            if count < 1:
                raise InputError(f"positions must be at least 1, got {self.positions!r}")
            return np.arange(count) * 360.0 / count
        angles = real("positions", self.positions)
        if angles.ndim != 1 or angles.size == 0:
            raise InputError(
                f"positions must be a count or a list of angles, got {self.positions!r}"
            )
        return angles


@dataclass(frozen=True)
class BoltUp:
    """The best way to bolt the parts up.

    ``positions`` are indexes into each part's angles, ``degrees`` the angles themselves.
    ``residual`` [g mm] is what remains in each plane; ``score`` its largest amount (over the
    permissible, if given) and ``as_given`` that score with every part at its position 0, so the
    gain is seen. All ``combinations`` were looked at or ruled out by a bound: ``optimal`` says so.
    """

    positions: tuple[int, ...]
    degrees: tuple[float, ...]
    residual: Any
    score: float
    as_given: float
    combinations: int
    optimal: bool


def separate(readings: ArrayLike, index_degrees: ArrayLike) -> Separated:
    """Separate carrier and part from readings at several index positions.

    ``R_k = carrier + part * exp(i a_k)``, least squares; for 0 and 180 degrees that is half the
    sum and half the difference.

    Parameters
    ----------
    readings : complex array (k,) or (k, planes) [g mm]
        Readings in the carrier's frame, one row for each index position.
    index_degrees : array (k,) [degree]
        How far the part was turned on its carrier, in the frame's sense; a repeat of an earlier
        position (or 360) is welcome, it closes the round.

    Raises
    ------
    InputError
        When there are fewer than two different positions or the counts do not match.

    Examples
    --------
    >>> found = separate([100 + 50j, -20 + 50j], [0, 180])
    >>> found.carrier.round(6), found.part.round(6)
    (np.complex128(40+50j), np.complex128(60+0j))

    Source: Bloch & Geitner, Machinery Component Maintenance and Repair, index balancing, p. 312;
    the least squares for k positions is ours.
    """
    rows = finite("readings", readings).astype(complex)
    angles = real("index_degrees", index_degrees)
    _one_row_each(rows, angles)
    turned = np.exp(1j * np.radians(angles))
    if not np.any(np.abs(turned - turned[:1]) > 1e-6):
        raise InputError(
            f"index_degrees must hold at least two different positions, got {index_degrees!r}"
        )
    design = np.stack([np.ones_like(turned), turned], axis=1)
    inverse = np.linalg.pinv(design)
    carrier, part = inverse @ rows
    missed = rows - np.tensordot(design, np.stack([carrier, part]), axes=1)
    factors = np.linalg.norm(inverse, axis=1)
    return Separated(
        carrier, part, float(np.abs(missed).max()), angles.size - 2, *map(float, factors)
    )


def best_positions(
    crank: ArrayLike,
    components: Sequence[Component | tuple[Any, Any]],
    *,
    permissible_gmm: ArrayLike | None = None,
) -> BoltUp:
    """Return the positions of bolted-on parts that leave the least unbalance, proven.

    The least of ``max over planes |crank + sum part_j exp(i a_j)| / permissible``.

    Parameters
    ----------
    crank : complex or array (planes,) [g mm]
        Unbalance of what the parts are bolted to, one vector for each plane.
    components : sequence of Component
        The parts; a pair (unbalance, positions) will do.
    permissible_gmm : float or array (planes,), optional [g mm]
        Limit in each plane; without it the planes count alike and the score is in g mm.

    Returns
    -------
    BoltUp
        Of equally good choices the one with the lowest positions, in the order of the parts.

    Raises
    ------
    InputError
        When a part has not one vector for each plane, has no position, or when the combinations
        are more than can be looked at.

    Examples
    --------
    >>> best = best_positions(100, [Component(60, 2, "flywheel"), Component(40, 4, "cover")])
    >>> best.positions, f"{best.score:.1f}"
    ((1, 2), '0.0')

    Source: exhaustive search; whole blocks are ruled out by the triangle inequality.
    """
    base = np.atleast_1d(finite("crank", crank)).astype(complex)
    if base.ndim != 1 or base.size == 0:
        raise InputError(f"crank must be one vector for each plane, got {crank!r}")
    parts = [_component(part) for part in items_of("components", components)]
    limit = _limits(permissible_gmm, base.size)
    options = [_turned(part, base.size) / limit for part in parts]
    count = math.prod(len(option) for option in options)
    if count > _MOST:
        raise InputError(
            f"components must not make more than {_MOST} combinations, got {count}: "
            "fix the positions of some parts"
        )
    chosen, score = _search(base / limit, options)
    turned = sum(
        (option[k] for option, k in zip(options, chosen, strict=True)), np.zeros(base.shape)
    )
    return BoltUp(
        positions=chosen,
        degrees=tuple(float(part.angles[k]) for part, k in zip(parts, chosen, strict=True)),
        residual=(base + turned * limit).reshape(np.shape(crank))[()],
        score=score,
        as_given=_score(base / limit + sum(option[0] for option in options)),
        combinations=count,
        optimal=True,
    )


def _one_row_each(rows: NDArray[Any], angles: NDArray[Any]) -> None:
    if angles.ndim != 1:
        raise InputError(f"index_degrees must be a list of angles, got {angles!r}")
    if rows.ndim not in (1, 2) or rows.shape[0] != angles.size:
        raise InputError(
            f"readings must have one row for each index position ({angles.size}), "
            f"got shape {rows.shape}"
        )


def _component(part: Component | tuple[Any, Any]) -> Component:
    if isinstance(part, Component):
        return part
    if not isinstance(part, Sequence) or len(part) != 2:
        raise InputError(
            f"components must be Component or a pair (unbalance, positions), got {part!r}"
        )
    return Component(*part)


def _limits(permissible_gmm: ArrayLike | None, planes: int) -> NDArray[np.float64]:
    limit = positive("permissible_gmm", 1.0 if permissible_gmm is None else permissible_gmm)
    if limit.shape not in ((), (planes,)):
        raise InputError(
            f"permissible_gmm must be one limit or one for each of the {planes} planes, "
            f"got {permissible_gmm!r}"
        )
    return limit


def _turned(part: Component, planes: int) -> NDArray[np.complex128]:
    """Return the part's vectors at each of its positions, shape (positions, planes)."""
    vectors = np.atleast_1d(finite("unbalance", part.unbalance)).astype(complex)
    if vectors.shape != (planes,):
        raise InputError(
            f"unbalance of {part.name or 'a component'} must be one vector for each of the "
            f"crank's {planes} planes, got shape {vectors.shape}"
        )
    turned: NDArray[np.complex128] = np.exp(1j * np.radians(part.angles))[:, None] * vectors
    return turned


def _score(residual: Any) -> float:
    return float(np.abs(residual).max())


def _search(
    base: NDArray[Any], options: list[NDArray[np.complex128]]
) -> tuple[tuple[int, ...], float]:
    """Return the first best choice and its score, looking at everything not ruled out.

    Choices are visited in the order of their indexes and only a real gain replaces the best so
    far, so ties fall to the lowest positions.
    """
    head, block = _tail_block(options, base.size)
    shape = tuple(len(option) for option in options[head:])
    sizes = np.abs([option[0] for option in options]).reshape(len(options), base.size)
    reach = np.vstack([np.cumsum(sizes[::-1], axis=0)[::-1], np.zeros((1, base.size))])
    tie = _TIE * float((np.abs(base) + reach[0]).max())
    best: tuple[int, ...] = ()
    score = math.inf
    waiting: list[tuple[NDArray[np.complex128], tuple[int, ...]]] = [(base, ())]
    while waiting:
        partial, chosen = waiting.pop()
        depth = len(chosen)
        if (np.abs(partial) - reach[depth]).max() >= score - tie:
            continue  # even pulling all together the other way, the rest cannot do better
        if depth < head:
            children = [(partial + u, (*chosen, k)) for k, u in enumerate(options[depth])]
            waiting.extend(reversed(children))
            continue
        scores = np.abs(partial + block).max(axis=1)
        if (least := float(scores.min())) < score - tie:
            first = int(np.argmax(scores <= least + tie))
            best, score = chosen + _indexes(first, shape), float(scores[first])
    return best, score


def _tail_block(
    options: list[NDArray[np.complex128]], planes: int
) -> tuple[int, NDArray[np.complex128]]:
    """Return where the last parts begin that make one block, and all sums of those parts."""
    head, block = len(options), np.zeros((1, planes), dtype=complex)
    while head > 0 and (head == len(options) or len(block) * len(options[head - 1]) <= _BLOCK):
        head -= 1
        block = (options[head][:, None, :] + block[None, :, :]).reshape(-1, planes)
    return head, block


def _indexes(flat: int, shape: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(int(k) for k in np.unravel_index(flat, shape)) if shape else ()
