"""What is appended to a job as the work goes on, never overwritten: one class a kind of entry."""

import datetime as dt
from typing import Annotated, Literal

from pydantic import Field

from balance.job.quantities import (
    Angle,
    Mass,
    Masses,
    Name,
    Page,
    PositiveLength,
    Speed,
    Text,
)

__all__ = [
    "DrilledPage",
    "ProofPage",
    "ReadingPage",
    "SpinPage",
    "StuckPage",
    "WeighingPage",
]


class WeighingPage(Page):
    """One reading of the scale, appended; ``undo`` takes back the latest of the same part."""

    part: Name
    what: Literal["weight", "total", "big_end", "small_end"] = "weight"
    value: Mass | None = None
    finished: bool = Field(False, description="weighed after cutting")
    undo: bool = False
    time: dt.datetime | None = None
    instrument: Text = ""


class ReadingPage(Page):
    """What the machine showed in one of its planes."""

    plane: Name
    amount: float | Text
    angle: Angle


class SpinPage(Page):
    """One spin, appended: what turned, what the machine showed; ``undo`` takes back the latest."""

    name: Text = ""
    on: tuple[Name, ...] = ("crank",)
    undo: bool = False
    speed: Speed | None = None
    readings: Annotated[tuple[ReadingPage, ...], Field(max_length=2)] = ()
    bobweights: Masses = ()
    drilled: int = Field(0, ge=0, description="how many [[drilled]] entries were in the metal")
    time: dt.datetime | None = None


class StuckPage(Page):
    """A known mass stuck on the crank: in which plane, how far out, at which angle of the crank."""

    plane: Name
    mass: Mass
    radius: PositiveLength
    angle: Angle


class ProofPage(Page):
    """A spin with known masses on the crank (or none), to prove how the machine counts."""

    stuck: tuple[StuckPage, ...] = ()
    readings: Annotated[tuple[ReadingPage, ...], Field(min_length=1, max_length=2)]
    time: dt.datetime | None = None


class DrilledPage(Page):
    """A hole that was drilled, appended: in which part, where, which drill, how deep."""

    part: Name
    angle: Angle
    diameter: PositiveLength
    depth: PositiveLength
    time: dt.datetime | None = None
