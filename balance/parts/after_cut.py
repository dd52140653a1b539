"""Weighings after the cut: which of them count, and whether a part has grown."""

from collections.abc import Sequence
from statistics import median

from balance.job.model import ScalePage

__all__ = ["grown", "repeat_g", "since_last_cut"]

_DIVISIONS = 3  # repeats of one part may differ by this many divisions of the scale
_SIGMAS = 6.0  # ... or by this many standard deviations: a swap of two digits is far more


def repeat_g(scale: ScalePage) -> float:
    """Return how far repeats of one part may lie apart on a scale [g].

    Examples
    --------
    >>> round(repeat_g(ScalePage(resolution=0.1)), 10)
    0.3

    Source: own rule, no source.
    """
    return max(_DIVISIONS * scale.resolution, _SIGMAS * (scale.repeatability or 0.0))


def since_last_cut(readings_g: Sequence[float], *, near_g: float) -> tuple[float, ...]:
    """Return the readings of a part since it was cut last: cutting on makes it lighter.

    Examples
    --------
    >>> since_last_cut([401.9, 401.2, 400.6, 400.5], near_g=0.3)
    (400.6, 400.5)
    """
    latest: list[float] = []
    for reading in readings_g:
        if latest and reading < median(latest) - near_g:
            latest.clear()
        latest.append(reading)
    return tuple(latest)


def grown(label: str, before_g: float, after_g: float, *, near_g: float) -> str:
    """Say that a part weighs more after the cut than before; nothing when it does not.

    Examples
    --------
    >>> grown("piston P1", 420.35, 422.1, near_g=0.3)
    'piston P1 weighs 1.75 g MORE than before the cut: wrong part, or wrong pan?'
    """
    more = after_g - before_g
    if more <= near_g + 1e-9:
        return ""
    return f"{label} weighs {more:.2f} g MORE than before the cut: wrong part, or wrong pan?"
