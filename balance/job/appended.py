"""What is appended to a job as the work goes on, never overwritten: one class a kind of entry."""

import datetime as dt
from typing import Annotated, Literal

from pydantic import Field

from balance.job.quantities import (
    Angle,
    HoleAngle,
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
    "DrillingPage",
    "ProofPage",
    "PuttyPage",
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


class PuttyPage(Page):
    """A known mass that was only stuck on for a spin: on a counterweight's rim, or in a plane."""

    part: Name | None = Field(None, description="the counterweight, by its mark")
    plane: Name | None = Field(None, description="or the plane of the machine")
    mass: Mass
    radius: PositiveLength | None = Field(
        None, description="of its middle; on a counterweight its rim when left out"
    )
    angle: Angle


class SpinPage(Page):
    """One spin, appended: what turned, what the machine showed; ``undo`` takes back the latest.

    With something ``stuck`` on the crank it is a check spin: it judges the machine, never the
    rotor.
    """

    name: Text = ""
    on: tuple[Name, ...] = ("crank",)
    undo: bool = False
    speed: Speed | None = None
    readings: Annotated[tuple[ReadingPage, ...], Field(max_length=2)] = ()
    bobweights: Masses = ()
    drilled: int = Field(0, ge=0, description="how many [[drilled]] entries were in the metal")
    stuck: tuple[PuttyPage, ...] = Field(
        (), description="putty where holes are to go: this spin checks how the machine counts"
    )
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
    """A hole that was drilled: in which part, where, which drill, how deep."""

    part: Name
    angle: HoleAngle
    diameter: PositiveLength
    depth: PositiveLength
    time: dt.datetime | None = None


class DrillingPage(Page):
    """A hole that was drilled, appended; ``undo`` takes back the latest of the same part."""

    part: Name
    angle: HoleAngle | None = None
    diameter: PositiveLength | None = None
    depth: PositiveLength | None = None
    undo: bool = False
    time: dt.datetime | None = None

    @property
    def hole(self) -> DrilledPage | None:
        """The hole; None where the entry takes one back."""
        if self.angle is None or self.diameter is None or self.depth is None:
            return None
        return DrilledPage(
            part=self.part,
            angle=self.angle,
            diameter=self.diameter,
            depth=self.depth,
            time=self.time,
        )
