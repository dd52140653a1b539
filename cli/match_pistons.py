"""A bin of pistons alone, sorted into engine sets that match as they are."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from balance.job.bin_lists import ListedBin
    from balance.job.model import Job
    from balance.parts.alone_bins import KindSets

_SHOWN = 3  # sets on the screen; all of them are in the list that is written


def match_pistons(job: Job, parts: ListedBin, path: Path, *, as_json: bool) -> int:
    """Sort pistons into sets for the job's engine; write them all as one list."""
    from balance.job.export import as_csv
    from balance.parts.alone_bins import sort_kind
    from cli.papers import keep
    from cli.printing import print_json

    size, slack = job.engine.cylinder_count, job.targets.match_tolerance
    found = sort_kind(parts.pistons_g, size=size, tolerance_g=slack)
    keep(path, as_csv(_rows(parts, found)).encode("utf-8-sig"))
    if as_json:
        print_json(
            {
                "written": str(path),
                "finished": True,
                "size": size,
                "count": found.count,
                "bound": found.count,
                "optimal": True,
                "spread_g": found.spread_g,
                "left_pistons": len(found.left),
                "not_taken": parts.left_out,
                "columns": parts.columns,
            }
        )
    else:
        _show(job, parts, found, path)
    return 0 if found.count and not parts.left_out else 1


def _rows(parts: ListedBin, found: KindSets) -> Iterator[dict[str, object]]:
    """Yield every piston of every set."""
    for number, group in enumerate(found.groups.tolist(), 1):
        for piston in group:
            mass_g = round(float(parts.pistons_g[piston]), 2)
            yield {"set": number, "piston": parts.piston_marks[piston], "piston [g]": mass_g}


def _show(job: Job, parts: ListedBin, found: KindSets, path: Path) -> None:
    from cli.match_bin import show_columns, show_left_out
    from cli.printing import heading, next_step, say, table, title
    from cli.watching import spaced

    size, slack = job.engine.cylinder_count, job.targets.match_tolerance
    title("Sets of pistons from a bin", job)
    show_columns(parts)
    say(
        "",
        f"{spaced(found.count)} set{'s' * (found.count != 1)} of {size} out of "
        f"{spaced(len(parts.piston_marks))} pistons (no way of sorting gives more), nothing to be "
        f"cut; {spaced(len(found.left))} left in the bin.",
    )
    if found.count:
        say(
            f"Within a set they differ by {found.spread_g:.2f} g at most (tolerance {slack:g} g). "
            "Pins and rods are in no list: they are NOT matched."
        )
        heading("The first of them")
        rows = (
            [str(row["set"]), str(row["piston"]), f"{row['piston [g]']:.2f}"]
            for row in _rows(parts, found)
            if int(str(row["set"])) <= _SHOWN
        )
        table(["set", "piston", "g"], rows, left=2)
    show_left_out(parts)
    say("", f"All of them stand in {path}.")
    if found.count:
        next_step("take them out by the list and weigh one set again.")
    else:
        next_step(
            f"more pistons, a wider match_tolerance, or metal off: weigh them into {job.source}, "
            "then heavyspot match."
        )
