"""Weighing at the bench: guided part by part, or one part's readings at once."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import takewhile
from pathlib import Path

from balance.errors import HeavyspotError, InputError, JobFileError
from balance.job.append import append_entries, append_entry
from balance.job.columns import as_what
from balance.job.entries import (
    WrittenMass,
    joined_values,
    undo_entry,
    weighing_entry,
    written_mass,
)
from balance.job.hung import hung_name
from balance.job.lists import Taken
from balance.job.load import read_job
from balance.job.model import Job
from balance.job.readings import (
    Latest,
    Wanted,
    as_marked,
    find_wanted,
    last_weighing,
    wanted_weighings,
)
from balance.parts.plausible import AT_BENCH, list_doubts, reading_doubts
from cli.asking import Stopped, ask, ask_doubted, nothing_kept, settle
from cli.printing import indented, next_step, say

HELP = (
    "Type the reading, in {unit} unless you write its unit. n next part, u undo the last reading, "
    "q stop (go on later)."
)
_OF_A_ROD = ("total", "big_end", "small_end")


def add_readings(
    path: Path,
    part: str,
    values: Sequence[str],
    *,
    what: str | None,
    finished: bool,
    sure: bool,
    instrument: str,
) -> int:
    """Append the readings of one part, all of them or none."""
    job = read_job(path)
    said, values = _led_by_words(values)
    wanted = find_wanted(job, part, what or said, finished=finished)
    masses = [written_mass(value, unit=job.units.mass) for value in joined_values(values)]
    taken = [Taken(wanted, mass.text, mass.mass_g, 0) for mass in masses]
    with nothing_kept():
        agreed = settle([*list_doubts(job, taken, finished=finished)], sure=sure)
    if not agreed:
        say("Nothing was written.")
        return 1
    entries = [
        weighing_entry(
            wanted.part, wanted.what, mass.text, finished=finished, instrument=instrument
        )
        for mass in masses
    ]
    append_entries(path, "weighings", entries)
    there = len(wanted.readings_g) + len(masses)
    now = f" It has {there} readings now." if wanted.readings_g else ""
    say(f"{wanted.label}: {', '.join(map(_as_read, masses))} kept in {path}.{now}")
    return 0


def _led_by_words(values: Sequence[str]) -> tuple[str | None, Sequence[str]]:
    """Return which weighing of a rod stands before its readings, ``big end 384.1``, and those."""
    words = [*takewhile(lambda value: not any(map(str.isdigit, value)), values)]
    what = as_what(" ".join(words))
    return (what, values[len(words) :]) if what in _OF_A_ROD else (None, values)


def _as_read(mass: WrittenMass) -> str:
    """Return a reading as typed; in grams, too, where it was typed in another unit."""
    return mass.text if mass.text.endswith(" g") else f"{mass.text} ({mass.mass_g:.2f} g)"


def take_back(path: Path, part: str | None, what: str | None, *, finished: bool) -> int:
    """Take back the latest reading, of one part or of all, as a new entry."""
    job = read_job(path)
    if part is not None:
        marks = [wanted.part for wanted in wanted_weighings(job)]
        part = as_marked(part, marks)
        part = part if part in marks else hung_name(part) or part
    latest = last_weighing(job, part=part, what=what, finished=True if finished else None)
    if latest is None:
        raise _nothing_left(job, path, part, what, finished=finished)
    _append_undo(path, latest)
    say(f"{_last(job, latest)} is taken back.")
    return 0


def _append_undo(path: Path, latest: Latest) -> Job:
    entry = undo_entry(latest.part, latest.what, finished=latest.finished)
    return append_entry(path, "weighings", entry)


def _nothing_left(
    job: Job, path: Path, part: str | None, what: str | None, *, finished: bool
) -> InputError:
    """Return why nothing is taken back; what stands in a part's own table is edited there."""
    if part is None:
        return JobFileError("has no appended weighing to take back", path=str(path))
    own = [wanted for wanted in wanted_weighings(job) if wanted.part == part]
    label = find_wanted(job, part, what).label if what or len(own) < 2 else f"rod {part}"
    where = f"; edit {path} to change what stands in its own table"
    written = where * (not finished and any(wanted.readings_g for wanted in own))
    return InputError(f"{label}: nothing left to take back{written}")


def _last(job: Job, latest: Latest) -> str:
    wanted = find_wanted(job, latest.part, latest.what)
    shown = f"{latest.value_g:.2f}"
    shown = shown.removesuffix("0")  # 399.0, as the display showed it
    return f"{wanted.label}: the latest reading ({latest.kind}), {shown} g,"


def weigh_all(
    path: Path,
    part: str | None,
    *,
    finished: bool,
    instrument: str,
    repeats: int,
    scale: Callable[[], str] | None = None,
) -> int:
    """Lead through every weighing that is still to be made; 1 when some are left."""
    job = read_job(path)
    if part is not None:
        marks = [wanted.part for wanted in wanted_weighings(job)]
        part = as_marked(part, marks)
        if part not in marks:
            find_wanted(job, part, None)  # says which marks there are
    cut = _cut(job) if finished else None
    bench = _Bench(path, job, part, finished, instrument, repeats, scale, cut)
    if part is not None and not bench.left():
        return _weighed(job, path, part, finished=finished)
    say(bench.help + (" Enter takes the scale's reading." if scale else ""))
    try:
        while (wanted := bench.next()) and bench.one(wanted):
            pass
    except Stopped:
        bench.close()
        raise
    return bench.close()


def _weighed(job: Job, path: Path, part: str, *, finished: bool) -> int:
    """Say that a part has all its readings, which they are, and how one more is entered."""
    after = " --finished" * finished
    for wanted in wanted_weighings(job, finished=finished):
        if wanted.part == part:
            readings = ", ".join(f"{reading:g}" for reading in wanted.readings_g)
            say(f"{wanted.label} is weighed: {readings} g. Nothing is asked.")
            of = f" --what {wanted.what}" * (wanted.what in _OF_A_ROD)
            say(
                f"One more reading: heavyspot weigh {path} {part} VALUE{of}{after}. The latest "
                f"taken back: heavyspot weigh {path} {part}{of}{after} --undo."
            )
    next_step(f"heavyspot {'check' if finished else 'match'} {path}")
    return 0


def _cut(job: Job) -> set[tuple[str, str]] | None:
    """Return which weighings the planned cuts ask for; None while there is no plan."""
    from balance.parts.steps import match_job

    try:
        made = match_job(job)
    except HeavyspotError:  # weighings are missing: whatever was cut, nothing is planned
        return None
    names = {"piston": "weight", "big end": "big_end", "small end": "small_end"}
    parts = [part for entry in made.sets for part in entry.cut_parts]
    return {(part.mark, names[part.what]) for part in parts if round(part.cut_g, 2) > 0}


@dataclass
class _Bench:
    """The job on the bench: what is still to be weighed, what was skipped."""

    path: Path
    job: Job
    part: str | None
    finished: bool
    instrument: str
    repeats: int
    scale: Callable[[], str] | None
    cut: set[tuple[str, str]] | None  # after cutting these must be weighed, the others may be
    skipped: set[tuple[str, str]] = field(default_factory=set)
    said_optional: bool = False

    @property
    def help(self) -> str:
        return HELP.format(unit=self.job.units.mass)

    def left(self, *, optional: bool = False) -> list[Wanted]:
        return [
            wanted
            for wanted in wanted_weighings(self.job, finished=self.finished)
            if self.part in (None, wanted.part)
            and len(wanted.readings_g) < self.repeats
            and self._is_optional(wanted) is optional
        ]

    def _is_optional(self, wanted: Wanted) -> bool:
        named = self.part is not None  # a part that was asked for is meant
        return not named and self.cut is not None and (wanted.part, wanted.what) not in self.cut

    def next(self) -> Wanted | None:
        every = (*self.left(), *self.left(optional=True))
        found = next((w for w in every if (w.part, w.what) not in self.skipped), None)
        if found is not None and self._is_optional(found) and not self.said_optional:
            say("Every part that the plan cuts is done. The rest is optional: n goes on, q stops.")
            self.said_optional = True
        return found

    def one(self, wanted: Wanted) -> bool:
        """Ask for one reading and keep it; False when the person stops."""
        number = len(wanted.readings_g) + 1
        asked = f"{wanted.label} ({number} of {self.repeats}, in {self.job.units.mass}) > "
        answer = ask(asked, explained=self.help)
        if answer.lower() == "q":
            return False
        try:
            return self._obey(wanted, answer)
        except InputError as wrong:  # not kept: a full disk, too, leaves the question standing
            indented(str(wrong))
        return True

    def _obey(self, wanted: Wanted, answer: str) -> bool:
        if answer.lower() == "n":
            self.skipped.add((wanted.part, wanted.what))
        elif answer.lower() == "u":
            self._undo()
        elif answer:
            return self._keep(wanted, answer)
        elif self.scale is not None:
            return self._keep(wanted, self.scale())
        else:
            indented(self.help)
        return True

    def _latest(self) -> Latest | None:
        """Return the latest reading of the kind that is being made here, before or after cuts."""
        return last_weighing(self.job, finished=self.finished)

    def _undo(self) -> None:
        latest = self._latest()
        if latest is None:
            raise InputError("there is no appended reading to take back")
        said = _last(self.job, latest)
        self.job = _append_undo(self.path, latest)
        self.skipped.discard((latest.part, latest.what))
        indented(f"{said} is taken back")

    def _keep(self, wanted: Wanted, answer: str) -> bool:
        """Keep a reading, or the one typed in its place when it is doubted; False to stop."""
        mass = written_mass(answer, unit=self.job.units.mass)
        doubts = self._doubts(wanted, mass)
        undo = self._latest() is not None
        said = ask_doubted(doubts, instead="the right reading", undo=undo) if doubts else "y"
        if said == "y":
            self._write(wanted, mass)
            return True
        if said == "u":
            self._undo()
            again = find_wanted(self.job, wanted.part, wanted.what, finished=self.finished)
            return self._keep(again, answer)
        if said in ("n", "q"):
            indented("not kept; weigh it again" if said == "n" else "not kept")
            return said == "n"
        return self._keep(wanted, said)

    def _doubts(self, wanted: Wanted, mass: WrittenMass) -> tuple[str, ...]:
        return reading_doubts(
            self.job,
            wanted,
            mass.mass_g,
            written=mass.text,
            finished=self.finished,
            ways=AT_BENCH,
        )

    def _write(self, wanted: Wanted, mass: WrittenMass) -> None:
        entry = weighing_entry(
            wanted.part,
            wanted.what,
            mass.text,
            finished=self.finished,
            instrument=self.instrument,
        )
        self.job = append_entry(self.path, "weighings", entry)
        print(f"  kept {_as_read(mass)}")

    def close(self) -> int:
        left = self.left()
        say("", f"Every reading you kept is in {self.path}.")
        if left:
            again = "heavyspot weigh --finished" if self.finished else "heavyspot weigh"
            next_step(f"{len(left)} still to weigh, {left[0].label} first: {again} goes on.")
            return 1
        next_step(f"heavyspot {'check' if self.finished else 'match'} {self.path}")
        return 0
