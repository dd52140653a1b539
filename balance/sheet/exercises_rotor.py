"""Exercises on what turns: unbalance, speed, one plane, two planes."""

import math
from random import Random
from typing import Any

from balance.sheet.exercise_form import CRANK, Ask, Slip, added_up, pick, quantity
from balance.spin.planes import transfer
from balance.units import show
from balance.vectors import amount, degrees, fold, vector

__all__ = ["correction", "planes", "speed", "unbalance"]

_DEFINITION = "ISO 21940-2, amount of unbalance (mass times radius); from memory"
_VECTORS = "T. Bevan, The Theory of Machines, 3rd ed., ch. 14, balancing of rotating masses"


def unbalance(rng: Random, level: int) -> dict[str, Any]:
    """Return an exercise on mass times radius."""
    if level == 1:
        mass, across = f"{pick(rng, 4, 30, 0.5):g} g", f"{pick(rng, 120, 260, 2):g} mm"
    else:
        mass, across = f"{pick(rng, 0.1, 1.2, 0.05):g} oz", f"{pick(rng, 5, 11, 0.25):g} in"
    unit = "oz in" if level == 2 else "g mm"
    value = quantity(mass, "mass") * quantity(across, "length") / 2
    return {
        "question": f"A lump of {mass} sits on a circle of {across} diameter, otherwise the rotor "
        f"is in balance. How much unbalance is that, in {unit}?",
        "asks": (Ask("unbalance", unit, value, percent=2),),
        "slips": (Slip("radius for diameter", (2 * value,)),),
        "working": (
            "U = mass x radius, radius = diameter / 2",
            f"U = {mass} x {across} / 2 = "
            + ("" if level < 3 else f"{show(value, 'unbalance', 'oz in')}, at 720.08 g mm each ")
            + ("= " if level == 3 else "")
            + show(value, "unbalance", unit),
        ),
        "source": _DEFINITION,
    }


def speed(rng: Random, level: int) -> dict[str, Any]:
    """Return an exercise on force and speed."""
    if level == 3:
        return _speed_for_force(rng)
    times = rng.choice((4, 9) if level == 1 else (2, 3, 5))
    first = pick(rng, 600, 3000, 100)
    value = first * math.sqrt(times)
    return {
        "question": f"At {first:g} rpm an unbalance pulls with a certain force. At which speed "
        f"does it pull {times:g} times as hard?",
        "asks": (Ask("speed", "rpm", value, percent=2),),
        "slips": (Slip("in step with speed", (first * times,)),),
        "working": (
            "F = U w^2, where w = 2 pi n / 60: the force grows with the square of the speed n",
            f"n = {first:g} rpm x sqrt({times:g}) = {value:.0f} rpm",
        ),
        "source": "Newton; centripetal force of a mass on a circle",
    }


def _speed_for_force(rng: Random) -> dict[str, Any]:
    text, force = f"{pick(rng, 0.5, 4, 0.1):g} oz in", pick(rng, 100, 1500, 20)
    kg_m = quantity(text, "unbalance") / 1e6
    rad_s = math.sqrt(force / kg_m)
    value = rad_s * 30 / math.pi
    return {
        "question": f"An unbalance of {text} is left on a crank. At which speed does it pull with "
        f"{force:g} N?",
        "asks": (Ask("speed", "rpm", value, percent=2),),
        "slips": (Slip("rad/s for rpm", (rad_s,)),),
        "working": (
            "F = U w^2, so w = sqrt(F / U), and n = w x 60 / (2 pi)",
            f"U = {text} = {kg_m:.4g} kg m",
            f"w = sqrt({force:g} / {kg_m:.4g}) = {rad_s:.1f} rad/s; n = {value:.0f} rpm",
        ),
        "source": "Newton; centripetal force of a mass on a circle",
    }


def correction(rng: Random, level: int) -> dict[str, Any]:
    """Return an exercise on the weight that balances one plane."""
    lumps, at, unit = (_one_spot if level < 3 else _two_lumps)(rng, level)
    total = sum(vector(gmm, angle) for _, gmm, angle in lumps)
    if level == 1:
        radius = f"{pick(rng, 60, 120, 1):g} mm"
        place, radius_mm = f"at a radius of {radius}", quantity(radius, "length")
    else:
        across = f"{pick(rng, 6, 10, 0.25):g} in" if unit == "oz" else f"{2 * at:g} mm"
        place, radius_mm = f"on a circle of {across} diameter", quantity(across, "length") / 2
    size, light = float(amount(total)), float(fold(degrees(total) + 180))
    mass = size / radius_mm
    return {
        "question": f"{'; '.join(text for text, _, _ in lumps)}. Which weight, in {unit}, "
        f"{place} balances it, and at which angle?",
        "asks": (
            Ask("mass", unit, mass, percent=2),
            Ask("angle", "deg", light, within=2, frame=CRANK),
        ),
        "slips": (
            Slip("180 degrees off", (mass, float(fold(light + 180)))),
            Slip("counted against", (mass, float(fold(-light)))),
            Slip("oz for oz-in", (_bare(size, unit), light)),
            *([] if level == 1 else [Slip("radius for diameter", (mass / 2, light))]),
        ),
        "working": (
            "The weight goes across from the heavy spot: angle + 180, mass = U / radius",
            *_arrows_added(lumps),
            f"U = {show(size, 'unbalance', unit + (' mm' if unit == 'g' else ' in'))} at "
            f"{float(degrees(total)):.1f} deg",
            f"mass = U / {show(radius_mm, 'length', 'mm' if unit == 'g' else 'in')} = "
            f"{show(mass, 'mass', unit)} at {light:.1f} deg",
        ),
        "source": _VECTORS,
    }


def _arrows_added(lumps: list[tuple[str, float, float]]) -> tuple[str, ...]:
    """Return how the arrows of two lumps add up; nothing where there is only one."""
    if len(lumps) == 1:
        return ()
    (_, a, at), (_, b, bt) = lumps
    return (
        f"each lump is an arrow, mass x radius: {a:g} g mm at {at:g} deg, {b:g} g mm at {bt:g} deg",
        *added_up((a, at), (b, bt), unit="g mm"),
    )


def _bare(gmm: float, unit: str) -> float:
    """Return the mass whose number is that of the unbalance: the radius was forgotten."""
    return gmm if unit == "g" else gmm / 25.4


def _one_spot(rng: Random, level: int) -> tuple[list[tuple[str, float, float]], float, str]:
    unit = "g" if level == 1 else "oz"
    text = f"{pick(rng, 200, 1500, 20):g} g mm" if level == 1 else f"{pick(rng, 1, 5, 0.1):g} oz in"
    angle = pick(rng, 15, 345, 5)
    spot = f"The heavy spot is {text} at {angle:g} deg"
    return [(spot, quantity(text, "unbalance"), angle)], 0.0, unit


def _two_lumps(rng: Random, _: int) -> tuple[list[tuple[str, float, float]], float, str]:
    lumps = []
    for name in ("One lump", "another"):
        mass, radius, angle = pick(rng, 5, 25, 1), pick(rng, 60, 110, 5), pick(rng, 10, 350, 10)
        text = f"{name} of {mass:g} g sits at a radius of {radius:g} mm at {angle:g} deg"
        lumps.append((text, mass * radius, angle))
    return lumps, pick(rng, 80, 120, 5), "g"


def planes(rng: Random, level: int) -> dict[str, Any]:
    """Return an exercise on sharing an unbalance between two planes."""
    near, far, unit, length, z = _places(rng, level)
    text = (
        f"{pick(rng, 200, 900, 10):g} g mm" if unit == "g mm" else f"{pick(rng, 1, 6, 0.1):g} oz in"
    )
    angle = pick(rng, 10, 350, 5)
    whole = vector(quantity(text, "unbalance"), angle)
    a, b = (complex(v) for v in transfer([whole], [z], (near, far)))
    turned = float(degrees(a))
    return {
        "question": f"Plane A is at {near:g} {length}, plane B at {far:g} {length} along the "
        f"crank. An unbalance of {text} at {angle:g} deg sits at {z:g} {length}. What of it, in "
        f"{unit} and at which angle, belongs to plane A?",
        "asks": (
            Ask("unbalance", unit, abs(a), percent=2),
            Ask("angle", "deg", turned, within=2, frame=CRANK),
        ),
        "slips": (
            Slip("static only", (float(amount(whole)), angle)),
            Slip("end weights swapped", (abs(b), float(degrees(b)))),
            Slip("180 degrees off", (abs(a), float(fold(turned + 180)))),
            Slip("counted against", (abs(a), float(fold(-turned)))),
        ),
        "working": (
            "Force and moment are kept: U_A = U (z_B - z) / (z_B - z_A)",
            f"U_A = {text} x ({far:g} - {z:g}) / ({far:g} - {near:g}) = "
            f"{show(abs(a), 'unbalance', unit)} at {turned:g} deg"
            + (" (less than nothing: turned round by 180 deg)" if z > far else ""),
            f"The rest, {show(abs(b), 'unbalance', unit)} at {float(degrees(b)):g} deg, is plane "
            "B's; the two add up to the whole.",
        ),
        "source": _VECTORS,
    }


def _places(rng: Random, level: int) -> tuple[float, float, str, str, float]:
    if level == 2:
        near, far = pick(rng, 0.5, 2, 0.25), pick(rng, 10, 16, 0.5)
        return near, far, "oz in", "in", pick(rng, near + 1, far - 1, 0.25)
    near, far = pick(rng, 0, 50, 5), pick(rng, 220, 400, 10)
    if level == 1:
        return near, far, "g mm", "mm", pick(rng, near + 30, far - 30, 5)
    return near, far, "g mm", "mm", pick(rng, far + 30, far + 120, 5)
