"""Which weighings a job asks for, in the order of its file, and what stands of each."""

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from balance.errors import InputError
from balance.job.columns import as_what
from balance.job.hung import HUNG, hung_name
from balance.job.model import Job

__all__ = [
    "Latest",
    "Wanted",
    "as_marked",
    "find_wanted",
    "hung_missing",
    "last_weighing",
    "wanted_weighings",
]


@dataclass(frozen=True)
class Wanted:
    """One thing to weigh: whose, what of it, and the readings [g] that stand so far.

    ``kind`` is "piston", "pin" or "rod"; ``what`` is "weight", or of a rod "total", "big_end" or
    "small_end". Rings, locks and shells have no marks: their kind and part are their name.
    """

    kind: str
    part: str
    what: str
    readings_g: tuple[float, ...]

    @property
    def label(self) -> str:
        """The part and what of it, as people say it: ``piston P1``, ``rod R1 big end``."""
        if self.kind in HUNG:
            return f"{self.part} of one {'rod' if self.part == 'shells' else 'piston'}"
        end = "" if self.what == "weight" else f" {self.what.replace('_', ' ')}"
        return f"{self.kind} {self.part}{end}"


@dataclass(frozen=True)
class Latest:
    """The latest appended reading that still stands: whose, what of it, of which kind, its mass."""

    part: str
    what: str
    finished: bool
    value_g: float

    @property
    def kind(self) -> str:
        """Whether it is of before or after the cut, in words."""
        return "after the cut" if self.finished else "first weighing"


def wanted_weighings(job: Job, *, finished: bool = False) -> tuple[Wanted, ...]:
    """Return every weighing of a job in the file's order: pistons, pins, then each rod's three.

    Rings, locks and shells follow where they were weighed; nothing waits for them. Readings written
    in the part's own table come first, then those appended, less those taken back. Those of
    finished parts (after cutting) are all appended.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "v-twin.toml")
    >>> [wanted.label for wanted in wanted_weighings(job)][3:6]
    ['pin N2', 'rod R1 total', 'rod R1 big end']
    """
    appended = _appended(job, finished)
    written = _written(job)
    marked = tuple(
        Wanted(
            kind,
            part,
            what,
            (*(() if finished else own), *appended.get((part, what), ())),
        )
        for kind, part, what, own in written
    )
    return (*marked, *_hung(appended, {wanted.part for wanted in marked}))


def hung_missing(every: Sequence[Wanted]) -> tuple[Wanted, ...]:
    """Return rings, locks and shells, without a reading, where they are not among weighings.

    A job whose parts bear such a name as their mark cannot have them weighed.

    Examples
    --------
    >>> [wanted.label for wanted in hung_missing([Wanted("pin", "locks", "weight", ())])]
    ['rings of one piston', 'shells of one rod']
    """
    known = {wanted.part for wanted in every}
    return tuple(Wanted(name, name, "weight", ()) for name in HUNG if name not in known)


def as_marked(said: str, marks: Iterable[str]) -> str:
    """Return a mark as the job writes it: capitals do not matter where only one mark can be meant.

    Examples
    --------
    >>> as_marked("p4", ["P3", "P4"]), as_marked("p4", ["P4", "p4"]), as_marked("x", ["P4"])
    ('P4', 'p4', 'x')
    """
    known = set(marks)
    alike = [mark for mark in known if mark.casefold() == said.casefold()]
    return alike[0] if said not in known and len(alike) == 1 else said


def find_wanted(job: Job, part: str, what: str | None, *, finished: bool = False) -> Wanted:
    """Return one weighing by the mark of its part; ``what`` may be left out unless it is a rod.

    The mark is understood as by :func:`as_marked`; "rings", "locks" and "shells" need none.

    Raises
    ------
    InputError
        When the job has no such part, or it is a rod and ``what`` does not say which end.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "v-twin.toml")
    >>> find_wanted(job, "R1", "total").readings_g
    (640.9,)
    """
    every = wanted_weighings(job, finished=finished)
    part = as_marked(part, (wanted.part for wanted in every))
    of_part = [wanted for wanted in every if wanted.part == part]
    if not of_part and (name := hung_name(part)):
        if finished:
            raise InputError(f"{name} are not cut: weigh them without --finished")
        all_of_them = (*every, *hung_missing(every))
        of_part = [wanted for wanted in all_of_them if wanted.part == name]
    if not of_part:
        known = ", ".join(dict.fromkeys(wanted.part for wanted in every)) or "none yet"
        raise InputError(f"{part!r} is no part of this job; its marks are {known}")
    meant = None if what is None else as_what(what)
    fitting = [wanted for wanted in of_part if meant in (None, wanted.what)]
    if len(fitting) != 1:
        raise InputError(_which(of_part, what))
    return fitting[0]


def _which(of_part: Sequence[Wanted], what: str | None) -> str:
    """Say which weighings a part has, and how to name one."""
    kind, part = of_part[0].kind, of_part[0].part
    got = "" if what is None else f", got {what!r}"
    if kind != "rod":
        is_a = "are" if kind == part else f"is a {kind}, which is"
        return f"{part} {is_a} weighed whole: leave --what out{got}"
    return f"{part} is a rod: add --what total, --what big_end or --what small_end{got}"


def last_weighing(
    job: Job, *, part: str | None = None, what: str | None = None, finished: bool | None = None
) -> Latest | None:
    """Return the latest appended weighing that still stands; None without one.

    Parameters
    ----------
    job : Job
        As read from its file.
    part, what : str, optional
        Of this part alone, as for :func:`find_wanted`.
    finished : bool, optional
        Of those before or after cutting alone; both when left out.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> last_weighing(read_job(files("cli.examples") / "v-twin.toml")) is None
    True
    """
    standing: list[Latest] = []
    for entry in job.weighings:
        if entry.value is None:
            same = [(e.part, e.what, e.finished) for e in standing]
            key = (entry.part, entry.what, entry.finished)
            standing.pop(len(same) - 1 - same[::-1].index(key))  # the latest of this part
        else:
            standing.append(Latest(entry.part, entry.what, entry.finished, entry.value))
    meant = None if what is None else as_what(what)
    fitting = (
        latest
        for latest in reversed(standing)
        if part in (None, latest.part)
        and meant in (None, latest.what)
        and finished in (None, latest.finished)
    )
    return next(fitting, None)


def _appended(job: Job, finished: bool) -> dict[tuple[str, str], list[float]]:
    found: dict[tuple[str, str], list[float]] = {}
    for entry in job.weighings:
        if entry.finished is not finished:
            continue
        values = found.setdefault((entry.part, entry.what), [])
        if entry.value is None:
            values.pop()
        else:
            values.append(entry.value)
    return found


def _hung(
    appended: Mapping[tuple[str, str], Sequence[float]], marks: Container[str]
) -> Iterator[Wanted]:
    for name in HUNG:
        if name not in marks and (readings := appended.get((name, "weight"))):
            yield Wanted(name, name, "weight", tuple(readings))


def _written(job: Job) -> Iterator[tuple[str, str, str, tuple[float, ...]]]:
    parts = job.parts
    for kind, pages in (("piston", parts.pistons), ("pin", parts.pins)):
        for page in pages:
            yield kind, page.mark, "weight", page.weight
    for rod in parts.rods:
        yield "rod", rod.mark, "total", rod.total
        yield "rod", rod.mark, "big_end", rod.big_end
        yield "rod", rod.mark, "small_end", rod.small_end
