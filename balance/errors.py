"""The errors of heavyspot, one small tree.

::

    HeavyspotError
    ├── InputError (also a ValueError)   a value that cannot be right
    │   └── JobFileError                 ... with the file, line and key where it stands
    └── MissingInputError                a step was asked for that lacks a measurement

Every message says what was found, what is wanted, and where it helps, what to do.
"""

from __future__ import annotations

import operator
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from collections.abc import Iterable

    import numpy as np
    from numpy.typing import ArrayLike, NDArray

__all__ = [
    "HeavyspotError",
    "InputError",
    "JobFileError",
    "MissingInputError",
    "all_of",
    "called",
    "finite",
    "instance_of",
    "is_whole",
    "items_of",
    "not_negative",
    "one_not_negative",
    "one_positive",
    "one_real",
    "one_vector",
    "plain",
    "positive",
    "real",
    "together",
    "whole",
    "yes_or_no",
]

Kind = TypeVar("Kind")


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


def one_vector(name: str, value: ArrayLike) -> complex:
    """Return one finite complex number, or raise.

    Examples
    --------
    >>> one_vector("stationary", 3j)
    3j
    """
    return complex(_one_of(name, value, finite(name, value)))


def _one(name: str, value: ArrayLike, array: NDArray[np.float64]) -> float:
    return float(_one_of(name, value, array))


def _one_of(name: str, value: ArrayLike, array: NDArray[Any]) -> Any:
    if array.ndim:
        raise InputError(f"{name} must be one number, got {value!r}")
    return array


def together(**given: ArrayLike | None) -> None:
    """Raise unless the arguments can be worked with element by element; None is left out.

    One value stands for all. Only shapes are looked at here: whether the values can be is asked
    by the other checks.

    Examples
    --------
    >>> together(diameter_mm=12.7, depth_mm=[20.0, 25.0])
    >>> together(diameter_mm=[10.0, 11.0, 12.0], depth_mm=[20.0, 25.0])
    Traceback (most recent call last):
    ...
    balance.errors.InputError: diameter_mm and depth_mm do not go together: shapes (3,) and (2,); \
give one value for all, or one for each
    """
    import numpy as np

    shapes = {name: _shape(name, value) for name, value in given.items()}
    shapes = {name: shape for name, shape in shapes.items() if shape}
    if len(set(shapes.values())) < 2:  # the usual case, at once
        return
    try:
        np.broadcast_shapes(*shapes.values())
    except ValueError:
        raise InputError(
            f"{_and(shapes)} do not go together: shapes {_and(map(str, shapes.values()))}; "
            "give one value for all, or one for each"
        ) from None


def _shape(name: str, value: Any) -> tuple[int, ...]:
    import numpy as np

    try:
        return np.shape(value)
    except ValueError:
        raise InputError(f"{name} must have rows of one length, got {value!r}") from None


def plain(array: NDArray[Any]) -> str:
    """Return the values of an array as people write them: 50 and not ``array(50.)``.

    Examples
    --------
    >>> import numpy as np
    >>> plain(np.array(50.0)), plain(np.array([40.0, 52.5]))
    ('50', '[40, 52.5]')
    """
    if array.ndim:
        return f"[{', '.join(plain(each) for each in array)}]"
    return f"{array:.6g}"


def _and(words: Iterable[str]) -> str:
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last


def is_whole(value: object) -> bool:
    """Tell whether a value is one whole number; True and False are none.

    Examples
    --------
    >>> is_whole(3), is_whole(3.0), is_whole(True)
    (True, False, False)
    """
    try:
        operator.index(value)  # type: ignore[arg-type]
    except TypeError:
        return False
    return not _is_bool(value)


def whole(name: str, value: Any, *, least: int) -> int:
    """Return one whole number from ``least`` up, or raise.

    Examples
    --------
    >>> whole("draws", 100, least=1)
    100
    """
    if not is_whole(value) or value < least:
        raise InputError(f"{name} must be a whole number of at least {least}, got {value!r}")
    return operator.index(value)


def yes_or_no(name: str, value: object) -> bool:
    """Return True or False, or raise: what merely counts as true is a slip.

    Examples
    --------
    >>> yes_or_no("through", True)
    True
    """
    if not _is_bool(value):
        raise InputError(f"{name} must be True or False, got {value!r}")
    return bool(value)


def _is_bool(value: object) -> bool:
    import numpy as np

    return isinstance(value, bool | np.bool_)


def instance_of(name: str, value: object, kind: type[Kind]) -> Kind:
    """Return the value if it is one of a kind, or raise.

    Examples
    --------
    >>> instance_of("name", "flywheel", str)
    'flywheel'
    """
    if not isinstance(value, kind):
        raise InputError(f"{name} must be of type {kind.__name__}, got {value!r}")
    return value


def items_of(name: str, value: Any) -> tuple[Any, ...]:
    """Return what a list holds, or raise when it is none; a text is no list.

    Examples
    --------
    >>> items_of("throws", [1, 2])
    (1, 2)
    """
    try:
        if not isinstance(value, str):
            return tuple(value)
    except TypeError:
        pass
    raise InputError(f"{name} must be a list, got {value!r}")


def all_of(name: str, value: Any, kind: type[Kind]) -> tuple[Kind, ...]:
    """Return what a list holds, or raise when it is none or holds anything of another kind.

    Examples
    --------
    >>> all_of("cylinder_names", ["1", "2"], str)
    ('1', '2')
    """
    return tuple(
        instance_of(f"{name}[{k}]", each, kind) for k, each in enumerate(items_of(name, value))
    )


def called(name: str, value: Any) -> None:
    """Raise unless the value is a function, or None.

    Examples
    --------
    >>> called("progress", print)
    """
    if value is not None and not callable(value):
        raise InputError(f"{name} must be a function or None, got {value!r}")
