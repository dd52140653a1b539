"""The balance factor: what share of the reciprocating mass the counterweights answer for.

At order 1 an engine shakes as a forward and a backward rotating vector. The counterweights turn
forward, so the factor changes the forward vector only: one half cancels it in every layout, and
what then is left, the backward vector, no crank work can touch. The sum of the two vectors draws
an ellipse with semi-axes ``|forward| + |backward|`` and ``||forward| - |backward||``.
"""

from dataclasses import dataclass

import numpy as np

from balance.engine.layouts import Engine
from balance.engine.loci import Ellipse, ellipse
from balance.engine.one_gram import unit_vectors
from balance.engine.pins import ZERO, check_factor, pins_of
from balance.errors import InputError, one_real, yes_or_no

__all__ = [
    "BestFactor",
    "ResidualPrimary",
    "ShakeEllipse",
    "best_factor",
    "residual_primary",
    "shake_ellipse",
]


@dataclass(frozen=True)
class ResidualPrimary:
    """What is left at order 1, in units of one cylinder's m r w^2 (couples: times bore spacing).

    Complex vectors at crank angle 0: forward ones turn with the crank, backward ones against it.
    """

    forward_force: complex
    backward_force: complex
    forward_couple: complex
    backward_couple: complex


@dataclass(frozen=True)
class ShakeEllipse:
    """Ellipses of the order-1 force and couple at one factor, in the units of `ResidualPrimary`."""

    factor: float
    force: Ellipse
    couple: Ellipse


@dataclass(frozen=True)
class BestFactor:
    """The factor that leaves least, and the amplitude it leaves (units of `ResidualPrimary`)."""

    factor: float
    left: float


def residual_primary(engine: Engine, factor: float) -> ResidualPrimary:
    """Return what order 1 leaves when the counterweights carry this factor, equal masses.

    ``forward = A - factor * sum exp(i a)``, ``backward = B``; with plain rods
    ``A = 1/2 sum exp(i a)``, ``B = 1/2 sum exp(i(2 bank - a))``, couples with z / bore spacing.

    Parameters
    ----------
    engine : Engine
        Layout.
    factor : float [1]
        Share of the reciprocating mass in the bobweights, 0 to 1.

    Raises
    ------
    InputError
        When the factor is not a share from 0 to 1.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> v8 = layout("V-8", stroke_mm=88.9, rod_length_mm=145, bore_spacing_mm=111.8)
    >>> left = residual_primary(v8, 0.5)
    >>> round(abs(left.forward_couple), 9), round(abs(left.backward_couple), 9)
    (0.0, 0.0)

    Source: C. F. Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 2, ch. 8;
    J. P. Den Hartog, Mechanical Vibrations, ch. 5 (both from memory).
    """
    share, pins = check_factor(factor), pins_of(engine)
    force, back_force, couple, back_couple = unit_vectors(engine).reciprocating[:, :, 0].sum(axis=0)
    return ResidualPrimary(
        forward_force=complex(force) - share * pins.force,
        backward_force=complex(back_force),
        forward_couple=complex(couple) - share * pins.couple,
        backward_couple=complex(back_couple),
    )


def shake_ellipse(engine: Engine, factor: float) -> ShakeEllipse:
    """Return the ellipses that the order-1 force and couple draw at this factor.

    Semi-axes ``|forward| +- |backward|``, longer axis at half the sum of their angles; where both
    axes are equal the direction means nothing.

    Parameters
    ----------
    engine : Engine
        Layout.
    factor : float [1]
        Share of the reciprocating mass in the bobweights, 0 to 1.

    Raises
    ------
    InputError
        When the factor is not a share from 0 to 1.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> twin = layout("V-2", bank_degrees=45, stroke_mm=97, rod_length_mm=190, bore_spacing_mm=99)
    >>> force = shake_ellipse(twin, 0.6).force
    >>> [round(float(v), 3) for v in (force.major, force.minor, force.degrees)]
    [0.907, 0.507, 90.0]

    Source: sum of two counter-rotating vectors; worked figures in the tests.
    """
    left = residual_primary(engine, factor)
    return ShakeEllipse(
        factor=check_factor(factor),
        force=ellipse(left.forward_force, left.backward_force),
        couple=ellipse(left.forward_couple, left.backward_couple),
    )


def best_factor(
    engine: Engine, *, direction_degrees: float | None = None, couple: bool = False
) -> BestFactor:
    """Return the factor that leaves the least shake at order 1.

    Without a direction: least in the worst direction, ``|A - f R| + |B|``, which is one half with
    plain rods. Along a direction d: least ``|(A - f R) exp(-id) + conj(B) exp(id)|``. No factor is
    better in every direction: what it takes from one it gives to the direction across.

    Parameters
    ----------
    engine : Engine
        Layout.
    direction_degrees : float, optional [degree]
        Direction in the engine's fixed frame.
    couple : bool
        Judge the couple and not the force.

    Raises
    ------
    InputError
        When the pins cancel, so that the factor changes nothing.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> twin = layout("V-2", bank_degrees=45, stroke_mm=97, rod_length_mm=190, bore_spacing_mm=99)
    >>> round(best_factor(twin).factor, 3), round(best_factor(twin, direction_degrees=0).factor, 3)
    (0.5, 0.854)

    Source: own derivation from the two vectors; worked figures in the tests.
    """
    yes_or_no("couple", couple)
    pins, none = pins_of(engine), residual_primary(engine, 0.0)
    turning, ahead, back = (
        (pins.couple, none.forward_couple, none.backward_couple)
        if couple
        else (pins.force, none.forward_force, none.backward_force)
    )
    arms = np.abs(pins.arm) if couple else np.ones_like(pins.arm)
    if abs(turning) <= ZERO * float(np.sum(pins.rods * arms)):
        kind = "couple" if couple else "force"
        raise InputError(f"the pins cancel as a {kind}, so the factor changes nothing in it")
    if direction_degrees is None:
        factor = float((ahead * np.conj(turning)).real / abs(turning) ** 2)
        return BestFactor(factor, abs(ahead - factor * turning) + abs(back))
    axis = np.exp(-1j * np.radians(one_real("direction_degrees", direction_degrees)))
    seen, step = ahead * axis + np.conj(back * axis), turning * axis
    factor = float((seen * np.conj(step)).real / abs(step) ** 2)
    return BestFactor(factor, float(abs(seen - factor * step)))
