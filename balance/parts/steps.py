"""The step of the job in this room: from weighed parts to matched sets."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from balance.job.model import Job
from balance.parts._shortfall import told
from balance.parts.advice import Prices, Replacement, compare_ways, worth_replacing
from balance.parts.divisions import whole_divisions
from balance.parts.doubts import Doubt, doubts_job, doubts_of_cuts, doubts_of_recut
from balance.parts.finished import FinishedSet, finished_sets
from balance.parts.matching import SetMatch, match_sets
from balance.parts.recut import Allowed, cut_too_far, recut_sets
from balance.parts.weigh_steps import Bench, weigh_job

__all__ = ["FinishedSet", "Matched", "match_job", "replace_job"]

_WORTH_A_PART_G = 3.0  # our own choice: below it a new part is not worth its price


@dataclass(frozen=True)
class Matched:
    """The matched sets of a job, with the other way and the plain shop rule beside them.

    ``match.reason`` names parts by their marks. ``doubts`` say what looks wrong about the weights.
    ``above_least_g`` is what the cuts take more than the least, since none is less than a division
    of the scale. ``recut`` says that a part was cut too far: the sets stay, and ``match`` holds
    what has still to come off them.
    """

    bench: Bench
    match: SetMatch
    sets: tuple[FinishedSet, ...]
    prices: Prices
    tolerance_g: float
    big_end_tolerance_g: float
    doubts: tuple[Doubt, ...]
    above_least_g: float = 0.0
    recut: bool = False

    @property
    def proof(self) -> str:
        """How good the cuts are, in words."""
        if self.recut:
            return "the sets are kept"
        if self.above_least_g:
            return f"least + {self.above_least_g:.2f} g: no cut is under a division"
        match = self.match
        return "proven least" if match.optimal else f"not proven; at least {match.bound_g:.2f} g"

    @property
    def weigh_again(self) -> str:
        """The marks of parts whose weighings contradict themselves; no cut may rest on them."""
        marks = dict.fromkeys(d.part for d in self.doubts if d.kind == "weigh again")
        return ", ".join(marks)

    @property
    def sure(self) -> bool:
        """Whether the sets can be made, on weights that agree, with no part cut wrongly so far."""
        kinds = {doubt.kind for doubt in self.doubts}
        return self.match.feasible is True and not kinds & {"weigh again", "cut"}


def match_job(job: Job) -> Matched:
    """Return the sets of a job that remove the least metal, and the price of the other ways.

    Parameters
    ----------
    job : Job
        As read from its file.

    Raises
    ------
    MissingInputError
        When weighings are missing, or there are fewer parts than the engine has cylinders.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> matched = match_job(read_job(files("cli.examples") / "flat-four.toml"))
    >>> matched.match.optimal, len(matched.sets)
    (True, 4)

    Source: as for :func:`balance.parts.matching.match_sets`.
    """
    bench = weigh_job(job)
    least = match_sets(**_masses(bench), **_wanted(job), choose=_choose(job, bench))
    allowed = _allowed(job)
    found = whole_divisions(least, bench, allowed)
    match = replace(found, reason=_with_marks(found, bench))
    made = Matched(
        bench=bench,
        match=match,
        sets=finished_sets(job, bench, match),
        prices=_prices(job, bench, match),
        tolerance_g=allowed.tolerance_g,
        big_end_tolerance_g=allowed.big_end_tolerance_g,
        doubts=doubts_job(job),
        above_least_g=round(found.removed_g - least.removed_g, 10),
    )
    return _as_cut(job, made, allowed) if match.feasible else made


def _as_cut(job: Job, made: Matched, allowed: Allowed) -> Matched:
    """Return the sets with what looks wrong about their cuts; cut on, where one went too far."""
    doubts = made.doubts
    if too_far := cut_too_far(job, made.sets, allowed):
        again = recut_sets(made.match, made.sets, allowed)
        more_g, feasible = again.match.removed_g, again.match.feasible is True
        doubts += doubts_of_recut(too_far, more_g=more_g, feasible=feasible)
        made = replace(made, match=again.match, sets=again.sets, above_least_g=0.0, recut=True)
    if made.match.feasible:
        tolerances = (allowed.tolerance_g, allowed.big_end_tolerance_g)
        known = made.weigh_again.split(", ")  # a cut by such a weight makes no sense, of course
        found = doubts_of_cuts(job, made.sets, tolerances_g=tolerances)
        doubts += tuple(d for d in found if d.kind != "weigh again" or d.part not in known)
    return replace(made, doubts=doubts)


def _with_marks(match: SetMatch, bench: Bench) -> str:
    """Return what stands in the way of the sets, with the marks that are on the parts."""
    if match.short is None:
        return ""
    marks = {"piston": bench.piston_marks, "pin": bench.pin_marks}

    def name(kind: str, index: int) -> str:
        if kind in marks:
            return f"{kind} {marks[kind][index]}"
        return f"rod {bench.rod_marks[index]} {kind}"

    return told(match.short, name)


def replace_job(job: Job, bench: Bench) -> tuple[Replacement, ...]:
    """Return the parts of a job whose replacement would save much metal, the best first.

    A part is not bought to save less than 3 g of metal (own choice), unless the limits need it.

    Parameters
    ----------
    job : Job
        As read from its file.
    bench : Bench
        Its weighed parts.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.parts.weigh_steps import weigh_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> replace_job(job, weigh_job(job))[0].kind
    'rod'

    Source: as for :func:`balance.parts.advice.worth_replacing`.
    """
    choose = _choose(job, bench)
    found = worth_replacing(**_masses(bench), **_wanted(job), choose=choose)
    return tuple(each for each in found if each.saved_g >= _WORTH_A_PART_G)


def _big_end_tolerance(job: Job) -> float:
    stated = job.targets.big_end_tolerance
    return job.targets.match_tolerance if stated is None else stated


def _limits(pages: Sequence[float | None], default: float | None) -> list[float | None]:
    return [default if own is None else own for own in pages]


def _masses(bench: Bench) -> dict[str, Any]:
    return {
        "pistons_g": [weight.mass_g for weight in bench.pistons],
        "pins_g": [weight.mass_g for weight in bench.pins],
        "small_ends_g": [rod.small_end_g for rod in bench.rods],
        "big_ends_g": [rod.big_end_g for rod in bench.rods],
    }


def _wanted(job: Job) -> dict[str, Any]:
    """Return the tolerances and what each part may lose, in the file's order."""
    parts = job.parts
    small = [rod.small_end_can_lose for rod in parts.rods]
    big = [rod.big_end_can_lose for rod in parts.rods]
    return {
        "tolerance_g": job.targets.match_tolerance,
        "big_end_tolerance_g": _big_end_tolerance(job),
        "piston_limits_g": _limits([p.can_lose for p in parts.pistons], parts.piston_can_lose),
        "small_end_limits_g": _limits(small, parts.small_end_can_lose),
        "big_end_limits_g": _limits(big, parts.big_end_can_lose),
    }


def _allowed(job: Job) -> Allowed:
    """Return the tolerances and, by mark, what each part may lose."""
    parts = job.parts

    def limits(pages: Sequence[Any], key: str, default: float | None) -> dict[str, float]:
        own = _limits([getattr(page, key) for page in pages], default)
        return {
            page.mark: math.inf if limit is None else limit
            for page, limit in zip(pages, own, strict=True)
        }

    return Allowed(
        tolerance_g=job.targets.match_tolerance,
        big_end_tolerance_g=_big_end_tolerance(job),
        pistons_g=limits(parts.pistons, "can_lose", parts.piston_can_lose),
        small_ends_g=limits(parts.rods, "small_end_can_lose", parts.small_end_can_lose),
        big_ends_g=limits(parts.rods, "big_end_can_lose", parts.big_end_can_lose),
        division_g=job.scale.resolution,
    )


def _prices(job: Job, bench: Bench, sets: SetMatch) -> Prices:
    """Return what the ways cost for the parts that were chosen."""
    if not sets.sets:
        return compare_ways(**_masses(bench), **_wanted(job))
    rods = [chosen.rod for chosen in sets.sets]
    order = {
        "piston": [chosen.piston for chosen in sets.sets],
        "pin": [chosen.pin for chosen in sets.sets],
        "small": rods,
        "big": rods,
    }
    chosen: dict[str, Any] = {}
    for name, values in (_masses(bench) | _wanted(job)).items():
        picks = order.get(name.split("_")[0].removesuffix("s"))
        chosen[name] = [values[k] for k in picks] if picks and isinstance(values, list) else values
    return compare_ways(**chosen)


def _choose(job: Job, bench: Bench) -> int | None:
    """Return how many sets to choose from spares; None when there are no spares."""
    wanted = job.engine.cylinder_count
    stock = (bench.piston_marks, bench.pin_marks, bench.rod_marks)
    return None if all(len(marks) == wanted for marks in stock) else wanted
