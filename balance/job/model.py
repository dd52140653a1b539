"""The job: what was measured and wanted, one class a table of the job file.

Values are in the inside units once read. The file's keys are the field names.
"""

import datetime as dt
import hashlib
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, PrivateAttr, WithJsonSchema, field_validator

from balance.errors import InputError
from balance.job.appended import DrilledPage, DrillingPage, ProofPage, SpinPage, WeighingPage
from balance.job.drills import SAME_DRILL_MM
from balance.job.quantities import (
    Angle,
    Density,
    HoleAngle,
    Length,
    LengthToMeasure,
    Mass,
    Masses,
    MassOrZero,
    Name,
    Note,
    Page,
    PositiveLength,
    Speed,
    Text,
    UnbalanceAmount,
)
from balance.units import read, unit_names

__all__ = [
    "About",
    "BobweightsPage",
    "BoltedPage",
    "CounterweightPage",
    "CrankPage",
    "CylinderPage",
    "DrillsPage",
    "EnginePage",
    "HolePage",
    "Job",
    "MachinePage",
    "PartsPage",
    "PistonPage",
    "PlanePage",
    "RodPage",
    "ScalePage",
    "SlugPage",
    "TargetsPage",
    "ThrowPage",
    "UnitsPage",
]


class About(Page):
    """Whose job this is and what it is for."""

    name: Name
    customer: Text = ""
    engine: Text = ""
    date: dt.date | None = None
    balancer: Text = ""
    invented: bool = Field(False, description="true for demonstration data")
    note: Note = ""


class UnitsPage(Page):
    """The units of bare numbers in this file."""

    mass: Text = "g"
    length: Text = "mm"
    unbalance: Text = "g mm"
    speed: Text = "rpm"
    density: Text = "g/cm3"

    @field_validator("*")
    @classmethod
    def _known(cls, value: str, info: Any) -> str:
        if value not in unit_names(info.field_name):
            known = ", ".join(unit_names(info.field_name))
            raise InputError(f"{value!r} is no unit of {info.field_name}; write one of {known}")
        return value


class ThrowPage(Page):
    """One crankpin, by hand: its angle in the crank's frame and its place along the crank."""

    angle: Angle
    z: Length


class CylinderPage(Page):
    """One cylinder, by hand: its name, its throw (counted from 1), its bank and its place."""

    name: Name
    throw: int = Field(ge=1)
    bank: Angle
    z: Length


class EnginePage(Page):
    """The engine: a named layout, or throws and cylinders by hand."""

    layout: Text | None = None
    stroke: LengthToMeasure
    rod_length: LengthToMeasure
    bore_spacing: LengthToMeasure
    pin_offset: Length = 0.0
    bank_angle: Angle | None = None
    bank_offset: Length | None = None
    pin_splay: Angle | None = None
    crank: Literal["cross", "flat"] | None = None
    crank_angle: Angle | None = Field(None, description="of a twin: from pin 1 to pin 2")
    throw_angles: tuple[Angle, ...] | None = None
    numbering: Literal["pairs", "banks"] | None = None
    knuckle_radius: PositiveLength | None = None
    link_length: PositiveLength | None = None
    first_throw_z: Length = Field(0.0, description="place of throw 1 from the datum of the crank")
    cylinder_names: tuple[Name, ...] = ()
    throws: tuple[ThrowPage, ...] = ()
    cylinders: tuple[CylinderPage, ...] = ()

    @property
    def cylinder_count(self) -> int:
        """Cylinders by hand, else the number in the name of the layout."""
        if self.cylinders or self.layout is None:
            return len(self.cylinders)
        digits = "".join(letter for letter in self.layout if letter in "0123456789")[:4]
        return int(digits) if digits else 2 if "twin" in self.layout.lower() else 1

    @property
    def names(self) -> tuple[str, ...]:
        """The cylinders' names as the user numbers them, 1 2 3 ... unless written."""
        if self.cylinders:
            return tuple(cylinder.name for cylinder in self.cylinders)
        return self.cylinder_names or tuple(str(i + 1) for i in range(self.cylinder_count))


class ScalePage(Page):
    """The scale that the parts were weighed on."""

    resolution: Mass = 0.1
    repeatability: MassOrZero | None = Field(
        None, description="standard deviation of repeated weighings, pooled over many parts"
    )


class PistonPage(Page):
    """A piston or a pin: its mark, its weighings, and what may be cut from it."""

    mark: Name
    weight: Masses = ()
    can_lose: MassOrZero | None = None
    scrapped: bool = Field(False, description="replaced by a part of another mark: counts no more")


class RodPage(Page):
    """A rod: any two or all three of total, big end and small end."""

    mark: Name
    total: Masses = ()
    big_end: Masses = ()
    small_end: Masses = ()
    big_end_can_lose: MassOrZero | None = None
    small_end_can_lose: MassOrZero | None = None
    small_end_heavier: bool = Field(
        False, description="looked at: its small end does outweigh its big end"
    )
    scrapped: bool = Field(False, description="replaced by a rod of another mark: counts no more")


class PartsPage(Page):
    """The parts on the bench, and what hangs on every rod besides them."""

    pistons: tuple[PistonPage, ...] = ()
    pins: tuple[PistonPage, ...] = ()
    rods: tuple[RodPage, ...] = ()
    ring_set: MassOrZero = Field(0.0, description="rings of one piston")
    locks: MassOrZero = Field(0.0, description="both pin locks of one piston, weighed as a pair")
    bearing_shells: MassOrZero = Field(0.0, description="both shells of one rod")
    piston_can_lose: MassOrZero | None = None
    big_end_can_lose: MassOrZero | None = None
    small_end_can_lose: MassOrZero | None = None


class BobweightsPage(Page):
    """What goes into a bobweight besides the parts."""

    factor: float = Field(0.5, ge=0, le=1, description="share of the reciprocating mass")
    oil: MassOrZero = Field(0.0, description="oil allowance per pin; a convention, no measurement")
    mass_error: MassOrZero = Field(0.1, description="standard uncertainty of one as made up")
    off_centre_error: Length = Field(
        0.01, ge=0, description="standard uncertainty of its centre off the pin's centre"
    )
    along_error: Length = Field(
        0.05, ge=0, description="standard uncertainty of its place along the pin"
    )
    static_hung: Mass | None = Field(
        None, description="old crank on knife edges: the mass that held it still, rods off"
    )
    static_radius: PositiveLength | None = Field(
        None, description="radius at which static_hung hung; the crankpin when left out"
    )


class HolePage(Page):
    """A hole that is already there: angle in the crank's frame, diameter, full-diameter depth."""

    angle: HoleAngle
    diameter: PositiveLength
    depth: PositiveLength


class CounterweightPage(Page):
    """A counterweight: where it may be drilled from its rim."""

    mark: Name
    z: Length
    centre: Angle
    half_span: Angle = Field(
        description="each side of the centre line, for the MIDDLE of a hole: the metal reaches on"
    )
    radius: PositiveLength
    width: PositiveLength
    max_depth: PositiveLength
    holes: tuple[HolePage, ...] = ()


class SlugPage(Page):
    """A heavy-metal slug that the shop can fit.

    With ``bore_depth`` it sits at the bottom of a radial bore, else in a bore lengthwise through
    the counterweight, ``wall`` below its rim.
    """

    diameter: PositiveLength
    length: PositiveLength
    density: Density = 18.0
    wall: PositiveLength = 4.0
    bore_depth: PositiveLength | None = None


class CrankPage(Page):
    """The bare crank."""

    mass: Mass
    bearings: Annotated[tuple[Length, ...], Field(min_length=2, max_length=2)]
    datum: Text = Field("", description="what z is measured from, in words")
    centre_of_mass: Length | None = None
    density: Density = 7.85
    material: Text = "steel"
    counterweights: tuple[CounterweightPage, ...] = ()
    slugs: tuple[SlugPage, ...] = ()
    target_bobweight: Mass | None = Field(
        None, description="of a bought crank: the bobweight its maker names"
    )
    hardened: bool = Field(False, description="nitrided, induction or case hardened")
    min_web: PositiveLength = 4.0
    edge: PositiveLength = 3.0
    min_depth: PositiveLength = 5.0
    depth_step: PositiveLength = 0.5
    angle_step: Angle = 1.0


class PlanePage(Page):
    """A plane of the machine: its name on the screen, its place, the radius it is set to."""

    name: Name
    z: Length
    radius: PositiveLength | None = None


class MachinePage(Page):
    """How the machine shows an unbalance, and where its planes lie on this crank."""

    name: Text = ""
    planes: Annotated[tuple[PlanePage, ...], Field(min_length=1, max_length=2)]
    unit: Literal["g mm", "g cm", "g in", "oz in", "g", "oz"] = Field(
        description="of the amount; g or oz when it shows a mass at the radius set for each plane"
    )
    counts: Literal["counter-clockwise", "clockwise", "with", "against"] | None = Field(
        None, description="which way its numbers run; with or against the way it turns the crank"
    )
    seen_from: Literal["nose", "flywheel", "left", "right"] | None = Field(
        None, description="the end from which clockwise is meant"
    )
    zero: Angle | None = Field(
        None, description="where its 0 lies on the crank, in the crank's frame"
    )
    points_to: Literal["heavy", "light", "remove", "add"] | None = None
    nose: Literal["left", "right"] | None = Field(
        None, description="where the crank's nose lies, seen by the operator"
    )
    turns: Literal["with engine", "against engine", "counter-clockwise", "clockwise"] | None = None
    engine_turns: Literal["counter-clockwise", "clockwise"] = Field(
        "counter-clockwise", description="seen from the flywheel"
    )
    amount_error: float = Field(
        1.0, ge=0, le=100, description="standard uncertainty of an amount, in percent of it"
    )
    angle_error: Angle = Field(0.5, description="standard uncertainty of an angle")
    least: UnbalanceAmount = Field(
        0.0, description="standard uncertainty of a reading near zero, per plane"
    )
    proven: dt.date | None = Field(
        None, description="when a known mass last proved how the machine counts"
    )


def _drill(value: Any, info: Any) -> tuple[str, float]:
    """Return a drill as written, and its diameter; a bare number takes the job's unit."""
    from balance.job.drills import drill

    unit = (info.context or {}).get("units", {}).get("length")
    if isinstance(value, str):
        return value.strip(), drill(value).diameter_mm
    diameter = read(value, "length", unit=unit)
    if diameter <= 0:
        raise InputError(f"{value!r} is not a drill: its diameter must be greater than zero")
    return f"{value:g} {unit or 'mm'}", diameter


Drill = Annotated[
    tuple[str, float],
    BeforeValidator(_drill),
    WithJsonSchema({"type": ["string", "number"], "description": '"1/2 in", "12 mm" or "#7"'}),
]


class DrillsPage(Page):
    """The drawer: which drills there are."""

    sizes: tuple[Drill, ...] = ()
    point: Angle = 118.0
    depth_error: PositiveLength = Field(0.1, description="standard uncertainty of a depth")
    angle_error: Angle = Field(0.5, description="standard uncertainty of where a hole stands")
    oversize: Length = Field(0.1, ge=0, description="the most that a hole comes out too wide")

    def name_of(self, diameter_mm: float) -> str:
        """Return what the drawer calls a drill [mm]; a size that is not in it as written in mm."""
        near = (
            (name, size) for name, size in self.sizes if abs(size - diameter_mm) <= SAME_DRILL_MM
        )
        return next((name for name, _ in near), f"{diameter_mm:g} mm")


class BoltedPage(Page):
    """A part that is bolted to the crank: damper, flywheel, clutch cover."""

    name: Name
    mass: Mass
    z: Length
    hole_radius: PositiveLength | None = Field(
        None, description="radius of the circle on which it may be drilled along the crank"
    )
    max_depth: PositiveLength | None = None
    hole_spacing: PositiveLength | None = Field(
        None, description="least distance between hole centres along the circle"
    )
    keep_clear: tuple[tuple[Angle, Angle], ...] = Field(
        (), description="arcs that must not be drilled, from and to"
    )
    density: Density = 7.85
    limit: UnbalanceAmount | None = None
    run_out: Length = Field(0.0, description="total indicator reading of its register")
    clearance: Length = Field(0.0, description="diametral clearance of its register")
    mark: Text = ""
    positions: int = Field(1, ge=1, le=72, description="equal ways in which it can be bolted up")

    @property
    def left_as_it_is(self) -> bool:
        """Whether nothing says where it may be drilled: a bought-in part that is not to be cut."""
        return (self.hole_radius, self.max_depth, self.hole_spacing) == (None, None, None)


class TargetsPage(Page):
    """When it is good enough."""

    chance: float = Field(
        0.95, gt=0, lt=1, description="wanted chance that a drilled plan ends inside the limit"
    )
    match_tolerance: MassOrZero = 0.5
    big_end_tolerance: MassOrZero | None = None
    service_speed: Speed | None = None
    grade: float | None = Field(
        None, ge=0.01, le=100_000, description="balance quality grade G in mm/s"
    )
    per_bearing: UnbalanceAmount | None = Field(
        None, description="a limit in each bearing plane, in place of a grade"
    )

    @field_validator("grade", mode="before")
    @classmethod
    def _grade(cls, value: Any) -> Any:
        text = value.strip().upper().removeprefix("G").strip() if isinstance(value, str) else value
        try:
            return float(text)
        except (TypeError, ValueError):
            raise InputError(f'{value!r} is not a balance quality grade: write "G 6.3"') from None


class Job(Page):
    """One job, as its file says it."""

    format: Literal[1]
    job: About
    units: UnitsPage = UnitsPage()
    engine: EnginePage
    scale: ScalePage = ScalePage()
    parts: PartsPage = PartsPage()
    bobweights: BobweightsPage = BobweightsPage()
    crank: CrankPage | None = None
    machine: MachinePage | None = None
    bolted: tuple[BoltedPage, ...] = ()
    drills: DrillsPage = DrillsPage()
    targets: TargetsPage = TargetsPage()
    weighings: tuple[WeighingPage, ...] = ()
    proofs: tuple[ProofPage, ...] = ()
    spins: tuple[SpinPage, ...] = ()
    drilled: tuple[DrillingPage, ...] = ()

    @property
    def kept_spins(self) -> tuple[SpinPage, ...]:
        """The spins that were not taken back, check spins among them."""
        standing: list[SpinPage] = []
        for spin in self.spins:
            if spin.undo:
                last = max(k for k, old in enumerate(standing) if old.on == spin.on)
                standing.pop(last)
            else:
                standing.append(spin)
        return tuple(standing)

    @property
    def standing_spins(self) -> tuple[SpinPage, ...]:
        """The spins of the rotor as it is that were not taken back: nothing was stuck on it."""
        return tuple(spin for spin in self.kept_spins if not spin.stuck)

    @property
    def check_spins(self) -> tuple[SpinPage, ...]:
        """The spins with something stuck on that were not taken back: they judge the machine."""
        return tuple(spin for spin in self.kept_spins if spin.stuck)

    def standing_holes(self, first: int = 0, last: int | None = None) -> tuple[DrilledPage, ...]:
        """The holes of the ``[[drilled]]`` entries from first to last, less those taken back.

        A hole that was taken back was never there, whichever spins its entry stood before.
        """
        counted = range(len(self.drilled))[first:last]
        return tuple(hole for index, hole in self._standing() if index in counted)

    def entries_with(self, holes: int) -> int:
        """How many ``[[drilled]]`` entries hold so many holes that were not taken back."""
        places = [index for index, _ in self._standing()]
        return len(self.drilled) if holes == len(places) else places[holes]

    def _standing(self) -> list[tuple[int, DrilledPage]]:
        standing: list[tuple[int, DrilledPage]] = []
        for index, entry in enumerate(self.drilled):
            if entry.hole is not None:
                standing.append((index, entry.hole))
                continue
            last = max(k for k, (_, old) in enumerate(standing) if old.part == entry.part)
            standing.pop(last)
        return standing

    _digest: str = PrivateAttr("")
    _source: str = PrivateAttr("job.toml")

    @property
    def digest(self) -> str:
        """SHA-256 of the file's text, so that a record can name the file it was made from."""
        return self._digest

    @property
    def source(self) -> str:
        """The file that the job was read from, for messages."""
        return self._source

    def read_from(self, text: str, *, source: str) -> Self:
        """Return the job, knowing the text and the file that it was read from."""
        self._digest = hashlib.sha256(text.encode("utf-8")).hexdigest()
        self._source = source
        return self
