"""The errors of heavyspot, one small tree.

::

    HeavyspotError
    ├── InputError (also a ValueError)   a value that cannot be right
    │   └── JobFileError                 ... with the file, line and key where it stands
    └── MissingInputError                a step was asked for that lacks a measurement

Every message says what was found, what is wanted, and where it helps, what to do.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

__all__ = [
    "HeavyspotError",
    "InputError",
    "JobFileError",
    "MissingInputError",
    "finite",
    "not_negative",
    "one_not_negative",
    "one_positive",
    "one_real",
    "positive",
    "real",
]


class HeavyspotError(Exception):
    """Base of every error that heavyspot raises on purpose."""


class InputError(HeavyspotError, ValueError):
    """A value that cannot be right: the message names it, quotes it and says the requirement."""


class JobFileError(InputError):
    """Something in a job file is wrong; knows the file, the line and the key."""

    def __init__(self, message: str, *, path: str, line: int | None = None, key: str = "") -> None:
        self.path, self.line, self.key, self.message = path, line, key, message
        place = f"{path}:{line}" if line else path
        super().__init__(f"{place}: {key}: {message}" if key else f"{place}: {message}")


class MissingInputError(HeavyspotError):
    """A step lacks its input; ``needed`` lists exactly what to measure or to write."""

    def __init__(self, step: str, needed: list[str]) -> None:
        self.step, self.needed = step, list(needed)
        super().__init__(f"{step} needs more: " + "; ".join(needed))


def finite(name: str, value: ArrayLike) -> NDArray[Any]:
    """Return ``value`` as a float (or complex) array, or raise when any of it is not a number."""
    import numpy as np  # here, so that a command that only names an error starts without it

    try:
        array = np.asarray(value)
    except ValueError:
        raise InputError(f"{name} must have rows of one length, got {value!r}") from None
    if array.dtype.kind not in "iufc":
        raise InputError(f"{name} must be a number, got {value!r}")
    if not np.isfinite(array).all():
        raise InputError(f"{name} must be finite, got {value!r}")
    return array if array.dtype.kind == "c" else array.astype(float)


def real(name: str, value: ArrayLike) -> NDArray[np.float64]:
    """Return ``value`` as a float array, or raise when any of it is complex or no number."""
    array = finite(name, value)
    if array.dtype.kind == "c":
        raise InputError(f"{name} must be real, got {value!r}")
    return array


def positive(name: str, value: ArrayLike) -> NDArray[np.float64]:
    """Return ``value`` as a float array, or raise when any of it is zero, negative or no number."""
    array = real(name, value)
    if not (array > 0).all():
        raise InputError(f"{name} must be greater than zero, got {value!r}")
    return array


def not_negative(name: str, value: ArrayLike) -> NDArray[np.float64]:
    """Return ``value`` as a float array, or raise when any of it is negative or no number."""
    array = real(name, value)
    if not (array >= 0).all():
        raise InputError(f"{name} must not be negative, got {value!r}")
    return array


def one_real(name: str, value: ArrayLike) -> float:
    """Return one finite real number, or raise.

    Examples
    --------
    >>> one_real("zero_degrees", -90)
    -90.0
    """
    return _one(name, value, real(name, value))


def one_positive(name: str, value: ArrayLike) -> float:
    """Return one number above zero, or raise.

    Examples
    --------
    >>> one_positive("mass_g", 420)
    420.0
    """
    return _one(name, value, positive(name, value))


def one_not_negative(name: str, value: ArrayLike) -> float:
    """Return one number that is zero or more, or raise.

    Examples
    --------
    >>> one_not_negative("oil_g", 0)
    0.0
    """
    return _one(name, value, not_negative(name, value))


def _one(name: str, value: ArrayLike, array: NDArray[np.float64]) -> float:
    if array.ndim:
        raise InputError(f"{name} must be one number, got {value!r}")
    return float(array)
