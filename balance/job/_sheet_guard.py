"""Look through a spreadsheet before it is read: a hostile one would fill memory or never end.

A workbook is a zip of XML. One cell at the far corner makes a table of thousands of millions of
cells, a small zip can unpack to a large one, and XML that does not close keeps a reader waiting.
"""

import io
import re
import zipfile
import zlib
from xml.parsers import expat

from balance.errors import InputError

__all__ = ["check_sheet"]

_LARGEST = 50_000_000  # bytes, unpacked
_MOST_CELLS = 200_000


def check_sheet(raw: bytes) -> None:
    """Raise when the bytes are no sound workbook of a size that a list of weights can have."""
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as book:
            members = book.infolist()
            if sum(member.file_size for member in members) > _LARGEST:
                raise InputError("unpacks to more than 50 MB: this is no list of weights")
            for member in members:
                if member.filename.endswith((".xml", ".rels")):
                    _Extent().check(book.read(member))
    except (zipfile.BadZipFile, zlib.error, RuntimeError, NotImplementedError, EOFError) as wrong:
        raise InputError(f"cannot be read as a spreadsheet: {wrong}") from None
    except (expat.ExpatError, ValueError) as wrong:
        if isinstance(wrong, InputError):
            raise
        raise InputError(f"cannot be read as a spreadsheet: {wrong}") from None


class _Extent:
    """How far the filled cells of one sheet reach, in either of the two formats."""

    def __init__(self) -> None:
        self.row = self.column = self.repeat = 0
        self.last_row = self.last_column = 1

    def check(self, xml: bytes) -> None:
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.StartElementHandler = self._start
        parser.Parse(xml, True)

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        kind = name.rpartition(" ")[2]
        if kind in ("c", "row") and "r" in attributes:
            self._office_open(attributes["r"])
        elif kind == "table":
            self.row = self.repeat = 0
        elif kind == "table-row":
            self.row += self.repeat
            self.column, self.repeat = 0, _repeated(attributes, "number-rows-repeated")
        elif kind in ("table-cell", "covered-table-cell"):
            self._open_document(attributes)
        if self.last_row * self.last_column > _MOST_CELLS:
            raise InputError("has a sheet of too many cells for a list of weights")

    def _office_open(self, place: str) -> None:
        found = re.fullmatch(r"([A-Z]{0,3})(\d{1,7})", place.upper(), re.ASCII)
        if found is None:
            raise InputError(f"has a cell at {place[:20]!r}, which is no place")
        column = 0
        for letter in found[1]:
            column = column * 26 + ord(letter) - ord("A") + 1
        self.last_row = max(self.last_row, int(found[2]))
        self.last_column = max(self.last_column, column)

    def _open_document(self, attributes: dict[str, str]) -> None:
        self.column += _repeated(attributes, "number-columns-repeated")
        if any(name.endswith(" value-type") for name in attributes):
            self.last_row = max(self.last_row, self.row + self.repeat)
            self.last_column = max(self.last_column, self.column)


def _repeated(attributes: dict[str, str], ending: str) -> int:
    found = next((text for name, text in attributes.items() if name.endswith(f" {ending}")), "1")
    return int(found)
