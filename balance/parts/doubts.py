"""What looks wrong about the weights of a job, before metal is cut by them and after."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from balance.job.model import Job
from balance.job.readings import Wanted
from balance.parts.finished import CutPart, FinishedSet
from balance.parts.oddities import MAKER_SPAN_G, outside_span
from balance.parts.weigh_steps import first_weights, repeatability_job, suspects_job
from balance.parts.weighing import Weight, check_scale

__all__ = ["Doubt", "doubts_job", "doubts_of_cuts"]

# Pins: 2 g, common practice, no source. The maker of the parts decides.
SPAN_G = {**MAKER_SPAN_G, "pin": 2.0}
_LIMIT_KEYS = {
    "piston": "piston_can_lose",
    "small end": "small_end_can_lose",
    "big end": "big_end_can_lose",
}


@dataclass(frozen=True)
class Doubt:
    """Something that looks wrong: the part's mark (empty: no single part), in words, its kind.

    "weigh again": weighings contradict each other, nothing may be cut by them. "cut": a part
    weighed after cutting is not what was planned. "odd part", "no limit", "scale": look at it.
    """

    part: str
    text: str
    kind: Literal["weigh again", "odd part", "scale", "no limit", "cut"]


def doubts_job(job: Job) -> tuple[Doubt, ...]:
    """Return what looks wrong about the first weighings of a job, as far as they were made.

    Rods that do not close, readings far apart, parts outside the span of a maker's set, a scale
    too coarse for the tolerance.

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
    return (
        *_open_rods(job),
        *_far_apart(weighed),
        *_odd_parts(weighed),
        *_coarse_scale(job, weighed),
    )


def _open_rods(job: Job) -> Iterator[Doubt]:
    for mark, found in suspects_job(job):
        which = f"probably its {found.weighing}" if found.weighing else "one of the three is wrong"
        text = (
            f"rod {mark}: big end + small end differ from the total by {found.closure_g:+.2f} g, "
            f"more than weighing explains: {which}; weigh it again"
        )
        yield Doubt(mark, text, "weigh again")


def _far_apart(weighed: Sequence[tuple[Wanted, Weight]]) -> Iterator[Doubt]:
    for wanted, weight in weighed:
        if weight.outliers:
            text = f"{wanted.label}: its weighings lie {weight.spread_g:.2f} g apart"
            yield Doubt(wanted.part, text, "weigh again")


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
    found: dict[str, dict[str, float]] = {}
    for wanted, weight in weighed:
        if wanted.kind == "rod":
            found.setdefault(wanted.part, {})[wanted.what] = weight.mass_g
    both = {"big_end", "small_end"}
    return {
        mark: known["total"] if "total" in known else sum(known.values())
        for mark, known in found.items()
        if "total" in known or both <= known.keys()
    }


def _coarse_scale(job: Job, weighed: Sequence[tuple[Wanted, Weight]]) -> Iterator[Doubt]:
    tolerance = job.targets.match_tolerance
    if tolerance <= 0 or not weighed:
        return
    found = check_scale(
        tolerance, resolution_g=job.scale.resolution, repeatability_g=repeatability_job(job)
    )
    if found.verdict == "cannot":
        yield Doubt("", f"the scale cannot support the match tolerance: {found.advice}", "scale")


def doubts_of_cuts(
    job: Job, sets: Sequence[FinishedSet], *, tolerances_g: tuple[float, float]
) -> tuple[Doubt, ...]:
    """Return what looks wrong about the cuts: large ones without a limit, and what was cut wrongly.

    Without a limit a cut is doubted from the span of a maker's set on. A finished weight is
    doubted when it is off its stop by more than the tolerance and by more than a division of the
    scale, and finished sets when they differ by more than both together.

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


def _unlimited(job: Job, sets: Sequence[FinishedSet]) -> Iterator[Doubt]:
    """Yield, for each kind, the largest cut that no limit is known for, if it is a large one."""
    for what, key in _LIMIT_KEYS.items():
        parts = [part for entry in sets for part in entry.cut_parts if part.what == what]
        free = [part for part in parts if not _has_limit(job, part, key)]
        worst = max(free, key=lambda part: part.cut_g, default=None)
        if worst is None or worst.cut_g <= SPAN_G["piston" if what == "piston" else "rod"]:
            continue
        text = (
            f"no limit is known: {worst.cut_g:.4g} g off a {worst.before_g:.0f} g {what} "
            f"({worst.mark}); ask the maker and write {key} under [parts]"
        )
        yield Doubt(worst.mark, text, "no limit")


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
        if part.finished_g is None:
            continue
        off = part.finished_g - part.stop_g
        tolerance = tolerances_g[part.what == "big end"]
        if abs(off) <= max(tolerance, job.scale.resolution) + 1e-9:
            continue
        name = part.mark if part.what == "piston" else f"{part.mark} {part.what}"
        side = "above" if off > 0 else "below"
        yield Doubt(part.mark, f"{name} is {abs(off):.2f} g {side} its stop", "cut")


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
