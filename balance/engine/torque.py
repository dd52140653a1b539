"""What the moving parts do to the crank's rotation and to its bearings.

Everything here holds for a crank that turns uniformly; gas forces are left out.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.engine.layouts import Cylinder, Engine
from balance.engine.motion import rad_s
from balance.engine.paths import Path, big_end, piston_pin, rod_angle
from balance.engine.shaking import check_counterweights, per_cylinder
from balance.errors import InputError, one_positive, one_real, real

__all__ = [
    "BearingLoads",
    "InertiaTorque",
    "bearing_loads",
    "inertia_defect",
    "inertia_torque",
]


@dataclass(frozen=True, eq=False)
class InertiaTorque:
    """Torque of the inertia forces [N m], each of the shape of the crank angles.

    ``torque_nm`` is what they do to the crank, positive when they drive it forward:
    ``two_mass_nm`` from the masses at the rod's ends plus ``defect_nm`` from the rod's inertia
    defect. ``roll_nm`` is the couple of the moving parts on the engine block about the crank's
    axis, counter-clockwise positive seen from the flywheel.
    """

    torque_nm: Any
    two_mass_nm: Any
    defect_nm: Any
    roll_nm: Any


@dataclass(frozen=True, eq=False)
class BearingLoads:
    """Inertia load on each main bearing [N], complex, shape of the crank angles + (mains,).

    ``force_n`` stands in the engine's fixed frame, as the crank presses on its bearing.
    """

    force_n: Any
    mains_mm: tuple[float, ...]


def inertia_defect(
    *,
    rod_mass_g: float,
    rod_length_mm: float,
    centre_of_mass_from_big_end_mm: float,
    inertia_gmm2: float,
) -> float:
    """Return the rod's inertia defect [g mm2]: true inertia less that of its two end masses.

    ``defect = I_G - m a b``, a and b from the centre of mass to the two pin centres.

    Parameters
    ----------
    rod_mass_g : float [g]
        Mass of the rod.
    rod_length_mm, centre_of_mass_from_big_end_mm : float [mm]
        Centre to centre, and big-end centre to centre of mass.
    inertia_gmm2 : float [g mm2]
        The rod's moment of inertia about its own centre of mass.

    Raises
    ------
    InputError
        When a value is not positive or the centre of mass is not between the pin centres.

    Examples
    --------
    >>> inertia_defect(rod_mass_g=600, rod_length_mm=150, centre_of_mass_from_big_end_mm=50,
    ...                inertia_gmm2=2.7e6)
    -300000.0

    Source: dynamically equivalent system of two masses with a correction couple; R. S. Khurmi
    and J. K. Gupta, Theory of Machines, 14th ed., ch. 15.
    """
    mass, length = (
        one_positive("rod_mass_g", rod_mass_g),
        one_positive("rod_length_mm", rod_length_mm),
    )
    big = one_positive("centre_of_mass_from_big_end_mm", centre_of_mass_from_big_end_mm)
    if not big < length:
        raise InputError(
            "centre_of_mass_from_big_end_mm must lie between the pin centres (below "
            f"{rod_length_mm!r}), got {centre_of_mass_from_big_end_mm!r}"
        )
    return one_positive("inertia_gmm2", inertia_gmm2) - mass * big * (length - big)


def inertia_torque(
    engine: Engine,
    crank_degrees: ArrayLike,
    *,
    reciprocating_g: ArrayLike,
    speed_rpm: float,
    rotating_g: ArrayLike = 0.0,
    defect_gmm2: ArrayLike = 0.0,
) -> InertiaTorque:
    """Return the torque of the inertia forces, without and with the rods' inertia defect.

    ``T = -w^2 (sum m Re(conj(P') P'') + sum I_defect phi' phi'')``, derivatives by crank angle,
    P the path of each end mass and phi the rod's angle.

    Parameters
    ----------
    engine : Engine
        The layout.
    crank_degrees : float or array [degree]
        Crank angles.
    reciprocating_g, rotating_g : float or array (cylinders,) [g]
        As in `balance.engine.shaking.shake`. The rotating masses matter only on articulated rods.
    speed_rpm : float [rpm]
        Constant speed.
    defect_gmm2 : float or array (cylinders,) [g mm2]
        `inertia_defect` of each rod; 0 is the two-mass rod.

    Returns
    -------
    InertiaTorque
        ``torque_nm``, ``two_mass_nm``, ``defect_nm`` and ``roll_nm``.

    Raises
    ------
    InputError
        When a mass is negative, an array has the wrong length or anything is not finite.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> one = layout("single", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
    >>> t = inertia_torque(one, 45.0, reciprocating_g=500, speed_rpm=3000)
    >>> round(float(t.torque_nm), 2), round(float(t.defect_nm), 2)
    (-48.81, 0.0)

    Source: energy of the moving parts, own derivation, checked against a multibody engine.
    """
    theta = real("crank_degrees", crank_degrees)
    reciprocating = per_cylinder("reciprocating_g", reciprocating_g, engine)
    rotating = per_cylinder("rotating_g", rotating_g, engine)
    defect = _defects(defect_gmm2, engine)
    w2 = 1e-9 * float(rad_s(one_real("speed_rpm", speed_rpm))) ** 2  # g mm2 rad2/s2 -> N m
    two_mass, by_defect, spin = np.zeros((3, *theta.shape))
    for k, cylinder in enumerate(engine.cylinders):
        rod = rod_angle(engine, cylinder, theta)
        for mass, path in (
            (reciprocating[k], piston_pin(engine, cylinder, theta)),
            (rotating[k], big_end(engine, cylinder, theta)),
        ):
            two_mass = two_mass - w2 * mass * _power(path)
            spin = spin + w2 * mass * _spin(path)
        by_defect = by_defect - w2 * defect[k] * _power(rod)
        spin = spin - w2 * defect[k] * rod.bend.real  # the rod turns against its lean
    torque = two_mass + by_defect
    return InertiaTorque(torque, two_mass, by_defect, -torque - spin)


def bearing_loads(
    engine: Engine,
    crank_degrees: ArrayLike,
    *,
    mains_mm: Sequence[float],
    reciprocating_g: ArrayLike,
    rotating_g: ArrayLike,
    speed_rpm: float,
    counterweights: Sequence[tuple[complex, float]] = (),
    defect_gmm2: ArrayLike = 0.0,
) -> BearingLoads:
    """Return what the inertia forces put on each main bearing, the crank cut at every main.

    Each force on the crank is shared by the mains on either side of it by the law of the lever;
    one outside the outer mains hangs on the nearest two. A real crank is stiffer and shares
    differently: this is the usual first estimate.

    Parameters
    ----------
    engine : Engine
        The layout, with plain rods.
    crank_degrees : float or array [degree]
        Crank angles.
    mains_mm : sequence of float [mm]
        Places of the main bearings along the crank, rising, two or more.
    reciprocating_g, rotating_g, speed_rpm, counterweights
        As in `balance.engine.shaking.shake`.
    defect_gmm2 : float or array (cylinders,) [g mm2]
        As in `inertia_torque`.

    Returns
    -------
    BearingLoads
        ``force_n`` complex, shape of ``crank_degrees`` + (mains,).

    Raises
    ------
    InputError
        When the mains do not rise, a rod is articulated, or a mass is wrong.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> one = layout("single", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
    >>> loads = bearing_loads(one, 0.0, mains_mm=[-45, 45], reciprocating_g=500,
    ...                       rotating_g=400, speed_rpm=3000)
    >>> loads.force_n.round(1)
    array([2080.2+0.j, 2080.2+0.j])

    Source: statically determinate crank, one throw between two mains; common practice, from
    memory.
    """
    theta = real("crank_degrees", crank_degrees)
    mains = _rising(mains_mm)
    reciprocating = per_cylinder("reciprocating_g", reciprocating_g, engine)
    rotating = per_cylinder("rotating_g", rotating_g, engine)
    defect = _defects(defect_gmm2, engine)
    w2 = 1e-6 * float(rad_s(one_real("speed_rpm", speed_rpm))) ** 2
    total = np.zeros((*theta.shape, mains.size), dtype=np.complex128)
    for k, cylinder in enumerate(engine.cylinders):
        force = _on_pin(engine, cylinder, theta, reciprocating[k], defect[k])
        force = force - rotating[k] * big_end(engine, cylinder, theta).bend
        total = total + w2 * force[..., None] * _shares(cylinder.z_mm, mains)
    for unbalance, z in check_counterweights(counterweights):
        turning = w2 * unbalance * np.exp(1j * np.radians(theta))
        total = total + turning[..., None] * _shares(z, mains)
    return BearingLoads(total, tuple(mains.tolist()))


def _power(path: Path) -> NDArray[np.float64]:
    return np.real(np.conj(path.slope) * path.bend)


def _spin(path: Path) -> NDArray[np.float64]:
    return np.imag(np.conj(path.place) * path.bend)


def _defects(defect_gmm2: ArrayLike, engine: Engine) -> NDArray[np.float64]:
    """Return one defect a cylinder; unlike a mass it may be negative."""
    defect, count = real("defect_gmm2", defect_gmm2), len(engine.cylinders)
    if defect.shape not in ((), (count,)):
        raise InputError(
            f"defect_gmm2 must be one value or one for each of the {count} cylinders, "
            f"got {defect_gmm2!r}"
        )
    return np.broadcast_to(defect, (count,))


def _rising(mains_mm: Sequence[float]) -> NDArray[np.float64]:
    mains = real("mains_mm", mains_mm)
    if mains.ndim != 1 or mains.size < 2 or np.any(np.diff(mains) <= 0):
        raise InputError(
            f"mains_mm must be two or more places, rising from nose to flywheel, got {mains_mm!r}"
        )
    return mains


def _shares(z_mm: float, mains: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how a force at z is shared by the mains; the shares add up to 1."""
    left = int(np.clip(np.searchsorted(mains, z_mm) - 1, 0, mains.size - 2))
    share = np.zeros(mains.size)
    share[left + 1] = (z_mm - mains[left]) / (mains[left + 1] - mains[left])
    share[left] = 1.0 - share[left + 1]
    return share


def _on_pin(
    engine: Engine, cylinder: Cylinder, theta: NDArray[np.float64], mass_g: float, defect: float
) -> Any:
    """Return the force of piston and rod on the crankpin, over w^2 [g mm].

    Along the bore the piston's inertia force; across it what the leaning rod and the rod's
    inertia defect draw from the cylinder wall.
    """
    if cylinder.link is not None:
        raise InputError("bearing_loads knows plain rods only; this engine has articulated ones")
    rod = rod_angle(engine, cylinder, theta)
    axis = np.exp(1j * np.radians(cylinder.bank_degrees))
    along = -np.real(piston_pin(engine, cylinder, theta).bend / axis) * mass_g
    lean, height = rod.place.real, engine.rod_length_mm * np.cos(rod.place.real)
    across = -along * np.tan(lean) - defect * rod.bend.real / height
    return (along + 1j * across) * axis
