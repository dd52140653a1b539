"""No cut is less than a division of the scale: nobody could tell that it was made."""

from dataclasses import replace

from balance.parts.matching import SetCuts, SetMatch
from balance.parts.recut import Allowed
from balance.parts.weigh_steps import Bench

__all__ = ["whole_cut", "whole_divisions"]

_NO_CUT_G = 0.005  # what shows as 0.00 g is none
_HAIR_G = 1e-9


def whole_divisions(match: SetMatch, bench: Bench, allowed: Allowed) -> SetMatch:
    """Return the same sets with every cut that is less than a division made a whole one.

    Left out, the cut would break the tolerance; a whole division keeps it, since the part only
    goes down inside the window, which must be that wide. Where the window or the limit of the part
    is narrower than a division, the cut stays.

    Parameters
    ----------
    match : SetMatch
        The least cuts.
    bench : Bench
        For the marks of the parts.
    allowed : Allowed
        The division of the scale, the tolerances and the limits.

    Source: own rule, no source.
    """
    d, sums, bigs = allowed.division_g, allowed.tolerance_g, allowed.big_end_tolerance_g
    cuts = []
    for chosen, cut in zip(match.sets, match.cuts, strict=True):
        piston, rod = bench.piston_marks[chosen.piston], bench.rod_marks[chosen.rod]
        cuts.append(
            SetCuts(
                whole_cut(cut.piston_g, min(sums, allowed.pistons_g[piston]), d),
                whole_cut(cut.small_end_g, min(sums, allowed.small_ends_g[rod]), d),
                whole_cut(cut.big_end_g, min(bigs, allowed.big_ends_g[rod]), d),
            )
        )
    more = sum(_all(new) - _all(old) for new, old in zip(cuts, match.cuts, strict=True))
    if more <= _HAIR_G or not match.feasible:
        return match
    removed = round(match.removed_g + more, 10)
    return replace(match, cuts=cuts, removed_g=removed, optimal=False)


def whole_cut(cut_g: float, room_g: float, division_g: float) -> float:
    """Return a cut that is less than a division [g] as a whole one, where there is room for it.

    Examples
    --------
    >>> whole_cut(0.04, 0.5, 0.1), whole_cut(0.04, 0.05, 0.1), whole_cut(0.0, 0.5, 0.1)
    (0.1, 0.04, 0.0)

    Source: own rule, no source.
    """
    small = _NO_CUT_G <= cut_g < division_g - _HAIR_G
    return division_g if small and division_g <= room_g + _HAIR_G else cut_g


def _all(cut: SetCuts) -> float:
    return cut.piston_g + cut.small_end_g + cut.big_end_g
