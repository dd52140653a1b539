"""The stack: crank alone, then damper, flywheel, clutch cover, each read as it goes on.

What a part adds is the difference of two readings. Each part is corrected on itself, so that it
can be replaced later; the crank is never drilled to make up for a clutch. On an engine whose
damper or flywheel carries part of the balance (external balance) those parts belong to the first
spin, and what remains is corrected on the crank.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import (
    InputError,
    all_of,
    finite,
    instance_of,
    not_negative,
    one_not_negative,
    one_positive,
    one_real,
)
from balance.spin.planes import plane_pair, static_and_couple, transfer
from balance.spin.tolerance import Verdict, judge
from balance.vectors import vector

__all__ = [
    "Added",
    "KeyConvention",
    "Mounting",
    "Replacement",
    "StackSpin",
    "match_replacement",
    "mounting",
    "to_key_convention",
    "what_each_adds",
]

KeyConvention = Literal["half", "full", "none"]
_FILL = {"half": 0.5, "full": 1.0, "none": 0.0}


@dataclass(frozen=True)
class StackSpin:
    """One reading of the stack, taken when ``part`` had just been added.

    ``unbalance`` (2,) [g mm] is the whole stack's, ``u_gmm`` its standard uncertainty for each
    axis. ``mounting_gmm`` is what refitting the part can do, see :func:`mounting`; ``z_mm`` where
    along the crank the part can be corrected. ``marks`` says how it sat (which dowel, punch mark,
    stamped position) and ``key`` how its keyway was filled.
    """

    part: str
    unbalance: Any
    u_gmm: Any = 0.0
    mounting_gmm: float = 0.0
    z_mm: float | None = None
    marks: str = ""
    key: KeyConvention | None = None

    def __post_init__(self) -> None:
        instance_of("part", self.part, str)
        instance_of("marks", self.marks, str)
        if self.key is not None:
            instance_of("key", self.key, str)


@dataclass(frozen=True)
class Added:
    """What one part brings into the stack, in the planes of the readings.

    ``correction`` (2,) [g mm] is what to add to the part itself (take off the opposite).
    ``floor_gmm`` (2,) is the amount below which nothing is chased and ``chase`` whether any plane
    reaches it.
    With the part's place known, ``static`` [g mm] is what one plane there can correct and
    ``couple_left`` [g mm2] what it cannot.
    """

    part: str
    unbalance: NDArray[np.complex128]
    correction: NDArray[np.complex128]
    u_gmm: NDArray[np.float64]
    floor_gmm: NDArray[np.float64]
    chase: bool
    static: complex
    couple_left: complex | None
    marks: str
    remarks: tuple[str, ...]


@dataclass(frozen=True)
class Mounting:
    """How far off centre a part can sit and what unbalance that makes.

    ``unbalance_gmm`` is the bound below which nothing should be chased; ``refit_gmm`` the part of
    it that can come out differently at every refit.
    """

    eccentricity_mm: float
    unbalance_gmm: float
    refit_gmm: float


@dataclass(frozen=True)
class Replacement:
    """A new part held against the one that it replaces.

    ``to_add`` [g mm] turns the new one into the old one; ``verdict`` judges the length of the
    difference; ``couple_left`` [g mm2] remains if the new weight sits elsewhere along the crank.
    """

    to_add: Any
    amount_gmm: Any
    verdict: Verdict
    couple_left: Any


def what_each_adds(spins: Sequence[StackSpin], *, planes_mm: ArrayLike) -> tuple[Added, ...]:
    """Return what each part of a stack adds, by differences of successive readings.

    ``added_k = reading_k - reading_(k-1)``, ``u^2 = u_k^2 + u_(k-1)^2``; the first is the crank's
    own.

    Parameters
    ----------
    spins : sequence of StackSpin
        In the order in which the parts went on; nothing else may change between two of them.
    planes_mm : array (2,) [mm]
        The planes of all readings.

    Raises
    ------
    InputError
        When there is no spin, a part is named twice, or a reading is not one vector a plane.

    Examples
    --------
    >>> crank, wheel = what_each_adds(
    ...     [StackSpin("crank", [10, 5j], u_gmm=2), StackSpin("flywheel", [10, 95j], u_gmm=2)],
    ...     planes_mm=(0, 500))
    >>> wheel.correction.round(6) + 0
    array([0. +0.j, 0.-90.j])

    Source: vector arithmetic; the order of the stack is common practice, no source.
    """
    given = all_of("spins", spins, StackSpin)
    if not given:
        raise InputError("spins must hold at least the spin of the crank alone, got none")
    names = [spin.part for spin in given]
    if twice := {name for name in names if names.count(name) > 1}:
        raise InputError(f"each part must be added once, got {min(twice)!r} twice")
    planes = plane_pair("planes_mm", planes_mm)
    found, before, u_before = [], np.zeros(2, dtype=complex), np.zeros(2)
    for k, spin in enumerate(given):
        whole, u = _reading(spin)
        remarks = _remarks(spin, given[k - 1] if k else None)
        found.append(_added(spin, whole - before, np.hypot(u, u_before), planes, remarks))
        before, u_before = whole, u
    return tuple(found)


def mounting(*, mass_g: float, tir_mm: float = 0.0, clearance_mm: float = 0.0) -> Mounting:
    """Return the unbalance that an eccentric seat gives a part.

    ``e = TIR / 2 + clearance / 2``, ``U = m e``

    Parameters
    ----------
    mass_g : float [g]
        Mass of the part.
    tir_mm : float [mm]
        Total indicator reading of the seat's run-out.
    clearance_mm : float [mm]
        Diametral clearance of the register or dowels.

    Raises
    ------
    InputError
        When the mass is not greater than zero or a length is negative.

    Examples
    --------
    >>> mounting(mass_g=8000, tir_mm=0.03, clearance_mm=0.02).unbalance_gmm
    200.0

    Source: Bloch & Geitner, Machinery Component Maintenance and Repair, p. 300.
    """
    mass = one_positive("mass_g", mass_g)
    tir = one_not_negative("tir_mm", tir_mm)
    clearance = one_not_negative("clearance_mm", clearance_mm)
    eccentricity = (tir + clearance) / 2
    return Mounting(eccentricity, mass * eccentricity, mass * clearance / 2)


def match_replacement(
    old: ArrayLike,
    new: ArrayLike,
    *,
    tolerance_gmm: float,
    u_gmm: float = 0.0,
    old_z_mm: float = 0.0,
    new_z_mm: float = 0.0,
) -> Replacement:
    """Return what makes a replacement flywheel or damper the same as the old one.

    ``to_add = old - new``; what the arbor adds to both readings cancels.

    Parameters
    ----------
    old, new : complex or array (planes,) [g mm]
        Both read on the same arbor the same way round, angles from the same dowel or odd bolt.
    tolerance_gmm : float [g mm]
        Largest length allowed for the difference.
    u_gmm : float [g mm]
        Standard uncertainty of each of the two readings.
    old_z_mm, new_z_mm : float [mm]
        Where along the crank the two weights sit when fitted.

    Raises
    ------
    InputError
        When the two have different shapes, or the tolerance is not greater than zero.

    Examples
    --------
    >>> found = match_replacement(20000, 19700 + 40j, tolerance_gmm=150, u_gmm=10)
    >>> complex(found.to_add), found.verdict
    ((300-40j), 'fail')

    Source: vector arithmetic; matching by the difference is common practice, no source.
    """
    first, second = finite("old", old), finite("new", new)
    if first.shape != second.shape:
        raise InputError(
            f"old and new must have the same planes, got shapes {first.shape} and {second.shape}"
        )
    shift = one_real("new_z_mm", new_z_mm) - one_real("old_z_mm", old_z_mm)
    doubt = np.sqrt(2) * one_not_negative("u_gmm", u_gmm)
    missing = first - second
    return Replacement(
        to_add=missing,
        amount_gmm=np.abs(missing),
        verdict=judge(missing, permissible_gmm=tolerance_gmm, u_gmm=doubt),
        couple_left=first * shift,  # once matched, the old weight at the new place
    )


def to_key_convention(
    unbalance: ArrayLike,
    *,
    was: KeyConvention,
    now: KeyConvention,
    key_mass_g: float,
    radius_mm: float,
    degrees: float,
) -> Any:
    """Return a reading as it would be with the keyway filled another way.

    ``U_now = U_was + (f_now - f_was) m r exp(i angle)`` with f = 0 for no key, 1/2 for the half
    key and 1 for a fill that weighs as much as the whole key.

    Parameters
    ----------
    unbalance : complex [g mm]
        Reading in the keyway's own plane.
    was, now : str
        "half" (the ISO convention), "full" or "none".
    key_mass_g : float [g]
        Mass of the final key.
    radius_mm : float [mm]
        Radius of its centre of mass.
    degrees : float [degree]
        Angle of the keyway.

    Raises
    ------
    InputError
        When a convention is none of the three, or mass or radius is not greater than zero.

    Examples
    --------
    >>> complex(to_key_convention(500, was="full", now="half", key_mass_g=20, radius_mm=15,
    ...                           degrees=0))
    (350+0j)

    Source: ISO 21940-32 (half key, full key, no key); equal halves are an approximation, weigh
    the half key when it matters.
    """
    for name, convention in (("was", was), ("now", now)):
        if instance_of(name, convention, str) not in _FILL:
            raise InputError(
                f"{name} must be one of {', '.join(get_args(KeyConvention))}, got {convention!r}"
            )
    mass = one_positive("key_mass_g", key_mass_g)
    radius = one_positive("radius_mm", radius_mm)
    return finite("unbalance", unbalance) + (_FILL[now] - _FILL[was]) * vector(
        mass * radius, one_real("degrees", degrees)
    )


def _reading(spin: StackSpin) -> tuple[NDArray[np.complex128], NDArray[np.float64]]:
    whole = finite(f"unbalance of {spin.part}", spin.unbalance).astype(complex)
    u = not_negative(f"u_gmm of {spin.part}", spin.u_gmm)
    if whole.shape != (2,) or u.shape not in ((), (2,)):
        raise InputError(
            f"unbalance of {spin.part} must be one vector for each of two planes, "
            f"got shape {whole.shape} with u_gmm of shape {u.shape}"
        )
    return whole, np.broadcast_to(u, (2,))


def _added(
    spin: StackSpin,
    added: NDArray[np.complex128],
    u: NDArray[np.float64],
    planes: NDArray[np.float64],
    remarks: tuple[str, ...],
) -> Added:
    bound = not_negative(f"mounting_gmm of {spin.part}", spin.mounting_gmm)
    seat = np.full(2, bound) if spin.z_mm is None else np.abs(transfer(bound, spin.z_mm, planes))
    floor = np.maximum(2 * u, seat)
    split = None if spin.z_mm is None else static_and_couple(added, planes, at_mm=spin.z_mm)
    chase = bool(np.any((np.abs(added) >= floor) & (added != 0)))
    quiet = "no more than its reading or its seat can do: nothing to chase"
    return Added(
        part=spin.part,
        unbalance=added,
        correction=-added,
        u_gmm=u,
        floor_gmm=floor,
        chase=chase,
        static=complex(added.sum()),
        couple_left=None if split is None else complex(split.couple),
        marks=spin.marks,
        remarks=remarks if chase else (*remarks, quiet),
    )


def _remarks(spin: StackSpin, before: StackSpin | None) -> tuple[str, ...]:
    """Return what the record of a spin lacks or contradicts."""
    remarks = []
    if spin.key is not None and spin.key not in _FILL:
        raise InputError(
            f"key of {spin.part} must be one of {', '.join(_FILL)} or not given, got {spin.key!r}"
        )
    if before is not None and not spin.marks:
        remarks.append("no marks recorded: mark how it sits before it comes off")
    if before is not None and spin.key != before.key:
        remarks.append(
            f"key convention is {spin.key or 'not recorded'} here and "
            f"{before.key or 'not recorded'} for {before.part}: the difference holds part of a key"
        )
    return tuple(remarks)
