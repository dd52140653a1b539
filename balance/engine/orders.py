"""Forward and backward vectors of each order, for one engine or for many at once."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.engine.motion import check_orders, offset_harmonics, rad_s
from balance.errors import finite, not_negative, positive

__all__ = ["OrderVectors", "order_vectors"]

Complex = NDArray[np.complexfloating[Any, Any]]


@dataclass(frozen=True, eq=False)
class OrderVectors:
    """Forward and backward vectors; complex arrays whose last axis is the order [N, N m]."""

    forward_force_n: Complex
    backward_force_n: Complex
    forward_couple_nm: Complex
    backward_couple_nm: Complex


def order_vectors(
    *,
    pin_degrees: ArrayLike,
    bank_degrees: ArrayLike,
    arm_mm: ArrayLike,
    reciprocating_g: ArrayLike,
    rotating_g: ArrayLike = 0.0,
    radius_mm: ArrayLike,
    rod_length_mm: ArrayLike,
    speed_rpm: ArrayLike,
    orders: ArrayLike,
    pin_offset_mm: ArrayLike = 0.0,
) -> OrderVectors:
    """Return the order vectors of many engines at once (plain rods); the core of `shake`.

    Parameters
    ----------
    pin_degrees, bank_degrees, arm_mm, reciprocating_g, rotating_g, pin_offset_mm : array (..., k)
        One value a cylinder on the last axis [degree, degree, mm, g, g, mm]; ``arm_mm`` is
        z - reference. Leading axes (the variants) broadcast.
    radius_mm, rod_length_mm, speed_rpm : float or array (...) [mm, mm, rpm]
        One value a variant.
    orders : sequence of int [1]
        The orders n.

    Returns
    -------
    OrderVectors
        Complex arrays (..., n).

    Raises
    ------
    InputError
        When something is not finite or the rod is not longer than crank radius + pin offset.

    Examples
    --------
    >>> v = order_vectors(pin_degrees=[0, 180], bank_degrees=[0, 0], arm_mm=[-45, 45],
    ...                   reciprocating_g=[[500, 500], [510, 500]], radius_mm=40,
    ...                   rod_length_mm=130, speed_rpm=3000, orders=[1, 2])
    >>> abs(v.backward_force_n).round(1)
    array([[  0. , 622.4],
           [ 19.7, 628.6]])
    """
    ns = np.atleast_1d(check_orders(orders))
    pins, phi = _radians("pin_degrees", pin_degrees), _radians("bank_degrees", bank_degrees)
    arm = 1e-3 * _line("arm_mm", arm_mm)
    radius = positive("radius_mm", radius_mm)
    moving = 0.5 * not_negative("reciprocating_g", _line("reciprocating_g", reciprocating_g))
    turning = not_negative("rotating_g", _line("rotating_g", rotating_g)) * np.exp(1j * pins)
    a = _series(radius, rod_length_mm, _line("pin_offset_mm", pin_offset_mm), ns)
    found = _sums(moving * np.exp(1j * phi), np.exp(1j * (pins - phi)), arm, a, ns)
    for k in np.flatnonzero(ns == 1):
        found[0][k] = found[0][k] + turning.sum(axis=-1)
        found[2][k] = found[2][k] + (turning * arm).sum(axis=-1)
    w2r = 1e-6 * rad_s(speed_rpm) ** 2 * radius
    return OrderVectors(*(_stack([w2r * vector for vector in group]) for group in found))


def _line(name: str, value: ArrayLike) -> NDArray[np.float64]:
    return np.atleast_1d(finite(name, value))


def _radians(name: str, value: ArrayLike) -> NDArray[np.float64]:
    return np.radians(_line(name, value))


def _stack(vectors: list[Complex]) -> Complex:
    return np.stack(np.broadcast_arrays(*vectors), axis=-1)


def _series(
    radius: NDArray[np.float64], rod_mm: ArrayLike, offset_mm: NDArray[np.float64], ns: Any
) -> Any:
    """Return a_n as (..., 1 or k, orders); a common offset is worked out once a variant."""
    length = positive("rod_length_mm", rod_mm)
    if np.all(offset_mm == offset_mm[..., :1]):
        offset_mm = offset_mm[..., :1]
    return offset_harmonics((radius / length)[..., None], offset_mm / length[..., None], ns)


def _sums(
    moving: Complex, turn: Complex, arm: NDArray[np.float64], a: Complex, ns: NDArray[np.int64]
) -> tuple[list[Complex], list[Complex], list[Complex], list[Complex]]:
    """Return for each order the sums of c a_n turn^n and of c conj(a_n) turn^-n, without and
    with arms: forward force, backward force, forward couple, backward couple.
    """
    found: tuple[list[Complex], list[Complex], list[Complex], list[Complex]] = ([], [], [], [])
    powers = _powers(turn, ns)
    for k, n in enumerate(ns):
        spun = powers[int(n)] * a[..., k]
        ahead, back = moving * spun, moving * np.conj(spun)
        sums = (ahead.sum(-1), back.sum(-1), (ahead * arm).sum(-1), (back * arm).sum(-1))
        for group, vector in zip(found, sums, strict=True):
            group.append(vector)
    return found


def _powers(turn: Complex, ns: NDArray[np.int64]) -> dict[int, Complex]:
    """Return turn^n for every order by multiplication, far cheaper than an exponential each."""
    powers, power = {}, turn
    for n in range(1, int(ns.max()) + 1):
        powers[n] = power
        power = power * turn
    return powers
