"""Quantities in a job file: text with a unit, or a bare number in the job's own unit."""

from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationInfo, WithJsonSchema

from balance.errors import InputError
from balance.units import read

__all__ = [
    "Angle",
    "Density",
    "Length",
    "Mass",
    "MassOrZero",
    "Masses",
    "Page",
    "PositiveLength",
    "Speed",
    "UnbalanceAmount",
]


class Page(BaseModel):
    """A table of the job file: unknown keys are refused, nothing can be changed after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True)


_WRITTEN = {"type": ["string", "number"]}


def _reader(
    kind: str, *, minimum: float | None = None, above: float | None = None
) -> BeforeValidator:
    def take(value: Any, info: ValidationInfo) -> float:
        units = (info.context or {}).get("units", {})
        number = read(value, kind, unit=units.get(kind))
        if minimum is not None and number < minimum:
            raise InputError(f"{value!r} must not be less than {minimum:g}")
        if above is not None and number <= above:
            raise InputError(f"{value!r} must be greater than {above:g}")
        return number

    return BeforeValidator(take)


def _schema(kind: str) -> WithJsonSchema:
    return WithJsonSchema({**_WRITTEN, "description": f"{kind} with its unit, as text"})


def _angle(value: Any) -> float:
    number = read(value, "angle")
    if not -360 <= number <= 360:
        raise InputError(f"{value!r} is not an angle from -360 to 360 degrees")
    return number


def _repeats(value: Any) -> Any:
    return value if isinstance(value, list) else [value]


Mass = Annotated[float, _reader("mass", above=0), _schema("mass")]
MassOrZero = Annotated[float, _reader("mass", minimum=0), _schema("mass")]
Length = Annotated[float, _reader("length"), _schema("length")]
PositiveLength = Annotated[float, _reader("length", above=0), _schema("length")]
Density = Annotated[float, _reader("density", above=0), _schema("density")]
Speed = Annotated[float, _reader("speed", above=0), _schema("speed")]
UnbalanceAmount = Annotated[float, _reader("unbalance", minimum=0), _schema("unbalance")]
Angle = Annotated[float, BeforeValidator(_angle), _schema("angle")]
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
