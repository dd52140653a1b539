"""Jobs that the tests of the papers share, and how the tests look into a paper."""

import re
from collections.abc import Callable, Iterator
from importlib.resources import files
from types import SimpleNamespace

import pytest

from balance.job.load import read_text
from balance.sheet.blocks import Block, Bullets, Heading, Notice, Paper, Picture, Side, Strip, Table
from balance.sheet.results import Results

FLAT_FOUR = (files("cli.examples") / "flat-four.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def flat_four() -> Results:
    return Results(read_text(FLAT_FOUR))


@pytest.fixture(scope="session")
def v_twin() -> Results:
    return Results(read_text((files("cli.examples") / "v-twin.toml").read_text(encoding="utf-8")))


@pytest.fixture(scope="session")
def edited() -> Callable[..., Results]:
    """Return the flat-four with words of its file replaced."""

    def edit(*swaps: tuple[str, str], keep: Callable[[str], str] = str) -> Results:
        text = keep(FLAT_FOUR)
        for old, new in swaps:
            assert old in text
            text = text.replace(old, new)
        return Results(read_text(text))

    return edit


@pytest.fixture(scope="session")
def look() -> SimpleNamespace:
    """Return the ways to look into a paper."""
    return SimpleNamespace(
        as_dicts=as_dicts, flat=flat, pages=pages, table_with=table_with, words_of=words_of
    )


def flat(blocks: tuple[Block, ...]) -> Iterator[Block]:
    """Yield every block, those inside others too."""
    for block in blocks:
        yield block
        if isinstance(block, Side):
            yield from (inner for group in block.groups for inner in flat(group))
        if isinstance(block, Strip):
            yield from block.pictures


def words_of(paper: Paper) -> str:
    """Return everything a paper says, one block a line."""
    return "\n".join(_said(block) for block in flat(paper.blocks)).replace("\u00a0", " ")


def _said(block: Block) -> str:
    match block:
        case Table(columns, rows, caption):
            cells = [cell or "____" for row in rows for cell in row]
            return " | ".join([*(column.head for column in columns), *cells, caption])
        case Bullets(items):
            return " | ".join(items)
        case Notice(title, text):
            return title + text
        case Picture(_, alt, _, caption):
            return f"{alt} {caption}"
        case Heading(text):
            return text
    return getattr(block, "text", "")


def table_with(paper: Paper, head: str) -> Table:
    """Return the first table that has a column of that head."""
    tables = [block for block in flat(paper.blocks) if isinstance(block, Table)]
    return next(
        t for t in tables if any(column.head.replace("\n", " ") == head for column in t.columns)
    )


def as_dicts(table: Table) -> list[dict[str, str | None]]:
    """Return the rows of a table by the heads of its columns."""
    heads = [column.head.replace("\n", " ") for column in table.columns]
    rows = [[cell and cell.replace("\u00a0", " ") for cell in row] for row in table.rows]
    return [dict(zip(heads, row, strict=True)) for row in rows]


def pages(pdf: bytes) -> int:
    """Return how many pages a PDF has."""
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))
