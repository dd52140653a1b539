"""Big work: a bin of 100 000 parts of each kind, a folder of jobs, 10 million virtual drillings.

    python tests/bench/bench_big.py [--short]

n is the parts of each kind, the jobs, or the drillings. All cases are invented. Notes give the peak
of resident memory of the command and of the largest of its processes (Linux only); that of few and
of many should be nearly the same where the work is done in pieces.
"""

import contextlib
import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from _measure import WALL, growth, side_by_side
from _table import Row, alone

from balance.parts.bins import partition

ROOM = "big work"
SEEDS = "bin n (its size), jobs 0 ..., drillings 1"
EXAMPLES = Path(__file__).parents[2] / "examples"
FOUR, EIGHT = EXAMPLES / "flat-four.toml", EXAMPLES / "v8.toml"
RUN = "import sys; sys.argv[0] = 'heavyspot'; from cli.main import run; run()"
LOOK_S = 0.05


@dataclass(frozen=True)
class Ran:
    """A command that was run: exit code, wall time [s], peak of its memory and its children's."""

    code: int
    seconds: float
    own_mb: float
    child_mb: float
    out: str

    @property
    def said(self) -> str:
        """The memory in words."""
        child = f", of its largest process {self.child_mb:.0f} MB" if self.child_mb else ""
        return f"peak memory {self.own_mb:.0f} MB{child}" if self.own_mb else ""


def ran(*words: object) -> Ran:
    """Run a command of ours to its end and look at its memory meanwhile."""
    start, own, child = time.perf_counter(), 0.0, 0.0
    with tempfile.TemporaryFile("w+", encoding="utf-8") as out:
        process = subprocess.Popen(
            [sys.executable, "-c", RUN, *map(str, words)], stdout=out, stderr=subprocess.DEVNULL
        )
        while process.poll() is None:
            own = max(own, peak_mb(process.pid))
            child = max((child, *map(peak_mb, children(process.pid))))
            time.sleep(LOOK_S)
        spent = time.perf_counter() - start
        out.seek(0)
        return Ran(process.returncode, spent, own, child, out.read())


def peak_mb(pid: int) -> float:
    """Return the most that a process has held in memory so far."""
    with contextlib.suppress(OSError):
        found = re.search(r"VmHWM:\s*(\d+)", Path(f"/proc/{pid}/status").read_text())
        return int(found[1]) / 1024 if found else 0.0
    return 0.0


def children(pid: int) -> list[int]:
    """Return the processes that a process has started."""
    with contextlib.suppress(OSError):
        return [*map(int, Path(f"/proc/{pid}/task/{pid}/children").read_text().split())]
    return []


def bin_of(count: int) -> list[np.ndarray]:
    """Return invented weights: pistons, pins, small ends, big ends."""
    rng = np.random.default_rng(count)
    kinds = ((420, 3), (110, 1), (180, 2), (400, 3))
    return [rng.normal(mean, spread, count).round(2) for mean, spread in kinds]


def sorted_bins(sizes: Sequence[int]) -> Iterator[Row]:
    """Yield a row for each size: sets out of a bin, beside the sorting of its four lists."""
    seconds = []
    for count in sizes:
        pistons, pins, small, big = kinds = bin_of(count)
        ours, sorts = side_by_side(
            lambda p=pistons, n=pins, s=small, b=big: partition(
                p, n, s, size=8, tolerance_g=0.5, big_ends_g=b
            ),
            lambda k=kinds: [np.argsort(kind, kind="stable") for kind in k],
        )
        seconds.append(ours.seconds)
        yield Row(
            room=ROOM,
            what="sets out of a bin",
            size=count,
            ours_s=ours.seconds,
            baseline="4 sorts",
            baseline_s=sorts.seconds,
            growth=growth(sizes[: len(seconds)], seconds),
            note=f"{ours.answer.count} sets of 8, bound {ours.answer.bound}",
        )


def listed_bins(sizes: Sequence[int], folder: Path) -> Iterator[Row]:
    """Yield a row for each size: the whole command, lists read and sets written."""
    heads = ("mark,piston", "mark,pin", "mark,small end,big end")
    seconds = []
    for count in sizes:
        pistons, pins, small, big = bin_of(count)
        words: list[object] = []
        for head, letter, columns in zip(
            heads, "PNR", ([pistons], [pins], [small, big]), strict=True
        ):
            path = folder / f"{letter}.csv"
            lines = (
                f"{letter}{number},{','.join(f'{mass:.2f}' for mass in row)}\n"
                for number, row in enumerate(zip(*columns, strict=True))
            )
            path.write_text("".join((head + "\n", *lines)))
            words += ["--bin", path]
        done = ran("match", EIGHT, *words, "--out", folder / "sets.csv")
        seconds.append(done.seconds)
        yield Row(
            room=ROOM,
            what="match --bin",
            size=count,
            ours_s=done.seconds,
            growth=growth(sizes[: len(seconds)], seconds),
            note=done.said,
            failed="" if done.code == 0 else f"exit code {done.code}",
        )


def drillings(sizes: Sequence[int]) -> Iterator[Row]:
    """Yield a row for each number: all threads beside one, and the same answer from both."""
    from balance.job.load import read_job
    from balance.metal.chance import chance_of
    from balance.metal.steps import errors_of
    from balance.sheet.results import Results

    results = Results(read_job(FOUR))
    plan, errors = results.corrected.crank.plan, errors_of(results.job)
    seconds = []
    for count in sizes:
        many, one = side_by_side(
            *(
                lambda n=count, w=workers: chance_of(plan, errors=errors, draws=n, workers=w)
                for workers in (os.cpu_count() or 1, 1)
            ),
            clock=WALL,
        )
        seconds.append(many.seconds)
        same = (many.answer.inside, many.answer.bias.tolist()) == (
            one.answer.inside,
            one.answer.bias.tolist(),
        )
        yield Row(
            room=ROOM,
            what="virtual drillings",
            size=count,
            ours_s=many.seconds,
            baseline="one thread",
            baseline_s=one.seconds,
            growth=growth(sizes[: len(seconds)], seconds),
            note=ran("correct", FOUR, "--drillings", count).said,
            failed="" if same else "the number of threads changes the answer",
        )


def folders(sizes: Sequence[int], place: Path) -> Iterator[Row]:
    """Yield two rows for each size: reports of a folder beside one by one, and all up to date."""
    seconds = []
    one = ran("report", FOUR, "--out", place / "one")
    for count in sizes:
        folder = place / f"jobs-{count}"
        folder.mkdir()
        for number in range(count):
            text = f"{FOUR.read_text(encoding='utf-8')}\n# {number}\n"
            (folder / f"job-{number}.toml").write_text(text, encoding="utf-8")
        first, again = ran("report", folder), ran("report", folder, "--json")
        kept = again.out.count('"made": "before"')
        seconds.append(first.seconds)
        yield Row(
            room=ROOM,
            what="report FOLDER",
            size=count,
            ours_s=first.seconds,
            baseline="one by one",
            baseline_s=count * one.seconds,
            growth=growth(sizes[: len(seconds)], seconds),
            note=first.said,
            failed="" if first.code == 1 else f"exit code {first.code}",  # 1: outside its limits
        )
        yield Row(
            room=ROOM,
            what="... all up to date",
            size=count,
            ours_s=again.seconds,
            note=again.said,
            failed=""
            if kept == count
            else f"only {kept} were up to date: has the program changed?",
        )


def rows(*, short: bool) -> Iterator[Row]:
    """Yield the rows of all three."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        yield from sorted_bins((1000, 10_000) if short else (1000, 10_000, 100_000))
        yield from listed_bins((1000,) if short else (1000, 10_000, 100_000), folder)
        yield from drillings((300_000,) if short else (100_000, 1_000_000, 10_000_000))
        if not short:
            yield from folders((4, 8, 16), folder)


if __name__ == "__main__":
    alone(__doc__, rows)
