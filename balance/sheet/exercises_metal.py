"""Exercises on holes, limits and doubt."""

import math
from random import Random
from typing import Any

from balance.metal.axial import axial_hole
from balance.metal.radial import depth_for, radial_hole
from balance.metal.shapes import point_mm
from balance.sheet.exercise_form import Ask, Slip, drill_text, pick, quantity
from balance.spin.tolerance import GUARD, allocate, permissible
from balance.units import show

__all__ = ["doubt", "hole", "tolerance"]

_STEEL = "steel of 7.85 g/cm3, drill point 118 deg"
_GRADE = "ISO 21940-11, balance quality grades; from memory"


def hole(rng: Random, level: int) -> dict[str, Any]:
    """Return an exercise on what a hole takes, or how deep it must be."""
    if level == 1:
        return _into_a_face(rng)
    if level == 2:
        return _into_a_rim(rng)
    return _deep_enough(rng)


def _into_a_face(rng: Random) -> dict[str, Any]:
    d, depth, radius = pick(rng, 8, 14, 1), pick(rng, 6, 14, 1), pick(rng, 80, 125, 5)
    made = axial_hole(d, depth, radius_mm=radius)
    flat = float(axial_hole(d, depth, radius_mm=radius, point_degrees=180).unbalance_gmm)
    wide = float(axial_hole(2 * d, depth, radius_mm=radius).unbalance_gmm)
    value, mass, cone = float(made.unbalance_gmm), float(made.mass_g), float(point_mm(d))
    return {
        "question": f"{drill_text(d)} goes into a flywheel's face, {depth:g} mm deep at full "
        f"diameter, its middle {radius:g} mm from the crank's axis ({_STEEL}). How much unbalance "
        "does the hole take, in g mm?",
        "asks": (Ask("unbalance", "g mm", value, percent=2),),
        "slips": (Slip("forgot the point", (flat,)), Slip("radius for diameter", (wide,))),
        "working": (
            "cone = d / 2 / tan(point / 2); mass = density x pi d^2 / 4 x (depth + cone / 3)",
            f"cone = {cone:.2f} mm; mass = 0.00785 x pi x {d:g}^2 / 4 x ({depth:g} + "
            f"{cone:.2f} / 3) = {mass:.2f} g",
            f"U = {mass:.2f} g x {radius:g} mm = {value:.0f} g mm",
        ),
        "source": "geometry of a cylinder and a cone",
    }


def _into_a_rim(rng: Random) -> dict[str, Any]:
    drill, rim = rng.choice(("1/2 in", "3/8 in", "5/8 in")), f"{pick(rng, 2.7, 3.4, 0.1):g} in"
    deep = f"{pick(rng, 0.4, 0.9, 0.05):g} in"
    d, depth, radius = (quantity(text, "length") for text in (drill, deep, rim))

    def taken(across: float, point: float = 118.0) -> float:
        made = radial_hole(across, depth, surface_radius_mm=radius, point_degrees=point)
        return float(made.unbalance_gmm)

    value, cone, area = taken(d), float(point_mm(d)), math.pi * d**2 / 4
    mass = float(radial_hole(d, depth, surface_radius_mm=radius).mass_g)
    return {
        "question": f"A {drill} drill goes into the rim of a counterweight of {rim} radius, {deep} "
        f"deep at full diameter ({_STEEL}). How much unbalance does the hole take, in g mm?",
        "asks": (Ask("unbalance", "g mm", value, percent=2),),
        "slips": (
            Slip("forgot the point", (taken(d, 180.0),)),
            Slip("radius for diameter", (taken(2 * d),)),
            Slip("measured at the rim", (mass * radius,)),
        ),
        "working": (
            "cone = d / 2 / tan(point / 2); A = pi d^2 / 4; the middle of the cylinder lies half "
            "its depth in, that of the cone a quarter of the cone beyond it",
            f"d = {d:g} mm, depth = {depth:g} mm, cone = {cone:.2f} mm, rim R = {radius:g} mm, "
            f"A = {area:.1f} mm2",
            "U = density x A x (depth x (R - depth / 2) + cone / 3 x (R - depth - cone / 4))",
            f"U = 0.00785 x {area:.1f} x ({depth:g} x {radius - depth / 2:.2f} + {cone / 3:.3f} x "
            f"{radius - depth - cone / 4:.2f}) = {value + _curve(d):.0f} g mm",
            f"less the rim's curve, density x pi d^4 / 128 = {_curve(d):.1f}: {value:.0f} g mm",
        ),
        "source": "geometry of a drilled rim, held against exact solids cut by computer",
    }


def _deep_enough(rng: Random) -> dict[str, Any]:
    d, radius, want = pick(rng, 9, 14, 1), pick(rng, 68, 90, 2), pick(rng, 5, 9, 0.25) * 100

    def depth(across: float, point: float = 118.0) -> float:
        made = depth_for(want, diameter_mm=across, surface_radius_mm=radius, point_degrees=point)
        return float(made)

    value, cone, area = depth(d), float(point_mm(d)), math.pi * d**2 / 4
    return {
        "question": f"{drill_text(d)} shall take {want:g} g mm from the rim of a counterweight of "
        f"{radius:g} mm radius ({_STEEL}). How deep must it go at full diameter, in mm?",
        "asks": (Ask("length", "mm", value, within=0.25),),
        "slips": (
            Slip("forgot the point", (depth(d, 180.0),)),
            Slip(
                "measured at the rim", (want / radius / (0.00785 * math.pi * d**2 / 4) - cone / 3,)
            ),
        ),
        "working": (
            "want = density x A x (depth x (R - depth / 2) + cone / 3 x (R - depth - cone / 4)), "
            "solved for the depth: try one, and go deeper or shallower",
            f"cone = {cone:.2f} mm, A = {area:.1f} mm2, R = {radius:g} mm",
            f"depth {value:.2f} mm: 0.00785 x {area:.1f} x ({value:.2f} x {radius - value / 2:.2f} "
            f"+ {cone / 3:.3f} x {radius - value - cone / 4:.2f}) = {want + _curve(d):.0f}, less "
            f"the rim's curve {_curve(d):.1f} = {want:g} g mm",
            f"the tip goes to {value + cone:.1f} mm",
        ),
        "source": "geometry of a drilled rim, held against exact solids cut by computer",
    }


def _curve(diameter_mm: float) -> float:
    """Return the unbalance that a hole misses because the rim is curved [g mm]."""
    return 0.00785 * math.pi * diameter_mm**4 / 128


def tolerance(rng: Random, level: int) -> dict[str, Any]:
    """Return an exercise on the permissible residual unbalance."""
    grade, n = rng.choice((2.5, 6.3, 16.0)), pick(rng, 5000, 9000, 500)
    if level == 2:
        text, unit = f"{pick(rng, 30, 80, 1):g} lb", "oz in"
    else:
        text, unit = f"{pick(rng, 10, 35, 0.5):g} kg", "g mm"
    mass = quantity(text, "mass") / 1000
    total = float(permissible(rotor_mass_kg=mass, speed_rpm=n, grade=grade))
    slips = [Slip("rad/s for rpm", (total * math.pi / 30,))]
    first = (
        "U = 9549.3 x G x m / n (g mm, kg, rpm; 9549.3 = 1000 x 60 / (2 pi))",
        *([f"m = {text} = {mass:.2f} kg"] if level == 2 else []),
        f"U = 9549.3 x {grade:g} x {mass:.4g} / {n:g} = {total:.1f} g mm",
    )
    stem = f"A rotor of {text} runs to {n:g} rpm, grade G {grade:g}. "
    if level == 1:
        return _limit(stem + "What is its whole limit, in g mm?", unit, total, slips, first)
    if level == 2:
        half = f"{total / 2:.1f} / 720.08 = {show(total / 2, 'unbalance', unit)}"
        return _limit(
            stem + "The centre of mass lies half way between the bearings. What is the limit of "
            "one plane, in oz in?",
            unit,
            total / 2,
            [Slip("rad/s for rpm", (total * math.pi / 60,)), Slip("whole for one plane", (total,))],
            (
                *first,
                f"half of it for each plane: {half}",
            ),
        )
    return _shared(rng, stem, total, first)


def _shared(rng: Random, stem: str, total: float, first: tuple[str, ...]) -> dict[str, Any]:
    span = pick(rng, 240, 480, 10)
    from_a = round(span * pick(rng, 0.34, 0.44, 0.02), 1)
    a, b = (
        float(share) for share in allocate(total, centre_of_mass_mm=from_a, bearings_mm=(0.0, span))
    )
    return _limit(
        f"{stem}The bearings A and B are {span:g} mm apart, the centre of mass is {from_a:g} mm "
        "from A and between them. What is the limit at A, in g mm?",
        "g mm",
        a,
        [
            Slip("end weights swapped", (b,)),
            Slip("whole for one plane", (total,)),
            Slip("shared evenly", (total / 2,)),
        ],
        (
            *first,
            "U_A = U x (distance of the centre of mass from B) / (distance of the bearings)",
            f"U_A = {total:.1f} x ({span:g} - {from_a:g}) / {span:g} = {a:.1f} g mm",
        ),
    )


def _limit(
    question: str, unit: str, value: float, slips: list[Slip], working: tuple[str, ...]
) -> dict[str, Any]:
    return {
        "question": question,
        "asks": (Ask("unbalance", unit, value, percent=2),),
        "slips": tuple(slips),
        "working": working,
        "source": _GRADE,
    }


def doubt(rng: Random, level: int) -> dict[str, Any]:
    """Return an exercise on the highest reading that still proves a part good."""
    limit = pick(rng, 60, 300, 5)
    along, across = round(limit * pick(rng, 0.05, 0.1, 0.01), 1), round(limit * 0.06, 1)
    degrees, amount = pick(rng, 2, 5, 1), limit
    turned = 2 * math.sin(math.radians(degrees) / 2) * amount
    parts = {1: [along], 2: [along, across], 3: [along, across, turned]}[level]
    u = math.hypot(*parts)
    texts = [f"the machine's repeatability {along:g} g mm"]
    if level > 1:
        texts.append(f"the bobweights' {across:g} g mm")
    if level > 2:
        texts.append(f"an angle known to {degrees:g} deg (on an amount of {amount:g} g mm)")
    slips = [
        Slip("forgot the guard", (limit,)),
        Slip("guard outside the limit", (limit + GUARD * u,)),
    ]
    if level > 1:
        slips.append(Slip("sum for root of squares", (limit - GUARD * sum(parts),)))
    if level > 2:
        slips.append(Slip("forgot the angle", (limit - GUARD * math.hypot(along, across),)))
    squares = " + ".join(f"{part:.1f}^2" for part in parts)
    return {
        "question": f"The limit of a plane is {limit:g} g mm. Standard uncertainty: "
        f"{', '.join(texts)}. Up to which reading, in g mm, is the plane proven good (guard "
        f"{GUARD:g} u)?",
        "asks": (Ask("unbalance", "g mm", limit - GUARD * u, percent=1),),
        "slips": tuple(slips),
        "working": (
            *(
                [f"{degrees:g} deg off leaves 2 x sin({degrees:g} / 2) x {amount:g} = {turned:.1f}"]
                if level > 2
                else []
            ),
            f"u = root of the sum of the squares = sqrt({squares}) = {u:.2f} g mm",
            f"highest reading = limit - {GUARD:g} u = {limit:g} - {GUARD:g} x {u:.2f} = "
            f"{limit - GUARD * u:.1f} g mm",
        ),
        "source": "ISO 14253-1:2017 and JCGM 106:2012 clause 8 (guard band); from memory",
    }
