"""What a wrong or badly placed bobweight does to the crank, and how wrong it may be."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.engine.layouts import Engine, radius_mm
from balance.engine.pins import ZERO, per_pin, pins_of, plane_shares
from balance.errors import InputError, one_not_negative, positive, real

__all__ = [
    "BobweightTolerance",
    "Sensitivities",
    "Sensitivity",
    "bobweight_tolerance",
    "sensitivities",
]


@dataclass(frozen=True)
class Sensitivity:
    """What three small errors of one bobweight do to the two planes: amounts (2,) [g mm]."""

    throw: int
    mass_gmm: tuple[float, float]
    off_centre_gmm: tuple[float, float]
    along_gmm: tuple[float, float]


@dataclass(frozen=True)
class Sensitivities:
    """One `Sensitivity` a bobweight, and what the mass error does on all of them together."""

    throws: tuple[Sensitivity, ...]
    together_gmm: tuple[float, float]


@dataclass(frozen=True)
class BobweightTolerance:
    """How far bobweights may be off [g] so that no plane gets more than its tolerance.

    ``one_g``: any single one. ``any_g``: every one by up to this, whichever way. ``together_g``:
    all by the same amount; infinite where the pins cancel.
    """

    one_g: float
    any_g: float
    together_g: float


def sensitivities(
    engine: Engine,
    *,
    bobweight_g: ArrayLike,
    planes_mm: ArrayLike,
    mass_error_g: float = 1.0,
    off_centre_mm: float = 0.05,
    along_mm: float = 1.0,
) -> Sensitivities:
    """Return what small errors of the bobweights do to the two planes: placement beats mass.

    ``error * r`` for a wrong mass, ``mass * error`` off the pin's centre, both shared between the
    planes by place; ``mass * r * error / (z_B - z_A)`` in each plane for a shift along the pin.

    Parameters
    ----------
    engine : Engine
        Layout.
    bobweight_g : float or array (pins,) [g]
        Mass of the bobweights.
    planes_mm : array (2,) [mm]
        The planes, from the same datum as the throws.
    mass_error_g, off_centre_mm, along_mm : float [g, mm, mm]
        The errors: mass, centre of mass off the pin's centre line, shift along the pin.

    Raises
    ------
    InputError
        When something is negative or not finite, or the planes are not two.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> v8 = layout("V-8", stroke_mm=88.9, rod_length_mm=145, bore_spacing_mm=111.8)
    >>> s = sensitivities(v8, bobweight_g=1800, planes_mm=[-32.3, 367.7])
    >>> [round(amount) for amount in s.together_gmm], round(s.throws[0].along_gmm[0])
    ([39, 39], 200)

    Source: force and moment kept; worked figures in the tests.
    """
    pins, r = pins_of(engine), radius_mm(engine)
    mass = per_pin("bobweight_g", bobweight_g, pins)
    error, off, along = (
        one_not_negative(name, value)
        for name, value in (
            ("mass_error_g", mass_error_g),
            ("off_centre_mm", off_centre_mm),
            ("along_mm", along_mm),
        )
    )
    shares = plane_shares(pins.z_mm, planes_mm)
    apart = abs(float(np.diff(real("planes_mm", planes_mm))[0]))
    throws = tuple(
        Sensitivity(
            throw,
            mass_gmm=_pair(error * r * np.abs(shares[k])),
            off_centre_gmm=_pair(mass[k] * off * np.abs(shares[k])),
            along_gmm=_pair(np.full(2, mass[k] * r * along / apart)),
        )
        for k, throw in enumerate(pins.throws)
    )
    return Sensitivities(throws, _pair(error * r * np.abs(pins.direction @ shares)))


def bobweight_tolerance(
    engine: Engine, *, planes_mm: ArrayLike, tolerance_gmm: ArrayLike
) -> BobweightTolerance:
    """Return how many grams the bobweights may be off for a tolerance in the two planes.

    Parameters
    ----------
    engine : Engine
        Layout.
    planes_mm : array (2,) [mm]
        The planes, from the same datum as the throws.
    tolerance_gmm : float or array (2,) [g mm]
        What the bobweights may contribute to each plane.

    Raises
    ------
    InputError
        When a tolerance is not positive or the planes are not two.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> v8 = layout("V-8", stroke_mm=88.9, rod_length_mm=145, bore_spacing_mm=111.8)
    >>> t = bobweight_tolerance(v8, planes_mm=[-32.3, 367.7], tolerance_gmm=72)
    >>> round(t.one_g, 2), round(t.any_g, 2), round(t.together_g, 2)
    (1.76, 1.15, 1.83)

    Source: force and moment kept; worked figures in the tests.
    """
    pins, r = pins_of(engine), radius_mm(engine)
    shares = plane_shares(pins.z_mm, planes_mm)
    limit = positive("tolerance_gmm", tolerance_gmm)
    if limit.shape not in ((), (2,)):
        raise InputError(
            f"tolerance_gmm must be one amount or one for each plane, got {tolerance_gmm!r}"
        )
    gain = r * pins.direction[:, None] * shares
    together = np.abs(gain.sum(axis=0))
    together[together <= ZERO * np.abs(gain).sum(axis=0)] = 0.0
    worst = np.array([_worst_signs(gain[:, plane]) for plane in (0, 1)])
    return BobweightTolerance(
        one_g=_least(limit, np.abs(gain).max(axis=0)),
        any_g=_least(limit, worst),
        together_g=_least(limit, together),
    )


def _worst_signs(vectors: NDArray[np.complex128]) -> float:
    """Return the longest sum of the vectors, each taken one way or the other.

    The longest sum has every part within 90 degrees of itself, so the signs can change only
    where the sum is square to one of the vectors.
    """
    turns = np.sort(np.mod(np.angle(vectors[np.abs(vectors) > 0]), np.pi))
    between = (turns + np.append(turns[1:], turns[:1] + np.pi)) / 2.0 + np.pi / 2.0
    aim = np.exp(-1j * between)[:, None]
    signs = np.where((vectors * aim).real < 0.0, -1.0, 1.0)
    return float(np.abs(signs @ vectors).max(initial=0.0))


def _least(limit: NDArray[np.float64], gain: NDArray[np.float64]) -> float:
    with np.errstate(divide="ignore", over="ignore"):  # what does nothing, or next to it: any mass
        return float(np.min(limit / gain))


def _pair(amounts: Any) -> tuple[float, float]:
    return float(amounts[0]), float(amounts[1])
