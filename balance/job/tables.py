"""Tables as shops have them: CSV in any dialect, XLSX and ODS, as rows of text.

A dialect rule of our own: the delimiter is the candidate that gives the most lines the same number
of cells, more than one; the decimal mark is never guessed where two readings are possible.
"""

import csv
import io
import itertools
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from balance.errors import InputError
from balance.job._sheet_guard import check_sheet

if TYPE_CHECKING:
    from python_calamine import CalamineWorkbook

__all__ = ["TextTable", "read_table"]

Row = tuple[str, ...]
DELIMITERS = {"tab": "\t", "semicolon": ";", "comma": ",", "bar": "|"}
SHEETS = (".xlsx", ".ods")
_LARGEST = 20_000_000  # bytes


@dataclass(frozen=True)
class TextTable:
    """The rows of a list as text; ``numbers`` are the file's lines or the sheet's rows, from 1.

    ``delimiter`` is None for a spreadsheet, whose cells are what they are, and for a list of one
    column.
    """

    rows: tuple[Row, ...]
    numbers: tuple[int, ...]
    delimiter: str | None
    sheet: str | None


def read_table(
    path: Path,
    *,
    delimiter: str | None = None,
    decimal: str | None = None,
    sheet: str | None = None,
) -> TextTable:
    """Read a CSV file or one sheet of a spreadsheet as text.

    Parameters
    ----------
    path : path
        ``.xlsx`` and ``.ods`` are spreadsheets, everything else is text.
    delimiter : str, optional
        "tab", "semicolon", "comma" or "bar"; found when left out.
    decimal : str, optional
        "point" or "comma"; asked for where a comma may be either. Cells come back with a point.
    sheet : str, optional
        Name of the sheet; may be left out when the spreadsheet has one that is not empty.

    Raises
    ------
    InputError
        When the file cannot be read, is too large, or it is not clear what separates its cells.

    Examples
    --------
    >>> read_table(Path("gone.csv"))
    Traceback (most recent call last):
    balance.errors.InputError: gone.csv: cannot be read: No such file or directory
    """
    if delimiter is not None and delimiter not in DELIMITERS:
        known = ", ".join(DELIMITERS)
        raise InputError(f"delimiter must be one of {known}, got {delimiter!r}")
    if decimal not in (None, "point", "comma"):
        raise InputError(f"decimal must be point or comma, got {decimal!r}")
    try:
        with path.open("rb") as file:
            raw = file.read(_LARGEST + 1)
    except OSError as wrong:
        raise InputError(f"{path}: cannot be read: {wrong.strerror or wrong}") from None
    if len(raw) > _LARGEST:
        raise InputError(f"{path}: is larger than 20 MB: this is no list of weights")
    if path.suffix.lower() in SHEETS:
        return _from_sheet(path, raw, sheet)
    return _from_text(path, _decoded(path, raw), delimiter, decimal)


def _decoded(path: Path, raw: bytes) -> str:
    """Return the text of a CSV file: Unicode by its byte-order mark, else UTF-8, else Windows."""
    for mark, encoding in ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"", "utf-8-sig")):
        if raw.startswith(mark):
            try:
                text = raw.decode(encoding)
                break
            except UnicodeDecodeError:
                continue
    else:
        text = raw.decode("cp1252", errors="replace")
    if "\x00" in text:
        raise InputError(f"{path}: is no text: save the list as CSV, XLSX or ODS")
    return text


def _from_text(path: Path, text: str, delimiter: str | None, decimal: str | None) -> TextTable:
    lines = [line for line in text.splitlines() if line.strip()]
    try:
        mark = DELIMITERS[delimiter] if delimiter else _delimiter(path, lines, decimal)
        rows = [*_filled(text, mark, decimal)]
    except csv.Error as wrong:
        raise InputError(f"{path}: cannot be read as a list: {wrong}") from None
    return TextTable(tuple(row for _, row in rows), tuple(n for n, _ in rows), mark, None)


def _filled(text: str, mark: str | None, decimal: str | None) -> Iterator[tuple[int, Row]]:
    """Yield line number and cells of every row that is not empty."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark or "\x1f")
    for row in reader:
        cells = tuple(_pointed(" ".join(cell.split()), decimal) for cell in row)
        if any(cells):
            yield reader.line_num, cells


def _pointed(cell: str, decimal: str | None) -> str:
    """Return a number with a point for its decimal mark and no marks for thousands."""
    if decimal == "comma" and re.match(r"-?[\d.]*,?\d", cell):
        return cell.replace(".", "").replace(",", ".", 1)
    if decimal == "point" and re.match(r"-?\d{1,3}(,\d{3})+(?!\d)", cell):
        return cell.replace(",", "")
    return cell


def _delimiter(path: Path, lines: list[str], decimal: str | None) -> str | None:
    """Return what separates the cells; None when nothing does; raise when it is not clear."""
    votes: Counter[str] = Counter()
    for mark in DELIMITERS.values():
        counts = Counter(_cells(line, mark) for line in lines)
        counts.pop(1, None)
        votes[mark] = max(counts.values(), default=0)
    if decimal == "comma":
        del votes[","]
    best, number = max(votes.items(), key=lambda vote: (vote[1], vote[0] != ","))
    if number == 0:
        return None
    if best == "," and decimal is None:
        _ask_about_commas(path, lines)
    return best


def _ask_about_commas(path: Path, lines: list[str]) -> None:
    """Raise when the commas may as well be decimal marks: ``420,3`` or ``P1,420,3``."""
    if any(re.search(r"\d\.\d", line) for line in lines):
        return  # points are decimal marks here, so commas are none
    rows = [next(csv.reader([line]), []) for line in lines]
    pairs = [
        f"{one.strip()},{two.strip()}"
        for row in rows
        for one, two in itertools.pairwise(row)
        if one.strip().isdigit() and two.strip().isdigit()
    ]
    if pairs:
        raise InputError(
            f"{path}: is {pairs[0]!r} one number or two? Say --decimal comma if the comma is a "
            "decimal mark, --decimal point if it separates two whole numbers"
        )


def _cells(line: str, mark: str) -> int:
    if '"' not in line:
        return line.count(mark) + 1
    return len(next(csv.reader([line], delimiter=mark), []))


def _from_sheet(path: Path, raw: bytes, sheet: str | None) -> TextTable:
    from python_calamine import CalamineError, CalamineWorkbook

    try:
        check_sheet(raw)
    except InputError as wrong:
        raise InputError(f"{path}: {wrong}") from None
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(raw))
        names = [sheet] if sheet else list(book.sheet_names)
        found = {
            name: [[_text(cell) for cell in row] for row in _rows(path, book, name)]
            for name in names
        }
    except InputError:
        raise
    except (CalamineError, ValueError, OSError, IndexError) as wrong:
        raise InputError(f"{path}: cannot be read as a spreadsheet: {wrong}") from None
    filled = {name: rows for name, rows in found.items() if any(any(row) for row in rows)}
    if len(filled) > 1:
        raise InputError(f"{path}: which sheet? Say --sheet with one of {', '.join(filled)}")
    name, rows = next(iter(filled.items()), (sheet, []))
    kept = [(number, tuple(row)) for number, row in enumerate(rows, 1) if any(row)]
    return TextTable(tuple(row for _, row in kept), tuple(n for n, _ in kept), None, name)


def _rows(path: Path, book: "CalamineWorkbook", name: str) -> "list[list[Any]]":
    if name not in book.sheet_names:
        known = ", ".join(book.sheet_names)
        raise InputError(f"{path}: has no sheet {name!r}; there are {known}")
    return book.get_sheet_by_name(name).to_python(skip_empty_area=False)


def _text(cell: object) -> str:
    """Return a cell as people see it; a number keeps its point, whatever the country."""
    if isinstance(cell, float):
        return f"{cell:.10g}"
    return " ".join(str(cell).split())
