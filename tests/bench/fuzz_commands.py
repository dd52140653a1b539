# ruff: noqa: E501 - tables of broken values
"""Every command against broken job files, lists and arguments: no trace, no harm, a plain line.

``python tests/bench/fuzz_commands.py --count 100000 --seed 1`` prints how many were run, how they
ended, and every mutant that broke a rule. Nothing is written outside a temporary
folder. The rules, for every run:

- it ends with exit code 0, 1 or 2, never with an exception or a numerical warning;
- exit code 2 says why on stderr, in lines that no terminal obeys, and prints no result;
- the job file is as it was, unless the command adds to it and ended with 0 or 1.
"""

import argparse
import contextlib
import io
import os
import random
import re
import sys
import tempfile
import time
import traceback
import unicodedata
import warnings
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

SEED_JOB = """\
format = 1
[job]
name = "small (invented)"
invented = true
[engine]
layout = "V-2"
bank_angle = "50 deg"
stroke = "98 mm"
rod_length = "190 mm"
bore_spacing = "30 mm"
first_throw_z = "52 mm"
[scale]
resolution = "0.1 g"
[parts]
ring_set = "41.5 g"
locks = "2.2 g"
piston_can_lose = "5 g"
pistons = [{ mark = "P1", weight = ["494.7 g", "494.6 g"] }, { mark = "P2", weight = 496.4 }]
pins = [{ mark = "N1", weight = "127.5 g" }, { mark = "N2", weight = ["127.8 g", "127.7 g"] }]
[[parts.rods]]
mark = "R1"
total = "640.9 g"
big_end = "467.9 g"
small_end = "173.0 g"
[[parts.rods]]
mark = "R2"
total = "643.2 g"
big_end = "470.3 g"
[bobweights]
factor = 0.5
oil = "2 g"
[targets]
match_tolerance = "0.3 g"
service_speed = "5200 rpm"
grade = "G 16"
[crank]
mass = "13.8 kg"
bearings = ["0 mm", "104 mm"]
[[crank.counterweights]]
mark = "W1"
z = "30 mm"
centre = "180 deg"
half_span = "30 deg"
radius = "104 mm"
width = "22 mm"
max_depth = "26 mm"
holes = [{ angle = "180 deg", diameter = "10 mm", depth = "8 mm" }]
[machine]
planes = [{ name = "left", z = "30 mm" }, { name = "right", z = "74 mm", radius = "80 mm" }]
unit = "g mm"
counts = "with"
turns = "against engine"
zero = "15 deg"
points_to = "add"
proven = 2026-05-02
[drills]
sizes = ["12 mm"]
[[bolted]]
name = "flywheel"
mass = "7 kg"
z = "140 mm"
[[weighings]]
part = "P1"
value = "494.7 g"
time = 2026-05-02T10:00:00Z
[[weighings]]
part = "P1"
undo = true
[[drilled]]
part = "W1"
angle = "180 deg"
diameter = "10 mm"
depth = "5 mm"
[[spins]]
name = "crank"
on = ["crank"]
speed = "480 rpm"
bobweights = "1948 g"
readings = [
  { plane = "left", amount = "1052 g mm", angle = "348 deg" },
  { plane = "right", amount = 812, angle = 45 },
]
"""
NUMBERS = [
    "0", "-1", "1", "2", "1e308", "-1e308", "1e-308", "5e-324", "inf", "-inf", "nan", "1e9", "1e-9", "1_000",
    "0x7fffffffffffffff", "9" * 40, "9" * 5000, "-0.0", "1e400", "0.1", "360", "361", "180", "90", "1e5",
]  # fmt: skip
VALUES = [
    '""', '"?"', "true", "[]", "{}", "[[]]", '"x"', "1979-05-27", "07:32:00", "2026-13-45", "[1, 2, 3]",
    '"1 g"', '"1 mm"', '"1 g mm"', '"12 g at 76 mm"', '"1/0 in"', '"1,234"', '"1 1/4 in"', '"14.8 oz"',
    '"\\u001b[2J\\u001b]0;x\\u0007"', '"\\u202egnol"', '"\\u0000"', '"=1+2"', '"<script>x</script>"', '"٣ g"',
    '"' + "A" * 100 + '"', '"' + "é" * 5000 + '"', '"../../etc/x"', '"1e308 g"', '"-5 g"', '"1e-300 mm"',
    '"²"', '"½ in"', "'''\nmany\nlines\n'''", '"a\\tb"', '"nan"', '"inf g"', '"1 ' + "(" * 60 + '"', '"' + "9" * 400 + ' g"',
    '"crank"', '"flywheel"', '"P1"', '"W1"', '"left"', '"V-8"', '"radial-5"', '"inline-4"', '"single"', '"V-2000"',
    '"inline-99999999999"', '"radial-3"', '"G 0"', '"with"', '"heavy"',
    "[" * 80 + "]" * 80, "{a=" * 60 + "1" + "}" * 60,
]  # fmt: skip
BYTES = [b"\x00", b"\x1b[31m", b"\xff", b"\xc3\x28", b"\r", b"\r\n", b"\n", b'"', b"'", b"[", b"]", b"{", b"}", b"=", b".", b"#", b",", b"\t", b" ", "\u202e".encode(), "\u2028".encode(), b"\xef\xbb\xbf", b"\\", b'"""']  # fmt: skip
READ = ["check", "match", "bobweight", "shake", "spin", "prove", "stack"]
RARE = {"correct": 20, "export": 40, "report": 500}  # slower: every so many mutants
LIST = [
    ["weights of a small job (invented)", "", ""], ["mark", "weight (g)", "what"],
    ["P1", "494.7", "weight"], ["P2", "496.3", ""], ["N1", "127.6", "weight"],
    ["R1", "640.9", "total"], ["R1", "467.9", "big_end"], ["R2", "172.9", "small end"],
    ["Average", "300", ""],
]  # fmt: skip
LIST_WORDS = [
    "--to piston", "--to rod", "--what total", "--unit oz", "--unit x", "--delimiter comma",
    "--decimal comma", "--decimal point", "--sheet a", "--sure", "--finished", "--delimiter tab",
]  # fmt: skip
WORDS = [
    "", " ", "-1", "--", "0", "1e308", "nan", "inf", "9" * 400, "494.7", "494,7 g", "14.8 oz", "P1", "P9", "R1", "W1", "180",
    "12 mm", "left=1@2", "right=1@2", "left=1e308@2", "=@", "@", "\x1b[31mred", "a\nb", "\u202e", "../../x", "é" * 300, "=1+1",
    "--what", "total", "weight", "big_end", "--undo", "--sure", "--finished", "--json", "--reading", "--add", "--on", "crank",
    "--bobweight", "--speed", "--drilled", "3", "99999999999999999999", "--instrument", "--repeats", "\udcff", "-x", "--name",
]  # fmt: skip


@dataclass(frozen=True)
class Ended:
    """How one run ended."""

    words: tuple[str, ...]
    code: int | None
    out: str
    err: str
    fault: str


def mutant(dice: random.Random, text: str) -> bytes:
    """Return the job broken in one to three places; many mutants are still valid."""
    raw = text.encode()
    for _ in range(dice.choice([1, 1, 1, 2, 3])):
        raw = dice.choice(WAYS)(dice, raw)
    return raw


def _line(dice: random.Random, raw: bytes) -> bytes:
    lines = raw.split(b"\n")
    at, other = dice.randrange(len(lines)), dice.randrange(len(lines))
    how = dice.randrange(4)
    if how == 0:
        del lines[at]
    elif how == 1:
        lines.insert(other, lines[at])
    elif how == 2:
        lines[at], lines[other] = lines[other], lines[at]
    else:
        lines[at] = lines[at][: dice.randrange(len(lines[at]) + 1)]
    return b"\n".join(lines)


def _value(dice: random.Random, raw: bytes) -> bytes:
    """Put another value after an equals sign, as text or as a number."""
    places = [match.span(1) for match in re.finditer(rb"= *(\"[^\"\n]*\"|[\w.+-]+)", raw)]
    start, end = dice.choice(places) if places else (0, 0)
    return raw[:start] + dice.choice([*NUMBERS, *VALUES]).encode() + raw[end:]


def _number(dice: random.Random, raw: bytes) -> bytes:
    """Put another number where one stands, its unit left as it is."""
    places = [match.span() for match in re.finditer(rb"\d+(?:\.\d+)?", raw)]
    start, end = dice.choice(places) if places else (0, 0)
    factor = dice.choice([10, 0.1, 28.35, -1, 0, 1.001])
    near = f"{float(raw[start:end] or 0) * factor:g}" if end - start < 300 else "7"
    return raw[:start] + dice.choice([near, near, dice.choice(NUMBERS)]).encode() + raw[end:]


def _bytes(dice: random.Random, raw: bytes) -> bytes:
    at = dice.randrange(len(raw) + 1)
    gone = dice.choice([0, 0, 1, 1, 2, 20])
    return (
        raw[:at]
        + dice.choice([b"", dice.choice(BYTES), bytes([dice.randrange(256)])])
        + raw[at + gone :]
    )


def _table(dice: random.Random, raw: bytes) -> bytes:
    """Take out, repeat or rename a whole table."""
    pieces = re.split(rb"(?m)^(?=\[)", raw)
    at = dice.randrange(len(pieces))
    how = dice.randrange(4)
    if how == 0:
        del pieces[at]
    elif how == 1:
        pieces.insert(at, pieces[at])
    elif how == 2:
        dice.shuffle(pieces)
    else:
        pieces[at] = (
            pieces[at].replace(b"[", b"[a.", 1) if dice.random() < 0.5 else b"[[" + pieces[at]
        )
    return b"".join(pieces)


WAYS = [_line, _value, _value, _number, _number, _bytes, _table]


def run_once(words: tuple[str, ...], path: Path, before: bytes, *, adds: bool) -> Ended:
    """Run one command in this process and hold it against the rules."""
    from cli.main import run

    out, err = io.StringIO(), io.StringIO()
    code: int | None = None
    fault = ""
    argv, sys.argv = sys.argv, ["heavyspot", *words]
    stdin, sys.stdin = sys.stdin, io.StringIO("")
    try:
        with (
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
            warnings.catch_warnings(),
        ):
            warnings.simplefilter("error")
            run()
    except SystemExit as stop:
        code = stop.code if isinstance(stop.code, int) else 1 if stop.code else 0
    except BaseException as wrong:
        frames = traceback.extract_tb(wrong.__traceback__)
        ours = [f for f in frames if "/balance/" in f.filename or "/cli/" in f.filename] or frames
        where = f"{ours[-1].filename.rpartition('main/')[2]}:{ours[-1].lineno}"
        fault = f"{type(wrong).__name__} at {where}: {str(wrong)[:200]}"
    finally:
        sys.argv, sys.stdin = argv, stdin
    ended = Ended(words, code, out.getvalue(), err.getvalue(), fault)
    return (
        ended
        if fault
        else Ended(words, code, ended.out, ended.err, _broken(ended, path, before, adds))
    )


def _broken(ended: Ended, path: Path, before: bytes, adds: bool) -> str:
    if path.read_bytes() != before and (ended.code == 2 or not adds):
        return "changed the file"
    return _badly_said(ended)


def _badly_said(ended: Ended) -> str:
    if ended.code not in (0, 1, 2, 130):  # 130: the input ended at a question
        return f"exit code {ended.code}"
    said = ended.out + ended.err
    if any(unicodedata.category(letter) in ("Cc", "Cs") and letter != "\n" for letter in said):
        return "prints control characters"
    if ended.code == 2 and not ended.err.strip():
        return "says nothing"
    lines = ended.err.splitlines()
    listed = ended.err.startswith(("heavyspot: ", "Usage:", "Error:"))
    if ended.code == 2 and not (listed and (len(lines) == 1 or ":" in lines[0])):
        return f"says it badly: {ended.err[:200]!r}"
    if len(max(lines, default="")) > 1500:
        return "says it at great length"
    return ""


def commands(dice: random.Random, path: Path, number: int) -> Iterator[tuple[list[str], bool]]:
    """Yield what to run on one mutant, and whether it may add to the file."""
    job = str(path)
    yield [dice.choice(READ), job, *(["--json"] * (dice.random() < 0.3))], False
    for command, every in RARE.items():
        if number % every == every - 1:
            yield [command, job], False
    if number % 7 == 0:
        yield ["explain", job, dice.choice(WORDS)], False
    if number % 11 == 0:
        yield from _without_job(dice, path)
    if number % 3 == 0:
        words = [dice.choice(WORDS) for _ in range(dice.randrange(6))]
        yield [dice.choice(["weigh", "spin", "drilled"]), job, *words], True
    if number % 4 == 0:
        path.write_text(SEED_JOB)
        name, raw = a_list(dice)
        (path.parent / name).write_bytes(raw)
        words = [dice.choice(LIST_WORDS) for _ in range(dice.randrange(3))]
        yield ["import", job, str(path.parent / name), "--yes", *" ".join(words).split()], True


def _without_job(dice: random.Random, path: Path) -> Iterator[tuple[list[str], bool]]:
    """Yield commands that need no job file; the one beside them must stay as it is."""
    new = path.with_name("new.toml")
    new.unlink(missing_ok=True)
    layout = dice.choice([value.strip('"') for value in VALUES if len(value) < 200])
    yield ["new", layout, str(new), "--name", dice.choice(WORDS)], False
    yield ["check", str(path.parent)], False
    yield ["practice", "--topic", dice.choice(WORDS), "--answer", dice.choice(WORDS)], False


def a_list(dice: random.Random) -> tuple[str, bytes]:
    """Return a broken list of weights: its file name and its bytes."""
    mark = dice.choice([",", ";", "\t", "|", ", "])
    rows = [[cell if dice.random() > 0.05 else dice.choice([*WORDS, *NUMBERS]) for cell in row]
            for row in LIST]  # fmt: skip
    end = dice.choice(["\n", "\r\n", "\r"])
    text = end.join(mark.join(row) for row in rows[dice.randrange(3) :])
    if dice.random() < 0.3:
        text = text.replace(".", ",")
    encoding = dice.choice(["utf-8", "utf-8-sig", "utf-16", "cp1252"])
    raw = text.encode(encoding, errors="replace")
    if dice.random() < 0.5:
        raw = _bytes(dice, raw)
    return dice.choice(["list.csv", "list.csv", "list.txt", "list.xlsx", "list.ods"]), raw


def fuzz(
    count: int, seed: int, folder: Path
) -> tuple[Counter[str], list[tuple[int, Ended, bytes]]]:
    """Run ``count`` mutants; return how they ended and those that broke a rule."""
    from typer.main import get_command

    import cli.app

    app = cli.app.app
    cli.app.app = get_command(app)  # built once: half the time of a run
    try:
        return _fuzz(count, seed, folder)
    finally:
        cli.app.app = app


def _fuzz(
    count: int, seed: int, folder: Path
) -> tuple[Counter[str], list[tuple[int, Ended, bytes]]]:
    dice = random.Random(seed)
    ends: Counter[str] = Counter()
    broken: list[tuple[int, Ended, bytes]] = []
    path = folder / "job.toml"
    for number in range(count):
        raw = mutant(dice, SEED_JOB)
        for words, adds in commands(dice, path, number):
            if words[0] != "import":  # which works on the whole job
                path.write_bytes(raw)
            start = time.monotonic()
            ended = run_once(tuple(words), path, path.read_bytes(), adds=adds)
            if (took := time.monotonic() - start) > 20:
                ends[f"slow: {words[0]} {took:.0f} s"] += 1
            ends[f"{words[0]} {ended.code}"] += 1
            if ended.fault:
                broken.append((number, ended, raw))
    return ends, broken


def main() -> None:
    """Fuzz as the command line says and print what was found."""
    ask = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    ask.add_argument("--count", type=int, default=2000)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--short", action="store_true", help="200 mutants")
    said = ask.parse_args()
    os.environ["COLUMNS"] = "80"
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        ends, broken = fuzz(200 if said.short else said.count, said.seed, Path(folder))
    print(f"seed {said.seed}: {sum(ends.values())} runs in {time.monotonic() - start:.0f} s")
    for end, number in sorted(ends.items()):
        print(f"  {end}: {number}")
    kinds: dict[str, list[tuple[int, Ended, bytes]]] = {}
    for item in broken:
        kinds.setdefault(re.sub(r"\d+\.\d+|'.*'", "", item[1].fault), []).append(item)
    for kind, items in kinds.items():
        number, ended, raw = min(items, key=lambda item: len(item[2]))
        print(
            f"\n{len(items)} x {kind}\n  mutant {number}: {' '.join(ended.words)!r}\n  {ended.fault}"
        )
        print(_difference(raw))
    sys.exit(1 if broken else 0)


def _difference(raw: bytes) -> str:
    import difflib

    new = raw.decode(errors="backslashreplace").splitlines()
    changed = difflib.unified_diff(SEED_JOB.splitlines(), new, n=0, lineterm="")
    return "\n".join(f"    {line[:200]!r}" for line in [*changed][2:14])


if __name__ == "__main__":
    main()
