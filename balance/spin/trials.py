"""Trial weights and repeats: how large, how clear an answer, how well a reading repeats.

Caution: a trial weight that comes loose is a projectile. Fix it mechanically, keep the guard
shut, and stand out of the plane of rotation.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from balance.errors import InputError, finite, one_positive, one_real, one_vector

__all__ = ["TrialAnswer", "repeatability", "trial_answer", "trial_size"]

_GRAVITY = 9.80665  # m/s2, standard


@dataclass(frozen=True)
class TrialAnswer:
    """How clearly a rotor answered to a trial weight.

    Parameters
    ----------
    amount_change : float [1]
        Change of the amount as a part of the initial amount.
    degrees_change : float [degree]
        Change of the angle, the short way, 0 to 180.
    enough : bool
        Whether either is large enough to compute with.
    """

    amount_change: float
    degrees_change: float
    enough: bool


def repeatability(readings: ArrayLike) -> float:
    """Return the standard deviation along each axis of repeated readings of one state.

        s^2 = sum |V - mean|^2 / (2 (n - 1)), pooled over sensors

    Parameters
    ----------
    readings : array (repeats,) or (repeats, sensors), complex
        The same run made again, best with the rotor taken out and put back.

    Raises
    ------
    InputError
        When there are fewer than two repeats.

    Examples
    --------
    >>> repeatability([1 + 1j, 1 - 1j, -1 + 1j, -1 - 1j]).__round__(4)
    1.1547

    Source: JCGM 100:2008 clause 4.2, pooled over two axes; from memory.
    """
    shown = finite("readings", readings)
    if shown.ndim == 0 or len(shown) < 2:
        raise InputError(f"readings must hold at least two repeats, got {readings!r}")
    away = np.abs(shown - shown.mean(axis=0)) ** 2
    return float(np.sqrt(away.sum() / (2 * (len(shown) - 1) * shown[0].size)))


def trial_size(*, rotor_mass_kg: float, speed_rpm: float, part: float = 0.1) -> float:
    """Return the unbalance of a trial weight whose force is a part of the rotor's weight [g mm].

        U = part * m g / w^2

    Parameters
    ----------
    rotor_mass_kg : float [kg]
        Mass that the plane's bearing carries; half the rotor for one of two planes.
    speed_rpm : float [rpm]
        Balancing speed.
    part : float [1]
        Force of the trial weight over the static weight. A tenth is usual, and a caution: start
        with less on a rotor that already shakes.

    Raises
    ------
    InputError
        When anything is not greater than zero.

    Examples
    --------
    >>> round(trial_size(rotor_mass_kg=12.5, speed_rpm=500))
    4471

    Source: common practice, no source (a tenth of the static load).
    """
    mass = one_positive("rotor_mass_kg", rotor_mass_kg)
    speed = one_positive("speed_rpm", speed_rpm)
    omega = speed * 2 * np.pi / 60
    return float(1e6 * one_positive("part", part) * mass * _GRAVITY / omega**2)


def trial_answer(
    initial: complex, response: complex, *, amount_change: float = 0.3, degrees_change: float = 30.0
) -> TrialAnswer:
    """Return whether a rotor answered clearly enough to a trial weight.

    Parameters
    ----------
    initial : complex [any unit]
        Vibration as found.
    response : complex [same unit]
        Vibration with the trial weight.
    amount_change : float [1]
        Least change of the amount, as a part of the initial.
    degrees_change : float [degree]
        Least change of the angle; one of the two is enough.

    Raises
    ------
    InputError
        When the initial vibration is zero or anything is not finite.

    Examples
    --------
    >>> trial_answer(10, 9j).enough, trial_answer(10, 10.5).enough
    (True, False)

    Source: common practice, no source (30 % or 30 degrees).
    """
    before, after = one_vector("initial", initial), one_vector("response", response)
    if before == 0:
        raise InputError(f"initial must not be zero, got {initial!r}: there is nothing to compare")
    amount = abs(abs(after) - abs(before)) / abs(before)
    angle = float(np.degrees(abs(np.angle(after / before)))) if after else 0.0
    least, turned = (
        one_real("amount_change", amount_change),
        one_real("degrees_change", degrees_change),
    )
    enough = amount >= least or angle >= turned
    return TrialAnswer(amount_change=amount, degrees_change=angle, enough=enough)
