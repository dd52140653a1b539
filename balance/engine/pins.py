"""The crankpins as the bobweights see them: how many rods, which way, where along the crank."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.engine.layouts import Engine, middle_mm
from balance.errors import InputError, instance_of, not_negative, one_real, real

__all__ = ["ZERO", "Pins", "check_factor", "per_pin", "pins_of", "plane_shares"]

ZERO = 1e-4  # of the sum of amounts: pins whose angles are written to 0.01 degree and cancel


@dataclass(frozen=True, eq=False)
class Pins:
    """The pins that carry rods, arrays with one entry a pin.

    ``direction`` is exp(i angle); ``arm`` is the distance from the middle of the throws in bore
    spacings. ``force`` and ``couple`` are the sums over the rods, ``sum exp(i a)`` and
    ``sum arm exp(i a)``.
    """

    throws: tuple[int, ...]
    cylinders: tuple[tuple[int, ...], ...]
    rods: NDArray[np.float64]
    direction: NDArray[np.complex128]
    z_mm: NDArray[np.float64]
    arm: NDArray[np.float64]
    force: complex
    couple: complex


def pins_of(engine: Engine) -> Pins:
    """Return the pins of an engine that carry at least one rod.

    Parameters
    ----------
    engine : Engine
        Layout.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> v8 = layout("V-8", stroke_mm=88.9, rod_length_mm=145, bore_spacing_mm=111.8)
    >>> pins = pins_of(v8)
    >>> pins.rods.tolist(), round(abs(pins.force), 9), round(abs(pins.couple), 3)
    ([2.0, 2.0, 2.0, 2.0], 0.0, 6.325)

    Source: rotating force and couple as in C. F. Taylor, The Internal-Combustion Engine in Theory
    and Practice, vol. 2, ch. 8 (from memory).
    """
    carried: dict[int, list[int]] = {}
    for index, cylinder in enumerate(instance_of("engine", engine, Engine).cylinders):
        carried.setdefault(cylinder.throw, []).append(index)
    throws = tuple(sorted(carried))
    rods = np.array([float(len(carried[t])) for t in throws])
    direction = np.exp(1j * np.radians([engine.throws[t].degrees for t in throws]))
    z = np.array([engine.throws[t].z_mm for t in throws])
    arm = (z - middle_mm(engine)) / engine.bore_spacing_mm
    return Pins(
        throws=throws,
        cylinders=tuple(tuple(carried[t]) for t in throws),
        rods=rods,
        direction=direction,
        z_mm=z,
        arm=arm,
        force=complex(np.sum(rods * direction)),
        couple=complex(np.sum(rods * arm * direction)),
    )


def plane_shares(z_mm: ArrayLike, planes_mm: ArrayLike) -> Any:
    """Return how much of an unbalance at z falls on each of two planes: array (..., 2).

    ``share_A = (z_B - z) / (z_B - z_A)``, ``share_B = (z - z_A) / (z_B - z_A)``

    Parameters
    ----------
    z_mm : float or array [mm]
        Place of the unbalance.
    planes_mm : array (2,) [mm]
        The two planes, from the same datum.

    Raises
    ------
    InputError
        When there are not two planes apart from each other, or anything is not finite.

    Examples
    --------
    >>> plane_shares(100, [0, 400]).tolist()
    [0.75, 0.25]

    Source: force and moment kept; ISO 21940-2, dynamic unbalance, from memory.
    """
    planes = real("planes_mm", planes_mm)
    if planes.shape != (2,) or planes[0] == planes[1]:
        raise InputError(f"planes_mm must be two different places, got {planes_mm!r}")
    to_second = (real("z_mm", z_mm) - planes[0]) / (planes[1] - planes[0])
    return np.stack([1.0 - to_second, to_second], axis=-1)


def check_factor(factor: float) -> float:
    """Return the balance factor as a float, or raise when it is no share between 0 and 1.

    Parameters
    ----------
    factor : float [1]
        Share of the reciprocating mass.

    Raises
    ------
    InputError
        When it is not one number from 0 to 1 (50 for 50 percent, say).

    Examples
    --------
    >>> check_factor(0.5)
    0.5
    """
    share = one_real("factor", factor)
    if not 0.0 <= share <= 1.0:
        raise InputError(f"factor must be a share from 0 to 1 (0.5 for 50 percent), got {factor!r}")
    return share


def per_pin(name: str, value: ArrayLike, pins: Pins) -> NDArray[np.float64]:
    """Return one mass a pin from one for all or one for each, or raise.

    Parameters
    ----------
    name : str
        What the message calls it.
    value : float or array (pins,) [g]
        The mass or masses.
    pins : Pins
        The pins that carry rods.

    Raises
    ------
    InputError
        When a mass is negative or not finite, or there are not as many as pins.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> twin = layout("twin", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
    >>> per_pin("oil_g", 4, pins_of(twin)).tolist()
    [4.0, 4.0]
    """
    masses, count = not_negative(name, value), len(pins.throws)
    if masses.shape not in ((), (count,)):
        raise InputError(
            f"{name} must be one mass or one for each of the {count} pins, got {value!r}"
        )
    return np.broadcast_to(masses, (count,)).copy()
