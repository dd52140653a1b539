"""Limits by journal load and speed: the 4W/N family of American standards."""

from typing import Any

from numpy.typing import ArrayLike

from balance.errors import one_positive, positive

__all__ = ["four_w_over_n", "navy_limit"]


def four_w_over_n(*, load_kg: ArrayLike, speed_rpm: ArrayLike) -> Any:
    """Return the 4W/N limit of one plane: ``4 W[lb] / n`` oz in, which is ``6350 W[kg] / n`` g mm.

    Parameters
    ----------
    load_kg : float or array [kg]
        Static load on the journal of that plane, weighed rather than taken as half (API); the
        Navy's rule puts the whole rotor's mass here, see :func:`navy_limit`.
    speed_rpm : float or array [rpm]
        Highest continuous speed.

    Returns
    -------
    float or array [g mm]
        For one plane.

    Raises
    ------
    InputError
        When load or speed is not greater than zero.

    Examples
    --------
    >>> float(four_w_over_n(load_kg=12.5, speed_rpm=6350))
    12.5

    Source: API Std 617 (2002) ch. 1 annex B; the metric constant is exact arithmetic.
    """
    return (6350 * positive("load_kg", load_kg) / positive("speed_rpm", speed_rpm))[()]


def navy_limit(*, rotor_mass_kg: float, speed_rpm: float) -> float:
    """Return the MIL-STD-167 limit of one plane: 0.177 W, 4000 W/N^2 or 4 W/N by speed.

    Parameters
    ----------
    rotor_mass_kg : float [kg]
        Mass of the whole rotor.
    speed_rpm : float [rpm]
        Highest speed: below 150, up to 1000, or above.

    Returns
    -------
    float [g mm]
        For one plane.

    Raises
    ------
    InputError
        When mass or speed is not greater than zero.

    Examples
    --------
    >>> navy_limit(rotor_mass_kg=10, speed_rpm=500) == 6350 * 1000 * 10 / 500**2
    True

    Source: MIL-STD-167 as compared with ISO and API at 1library.net (page text seen).
    """
    mass = one_positive("rotor_mass_kg", rotor_mass_kg)
    speed = one_positive("speed_rpm", speed_rpm)
    gmm_per_oz_in_lb = 6350 / 4
    if speed < 150:
        return 0.177 * gmm_per_oz_in_lb * mass
    return gmm_per_oz_in_lb * mass * (4000 / speed**2 if speed <= 1000 else 4 / speed)
