"""The step of the job in this room: from weighed parts to matched sets."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from balance.errors import JobFileError
from balance.job.model import Job
from balance.parts.advice import Prices, Replacement, compare_ways, worth_replacing
from balance.parts.matching import SetMatch, match_sets
from balance.parts.weigh_steps import Bench, finished_parts, weigh_job

__all__ = ["FinishedSet", "Matched", "match_job", "replace_job"]


@dataclass(frozen=True)
class FinishedSet:
    """One set as it will turn: what to cut, and what then reciprocates and rotates [g].

    ``rotating_g`` and ``reciprocating_g`` belong to one rod and hold its rings, locks and shells.
    ``weighed`` says that piston and rod were weighed again after cutting; else it is expected.
    """

    piston: str
    pin: str
    rod: str
    piston_cut_g: float
    small_end_cut_g: float
    big_end_cut_g: float
    piston_g: float
    pin_g: float
    small_end_g: float
    big_end_g: float
    reciprocating_g: float
    rotating_g: float
    weighed: bool


@dataclass(frozen=True)
class Matched:
    """The matched sets of a job, with the other way and the plain shop rule beside them."""

    bench: Bench
    match: SetMatch
    sets: tuple[FinishedSet, ...]
    prices: Prices
    tolerance_g: float
    big_end_tolerance_g: float


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
    sets = match_sets(**_masses(bench), **_wanted(job), choose=_choose(job, bench))
    return Matched(
        bench=bench,
        match=sets,
        sets=tuple(_finished(job, bench, sets)),
        prices=_prices(job, bench, sets),
        tolerance_g=job.targets.match_tolerance,
        big_end_tolerance_g=_big_end_tolerance(job),
    )


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


def _finished(job: Job, bench: Bench, sets: SetMatch) -> Iterable[FinishedSet]:
    """Yield each set as it will weigh after its cuts, or as it was weighed after them."""
    singles, rods = finished_parts(job)
    extra, shells = job.parts.ring_set + job.parts.locks, job.parts.bearing_shells
    for chosen, cut in zip(sets.sets, sets.cuts, strict=True):
        marks = (
            bench.piston_marks[chosen.piston],
            bench.pin_marks[chosen.pin],
            bench.rod_marks[chosen.rod],
        )
        expected = bench.pistons[chosen.piston].mass_g - cut.piston_g
        piston = singles[marks[0]].mass_g if marks[0] in singles else expected
        pin = singles.get(marks[1], bench.pins[chosen.pin]).mass_g
        rod, again = bench.rods[chosen.rod], rods.get(marks[2])
        small_end = again.small_end_g if again else rod.small_end_g - cut.small_end_g
        big_end = again.big_end_g if again else rod.big_end_g - cut.big_end_g
        yield FinishedSet(
            *marks,
            piston_cut_g=cut.piston_g,
            small_end_cut_g=cut.small_end_g,
            big_end_cut_g=cut.big_end_g,
            piston_g=piston,
            pin_g=pin,
            small_end_g=small_end,
            big_end_g=big_end,
            reciprocating_g=piston + pin + small_end + extra,
            rotating_g=big_end + shells,
            weighed=marks[0] in singles and again is not None,
        )
