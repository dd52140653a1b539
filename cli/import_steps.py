"""Show what a list gives, then add it to the job in one step."""

import sys
from collections.abc import Iterator
from pathlib import Path

from balance.errors import InputError
from balance.job.append import append_entries
from balance.job.entries import weighing_entry
from balance.job.lists import ListRead
from balance.job.model import Job
from balance.parts.plausible import list_doubts
from cli.asking import ask, nothing_kept, settle
from cli.printing import bullets, heading, next_step, say, table, title


def show_list(job: Job, found: ListRead) -> None:
    """Print how the columns were understood, what is taken and what is not."""
    title("Import", job)
    say("Columns, as understood:")
    bullets(found.columns)
    if found.titles:
        above = "; ".join(f"row {item.row}, {item.said[:30]}" for item in found.titles)
        say(f"Above them, not read: {above}.")
    heading(f"{len(found.taken)} readings taken")
    table(
        ["row", "part", "reading"],
        ([str(item.row), item.wanted.label, item.text] for item in found.taken),
        left=2,
    )
    if found.left_out:
        heading(f"{len(found.left_out)} not taken")
        table(
            ["row", "cell", "why"],
            ([str(item.row), item.said[:30], item.reason] for item in found.left_out),
            left=3,
        )
    print()


def write_list(
    path: Path,
    job: Job,
    found: ListRead,
    *,
    finished: bool,
    instrument: str,
    yes: bool,
    sure: bool,
) -> int:
    """Append the readings, all or none, once the person agrees; 1 when something is missing."""
    missing = [item for item in found.left_out if not item.settled]
    if not found.taken and found.left_out and not missing:
        say("Nothing is new in this list; nothing was written.")
        return 0
    if not found.taken:
        raise InputError("no reading of the list can be taken; nothing was written")
    doubts = [*_doubts(job, found, finished, instrument.removeprefix("list "))]
    with nothing_kept():
        settled = settle(doubts, sure=sure, instead="--except ROW leaves a row out, ")
        agreed = settled and (yes or _agreed(len(found.taken)))
    if not settled:
        say("Nothing was written.")
        next_step("the same command with --except ROW leaves a row out.")
        return 1
    if not agreed:
        next_step("look it over, then the same command with --yes writes it.")
        return 1
    entries = [
        weighing_entry(
            item.wanted.part, item.wanted.what, item.text, finished=finished, instrument=instrument
        )
        for item in found.taken
    ]
    append_entries(path, "weighings", entries)
    say(f"{len(entries)} readings kept in {path}.")
    next_step(f"heavyspot check {path}")
    return 1 if missing else 0


def _agreed(count: int) -> bool:
    if not sys.stdin.isatty():
        return False
    return ask(f"Write these {count} readings? y or n > ").lower() in ("y", "yes")


def _doubts(job: Job, found: ListRead, finished: bool, name: str) -> Iterator[str]:
    """Doubt each reading beside those of the job and all others of the list."""
    for doubt, rows in list_doubts(job, found.taken, finished=finished).items():
        where = ", ".join(map(str, rows))
        yield f"{name} row{'s' if len(rows) > 1 else ''} {where}: {doubt}"
