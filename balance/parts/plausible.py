"""Is this reading likely to be what lay on the scale? Asked while it is still there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median, median_high, median_low
from typing import TYPE_CHECKING

from balance.errors import HeavyspotError, InputError
from balance.job.appended import WeighingPage
from balance.job.hung import HUNG
from balance.job.lists import Taken
from balance.job.model import Job, ScalePage
from balance.job.readings import Wanted, find_wanted, wanted_weighings
from balance.parts.after_cut import grown, repeat_g, since_last_cut
from balance.parts.oddities import MAKER_SPAN_G
from balance.parts.rods import rod_ends
from balance.parts.slips import finest_g, meant
from balance.parts.swapped import ends_of, is_known_heavy, swapped_ends, wrong_kind
from balance.parts.weighing import average

if TYPE_CHECKING:
    from balance.parts.finished import CutPart
    from balance.parts.steps import Matched

__all__ = ["AT_BENCH", "ON_LINE", "Ways", "list_doubts", "reading_doubts"]


@dataclass(frozen=True)
class Ways:
    """How a person says that a part is finished, and takes the latest reading back."""

    finished: str
    undo: str


ON_LINE = Ways(finished="add --finished", undo="--undo takes it back")
_BOX = 0.03  # sets of rings, locks or shells out of one box differ so: common practice, no source
AT_BENCH = Ways(finished="q, then heavyspot weigh --finished", undo="u takes it back")


def reading_doubts(
    job: Job,
    wanted: Wanted,
    value_g: float,
    *,
    written: str,
    finished: bool = False,
    ways: Ways = ON_LINE,
) -> tuple[str, ...]:
    """Say what makes a reading unlikely; nothing when it looks right. It never decides.

    A repeat is compared with the earlier readings of the same weighing, a first reading with the
    same kind of part in this engine (`MAKER_SPAN_G`), a rod's three weighings with each other (big
    end + small end = total, the big end is the heavier), a part after its cut with what it weighed
    before and with the plan, and the figures that were written with the scale's division.

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
    ways : Ways, optional
        What a person can do about it, where they are.

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
    plan = _plan(job) if finished else None
    new = not wanted.readings_g
    return _Reading(job, wanted, value_g, written, finished, ways, plan, new).doubts()


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
    pairs = _disagreeing_pairs(job.scale, taken)
    plan = _plan(job) if finished else None
    for n, item in enumerate(taken):
        if item.wanted.label in pairs:
            said, rows = pairs[item.wanted.label]
            found[said] = rows
            continue
        others = (*job.weighings, *pages[:n], *pages[n + 1 :])
        beside = job.model_copy(update={"weighings": others})
        wanted = find_wanted(beside, item.wanted.part, item.wanted.what, finished=finished)
        before = [other.wanted.label for other in taken[:n]]
        new = not item.wanted.readings_g and item.wanted.label not in before
        reading = _Reading(beside, wanted, item.mass_g, item.text, finished, ON_LINE, plan, new)
        for doubt in reading.doubts():
            found.setdefault(doubt, []).append(item.row)
    return {doubt: tuple(dict.fromkeys(rows)) for doubt, rows in found.items()}


def _plan(job: Job) -> Matched | None:
    """Return the cuts that a part after its cut is held against; None while there are none."""
    from balance.parts.steps import match_job

    try:
        made = match_job(job)
    except HeavyspotError:
        return None
    return made if made.match.feasible and not made.weigh_again else None


def _disagreeing_pairs(
    scale: ScalePage, taken: Sequence[Taken]
) -> dict[str, tuple[str, list[int]]]:
    """Return what is said of two rows of a list that disagree where nothing else tells which."""
    rows: dict[str, list[Taken]] = {}
    for item in taken:
        rows.setdefault(item.wanted.label, []).append(item)
    found = {}
    for label, items in rows.items():
        if len(items) != 2 or items[0].wanted.readings_g:
            continue
        one, other = (item.mass_g for item in items)
        pair = replace(items[0].wanted, readings_g=(one, other))
        if abs(one - other) > _repeats_g(scale, pair):
            said = f"{label}: {one:.2f} g and {other:.2f} g lie {abs(one - other):.2f} g apart"
            found[label] = (f"{said}: which is right?", [item.row for item in items])
    return found


@dataclass(frozen=True)
class _Reading:
    """One reading beside everything that the job has so far."""

    job: Job
    wanted: Wanted
    value_g: float
    written: str
    finished: bool
    ways: Ways
    plan: Matched | None
    new: bool  # the first of this weighing: repeats that came with it show no wrong part

    def doubts(self) -> tuple[str, ...]:
        """Return everything that makes it unlikely."""
        rod = self.wanted.kind == "rod"
        if coarse := [*self.coarse()]:
            return tuple(coarse)  # anything else may come from that
        if not self.finished and (forgotten := [*self.forgotten()]):
            return tuple(forgotten)
        said = [*self.after_cut()] if self.finished else []
        swapped = [*self.swapped()] if rod else []
        if not swapped and not (self.finished and said):  # said once is enough
            said += self.against_others()
        if rod:
            said += swapped or self.closing()
        return tuple(said)

    @property
    def every(self) -> tuple[Wanted, ...]:
        return wanted_weighings(self.job, finished=self.finished)

    def coarse(self) -> Iterator[str]:
        """Doubt a reading with fewer figures than the scale shows; in grams 420 may be 420.0."""
        step_g, division_g = finest_g(self.written), self.job.scale.resolution
        if step_g is None or step_g <= repeat_g(self.job.scale):
            return
        known = f"{step_g:.1f}" if step_g < 10 else f"{step_g:.0f}"
        yield (
            f"{self.wanted.label}: {self.written} is known to {known} g only, the scale shows "
            f"{division_g:g} g: write every figure that it shows, or weigh in grams"
        )

    def forgotten(self) -> Iterator[str]:
        """Doubt a first weighing of a part that was weighed after its cut."""
        after = wanted_weighings(self.job, finished=True)
        if any(other.part == self.wanted.part and other.readings_g for other in after):
            yield (
                f"{self.wanted.part} has been weighed after the cut: is this one too? "
                f"({self.ways.finished})"
            )

    def after_cut(self) -> Iterator[str]:
        """Hold a part after its cut against what it weighed before, and against the plan."""
        before = find_wanted(self.job, self.wanted.part, self.wanted.what).readings_g
        near_g = repeat_g(self.job.scale)
        label = self.wanted.label
        if before and (said := grown(label, median(before), self.value_g, near_g=near_g)):
            yield f"{said}{meant(self.written, median(before), near_g)}"
        else:
            yield from self._off_its_stop()

    def _off_its_stop(self) -> Iterator[str]:
        from balance.parts.finished import off_stop

        part, made = self._planned(), self.plan
        if part is None or made is None:
            return
        tolerances = made.tolerance_g, made.big_end_tolerance_g
        near_g = max(tolerances[part.what == "big end"], self.job.scale.resolution)
        if said := off_stop(part, self.value_g, near_g=near_g):
            yield f"{said}{meant(self.written, part.stop_g, near_g)}"

    def _planned(self) -> CutPart | None:
        """Return this part with its stop, where the plan has one."""
        ends = {"weight": "piston", "big_end": "big end", "small_end": "small end"}
        key = (self.wanted.part, ends.get(self.wanted.what))
        parts = (
            part for entry in (self.plan.sets if self.plan else ()) for part in entry.cut_parts
        )
        return next((part for part in parts if (part.mark, part.what) == key), None)

    def against_others(self) -> Iterator[str]:
        """Compare with its own repeats; where it is new, with the other parts of its kind too."""
        said = [*self._against_repeats()] if self.wanted.readings_g else []
        yield from said or (self._against_neighbours() if self.new else ())

    def _against_repeats(self) -> Iterator[str]:
        others, near = self.wanted.readings_g, _repeats_g(self.job.scale, self.wanted)
        if self.finished:
            others = since_last_cut(others, near_g=near)
            if self.value_g < median(others) - near and self._planned() is not None:
                return  # cut on: how far is judged by its stop
        if off := self._off(others, near):
            hint = meant(self.written, median(others), near)
            yield f"{off} its other readings{hint or self._why(self.value_g < median(others))}"

    def _against_neighbours(self) -> Iterator[str]:
        kind, others = self.wanted.kind, tuple(_neighbours(self.every, self.wanted))
        near = MAKER_SPAN_G["rod" if kind == "rod" else "piston"]
        if not others and (said := wrong_kind(self.wanted, self.value_g, self.every)):
            yield said
        if off := self._off(others, near):
            hint = meant(self.written, median(others), near)
            yield f"{off} the other {kind}s{hint or self._other_end()}"

    def _off(self, others: Sequence[float], near_g: float) -> str:
        """Say how far the reading lies from others; nothing when it is near."""
        value_g = self.value_g
        middles = (median_low(others), median_high(others)) if others else (value_g,)
        if min(abs(value_g - one) for one in middles) <= near_g:  # of two, one may be wrong
            return ""
        middle = median(others)
        how = "heavier" if value_g > middle else "lighter"
        by = f"{value_g:.2f} g is {abs(value_g - middle):.2f} g {how} than"
        return f"{self.wanted.label}: {by}"

    def _why(self, lighter: bool) -> str:
        """Say what may have happened: weighed after the cut, or a wrong earlier reading."""
        cut = f"weighed after cutting? {self.ways.finished}; "
        cut = cut if lighter and not self.finished else ""
        return f" ({cut}a wrong earlier reading? {self.ways.undo})"

    def _other_end(self) -> str:
        ends = {"big_end": "small_end", "small_end": "big_end"}
        other = ends.get(self.wanted.what)
        fits = [
            median(each.readings_g)
            for each in self.every
            if each.kind == "rod" and each.what == other and each.readings_g
        ]
        if not fits or abs(self.value_g - median(fits)) > MAKER_SPAN_G["rod"]:
            return ""
        return f" (their {str(other).replace('_', ' ')}s weigh that: is it that end?)"

    def known(self) -> dict[str, tuple[float, ...]]:
        """Return the readings of this rod's weighings, this one among them."""
        known = {w.what: w.readings_g for w in self.every if w.part == self.wanted.part}
        known[self.wanted.what] = (*known[self.wanted.what], self.value_g)
        return known

    def swapped(self) -> Iterator[str]:
        """Doubt the ends of this rod when the small one is the heavier by this reading."""
        mark = self.wanted.part
        if is_known_heavy(self.job, mark):
            return
        rods: dict[str, dict[str, tuple[float, ...]]] = {}
        for each in self.every:
            if each.kind == "rod":
                rods.setdefault(each.part, {})[each.what] = each.readings_g
        rods[mark] = self.known()
        middles = {
            other: {what: median(read) for what, read in known.items() if read}
            for other, known in rods.items()
        }
        ends = {other: both for other, known in middles.items() if (both := ends_of(known))}
        said = swapped_ends(ends).get(mark)
        if said is not None:
            yield said

    def closing(self) -> Iterator[str]:
        """Weigh the three weighings of a rod against each other, once all three are there."""
        yield from _closing(self.job.scale, self.known(), self.wanted.part)


def _repeats_g(scale: ScalePage, wanted: Wanted) -> float:
    """Return how far readings of one weighing may lie apart; rings and the like are many sets."""
    own = repeat_g(scale)
    return max(own, _BOX * median(wanted.readings_g)) if wanted.kind in HUNG else own


def _neighbours(every: Iterable[Wanted], wanted: Wanted) -> Iterator[float]:
    for other in every:
        same = (other.kind, other.what) == (wanted.kind, wanted.what)
        if same and other.part != wanted.part and other.readings_g:
            yield median(other.readings_g)


def _closing(scale: ScalePage, known: Mapping[str, tuple[float, ...]], mark: str) -> Iterator[str]:
    if not all(known[what] for what in ("total", "big_end", "small_end")):
        yield from _ends_in_order(known, mark)
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
        yield f"rod {mark}: {wrong}"
        return
    if rod.closure_g is not None and not rod.consistent:
        yield (
            f"rod {mark}: big end + small end come to {abs(rod.closure_g):.2f} g "
            f"{'more' if rod.closure_g > 0 else 'less'} than the total; weighing explains "
            f"{rod.closure_limit_g:.2f} g. One of the three is wrong: scale at zero, rod level?"
        )


def _ends_in_order(known: Mapping[str, tuple[float, ...]], mark: str) -> Iterator[str]:
    total = known["total"]
    for what in ("big_end", "small_end"):
        if total and known[what] and median(known[what]) >= median(total):
            name = what.replace("_", " ")
            yield f"rod {mark}: its {name} cannot weigh as much as the whole rod"
