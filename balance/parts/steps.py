"""The step of the job in this room: from weighed parts to matched sets."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from balance.errors import JobFileError
from balance.job.model import Job
from balance.parts._shortfall import told
from balance.parts.advice import Prices, Replacement, compare_ways, worth_replacing
from balance.parts.doubts import Doubt, doubts_job, doubts_of_cuts
from balance.parts.finished import FinishedSet, finished_sets
from balance.parts.matching import SetMatch, match_sets
from balance.parts.weigh_steps import Bench, weigh_job

__all__ = ["FinishedSet", "Matched", "match_job", "replace_job"]


@dataclass(frozen=True)
class Matched:
    """The matched sets of a job, with the other way and the plain shop rule beside them.

    ``match.reason`` names parts by their marks. ``doubts`` say what looks wrong about the weights.
    """

    bench: Bench
    match: SetMatch
    sets: tuple[FinishedSet, ...]
    prices: Prices
    tolerance_g: float
    big_end_tolerance_g: float
    doubts: tuple[Doubt, ...]

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
        When weighings are missing.
    JobFileError
        When the numbers of pistons, pins and rods do not fit the engine.

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
    found = match_sets(**_masses(bench), **_wanted(job), choose=_choose(job, bench))
    match = replace(found, reason=_with_marks(found, bench))
    sets = finished_sets(job, bench, match)
    tolerances = (job.targets.match_tolerance, _big_end_tolerance(job))
    cut_doubts = doubts_of_cuts(job, sets, tolerances_g=tolerances) if match.feasible else ()
    return Matched(
        bench=bench,
        match=match,
        sets=sets,
        prices=_prices(job, bench, match),
        tolerance_g=tolerances[0],
        big_end_tolerance_g=tolerances[1],
        doubts=(*doubts_job(job), *cut_doubts),
    )


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
    """Return the parts of a job whose replacement would save metal, the best first.

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
    return tuple(worth_replacing(**_masses(bench), **_wanted(job), choose=choose))


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
    wanted = _cylinders(job, bench)
    stock = (bench.piston_marks, bench.pin_marks, bench.rod_marks)
    return None if all(len(marks) == wanted for marks in stock) else wanted


def _cylinders(job: Job, bench: Bench) -> int:
    """Return how many sets the engine needs, or say which parts are short."""
    wanted = job.engine.cylinder_count
    for kind, marks in (
        ("pistons", bench.piston_marks),
        ("pins", bench.pin_marks),
        ("rods", bench.rod_marks),
    ):
        if len(marks) < wanted:
            message = f"the engine has {wanted} cylinders but there are {len(marks)} {kind}"
            raise JobFileError(message, path=job.source, key=f"parts.{kind}")
    return wanted
