"""The working of the shake: order by order, and what the balance factor does at order 1."""

import math
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

import numpy as np

from balance.engine.factors import residual_primary
from balance.engine.layouts import offset_of, radius_mm
from balance.engine.loci import ellipse
from balance.engine.motion import harmonics
from balance.engine.pins import pins_of
from balance.engine.shaking import Shaking
from balance.engine.steps import Shook
from balance.sheet.explain_crank_factor import explain_built_factor, explain_one_percent
from balance.sheet.results import Results
from balance.sheet.working_line import Line, arrow, num, plain, polar, scalar, total
from balance.vectors import vector

__all__ = ["explain_shake"]

_line = partial(Line, "shake")
_ORDERS = (
    "C. F. Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 2, ch. 8; "
    "J. P. Den Hartog, Mechanical Vibrations, ch. 5; both from memory"
)
_SERIES = "J. P. Den Hartog, Mechanical Vibrations, ch. 5; from memory"
_TWO = "sum of two arrows that turn against each other"
_SHORT = 0.4  # crank radius over rod length up to which the four terms shown are enough


def explain_shake(results: Results) -> Iterator[Line]:
    """Yield the rotating vectors of every order, the ellipse at order 1, and the factor."""
    shook = results.shook
    shaking = shook.shaking
    yield _line(
        "Speed of the crank",
        "w",
        "2 x pi x n / 60",
        f"2 x pi x {plain(shaking.speed_rpm)} / 60",
        scalar(_w(shaking), 2, "rad/s"),
        "definition",
    )
    if _plain_rods(shaking):
        yield from _orders(shaking)
    else:
        yield from _by_motion(shaking)
    yield from _axes(shaking)
    if shook.ellipses:
        yield from _factor(results, shook)


def _w(shaking: Shaking) -> float:
    return 2 * math.pi * shaking.speed_rpm / 60


def _plain_rods(shaking: Shaking) -> bool:
    """Return whether every rod is on its crankpin and every piston on the crank's centre line."""
    engine = shaking.engine
    return all(c.link is None and offset_of(engine, c) == 0 for c in engine.cylinders)


def _has_arms(shaking: Shaking) -> bool:
    """Return whether anything stands away from the reference, so that couples can be."""
    places = [c.z_mm for c in shaking.engine.cylinders] + [z for _, z in shaking.counterweights]
    return any(abs(z - shaking.reference_z_mm) > 1e-9 for z in places)


_FIELDS = (
    ("A", "forward_force_n", "force turning with the crank", "N"),
    ("B", "backward_force_n", "force turning against the crank", "N"),
    ("A'", "forward_couple_nm", "couple turning with the crank", "N m"),
    ("B'", "backward_couple_nm", "couple turning against the crank", "N m"),
)


def _by_motion(shaking: Shaking) -> Iterator[Line]:
    """Yield the vectors of engines whose rods take no short formula."""
    for index, order in enumerate(shaking.orders):
        for letter, field, what, unit in _FIELDS:
            yield _line(
                f"Order {order}: {what}; offset pins or articulated rods, so from the exact motion",
                f"{letter}_{order}",
                "order n of one turn of the exact motion",
                "",
                arrow(getattr(shaking, field)[index], 1, unit),
                "own: the exact motion of rod and piston, taken apart into its orders",
                (f"order {order}",),
            )


def _orders(shaking: Shaking) -> Iterator[Line]:
    engine = shaking.engine
    ratio = radius_mm(engine) / engine.rod_length_mm
    for index, order in enumerate(shaking.orders):
        a_n = float(harmonics(ratio, order))
        if order > 1:
            yield _coefficient(order, a_n, shaking)
        for letter, field, what, unit in _FIELDS if _has_arms(shaking) else _FIELDS[:2]:
            yield _line(
                f"Order {order}: {what}",
                f"{letter}_{order}",
                _formula(order, letter),
                _numbers(shaking, order, a_n, letter),
                arrow(getattr(shaking, field)[index], 1, unit),
                _ORDERS,
                (f"order {order}",),
            )


def _coefficient(order: int, a_n: float, shaking: Shaking) -> Line:
    """Return the series of a_2, or a_n alone where the rod is too short for a few terms."""
    r, rod = radius_mm(shaking.engine), shaking.engine.rod_length_mm
    line = partial(_line, symbol=f"a_{order}", source=_SERIES, names=(f"order {order}",))
    about = f"Order {order} of the piston's motion, L = crank radius / rod length"
    if order != 2 or r / rod > _SHORT:
        return line(
            about,
            formula="exact series, summed until the next term is below rounding",
            numbers="",
            result=scalar(a_n, 6),
        )
    ratio = f"({plain(r)} / {plain(rod)})"
    return line(
        about,
        formula="L + L^3 / 4 + 15 x L^5 / 128 + 35 x L^7 / 512 + ...",
        numbers=f"{ratio} + {ratio}^3 / 4 + 15 x {ratio}^5 / 128 + 35 x {ratio}^7 / 512",
        result=scalar(a_n, 4),
    )


def _formula(order: int, letter: str) -> str:
    z = "(z - z_ref) x " if letter.endswith("'") else ""
    plus, minus = f"{order} x (pin - bank) + bank", f"bank - {order} x (pin - bank)"
    if order == 1:
        plus, minus = "pin", "2 x bank - pin"
    turned = plus if letter[0] == "A" else minus
    a_n = f" x a_{order}" if order > 1 else ""
    scale = "10^-9" if z else "10^-6"
    moving = f"sum of {z}(m_rec at {turned})"
    if order > 1 or letter[0] == "B":
        return f"{scale} x r x w^2{a_n} / 2 x {moving}"
    held = f" + r x sum of {z}(m_rot at pin) + sum of {z}(counterweight)"
    return f"{scale} x w^2 x (r / 2 x {moving}{held})"


def _numbers(shaking: Shaking, order: int, a_n: float, letter: str) -> str:
    engine, sign = shaking.engine, 1 if letter[0] == "A" else -1
    moving, turning = [], []
    arms = _arms(shaking) if letter.endswith("'") else _no_arms
    for k, cylinder in enumerate(engine.cylinders):
        pin, bank = engine.throws[cylinder.throw].degrees, cylinder.bank_degrees
        turned = sign * order * (pin - bank) + bank
        moving.append(arms(cylinder.z_mm) + polar(vector(shaking.reciprocating_g[k], turned)))
        turning.append(arms(cylinder.z_mm) + polar(vector(shaking.rotating_g[k], pin)))
    scale = "10^-9" if letter.endswith("'") else "10^-6"
    r, w2 = plain(radius_mm(engine)), f"{plain(_w(shaking))}^2"
    if order > 1 or letter[0] == "B":
        a = f" x {num(a_n)}" if order > 1 else ""
        return f"{scale} x {r} x {w2}{a} / 2 x ({total(moving)})"
    held = total(arms(z) + polar(u) for u, z in shaking.counterweights)
    return f"{scale} x {w2} x ({r} / 2 x ({total(moving)}) + {r} x ({total(turning)}) + {held})"


def _arms(shaking: Shaking) -> Callable[[float], str]:
    """Return how the distance of a place from the reference is written before an arrow."""
    return lambda z_mm: f"{num(z_mm - shaking.reference_z_mm)} x "


def _no_arms(_z_mm: float) -> str:
    return ""


def _axes(shaking: Shaking) -> Iterator[Line]:
    """Yield the half axes of the ellipses at order 1."""
    if 1 not in shaking.orders:
        return
    at = shaking.orders.index(1)
    kinds = (("", "force_n", "N"), ("'", "couple_nm", "N m"))
    for dash, kind, unit in kinds if _has_arms(shaking) else kinds[:1]:
        ahead, back = (getattr(shaking, f"{way}_{kind}")[at] for way in ("forward", "backward"))
        yield from _half_axes(
            f"order 1 {kind.partition('_')[0]}",
            (ahead, back),
            letters=(f"A{dash}_1", f"B{dash}_1"),
            decimals=1,
            unit=unit,
            names=("order 1",),
        )


def _half_axes(
    what: str,
    pair: tuple[Any, Any],
    *,
    letters: tuple[str, str],
    decimals: int,
    unit: str,
    names: tuple[str, ...],
) -> Iterator[Line]:
    shape = ellipse(*pair)
    a, b = (plain(np.abs(v)) for v in pair)
    for about, symbol, formula, numbers, value in (
        ("longest", "major", "|{}| + |{}|", f"{a} + {b}", shape.major),
        ("shortest", "minor", "abs(|{}| - |{}|)", f"abs({a} - {b})", shape.minor),
    ):
        yield _line(
            f"The {about} half axis of the ellipse that the {what} draws",
            symbol,
            formula.format(*letters),
            numbers,
            scalar(value, decimals, unit),
            _TWO,
            names,
        )


def _factor(results: Results, shook: Shook) -> Iterator[Line]:
    """Yield what this job's factor leaves at order 1, in one cylinder's m r w^2."""
    couple = not results.need.force
    engine, factor = shook.card.engine, shook.card.factor
    none, left, pins = residual_primary(engine, 0.0), residual_primary(engine, factor), \
        pins_of(engine)  # fmt: skip
    kind = "couple" if couple else "force"
    turning = pins.couple if couple else pins.force
    ahead, back = getattr(none, f"forward_{kind}"), getattr(none, f"backward_{kind}")
    unit = "m r w^2" + " x spacing" * couple
    names = ("factor",)
    yield _line(
        f"Factor {factor:g}: the {kind} left turning with the crank (A by itself, less the "
        "factor times the rods R)",
        "A_f",
        "A - factor x R",
        f"{polar(ahead)} - {plain(factor)} x {polar(turning)}",
        arrow(getattr(left, f"forward_{kind}"), 3, unit),
        _ORDERS,
        names,
    )
    pair = (getattr(left, f"forward_{kind}"), back)
    yield from _half_axes(
        f"{kind} at factor {factor:g}",
        pair,
        letters=("A_f", "B"),
        decimals=3,
        unit=unit,
        names=names,
    )
    yield from _other_factors(shook, ahead, back, turning, unit)
    yield from _least(shook, ahead, back, turning, unit)
    yield from explain_built_factor(results, shook)
    yield from explain_one_percent(results, shook)


def _other_factors(shook: Shook, ahead: Any, back: Any, turning: Any, unit: str) -> Iterator[Line]:
    """Yield the worst and the least direction for every other factor of the table."""
    kind = "couple" if unit.endswith("spacing") else "force"
    for each in shook.ellipses:
        if each.factor == shook.card.factor:
            continue
        shape, factor = getattr(each, kind), plain(each.factor)
        left = f"abs({polar(ahead)} - {factor} x {polar(turning)})"
        for word, sign, value in (("worst", "+", shape.major), ("least", "-", shape.minor)):
            numbers = f"{left} {sign} {plain(abs(back))}"
            yield _line(
                f"At factor {factor}: what is left in the {word} direction",
                "left",
                f"|A - f x R| {sign} |B|" if sign == "+" else "||A - f x R| - |B||",
                numbers if sign == "+" else f"abs({numbers})",
                scalar(value, 3, unit),
                _TWO,
                ("factor", f"factor {factor}"),
            )


def _least(shook: Shook, ahead: Any, back: Any, turning: Any, unit: str) -> Iterator[Line]:
    best = shook.least_worst
    if best is None:
        return
    between = np.degrees(np.angle(ahead) - np.angle(turning))
    yield _line(
        "The factor whose worst direction is the smallest; with plain rods one half",
        "f",
        "|A| / |R| x cos(angle between A and R)",
        f"{plain(abs(ahead))} / {plain(abs(turning))} x cos({plain(between)})",
        scalar(best.factor, 3),
        "own derivation from the two arrows",
        ("factor",),
    )
    yield _line(
        "What that factor leaves in its worst direction",
        "left",
        "|A - f x R| + |B|",
        f"abs({polar(ahead)} - {num(best.factor)} x {polar(turning)}) + {plain(abs(back))}",
        scalar(best.left, 3, unit),
        _TWO,
        ("factor",),
    )
