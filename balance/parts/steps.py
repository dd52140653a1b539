"""The steps of the job in this room: from the weighings on paper to matched sets."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from balance.errors import InputError, MissingInputError
from balance.job.model import Job, RodPage
from balance.parts.advice import Prices, Replacement, compare_ways, worth_replacing
from balance.parts.lots import weigh_all
from balance.parts.matching import SetMatch, match_sets
from balance.parts.rods import RodEnds, rod_ends, rod_from_one_end
from balance.parts.weighing import Weight, pooled_repeatability

__all__ = ["Bench", "FinishedSet", "Matched", "match_job", "replace_job", "weigh_job"]


@dataclass(frozen=True)
class Bench:
    """Everything weighed: marks and masses [g] of pistons, pins and rods, in the file's order."""

    piston_marks: tuple[str, ...]
    pistons: tuple[Weight, ...]
    pin_marks: tuple[str, ...]
    pins: tuple[Weight, ...]
    rod_marks: tuple[str, ...]
    rods: tuple[RodEnds, ...]
    repeatability_g: float


@dataclass(frozen=True)
class FinishedSet:
    """One set as it will turn: what to cut, and what then reciprocates and rotates [g].

    ``rotating_g`` and ``reciprocating_g`` belong to one rod and hold its rings, locks and shells.
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


@dataclass(frozen=True)
class Matched:
    """The matched sets of a job, with the other way and the plain shop rule beside them."""

    bench: Bench
    match: SetMatch
    sets: tuple[FinishedSet, ...]
    prices: Prices
    tolerance_g: float
    big_end_tolerance_g: float


def weigh_job(job: Job) -> Bench:
    """Return the mass of every part from its weighings, and the ends of every rod.

    Parameters
    ----------
    job : Job
        Pistons, pins and rods with at least one weighing each; of a rod two of the three.

    Raises
    ------
    MissingInputError
        Listing every weighing that is still to be made.

    Examples
    --------
    >>> from balance.job.load import read_text
    >>> text = '''format = 1
    ... job = {name = "one"}
    ... engine = {layout = "single", stroke = 80, rod_length = 130, bore_spacing = 90}
    ... parts.pistons = [{mark = "P1", weight = [420.3, 420.5]}]
    ... parts.pins = [{mark = "N1", weight = 110.2}]
    ... parts.rods = [{mark = "R1", total = 600.0, big_end = 420.1, small_end = 180.0}]
    ... '''
    >>> round(weigh_job(read_text(text)).rods[0].closure_g, 3)
    0.1

    Source: as for :func:`balance.parts.weighing.average` and :func:`balance.parts.rods.rod_ends`.
    """
    readings = _Readings(job)
    if needed := [*readings.missing()]:
        raise MissingInputError("match", needed)
    weights, s_g = readings.weights()
    parts = job.parts
    return Bench(
        tuple(part.mark for part in parts.pistons),
        tuple(weights[part.mark, "weight"] for part in parts.pistons),
        tuple(part.mark for part in parts.pins),
        tuple(weights[part.mark, "weight"] for part in parts.pins),
        tuple(rod.mark for rod in parts.rods),
        tuple(_rod(rod.mark, weights) for rod in parts.rods),
        s_g,
    )


class _Readings:
    """The weighings of a job, those in the tables and those appended, less those taken back."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.appended: dict[tuple[str, str], list[float]] = {}
        for entry in job.weighings:
            if entry.finished:
                continue
            values = self.appended.setdefault((entry.part, entry.what), [])
            if entry.value is None:
                values.pop()
            else:
                values.append(entry.value)

    def of(self, mark: str, what: str, written: Sequence[float]) -> list[float]:
        return [*written, *self.appended.get((mark, what), [])]

    def of_rod(self, rod: RodPage) -> dict[str, list[float]]:
        kinds = {"total": rod.total, "big_end": rod.big_end, "small_end": rod.small_end}
        return {what: self.of(rod.mark, what, written) for what, written in kinds.items()}

    def missing(self) -> Iterable[str]:
        parts = self.job.parts
        for kind, pages in (("piston", parts.pistons), ("pin", parts.pins)):
            if not pages:
                yield f"the {kind}s: a [[parts.{kind}s]] table with mark and weight for each"
            for page in pages:
                if not self.of(page.mark, "weight", page.weight):
                    yield f"the weight of {kind} {page.mark}"
        if not parts.rods:
            yield "the rods: a [[parts.rods]] table each with mark, total, big_end and small_end"
        for rod in parts.rods:
            absent = [what for what, values in self.of_rod(rod).items() if not values]
            if len(absent) > 1:
                yield f"{' or '.join(absent)} of rod {rod.mark}".replace("_", " ")

    def weights(self) -> tuple[dict[tuple[str, str], Weight], float]:
        """Return every weighing averaged, all judged together, and the scale's repeatability."""
        groups = {
            (part.mark, "weight"): self.of(part.mark, "weight", part.weight)
            for part in (*self.job.parts.pistons, *self.job.parts.pins)
        }
        for rod in self.job.parts.rods:
            ends = self.of_rod(rod).items()
            groups |= {(rod.mark, what): values for what, values in ends if values}
        s_g, pooled = self._repeatability_g(list(groups.values()))
        averaged = weigh_all(
            list(groups.values()),
            resolution_g=self.job.scale.resolution,
            repeatability_g=None if pooled else s_g,
        )
        return dict(zip(groups, averaged, strict=True)), s_g

    def _repeatability_g(self, groups: list[list[float]]) -> tuple[float, bool]:
        """Return the repeatability: as stated, else pooled, else half a division of the scale."""
        scale = self.job.scale
        if scale.repeatability is not None:
            return scale.repeatability, False
        repeated = [group for group in groups if len(group) > 1]
        if sum(len(group) - 1 for group in repeated) < _ENOUGH:
            return scale.resolution / 2, False
        return pooled_repeatability(repeated).s_g, True


def _rod(mark: str, weights: dict[tuple[str, str], Weight]) -> RodEnds:
    """Reconcile a rod's three weighings, or take the end that was not weighed as the rest."""
    ends = {what: weights.get((mark, what)) for what in ("total", "big_end", "small_end")}
    weighed = {f"{what}_g": weight for what, weight in ends.items() if weight is not None}
    masses = {what: weight.mass_g for what, weight in weighed.items()}
    u_g = [weight.u_g for weight in weighed.values()]
    try:
        if len(masses) == len(ends):
            return rod_ends(**masses, u_g=u_g)
        if "total_g" not in masses:  # both ends and no total: nothing checks them
            both = sum(masses.values())
            return rod_from_one_end(total_g=both, big_end_g=masses["big_end_g"], u_g=u_g)
        return rod_from_one_end(**masses, u_g=u_g)
    except InputError as wrong:
        raise InputError(f"rod {mark}: {wrong}") from None


_ENOUGH = 4  # degrees of freedom below which a pooled standard deviation says little


def match_job(job: Job) -> Matched:
    """Return the sets of a job that remove the least metal, and the price of the other ways.

    Raises
    ------
    MissingInputError
        When weighings are missing.
    InputError
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

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
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
            raise InputError(f"the engine has {wanted} cylinders but there are {len(marks)} {kind}")
    return wanted


def _finished(job: Job, bench: Bench, sets: SetMatch) -> Iterable[FinishedSet]:
    parts = job.parts
    for chosen, cut in zip(sets.sets, sets.cuts, strict=True):
        piston = bench.pistons[chosen.piston].mass_g - cut.piston_g
        pin = bench.pins[chosen.pin].mass_g
        rod = bench.rods[chosen.rod]
        small_end = rod.small_end_g - cut.small_end_g
        big_end = rod.big_end_g - cut.big_end_g
        yield FinishedSet(
            piston=bench.piston_marks[chosen.piston],
            pin=bench.pin_marks[chosen.pin],
            rod=bench.rod_marks[chosen.rod],
            piston_cut_g=cut.piston_g,
            small_end_cut_g=cut.small_end_g,
            big_end_cut_g=cut.big_end_g,
            piston_g=piston,
            pin_g=pin,
            small_end_g=small_end,
            big_end_g=big_end,
            reciprocating_g=piston + pin + small_end + parts.ring_set + parts.locks,
            rotating_g=big_end + parts.bearing_shells,
        )
