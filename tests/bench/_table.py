"""A row of a bench, and rows as a table of 80 columns."""

import argparse
import dataclasses
import math
import textwrap
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from _measure import Growth

WIDTH = 80
COLUMNS = ("what", 22), ("n", 5), ("ours", 7), ("beside", 12), ("ratio", 5), ("growth", 11)
HEAD = " ".join(
    f"{name:>{width}}" if name in ("n", "ours", "ratio") else f"{name:{width}}"
    for name, width in COLUMNS
)
HEAD += " aim"


@dataclass(frozen=True)
class Row:
    """One thing measured.

    ``size`` is the n that ``growth`` speaks of; ``ratio`` how many times ours the baseline takes,
    at least so many when it was ``stopped`` before its end. ``kept`` says whether the ambition
    ``aim`` was met, None where there is none. A row that ``failed`` says why.
    """

    room: str
    what: str
    size: float | None = None
    ours_s: float | None = None
    baseline: str = ""
    baseline_s: float | None = None
    stopped: bool = False
    growth: Growth | None = None
    aim: str = ""
    kept: bool | None = None
    note: str = ""
    failed: str = ""

    @property
    def ratio(self) -> float | None:
        """The baseline's time over ours."""
        if self.ours_s is None or self.baseline_s is None:
            return None
        return self.baseline_s / self.ours_s

    def as_json(self) -> dict[str, Any]:
        """Return the row for programs: its fields and the ratio."""
        return {**dataclasses.asdict(self), "ratio": self.ratio}


def span(seconds: float) -> str:
    """Return a time in the unit that people would choose, two to three digits."""
    for unit, size in (("us", 1e-6), ("ms", 1e-3)):
        if seconds < 999.5 * size:
            return f"{_three(seconds / size)} {unit}"
    return f"{_three(seconds)} s"


def count(value: float) -> str:
    """Return a count or a ratio in at most five places."""
    if value >= 1e4:
        power = math.floor(math.log10(value))
        return f"{value / 10**power:.2g}e{power}"
    return _three(value) if value < 100 and value != int(value) else f"{value:.0f}"


def _times(ratio: float) -> str:
    """Return a ratio; below one as a part."""
    return count(ratio) if ratio > 0.95 else f"1/{count(1 / ratio)}"


def _three(value: float) -> str:
    """Return two digits below ten, whole numbers above."""
    return f"{value:.2g}" if value < 9.95 else f"{value:.0f}"


def line(row: Row) -> str:
    """Return a row as one line."""
    if row.failed:
        return f"{row.what:{COLUMNS[0][1]}} FAILED"
    ratio = "" if row.ratio is None else (">" if row.stopped else "") + _times(row.ratio)
    verdict = {None: "", True: " ok", False: " MISS"}[row.kept]
    cells = (
        row.what,
        "" if row.size is None else count(row.size),
        "" if row.ours_s is None else span(row.ours_s),
        row.baseline,
        ratio,
        str(row.growth or ""),
    )
    aligned = (
        f"{cell:>{width}}" if name in ("n", "ours", "ratio") else f"{cell:{width}}"
        for cell, (name, width) in zip(cells, COLUMNS, strict=True)
    )
    return (" ".join(aligned) + f" {row.aim}{verdict}").rstrip()


def lines(row: Row, *, notes: bool = True) -> Iterator[str]:
    """Yield a row's line and, indented below it, what failed and what else is to be said."""
    yield line(row)
    for text in (row.failed, row.note if notes else ""):
        yield from textwrap.wrap(text, WIDTH - 4, initial_indent="    ", subsequent_indent="    ")


def missed(rows: Iterable[Row]) -> list[str]:
    """Return the ambitions that were not met, one line each."""
    return [
        f"{row.room}: {row.what}"
        + ("" if row.size is None else f", n = {count(row.size)}")
        + ("" if row.ours_s is None else f": {span(row.ours_s)}")
        + f", aim {row.aim}"
        for row in rows
        if row.kept is False
    ]


def alone(doc: str, rows: Callable[..., Iterable[Row]]) -> None:
    """Run one bench by itself and print its rows as they come."""
    parser = argparse.ArgumentParser(
        description=doc, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--short", action="store_true", help="fewer and smaller cases")
    short = parser.parse_args().short
    print(doc.strip(), HEAD, sep="\n\n")
    for row in rows(short=short):
        print("\n".join(lines(row)), flush=True)
