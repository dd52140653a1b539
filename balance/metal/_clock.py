"""The clock that the planner's time limits are read on.

On the wall's clock a limit ends a search elsewhere on a busy machine than on an idle one: the same
job would get one plan on the screen and another on paper. Within :func:`by_steps` the clock counts
what the search looks at instead, so that the same task gives the same plan everywhere. A step has
the length that it took on a plain machine, so that limits mean about as much in either way.
"""

import contextlib
import time
from collections.abc import Iterator
from contextvars import ContextVar

__all__ = ["by_steps", "now", "spend"]

# What one of each takes [s]: fitted to the processor time of 25 random cranks on one plain machine,
# which it gives to within a factor of two. Only how long a limit lasts depends on it, no result.
_SECONDS = {
    "call": 35e-6,  # of an array operation on nothing much
    "candidate": 30e-9,  # holes that a counterweight offers, looked at one by one
    "pair": 200e-9,  # partial placings held against one another
    "bound": 3.7e-6,  # a pattern's share of one counterweight, priced
    "crowd": 450e-6,  # the same with the webs
    "drilling": 20e-9,  # a hole of a virtual drilling
}


class _Steps:
    def __init__(self) -> None:
        self.gone = 0.0


_STEPS: ContextVar[_Steps | None] = ContextVar("steps", default=None)


def now() -> float:
    """Return the time [s], of the wall or of the steps gone."""
    steps = _STEPS.get()
    return time.monotonic() if steps is None else steps.gone


def spend(kind: str, count: float = 1) -> None:
    """Note what was looked at; the wall's clock goes by itself."""
    steps = _STEPS.get()
    if steps is not None:
        steps.gone += _SECONDS[kind] * count


@contextlib.contextmanager
def by_steps() -> Iterator[None]:
    """Count steps in place of time: what is planned within is the same on every machine.

    Examples
    --------
    >>> with by_steps():
    ...     start = now()
    ...     spend("pair", 1_000_000)
    ...     now() - start > 0
    True
    """
    token = _STEPS.set(_Steps())
    try:
        yield
    finally:
        _STEPS.reset(token)
