"""A whole bin of parts from lists: thousands of marks and weights that are in no job file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from balance.errors import InputError
from balance.job.columns import KINDS, Column, column_of, is_number
from balance.job.entries import written_mass
from balance.job.hung import HUNG
from balance.job.tables import TextTable

__all__ = ["ListedBin", "NotListed", "read_bin"]

Masses = NDArray[np.float64]
_HEADER_ROWS = 15  # titles above the header of a list
_KIND_TITLES = ("kind", "kinds", "type", "sort")
_WEIGHT, _SMALL, _BIG = "weight", "small_end", "big_end"


@dataclass(frozen=True)
class NotListed:
    """A row, or a part of it, that is not taken: in which list, where, what it says and why."""

    file: str
    row: int
    said: str
    reason: str


@dataclass(frozen=True)
class ListedBin:
    """Marks and masses [g] of the parts of a bin, each kind in the order of the lists.

    ``big_ends_g`` is None where no list has them. ``columns`` say how the lists were understood.
    """

    piston_marks: tuple[str, ...]
    pistons_g: Masses
    pin_marks: tuple[str, ...]
    pins_g: Masses
    rod_marks: tuple[str, ...]
    small_ends_g: Masses
    big_ends_g: Masses | None
    left_out: tuple[NotListed, ...]
    columns: tuple[str, ...]

    @property
    def only_pistons(self) -> bool:
        """Whether it is a bin of pistons, with neither pins nor rods."""
        return not (self.pin_marks or self.rod_marks)


def read_bin(tables: Mapping[str, TextTable], *, unit: str) -> ListedBin:
    """Return the parts that some lists hold; a row that cannot be taken is left out and named.

    Every list has a header. Its titles say whose weights stand below (``piston``, ``pin``,
    ``small end``, ``big end``), or a column ``kind`` does so row by row. Each part has a mark. A
    title may name the unit, as in ``piston (oz)``, or a column ``unit`` does so row by row. Lists
    that speak of pistons and of nothing else give pistons alone.

    Parameters
    ----------
    tables : mapping
        The lists by their names, from :func:`balance.job.tables.read_table`.
    unit : str
        Unit of bare numbers where neither the title nor the row names one.

    Raises
    ------
    InputError
        When a list has no header that says whose weights these are, a mark is given twice, or a
        kind of part is missing.

    Examples
    --------
    >>> rows = (("kind", "mark", "weight (g)", "small end", "big end"), ("piston", "P1", "420.3"),
    ...         ("pin", "N1", "110.2"), ("rod", "R1", "", "180.1", "400.2"))
    >>> found = read_bin({"all.csv": TextTable(rows, (1, 2, 3, 4), ",", None)}, unit="g")
    >>> found.rod_marks, found.small_ends_g, found.left_out
    (('R1',), array([180.1]), ())
    """
    shelf = _Shelf(unit)
    columns: list[str] = []
    for name, table in tables.items():
        header = _header(name, table)
        shelf.kinds |= {column.kind for _, column in header.weights if column.kind}
        columns += [f"{name}: {column.title}: {_said(column, unit)}" for column in header.columns]
        below = slice(header.start, None)
        for number, row in zip(table.numbers[below], table.rows[below], strict=True):
            shelf.take(name, number, header, row)
    return shelf.sorted_out(tuple(columns))


@dataclass
class _Shelf:
    """The weights found so far, by what they are of and by mark."""

    unit: str
    found: dict[tuple[str, str], dict[str, float]] = field(
        default_factory=lambda: {
            ("piston", _WEIGHT): {}, ("pin", _WEIGHT): {}, ("rod", _SMALL): {}, ("rod", _BIG): {},
        }
    )  # fmt: skip
    left_out: list[NotListed] = field(default_factory=list)
    twice: set[tuple[str, str]] = field(default_factory=set)
    kinds: set[str] = field(default_factory=set)  # that the lists speak of

    def take(self, name: str, number: int, header: _Header, row: Sequence[str]) -> None:
        """Take the weights of one row."""
        if wrong := header.unfit(row):
            self.left_out.append(NotListed(name, number, _joined(row), wrong))
            return
        cells = [*row, *[""] * (header.width - len(row))]
        kind = "" if header.kind is None else cells[header.kind]
        said_unit = "" if header.unit is None else cells[header.unit]
        for index, column in header.weights:
            if cells[index]:
                try:
                    unit = said_unit or column.unit or self.unit
                    self._keep(cells[header.mark], kind, column, cells[index], unit)
                except InputError as wrong_cell:
                    self.left_out.append(NotListed(name, number, _joined(row), str(wrong_cell)))

    def _keep(self, mark: str, said_kind: str, column: Column, cell: str, unit: str) -> None:
        kind = column.kind or KINDS.get(said_kind.lower().rstrip("s"))
        place = self.found.get((kind or "", column.what or _WEIGHT))
        if place is None:
            raise InputError(f"{said_kind or column.title!r} is no piston, pin, small or big end")
        self.kinds.add(str(kind))
        if mark in place:
            self.twice.add((str(kind), mark))
            raise InputError(f"{kind} {mark} is listed before: neither is taken; mark them apart")
        place[mark] = written_mass(cell, unit=unit).mass_g

    def sorted_out(self, columns: tuple[str, ...]) -> ListedBin:
        """Return what was found, rods only with all their ends."""
        for kind, mark in self.twice:  # which of the two lies in the bin nobody can tell
            for (of, _), place in self.found.items():
                if of == kind:
                    place.pop(mark, None)
        pistons, pins, small, big = self.found.values()
        rods = [*small] if not big else [mark for mark in small if mark in big]
        alone = self.kinds == {"piston"}
        for kind, marks in (("piston", pistons), ("pin", pins), ("rod with its ends", rods)):
            if not marks and not (alone and kind != "piston"):
                raise InputError(
                    f"the lists hold no {kind}: a bin needs pistons, pins and rods, or pistons "
                    "alone"
                )
        return ListedBin(
            *_marked(pistons),
            *_marked(pins),
            *_marked({mark: small[mark] for mark in rods}),
            big_ends_g=_marked({mark: big[mark] for mark in rods})[1] if big else None,
            left_out=(*self.left_out, *_one_end(small, big)),
            columns=columns,
        )


def _marked(found: Mapping[str, float]) -> tuple[tuple[str, ...], Masses]:
    return tuple(found), np.array([*found.values()], dtype=float)


def _one_end(small: Mapping[str, float], big: Mapping[str, float]) -> Iterator[NotListed]:
    """Yield the rods of which only one end is listed, where the lists have big ends at all."""
    if not big:
        return
    for lacks, has, other in (("big", small, big), ("small", big, small)):
        for mark in has:
            if mark not in other:
                yield NotListed("", 0, f"rod {mark}", f"has no {lacks} end")


def _joined(row: Sequence[str]) -> str:
    return " ".join(filter(None, row))


class _Header:
    """Where the parts of a list begin, and which of its columns hold what."""

    def __init__(self, name: str, start: int, columns: Sequence[Column]) -> None:
        marks = [index for index, column in enumerate(columns) if column.marks]
        kinds = [index for index, column in enumerate(columns) if _says_kind(column)]
        if not marks:
            raise InputError(f"{name}: has no column of marks: give every part its own")
        self.start, self.columns, self.width = start, columns, len(columns)
        self.mark, self.kind = marks[0], kinds[0] if kinds else None
        self.unit = next((k for k, column in enumerate(columns) if column.says_unit), None)
        of = None if kinds else columns[marks[0]].kind  # "Piston no." says whose weights they are
        self.weights = [
            (index, replace(column, kind=column.kind or of))
            for index, column in enumerate(columns)
            if _weighs(column)
        ]
        if not kinds and not all(column.kind for _, column in self.weights):
            raise InputError(
                f"{name}: whose weights are these? Write piston, pin, small end or big end into "
                "the titles, or add a column 'kind'"
            )

    def unfit(self, row: Sequence[str]) -> str:
        """Return why a row cannot be read, if so."""
        if any(row[self.width :]):
            return "has more cells than the header has columns"
        return "" if self.mark < len(row) and row[self.mark] else "has no mark"


def _header(name: str, table: TextTable) -> _Header:
    """Find the header among the first rows."""
    for index, row in enumerate(table.rows[:_HEADER_ROWS]):
        columns = [column_of(cell, None, None) for cell in row]
        weights = [column for column in columns if _weighs(column)]
        if not weights or any(is_number(cell) for cell in row):
            continue
        return _Header(name, index + 1, columns)
    raise InputError(
        f"{name}: has no header: the first row must name the columns, such as "
        "'mark, piston (g)' or 'mark, small end, big end'"
    )


def _weighs(column: Column) -> bool:
    """Return whether a column holds weights of what a bin has: no rings, locks or shells."""
    return bool(column.kind or column.what) and not column.marks and column.kind not in HUNG


def _says_kind(column: Column) -> bool:
    return column.title.strip().lower() in _KIND_TITLES


def _said(column: Column, unit: str) -> str:
    if column.marks:
        return "the marks"
    if _says_kind(column):
        return "what kind of part"
    if column.says_unit:
        return "the unit of each row"
    if not _weighs(column):
        return "not used"
    of = (column.kind or "", (column.what or _WEIGHT).replace("_", " "))
    return f"{' '.join(filter(None, of))} in {column.unit or unit}"
