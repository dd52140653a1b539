"""What looks wrong about the weights of a job, before metal is cut by them and after."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Literal

from balance.job.model import Job
from balance.job.readings import Wanted
from balance.parts.after_cut import grown, repeat_g
from balance.parts.coarse_readings import told_step
from balance.parts.finished import CutPart, FinishedSet, off_stop
from balance.parts.oddities import MAKER_SPAN_G, outside_span
from balance.parts.swapped import ends_of, is_known_heavy, swapped_ends
from balance.parts.weigh_steps import (
    finished_weights,
    first_weights,
    repeatability_job,
    suspects_job,
)
from balance.parts.weighing import Weight, check_scale

__all__ = ["Doubt", "doubts_job", "doubts_of_cuts", "doubts_of_recut"]

# Pins: 2 g, common practice, no source. The maker of the parts decides.
SPAN_G = {**MAKER_SPAN_G, "pin": 2.0}
# No pad holds more of a part than this: common practice, no source.
_MOST_OF_A_PART = 0.05
_LIMIT_KEYS = {
    "piston": "piston_can_lose",
    "small end": "small_end_can_lose",
    "big end": "big_end_can_lose",
}


@dataclass(frozen=True)
class Doubt:
    """Something that looks wrong: the part's mark (empty: no single part), in words, its kind.

    "weigh again": weighings contradict each other or make no sense, nothing may be cut by them.
    "cut": a part weighed after cutting is not what was planned. "cut too far": it is not, for sure,
    and the plan goes on from there. "odd part", "no limit", "scale": look at it.
    """

    part: str
    text: str
    kind: Literal["weigh again", "odd part", "scale", "no limit", "cut", "cut too far"]


def doubts_job(job: Job) -> tuple[Doubt, ...]:
    """Return what looks wrong about the weighings of a job, as far as they were made.

    Rods that do not close, ends that look swapped, readings far apart, parts outside the span of a
    maker's set, a scale or readings too coarse for the tolerance, parts that weigh more after the
    cut.

    Parameters
    ----------
    job : Job
        As read from its file.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> doubts_job(read_job(files("cli.examples") / "flat-four.toml"))
    ()

    Source: as for :func:`balance.parts.suspects.wrong_weighings`,
    :func:`balance.parts.oddities.outside_span` and :func:`balance.parts.weighing.check_scale`.
    """
    weighed = first_weights(job)
    finished = finished_weights(job)
    return (
        *_open_rods(job),
        *_swapped(job, weighed),
        *_far_apart(weighed, "weigh again"),
        *_odd_parts(weighed),
        *_coarse_scale(job, weighed),
        *_far_apart(finished, "cut"),
        *_grown(job, weighed, finished),
    )


def _open_rods(job: Job) -> Iterator[Doubt]:
    for mark, found in suspects_job(job):
        which = f"probably its {found.weighing}" if found.weighing else "one of the three is wrong"
        text = (
            f"rod {mark}: big end + small end come to {abs(found.closure_g):.2f} g "
            f"{'more' if found.closure_g > 0 else 'less'} than the total, more than weighing "
            f"explains: {which}; weigh it again"
        )
        yield Doubt(mark, text, "weigh again")


def _swapped(job: Job, weighed: Sequence[tuple[Wanted, Weight]]) -> Iterator[Doubt]:
    ends = {
        mark: both
        for mark, known in _of_rods(weighed).items()
        if (both := ends_of(known)) and not is_known_heavy(job, mark)
    }
    for mark, said in swapped_ends(ends).items():
        text = f"{said} Weigh both again; if it is so, write small_end_heavier = true under the rod"
        yield Doubt(mark, text, "weigh again")


def _far_apart(
    weighed: Sequence[tuple[Wanted, Weight]], kind: Literal["weigh again", "cut"]
) -> Iterator[Doubt]:
    cut = " after the cut" if kind == "cut" else ""
    for wanted, weight in weighed:
        if weight.outliers:
            hint = _decimal_comma(wanted.readings_g)
            text = f"{wanted.label}: its weighings{cut} lie {weight.spread_g:.2f} g apart{hint}"
            yield Doubt(wanted.part, text, kind)


def _decimal_comma(readings_g: Sequence[float]) -> str:
    """Say that ``420,1`` in a list of the file is two numbers, where it looks like that."""
    for n, tail in enumerate(readings_g[1:]):
        whole = readings_g[n]
        others = [*readings_g[:n], *readings_g[n + 2 :]]
        if whole % 1 or tail % 1 or tail >= whole / 10 or not others:
            continue
        meant = float(f"{whole:.0f}.{tail:.0f}")
        if abs(meant - median(others)) < 1:
            return f" (in the file {whole:.0f},{tail:.0f} is two numbers: write {meant:g})"
    return ""


def _grown(
    job: Job,
    weighed: Sequence[tuple[Wanted, Weight]],
    finished: Sequence[tuple[Wanted, Weight]],
) -> Iterator[Doubt]:
    before = {wanted.label: weight.mass_g for wanted, weight in weighed}
    near_g = repeat_g(job.scale)
    for wanted, weight in finished:
        first_g = before.get(wanted.label, weight.mass_g)
        if said := grown(wanted.label, first_g, weight.mass_g, near_g=near_g):
            yield Doubt(wanted.part, said, "cut")


def _odd_parts(weighed: Sequence[tuple[Wanted, Weight]]) -> Iterator[Doubt]:
    for kind, span in SPAN_G.items():
        masses = _masses(kind, weighed)
        for odd in outside_span([*masses.values()], span_g=span):
            mark = [*masses][odd.part]
            how = "heavy" if odd.outside_g > 0 else "light"
            text = (
                f"{kind} {mark} is {abs(odd.outside_g):.1f} g too {how} for a set as a "
                f"maker delivers it ({span:g} g): was it replaced?"
            )
            yield Doubt(mark, text, "odd part")


def _masses(kind: str, weighed: Sequence[tuple[Wanted, Weight]]) -> dict[str, float]:
    """Return the masses of one kind by mark; a rod's is its total, else the sum of its ends."""
    if kind != "rod":
        return {wanted.part: weight.mass_g for wanted, weight in weighed if wanted.kind == kind}
    both = {"big_end", "small_end"}
    return {
        mark: known["total"] if "total" in known else sum(known.values())
        for mark, known in _of_rods(weighed).items()
        if "total" in known or both <= known.keys()
    }


def _of_rods(weighed: Sequence[tuple[Wanted, Weight]]) -> dict[str, dict[str, float]]:
    """Return by the mark of each rod what of it was weighed [g]."""
    found: dict[str, dict[str, float]] = {}
    for wanted, weight in weighed:
        if wanted.kind == "rod":
            found.setdefault(wanted.part, {})[wanted.what] = weight.mass_g
    return found


def _coarse_scale(job: Job, weighed: Sequence[tuple[Wanted, Weight]]) -> Iterator[Doubt]:
    tolerance = job.targets.match_tolerance
    if tolerance <= 0 or not weighed:
        return
    found = check_scale(
        tolerance, resolution_g=job.scale.resolution, repeatability_g=repeatability_job(job)
    )
    if found.verdict == "cannot":
        yield Doubt("", f"the scale cannot support the match tolerance: {found.advice}", "scale")
    else:
        yield from _coarse_readings(job, weighed)


def _coarse_readings(job: Job, weighed: Sequence[tuple[Wanted, Weight]]) -> Iterator[Doubt]:
    """Yield readings that are coarser than the scale is said to be, and than the tolerance needs.

    Of all parts together, else of one kind: a single list may have been in ounces.
    """
    division_g, tolerance_g = job.scale.resolution, job.targets.match_tolerance
    groups: dict[str, list[float]] = {"all parts": []}
    for wanted, _ in weighed:
        ends = "" if wanted.what == "weight" else f"' {wanted.what.replace('_', ' ')}s"
        for name in ("all parts", f"the {wanted.kind}s{ends}"):
            groups.setdefault(name, []).extend(wanted.readings_g)
    for name, readings_g in groups.items():
        step = told_step(readings_g, resolution_g=division_g)
        if step and check_scale(tolerance_g, resolution_g=step.step_g).verdict == "cannot":
            size = "" if step.text.endswith(" g") else f" ({step.step_g:.2g} g)"
            text = (
                f"the weighings of {name} are all whole multiples of {step.text}{size}: that "
                f"cannot tell {tolerance_g:g} g. Weigh again with every figure, or on a scale that "
                "shows them; if it shows no more, write its resolution under [scale]"
            )
            yield Doubt("", text, "scale")
            if name == "all parts":
                return


def doubts_of_cuts(
    job: Job, sets: Sequence[FinishedSet], *, tolerances_g: tuple[float, float]
) -> tuple[Doubt, ...]:
    """Return what looks wrong about the cuts: large ones without a limit, and what was cut wrongly.

    Without a limit a cut is doubted from the span of a maker's set on, and refused from a
    twentieth of the part on: then a weight is wrong, or a part is of another kind. A finished
    weight is doubted when it is off its stop by more than the tolerance and by more than a division
    of the scale, and finished sets when they differ by more than both together.

    Parameters
    ----------
    job : Job
        As read from its file.
    sets : sequence of FinishedSet
        Its sets with their cuts.
    tolerances_g : (float, float) [g]
        Of the sets and of the big ends.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.parts.steps import match_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> doubts_of_cuts(job, match_job(job).sets, tolerances_g=(0.5, 0.5))
    ()

    Source: own rule, no source.
    """
    return (
        *_unlimited(job, sets),
        *_off_their_stops(job, sets, tolerances_g),
        *_apart_when_finished(job, sets, tolerances_g),
    )


def doubts_of_recut(
    too_far: Sequence[CutPart], *, more_g: float, feasible: bool
) -> tuple[Doubt, ...]:
    """Return what was cut too far, and what it costs to cut the other sets to it.

    Parameters
    ----------
    too_far : sequence of CutPart
        From :func:`balance.parts.recut.cut_too_far`: as they were planned first.
    more_g : float [g]
        What has still to come off, by the new plan.
    feasible : bool
        Whether the limits allow that.

    Examples
    --------
    >>> doubts_of_recut([], more_g=0.0, feasible=True)
    ()

    Source: own rule, no source.
    """
    cost = "nothing more comes off" if round(more_g, 2) <= 0 else f"{more_g:.2f} g still come off"
    plan = (
        f"The same sets are cut on from what they weigh now: {cost}; or"
        if feasible
        else "The limits of the others do not allow to cut the same sets to it:"
    )
    return tuple(
        Doubt(
            part.mark,
            f"{off_stop(part, part.after_g, near_g=0.0)}. It was cut too far. {plan} replace "
            f"{part.mark} by one of the weight it had: scrapped = true under it, and a new mark",
            "cut too far",
        )
        for part in too_far
    )


def _unlimited(job: Job, sets: Sequence[FinishedSet]) -> Iterator[Doubt]:
    """Yield, for each kind, the largest cut that no limit is known for, if it is a large one."""
    for what, key in _LIMIT_KEYS.items():
        parts = [part for entry in sets for part in entry.cut_parts if part.what == what]
        free = [part for part in parts if not _has_limit(job, part, key)]
        worst = max(free, key=lambda part: part.cut_g, default=None)
        if worst is None or worst.cut_g <= SPAN_G["piston" if what == "piston" else "rod"]:
            continue
        if worst.cut_g > _MOST_OF_A_PART * worst.before_g:
            yield from _senseless(worst, sets, key)
            continue
        text = (
            f"no limit is known: {worst.cut_g:.4g} g off a {worst.before_g:.0f} g {what} "
            f"({worst.mark}); ask the maker and write {key} under [parts]"
        )
        yield Doubt(worst.mark, text, "no limit")


def _senseless(worst: CutPart, sets: Sequence[FinishedSet], key: str) -> Iterator[Doubt]:
    """Yield what stands behind a cut that no part survives: the parts farthest from the others."""
    share = worst.cut_g / worst.before_g
    for mark, kind in _odd_ones(worst.what, sets):
        text = (
            f"the plan would take {worst.cut_g:.2f} g off the {worst.what} {worst.mark}, "
            f"{share:.0%} of it, and no limit is known: is {kind} {mark} weighed wrongly, or of "
            f"another kind? Weigh it again; if it is right, replace it or write {key} under [parts]"
        )
        yield Doubt(mark, text, "weigh again")


def _odd_ones(what: str, sets: Sequence[FinishedSet]) -> Iterator[tuple[str, str]]:
    """Yield mark and kind of the parts farthest from the middle of their kind: they set the cut."""
    piston, small, big = (
        [(entry.cut_parts[k].mark, entry.cut_parts[k].before_g) for entry in sets] for k in range(3)
    )
    kinds = {"piston": piston, "pin": [(entry.pin, entry.pin_g) for entry in sets], "rod": small}
    if what == "big end":
        kinds = {"rod": big}
    off = {
        (mark, kind): abs(mass - median([other for _, other in parts]))
        for kind, parts in kinds.items()
        for mark, mass in parts
    }
    return (odd for odd, far in off.items() if far >= max(off.values()) - 1e-9)


def _has_limit(job: Job, part: CutPart, key: str) -> bool:
    if getattr(job.parts, key) is not None:
        return True
    if part.what == "piston":
        return any(
            page.mark == part.mark and page.can_lose is not None for page in job.parts.pistons
        )
    return any(page.mark == part.mark and getattr(page, key) is not None for page in job.parts.rods)


def _off_their_stops(
    job: Job, sets: Sequence[FinishedSet], tolerances_g: tuple[float, float]
) -> Iterator[Doubt]:
    for part in (part for entry in sets for part in entry.cut_parts):
        after_g = part.finished_g
        if after_g is None or after_g > part.first_g + repeat_g(job.scale) + 1e-9:
            continue  # that it has grown is said elsewhere
        near_g = max(tolerances_g[part.what == "big end"], job.scale.resolution)
        if said := off_stop(part, after_g, near_g=near_g):
            then = "cut on, then weigh it" if after_g > part.stop_g else "weigh it once more"
            yield Doubt(part.mark, f"{said}; {then} with --finished", "cut")


def _apart_when_finished(
    job: Job, sets: Sequence[FinishedSet], tolerances_g: tuple[float, float]
) -> Iterator[Doubt]:
    """Yield what differs too much once everything that loses metal was weighed again."""
    if not all(entry.weighed for entry in sets):
        return
    sums = [entry.piston_g + entry.pin_g + entry.small_end_g for entry in sets]
    bigs = [entry.big_end_g for entry in sets]
    named = (("finished sets", sums), ("finished big ends", bigs))
    for (what, masses), tolerance in zip(named, tolerances_g, strict=True):
        apart = max(masses) - min(masses)
        if apart > tolerance + job.scale.resolution + 1e-9:
            text = f"the {what} differ by {apart:.2f} g: the tolerance is {tolerance:g} g"
            yield Doubt("", text, "cut")
