"""Unbalance moved from plane to plane along the crank: force and moment are kept.

Planes are places z along the crank in mm. Nothing here asks whether a plane lies between the
bearings or outside: the same two equations hold for overhung planes.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, finite, one_real, real

__all__ = [
    "Amplification",
    "StaticAndCouple",
    "amplification",
    "plane_pair",
    "static_and_couple",
    "transfer",
]

_WORTH_SAYING = 3.0  # an error grown threefold or more is remarked on; common practice, no source


@dataclass(frozen=True)
class StaticAndCouple:
    """Resultant and couple unbalance about one plane.

    ``static`` [g mm] is the vector sum. ``couple`` [g mm2] is the sum of unbalance times distance
    from the plane ``at_mm``; it points as the unbalance does on the far (larger z) side.
    """

    static: Any
    couple: Any
    at_mm: float

    def pair(self, spacing_mm: float) -> Any:
        """Return the vector [g mm] at the larger z of an equal and opposite pair so far apart.

        Examples
        --------
        >>> complex(static_and_couple([-30, 30], [0, 100], at_mm=50).pair(150))
        (20+0j)
        """
        spacing = finite("spacing_mm", spacing_mm)
        if np.any(spacing <= 0):
            raise InputError(f"spacing_mm must be greater than zero, got {spacing_mm!r}")
        return self.couple / spacing


@dataclass(frozen=True)
class Amplification:
    """How errors grow when unbalance is moved from one pair of planes to another.

    ``matrix`` (2, 2) moves the vectors. ``independent`` (2,) is the factor on an uncertainty that
    both starting planes have alike and independently; ``worst`` (2,) the factor when the two
    errors conspire.
    """

    matrix: NDArray[np.float64]
    independent: NDArray[np.float64]
    worst: NDArray[np.float64]

    @property
    def remark(self) -> str:
        """A sentence for the sheet when an error grows threefold or more, else empty."""
        grown = float(self.worst.max())
        if grown < _WORTH_SAYING:
            return ""
        plane = "first" if self.worst[0] >= self.worst[1] else "second"
        return (
            f"an error of 1 g mm in each starting plane can become {grown:.1f} g mm in the {plane} "
            "plane: the planes are close together or far from where it was read"
        )


def plane_pair(name: str, value: ArrayLike) -> NDArray[np.float64]:
    """Return two different places along the crank as an array, or raise.

    Parameters
    ----------
    name : str
        Name of the argument, for the message.
    value : array (2,) [mm]
        The two places, in either order.

    Raises
    ------
    InputError
        When there are not exactly two, or they coincide.

    Examples
    --------
    >>> plane_pair("bearings_mm", (0, 500))
    array([  0., 500.])
    """
    pair = real(name, value)
    if pair.shape != (2,):
        raise InputError(f"{name} must be two places along the crank, got {value!r}")
    if pair[0] == pair[1]:
        raise InputError(f"{name} must be two different places, got {value!r}")
    return pair


def transfer(unbalance: ArrayLike, z_mm: ArrayLike, onto_mm: ArrayLike) -> NDArray[np.complex128]:
    """Return the two vectors that have the same resultant and moment as the given ones.

    ``U_A = sum U_i (z_B - z_i) / (z_B - z_A)``, ``U_B = sum U_i (z_i - z_A) / (z_B - z_A)``

    Parameters
    ----------
    unbalance : complex or array (..., n) [g mm]
        Unbalance vectors; leading dimensions are separate cases.
    z_mm : float or array (n,) [mm]
        Their places along the crank.
    onto_mm : array (2,) [mm]
        The two wanted planes A and B, in the order of the result; overhung planes too.

    Returns
    -------
    array (..., 2) [g mm]
        Complex vectors in the planes ``onto_mm``.

    Raises
    ------
    InputError
        When the counts do not match, the wanted planes coincide, or anything is not finite.

    Examples
    --------
    >>> transfer([100], [250], (0, 1000)).real
    array([75., 25.])

    Source: statics; ISO 21940-11 clause on the transfer between tolerance and correction planes,
    from memory.
    """
    vectors, places = _placed(unbalance, z_mm)
    a, b = plane_pair("onto_mm", onto_mm)
    onto_a = vectors @ ((b - places) / (b - a))
    onto_b = vectors @ ((places - a) / (b - a))
    return np.stack([onto_a, onto_b], axis=-1)


def static_and_couple(unbalance: ArrayLike, z_mm: ArrayLike, *, at_mm: float) -> StaticAndCouple:
    """Split unbalance into its resultant and the couple about one plane.

    ``static = sum U_i``, ``couple = sum U_i (z_i - z_at)``

    Parameters
    ----------
    unbalance : complex or array (..., n) [g mm]
        Unbalance vectors; leading dimensions are separate cases.
    z_mm : float or array (n,) [mm]
        Their places along the crank.
    at_mm : float [mm]
        The plane that the couple is taken about; the centre of mass gives the classical split.

    Raises
    ------
    InputError
        When the counts do not match or anything is not finite.

    Examples
    --------
    >>> split = static_and_couple([100, 20], [0, 400], at_mm=200)
    >>> complex(split.static), complex(split.couple)
    ((120+0j), (-16000+0j))

    Source: ISO 21940-2, resultant unbalance and resultant moment unbalance; from memory.
    """
    vectors, places = _placed(unbalance, z_mm)
    at = one_real("at_mm", at_mm)
    return StaticAndCouple(vectors.sum(axis=-1), vectors @ (places - at), at)


def amplification(from_mm: ArrayLike, onto_mm: ArrayLike) -> Amplification:
    """Return how errors in one pair of planes appear in another pair.

    ``U_onto = M U_from``; independent errors grow by the root-sum-square of a row of M, the
    worst case by the sum of its sizes.

    Parameters
    ----------
    from_mm : array (2,) [mm]
        Where the vectors are known, for example the bearings.
    onto_mm : array (2,) [mm]
        Where they are wanted, for example the counterweights that can be drilled.

    Raises
    ------
    InputError
        When a pair is not two different places.

    Examples
    --------
    >>> close = amplification((0, 500), (200, 300))
    >>> close.worst
    array([5., 5.])
    >>> amplification((0, 500), (0, 500)).remark
    ''

    Source: statics, linear propagation of uncertainty (JCGM 100:2008, 5.1.2; from memory).
    """
    start = plane_pair("from_mm", from_mm)
    matrix = transfer(np.eye(2), start, onto_mm).real.T
    size = np.abs(matrix)
    return Amplification(matrix, np.hypot(size[:, 0], size[:, 1]), size.sum(axis=1))


def _placed(unbalance: ArrayLike, z_mm: ArrayLike) -> tuple[NDArray[np.complex128], Any]:
    """Return vectors (..., n) and places (n,), or raise when they do not belong together."""
    vectors = np.atleast_1d(finite("unbalance", unbalance)).astype(complex)
    places = np.atleast_1d(real("z_mm", z_mm))
    if places.ndim != 1 or vectors.shape[-1] != places.size:
        raise InputError(
            f"z_mm must give one place for each unbalance, got {places.size} places "
            f"for {vectors.shape[-1]} vectors"
        )
    return vectors, places
