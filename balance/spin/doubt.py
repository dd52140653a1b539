"""How far an unbalance can be trusted: readings, bobweights, planes, and the budget of them all.

An uncertainty u is a standard uncertainty for each axis of the vector [g mm]: the spread along
any one direction.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import (
    InputError,
    finite,
    instance_of,
    not_negative,
    one_not_negative,
    one_positive,
    positive,
    real,
)
from balance.spin.planes import amplification, transfer

__all__ = [
    "BobweightDoubt",
    "Budget",
    "Line",
    "ReadingDoubt",
    "bobweight_doubt",
    "doubt_onto",
    "from_bound",
    "reading_doubt",
]


@dataclass(frozen=True)
class Line:
    """One source of doubt. Lines with the same ``shared`` word come from one cause and add up
    straight; all others add as the root of the sum of squares.
    """

    name: str
    u_gmm: float
    source: str = ""
    shared: str = ""

    def __post_init__(self) -> None:
        one_not_negative("u_gmm", self.u_gmm)


@dataclass(frozen=True)
class Budget:
    """All sources of doubt about one vector in one plane.

    Examples
    --------
    >>> budget = Budget((Line("repeats", 3.0), Line("scale", 2.0, shared="scale"),
    ...                  Line("scale again", 2.0, shared="scale")))
    >>> budget.u_gmm
    5.0
    >>> budget.shares
    (('repeats', 0.36), ('scale', 0.64))

    Source: JCGM 100:2008, 5.1.2 and 5.2.2 (correlated inputs); from memory.
    """

    lines: tuple[Line, ...]

    @property
    def u_gmm(self) -> float:
        """The combined standard uncertainty for each axis [g mm]."""
        return float(np.sqrt(sum(u**2 for u in self._groups().values())))

    @property
    def shares(self) -> tuple[tuple[str, float], ...]:
        """Each independent cause with its part of the combined variance, in the given order."""
        total = self.u_gmm**2
        if total == 0:
            return tuple((name, 0.0) for name in self._groups())
        return tuple((name, u**2 / total) for name, u in self._groups().items())

    def _groups(self) -> dict[str, float]:
        causes: dict[str, float] = {}
        for k, line in enumerate(self.lines):
            name = line.shared or line.name
            if not line.shared and name in causes:
                name = f"{name} ({k + 1})"  # the same name twice is still two causes
            causes[name] = causes.get(name, 0.0) + float(line.u_gmm)
        return causes


@dataclass(frozen=True)
class ReadingDoubt:
    """Mean of repeated readings of one plane and its standard uncertainty [g mm].

    ``u_along_gmm`` is that of the amount, ``u_across_gmm`` that across it, which the angle brings
    in; ``u_gmm`` is the larger and holds for any direction.
    """

    mean: complex
    n: int
    u_repeat_gmm: float
    u_along_gmm: float
    u_across_gmm: float
    u_gmm: float


@dataclass(frozen=True)
class BobweightDoubt:
    """What the bobweights may add in each of two planes, shape (2,) [g mm].

    ``mass_gmm``: each bobweight's own mass; ``common_gmm``: an error all share, such as the
    scale's or the oil allowance's; ``offset_gmm``: centre of mass off the pin's axis;
    ``axial_gmm``: off its place along the pin.
    """

    mass_gmm: NDArray[np.float64]
    common_gmm: NDArray[np.float64]
    offset_gmm: NDArray[np.float64]
    axial_gmm: NDArray[np.float64]

    @property
    def u_gmm(self) -> NDArray[np.float64]:
        """The combined standard uncertainty in each plane, for any direction."""
        parts = [self.mass_gmm, self.common_gmm, self.offset_gmm, self.axial_gmm]
        combined: NDArray[np.float64] = np.linalg.norm(parts, axis=0)
        return combined


def reading_doubt(
    repeats: ArrayLike,
    *,
    resolution_gmm: float = 0.0,
    u_degrees: float = 0.0,
    repeatability_gmm: float | None = None,
) -> ReadingDoubt:
    """Return the mean of repeated readings and its uncertainty.

    ``u_along = sqrt(s^2/n + d^2/12)``, ``u_across = sqrt(s^2/n + (amount * u_angle)^2)``, with s
    the spread of one axis pooled from both. For few repeats s is widened by Student's factor so
    that a guard of 1.65 u keeps its 95 %.

    Parameters
    ----------
    repeats : complex array (n,) [g mm]
        Readings of one plane with nothing changed between them but stopping and starting.
    resolution_gmm : float [g mm]
        Step of the display.
    u_degrees : float [degree]
        Standard uncertainty of the angle: zero mark, protractor, marking the crank.
    repeatability_gmm : float, optional [g mm]
        Spread of one axis known from many earlier spins. Needed for a single reading; with
        repeats the larger of the two is used.

    Raises
    ------
    InputError
        When there is no reading, one reading and no repeatability, or a negative value.

    Examples
    --------
    >>> doubt = reading_doubt([100 + 2j, 104, 99 - 2j, 101], resolution_gmm=1)
    >>> f"{abs(doubt.mean):.1f} +- {doubt.u_along_gmm:.1f}"
    '101.0 +- 1.2'

    Source: JCGM 100:2008, 4.2 (repeats), F.2.2.1 (resolution), G.3 (Student); from memory.
    """
    rows = np.atleast_1d(finite("repeats", repeats)).astype(complex)
    if rows.ndim != 1 or rows.size == 0:
        raise InputError(f"repeats must be a list of readings of one plane, got {repeats!r}")
    mean = complex(rows.mean())
    spread = _spread(rows, mean, repeatability_gmm) / np.sqrt(rows.size)
    along = np.hypot(spread, one_not_negative("resolution_gmm", resolution_gmm) / np.sqrt(12))
    across = np.hypot(spread, abs(mean) * np.radians(one_not_negative("u_degrees", u_degrees)))
    return ReadingDoubt(
        mean, rows.size, float(spread), float(along), float(across), float(max(along, across))
    )


def bobweight_doubt(
    masses_g: ArrayLike,
    throw_degrees: ArrayLike,
    z_mm: ArrayLike,
    *,
    radius_mm: float,
    planes_mm: ArrayLike,
    u_mass_g: float = 0.0,
    u_common_g: float = 0.0,
    u_offset_mm: float = 0.0,
    u_axial_mm: float = 0.0,
) -> BobweightDoubt:
    """Return what errors of mass and placement of the bobweights do in two planes.

    Each error is carried into the planes by :func:`balance.spin.planes.transfer`: a mass error m
    gives m r at its throw, an offset e gives M e there, an axial error s gives M r s as a couple.

    Parameters
    ----------
    masses_g : float or array (n,) [g]
        Bobweights.
    throw_degrees : array (n,) [degree]
        Angles of their throws.
    z_mm : array (n,) [mm]
        Their places along the crank.
    radius_mm : float [mm]
        Crank radius.
    planes_mm : array (2,) [mm]
        The planes wanted, in the order of the result.
    u_mass_g, u_common_g : float [g]
        Standard uncertainty of each mass on its own, and of what all share.
    u_offset_mm, u_axial_mm : float [mm]
        Standard uncertainty of the centre of mass across the pin (each axis) and along it.

    Raises
    ------
    InputError
        When a mass or the radius is not greater than zero, an uncertainty is negative, or the
        counts do not match.

    Examples
    --------
    >>> one = bobweight_doubt(1800, [0], [200], radius_mm=44.45, planes_mm=(0, 400),
    ...                       u_axial_mm=1)
    >>> one.axial_gmm.round(1)
    array([200., 200.])

    Source: statics, linear propagation of uncertainty (JCGM 100:2008, 5.1.2; from memory).
    """
    angles, places = np.atleast_1d(real("throw_degrees", throw_degrees), real("z_mm", z_mm))
    if angles.ndim != 1 or angles.shape != places.shape:
        raise InputError(
            f"throw_degrees and z_mm must have one value for each bobweight, got "
            f"{angles.size} and {places.size}"
        )
    masses = _for_each("masses_g", masses_g, angles.size)
    radius = one_positive("radius_mm", radius_mm)
    throws = np.exp(1j * np.radians(angles))
    # rows: what one unit at each bobweight alone does in the two planes
    share = np.abs(transfer(np.eye(angles.size), places, planes_mm))
    together = np.abs(transfer(throws, places, planes_mm))
    span = float(np.ptp(np.asarray(planes_mm, dtype=float)))
    axial = np.linalg.norm(masses) * radius * one_not_negative("u_axial_mm", u_axial_mm) / span
    return BobweightDoubt(
        mass_gmm=radius * one_not_negative("u_mass_g", u_mass_g) * np.linalg.norm(share, axis=0),
        common_gmm=radius * one_not_negative("u_common_g", u_common_g) * together,
        offset_gmm=one_not_negative("u_offset_mm", u_offset_mm)
        * np.linalg.norm(masses[:, None] * share, axis=0),
        axial_gmm=np.full(2, axial),
    )


def doubt_onto(u_gmm: ArrayLike, from_mm: ArrayLike, onto_mm: ArrayLike) -> NDArray[np.float64]:
    """Return the uncertainty of vectors moved from one pair of planes to another.

    ``u_onto^2 = M^2 u_from^2`` with the matrix of :func:`balance.spin.planes.amplification`.

    Parameters
    ----------
    u_gmm : float or array (2,) [g mm]
        Standard uncertainty in the starting planes, independent of each other.
    from_mm, onto_mm : array (2,) [mm]
        The two pairs of planes.

    Raises
    ------
    InputError
        When an uncertainty is negative or a pair is not two different places.

    Examples
    --------
    >>> doubt_onto(10, (0, 500), (200, 300)).round(1)
    array([36.1, 36.1])

    Source: linear propagation of uncertainty (JCGM 100:2008, 5.1.2; from memory).
    """
    u = not_negative("u_gmm", u_gmm)
    if u.shape not in ((), (2,)):
        raise InputError(f"u_gmm must be one value or one for each of two planes, got {u_gmm!r}")
    matrix = amplification(from_mm, onto_mm).matrix
    return np.sqrt(matrix**2 @ np.broadcast_to(u**2, (2,)))


def from_bound(name: str, bound_gmm: float, *, source: str = "", shared: str = "") -> Line:
    """Return the line of a scalar error: its amount is bounded, its angle unknown.

    ``u = bound / sqrt(2)`` for each axis: a vector of the full length at any angle.

    Parameters
    ----------
    name : str
        What it is: fit clearance, loose part.
    bound_gmm : float [g mm]
        Its largest amount.
    source, shared : str
        As for :class:`Line`.

    Raises
    ------
    InputError
        When the bound is negative.

    Examples
    --------
    >>> round(from_bound("register clearance", 100).u_gmm, 1)
    70.7

    Source: ISO 21940-14, scalar errors (the class from memory; the conversion is ours).
    """
    for argument, text in (("name", name), ("source", source), ("shared", shared)):
        instance_of(argument, text, str)
    return Line(name, one_not_negative("bound_gmm", bound_gmm) / float(np.sqrt(2)), source, shared)


def _spread(rows: NDArray[np.complex128], mean: complex, known: float | None) -> float:
    """Return the spread of one axis: from the repeats, widened, or the known one if larger."""
    if known is None and rows.size == 1:
        raise InputError(
            "repeats must hold at least two readings when repeatability_gmm is not given: "
            "spin again, or give the repeatability known from earlier spins"
        )
    seen = 0.0
    if rows.size > 1:
        from scipy.stats import t

        freedom = 2 * (rows.size - 1)  # two axes
        seen = float(np.sqrt(np.sum(np.abs(rows - mean) ** 2) / freedom))
        seen *= float(t.ppf(0.95, freedom) / t.ppf(0.95, np.inf))
    return max(seen, 0.0 if known is None else one_not_negative("repeatability_gmm", known))


def _for_each(name: str, value: ArrayLike, count: int) -> NDArray[np.float64]:
    array = positive(name, value)
    if array.shape not in ((), (count,)):
        raise InputError(f"{name} must be one value or one for each of {count}, got {value!r}")
    return np.broadcast_to(array, (count,))
