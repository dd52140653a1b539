"""Is this reading likely to be what lay on the scale? Asked while it is still there."""

import re
from collections.abc import Iterable, Iterator, Sequence
from statistics import median, median_high, median_low

from balance.errors import InputError
from balance.job.lists import Taken
from balance.job.model import Job, ScalePage, WeighingPage
from balance.job.readings import Wanted, find_wanted, wanted_weighings
from balance.parts.oddities import MAKER_SPAN_G
from balance.parts.rods import rod_ends
from balance.parts.weighing import average
from balance.units import read

__all__ = ["list_doubts", "reading_doubts", "slips"]

_DIVISIONS = 3  # repeats of one part may differ by this many divisions of the scale
_SIGMAS = 6.0  # ... or by this many standard deviations: a swap of two digits is far more


def reading_doubts(
    job: Job, wanted: Wanted, value_g: float, *, written: str, finished: bool = False
) -> tuple[str, ...]:
    """Say what makes a reading unlikely; nothing when it looks right. It never decides.

    A repeat is compared with the earlier readings of the same weighing, a first reading with the
    same kind of part in this engine (`MAKER_SPAN_G`), and a rod's three weighings with each other:
    big end + small end = total.

    Parameters
    ----------
    job : Job
        As it stands before the reading.
    wanted : Wanted
        What is on the scale.
    value_g : float [g]
        The reading.
    written : str
        The reading as typed, with its unit, to find a slip of the finger in it.
    finished : bool, optional
        Whether the part was weighed after cutting.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.job.readings import find_wanted
    >>> job = read_job(files("cli.examples") / "v-twin.toml")
    >>> piston = find_wanted(job, "P1", None)
    >>> reading_doubts(job, piston, 494.7, written="494.7 g")
    ()
    >>> reading_doubts(job, piston, 449.7, written="449.7 g")
    ('piston P1: 449.70 g is 45.00 g lighter than its other readings (did you mean 494.7 g?)',)

    Source: comparing repeats, neighbours and the check sum of a rod is common practice, no source.
    """
    every = wanted_weighings(job, finished=finished)
    doubts = [*_against_others(job.scale, every, wanted, value_g, written, finished=finished)]
    if wanted.kind == "rod":
        doubts += _closing(job.scale, every, wanted, value_g)
    return tuple(doubts)


def list_doubts(
    job: Job, taken: Sequence[Taken], *, finished: bool = False
) -> dict[str, tuple[int, ...]]:
    """Return what makes readings of a list unlikely, each with the rows that it is said of.

    Each reading is compared as in :func:`reading_doubts` with the job's and with all others of
    the list, before and after it.

    Parameters
    ----------
    job : Job
        As it stands before the list.
    taken : sequence of Taken
        From :func:`balance.job.lists.match_list`.
    finished : bool, optional
        Whether the parts were weighed after cutting.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "v-twin.toml")
    >>> wanted = find_wanted(job, "P1", None)
    >>> list_doubts(job, [Taken(wanted, "494.7 g", 494.7, 2)])
    {}
    """
    pages = [
        WeighingPage(
            part=item.wanted.part, what=item.wanted.what, value=item.mass_g, finished=finished
        )
        for item in taken
    ]
    found: dict[str, list[int]] = {}
    for n, item in enumerate(taken):
        others = (*job.weighings, *pages[:n], *pages[n + 1 :])
        beside = job.model_copy(update={"weighings": others})
        wanted = find_wanted(beside, item.wanted.part, item.wanted.what, finished=finished)
        for doubt in reading_doubts(
            beside, wanted, item.mass_g, written=item.text, finished=finished
        ):
            found.setdefault(doubt, []).append(item.row)
    return {doubt: tuple(dict.fromkeys(rows)) for doubt, rows in found.items()}


def slips(written: str) -> tuple[str, ...]:
    """Return what may have been meant: two neighbouring digits swapped, the point misplaced.

    Examples
    --------
    >>> slips("42.3 g")
    ('24.3 g', '43.2 g', '4.23 g', '423 g')
    """
    parts = re.fullmatch(r"\s*(\d+)(?:[.,](\d+))?(\D*)", written)
    if parts is None:
        return ()
    whole, rest, tail = parts[1], parts[2] or "", parts[3]
    digits, places = whole + rest, len(whole)
    swapped = (
        digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :] for i in range(len(digits) - 1)
    )
    swaps = [(text, places) for text in dict.fromkeys(swapped) if text != digits]
    shifts = [(digits, places - 1)] * (places > 1) + [(digits.ljust(places + 1, "0"), places + 1)]
    return tuple(_pointed(text, at) + tail for text, at in (*swaps, *shifts))


def _pointed(digits: str, places: int) -> str:
    return digits[:places] + (f".{digits[places:]}" if digits[places:] else "")


def _against_others(
    scale: ScalePage,
    every: Sequence[Wanted],
    wanted: Wanted,
    value_g: float,
    written: str,
    *,
    finished: bool,
) -> Iterator[str]:
    if wanted.readings_g:
        others, near, whose = wanted.readings_g, _repeat_g(scale), "its other readings"
    else:
        others = tuple(_neighbours(every, wanted))
        near = MAKER_SPAN_G["rod" if wanted.kind == "rod" else "piston"]
        whose = f"the other {wanted.kind}s"
    if not others:
        return
    middle = median(others)
    middles = (median_low(others), median_high(others))  # one wrong of two must not shift both
    if min(abs(value_g - one) for one in middles) > near:
        how = "heavier" if value_g > middle else "lighter"
        by = f"{value_g:.2f} g is {abs(value_g - middle):.2f} g {how} than {whose}"
        hint = _meant(written, middle, near)
        if not hint and wanted.readings_g and value_g < middle:
            cut = "" if finished else "weighed after cutting? add --finished; "
            hint = f" ({cut}a wrong earlier reading? --undo)"
        yield f"{wanted.label}: {by}{hint}"


def _neighbours(every: Iterable[Wanted], wanted: Wanted) -> Iterator[float]:
    for other in every:
        same = (other.kind, other.what) == (wanted.kind, wanted.what)
        if same and other.part != wanted.part and other.readings_g:
            yield median(other.readings_g)


def _repeat_g(scale: ScalePage) -> float:
    return max(_DIVISIONS * scale.resolution, _SIGMAS * (scale.repeatability or 0.0))


def _meant(written: str, middle_g: float, near_g: float) -> str:
    for slip in (*slips(written), *_other_units(written)):
        if abs(read(slip, "mass") - middle_g) <= near_g:
            return f" (did you mean {slip}?)"
    return ""


def _other_units(written: str) -> Iterator[str]:
    """Yield the same number in the units of mass that a list may forget to name."""
    number = re.match(r"\s*(\d+(?:[.,]\d+)?)", written)
    if number is not None:
        yield from (f"{number[1]} {unit}" for unit in ("g", "oz", "kg", "lb"))


def _closing(
    scale: ScalePage, every: Sequence[Wanted], wanted: Wanted, value_g: float
) -> Iterator[str]:
    """Weigh the three weighings of a rod against each other, once all three are there."""
    known = {other.what: other.readings_g for other in every if other.part == wanted.part}
    known[wanted.what] = (*known[wanted.what], value_g)
    if not all(known[what] for what in ("total", "big_end", "small_end")):
        yield from _ends_in_order(known, wanted)
        return
    weights = {
        f"{what}_g": average(
            known[what],
            resolution_g=scale.resolution,
            repeatability_g=scale.resolution / 2
            if scale.repeatability is None
            else scale.repeatability,
        )
        for what in ("total", "big_end", "small_end")
    }
    try:
        rod = rod_ends(
            **{what: weight.mass_g for what, weight in weights.items()},
            u_g=[weight.u_g for weight in weights.values()],
        )
    except InputError as wrong:
        yield f"rod {wanted.part}: {wrong}"
        return
    if not rod.consistent:
        yield (
            f"rod {wanted.part} does not close: big end + small end differ from the total by "
            f"{rod.closure_g:+.2f} g, more than {rod.closure_limit_g:.2f} g"
        )


def _ends_in_order(known: dict[str, tuple[float, ...]], wanted: Wanted) -> Iterator[str]:
    total = known["total"]
    for what in ("big_end", "small_end"):
        if total and known[what] and median(known[what]) >= median(total):
            name = what.replace("_", " ")
            yield f"rod {wanted.part}: its {name} cannot weigh as much as the whole rod"
