"""The first step of a job: from the weighings on paper to the mass of every part."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from balance.errors import InputError, MissingInputError
from balance.job.hung import HUNG
from balance.job.model import Job
from balance.job.readings import Wanted, wanted_weighings
from balance.parts.after_cut import repeat_g, since_last_cut
from balance.parts.lots import weigh_all
from balance.parts.rods import RodEnds, rod_ends, rod_from_one_end
from balance.parts.suspects import WrongWeighing, wrong_weighings
from balance.parts.weighing import Weight, pooled_repeatability

__all__ = [
    "Bench",
    "finished_parts",
    "finished_weights",
    "first_weights",
    "repeatability_job",
    "suspects_job",
    "weigh_job",
]

_ENOUGH = 4  # degrees of freedom below which a pooled standard deviation says little
_ENDS = ("total", "big_end", "small_end")
Weights = dict[tuple[str, str], Weight]


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


def weigh_job(job: Job) -> Bench:
    """Return the mass of every part from its weighings, and the ends of every rod.

    Parameters
    ----------
    job : Job
        Pistons, pins and rods with at least one weighing each; of a rod two of the three.

    Raises
    ------
    MissingInputError
        Listing every part that is short and every weighing that is still to be made.

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
    wanted = wanted_weighings(job)
    if needed := [*_missing(job, wanted)]:
        raise MissingInputError("match", needed)
    weights, s_g = _averaged(job, wanted)
    parts = job.parts
    return Bench(
        piston_marks=tuple(part.mark for part in parts.pistons),
        pistons=tuple(weights[part.mark, "weight"] for part in parts.pistons),
        pin_marks=tuple(part.mark for part in parts.pins),
        pins=tuple(weights[part.mark, "weight"] for part in parts.pins),
        rod_marks=tuple(rod.mark for rod in parts.rods),
        rods=tuple(_rod(rod.mark, weights) for rod in parts.rods),
        repeatability_g=s_g,
    )


def finished_parts(job: Job) -> tuple[dict[str, Weight], dict[tuple[str, str], float]]:
    """Return what was weighed again after cutting, since the last cut.

    Pistons and pins by mark; ends of rods [g] by mark and "big_end" or "small_end". An end that
    was weighed alone counts by itself; a total alone says nothing about either end.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> finished_parts(read_job(files("cli.examples") / "flat-four.toml"))
    ({}, {})
    """
    weights = {(entry.part, entry.what): weight for entry, weight in finished_weights(job)}
    singles = {mark: weight for (mark, what), weight in weights.items() if what == "weight"}
    ends: dict[tuple[str, str], float] = {}
    for rod in job.parts.rods:
        ends |= _finished_ends(rod.mark, weights)
    return singles, ends


def finished_weights(job: Job) -> tuple[tuple[Wanted, Weight], ...]:
    """Return every weighing after cutting that was made, averaged over the readings that count.

    A part that is cut on becomes lighter: the readings before that say nothing any more.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> finished_weights(read_job(files("cli.examples") / "flat-four.toml"))
    ()

    Source: as for :func:`balance.parts.lots.weigh_all`.
    """
    near_g = repeat_g(job.scale)
    wanted = [
        replace(entry, readings_g=since_last_cut(entry.readings_g, near_g=near_g))
        for entry in wanted_weighings(job, finished=True)
        if entry.readings_g
    ]
    weights, _ = _averaged(job, wanted) if wanted else ({}, 0.0)
    return tuple((entry, weights[entry.part, entry.what]) for entry in wanted)


def _finished_ends(mark: str, weights: Weights) -> dict[tuple[str, str], float]:
    keys = [(mark, what) for what in _ENDS if (mark, what) in weights]
    if len(keys) > 1:
        rod = _rod(mark, weights)
        return {(mark, "big_end"): rod.big_end_g, (mark, "small_end"): rod.small_end_g}
    return {key: weights[key].mass_g for key in keys if key[1] != "total"}


def first_weights(job: Job) -> tuple[tuple[Wanted, Weight], ...]:
    """Return every weighing of a marked part before cutting, averaged, in the file's order.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> first_weights(job)[0][0].label
    'piston P1'

    Source: as for :func:`balance.parts.lots.weigh_all`.
    """
    wanted = _weighed(wanted_weighings(job))
    weights, _ = _averaged(job, wanted) if wanted else ({}, 0.0)
    return tuple((entry, weights[entry.part, entry.what]) for entry in wanted)


def repeatability_job(job: Job) -> float:
    """Return the standard deviation of one reading [g]: as stated, or from the job's repeats.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> repeatability_job(read_job(files("cli.examples") / "v8.toml"))
    0.05
    """
    read = [entry.readings_g for entry in _weighed(wanted_weighings(job))]
    return _repeatability_g(job, read)[0]


def suspects_job(job: Job) -> tuple[tuple[str, WrongWeighing], ...]:
    """Return each rod whose ends do not close, by mark, with the weighing that is probably wrong.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> suspects_job(read_job(files("cli.examples") / "flat-four.toml"))
    ()

    Source: as for :func:`balance.parts.suspects.wrong_weighings`.
    """
    weights, _ = _averaged(job, wanted_weighings(job))
    marks = [rod.mark for rod in job.parts.rods]
    whole = [mark for mark in marks if all((mark, what) in weights for what in _ENDS)]
    if not whole:
        return ()
    masses = {what: [weights[mark, what].mass_g for mark in whole] for what in _ENDS}
    found = wrong_weighings(
        totals_g=masses["total"],
        big_ends_g=masses["big_end"],
        small_ends_g=masses["small_end"],
        u_g=[max(weights[mark, what].u_g for mark in whole) for what in _ENDS],
    )
    named = {whole[entry.rod]: entry for entry in found}
    for index, mark in enumerate(whole):
        rod = _rod(mark, weights)  # by its own doubt: it may be weighed more finely than others
        if mark not in named and rod.closure_g is not None and not rod.consistent:
            named[mark] = WrongWeighing(index, rod.closure_g, None, None, None)
    return tuple(named.items())


def _missing(job: Job, wanted: Sequence[Wanted]) -> Iterator[str]:
    for kind, pages in (("piston", job.parts.pistons), ("pin", job.parts.pins)):
        if not pages:
            yield f"the {kind}s: a [[parts.{kind}s]] table with mark and weight for each"
    if not job.parts.rods:
        yield "the rods: a [[parts.rods]] table each with mark, total, big_end and small_end"
    yield from _too_few(job)
    for entry in wanted:
        if entry.kind != "rod" and not entry.readings_g:
            yield f"the weight of {entry.kind} {entry.part}"
    for rod in job.parts.rods:
        own = [entry for entry in wanted if (entry.kind, entry.part) == ("rod", rod.mark)]
        absent = [entry.what for entry in own if not entry.readings_g]
        if len(absent) > 1:
            yield f"{_either(absent)} of rod {rod.mark}".replace("_", " ")


def _either(absent: Sequence[str]) -> str:
    """Say which weighings of a rod are needed: two of the three give both ends."""
    return " or ".join(absent) if len(absent) < len(_ENDS) else f"two of {', '.join(absent)}"


def _too_few(job: Job) -> Iterator[str]:
    """Yield which parts are short, where there are some of them."""
    cylinders = job.engine.cylinder_count
    for kind in ("pistons", "pins", "rods"):
        there = len(getattr(job.parts, kind))
        if 0 < there < cylinders:
            short = cylinders - there
            name = kind.removesuffix("s") if short == 1 else kind
            yield (
                f"{short} more {name} under [[parts.{kind}]]: the engine has {cylinders} cylinders"
            )


def _weighed(wanted: Iterable[Wanted]) -> list[Wanted]:
    """Return what was weighed of it; sets of rings and the like are no repeats of one part."""
    return [entry for entry in wanted if entry.readings_g and entry.kind not in HUNG]


def _averaged(job: Job, wanted: Sequence[Wanted]) -> tuple[Weights, float]:
    """Return every weighing averaged, all judged together, and the scale's repeatability."""
    read = _weighed(wanted)
    groups = [entry.readings_g for entry in read]
    s_g, pooled = _repeatability_g(job, groups)
    averaged = weigh_all(
        groups,
        resolution_g=job.scale.resolution,
        repeatability_g=None if pooled else s_g,
    )
    keys = [(entry.part, entry.what) for entry in read]
    return dict(zip(keys, averaged, strict=True)), s_g


def _repeatability_g(job: Job, groups: Sequence[tuple[float, ...]]) -> tuple[float, bool]:
    """Return the repeatability: as stated, else pooled, else half a division of the scale."""
    if job.scale.repeatability is not None:
        return job.scale.repeatability, False
    repeated = [group for group in groups if len(group) > 1]
    if sum(len(group) - 1 for group in repeated) < _ENOUGH:
        return job.scale.resolution / 2, False
    return pooled_repeatability(repeated).s_g, True


def _rod(mark: str, weights: Weights) -> RodEnds:
    """Reconcile a rod's three weighings, or take the end that was not weighed as the rest."""
    ends = {what: weights.get((mark, what)) for what in _ENDS}
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
