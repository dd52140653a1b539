"""What one gram in each cylinder shakes at orders 1 and 2, in grams at the crank radius."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from balance.engine.layouts import Engine, middle_mm, offset_of, radius_mm
from balance.engine.orders import OrderVectors, order_vectors
from balance.engine.shaking import shake
from balance.errors import instance_of

__all__ = ["UnitVectors", "unit_vectors"]

ONE_RADIAN_RPM = 30.0 / np.pi  # w = 1 rad/s

Complex = NDArray[np.complexfloating[Any, Any]]


@dataclass(frozen=True, eq=False)
class UnitVectors:
    """Vectors of 1 g over r w^2, arrays (cylinders, 4, 2).

    Second axis: forward force, backward force, forward couple, backward couple (couples over bore
    spacing); third axis: orders 1 and 2.
    """

    reciprocating: Complex
    rotating: Complex


def unit_vectors(engine: Engine) -> UnitVectors:
    """Return what 1 g reciprocating and 1 g rotating in each cylinder shakes.

    ``A_n / (r w^2)``, ``B_n / (r w^2)``, ``A'_n / (r w^2 spacing)``, ``B'_n / (r w^2 spacing)``

    Parameters
    ----------
    engine : Engine
        Layout; couples are about the middle of its throws.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> twin = layout("twin", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
    >>> unit_vectors(twin).rotating[:, :, 0].real.round(6).tolist()
    [[1.0, 0.0, -0.5, 0.0], [1.0, 0.0, 0.5, 0.0]]

    Source: definitions of `shake`.
    """
    count = len(instance_of("engine", engine, Engine).cylinders)
    one, none = np.eye(count), np.zeros((count, count))
    vectors = _over_r_w2(engine, np.vstack([one, none]), np.vstack([none, one]))
    return UnitVectors(reciprocating=vectors[:count], rotating=vectors[count:])


def _over_r_w2(
    engine: Engine, reciprocating: NDArray[np.float64], rotating: NDArray[np.float64]
) -> Complex:
    articulated = any(cylinder.link is not None for cylinder in engine.cylinders)
    v = (_one_by_one if articulated else _at_once)(engine, reciprocating, rotating)
    spacing_m = 1e-3 * engine.bore_spacing_mm
    parts = [
        v.forward_force_n,
        v.backward_force_n,
        v.forward_couple_nm / spacing_m,
        v.backward_couple_nm / spacing_m,
    ]
    vectors: Complex = np.stack(parts, axis=-2).astype(np.complex128) / (1e-6 * radius_mm(engine))
    return vectors


def _at_once(
    engine: Engine, reciprocating: NDArray[np.float64], rotating: NDArray[np.float64]
) -> OrderVectors:
    return order_vectors(
        pin_degrees=[engine.throws[c.throw].degrees for c in engine.cylinders],
        bank_degrees=[c.bank_degrees for c in engine.cylinders],
        arm_mm=[c.z_mm - middle_mm(engine) for c in engine.cylinders],
        reciprocating_g=reciprocating,
        rotating_g=rotating,
        radius_mm=radius_mm(engine),
        rod_length_mm=engine.rod_length_mm,
        speed_rpm=ONE_RADIAN_RPM,
        orders=(1, 2),
        pin_offset_mm=[offset_of(engine, c) for c in engine.cylinders],
    )


def _one_by_one(
    engine: Engine, reciprocating: NDArray[np.float64], rotating: NDArray[np.float64]
) -> OrderVectors:
    """Articulated rods know only the whole engine: one engine for each loaded cylinder."""
    loads = zip(reciprocating, rotating, strict=True)
    found = [
        shake(
            engine,
            reciprocating_g=m,
            rotating_g=turning,
            speed_rpm=ONE_RADIAN_RPM,
            orders=(1, 2),
        )
        for m, turning in loads
    ]
    return OrderVectors(
        np.array([v.forward_force_n for v in found]),
        np.array([v.backward_force_n for v in found]),
        np.array([v.forward_couple_nm for v in found]),
        np.array([v.backward_couple_nm for v in found]),
    )
