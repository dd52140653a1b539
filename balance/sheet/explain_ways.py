"""The working of what the ways of matching take off, of what is worth replacing, and of places."""

import math
from collections.abc import Iterator
from functools import partial

from balance.errors import MissingInputError
from balance.parts.advice import Replacement
from balance.parts.marks import punch_list
from balance.sheet.results import Results
from balance.sheet.working_line import PRACTICE, Line, plain, scalar, total

__all__ = ["explain_ways"]

_line = partial(Line, "match")
_SETS = "own search through all ways to pair the parts, proven: no way takes less"


def explain_ways(results: Results) -> Iterator[Line]:
    """Yield what the sets lose and what other ways would take, what to replace, who goes where."""
    yield from _metal(results)
    if not results.matched.recut:  # the other ways and what to replace were for uncut parts
        yield from _other_ways(results)
        yield from _pins(results)
        for best in results.advice[:1]:
            yield from _replaced(results, best)
    for doubt in results.matched.doubts:
        yield _line(
            f"A warning: {doubt.text}",
            "warning",
            "weighings held against each other and against what a maker delivers",
            "",
            "look at it",
            PRACTICE,
            tuple(filter(None, ("warning", doubt.part))),
        )
    yield from _placing(results)


def _metal(results: Results) -> Iterator[Line]:
    match = results.matched.match
    cuts = [g for cut in match.cuts for g in (cut.piston_g, cut.small_end_g, cut.big_end_g) if g]
    about = f"Metal cut from all sets, {'' if match.optimal else 'not '}proven least"
    source = _SETS
    if results.matched.recut:
        about = "Metal that still comes off all sets, which are kept as they are stamped"
        source = "own rule, no source"
    yield _line(
        about + (f"; {match.reason}" * (not match.feasible)),
        "removed",
        "sum of cuts",
        total(map(plain, cuts)),
        scalar(match.removed_g, 2, "g"),
        source,
        ("sets", "metal"),
    )


def _other_ways(results: Results) -> Iterator[Line]:
    match, bench = results.matched.match, results.matched.bench
    line = partial(_line, source=PRACTICE, names=("sets", "metal"))
    kinds = (
        [bench.pistons[k.piston].mass_g for k in match.sets],
        [bench.rods[k.rod].small_end_g for k in match.sets],
        [bench.rods[k.rod].big_end_g for k in match.sets],
    )
    yield line(
        "The plain rule, for comparison: every piston, small end and big end to its lightest",
        "removed_all",
        "sum of (mass - n x lightest of its kind)",
        total(f"({total(map(plain, kind))} - {len(kind)} x {plain(min(kind))})" for kind in kinds),
        scalar(match.shop_removed_g, 2, "g"),
    )
    prices = results.matched.prices
    trims = [trim for trim in (prices.pistons, prices.small_ends, prices.big_ends) if trim]
    yield line(
        "Every kind to one weight, for comparison: any spare fits later",
        "removed_each",
        "pistons + small ends + big ends",
        total(plain(trim.removed_g) for trim in trims),
        scalar(prices.interchangeable_g, 2, "g"),
    )


def _pins(results: Results) -> Iterator[Line]:
    """Yield how far the pins of the sets lie apart: they are not cut."""
    bench, match = results.matched.bench, results.matched.match
    pins = [bench.pins[chosen.pin].mass_g for chosen in match.sets]
    if pins:
        listed = ", ".join(map(plain, pins))
        yield _line(
            "Pins are not cut: by how much they differ",
            "spread",
            "heaviest pin - lightest pin",
            f"max({listed}) - min({listed})",
            scalar(max(pins) - min(pins), 2, "g"),
            PRACTICE,
            ("pins",),
        )


def _replaced(results: Results, best: Replacement) -> Iterator[Line]:
    """Yield what a middle part in place of an odd one would save: everything matched again."""
    bench = results.matched.bench
    marks = {"piston": bench.piston_marks, "pin": bench.pin_marks, "rod": bench.rod_marks}
    mark = marks[best.kind][best.index]
    line = partial(_line, numbers="", names=("replace", mark), source="own method")
    yield line(
        f"The part worth replacing: how far {best.kind} {mark} lies off the middle of the others "
        "(of a rod the end that is farther off)",
        "off",
        "weight - middle weight of the others, to 0.01 g",
        result=scalar(best.off_g, 2, "g"),
    )
    if math.isfinite(best.removed_then_g):
        yield line(
            f"What would come off all sets with a middle {best.kind} in place of {mark}",
            "removed_then",
            "all parts matched again with it",
            result=scalar(best.removed_then_g, 2, "g"),
        )


def _placing(results: Results) -> Iterator[Line]:
    """Yield what the best place of every set leaves; its 20 squares take no single line."""
    try:
        placement = results.card.placement
    except MissingInputError:  # which set goes where waits for the engine; the cuts do not
        return
    proof = "proven least" if placement.optimal else f"at least {placement.bound:.3f} g"
    yield _line(
        "Which set goes to which cylinder: what the unequal sets leave, in grams at the crank "
        f"radius; {proof}",
        "left",
        "sqrt(sum of |A_n|^2 + |B_n|^2, their couples / spacing, n = 1, 2, and of m_rot)",
        "",
        scalar(placement.residual, 3, "g"),
        "own search; for few cylinders every way to place the sets was tried beside it",
        ("sets", "placing"),
    )
    yield from _stamps(results)


def _stamps(results: Results) -> Iterator[Line]:
    """Yield what is stamped into the parts of every set."""
    card = results.card
    marks = punch_list(
        results.matched.match.sets,
        set_at_cylinder=card.placement.set_at_cylinder,
        cylinder_names=card.cylinders,
    )
    for mark in {mark.cylinder: mark for mark in marks}.values():
        cylinder = f"cylinder {card.cylinders[mark.cylinder - 1]}"
        yield _line(
            f"{cylinder.capitalize()}: what to stamp into the parts of its set",
            "stamp",
            "cylinder - S and the number of the set",
            "",
            mark.stamp,
            PRACTICE,
            (mark.stamp, cylinder, "stamp"),
        )
