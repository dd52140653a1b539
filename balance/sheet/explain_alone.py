"""The working of pistons that are brought to one weight by themselves."""

import math
from collections.abc import Iterator
from functools import partial

from balance.parts.alone import CutAlone, PistonsAlone
from balance.sheet.working_line import Line, plain, scalar, total

__all__ = ["explain_alone"]

_line = partial(Line, "match")
_LEAST = "own reasoning: the lightest cannot gain, so the others come down to it and the tolerance"


def explain_alone(alone: PistonsAlone, division_g: float) -> Iterator[Line]:
    """Yield what comes off each piston, where to stop, and what all of them lose."""
    lightest = min(each.weight_g for each in alone.pistons)
    target_g = lightest + alone.tolerance_g
    yield _line(
        "No piston may stay heavier than the lightest and the tolerance",
        "target",
        "lightest + tolerance",
        f"{plain(lightest)} + {plain(alone.tolerance_g)}",
        scalar(target_g, 2, "g"),
        _LEAST,
        ("pistons", "target"),
    )
    for each in alone.pistons:
        yield _cut(each, target_g, division_g)
        yield _line(
            f"Piston {each.mark}: where to stop",
            "stop",
            "m - cut",
            f"{plain(each.weight_g)} - {plain(each.cut_g)}",
            scalar(each.stop_g, 2, "g"),
            _LEAST,
            (each.mark, f"piston {each.mark}"),
        )
    yield _line(
        "Metal that comes off all pistons",
        "removed",
        "sum of cuts",
        total(plain(each.cut_g) for each in alone.pistons),
        scalar(alone.removed_g, 2, "g"),
        _LEAST,
        ("pistons", "metal"),
    )
    if alone.short_g > 0:
        yield _line(
            "What the pistons keep too much, since none may lose more",
            "short",
            "sum of (stop - target) above the target",
            total(
                f"({plain(each.stop_g)} - {plain(target_g)})"
                for each in alone.pistons
                if each.stop_g > target_g
            ),
            scalar(alone.short_g, 2, "g"),
            _LEAST,
            ("pistons", "metal"),
        )


def _cut(each: CutAlone, target_g: float, division_g: float) -> Line:
    """Return what comes off one piston, and which rule decided it."""
    need_g = max(0.0, each.weight_g - target_g)
    formula, numbers = "max(0, m - target)", f"max(0, {plain(each.weight_g)} - {plain(target_g)})"
    if not math.isclose(each.cut_g, need_g, abs_tol=1e-7):
        formula, numbers = "all that it may lose", plain(each.cut_g)
        if each.cut_g > need_g:
            formula, numbers = (
                "a whole division of the scale: less shows on none",
                plain(division_g),
            )
    about = f"Piston {each.mark}: what comes off"
    result = scalar(each.cut_g, 2, "g")
    return _line(about, "cut", formula, numbers, result, _LEAST, (each.mark, f"piston {each.mark}"))
