"""A part was cut too far: the sets are kept, and the others are cut to it from what they weigh."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from balance.job.model import Job
from balance.job.readings import wanted_weighings
from balance.parts._answers import split_cuts
from balance.parts._grid import Floats, above_window, tolerance_of, total_of
from balance.parts.after_cut import repeat_g, since_last_cut
from balance.parts.finished import CutPart, FinishedSet, all_weighed
from balance.parts.matching import SetCuts, SetMatch

__all__ = ["Allowed", "Recut", "cut_too_far", "recut_sets"]

_TWICE = 2  # readings that agree: only then metal is taken off other parts for it


@dataclass(frozen=True)
class Allowed:
    """The tolerances, and what each part may lose in all by its mark [g]; inf: no limit."""

    tolerance_g: float
    big_end_tolerance_g: float
    pistons_g: Mapping[str, float]
    small_ends_g: Mapping[str, float]
    big_ends_g: Mapping[str, float]
    division_g: float

    def near_g(self, what: str) -> float:
        """Return how far a part may be from its stop: the tolerance, at least a division."""
        tolerance = self.big_end_tolerance_g if what == "big end" else self.tolerance_g
        return max(tolerance, self.division_g)


@dataclass(frozen=True)
class Recut:
    """The same sets, cut on from what their parts weigh now."""

    match: SetMatch
    sets: tuple[FinishedSet, ...]


def cut_too_far(job: Job, sets: Sequence[FinishedSet], allowed: Allowed) -> tuple[CutPart, ...]:
    """Return the parts that lost more than planned, each weighed twice since its last cut.

    Parameters
    ----------
    job : Job
        With its weighings after the cut.
    sets : sequence of FinishedSet
        As planned.
    allowed : Allowed
        With the tolerances.
    """
    sure = _weighed_twice(job)
    return tuple(
        part
        for entry in sets
        for part in entry.cut_parts
        if part.finished_g is not None
        and part.finished_g < part.stop_g - allowed.near_g(part.what) - 1e-9
        and part.name in sure
    )


def _weighed_twice(job: Job) -> set[str]:
    """Return the names of the parts that were weighed twice since their last cut.

    An end that was found from the rod's other weighings needs those twice.
    """
    near_g = repeat_g(job.scale)
    counts = {
        (entry.part, entry.what): len(since_last_cut(entry.readings_g, near_g=near_g))
        for entry in wanted_weighings(job, finished=True)
        if entry.readings_g
    }
    sure = {mark for (mark, what), count in counts.items() if what == "weight" and count >= _TWICE}
    for rod in job.parts.rods:
        own = {what: count for (mark, what), count in counts.items() if mark == rod.mark}
        for end in ("big_end", "small_end"):
            if own and own.get(end, min(own.values())) >= _TWICE:
                sure.add(f"{rod.mark} {end.replace('_', ' ')}")
    return sure


def recut_sets(match: SetMatch, sets: Sequence[FinishedSet], allowed: Allowed) -> Recut:
    """Cut the same sets to the lightest of them as they weigh now.

    ``over = sum - (min sum + tolerance)``, as in :func:`balance.parts.matching.match_sets`, of
    the weights after the cut where there are any. Which parts go together, and to which cylinder,
    stays: they are stamped. What is less than a division of the scale is not cut again.

    Parameters
    ----------
    match : SetMatch
        The plan so far.
    sets : sequence of FinishedSet
        Its sets, in the same order.
    allowed : Allowed
        Tolerances and limits.

    Source: own rule, no source.
    """
    over, top = _above([_now(s.cut_parts[0]) + s.pin_g + _now(s.cut_parts[1]) for s in sets],
                       allowed.tolerance_g)  # fmt: skip
    big_over, big_top = _above([_now(s.cut_parts[2]) for s in sets], allowed.big_end_tolerance_g)
    over, big_over = (np.where(o >= allowed.division_g - 1e-9, o, 0.0) for o in (over, big_over))
    left = [
        np.array([_left(s.cut_parts[k], limits) for s in sets])
        for k, limits in enumerate((allowed.pistons_g, allowed.small_ends_g, allowed.big_ends_g))
    ]
    piston, small = split_cuts(over, left[0], left[1])
    big = np.minimum(big_over, left[2])
    cuts = [SetCuts(*map(float, cut)) for cut in zip(piston, small, big, strict=True)]
    reason = _short(sets, over - piston - small, big_over - big)
    made = replace(
        match,
        cuts=cuts,
        removed_g=total_of(piston, small, big),
        bound_g=0.0,  # of other sets, which are not looked at
        optimal=False,
        feasible=not reason,
        target_g=top,
        big_end_target_g=big_top,
        reason=reason,
    )
    return Recut(made, tuple(_cut_on(s, cut) for s, cut in zip(sets, cuts, strict=True)))


def _above(masses_g: Sequence[float], tolerance_g: float) -> tuple[Floats, float]:
    return above_window(np.array(masses_g), slack=tolerance_of("tolerance_g", tolerance_g))


def _now(part: CutPart) -> float:
    return part.before_g if part.finished_g is None else part.finished_g


def _left(part: CutPart, limits_g: Mapping[str, float]) -> float:
    """Return what a part may still lose."""
    return min(_now(part), max(0.0, limits_g[part.mark] - max(0.0, part.first_g - _now(part))))


def _short(sets: Sequence[FinishedSet], short: Floats, big_short: Floats) -> str:
    """Say which set, or else which big end, the limits keep too heavy."""
    worst, heavy = int(short.argmax()), int(big_short.argmax())
    if round(float(short[worst]), 2) > 0:
        entry = sets[worst]
        return (
            f"a part was cut too far: {entry.piston} and the small end of {entry.rod} may not "
            f"lose what they now should, by {short[worst]:.2f} g"
        )
    if round(float(big_short[heavy]), 2) > 0:
        return (
            f"a part was cut too far: the big end of {sets[heavy].rod} may not lose what it now "
            f"should, by {big_short[heavy]:.2f} g"
        )
    return ""


def _cut_on(entry: FinishedSet, cut: SetCuts) -> FinishedSet:
    """Return a set with its cuts from now on; its place still rests on what was planned first."""
    piston, small, big = (
        _part(part, grams)
        for part, grams in zip(
            entry.cut_parts, (cut.piston_g, cut.small_end_g, cut.big_end_g), strict=True
        )
    )
    moved = piston.after_g + small.after_g - entry.piston_g - entry.small_end_g
    return replace(
        entry,
        piston_cut_g=cut.piston_g,
        small_end_cut_g=cut.small_end_g,
        big_end_cut_g=cut.big_end_g,
        piston_g=piston.after_g,
        small_end_g=small.after_g,
        big_end_g=big.after_g,
        reciprocating_g=entry.reciprocating_g + moved,
        rotating_g=entry.rotating_g + big.after_g - entry.big_end_g,
        weighed=all_weighed((piston, small, big)),
        cut_parts=(piston, small, big),
    )


def _part(part: CutPart, more_g: float) -> CutPart:
    now = _now(part)
    finished = None if more_g else part.finished_g
    return replace(part, before_g=now, cut_g=more_g, stop_g=now - more_g, finished_g=finished)
