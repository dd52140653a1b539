"""How long a command takes to answer, beside a bare interpreter that imports numpy.

    python tests/bench/bench_startup.py [--short]

Every command runs in a fresh process on a shipped example, in turn with the bare interpreter; wall
clock, median of several runs. The aim is said in times of the bare interpreter.
"""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from _measure import ONE_THREAD, WALL, children, side_by_side
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


def run(*words: str) -> tuple[int, float]:
    """Run an interpreter to its end; return its exit code and processor time [s]."""
    as_users_do = {name: value for name, value in os.environ.items() if name not in ONE_THREAD}
    command = [sys.executable, *words]
    before = children()
    ended = subprocess.run(command, capture_output=True, check=False, env=as_users_do)
    return ended.returncode, children() - before


def rows(*, short: bool) -> Iterator[Row]:
    """Yield a row for each command."""
    for name, words in COMMANDS.items():
        mine, bare = side_by_side(
            lambda w=words: run("-c", RUN, *w),
            lambda: run("-c", "import numpy"),
            repeats=3 if short else 5,
            clock=WALL,
        )
        (code, used), (bare_code, bare_used) = mine.answer, bare.answer
        if code > 1 or bare_code:
            yield Row(room=ROOM, what=name, failed=f"exit code {code}, bare {bare_code}")
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
            note=f"{times:.2f} times the bare interpreter ({used / bare_used:.2f} in processor "
            "time, one run)",
        )


if __name__ == "__main__":
    alone(__doc__, rows)
