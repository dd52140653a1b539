"""How long a command takes to answer, as a ratio to a bare interpreter that imports numpy.

    python tests/bench/bench_startup.py [--short]

Every command runs in a fresh process on a shipped example; medians of several runs in one go.
"""

import argparse
import statistics
import subprocess
import sys
import time
from pathlib import Path

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
RUN = "import sys; sys.argv[0] = 'heavyspot'; from cli.main import run; run()"


def median_s(command: list[str], runs: int) -> float:
    """Return the median wall time of a command."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False)
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def main() -> None:
    """Print each command's median and its ratio to the bare import of numpy."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--short", action="store_true")
    runs = 3 if parser.parse_args().short else 11
    bare = median_s([sys.executable, "-c", "import numpy"], runs)
    print(f"python -c 'import numpy': {bare * 1000:.0f} ms (median of {runs})")
    for name, words in COMMANDS.items():
        took = median_s([sys.executable, "-c", RUN, *words], runs)
        print(f"{name:12} {took * 1000:6.0f} ms   {took / bare:5.2f} x")


if __name__ == "__main__":
    main()
