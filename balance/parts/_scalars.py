"""Checks for arguments that are one number and no array."""

from numpy.typing import ArrayLike

from balance.errors import InputError, not_negative, positive


def one_positive(name: str, value: ArrayLike) -> float:
    """Return one number above zero, or raise.

    Examples
    --------
    >>> one_positive("mass_g", 420)
    420.0
    """
    return _one(name, positive(name, value).tolist())


def one_not_negative(name: str, value: ArrayLike) -> float:
    """Return one number that is zero or more, or raise.

    Examples
    --------
    >>> one_not_negative("oil_g", 0)
    0.0
    """
    return _one(name, not_negative(name, value).tolist())


def _one(name: str, value: float | list[float]) -> float:
    if isinstance(value, list):
        raise InputError(f"{name} must be one number, got {value!r}")
    return value
