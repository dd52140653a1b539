"""All benches of all rooms in one run, as a table and as JSON.

    python tests/bench/run.py [--short] [--json FILE] [--readme] [BENCH ...]

Ours and the baselines are timed side by side in the same run: read the ratios, the machine may be
shared. ``ratio`` is the baseline's time over ours (``>``: it was stopped before its end, ``1/9``:
it takes a ninth of ours). ``growth`` is how ours grows with n, fitted to all sizes of one name, and
how far off that law a time typically lies (``none``: no law was seen). ``aim`` is the ambition of
the room: ok, or MISS.

Ctrl-C ends the run: rows that are done are kept and written. A bench that fails is a row that says
why, and the exit code is 1 then; a missed aim is no failure.
"""

import argparse
import importlib
import json
import os
import signal
import sys
import textwrap
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from _machine import in_words, machine
from _table import HEAD, WIDTH, Row, lines, missed

BENCHES = (
    "matching",
    "placing",
    "shaking",
    "motion",
    "spin",
    "bolt_up",
    "holes",
    "planning",
    "drilling",
    "big",
    "startup",
)
README = Path(__file__).parents[2] / "README.md"
BEGIN, END = "<!-- bench: written by tests/bench/run.py --readme -->\n", "<!-- end of bench -->"


@dataclass
class Report:
    """What a run has measured so far."""

    short: bool
    machine: dict[str, Any]
    started: float = field(default_factory=time.time)
    seconds: float = 0.0
    stopped: bool = False
    rooms: dict[str, str] = field(default_factory=dict)
    seeds: dict[str, str] = field(default_factory=dict)
    took: dict[str, float] = field(default_factory=dict)
    rows: list[tuple[str, Row]] = field(default_factory=list)

    @property
    def failed(self) -> bool:
        """Whether any bench failed."""
        return any(row.failed for _, row in self.rows)

    def as_json(self) -> dict[str, Any]:
        """Return the report for programs."""
        return {
            "short": self.short,
            "stopped": self.stopped,
            "started": time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(self.started)),
            "seconds": round(self.seconds, 1),
            "machine": self.machine,
            "seeds": self.seeds,
            "bench_seconds": {name: round(took, 1) for name, took in self.took.items()},
            "rows": [{"bench": bench, **row.as_json()} for bench, row in self.rows],
        }


def measure(report: Report, benches: Sequence[str]) -> Iterator[tuple[str, Row | None]]:
    """Run benches; yield each bench's name when it begins (no row), then its rows.

    What is done stands in the report, whatever happens next.
    """
    for name in benches:
        begin, before = time.monotonic(), report.seconds
        try:
            bench = importlib.import_module(f"bench_{name}")
            report.rooms[name], report.seeds[name] = bench.ROOM, bench.SEEDS
            yield name, None
            for row in bench.rows(short=report.short):
                report.rows.append((name, row))
                report.took[name] = time.monotonic() - begin
                report.seconds = before + report.took[name]
                yield name, row
        except Exception as error:  # one bench that fails must not cost the others
            row = Row(
                room=report.rooms.get(name, ""),
                what=name,
                failed=f"{type(error).__name__}: {error}",
            )
            report.rows.append((name, row))
            yield name, row


def heading(report: Report, name: str) -> str:
    """Return the line above a bench's rows."""
    title = f"{report.rooms[name]}: {name.replace('_', ' ')} (seeds: {report.seeds[name]})"
    return "\n" + textwrap.fill(title, WIDTH, subsequent_indent="    ")


def brief(report: Report) -> str:
    """Return the report as text: of each series the last row and those with an aim, no notes."""
    ends = {(name, row.what, row.baseline): index for index, (name, row) in enumerate(report.rows)}
    text, last = [opening(report), HEAD], ""
    for index, (name, row) in enumerate(report.rows):
        if row.aim or index == ends[name, row.what, row.baseline]:
            text += [heading(report, name)] * (name != last) + [*lines(row, notes=False)]
            last = name
    return "\n".join((*text, closing(report)))


def opening(report: Report) -> str:
    """Return the machine in words."""
    day = time.strftime("%d %B %Y, %H:%M UTC", time.gmtime(report.started))
    return textwrap.fill(f"{day}. {in_words(report.machine)}", WIDTH) + "\n"


def closing(report: Report) -> str:
    """Return what was missed, what failed and how long it took."""
    rows = [row for _, row in report.rows]
    aims, bad = [row for row in rows if row.kept is not None], missed(rows)
    said = [f"\n{len(aims) - len(bad)} of {len(aims)} aims kept" + (", missed:" if bad else ".")]
    said += [f"    {line}" for line in bad]
    failed = [name for name, row in report.rows if row.failed]
    if failed:
        said.append(f"Failed: {', '.join(failed)}.")
    mode = "Short run" if report.short else "Full run"
    end = " It was stopped before its end: what was done is above." if report.stopped else ""
    return "\n".join((*said, f"{mode}, {report.seconds / 60:.1f} minutes.{end}"))


def write_whole(path: Path, text: str) -> None:
    """Write a file so that it is never seen half written."""
    fresh = path.with_name(path.name + ".new")
    fresh.write_text(text, encoding="utf-8")
    os.replace(fresh, path)


def into_readme(text: str, report_text: str) -> str:
    """Return the README with the report between its marks."""
    before, begin, rest = text.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not begin or not end:
        raise SystemExit(f"{README} has no marks {BEGIN.strip()} and {END}")
    return f"{before}{begin}\n```text\n{report_text}\n```\n\n{end}{after}"


def main(words: Sequence[str] | None = None) -> int:
    """Run, print, write; return the exit code."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("benches", nargs="*", metavar="BENCH", help=f"of {', '.join(BENCHES)}")
    parser.add_argument("--short", action="store_true", help="about one minute")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write the rows there too")
    parser.add_argument("--readme", action="store_true", help="put a full table into the README")
    asked = parser.parse_args(words)
    unknown = [name for name in asked.benches if name not in BENCHES]
    if unknown:
        parser.error(f"no bench {', '.join(unknown)}; there are {', '.join(BENCHES)}")
    if asked.readme and (asked.short or asked.benches):
        parser.error("--readme shows a full run: leave out --short and names")
    report = Report(asked.short, machine())
    _show(report, asked.benches or BENCHES)
    if asked.json:
        write_whole(asked.json, json.dumps(report.as_json(), indent=1) + "\n")
    if asked.readme and not report.stopped and not report.failed:
        text = README.read_text(encoding="utf-8")
        write_whole(README, into_readme(text, brief(report)))
    return 130 if report.stopped else int(report.failed)


def _show(report: Report, benches: Sequence[str]) -> None:
    """Print the report while it grows."""
    print(opening(report), HEAD, sep="\n", flush=True)
    try:
        for name, row in measure(report, benches):
            print("\n".join(lines(row)) if row else heading(report, name), flush=True)
    except KeyboardInterrupt:
        report.stopped = True
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # a second one must not cost what is done
    print(closing(report), flush=True)


if __name__ == "__main__":
    sys.exit(main())
