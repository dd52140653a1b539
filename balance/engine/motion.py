"""Exact motion of piston and rod, and the exact series of the piston's acceleration."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, finite, not_negative, plain, positive, real, together

__all__ = ["Motion", "harmonics", "offset_harmonics", "piston", "rad_s"]

MARGIN = (
    1e-6  # a rod only this much longer than its crank needs 14 000 terms: no engine is built so
)


@dataclass(frozen=True, eq=False)
class Motion:
    """Motion of one piston and its rod; every field has the shape of ``crank_degrees``.

    ``position_mm`` counts from top dead centre towards the crank, velocity and acceleration
    likewise (so the acceleration at top dead centre is positive and the inertia force points
    outward). ``rod_degrees`` is the rod's angle to the bore's axis, positive while the crankpin
    stands on the side where it is 90 degrees after top.
    """

    position_mm: Any
    velocity_m_s: Any
    acceleration_m_s2: Any
    rod_degrees: Any
    rod_velocity_rad_s: Any
    rod_acceleration_rad_s2: Any


def rad_s(speed_rpm: ArrayLike) -> NDArray[np.float64]:
    """Return the angular speed [rad/s] of a speed [rpm]: ``w = 2 pi n / 60``.

    Examples
    --------
    >>> float(rad_s(60).round(6))
    6.283185
    """
    return not_negative("speed_rpm", speed_rpm) * (np.pi / 30.0)


def piston(
    crank_degrees: ArrayLike,
    *,
    stroke_mm: ArrayLike,
    rod_length_mm: ArrayLike,
    speed_rpm: ArrayLike,
    pin_offset_mm: ArrayLike = 0.0,
) -> Motion:
    """Return the exact motion of a piston whose crank turns at constant speed.

    ``x = r cos q + sqrt(l^2 - (r sin q - e)^2)``, position = ``sqrt((r + l)^2 - e^2) - x``

    Parameters
    ----------
    crank_degrees : float or array [degree]
        q, crank angle after the crankpin stands in the bank's direction. Without offset that is
        top dead centre; with offset e top dead centre is at ``asin(e / (r + l))``.
    stroke_mm : float or array [mm]
        Twice the crank radius r.
    rod_length_mm : float or array [mm]
        l, centre to centre.
    speed_rpm : float or array [rpm]
        Constant speed, not negative.
    pin_offset_mm : float or array [mm]
        e, from the crank's axis to the line of the piston pin, positive towards the side where
        the crankpin stands at q = 90 degrees.

    Raises
    ------
    InputError
        When a number is not finite, a length not positive, the rod cannot pass the crank, or the
        arrays do not go together.

    Examples
    --------
    >>> m = piston(60, stroke_mm=300, rod_length_mm=600, speed_rpm=450)
    >>> round(float(m.velocity_m_s), 4), round(float(m.acceleration_m_s2), 3)
    (6.9054, 124.949)

    Source: slider-crank geometry; R. S. Khurmi and J. K. Gupta, Theory of Machines, 14th ed.,
    ch. 15 (whose worked values use the two-term approximation).
    """
    together(
        crank_degrees=crank_degrees,
        stroke_mm=stroke_mm,
        rod_length_mm=rod_length_mm,
        speed_rpm=speed_rpm,
        pin_offset_mm=pin_offset_mm,
    )
    q = np.radians(real("crank_degrees", crank_degrees))
    r = positive("stroke_mm", stroke_mm) / 2.0
    length, offset = (
        positive("rod_length_mm", rod_length_mm),
        real("pin_offset_mm", pin_offset_mm),
    )
    _check_passes(r, length, offset)
    w = rad_s(speed_rpm)
    g, slope, bend = r * np.sin(q) - offset, r * np.cos(q), -r * np.sin(q)
    along = np.sqrt(length**2 - g**2)
    rod_slope = slope / along  # d(rod angle)/dq
    rod_bend = bend / along + g * slope**2 / along**3
    top = np.sqrt((r + length) ** 2 - offset**2)
    return Motion(
        position_mm=top - r * np.cos(q) - along,
        velocity_m_s=1e-3 * w * (r * np.sin(q) + g * rod_slope),
        acceleration_m_s2=1e-3 * w**2 * (r * np.cos(q) + slope * rod_slope + g * rod_bend),
        rod_degrees=np.degrees(np.arcsin(g / length)),
        rod_velocity_rad_s=w * rod_slope,
        rod_acceleration_rad_s2=w**2 * rod_bend,
    )


def harmonics(ratio: ArrayLike, orders: ArrayLike) -> Any:
    """Return the exact coefficients a_n of the piston's acceleration: r w^2 sum a_n cos n q.

    ``a_1 = 1``, other odd orders 0, ``a_2 = L + L^3/4 + 15 L^5/128 + ...``,
    ``a_4 = -(L^3/4 + 3 L^5/16 + ...)``; summed until the next term is below rounding.

    Parameters
    ----------
    ratio : float or array [1]
        L = crank radius / rod length, between 0 and 1.
    orders : int or array of int [1]
        The orders n, 1 and above.

    Returns
    -------
    float or array
        Shape of ``ratio`` followed by the shape of ``orders``.

    Raises
    ------
    InputError
        When the ratio is not between 0 and 1 or an order is not a whole number from 1.

    Examples
    --------
    >>> harmonics(0.25, [1, 2, 3, 4]).round(6)
    array([ 1.      ,  0.254025,  0.      , -0.004098])

    Source: J. P. Den Hartog, Mechanical Vibrations, ch. 5 (series, from memory); the closed form
    is derived in `offset_harmonics`.
    """
    return offset_harmonics(ratio, 0.0, orders).real


def offset_harmonics(ratio: ArrayLike, offset_ratio: ArrayLike, orders: ArrayLike) -> Any:
    """Return the exact complex coefficients with an offset pin: r w^2 Re sum a_n exp(i n q).

    ``l^2 - (r sin q - e)^2`` is the product of ``l + e - r sin q`` and ``l - e + r sin q``; each
    is a constant times ``|1 +- i b exp(iq)|^2``, so its root is the square of the modulus of a
    power series p in i exp(iq), and ``a_n = [n = 1] + 2 n^2 i^n g sum_j p_(j+n) p_j``.

    Parameters
    ----------
    ratio : float or array [1]
        Crank radius / rod length.
    offset_ratio : float or array [1]
        Pin offset / rod length, same sign as ``pin_offset_mm`` in `piston`.
    orders : int or array of int [1]
        The orders n, 1 and above.

    Returns
    -------
    complex or array
        Common shape of the ratios followed by the shape of ``orders``.

    Raises
    ------
    InputError
        When ratio + |offset_ratio| is not below 1 or an order is not a whole number from 1.

    Examples
    --------
    >>> offset_harmonics(0.25, 0.01, 1).round(6)
    np.complex128(1-0.010245j)
    >>> offset_harmonics(0.25, 0.0, 2).round(6)
    np.complex128(0.254025+0j)

    Source: own derivation, checked against mpmath's numerical integration.
    """
    ns = check_orders(orders)
    together(ratio=ratio, offset_ratio=offset_ratio)
    ratios, offsets = np.broadcast_arrays(
        positive("ratio", ratio), real("offset_ratio", offset_ratio)
    )
    if ratios.size == 0:
        raise InputError(f"ratio must hold at least one value, got {ratio!r}")
    _check_ratio(ratios, offsets)
    plus, minus = _pole(1.0 + offsets, ratios), _pole(1.0 - offsets, ratios)
    p = _root_series(plus - minus, -plus * minus, _terms(plus, minus), int(ns.max()))
    gain = np.sqrt(_scale(1.0 + offsets, ratios) * _scale(1.0 - offsets, ratios)) / ratios
    return np.stack([_order(p, int(n), gain) for n in ns.ravel()], axis=-1).reshape(
        ratios.shape + ns.shape
    )[()]


def check_orders(orders: ArrayLike) -> NDArray[np.int64]:
    """Return the orders as integers, or raise when one is no whole number from 1."""
    ns = finite("orders", orders)
    if ns.size == 0 or ns.dtype.kind == "c" or np.any(ns < 1) or np.any(ns != np.round(ns)):
        raise InputError(f"orders must be whole numbers from 1 up, got {orders!r}")
    return ns.astype(np.int64)


def check_order_list(orders: ArrayLike) -> NDArray[np.int64]:
    """Return the orders as a plain list of integers (one alone will do), or raise."""
    ns = np.atleast_1d(check_orders(orders))
    if ns.ndim != 1:
        raise InputError(f"orders must be a plain list, got {orders!r}")
    return ns


def _check_passes(r: NDArray[Any], length: NDArray[Any], offset: NDArray[Any]) -> None:
    if not np.all(length > r + np.abs(offset)):
        raise InputError(
            f"rod_length_mm must be greater than crank radius + pin offset, got rod "
            f"{plain(length)}, radius {plain(r)}, offset {plain(offset)}; is the stroke given as "
            "the radius?"
        )


def _check_ratio(ratios: NDArray[Any], offsets: NDArray[Any]) -> None:
    if not np.all(ratios + np.abs(offsets) <= 1.0 - MARGIN):
        raise InputError(
            "ratio (crank radius / rod length) plus |offset_ratio| must be below 1: the rod must "
            f"be longer than crank radius + pin offset, got {plain(ratios)} and {plain(offsets)}"
        )


def _pole(centre: NDArray[Any], ratios: NDArray[Any]) -> Any:
    """Return b with ``centre - ratio sin q`` proportional to ``|1 + i b exp(iq)|^2``, b < 1."""
    return ratios / (2.0 * _scale(centre, ratios))


def _scale(centre: NDArray[Any], ratios: NDArray[Any]) -> Any:
    return (centre + np.sqrt(centre**2 - ratios**2)) / 2.0


def _terms(plus: NDArray[Any], minus: NDArray[Any]) -> int:
    """Return how many products p_(j+n) conj(p_j) there are before b^(2j) is below rounding."""
    largest = float(max(plus.max(), minus.max()))
    return int(np.ceil(-39.0 / (2.0 * np.log(largest)))) + 2  # exp(-39) = 1e-17


def _root_series(u: NDArray[Any], v: NDArray[Any], terms: int, highest: int) -> NDArray[Any]:
    """Return the coefficients of ``sqrt(1 + u y + v y^2)``, power on the first axis."""
    p = np.empty((terms + highest + 1, *np.shape(u)))
    p[0], p[1] = 1.0, u / 2.0
    for n in range(1, terms + highest):
        p[n + 1] = (u * (0.5 - n) * p[n] + v * (2 - n) * p[n - 1]) / (n + 1)
    return p


def _order(p: NDArray[Any], n: int, gain: NDArray[Any]) -> Any:
    products = np.einsum("j...,j...->...", p[n:], p[:-n])
    return (1.0 if n == 1 else 0.0) + (1 + 0j, 1j, -1 + 0j, -1j)[
        n % 4
    ] * 2.0 * n**2 * gain * products
