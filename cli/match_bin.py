"""A bin of parts from lists, sorted into engine sets that match as they are."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from balance.job.bin_lists import ListedBin
    from balance.job.model import Job
    from balance.parts.bins import Partition

_SHOWN = 3  # sets on the screen; all of them are in the list that is written
_SAID = 20  # rows that were left out, named on the screen


@dataclass(frozen=True)
class Sorted:
    """A bin, the sets out of it, and what they had to keep to."""

    job: Job
    parts: ListedBin
    found: Partition
    size: int
    tolerance_g: float
    big_end_tolerance_g: float

    def rows(self, sets: int | None = None) -> Iterator[dict[str, object]]:
        """Yield every assembly of every set, or of the first few sets."""
        parts, big = self.parts, self.parts.big_ends_g
        for number, group in enumerate(self.found.groups[:sets].tolist(), 1):
            for piston, pin, rod in group:
                total = parts.pistons_g[piston] + parts.pins_g[pin] + parts.small_ends_g[rod]
                yield {
                    "set": number,
                    "piston": parts.piston_marks[piston],
                    "pin": parts.pin_marks[pin],
                    "rod": parts.rod_marks[rod],
                    "piston + pin + small end [g]": round(float(total), 2),
                    "big end [g]": None if big is None else round(float(big[rod]), 2),
                }


def match_bin(
    job: Path, lists: list[Path], *, unit: str | None, out: Path | None, as_json: bool
) -> int:
    """Sort the parts of the lists into sets for the job's engine; write them all as one list."""
    from balance.errors import InputError
    from balance.job.export import as_csv
    from balance.job.load import read_job
    from balance.units import read as read_quantity
    from cli.interrupts import STOPPED
    from cli.papers import keep
    from cli.printing import print_json

    read = read_job(job)
    path = out or job.with_name(f"{job.stem}-sets.csv")
    _ = read_quantity("1", "mass", unit=unit)  # an unknown unit is refused before any list is read
    if path.resolve() in {given.resolve() for given in (job, *lists)}:
        raise InputError(f"{path} is read here: name another file with --out")
    parts = _read(lists, unit or read.units.mass)
    if parts.only_pistons:
        from cli.match_pistons import match_pistons

        return match_pistons(read, parts, path, as_json=as_json)
    made = _sort(read, parts, quiet=as_json)
    keep(path, as_csv(made.rows()).encode("utf-8-sig"))
    if as_json:
        print_json(_plain(made, path))
    else:
        _show(made, path)
    if not made.found.finished:
        return STOPPED
    return 0 if made.found.count and not parts.left_out else 1


def _read(lists: list[Path], unit: str) -> ListedBin:
    from balance.errors import InputError
    from balance.job.bin_lists import read_bin
    from balance.job.tables import read_table
    from cli.printing import busy

    if len(set(lists)) < len(lists):
        raise InputError("a list is named twice: name each list once")
    with busy("reading the lists ..."):
        alike = len({path.name for path in lists}) < len(lists)  # one name in two folders
        names = [str(path) if alike else path.name for path in lists]
        tables = [read_table(path) for path in lists]
        return read_bin(dict(zip(names, tables, strict=True)), unit=unit)


def _sort(job: Job, parts: ListedBin, *, quiet: bool) -> Sorted:
    from balance.parts.bins import partition
    from cli.watching import watched

    size, slack = job.engine.cylinder_count, job.targets.match_tolerance
    stated = job.targets.big_end_tolerance
    big_slack = slack if stated is None else stated
    with watched("steps of sorting", quiet=quiet) as watch:
        found = partition(
            parts.pistons_g,
            parts.pins_g,
            parts.small_ends_g,
            size=size,
            tolerance_g=slack,
            big_ends_g=parts.big_ends_g,
            big_end_tolerance_g=None if parts.big_ends_g is None else big_slack,
            progress=watch.progress,
            stop=watch.stop,
        )
    return Sorted(job, parts, found, size, slack, big_slack)


def _show(made: Sorted, path: Path) -> None:
    from cli.printing import heading, next_step, say, table, title
    from cli.watching import spaced

    parts, found = made.parts, made.found
    title("Sets from a bin", made.job)
    show_columns(parts)
    if not found.finished:
        say("Stopped before the end: the sets below hold, but more may be possible.")
    table(
        ["", "in the lists", "left in the bin"],
        [
            ["pistons", spaced(len(parts.piston_marks)), spaced(len(found.left_pistons))],
            ["pins", spaced(len(parts.pin_marks)), spaced(len(found.left_pins))],
            ["rods", spaced(len(parts.rod_marks)), spaced(len(found.left_rods))],
        ],
    )
    proven = "no way of sorting gives more" if found.optimal else f"at most {spaced(found.bound)}"
    sets = f"{spaced(found.count)} set{'s' * (found.count != 1)} of {made.size}"
    say("", f"{sets} ({proven}), nothing to be cut.")
    say(_kept_to(made))
    if found.count:
        heading("The first of them")
        head = ["set", "piston", "pin", "rod", "sum g", "big end g"]
        table(head, ([_cell(v) for v in row.values()] for row in made.rows(_SHOWN)), left=4)
        say("A sum is piston + pin + small end.")
    show_left_out(parts)
    say("", f"All of them stand in {path}.")
    next_step("take them out by the list, weigh one set again, then heavyspot new for its engine.")


def _cell(value: object) -> str:
    return "-" if value is None else f"{value:.2f}" if isinstance(value, float) else str(value)


def _kept_to(made: Sorted) -> str:
    sums = (
        f"Within a set the sums differ by {made.found.spread_g:.2f} g at most (tolerance "
        f"{made.tolerance_g:g} g)"
    )
    if made.parts.big_ends_g is None:
        return f"{sums}; no list has the big ends, so they are NOT matched."
    return (
        f"{sums}, the big ends by {made.found.big_end_spread_g:.2f} g (tolerance "
        f"{made.big_end_tolerance_g:g} g)."
    )


def show_columns(parts: ListedBin) -> None:
    """Print how the columns of the lists were understood."""
    from cli.printing import bullets, say

    say("Columns, as understood (--unit says what bare numbers are in):")
    bullets(parts.columns)


def show_left_out(parts: ListedBin) -> None:
    """Print the rows of the lists that were not taken, and why."""
    from cli.printing import bullets, heading
    from cli.watching import spaced

    left_out = parts.left_out
    if not left_out:
        return
    heading(f"{spaced(len(left_out))} not taken")
    bullets(
        f"{f'{item.file} row {item.row}: ' if item.file else ''}{item.said[:40]}: {item.reason}"
        for item in left_out[:_SAID]
    )
    if len(left_out) > _SAID:
        bullets([f"and {spaced(len(left_out) - _SAID)} more"])


def _plain(made: Sorted, path: Path) -> dict[str, Any]:
    parts, found = made.parts, made.found
    return {
        "written": str(path),
        "finished": found.finished,
        "size": made.size,
        "count": found.count,
        "bound": found.bound,
        "optimal": found.optimal,
        "spread_g": found.spread_g,
        "big_end_spread_g": None if parts.big_ends_g is None else found.big_end_spread_g,
        "left_pistons": len(found.left_pistons),
        "left_pins": len(found.left_pins),
        "left_rods": len(found.left_rods),
        "not_taken": parts.left_out,
        "columns": parts.columns,
    }
