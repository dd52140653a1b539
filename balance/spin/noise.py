"""What noise does near zero: an amount is never negative, so nothing at all still shows something.

With noise of standard deviation u on each axis the amount is Rice-distributed and near zero its
angle is random: a hole planned from such a reading is drilled at random.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, finite, not_negative, positive, real

__all__ = ["Sight", "can_see", "chance_within", "left_by_angle_error", "mean_amount"]


@dataclass(frozen=True)
class Sight:
    """Which of the vectors the machine can see.

    ``chance`` is the chance that noise alone shows so much or more; ``seen`` is False below
    ``floor_gmm``, where no hole should be planned.
    """

    seen: NDArray[np.bool_]
    floor_gmm: NDArray[np.float64]
    chance: NDArray[np.float64]

    @property
    def stop(self) -> bool:
        """Whether nothing is left that the machine can see."""
        return not bool(self.seen.any())

    @property
    def remark(self) -> str:
        """The rule in words when it says stop, else empty."""
        if not self.stop:
            return ""
        floor = float(self.floor_gmm.max())
        return (
            f"stop: below {floor:.3g} g mm the machine cannot see, "
            "a hole would be drilled at random"
        )


def can_see(unbalance: ArrayLike, *, u_gmm: ArrayLike, umar_gmm: ArrayLike = 0.0) -> Sight:
    """Tell whether readings stand out of what the machine shows for nothing at all.

    Seen when the amount is at least ``max(2 u, Umar)``; noise alone reaches an amount a with the
    chance ``exp(-a^2 / 2 u^2)``.

    Parameters
    ----------
    unbalance : complex or array (n,) [g mm]
        Readings, one for each plane.
    u_gmm : float or array (n,) [g mm]
        Their standard uncertainty for each axis.
    umar_gmm : float or array (n,) [g mm]
        Proven minimum achievable residual unbalance of the machine, if known.

    Raises
    ------
    InputError
        When an uncertainty is negative or the shapes do not match.

    Examples
    --------
    >>> can_see([12j, 5], u_gmm=8).remark
    'stop: below 16 g mm the machine cannot see, a hole would be drilled at random'

    Source: Rayleigh distribution of the amount of noise; the factor 2 is a decision rule.
    """
    amounts = np.atleast_1d(np.abs(finite("unbalance", unbalance)))
    u = _for_planes("u_gmm", u_gmm, amounts.shape)
    floor = np.maximum(2 * u, _for_planes("umar_gmm", umar_gmm, amounts.shape))
    sure = np.where(amounts > 0, 0.0, 1.0)  # without noise nothing but nothing shows nothing
    exponent = np.divide(amounts, u, out=np.full(amounts.shape, np.inf), where=u > 0)
    chance = np.where(u > 0, np.exp(-0.5 * exponent**2), sure)
    return Sight((amounts >= floor) & (amounts > 0), floor, chance)


def chance_within(unbalance: ArrayLike, *, limit_gmm: ArrayLike, u_gmm: ArrayLike) -> Any:
    """Return the chance that the true amount is within the limit: Rice, not normal.

    Parameters
    ----------
    unbalance : complex or array [g mm]
        Reading.
    limit_gmm : float or array [g mm]
        Permissible amount.
    u_gmm : float or array [g mm]
        Standard uncertainty for each axis.

    Raises
    ------
    InputError
        When the limit is not greater than zero or the uncertainty is negative.

    Examples
    --------
    >>> f"{chance_within(0, limit_gmm=20, u_gmm=10):.4f}"
    '0.8647'

    Source: S. O. Rice, Bell System Technical Journal 24 (1945), distribution of a vector's length;
    from memory.
    """
    amounts, limit, u = np.broadcast_arrays(
        np.abs(finite("unbalance", unbalance)),
        positive("limit_gmm", limit_gmm),
        not_negative("u_gmm", u_gmm),
    )
    noisy = np.where(u > 0, u, 1.0)
    chance = _rice(limit / noisy, amounts / noisy)
    return np.where(u > 0, chance, amounts <= limit)[()]


def mean_amount(true_gmm: ArrayLike, *, u_gmm: ArrayLike) -> Any:
    """Return the amount that the machine shows on the average: too much, near zero.

    Parameters
    ----------
    true_gmm : float or array [g mm]
        True amount.
    u_gmm : float or array [g mm]
        Standard uncertainty for each axis, greater than zero.

    Raises
    ------
    InputError
        When the amount is negative or the uncertainty is not greater than zero.

    Examples
    --------
    >>> f"{mean_amount(0, u_gmm=10):.2f}"
    '12.53'

    Source: S. O. Rice, Bell System Technical Journal 24 (1945): u sqrt(pi/2) L(-a^2 / 2 u^2) with
    the Laguerre function of order one half, in scaled Bessel functions; from memory.
    """
    from scipy.special import i0e, i1e

    true, u = not_negative("true_gmm", true_gmm), positive("u_gmm", u_gmm)
    x = (true / u) ** 2 / 2
    return u * np.sqrt(np.pi / 2) * ((1 + x) * i0e(x / 2) + x * i1e(x / 2))


def left_by_angle_error(error_degrees: ArrayLike) -> Any:
    """Return the part of the unbalance that stays when all of it is corrected at a wrong angle.

    ``2 sin(error / 2)``

    Parameters
    ----------
    error_degrees : float or array [degree]
        Error of the angle, in either sense.

    Raises
    ------
    InputError
        When it is not finite.

    Examples
    --------
    >>> f"{left_by_angle_error(5):.3f}"
    '0.087'

    Source: Bloch & Geitner, Machinery Component Maintenance and Repair, table 6-3, p. 309.
    """
    return np.abs(2 * np.sin(np.radians(real("error_degrees", error_degrees)) / 2))


def _rice(x: NDArray[np.float64], b: NDArray[np.float64]) -> Any:
    """Return the Rice distribution function; far from zero it is normal, moved by 1 / 2b."""
    from scipy.stats import norm, rice

    far = b > 1e4  # there the two agree to 1e-8, and scipy's Rice function soon gives no number
    near = rice.cdf(x, np.where(far, 1.0, b))
    return np.where(far, norm.cdf(x - b - 0.5 / np.where(far, b, 1.0)), near)


def _for_planes(name: str, value: ArrayLike, shape: tuple[int, ...]) -> NDArray[np.float64]:
    array = not_negative(name, value)
    if array.shape not in ((), shape):
        raise InputError(f"{name} must be one value or one for each plane, got {value!r}")
    return np.broadcast_to(array, shape)
