"""What a paper is made of: headings, tables, pictures, things to tick and to write in.

A paper is a list of blocks, once; the PDF and the web page are two ways to set the same list.
Texts are plain text: names that people chose never become markup.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

__all__ = [
    "TICK",
    "WRITE",
    "Block",
    "Bullets",
    "Column",
    "Heading",
    "Notice",
    "Paper",
    "Picture",
    "Side",
    "Strip",
    "Table",
    "Text",
    "clean",
]

TICK = "\u2610"
WRITE = None
"""A cell to write in."""


@dataclass(frozen=True)
class Heading:
    """The title of a section; ``new_page`` begins a page of paper with it."""

    text: str
    new_page: bool = False


@dataclass(frozen=True)
class Text:
    """A paragraph."""

    text: str
    small: bool = False


@dataclass(frozen=True)
class Notice:
    """A framed text that must not be overlooked."""

    title: str
    text: str


@dataclass(frozen=True)
class Bullets:
    """A list; ``tick`` gives every item a number and a box to tick."""

    items: tuple[str, ...]
    tick: bool = False
    small: bool = False


@dataclass(frozen=True)
class Column:
    """A column of a table: its head, how it is aligned, its width [mm] where it is written in."""

    head: str
    align: str = "left"
    width_mm: float | None = None


@dataclass(frozen=True)
class Table:
    """A table; a cell is text, or None to write in by hand.

    A ``large`` one is read at the drill press, at arm's length.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[str | None, ...], ...]
    caption: str = ""
    large: bool = False


@dataclass(frozen=True)
class Picture:
    """A drawing as SVG text with its text alternative; ``width_mm`` on paper."""

    svg: str
    alt: str
    width_mm: float
    caption: str = ""


@dataclass(frozen=True)
class Strip:
    """Pictures beside each other, as many to a row as fit."""

    pictures: tuple[Picture, ...]


@dataclass(frozen=True)
class Side:
    """Groups of blocks side by side, with their shares of the width."""

    groups: tuple[tuple["Block", ...], ...]
    shares: tuple[float, ...]


Block = Heading | Text | Notice | Bullets | Table | Picture | Strip | Side


@dataclass(frozen=True)
class Paper:
    """A whole paper: its title, what stands under the title, its blocks and its foot line."""

    title: str
    subtitle: str
    blocks: tuple[Block, ...]
    foot: str
    author: str = ""
    date: tuple[int, int, int] | None = None
    banner: str = ""
    aid: str = ""
    facts: tuple[tuple[str, str], ...] = ()


def clean(text: object, *, most: int | None = None) -> str:
    """Return a text that people wrote as one line of printable characters.

    Control characters and those that turn the reading direction are left out; the joiners that
    some scripts need stay. ``most`` shortens it for a label in a drawing.

    Examples
    --------
    >>> clean("rod\\n<b>4</b>\\x07"), clean("a very long name", most=8)
    ('rod <b>4</b>', 'a very …')
    """
    kept = "".join(c if c.isprintable() or c in "\u200c\u200d" else " " for c in str(text))
    line = " ".join(kept.split())
    return line if most is None or len(line) <= most else line[: most - 1] + "…"


def as_data(value: Any) -> Any:
    """Return blocks as plain dicts and lists that say of which kind they are."""
    if isinstance(value, str) or value is None or isinstance(value, bool | int | float):
        return value
    if isinstance(value, Sequence):
        return [as_data(item) for item in value]
    fields = {name: as_data(getattr(value, name)) for name in value.__dataclass_fields__}
    return {"kind": type(value).__name__, **fields}
