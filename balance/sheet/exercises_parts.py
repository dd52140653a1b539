"""Exercises on what is weighed: rod ends, matching, bobweights, the shake that stays."""

import math
from random import Random
from typing import Any

from balance.engine.factors import shake_ellipse
from balance.engine.layouts import layout
from balance.parts.matching import match_each
from balance.parts.rods import rod_ends, rod_from_centre
from balance.sheet.exercise_form import Ask, Slip, pick, quantity
from balance.units import show

__all__ = ["bobweight", "match", "rod", "shake"]


def rod(rng: Random, level: int) -> dict[str, Any]:
    """Return an exercise on the weights of a rod's two ends."""
    if level == 3:
        return _rod_that_does_not_close(rng)
    if level == 1:
        mass, long = f"{pick(rng, 520, 680, 2):g} g", f"{pick(rng, 130, 165, 1):g} mm"
        share, unit = f"{pick(rng, 36, 48, 0.5):g} mm", "g"
    else:
        mass, long = f"{pick(rng, 18, 25, 0.1):g} oz", f"{pick(rng, 5.4, 6.7, 0.05):g} in"
        share, unit = f"{pick(rng, 1.4, 2, 0.02):g} in", "oz"
    ends = rod_from_centre(
        quantity(mass, "mass"),
        length_mm=quantity(long, "length"),
        centre_of_mass_from_big_end_mm=quantity(share, "length"),
    )
    return {
        "question": f"A rod of {mass} is {long} long from bore to bore. It balances on an edge "
        f"{share} from the middle of the big end. What does the small end weigh, in {unit}?",
        "asks": (Ask("mass", unit, ends.small_end_g, percent=1),),
        "slips": (Slip("end weights swapped", (ends.big_end_g,)),),
        "working": (
            "Moments about the big end: small end = mass x distance / length",
            f"small end = {mass} x {share} / {long} = {show(ends.small_end_g, 'mass', unit)}",
            f"big end = the rest = {show(ends.big_end_g, 'mass', unit)}",
        ),
        "source": "statics; T. Bevan, The Theory of Machines, 3rd ed., dynamically equal masses",
    }


def _rod_that_does_not_close(rng: Random) -> dict[str, Any]:
    small, big = pick(rng, 150, 190, 0.1), pick(rng, 390, 470, 0.1)
    gap = rng.choice((-1, 1)) * pick(rng, 0.3, 0.9, 0.3)
    total = round(small + big + gap, 1)
    ends = rod_ends(total_g=total, big_end_g=big, small_end_g=small, u_g=0.1)
    return {
        "question": f"A rod was weighed three times, each as well as the other: whole {total:.1f} "
        f"g, big end {big:.1f} g, small end {small:.1f} g. They do not close. What is the best "
        "value for the small end, in g?",
        "asks": (Ask("mass", "g", ends.small_end_g, within=0.04),),
        "slips": (
            Slip("ends taken as read", (small,)),
            Slip("ends taken as read", (total - big,)),
            Slip("end weights swapped", (ends.big_end_g,)),
        ),
        "working": (
            "gap = whole - big end - small end; each of the three weighings bears a third of it",
            f"gap = {total:.1f} - {big:.1f} - {small:.1f} = {gap:+.1f} g",
            f"small end = {small:.1f} {'-' if gap < 0 else '+'} {abs(gap) / 3:.2f} = "
            f"{ends.small_end_g:.2f} g",
        ),
        "source": "least squares of three equally good weighings with one condition",
    }


def match(rng: Random, level: int) -> dict[str, Any]:
    """Return an exercise on the metal that matching costs."""
    count, tolerance = (4, 6, 8)[level - 1], pick(rng, 0.5, 1, 0.5)
    middle = pick(rng, 380, 620, 5)
    tops = [round(middle + pick(rng, -3, 3, 0.1), 1) for _ in range(count)]
    pins = [round(110 + pick(rng, -1, 1, 0.1), 1) for _ in range(count)]
    sums = [round(top + pin, 1) for top, pin in zip(tops, pins, strict=True)]
    weights = tops if level < 3 else sums
    trim = match_each(weights, tolerance_g=tolerance)
    listed = (
        ", ".join(f"{w:.1f}" for w in tops)
        if level < 3
        else ", ".join(f"{t:.1f} + {p:.1f}" for t, p in zip(tops, pins, strict=True))
    )
    what = "pistons" if level < 3 else "pistons, each with its pin,"
    low = min(weights)
    cuts = [max(0.0, w - low - tolerance) for w in weights]
    return {
        "question": f"{count} {what} weigh {listed} g. The heaviest may be {tolerance:g} g above "
        "the lightest. How much metal must come off in all, in g, at the least?",
        "asks": (Ask("mass", "g", trim.removed_g, within=0.05),),
        "slips": (Slip("all to the lightest", (sum(w - low for w in weights),)),),
        "working": (
            "Cut only what is above lightest + tolerance, down to that line",
            f"line = {low:.1f} + {tolerance:g} = {low + tolerance:.1f} g",
            f"{' + '.join(f'{cut:.1f}' for cut in cuts if cut > 0.04)} = {trim.removed_g:.1f} g",
        ),
        "source": "own reasoning: the lightest part cannot gain, so it sets the line",
    }


def bobweight(rng: Random, level: int) -> dict[str, Any]:
    """Return an exercise on the bobweight of one crankpin."""
    rods = 1 if level == 1 else 2
    factor = 0.5 if level < 3 else pick(rng, 0.54, 0.66, 0.02)
    oil = 0 if level == 1 else pick(rng, 2, 6, 1)
    big, small = pick(rng, 380, 520, 1), pick(rng, 150, 190, 1)
    shells, piston, pin = pick(rng, 36, 50, 1), pick(rng, 380, 600, 1), pick(rng, 95, 150, 1)
    rings = pick(rng, 28, 60, 1)
    back = small + piston + pin + rings
    value = rods * (big + shells) + factor * rods * back + oil
    swapped = rods * (small + shells) + factor * rods * (back - small + big) + oil
    slips = [
        Slip("forgot the factor", (rods * (big + shells + back) + oil,)),
        Slip("end weights swapped", (swapped,)),
    ]
    if rods == 2:
        slips.append(Slip("one rod for two", (big + shells + factor * back + oil,)))
        slips.append(Slip("oil once a rod", (value + oil,)))
    oiled = f", and {oil:g} g of oil allowance" if oil else ""
    return {
        "question": f"A crankpin carries {'one rod' if rods == 1 else 'two rods'}. Each rod: big "
        f"end {big:g} g, small end {small:g} g, both bearing shells {shells:g} g; each piston "
        f"{piston:g} g, pin {pin:g} g, rings {rings:g} g{oiled}. Factor {factor:g}. What does the "
        "bobweight weigh, in g?",
        "asks": (Ask("mass", "g", value, within=0.6),),
        "slips": tuple(slips),
        "working": (
            "bobweight = rods x (big end + shells) + factor x rods x (small end + piston + pin "
            "+ rings) + oil",
            f"rotating: {rods} x ({big:g} + {shells:g}) = {rods * (big + shells):g} g",
            f"reciprocating: {factor:g} x {rods} x ({small:g} + {piston:g} + {pin:g} + {rings:g}) "
            f"= {factor * rods * back:.1f} g",
            f"with {oil:g} g of oil: {value:.1f} g",
        ),
        "source": "common practice, no source (100 % rotating, a share of the reciprocating mass)",
    }


def shake(rng: Random, level: int) -> dict[str, Any]:
    """Return an exercise on the first-order shake of a reciprocating mass, as an unbalance."""
    mass, stroke = pick(rng, 300, 900, 10), pick(rng, 60, 110, 1)
    given = f"reciprocating mass {mass:g} g a cylinder, stroke {stroke:g} mm"
    throw = stroke / 2
    if level == 1:
        value, whole = mass * throw / 2, mass * throw
        return _shaken(
            f"A single: {given}. Its first-order shake is two turning vectors of one length. How "
            "large is the one that turns with the crank, as an unbalance in g mm?",
            value,
            (Slip("the whole for the half", (whole,)),),
            (
                "throw = stroke / 2; each of the two vectors is half of mass x throw",
                f"{mass:g} g x {throw:g} mm / 2 = {value:.0f} g mm",
            ),
        )
    factor = pick(rng, 0.3, 0.8, 0.05)
    if level == 2:
        along, across = mass * throw * (1 - factor), mass * throw * factor
        return _shaken(
            f"A single: {given}; its counterweight carries {factor:g} of the reciprocating mass. "
            "Which first-order shake is left along the bore, as an unbalance in g mm?",
            along,
            (
                Slip("along for across", (across,)),
                Slip("radius for diameter", (2 * along,)),
            ),
            (
                "along the bore: (1 - factor) x mass x throw; across it: factor x mass x throw",
                f"(1 - {factor:g}) x {mass:g} g x {throw:g} mm = {along:.0f} g mm",
            ),
        )
    return _v_twin(rng, f"{given}; the counterweights carry {factor:g} of it", mass, stroke, factor)


def _v_twin(rng: Random, given: str, mass: float, stroke: float, factor: float) -> dict[str, Any]:
    bank = pick(rng, 42, 80, 2)
    twin = layout(
        "V-2", bank_degrees=bank, stroke_mm=stroke, rod_length_mm=2 * stroke, bore_spacing_mm=100
    )
    left = shake_ellipse(twin, factor).force
    throw = stroke / 2
    value, across = float(left.major) * mass * throw, float(left.minor) * mass * throw
    forward, backward = abs(1 - 2 * factor), math.cos(math.radians(bank))
    return _shaken(
        f"A V-twin of {bank:g} deg on one pin: {given}. How large is its first-order shake in "
        "the worst direction, as an unbalance in g mm?",
        value,
        (Slip("along for across", (across,)), Slip("radius for diameter", (2 * value,))),
        (
            "in units of mass x throw: with the crank |1 - 2 factor|, against it cos(bank)",
            f"worst = |1 - 2 x {factor:g}| + cos({bank:g} deg) = {forward:.3f} + {backward:.3f}",
            f"x {mass:g} g x {throw:g} mm = {value:.0f} g mm",
        ),
    )


def _shaken(
    question: str, value: float, slips: tuple[Slip, ...], working: tuple[str, ...]
) -> dict[str, Any]:
    return {
        "question": question,
        "asks": (Ask("unbalance", "g mm", value, percent=2),),
        "slips": slips,
        "working": working,
        "source": "J. P. Den Hartog, Mechanical Vibrations, reciprocating engines; from memory",
    }
