"""Bobweights: what hangs on each crankpin while the crank is spun, whether any is needed, and why.

A bobweight stands for the rods and pistons of its pin: all of what turns, and a share (the
factor, usually one half) of what goes up and down.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.engine.as_built import existing_factor
from balance.engine.factors import residual_primary
from balance.engine.layouts import Engine, radius_mm
from balance.engine.pins import ZERO, Pins, check_factor, per_pin, pins_of
from balance.engine.shaking import per_cylinder

__all__ = [
    "Bobweight",
    "Item",
    "Need",
    "existing_factor",
    "needed",
    "per_throw",
    "residual_primary",
]

WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@dataclass(frozen=True)
class Item:
    """One line of a bobweight: ``mass_g = count * each_g``; unequal parts show their mean."""

    name: str
    count: float
    each_g: float
    mass_g: float


@dataclass(frozen=True)
class Bobweight:
    """The bobweight of one crankpin; ``unbalance_gmm`` is mass times crank radius."""

    throw: int
    cylinders: tuple[int, ...]
    mass_g: float
    items: tuple[Item, ...]
    unbalance_gmm: float


@dataclass(frozen=True)
class Need:
    """Whether equal bobweights change anything, the two sums that say so, and the reason in words.

    ``force`` is ``sum exp(i a)`` over the rods, ``couple`` is ``sum z exp(i a)`` about the middle
    of the throws in bore spacings: what one rod's rotating mass would leave, in its own units.
    """

    needed: bool
    force: complex
    couple: complex
    reason: str

    def __bool__(self) -> bool:
        return self.needed


def per_throw(
    engine: Engine,
    *,
    rotating_g: ArrayLike,
    reciprocating_g: ArrayLike,
    oil_g: ArrayLike = 0.0,
    factor: float = 0.5,
) -> list[Bobweight]:
    """Return one bobweight for each crankpin that carries rods; a splayed pin is a pin of its own.

    ``mass = sum of rotating + factor * sum of reciprocating + oil`` over the rods of the pin

    Parameters
    ----------
    engine : Engine
        Layout.
    rotating_g : float or array (cylinders,) [g]
        Big end with cap, bolts and both bearing shells of each rod.
    reciprocating_g : float or array (cylinders,) [g]
        Piston, pin, rings, all locks and small end of each cylinder.
    oil_g : float or array (pins,) [g]
        Allowance for oil, once a pin and not once a rod: a convention, not a measurement.
    factor : float [1]
        Share of the reciprocating mass, 0 to 1.

    Returns
    -------
    list of Bobweight
        Nose to flywheel as the throws are numbered.

    Raises
    ------
    InputError
        When a mass is negative or the lists do not fit the engine, or the factor is not a share.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> v8 = layout("V-8", stroke_mm=88.9, rod_length_mm=145, bore_spacing_mm=111.8)
    >>> first = per_throw(v8, rotating_g=666.5, reciprocating_g=800, oil_g=4)[0]
    >>> first.mass_g, [(item.name, item.count) for item in first.items]
    (2137.0, [('rotating', 2.0), ('reciprocating', 1.0), ('oil', 1.0)])

    Source: common practice, no source (100 % of what turns, 50 % of what reciprocates); the half
    is exact for the part that turns with the crank, see `balance.engine.factors`.
    """
    turning = per_cylinder("rotating_g", rotating_g, engine)
    moving = per_cylinder("reciprocating_g", reciprocating_g, engine)
    share, pins = check_factor(factor), pins_of(engine)
    oil = per_pin("oil_g", oil_g, pins)
    return [
        _bobweight(
            engine, pins, k, turning=turning, moving=moving, oil_g=float(oil[k]), share=share
        )
        for k in range(len(pins.throws))
    ]


def _bobweight(
    engine: Engine,
    pins: Pins,
    k: int,
    *,
    turning: NDArray[np.float64],
    moving: NDArray[np.float64],
    oil_g: float,
    share: float,
) -> Bobweight:
    own = list(pins.cylinders[k])
    rods = float(len(own))
    items = (
        _item("rotating", rods, float(turning[own].mean())),
        _item("reciprocating", share * rods, float(moving[own].mean())),
        _item("oil", 1.0, oil_g),
    )
    mass = sum(item.mass_g for item in items)
    return Bobweight(pins.throws[k], pins.cylinders[k], mass, items, mass * radius_mm(engine))


def _item(name: str, count: float, each_g: float) -> Item:
    return Item(name, count, each_g, count * each_g)


def needed(engine: Engine) -> Need:
    """Return whether equal bobweights on the pins change anything, with the reason in words.

    ``sum exp(i a)`` and ``sum z exp(i a)`` over the rods: both zero means no.

    Parameters
    ----------
    engine : Engine
        Layout. Pins that cancel when their angles are right to 0.005 degree count as cancelling.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> four = layout("flat-4", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=60)
    >>> print(needed(four).reason.replace(": ", ":\\n"))
    the four pins cancel as a force and as a couple:
    equal bobweights would change nothing; match the masses instead

    Source: C. F. Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 2, ch. 8
    (from memory).
    """
    pins = pins_of(engine)
    force = _unless_zero(pins.force, float(pins.rods.sum()))
    couple = _unless_zero(pins.couple, float(np.sum(pins.rods * np.abs(pins.arm))))
    return Need(bool(force or couple), force, couple, _reason(pins, abs(force), abs(couple)))


def _unless_zero(total: complex, amounts: float) -> complex:
    return total if abs(total) > ZERO * amounts else 0j


def _reason(pins: Pins, force: float, couple: float) -> str:
    count = len(pins.throws)
    word = WORDS[count] if count < len(WORDS) else str(count)
    who, leave = (f"the {word} pins", "leave") if count > 1 else ("the only pin", "leaves")
    if not force and not couple:
        return (
            f"{who} cancel as a force and as a couple: equal bobweights would change nothing; "
            "match the masses instead"
        )
    unit = "one rod's at one bore spacing"
    hang = f"hang one bobweight on each of the {word} pins" if count > 1 else "hang one bobweight"
    if not couple:
        left = f"{who} {leave} a force of {force:.3g} times one rod's and no couple"
    elif not force:
        left = f"{who} cancel as a force but leave a couple of {couple:.3g} times {unit}"
    else:
        left = (
            f"{who} {leave} a force of {force:.3g} times one rod's and a couple of "
            f"{couple:.3g} times {unit}"
        )
    return f"{left}: the counterweights answer for the rods, so {hang}"
