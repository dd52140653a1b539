"""Exercises on what a machine shows: the frame of its numbers, and the trial weight."""

from random import Random
from typing import Any, Literal

from balance.sheet.exercise_form import CRANK, Ask, Slip, pick
from balance.spin.influence import coefficients
from balance.spin.influence import correction as to_add
from balance.spin.machine import crank_degrees
from balance.vectors import amount, degrees, fold, vector

__all__ = ["reading", "trial"]

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
            f"{'+' if sense > 0 else '-'} {shown:g} = {float(fold(where)):g} deg{turned}",
            f"heavy spot: {heavy:g} deg",
        ),
        "source": "view and sense of SAE J824 and ISO 1204; from memory",
    }


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
            f"effect of the trial weight: "
            f"V1 - V0 = {_polar(v1 - v0)} for {weight:g} g at {at:g} deg",
            f"what cancels {now}: -{now} / (V1 - V0) x trial weight",
            f"that is {float(amount(-(v1 if level == 3 else v0) / (v1 - v0))):.3f} x {weight:g} g, "
            f"turned: {size:.2f} g at {angle:.1f} deg",
        ),
        "source": "S. S. Rao, Mechanical Vibrations, ch. 9, single-plane balancing; from memory",
    }


def _polar(v: complex) -> str:
    return f"{float(amount(v)):.2f} mm/s at {float(degrees(v)):.1f} deg"
