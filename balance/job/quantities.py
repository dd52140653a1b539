"""Quantities in a job file: text with a unit, or a bare number in the job's own unit."""

import unicodedata
from functools import partial
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    StringConstraints,
    ValidationInfo,
    WithJsonSchema,
)

from balance.errors import InputError
from balance.units import read
from balance.vectors import fold

__all__ = [
    "LARGEST",
    "SMALLEST",
    "Angle",
    "Density",
    "HoleAngle",
    "Length",
    "LengthToMeasure",
    "Mass",
    "MassOrZero",
    "Masses",
    "Name",
    "Note",
    "Page",
    "PositiveLength",
    "Speed",
    "Text",
    "UnbalanceAmount",
    "in_reach",
]


class Page(BaseModel):
    """A table of the job file: unknown keys are refused, nothing can be changed after reading."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, arbitrary_types_allowed=True, allow_inf_nan=False
    )


_WRITTEN = {"type": ["string", "number"]}
# Marks that turn the direction of the text after them (Unicode Standard Annex #9).
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
LARGEST, SMALLEST = 1e9, 1e-9  # in inside units: nothing that is balanced lies outside


def in_reach(value: Any, number: float) -> float:
    """Return the number, or raise when nothing in a shop can be so large or so small."""
    if abs(number) > LARGEST or 0 < abs(number) < SMALLEST:
        raise InputError(f"{value!r} is {number:.3g} in inside units: nothing here is so far out")
    return number


def _reader(
    kind: str, *, minimum: float | None = None, above: float | None = None
) -> BeforeValidator:
    def take(value: Any, info: ValidationInfo) -> float:
        units = (info.context or {}).get("units", {})
        unit = units.get(kind) if isinstance(units.get(kind), str) else None
        number = in_reach(value, read(_float(value), kind, unit=unit))
        if minimum is not None and number < minimum:
            raise InputError(f"{value!r} must not be less than {minimum:g}")
        if above is not None and number <= above:
            raise InputError(f"{value!r} must be greater than {above:g}")
        return number

    return BeforeValidator(take)


def _float(value: Any) -> Any:
    """Return a whole number too large for a float as infinity, which no quantity is."""
    if isinstance(value, int) and abs(value) > LARGEST * 1e9:
        raise InputError("a number of so many digits is no measurement")
    return value


def _plain(value: str, *, lines: bool) -> str:
    """Return text that a terminal, a table and a page show as it stands, or raise."""
    for letter in value:
        if lines and letter in "\n\t":
            continue
        if unicodedata.category(letter) in ("Cc", "Cs", "Zl", "Zp") or letter in _TURNING:
            raise InputError(
                f"has the control character U+{ord(letter):04X}, which would change how other "
                "text is shown: take it out"
            )
    return value


def _schema(kind: str) -> WithJsonSchema:
    return WithJsonSchema({**_WRITTEN, "description": f"{kind} with its unit, as text"})


def _angle(value: Any) -> float:
    number = in_reach(value, read(_float(value), "angle"))
    if not -360 <= number <= 360:
        raise InputError(f"{value!r} is not an angle from -360 to 360 degrees")
    return number


def _none_yet(value: Any) -> Any:
    return None if isinstance(value, str) and value.strip() == "?" else value


def _repeats(value: Any) -> Any:
    return value if isinstance(value, list) else [value]


Text = Annotated[
    str, StringConstraints(max_length=400), AfterValidator(partial(_plain, lines=False))
]
Note = Annotated[
    str, StringConstraints(max_length=10_000), AfterValidator(partial(_plain, lines=True))
]
Name = Annotated[Text, StringConstraints(min_length=1, max_length=80)]
Mass = Annotated[float, _reader("mass", above=0), _schema("mass")]
MassOrZero = Annotated[float, _reader("mass", minimum=0), _schema("mass")]
Length = Annotated[float, _reader("length"), _schema("length")]
PositiveLength = Annotated[float, _reader("length", above=0), _schema("length")]
# Must stand in the file, but may wait as "?": parts can be weighed before the engine is measured.
LengthToMeasure = Annotated[PositiveLength | None, BeforeValidator(_none_yet)]
Density = Annotated[float, _reader("density", above=0), _schema("density")]
Speed = Annotated[float, _reader("speed", above=0), _schema("speed")]
UnbalanceAmount = Annotated[float, _reader("unbalance", minimum=0), _schema("unbalance")]
Angle = Annotated[float, BeforeValidator(_angle), _schema("angle")]
# The place of a hole on the crank: -2 deg is the same place as 358 deg, and leaves as that.
HoleAngle = Annotated[Angle, AfterValidator(lambda degrees: float(fold(degrees)))]
Masses = Annotated[
    tuple[Mass, ...],
    BeforeValidator(_repeats),
    WithJsonSchema(
        {
            "description": "one weighing, or a list of repeated weighings",
            "anyOf": [_WRITTEN, {"type": "array", "items": _WRITTEN}],
        }
    ),
]
