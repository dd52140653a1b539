"""What an engine shakes: forces and couples as forward and backward rotating vectors.

One cylinder's inertia force of order n is two vectors of equal length, one turning n times with
the crank and one n times against it::

    A_n = 1/2 m r w^2 a_n exp(i(n(alpha - phi) + phi))
    B_n = 1/2 m r w^2 a_n exp(i(-n(alpha - phi) + phi))
    F(theta) = sum_n A_n exp(i n theta) + B_n exp(-i n theta)

A counterweight turns forward at order 1: it can cancel A_1 and nothing else. Couples are the
forces times their distance along the crank, z - reference. A couple vector lies in the plane in
which its forces act, pointing where the force points that acts on the flywheel side of the
reference; the axial moment vector of mechanics stands 90 degrees further on.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.engine.layouts import Engine, middle_mm, offset_of, radius_mm
from balance.engine.motion import check_order_list, rad_s
from balance.engine.orders import OrderVectors, order_vectors
from balance.engine.paths import bend_orders, big_end, piston_pin
from balance.errors import (
    InputError,
    finite,
    instance_of,
    items_of,
    not_negative,
    one_not_negative,
    one_real,
    real,
)

__all__ = ["Shaking", "shake"]

SAMPLES = 4096  # one turn of an articulated rod; its series falls below rounding long before


@dataclass(frozen=True, eq=False)
class Masses:
    """One mass a cylinder [g]: at the piston pin and at the big end."""

    reciprocating_g: NDArray[np.float64]
    rotating_g: NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Shaking(OrderVectors):
    """What the engine shakes; ``forward_force_n[k]`` belongs to ``orders[k]``, and so the others.

    ``reciprocating_g`` and ``rotating_g`` hold one mass a cylinder. ``force_n`` and ``couple_nm``
    give the whole curves, all orders together.
    """

    orders: tuple[int, ...]
    engine: Engine
    reciprocating_g: NDArray[np.float64]
    rotating_g: NDArray[np.float64]
    speed_rpm: float
    counterweights: tuple[tuple[complex, float], ...]
    reference_z_mm: float

    def force_n(self, crank_degrees: ArrayLike) -> Any:
        """Return the whole shaking force [N] at crank angles [degree], complex, all orders.

        Examples
        --------
        >>> from balance.engine.layouts import layout
        >>> four = layout("inline-4", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
        >>> s = shake(four, reciprocating_g=500, rotating_g=400, speed_rpm=3000)
        >>> s.force_n(0).round(1)
        np.complex128(2429.4+0j)
        """
        return self._curve(crank_degrees, arms_mm=None)

    def couple_nm(self, crank_degrees: ArrayLike) -> Any:
        """Return the whole shaking couple [N m] about ``reference_z_mm``, complex, all orders.

        Examples
        --------
        >>> from balance.engine.layouts import layout
        >>> twin = layout("twin", crank_degrees=180, stroke_mm=80, rod_length_mm=130,
        ...               bore_spacing_mm=90)
        >>> s = shake(twin, reciprocating_g=500, rotating_g=0, speed_rpm=3000)
        >>> s.couple_nm(0).round(1)
        np.complex128(-177.7+0j)
        """
        arms = [cylinder.z_mm - self.reference_z_mm for cylinder in self.engine.cylinders]
        return 1e-3 * self._curve(crank_degrees, arms_mm=arms)

    def crank_can_cancel(self) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Return, for the forward and the backward vectors, which ones crank work can cancel.

        Only the forward vector of order 1: nothing else turns with the counterweights.

        Examples
        --------
        >>> from balance.engine.layouts import layout
        >>> one = layout("single", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
        >>> ahead, back = shake(one, reciprocating_g=1, rotating_g=1,
        ...                     speed_rpm=1, orders=(1, 2)).crank_can_cancel()
        >>> ahead.tolist(), back.tolist()
        ([True, False], [False, False])
        """
        forward = np.array([order == 1 for order in self.orders])
        return forward, np.zeros_like(forward)

    def _curve(self, crank_degrees: ArrayLike, arms_mm: Sequence[float] | None) -> Any:
        theta = real("crank_degrees", crank_degrees)
        w2 = 1e-6 * rad_s(self.speed_rpm) ** 2  # g mm rad2/s2 -> N
        total = np.zeros(theta.shape, dtype=np.complex128)
        for k, cylinder in enumerate(self.engine.cylinders):
            arm = 1.0 if arms_mm is None else arms_mm[k]
            total = total - arm * w2 * (
                self.reciprocating_g[k] * piston_pin(self.engine, cylinder, theta).bend
                + self.rotating_g[k] * big_end(self.engine, cylinder, theta).bend
            )
        turning = w2 * np.exp(1j * np.radians(theta))
        for unbalance, z in self.counterweights:
            arm = 1.0 if arms_mm is None else z - self.reference_z_mm
            total = total + arm * unbalance * turning
        return total


def shake(
    engine: Engine,
    *,
    reciprocating_g: ArrayLike,
    rotating_g: ArrayLike,
    speed_rpm: float,
    counterweights: Sequence[tuple[complex, float]] = (),
    orders: Sequence[int] = (1, 2, 4, 6),
    reference_z_mm: float | None = None,
) -> Shaking:
    """Return the shaking forces and couples of an engine, order by order and as whole curves.

    Parameters
    ----------
    engine : Engine
        The layout.
    reciprocating_g : float or array (cylinders,) [g]
        Mass at each piston pin: piston, pin, rings, locks and small end.
    rotating_g : float or array (cylinders,) [g]
        Mass at each rod's big end: big end and bearing shells. The big end of an articulated rod
        sits on its knuckle pin and does not quite turn with the crank; that is counted exactly.
    speed_rpm : float [rpm]
        Constant speed.
    counterweights : sequence of (unbalance_gmm, z_mm)
        Unbalance of the crank itself, complex, heavy side, in the crank's frame [g mm], and where.
    orders : sequence of int [1]
        The orders wanted, multiples of the crank's speed.
    reference_z_mm : float, optional [mm]
        Where couples are taken about; left out: half-way between the first and last throw.

    Returns
    -------
    Shaking
        ``forward_force_n``, ``backward_force_n``, ``forward_couple_nm``, ``backward_couple_nm``,
        complex arrays in the sequence of ``orders``; ``force_n(crank_degrees)`` and
        ``couple_nm(crank_degrees)``. The forward vector of order 1 holds rotating masses and
        counterweights.

    Raises
    ------
    InputError
        When a mass is negative or there are not as many as cylinders, an order is no whole
        number from 1, or anything is not finite.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> four = layout("inline-4", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
    >>> s = shake(four, reciprocating_g=500, rotating_g=400, speed_rpm=3000, orders=(1, 2))
    >>> abs(s.forward_force_n).round(1), abs(s.backward_force_n).round(1)
    (array([   0. , 1244.8]), array([   0. , 1244.8]))

    Source: C. F. Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 2, ch. 8;
    J. P. Den Hartog, Mechanical Vibrations, ch. 5. Both from memory; see the tests.
    """
    masses = Masses(
        per_cylinder("reciprocating_g", reciprocating_g, engine),
        per_cylinder("rotating_g", rotating_g, engine),
    )
    weights = check_counterweights(counterweights)
    speed = one_not_negative("speed_rpm", speed_rpm)
    reference = middle_mm(engine) if reference_z_mm is None else reference_z_mm
    reference = one_real("reference_z_mm", reference)
    ns = check_order_list(orders)
    parts = [
        _plain(engine, masses, speed, ns, reference),
        *_articulated(engine, masses, speed, ns, reference),
        *(_counterweight(u, z - reference, speed, ns) for u, z in weights),
    ]
    return Shaking(
        forward_force_n=_total(parts, "forward_force_n"),
        backward_force_n=_total(parts, "backward_force_n"),
        forward_couple_nm=_total(parts, "forward_couple_nm"),
        backward_couple_nm=_total(parts, "backward_couple_nm"),
        orders=tuple(int(n) for n in ns),
        engine=engine,
        reciprocating_g=masses.reciprocating_g,
        rotating_g=masses.rotating_g,
        speed_rpm=speed,
        counterweights=weights,
        reference_z_mm=reference,
    )


def _total(parts: list[OrderVectors], name: str) -> Any:
    return sum(getattr(part, name) for part in parts)


def per_cylinder(name: str, value: ArrayLike, engine: Engine) -> NDArray[np.float64]:
    """Return one mass a cylinder from one for all or one for each, or raise."""
    masses, count = not_negative(name, value), len(instance_of("engine", engine, Engine).cylinders)
    if masses.shape not in ((), (count,)):
        raise InputError(
            f"{name} must be one mass or one for each of the {count} cylinders, got {value!r}"
        )
    return np.broadcast_to(masses, (count,)).copy()


def check_counterweights(
    counterweights: Sequence[tuple[complex, float]],
) -> tuple[tuple[complex, float], ...]:
    """Return the counterweights as plain numbers, or raise when one is no (unbalance, place)."""
    try:
        pairs = [(finite("u", u), _place(z)) for u, z in items_of("counterweights", counterweights)]
        return tuple((complex(unbalance), z) for unbalance, z in pairs)
    except (TypeError, ValueError) as error:
        raise InputError(
            "counterweights must be pairs (unbalance_gmm, z_mm) of finite numbers, "
            f"got {counterweights!r}"
        ) from error


def _place(z_mm: Any) -> float:
    """Return a place along the crank; in an array of pairs it is complex with nothing imaginary."""
    z = finite("z", z_mm)
    return one_real("z", z.real if np.all(z.imag == 0) else z)


def _plain(
    engine: Engine,
    masses: Masses,
    speed: float,
    ns: NDArray[np.int64],
    reference: float,
) -> OrderVectors:
    """Return the vectors of the cylinders whose rods sit on the crankpin."""
    rods = [k for k, cylinder in enumerate(engine.cylinders) if cylinder.link is None]
    cylinders = [engine.cylinders[k] for k in rods]
    return order_vectors(
        pin_degrees=[engine.throws[c.throw].degrees for c in cylinders],
        bank_degrees=[c.bank_degrees for c in cylinders],
        arm_mm=[c.z_mm - reference for c in cylinders],
        reciprocating_g=masses.reciprocating_g[rods],
        rotating_g=masses.rotating_g[rods],
        radius_mm=radius_mm(engine),
        rod_length_mm=engine.rod_length_mm,
        speed_rpm=speed,
        orders=ns,
        pin_offset_mm=[offset_of(engine, c) for c in cylinders],
    )


def _articulated(
    engine: Engine, masses: Masses, speed: float, ns: NDArray[np.int64], reference: float
) -> list[OrderVectors]:
    """Return the vectors of each articulated rod, from one turn of its exact motion."""
    theta = np.arange(SAMPLES) * (360.0 / SAMPLES)
    w2 = 1e-6 * float(rad_s(speed)) ** 2
    found = []
    for k, cylinder in enumerate(engine.cylinders):
        if cylinder.link is not None:
            pin = bend_orders(piston_pin(engine, cylinder, theta), ns)
            knuckle = bend_orders(big_end(engine, cylinder, theta), ns)
            m, knuckle_m = masses.reciprocating_g[k], masses.rotating_g[k]
            ahead, back = (w2 * (m * p + knuckle_m * q) for p, q in zip(pin, knuckle, strict=True))
            arm = 1e-3 * (cylinder.z_mm - reference)
            found.append(OrderVectors(ahead, back, arm * ahead, arm * back))
    return found


def _counterweight(
    unbalance: complex, arm_mm: float, speed: float, ns: NDArray[np.int64]
) -> OrderVectors:
    force = 1e-6 * float(rad_s(speed)) ** 2 * unbalance * (ns == 1)
    nothing = np.zeros_like(force)
    return OrderVectors(force, nothing, 1e-3 * arm_mm * force, nothing)
