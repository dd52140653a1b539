"""Amount and angle on paper, one complex number inside.

An unbalance vector points to the heavy side. Angles are degrees in the crank's own frame,
counter-clockwise positive seen from the flywheel end, 0 at the centre line of crankpin 1.
"""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from balance.errors import finite, not_negative, one_real, real, together

__all__ = ["amount", "degrees", "fold", "turn", "vector", "whole_degrees"]


def vector(amount: ArrayLike, degrees: ArrayLike) -> Any:
    """Return the vector of an amount at an angle: ``amount * exp(i angle)``.

    Parameters
    ----------
    amount : float or array [any unit]
        Length of the vector, not negative.
    degrees : float or array [degree]
        Its angle.

    Raises
    ------
    InputError
        When an amount is negative, anything is not finite, or the two do not go together.

    Examples
    --------
    >>> vector(30, 90).round(6)
    np.complex128(30j)

    Source: ISO 21940-2, unbalance vector (amount and angle of unbalance); from memory.
    """
    together(amount=amount, degrees=degrees)
    length = not_negative("amount", amount)
    return length * np.exp(1j * np.radians(real("degrees", degrees)))


def amount(v: ArrayLike) -> Any:
    """Return the amount (length) of a vector, in the vector's own unit.

    Examples
    --------
    >>> float(amount(3 + 4j))
    5.0
    """
    return np.abs(finite("v", v))


def degrees(v: ArrayLike) -> Any:
    """Return the angle of a vector in [0, 360) degrees; a zero vector has the angle 0.

    Examples
    --------
    >>> float(degrees(-1j))
    270.0
    """
    return fold(np.degrees(np.angle(finite("v", v))))


def fold(angle_degrees: ArrayLike) -> Any:
    """Return an angle folded into [0, 360) degrees.

    Examples
    --------
    >>> float(fold(-30)), float(fold(720))
    (330.0, 0.0)
    """
    folded = np.mod(real("angle_degrees", angle_degrees), 360.0)
    return np.where(folded >= 360.0, 0.0, folded)[()]  # np.mod(-1e-17, 360) rounds up to 360


def turn(angle_degrees: ArrayLike) -> Any:
    """Return an angle folded into [-180, 180) degrees: the short way round.

    Examples
    --------
    >>> float(turn(350)), float(turn(190))
    (-10.0, -170.0)
    """
    return fold(real("angle_degrees", angle_degrees) + 180.0) - 180.0


def whole_degrees(angle_degrees: float) -> str:
    """Return an angle in whole degrees, 0 to 359: what is nearly a whole turn is 0.

    Examples
    --------
    >>> whole_degrees(359.6), whole_degrees(-90.2), whole_degrees(359.4)
    ('0', '270', '359')

    Raises
    ------
    InputError
        When it is not one finite number.
    """
    return str(round(one_real("angle_degrees", angle_degrees)) % 360)
