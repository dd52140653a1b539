"""Exercises on what a machine shows: the frame of its numbers, and the trial weight."""

from random import Random
from typing import Any, Literal

from balance.sheet.exercise_form import CRANK, Ask, Slip, added_up, pick
from balance.spin.influence import coefficients
from balance.spin.influence import correction as to_add
from balance.spin.machine import crank_degrees
from balance.vectors import amount, degrees, fold, vector

__all__ = ["putty", "reading", "trial"]

Counts = Literal["counter-clockwise", "clockwise"]
View = Literal["nose", "flywheel"]
_AS_SHOWN = "0 and sense as the machine shows them, the same for readings and weights"


def reading(rng: Random, level: int) -> dict[str, Any]:
    """Return an exercise on the angle of a machine in the crank's frame."""
    shown, zero = pick(rng, 10, 350, 5), pick(rng, 15, 165, 5)
    counts: Counts = "counter-clockwise" if level == 1 else "clockwise"
    view: View = "nose" if level == 3 else "flywheel"
    light = level == 3
    where = crank_degrees(shown, counts=counts, seen_from=view, zero_degrees=zero)
    sense = 1 if (counts == "counter-clockwise") == (view == "flywheel") else -1
    heavy = float(fold(where + 180 * light))
    turned = "; it is turned round because the machine points to the light spot" if light else ""
    return {
        "question": f"A machine shows {shown:g} deg. It points to the "
        f"{'light' if light else 'heavy'} spot and its numbers grow {counts} seen from the {view}. "
        f"Its zero stands {zero:g} deg after crankpin 1. Where is the heavy spot in the crank's "
        "frame (0 at crankpin 1, counter-clockwise seen from the flywheel)?",
        "asks": (Ask("angle", "deg", heavy, within=2, frame=CRANK),),
        "slips": (
            Slip("180 degrees off", (float(fold(heavy + 180)),)),
            Slip("counted against", (float(fold(zero - sense * shown + 180 * light)),)),
            Slip("zero the wrong way", (float(fold(sense * shown - zero + 180 * light)),)),
            *(
                []
                if sense > 0
                else [Slip("other way round", (float(fold(shown - zero + 180 * light)),))]
            ),
        ),
        "working": (
            "crank angle = zero + reading where it counts counter-clockwise seen from the "
            "flywheel, zero - reading where it counts the other way",
            f"{counts} seen from the {view} is "
            f"{'with' if sense > 0 else 'against'} that count: {zero:g} "
            f"{'+' if sense > 0 else '-'} {shown:g} = {_once_round(zero + sense * shown)}{turned}",
            f"heavy spot: {heavy:g} deg",
        ),
        "source": "view and sense of SAE J824 and ISO 1204; from memory",
    }


def putty(rng: Random, level: int) -> dict[str, Any]:
    """Return an exercise on a check spin: what must show with putty on the crank."""
    size, shown = pick(rng, 300, 900, 20), pick(rng, 10, 350, 5)
    mass, radius = pick(rng, 5, 20, 5), pick(rng, 60, 90, 2)
    against = level == 3  # the machine counts the other way, from another zero
    zero = pick(rng, 15, 165, 5) if against else 0.0
    heavy = float(fold(zero - shown)) if against else shown
    turned = rng.choice((-90, 90)) if level == 1 else rng.choice((-1, 1)) * pick(rng, 40, 140, 10)
    place = float(fold(heavy + turned))
    own, lump = vector(size, heavy), vector(mass * radius, place)

    def as_shown(u: complex) -> tuple[float, float]:
        return float(amount(u)), float(fold(zero - degrees(u) if against else degrees(u)))

    must, angle = as_shown(own + lump)
    on_crank = float(degrees(own + lump))
    return {
        "question": f"One plane. The machine points to the heavy spot and {_counts(zero)}. "
        f"It shows {size:g} g mm at {shown:g} deg. Before the first hole {mass:g} g of putty is "
        f"stuck on a counterweight, at a radius of {radius:g} mm, at {place:g} deg of the crank. "
        "What must it show now, in g mm and at which angle?",
        "asks": (
            Ask("unbalance", "g mm", must, percent=2),
            Ask("angle", "deg", angle, within=2, frame="as the machine counts"),
        ),
        "slips": (
            Slip("putty taken off", as_shown(own - lump)),
            Slip("putty alone", as_shown(lump)),
            Slip("180 degrees off", (must, float(fold(angle + 180)))),
            *([Slip("not turned back", (must, on_crank))] if against else []),
        ),
        "working": (
            f"putty is weight put on, so its arrow is added: {mass:g} x {radius:g} = "
            f"{mass * radius:g} g mm at {place:g} deg",
            *(
                [f"heavy spot on the crank: {zero:g} - {shown:g} = {_once_round(zero - shown)}"]
                * against
            ),
            *added_up((size, heavy), (mass * radius, place), unit="g mm"),
            *([f"the machine shows {zero:g} - {on_crank:.1f}, so {angle:.1f} deg"] * against),
            "if it shows something else, drill nothing: the job is wrong about the machine",
        ),
        "source": "mechanics: amount of unbalance is mass times radius, ISO 21940-2; from memory",
    }


def _counts(zero: float) -> str:
    """Return how the machine of the putty counts: as the crank does, or the other way."""
    if not zero:
        return "counts as the crank does"
    return f"counts clockwise seen from the flywheel, from a zero {zero:g} deg after crankpin 1"


def trial(rng: Random, level: int) -> dict[str, Any]:
    """Return an exercise on balancing one plane with a trial weight."""
    first = (pick(rng, 3, 9, 0.1), pick(rng, 10, 350, 5))
    weight, at = pick(rng, 5, 20, 1), 0.0 if level == 1 else pick(rng, 10, 350, 10)
    seen = vector(*first) * (1 + vector(pick(rng, 0.4, 1.2, 0.1), pick(rng, 0, 350, 10)))
    second = (round(float(amount(seen)), 1), round(float(degrees(seen))))
    v0, v1, w = vector(*first), vector(*second), vector(weight, at)
    effect = coefficients([v0], [[v1]], [w])
    off, on = (complex(to_add(effect, [v])[0]) for v in (v0, v1))
    value, other = (on, off) if level == 3 else (off, on)
    name = "trial taken off" if level == 3 else "trial left on"
    size, angle = float(amount(value)), float(degrees(value))
    stays = "stays on" if level == 3 else "is taken off again"
    now = "V1" if level == 3 else "V0"
    left = second if level == 3 else first
    change = v1 - v0
    return {
        "question": f"One plane. As found, V0: {first[0]:g} mm/s at {first[1]:g} deg. With a trial "
        f"weight of {weight:g} g at {at:g} deg, V1: {second[0]:g} mm/s at {second[1]:g} deg. The "
        f"trial weight {stays}. Which weight at the same radius, in g, and at which angle, "
        "balances it?",
        "asks": (
            Ask("mass", "g", size, percent=2),
            Ask("angle", "deg", angle, within=2, frame=_AS_SHOWN),
        ),
        "slips": (
            Slip("180 degrees off", (size, float(fold(angle + 180)))),
            Slip("counted against", (size, float(fold(2 * at - angle)))),
            Slip(name, (float(amount(other)), float(degrees(other)))),
        ),
        "working": (
            "what the trial weight did is the change V1 - V0, taken as arrows",
            *added_up(second, (-first[0], first[1]), unit="mm/s", digits=2),
            f"so {weight:g} g at {at:g} deg do {_polar(change)}; wanted is the arrow against "
            f"{now}: {left[0]:g} mm/s at {left[1]:g} + 180 deg",
            f"mass = {weight:g} g x {left[0]:g} / {abs(change):.2f} = {size:.2f} g",
            f"angle = {at:g} + {left[1]:g} + 180 - {float(degrees(change)):.1f} = {angle:.1f} deg, "
            "once round taken off or put on: turned on by as much as the arrow must turn",
        ),
        "source": "S. S. Rao, Mechanical Vibrations, ch. 9, single-plane balancing; from memory",
    }


def _once_round(angle: float) -> str:
    """Return an angle, and where it lies outside one turn, what it is inside.

    Examples
    --------
    >>> _once_round(-140), _once_round(125)
    ('-140, which is 220 deg', '125 deg')
    """
    inside = float(fold(angle))
    return f"{inside:g} deg" if inside == angle else f"{angle:g}, which is {inside:g} deg"


def _polar(v: complex) -> str:
    return f"{float(amount(v)):.2f} mm/s at {float(degrees(v)):.1f} deg"
