"""Where every lumped mass goes: exact paths of piston pins, crankpins and knuckle pins.

A path is complex (engine's fixed frame, crank axis at 0) with its first and second derivative by
crank angle in radians, so that velocity = w * slope and acceleration = w^2 * bend.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.engine.layouts import Cylinder, Engine, Link, offset_of, radius_mm
from balance.errors import InputError, real

__all__ = ["Path", "bend_orders", "big_end", "piston_pin", "rod_angle"]

Complex = NDArray[np.complexfloating[Any, Any]]


@dataclass(frozen=True, eq=False)
class Path:
    """Position, and its derivatives by crank angle [mm, mm/rad, mm/rad2]; complex arrays."""

    place: Complex
    slope: Complex
    bend: Complex

    def turned(self, degrees: float) -> "Path":
        """Return the same path seen from axes turned by that much."""
        turn = np.exp(-1j * np.radians(degrees))
        return Path(self.place * turn, self.slope * turn, self.bend * turn)


def big_end(engine: Engine, cylinder: Cylinder, crank_degrees: ArrayLike) -> Path:
    """Return the path of a rod's big end: crankpin, or knuckle pin of an articulated rod.

    ``P = r exp(i(theta + alpha))``, and for a knuckle pin ``+ k exp(i(rod direction + kappa))``

    Parameters
    ----------
    engine : Engine
        The engine.
    cylinder : Cylinder
        One of its cylinders.
    crank_degrees : float or array [degree]
        Crank angle theta.

    Raises
    ------
    InputError
        When the crank angle is not finite.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> single = layout("single", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
    >>> big_end(single, single.cylinders[0], 90.0).place.round(6)
    np.complex128(40j)
    """
    theta = np.radians(real("crank_degrees", crank_degrees))
    pin = radius_mm(engine) * np.exp(
        1j * (theta + np.radians(engine.throws[cylinder.throw].degrees))
    )
    crankpin = Path(pin, 1j * pin, -pin)
    return crankpin if cylinder.link is None else _knuckle(engine, cylinder.link, crankpin)


def piston_pin(engine: Engine, cylinder: Cylinder, crank_degrees: ArrayLike) -> Path:
    """Return the path of a piston pin, on its bore's axis (or offset from it).

    ``x = Re P + sqrt(l^2 - (Im P - e)^2)`` with P the big end, seen along the bore.

    Parameters
    ----------
    engine : Engine
        The engine.
    cylinder : Cylinder
        One of its cylinders.
    crank_degrees : float or array [degree]
        Crank angle theta.

    Raises
    ------
    InputError
        When the crank angle is not finite.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> single = layout("single", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
    >>> piston_pin(single, single.cylinders[0], 0.0).place.round(6)
    np.complex128(170+0j)
    """
    end = big_end(engine, cylinder, crank_degrees).turned(cylinder.bank_degrees)
    offset = offset_of(engine, cylinder)
    g, slope, bend = end.place.imag - offset, end.slope.imag, end.bend.imag
    along = np.sqrt(_length(engine, cylinder) ** 2 - g**2)
    line = Path(
        end.place.real + along + 1j * offset,
        end.slope.real - g * slope / along + 0j,
        end.bend.real - (slope**2 + g * bend) / along - (g * slope) ** 2 / along**3 + 0j,
    )
    return line.turned(-cylinder.bank_degrees)


def rod_angle(engine: Engine, cylinder: Cylinder, crank_degrees: ArrayLike) -> Path:
    """Return the rod's angle to its bore [rad] and its derivatives, as a Path of real parts.

    Positive as in `balance.engine.motion.Motion`.

    Parameters
    ----------
    engine : Engine
        The engine.
    cylinder : Cylinder
        One of its cylinders.
    crank_degrees : float or array [degree]
        Crank angle theta.

    Raises
    ------
    InputError
        When the crank angle is not finite.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> single = layout("single", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
    >>> np.degrees(rod_angle(single, single.cylinders[0], 90.0).place.real).round(3)
    np.float64(17.92)
    """
    end = big_end(engine, cylinder, crank_degrees).turned(cylinder.bank_degrees)
    return _lean(end, _length(engine, cylinder), offset_of(engine, cylinder))


def bend_orders(path_of_turn: Path, orders: NDArray[np.int64]) -> tuple[Complex, Complex]:
    """Return the forward and backward vectors of -bend, from one turn sampled evenly from 0.

    ``-bend = sum A_n exp(i n theta) + B_n exp(-i n theta)``. The motion is analytic, so the sums
    are exact to rounding once the highest quarter of the spectrum has died away.

    Parameters
    ----------
    path_of_turn : Path
        The path at crank angles 360 k / N degrees, k = 0 to N - 1 [mm].
    orders : array of int [1]
        The orders n, below N / 4.

    Raises
    ------
    InputError
        When an order is not below N / 4, or the spectrum has not died away.

    Examples
    --------
    >>> turn = np.exp(2j * np.pi * np.arange(64) / 64)
    >>> ahead, back = bend_orders(Path(turn, 1j * turn, -turn), np.array([1]))
    >>> bool(abs(ahead[0] - 1) < 1e-14), bool(abs(back[0]) < 1e-14)
    (True, True)
    """
    spectrum = np.fft.fft(-path_of_turn.bend) / path_of_turn.bend.size
    if np.max(orders) >= spectrum.size // 4:
        raise InputError(
            f"orders of an articulated rod must be below {spectrum.size // 4}, got {np.max(orders)}"
        )
    half = spectrum.size // 2
    if np.max(np.abs(spectrum[half - half // 4 : half + half // 4])) > 1e-12 * np.max(
        np.abs(spectrum)
    ):
        raise InputError("the articulated rod is too short beside its crank for an exact series")
    return spectrum[orders], spectrum[-orders]


def _length(engine: Engine, cylinder: Cylinder) -> float:
    return engine.rod_length_mm if cylinder.link is None else cylinder.link.length_mm


def _lean(end: Path, length_mm: float, offset_mm: float) -> Path:
    """Return the angle [rad] of a rod to its bore, its big end seen along that bore."""
    g = end.place.imag - offset_mm
    along = np.sqrt(length_mm**2 - g**2)
    slope = end.slope.imag / along
    bend = end.bend.imag / along + g * end.slope.imag**2 / along**3
    return Path(np.arcsin(g / length_mm) + 0j, slope + 0j, bend + 0j)


def _knuckle(engine: Engine, link: Link, crankpin: Path) -> Path:
    """Return the knuckle pin's path: it swings with the master rod about the crankpin."""
    master = engine.cylinders[link.master]
    local = crankpin.turned(master.bank_degrees)
    lean = _lean(local, engine.rod_length_mm, offset_of(engine, master))
    slope, bend = -lean.slope.real, -lean.bend.real  # the rod's direction turns against its lean
    arm = link.knuckle_radius_mm * np.exp(
        1j * (np.radians(master.bank_degrees + link.knuckle_degrees) - lean.place.real)
    )
    return Path(
        crankpin.place + arm,
        crankpin.slope + 1j * slope * arm,
        crankpin.bend + (1j * bend - slope**2) * arm,
    )
