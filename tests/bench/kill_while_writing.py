"""Kill a writer at any instant: the job file stays whole and every accepted reading is in it.

``python tests/bench/kill_while_writing.py --tries 1000 --seed 1 [--short]``. A child appends
numbered readings and says each number once it is accepted; it is killed (SIGKILL) after a random
time. Then the file must be a valid job, hold every number that was said, in order, and at most one
more (accepted by the disk, not yet said). Prints how often the kill fell into a write.
"""

import argparse
import os
import random
import signal
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from balance.job.append import append_entry
from balance.job.load import read_job

JOB = """\
# invented
format = 1
job = {name = "killed"}
engine = {layout = "single", stroke = 80, rod_length = 130, bore_spacing = 90}
parts.pistons = [{mark = "P1"}]
"""
FRESH = 25  # tries on one file, so that it stays small


def write(path: Path, first: int, said: int) -> None:
    """Append readings without end, and say each once it is accepted."""
    for number in range(first, first + 10_000):
        append_entry(path, "weighings", {"part": "P1", "value": number})
        os.write(said, b"%d\n" % number)


def one_try(path: Path, wait_s: float) -> str:
    """Kill one writer; return what was found, or raise when a rule is broken."""
    before = len(read_job(path).weighings)
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(reader)
            write(path, before + 1, writer)
        finally:
            os._exit(1)
    os.close(writer)
    time.sleep(wait_s)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    with os.fdopen(reader, "rb") as lines:
        said = [int(line) for line in lines.read().split(b"\n") if line]
    midway = path.with_name(f".{path.name}.new").exists()
    values = [int(entry.value or 0) for entry in read_job(path).weighings]
    if values != [*range(1, len(values) + 1)]:
        raise AssertionError(f"readings are out of order: {values[-10:]}")
    accepted = said[-1] if said else before
    if not accepted <= len(values) <= accepted + 1:
        raise AssertionError(f"{accepted} were accepted, {len(values)} are in the file")
    if midway:
        return "killed with the new file half written or not yet in place"
    return "killed between disk and word" if len(values) > accepted else "killed elsewhere"


def main() -> None:
    """Kill as often as the command line says and print what was found."""
    ask = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    ask.add_argument("--tries", type=int, default=1000)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--short", action="store_true", help="15 tries")
    said = ask.parse_args()
    dice = random.Random(said.seed)
    found: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.toml"
        for number in range(15 if said.short else said.tries):
            if number % FRESH == 0:
                path.write_text(JOB)
                start = time.monotonic()
                append_entry(
                    path, "weighings", {"part": "P1", "value": 1}
                )  # and load what it needs
                one_s = time.monotonic() - start
            found[one_try(path, dice.uniform(0.0, 4 * one_s))] += 1
    print(f"seed {said.seed}: {sum(found.values())} kills, no reading lost, the file always valid")
    for what, times in found.most_common():
        print(f"  {what}: {times}")


if __name__ == "__main__":
    sys.exit(main())
