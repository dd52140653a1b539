"""Weights from a list that a shop has: which cell is which part's reading, and what is left out."""

import re
from collections import Counter
from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from balance.errors import InputError
from balance.job.columns import KINDS, Column, column_of, is_number, what_of_item
from balance.job.entries import written_mass
from balance.job.hung import HUNG, hung_in_list
from balance.job.model import Job
from balance.job.readings import Wanted, as_marked, hung_missing, wanted_weighings
from balance.job.tables import TextTable

__all__ = ["LeftOut", "ListRead", "Taken", "leave_out", "match_list"]

_HEADER_ROWS = 15  # titles above the header of a list


@dataclass(frozen=True)
class Taken:
    """One reading of a list: for which weighing of the job, as written with its unit, where."""

    wanted: Wanted
    text: str
    mass_g: float
    row: int


@dataclass(frozen=True)
class LeftOut:
    """Something of a list that is not taken, and why.

    ``settled`` means that nothing is missing by it: the job has the reading, or a person chose so.
    """

    row: int
    said: str
    reason: str
    settled: bool = False


@dataclass(frozen=True)
class ListRead:
    """What a list gives: readings taken, what is left out, titles, how columns were understood."""

    taken: tuple[Taken, ...]
    left_out: tuple[LeftOut, ...]
    titles: tuple[LeftOut, ...]
    columns: tuple[str, ...]


def match_list(
    job: Job,
    table: TextTable,
    *,
    kind: str | None = None,
    what: str | None = None,
    unit: str | None = None,
    finished: bool = False,
    instrument: str = "",
) -> ListRead:
    """Match the cells of a list with the weighings of a job; nothing is guessed silently.

    A header names the columns ("mark", "weight (g)", "big end", "piston" ...); rows above it are
    titles. Without marks, ``kind`` must say whose weights they are, and there must be exactly one
    for each part, in the job's order. Readings that the job already has from the same instrument
    are left out, so the same list can be read twice. Rings, locks and bearing shells need no mark:
    a row or a column is named after them.

    Parameters
    ----------
    job : Job
        With the marks of its parts.
    table : TextTable
        From :func:`balance.job.tables.read_table`.
    kind : str, optional
        "piston", "pin" or "rod", when the list does not say.
    what : str, optional
        "total", "big_end" or "small_end" of rods, when the list does not say.
    unit : str, optional
        Unit of bare numbers where the header names none; the job's otherwise.

    Raises
    ------
    InputError
        When no reading can be placed at all; the message says what is missing.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "v-twin.toml")
    >>> table = TextTable((("mark", "weight [oz]"), ("P1", "17.45"), ("P7", "17.5")), (1, 2, 3),
    ...                   ",", None)
    >>> found = match_list(job, table)
    >>> [(taken.wanted.part, taken.text) for taken in found.taken], found.left_out[0].reason
    ([('P1', '17.45 oz')], "'P7' is no part of this job")
    """
    every = wanted_weighings(job, finished=finished)
    if not every:
        raise InputError("the job has no parts yet: write their marks first")
    if not finished:
        every = (*every, *hung_missing(every))
    start, columns = _header(table, every, kind, what)
    if not any(column.what or (column.kind and not column.marks) for column in columns):
        raise InputError(
            "no title says where the weights are: call their column weight (g), piston, pin, "
            "total, big end or small end"
        )
    unit = unit or job.units.mass
    rows = list(zip(table.numbers[start:], table.rows[start:], strict=True))
    if any(column.marks for column in columns):
        found = [item for row in rows for item in _of_row(every, columns, row, unit)]
    else:
        found = _in_order(every, columns, rows, unit)
    known = _known(job, finished, instrument)
    fresh = [_unless_known(item, known) for item in found]
    titles = [
        LeftOut(number, " ".join(filter(None, row)), "stands above the header")
        for number, row in zip(table.numbers[: max(start - 1, 0)], table.rows, strict=False)
    ]
    return ListRead(
        tuple(item for item in fresh if isinstance(item, Taken)),
        tuple(item for item in fresh if isinstance(item, LeftOut)),
        tuple(titles),
        tuple(f"{column.title}: {_said(column, unit)}" for column in columns if column.title),
    )


def leave_out(found: ListRead, rows: Sequence[int]) -> ListRead:
    """Return what a list gives without some of its rows.

    Parameters
    ----------
    found : ListRead
        From :func:`match_list`.
    rows : sequence of int
        Numbers of rows as the list counts them.

    Raises
    ------
    InputError
        When the list has nothing in a row that could be left out.

    Examples
    --------
    >>> one = Taken(Wanted("pin", "N1", "weight", ()), "110 g", 110.0, 2)
    >>> leave_out(ListRead((one,), (), (), ()), [2]).left_out[0].reason
    'is left out as asked'
    """
    able = {item.row for item in found.taken} | {item.row for item in found.left_out}
    for row in rows:
        if row not in able:
            known = ", ".join(map(str, sorted(able))) or "none"
            raise InputError(f"row {row} gives nothing to leave out; rows that do: {known}")
    taken = (_settled(item, "is left out as asked") for item in found.taken if item.row in rows)
    others = (replace(item, settled=item.settled or item.row in rows) for item in found.left_out)
    return replace(
        found,
        taken=tuple(item for item in found.taken if item.row not in rows),
        left_out=tuple(sorted((*others, *taken), key=lambda item: item.row)),
    )


def _said(column: Column, unit: str) -> str:
    if column.marks:
        return f"the marks of the {column.kind}s" if column.kind else "the marks"
    if column.says_what:
        return "what of the part"
    if column.says_unit:
        return "the unit of each row"
    if column.what is None and column.kind is None:
        return "not used"
    name = " ".join(filter(None, (column.kind, column.what))).replace("_", " ")
    return f"{name} in {column.unit or unit}"


def _header(
    table: TextTable, every: Sequence[Wanted], kind: str | None, what: str | None
) -> tuple[int, list[Column]]:
    """Return where the readings begin, and what the columns hold."""
    for index, row in enumerate(table.rows[:_HEADER_ROWS]):
        columns = [column_of(cell, kind, what) for cell in row]
        readable = [column for column in columns if column.what or column.kind]
        below = max((len([*filter(None, other)]) for other in table.rows[index + 1 :]), default=0)
        title = len([*filter(None, row)]) == 1 < below  # "weights of May": names no columns
        if readable and not title and not any(is_number(cell) for cell in row):
            return index + 1, _with_marks(table.rows[index + 1 :], columns, every)
    start = _of_words(table.rows, every)
    width = max(map(len, table.rows), default=0)
    titles = dict(enumerate(table.rows[start - 1])) if start else {}
    plain = [
        Column(titles.get(i) or f"column {i + 1}", kind=kind, what=what or "weight")
        for i in range(width)
    ]
    return start, _with_marks(table.rows[start:], plain, every)


def _of_words(rows: Sequence[Sequence[str]], every: Sequence[Wanted]) -> int:
    """Count the rows above the first mark or number: titles and a header in other words."""
    marks = {wanted.part.casefold() for wanted in every}
    for index, row in enumerate(rows[:_HEADER_ROWS]):
        if any(
            cell[:1].isdigit() or cell.casefold() in marks or hung_in_list(cell) for cell in row
        ):
            return index
    return 0


def _with_marks(
    rows: Sequence[Sequence[str]], columns: list[Column], every: Sequence[Wanted]
) -> list[Column]:
    """Make one column the marks: the one that says so, else the one that holds most marks."""
    marks = {wanted.part.casefold() for wanted in every}
    hits = [
        sum(1 for row in rows if index < len(row) and _is_mark(row[index], marks))
        for index in range(len(columns))
    ]
    if not any(hits):
        columns = _numbers_as_marks(rows, columns, every)
    named = [index for index, column in enumerate(columns) if column.marks]
    plain = [index for index in named if not columns[index].kind]  # of whole rows, not of one kind
    best = max(plain or named or range(len(columns)), key=lambda index: hits[index], default=None)
    if best is None or not (named or hits[best]):
        return columns
    of = columns[best].kind if columns[best].marks else None
    return [
        Column(column.title, marks=True, kind=of) if index == best
        else replace(column, kind=of) if of and column.what == "weight" and not column.kind
        else Column(column.title) if column.marks and not column.kind
        else Column(column.title, marks=True, kind=column.kind)
        if column.kind and column.what is None and hits[index]  # "Rod #" beside "Cyl"
        else column
        for index, column in enumerate(columns)
    ]  # fmt: skip


def _numbers_as_marks(
    rows: Sequence[Sequence[str]], columns: list[Column], every: Sequence[Wanted]
) -> list[Column]:
    """Take ``Piston`` above 1, 2, 3 beside ``Weight`` for the numbers of the pistons."""
    numbers = {re.sub(r"\D", "", wanted.part) for wanted in every}
    counted = [
        index
        for index, column in enumerate(columns)
        if column.kind and not (column.what or column.marks)
        if all(index < len(row) and row[index] in numbers for row in rows)
    ]
    if not rows or len(counted) != 1 or not any(column.what for column in columns):
        return columns
    return [replace(c, marks=c.marks or index in counted) for index, c in enumerate(columns)]


def _is_mark(cell: str, marks: Container[str]) -> bool:
    return cell.casefold() in marks or hung_in_list(cell) is not None


def _of_row(
    every: Sequence[Wanted], columns: Sequence[Column], row: tuple[int, Sequence[str]], unit: str
) -> Iterator[Taken | LeftOut]:
    number, cells = row
    marks = {
        column.kind: _mark(cell, every)
        for cell, column in zip(cells, columns, strict=False)
        if column.marks
    }
    if len(cells) > len(columns) and any(cells[len(columns) :]):
        yield LeftOut(number, " ".join(cells), "has more cells than the header has columns")
        return
    said = next((cell for cell, c in zip(cells, columns, strict=False) if c.says_what), "")
    said_unit, unknown = _unit_said(cells, columns), set[str]()
    for cell, titled in zip(cells, columns, strict=False):
        if titled.marks or not cell or not (titled.what or titled.kind):
            continue
        what = what_of_item(said) or titled.what
        column = replace(titled, what=what, unit=said_unit or titled.unit)
        mark = marks.get(column.kind) or marks.get(None) or _for_all(marks) or _unmarked(cells)
        if column.kind in HUNG and _stands_for_one(mark, every):
            mark = str(column.kind)
        if not mark:
            yield LeftOut(number, cell, "has no mark in its row")
            continue
        fitting = _fitting(every, mark, column)
        if len(fitting) == 1:
            yield _taken(fitting[0], cell, column.unit or unit, number)
        else:
            known = any(wanted.part == mark for wanted in every)
            if known or mark not in unknown:  # one line says that a part is not known
                yield LeftOut(number, f"{mark}: {cell}", _why(every, mark, column))
            unknown.add(mark)


def _mark(cell: str, every: Sequence[Wanted]) -> str:
    """Return a mark as the job writes it; rings, locks and shells by their own name."""
    marks = [wanted.part for wanted in every]
    said = as_marked(cell, marks)
    return said if said in marks else hung_in_list(cell) or said


def _for_all(marks: Mapping[str | None, str]) -> str:
    """Return the number of a row, which may stand for a part of any kind."""
    return next((mark for mark in marks.values() if mark.isdigit()), "")


def _unmarked(cells: Sequence[str]) -> str:
    """Return what needs no mark and is named somewhere in a row."""
    return next(filter(None, map(hung_in_list, cells)), "")


def _stands_for_one(mark: str, every: Sequence[Wanted]) -> bool:
    """Whether a row is of one cylinder or of the average one: a sum is no weight of one set."""
    known = {text for wanted in every for text in (wanted.part, re.sub(r"\D", "", wanted.part))}
    return mark in known or mark.lower() in ("average", "avg", "mean", "each")


def _fitting(every: Sequence[Wanted], mark: str, column: Column) -> list[Wanted]:
    """Return the weighings that a cell may be: by the mark, else by the number in the mark."""
    able = [
        wanted
        for wanted in every
        if column.kind in (None, wanted.kind) and (column.what or "weight") == wanted.what
    ]
    exact = [wanted for wanted in able if wanted.part == mark]
    if exact or not mark.isdigit() or column.kind is None:
        return exact
    return [wanted for wanted in able if re.sub(r"\D", "", wanted.part) == mark]


def _why(every: Sequence[Wanted], mark: str, column: Column) -> str:
    of_part = [wanted for wanted in every if wanted.part == mark]
    if not of_part and (kind := KINDS.get(mark.lower().rstrip("s"))):
        return f"which {kind}? Give its mark: an average is no weighing of one"
    if not of_part and mark in HUNG:
        return f"{mark} are not cut: take them without --finished"
    if not of_part and (name := hung_in_list(f"{mark}s")):
        return f"is it one of several? Name it {name}, with what all of them weigh together"
    if not of_part:
        return f"{mark!r} is no part of this job"
    choices = " or ".join(wanted.what for wanted in of_part)
    return f"of {mark!r} a list must say {choices}, its column says {column.what or 'nothing'}"


def _taken(wanted: Wanted, cell: str, unit: str, row: int) -> Taken | LeftOut:
    try:
        mass = written_mass(cell, unit=unit)
    except InputError as wrong:
        return LeftOut(row, cell, str(wrong))
    return Taken(wanted, mass.text, mass.mass_g, row)


def _in_order(
    every: Sequence[Wanted],
    columns: Sequence[Column],
    rows: Sequence[tuple[int, Sequence[str]]],
    unit: str,
) -> list[Taken | LeftOut]:
    """Place a list without marks: one weight for each part of the kind, in the job's order."""
    used = [index for index, column in enumerate(columns) if column.what or column.kind]
    if len(used) != 1:
        raise InputError("the list has no column of marks: give every row the mark of its part")
    column = columns[used[0]]
    able = [w for w in every if (w.kind, w.what) == (column.kind, column.what or "weight")]
    cells = [(n, row[used[0]]) for n, row in rows if used[0] < len(row) and row[used[0]]]
    if not able:
        raise InputError(
            "the list has no marks: say whose weights they are with --to piston, pin or rod "
            "(of rods also --what total, big_end or small_end)"
        )
    if len(cells) != len(able):
        raise InputError(
            f"the list has {len(cells)} weights without marks for {len(able)} {able[0].kind}s: "
            "give every row the mark of its part"
        )
    units = [_unit_said(row, columns) for _, row in rows if used[0] < len(row) and row[used[0]]]
    return [
        _taken(wanted, cell, said_unit or column.unit or unit, n)
        for wanted, (n, cell), said_unit in zip(able, cells, units, strict=True)
    ]


def _unit_said(cells: Sequence[str], columns: Sequence[Column]) -> str:
    """Return the unit that a row names in a column of its own."""
    return next((cell for cell, c in zip(cells, columns, strict=False) if c.says_unit), "")


_Known = Counter[tuple[str, str, float]]


def _known(job: Job, finished: bool, instrument: str) -> _Known:
    """Count the readings that the job has from this list already."""
    return Counter(
        (entry.part, entry.what, entry.value)
        for entry in job.weighings
        if entry.value is not None
        and entry.finished is finished
        and instrument
        and entry.instrument == instrument
    )


def _unless_known(item: Taken | LeftOut, known: _Known) -> Taken | LeftOut:
    if isinstance(item, LeftOut):
        return item
    key = (item.wanted.part, item.wanted.what, item.mass_g)
    if not known[key]:
        return item
    known[key] -= 1
    return _settled(item, "is in the job from this list")


def _settled(item: Taken, reason: str) -> LeftOut:
    return LeftOut(item.row, f"{item.wanted.part}: {item.text}", reason, settled=True)
