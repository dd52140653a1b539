"""Weighing at the bench: guided part by part, or one part's readings at once."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from balance.errors import InputError, JobFileError
from balance.job.append import append_entries, append_entry
from balance.job.entries import WrittenMass, undo_entry, weighing_entry, written_mass
from balance.job.load import read_job
from balance.job.model import Job
from balance.job.readings import (
    Wanted,
    as_marked,
    find_wanted,
    last_weighing,
    wanted_weighings,
)
from balance.parts.plausible import reading_doubts
from cli.asking import ask, ask_doubted, settle
from cli.printing import harmless, next_step, say

HELP = "Type the reading. n next part, u undo the last reading, q stop (go on later)."


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
    wanted = find_wanted(job, part, what, finished=finished)
    masses = [written_mass(value, unit=job.units.mass) for value in values]
    doubts = [doubt for mass in masses for doubt in _doubts(job, wanted, mass, finished)]
    if not settle(doubts, sure=sure):
        say("Nothing was written.")
        return 1
    entries = [
        weighing_entry(
            wanted.part, wanted.what, mass.text, finished=finished, instrument=instrument
        )
        for mass in masses
    ]
    append_entries(path, "weighings", entries)
    say(f"{wanted.label}: {', '.join(mass.text for mass in masses)} kept in {path}.")
    return 0


def take_back(path: Path, part: str | None, what: str | None, *, finished: bool) -> int:
    """Take back the latest reading, of one part or of all, as a new entry."""
    job = read_job(path)
    if part is None:
        latest = last_weighing(job, finished=finished)
        if latest is None:
            raise JobFileError("has no appended weighing to take back", path=str(path))
        part, what = latest
    wanted = find_wanted(job, part, what, finished=finished)
    append_entry(path, "weighings", undo_entry(wanted.part, wanted.what, finished=finished))
    say(f"{_last(wanted)} is taken back.")
    return 0


def _last(wanted: Wanted) -> str:
    return f"{wanted.label}: the latest reading, {wanted.readings_g[-1]:.10g} g,"


def _doubts(job: Job, wanted: Wanted, mass: WrittenMass, finished: bool) -> tuple[str, ...]:
    return reading_doubts(job, wanted, mass.mass_g, written=mass.text, finished=finished)


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
    bench = _Bench(path, job, part, finished, instrument, repeats, scale)
    say(HELP + (" Enter takes the scale's reading." if scale else ""))
    while (wanted := bench.next()) and bench.one(wanted):
        pass
    return bench.close()


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
    skipped: set[tuple[str, str]] = field(default_factory=set)

    def left(self) -> list[Wanted]:
        return [
            wanted
            for wanted in wanted_weighings(self.job, finished=self.finished)
            if self.part in (None, wanted.part) and len(wanted.readings_g) < self.repeats
        ]

    def next(self) -> Wanted | None:
        fresh = (w for w in self.left() if (w.part, w.what) not in self.skipped)
        return next(fresh, None)

    def one(self, wanted: Wanted) -> bool:
        """Ask for one reading and keep it; False when the person stops."""
        number = len(wanted.readings_g) + 1
        answer = ask(f"{wanted.label} ({number} of {self.repeats}) > ", explained=HELP)
        if answer is None or answer.lower() == "q":
            return False
        try:
            return self._obey(wanted, answer)
        except InputError as wrong:  # not kept: a full disk, too, leaves the question standing
            print(f"  {harmless(str(wrong))}")
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
            print(f"  {HELP}")
        return True

    def _undo(self) -> None:
        latest = last_weighing(self.job, finished=self.finished)
        if latest is None:
            raise InputError("there is no appended reading to take back")
        wanted = find_wanted(self.job, *latest, finished=self.finished)
        self.job = append_entry(self.path, "weighings", undo_entry(*latest, finished=self.finished))
        self.skipped.discard(latest)
        print(f"  {harmless(_last(wanted))} is taken back")

    def _keep(self, wanted: Wanted, answer: str) -> bool:
        """Keep a reading, or the one typed in its place when it is doubted; False to stop."""
        mass = written_mass(answer, unit=self.job.units.mass)
        doubts = _doubts(self.job, wanted, mass, self.finished)
        said = ask_doubted(doubts, instead="the right reading") if doubts else "y"
        if said == "y":
            self._write(wanted, mass)
            return True
        if said in ("n", "q"):
            print("  not kept; weigh it again" if said == "n" else "  not kept")
            return said == "n"
        return self._keep(wanted, said)

    def _write(self, wanted: Wanted, mass: WrittenMass) -> None:
        entry = weighing_entry(
            wanted.part,
            wanted.what,
            mass.text,
            finished=self.finished,
            instrument=self.instrument,
        )
        self.job = append_entry(self.path, "weighings", entry)
        print(f"  kept {mass.text}")

    def close(self) -> int:
        left = self.left()
        say("", f"Every reading you kept is in {self.path}.")
        if left:
            next_step(f"{len(left)} still to weigh, {left[0].label} first: heavyspot weigh again.")
            return 1
        next_step(f"heavyspot {'check' if self.finished else 'match'} {self.path}")
        return 0
