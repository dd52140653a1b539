"""How long a command takes to answer, beside a bare interpreter that imports numpy.

    python tests/bench/bench_startup.py [--short]

Every command runs in a fresh process on a shipped example, in turn with the bare interpreter; wall
clock, median of several runs. The aim is said in times of the bare interpreter.
"""

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from _measure import WALL, side_by_side
from _table import Row, alone

ROOM = "cli"
SEEDS = "none: shipped examples"
EXAMPLES = Path(__file__).parent.parent.parent / "examples"
FOUR = str(EXAMPLES / "flat-four.toml")
COMMANDS = {
    "--help": ["--help"],
    "--version": ["--version"],
    "check": ["check", FOUR],
    "match": ["match", FOUR],
    "bobweight": ["bobweight", FOUR],
    "spin": ["spin", FOUR],
    "correct": ["correct", FOUR],
}
AIMS = {"--help": 0.75, "match": 1.5, "bobweight": 1.5, "correct": 2.0}
RUN = "import sys; sys.argv[0] = 'heavyspot'; from cli.main import run; run()"


def run(*words: str) -> int:
    """Run an interpreter to its end and return the exit code."""
    command = [sys.executable, *words]
    return subprocess.run(command, capture_output=True, check=False).returncode


def rows(*, short: bool) -> Iterator[Row]:
    """Yield a row for each command."""
    for name, words in COMMANDS.items():
        mine, bare = side_by_side(
            lambda w=words: run("-c", RUN, *w),
            lambda: run("-c", "import numpy"),
            repeats=3 if short else 9,
            clock=WALL,
        )
        if mine.answer > 1 or bare.answer:
            yield Row(room=ROOM, what=name, failed=f"exit code {mine.answer}, bare {bare.answer}")
            continue
        times, most = mine.seconds / bare.seconds, AIMS.get(name)
        yield Row(
            room=ROOM,
            what=f"heavyspot {name}",
            ours_s=mine.seconds,
            baseline="import numpy",
            baseline_s=bare.seconds,
            aim=f"{most:g} x" if most else "",
            kept=times <= most if most else None,
            note=f"{times:.2f} times the bare interpreter",
        )


if __name__ == "__main__":
    alone(__doc__, rows)
