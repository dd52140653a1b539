"""Forward and backward vectors of each order, for one engine or for many at once."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.engine.motion import check_order_list, offset_harmonics, rad_s
from balance.errors import InputError, not_negative, positive, real

__all__ = ["OrderVectors", "order_vectors"]

Complex = NDArray[np.complexfloating[Any, Any]]
BLOCK = 4096  # variants at a time: three times faster than 100 000 in one piece


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

    Variants are worked through in blocks that stay in the processor's cache.

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
    ns = check_order_list(orders)
    lines = {
        "pins": np.radians(_line("pin_degrees", pin_degrees)),
        "banks": np.radians(_line("bank_degrees", bank_degrees)),
        "arm": 1e-3 * _line("arm_mm", arm_mm),
        "reciprocating": np.atleast_1d(not_negative("reciprocating_g", reciprocating_g)),
        "rotating": np.atleast_1d(not_negative("rotating_g", rotating_g)),
    }
    singles = {
        "radius": positive("radius_mm", radius_mm),
        "length": positive("rod_length_mm", rod_length_mm),
        "w": rad_s(speed_rpm),
    }
    offsets = _line("pin_offset_mm", pin_offset_mm)
    shapes = [line.shape for line in (*lines.values(), offsets)]
    batch = _common(*(s[:-1] for s in shapes), *(value.shape for value in singles.values()))
    cylinders = _common(*(s[-1:] for s in shapes))
    rows = {name: _rows(line, batch, cylinders) for name, line in lines.items()}
    rows |= {name: _rows(value[..., None], batch, (1,)) for name, value in singles.items()}
    rows["offset"] = _rows(offsets, batch, offsets.shape[-1:])
    found = np.empty((4, rows["pins"].shape[0], ns.size), dtype=np.complex128)
    for start in range(0, found.shape[1], BLOCK):
        part = slice(start, start + BLOCK)
        found[:, part] = _block(ns, **{name: row[part] for name, row in rows.items()})
    return OrderVectors(*found.reshape(4, *batch, ns.size))


def _line(name: str, value: ArrayLike) -> NDArray[np.float64]:
    return np.atleast_1d(real(name, value))


def _common(*shapes: tuple[int, ...]) -> tuple[int, ...]:
    try:
        return np.broadcast_shapes(*shapes)
    except ValueError as error:
        raise InputError(
            "the arrays must agree: one value a cylinder on the last axis, one a variant on the "
            f"axes before it; got {', '.join(map(str, shapes))}"
        ) from error


def _rows(
    values: NDArray[np.float64], batch: tuple[int, ...], last: tuple[int, ...]
) -> NDArray[np.float64]:
    """Return the values as one row a variant."""
    return np.broadcast_to(values, (*batch, *last)).reshape(-1, *last)


def _block(
    ns: NDArray[np.int64],
    *,
    pins: NDArray[np.float64],
    banks: NDArray[np.float64],
    arm: NDArray[np.float64],
    reciprocating: NDArray[np.float64],
    rotating: NDArray[np.float64],
    radius: NDArray[np.float64],
    length: NDArray[np.float64],
    w: NDArray[np.float64],
    offset: NDArray[np.float64],
) -> Complex:
    """Return the four kinds of vectors (4, variants, orders) of one block of variants."""
    if np.all(offset == offset[:, :1]):
        offset = offset[:, :1]  # a common offset is worked out once a variant
    a = offset_harmonics(radius / length, offset / length, ns)
    axis, turn = _unit(banks), _unit(pins - banks)
    vectors = _sums(0.5 * reciprocating * axis, turn, arm, a, ns)
    turning, first = rotating * axis * turn, ns == 1
    vectors[0] = vectors[0] + first * turning.sum(axis=-1, keepdims=True)
    vectors[2] = vectors[2] + first * (turning * arm).sum(axis=-1, keepdims=True)
    unit: Complex = np.stack(vectors)
    return unit * (1e-6 * w**2 * radius)


def _unit(radians: NDArray[np.float64]) -> Complex:
    """Return exp(i angle); cosine and sine apart are faster than a complex exponential."""
    unit = np.empty(radians.shape, dtype=np.complex128)
    unit.real, unit.imag = np.cos(radians), np.sin(radians)
    return unit


def _sums(
    moving: Complex, turn: Complex, arm: NDArray[np.float64], a: Complex, ns: NDArray[np.int64]
) -> list[Complex]:
    """Return sum c a_n turn^n and sum c conj(a_n) turn^-n, each without and with arms.

    One product of matrices does all orders and all four sums: the backward sums are the
    conjugates of the forward sums of conj(c).
    """
    series: Complex = a[..., 0, :]
    powers = _powers(turn, ns)
    if a.shape[-2] > 1:  # a series for each cylinder has to go inside the sums
        powers, series = powers * np.swapaxes(a, -1, -2), np.ones(1, dtype=np.complex128)
    with_arm = moving * arm
    columns = (moving, with_arm, np.conj(moving), np.conj(with_arm))
    sums = powers @ np.stack(columns, axis=-1)
    ahead, ahead_couple, back, back_couple = np.moveaxis(sums, -1, 0)
    return [
        ahead * series,
        np.conj(back * series),
        ahead_couple * series,
        np.conj(back_couple * series),
    ]


def _powers(turn: Complex, ns: NDArray[np.int64]) -> Complex:
    """Return turn^n as (..., orders, k) by multiplication, cheaper than an exponential each."""
    powers = np.empty((*turn.shape[:-1], int(ns.max()), turn.shape[-1]), dtype=np.complex128)
    powers[..., 0, :] = turn
    for n in range(1, powers.shape[-2]):
        np.multiply(powers[..., n - 1, :], turn, out=powers[..., n, :])
    return powers[..., ns - 1, :]
