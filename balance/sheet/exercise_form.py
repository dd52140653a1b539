"""What an exercise is: its question, what is asked, the usual slips, and its working."""

import math
from dataclasses import dataclass
from random import Random

from balance.units import read, show
from balance.vectors import degrees, vector

__all__ = [
    "ADVICE",
    "CRANK",
    "Ask",
    "Exercise",
    "Slip",
    "added_up",
    "drill_text",
    "pick",
    "quantity",
]

CRANK = "0 is crankpin 1, counter-clockwise seen from the flywheel"
"""Where angles of the crank count from, and which way."""

ADVICE = {
    "180 degrees off": (
        "Your angle is on the opposite side. Heavy and light spot lie across from each other: "
        "metal comes off on the heavy side, weight goes on across from it."
    ),
    "all to the lightest": (
        "You cut every part down to the lightest. Only what is heavier than the lightest plus the "
        "tolerance must lose metal."
    ),
    "along for across": "That is what shakes in the other direction: along and across are swapped.",
    "counted against": "You counted the angle the other way round.",
    "end weights swapped": "You took the other end for the one that was asked.",
    "ends taken as read": (
        "You left the difference in one weighing. Both ends and the total can all be a little off: "
        "a third of what does not close belongs to each."
    ),
    "forgot the angle": (
        "You left out what the doubt of the angle does: an angle that is d off leaves "
        "2 sin(d / 2) of the amount."
    ),
    "forgot the factor": "You counted the whole reciprocating mass, not its share (the factor).",
    "forgot the guard": "You took the limit itself: a reading has a doubt, so stay 1.65 u inside.",
    "forgot the point": "You forgot the drill's point: the cone beyond the full diameter.",
    "guard outside the limit": (
        "You put the guard outside the limit. Who must prove that it is good stays inside it."
    ),
    "in step with speed": (
        "You let the force grow in step with the speed. It grows with the square of the speed."
    ),
    "measured at the rim": (
        "You put the metal at the rim. Its middle lies deeper in the hole, at a smaller radius."
    ),
    "oil once a rod": "You counted the oil once a rod. It is an allowance for the pin: once.",
    "one rod for two": "You counted one rod. This pin carries two.",
    "oz for oz-in": (
        "Ounces or grams alone are a mass. An unbalance is mass times radius (oz in, g mm); a "
        "weight is an unbalance divided by its radius."
    ),
    "rad/s for rpm": (
        "You took rpm for radians per second, or the other way: 1 rad/s is 60 / (2 pi) = 9.549 rpm."
    ),
    "oz-in for oz": (
        "oz in and g mm are an unbalance: mass times radius. A mass was asked, in oz or g: divide "
        "the unbalance by the radius."
    ),
    "other way round": (
        "You took the difference the other way round: it is the zero less the reading here, not "
        "the reading less the zero."
    ),
    "not turned back": (
        "That is the angle on the crank. The machine was asked: turn it back into its own numbers."
    ),
    "putty alone": "That is the putty alone. What is on the crank already shows with it: add both.",
    "putty taken off": (
        "You took the putty's arrow off. Putty is weight put on: its arrow points to where it "
        "sticks, and is added."
    ),
    "radius for diameter": (
        "A radius was taken for a diameter, or a diameter for a radius: mind the half."
    ),
    "right number, wrong unit": "Your number is right, your unit is not.",
    "shared evenly": (
        "You gave both ends the same share. The end nearer the centre of mass gets more."
    ),
    "static only": (
        "You looked at the force alone. In two planes the moment must be right too: each plane "
        "gets its share by the distance from the other one."
    ),
    "sum for root of squares": (
        "You added the doubts one to one. Doubts that know nothing of each other add as squares."
    ),
    "the whole for the half": (
        "A reciprocating mass is two turning halves: one with the crank, one against it."
    ),
    "trial left on": "You reckoned as if the trial weight stayed on. It comes off first.",
    "trial taken off": "You reckoned as if the trial weight came off. It stays on.",
    "whole for one plane": "That is the limit of the whole rotor. One plane gets its share.",
    "zero the wrong way": "You took the zero of the dial the wrong way: added for taken off.",
}
"""What to tell somebody who made a usual slip, by the name of the slip."""


@dataclass(frozen=True)
class Ask:
    """One quantity that is asked: its true value (inside unit) and how near is near enough.

    ``frame`` says of an angle from which zero and in which sense it counts.
    """

    kind: str
    unit: str
    value: float
    percent: float = 0.0
    within: float = 0.0
    frame: str = ""

    @property
    def tolerance(self) -> float:
        """How far off an answer may be, in the inside unit."""
        return self.within or abs(self.value) * self.percent / 100

    @property
    def said(self) -> str:
        """The tolerance in words; it does not give the answer away."""
        if self.kind == "angle":
            return f"angle within {self.within:g} deg" + f" ({self.frame})" * bool(self.frame)
        within = f"{self.percent:g} %" if self.percent else show(self.within, self.kind, self.unit)
        units = "rpm, Hz or rad/s" if self.kind == "speed" else "any unit"
        return f"{self.kind} in {units}, within {within}"

    @property
    def text(self) -> str:
        """The true value as it would be written, finer than the tolerance asks for."""
        step = self.tolerance / read(f"1 {self.unit}", self.kind)
        digits = max(0, math.ceil(math.log10(2 / step)))
        return show(self.value, self.kind, self.unit, decimals=digits)


@dataclass(frozen=True)
class Slip:
    """A usual mistake, and the answer it leads to (inside units, one for each quantity asked)."""

    name: str
    values: tuple[float, ...]


@dataclass(frozen=True)
class Exercise:
    """An exercise, the same for the same topic, difficulty and seed. Its numbers are invented."""

    topic: str
    difficulty: int
    seed: int
    question: str
    asks: tuple[Ask, ...]
    slips: tuple[Slip, ...]
    working: tuple[str, ...]
    source: str

    @property
    def answer(self) -> str:
        """The right answer in the units of the shop."""
        return " at ".join(ask.text for ask in self.asks)

    @property
    def asked(self) -> str:
        """What is asked, how near is near enough, and from where angles count."""
        return " and ".join(ask.said for ask in self.asks)


def pick(rng: Random, low: float, high: float, step: float) -> float:
    """Return one of low, low + step, ... high.

    Examples
    --------
    >>> pick(Random(1), 2.0, 2.5, 0.5) in (2.0, 2.5)
    True
    """
    return round(low + step * rng.randint(0, round((high - low) / step)), 6)


def drill_text(diameter_mm: float) -> str:
    """Return a drill with its article.

    Examples
    --------
    >>> drill_text(8), drill_text(11), drill_text(9)
    ('An 8 mm drill', 'An 11 mm drill', 'A 9 mm drill')
    """
    return f"A{'n' * (diameter_mm in (8, 11))} {diameter_mm:g} mm drill"


def added_up(
    first: tuple[float, float], second: tuple[float, float], *, unit: str, digits: int = 0
) -> tuple[str, str]:
    """Return in two lines how two arrows, each its length and its angle, are added by hand.

    Examples
    --------
    >>> for line in added_up((300, 90), (-400, 0), unit="g mm"):
    ...     print(line)
    along 0: 300 x cos(90) - 400 x cos(0) = -400; along 90: 300 x sin(90) - 400 x sin(0) = 300
    length sqrt((-400)^2 + (300)^2) = 500 g mm; angle 143.1 deg (tan = 300 / -400, mind both signs)

    Source: plane trigonometry.
    """
    (a, at), (b, bt) = first, second
    total = vector(a, at) + vector(abs(b), bt) * math.copysign(1, b)
    x, y = complex(total).real, complex(total).imag
    ways = (
        f"along {along}: {a:g} x {name}({at:g}) {'-' if b < 0 else '+'} {abs(b):g} x "
        f"{name}({bt:g}) = {reach:.{digits}f}"
        for along, name, reach in ((0, "cos", x), (90, "sin", y))
    )
    return (
        "; ".join(ways),
        f"length sqrt(({x:.{digits}f})^2 + ({y:.{digits}f})^2) = {abs(total):.{digits}f} {unit}; "
        f"angle {float(degrees(total)):.1f} deg (tan = {y:.{digits}f} / {x:.{digits}f}, "
        "mind both signs)",
    )


def quantity(text: str, kind: str) -> float:
    """Return the inside value of a quantity that the question shows: one text, one value.

    Examples
    --------
    >>> quantity("2 in", "length")
    50.8
    """
    return read(text, kind)
