"""Where each key of a TOML text stands, so that a message can name the line.

``tomllib`` reads values but forgets places. This scanner only walks over text that ``tomllib``
has already accepted, so it may trust the grammar and needs no error handling of its own.
"""

import re
from collections.abc import Iterator, Mapping

__all__ = ["Path", "line_of", "lines_of", "nearest_line"]

Path = tuple[str | int, ...]

_KEY = re.compile(r"""\s*(?:"((?:[^"\\]|\\.)*)"|'([^']*)'|([A-Za-z0-9_-]+))\s*""")
_SPACE = re.compile(r"(?:[\s,]|#[^\n]*)*")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}|' r"'''.*?'{3,5}|" r'"(?:[^"\\\n]|\\.)*"|' r"'[^'\n]*'", re.DOTALL
)
_SCALAR = re.compile(r"[^\s,\]}#]+(?: [0-9:.Z+-]+)?")


def lines_of(text: str) -> dict[Path, int]:
    """Return the line (from 1) of every table, key and array item of a valid TOML text.

    Examples
    --------
    >>> lines_of('[crank]\\nmass = 12\\n')[("crank", "mass")]
    2
    """
    return _Walk(text).places


def line_of(text: str, path: Path) -> int | None:
    """Return the line of a path, or of its nearest parent that is written; None for the root.

    Examples
    --------
    >>> line_of('[[spins]]\\n\\n[[spins]]\\nname = "x"\\n', ("spins", 1, "speed"))
    3
    """
    return nearest_line(lines_of(text), path)


def nearest_line(places: Mapping[Path, int], path: Path) -> int | None:
    """Return the line of a path among the places of :func:`lines_of`, or of its nearest parent.

    Examples
    --------
    >>> nearest_line({("crank",): 7}, ("crank", "mass"))
    7
    """
    for length in range(len(path), 0, -1):
        if path[:length] in places:
            return places[path[:length]]
    return None


class _Walk:
    def __init__(self, text: str) -> None:
        self.text, self.at, self.places = text, 0, dict[Path, int]()
        self.counts: dict[Path, int] = {}
        self.line, self.counted_to = 1, 0
        table: Path = ()
        for start in self._statements():
            table = self._header() if start == "[" else self._assignment(table)

    def _statements(self) -> Iterator[str]:
        self._skip()
        while self.at < len(self.text):
            yield self.text[self.at]
            self._skip()

    def _skip(self) -> None:
        match = _SPACE.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def _note(self, path: Path) -> None:
        self.line += self.text.count("\n", self.counted_to, self.at)
        self.counted_to = self.at
        self.places.setdefault(path, self.line)

    def _header(self) -> Path:
        array = self.text.startswith("[[", self.at)
        self.at += 2 if array else 1
        path = self._inside_arrays(self._keys(), array)
        self._note(path)
        self.at = self.text.index("]", self.at) + (2 if array else 1)
        return path

    def _inside_arrays(self, keys: Path, array: bool) -> Path:
        """Return the path with the index of each array of tables that it goes through."""
        path: Path = ()
        for place, key in enumerate(keys):
            path = (*path, key)
            if array and place == len(keys) - 1:
                self.counts[path] = self.counts.get(path, -1) + 1
            if path in self.counts:
                path = (*path, self.counts[path])
        return path

    def _keys(self) -> Path:
        keys: list[str] = []
        while match := _KEY.match(self.text, self.at):
            keys.append(next(group for group in match.groups() if group is not None))
            self.at = match.end()
            if not self.text.startswith(".", self.at):
                break
            self.at += 1
        return tuple(keys)

    def _assignment(self, table: Path) -> Path:
        start = self.at
        keys = self._keys()
        after, self.at = self.at, start
        for length in range(1, len(keys) + 1):
            self._note(table + keys[:length])
        self.at = self.text.index("=", after) + 1
        self._value(table + keys)
        return table

    def _value(self, path: Path) -> None:
        self._skip()
        if self.text.startswith("[", self.at):
            self._array(path)
        elif self.text.startswith("{", self.at):
            self._inline_table(path)
        else:
            match = _STRING.match(self.text, self.at) or _SCALAR.match(self.text, self.at)
            self.at = match.end() if match else len(self.text)

    def _array(self, path: Path) -> None:
        self.at += 1
        index = 0
        self._skip()
        while not self.text.startswith("]", self.at):
            self._note((*path, index))
            self._value((*path, index))
            index += 1
            self._skip()
        self.at += 1

    def _inline_table(self, path: Path) -> None:
        self.at += 1
        self._skip()
        while not self.text.startswith("}", self.at):
            self._assignment(path)
            self._skip()
        self.at += 1
