"""Speeds and masses of an ordinary size: a figure too many or too few shows against the stroke.

Only doubts: an engine may be out of the ordinary. The limits lie a decade apart, so that a
value ten times wrong falls outside whatever the engine is.
"""

import math

from balance.errors import one_positive

__all__ = ["bolted_mass_doubt", "crank_mass_doubt", "mean_piston_speed_m_s", "speed_doubt"]

# Common practice, no source (from memory): slow stationary engines run at 3.5 to 5 m/s, large
# diesels at 8, road engines at 15 to 20, racing engines up to 27, the fastest sprints near 31.
SLOWEST_M_S, FASTEST_M_S = 3.2, 32.0
# Common practice, no source: cranks from a motorcycle's to a boat's hold 0.4 to 2.1 of the metal
# that fits into stroke x stroke x the length between the bearings.
LEAST_SHARE, MOST_SHARE = 0.3, 3.0
# Common practice, no source: flywheels weigh 0.2 to 1 of the crank, those of old singles 3 times.
MOST_OF_CRANK = 4.0


def mean_piston_speed_m_s(stroke_mm: float, speed_rpm: float) -> float:
    """Return the mean piston speed [m/s]: two strokes a turn.

    ``v = 2 s n / 60 000``

    Parameters
    ----------
    stroke_mm : float [mm]
        From dead centre to dead centre.
    speed_rpm : float [rpm]
        Of the crank.

    Raises
    ------
    InputError
        When one of them is not greater than zero.

    Examples
    --------
    >>> mean_piston_speed_m_s(90, 6000)
    18.0

    Source: definition.
    """
    return 2 * one_positive("stroke_mm", stroke_mm) * one_positive("speed_rpm", speed_rpm) / 60_000


def speed_doubt(stroke_mm: float, speed_rpm: float) -> str:
    """Return what is odd about a service speed; nothing when the pistons run as fast as usual.

    Parameters
    ----------
    stroke_mm, speed_rpm : float [mm, rpm]
        As for :func:`mean_piston_speed_m_s`.

    Examples
    --------
    >>> speed_doubt(84, 7800)
    ''
    >>> print(speed_doubt(84, 780))  # doctest: +ELLIPSIS
    the service speed of 780 rpm is a mean piston speed of 2.2 m/s at a stroke of 84 mm: ...

    Source: common practice, no source.
    """
    speed = mean_piston_speed_m_s(stroke_mm, speed_rpm)
    if SLOWEST_M_S <= speed <= FASTEST_M_S:
        return ""
    return (
        f"the service speed of {speed_rpm:g} rpm is a mean piston speed of {speed:.1f} m/s at a "
        f"stroke of {stroke_mm:g} mm: usual are {SLOWEST_M_S:g} to {FASTEST_M_S:g} m/s (common "
        "practice, no source); is a figure too many, or missing?"
    )


def crank_mass_doubt(
    mass_g: float, *, stroke_mm: float, length_mm: float, density_g_cm3: float
) -> str:
    """Return what is odd about the mass of a bare crank; nothing when it fits stroke and length.

    ``0.3 <= m / (density s^2 L) <= 3``

    Parameters
    ----------
    mass_g : float [g]
        Of the bare crank.
    stroke_mm : float [mm]
        Twice its throw.
    length_mm : float [mm]
        Between its outer bearings.
    density_g_cm3 : float [g/cm3]
        Of its metal.

    Raises
    ------
    InputError
        When one of them is not greater than zero.

    Examples
    --------
    >>> crank_mass_doubt(12400, stroke_mm=84, length_mm=270, density_g_cm3=7.85)
    ''
    >>> print(crank_mass_doubt(1240, stroke_mm=84, length_mm=270,
    ...                        density_g_cm3=7.85))  # doctest: +ELLIPSIS
    a crank of 1.24 kg is odd for a stroke of 84 mm and 270 mm between its bearings: usual are 4...

    Source: common practice, no source.
    """
    mass, stroke = one_positive("mass_g", mass_g), one_positive("stroke_mm", stroke_mm)
    length = one_positive("length_mm", length_mm)
    box = one_positive("density_g_cm3", density_g_cm3) * stroke**2 * length / 1000
    if LEAST_SHARE <= mass / box <= MOST_SHARE:
        return ""
    low, high = (_two_figures(share * box / 1000) for share in (LEAST_SHARE, MOST_SHARE))
    return (
        f"a crank of {mass / 1000:g} kg is odd for a stroke of {stroke:g} mm and {length:g} mm "
        f"between its bearings: usual are {low} to {high} kg (common practice, no source); is a "
        "figure too many, or missing?"
    )


def bolted_mass_doubt(name: str, mass_g: float, *, crank_mass_g: float) -> str:
    """Return what is odd about the mass of a bolted part: it outweighs the crank by far.

    Parameters
    ----------
    name : str
        Of the part.
    mass_g, crank_mass_g : float [g]
        Of it, and of the bare crank.

    Raises
    ------
    InputError
        When one of them is not greater than zero.

    Examples
    --------
    >>> print(bolted_mass_doubt("flywheel", 49000, crank_mass_g=12000))
    flywheel: 49 kg beside a crank of 12 kg: is a figure too many?

    Source: common practice, no source.
    """
    mass, crank = one_positive("mass_g", mass_g), one_positive("crank_mass_g", crank_mass_g)
    if mass <= MOST_OF_CRANK * crank:
        return ""
    return (
        f"{name}: {mass / 1000:g} kg beside a crank of {crank / 1000:g} kg: is a figure too many?"
    )


def _two_figures(value: float) -> str:
    digits = max(0, 1 - math.floor(math.log10(value)))
    return f"{value:.{digits}f}"
