# ruff: noqa: E501 - one hostile value a line
"""Two thousand broken job files, lists and argument lines: no trace, no harm, a plain line."""

import random
import runpy
from collections.abc import Callable
from pathlib import Path

import pytest

from cli.commands import COMMANDS

FUZZ = runpy.run_path(str(Path(__file__).parent.parent / "bench" / "fuzz_commands.py"))


@pytest.mark.parametrize("seed", range(4))
def test_nothing_broken_gets_through(
    seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    ends, broken = FUZZ["fuzz"](500, seed, tmp_path)
    assert [(number, ended.words, ended.fault) for number, ended, _ in broken] == []
    assert sum(ends.values()) > 700


def test_every_command_meets_broken_files(tmp_path: Path) -> None:
    dice, path = random.Random(1), tmp_path / "job.toml"
    runs = (words for number in range(1, 501) for words, _ in FUZZ["commands"](dice, path, number))
    never_read_a_file = {"demo", "schema"}
    assert {words[0] for words in runs} == {name for name, _ in COMMANDS} - never_read_a_file


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "job.toml"
    path.write_text(FUZZ["SEED_JOB"])
    return path


def test_the_job_that_is_broken_is_whole_before(heavyspot: Callable, job: Path) -> None:
    for step in ("check", "match", "bobweight", "shake"):
        assert heavyspot(step, job).code == 0
    assert heavyspot("spin", job).code == 1


HOSTILE = [
    ("a terminal's command in a name", 'name = "small (invented)"', 'name = "\\u001b]0;owned\\u0007"',
     "job.name: has the control character U+001B"),
    ("text turned round", 'mark = "P1"', 'mark = "\\u202eP1"', "has the control character U+202E"),
    ("a huge number", '"98 mm"', '"1e308 mm"', "engine.stroke: '1e308 mm' is 1e+308 in inside units"),
    ("a tiny number", '"13.8 kg"', '"1e-300 kg"', "nothing here is so far out"),
    ("no number", '"13.8 kg"', "nan", "crank.mass: nan is not a mass"),
    ("an endless grade", '"G 16"', "inf", "targets.grade: "),
    ("thousands of digits", "factor = 0.5", f"factor = {'9' * 5000}", "thousands of digits"),
    ("a number of many digits", '"13.8 kg"', "9" * 60, "so many digits is no measurement"),
    ("deep nesting", "factor = 0.5", f"factor = {'[' * 3000}{']' * 3000}", "nested too deeply"),
    ("a key that speaks to terminals", "factor = 0.5", '"\\u001b[31m" = 1', "bobweights.\\x1b[31m"),
    ("a value without end", 'name = "small (invented)"', f'name = "{"A" * 100_000}"', "job.name"),
    ("an amount out of reach", '"1052 g mm"', '"1e200 kg m"', "nothing here is so far out"),
    ("a piston's mark for a pin", 'mark = "N1"', 'mark = "P1"', "is the mark of a piston too: give"),
    ("a mark in other capitals", 'mark = "P2"', 'mark = "p1"', "'p1' differs from 'P1' in capitals"),
    ("a layout of no digit", '"V-2"', '"²"', "²"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "message"), [h[1:] for h in HOSTILE], ids=[h[0] for h in HOSTILE]
)
def test_hostile_values_are_named_harmlessly(
    heavyspot: Callable, job: Path, old: str, new: str, message: str
) -> None:
    text = FUZZ["SEED_JOB"]
    assert old in text
    job.write_text(text.replace(old, new, 1))
    said = heavyspot("shake", job)
    assert said.code == 2
    assert message in said.err
    assert said.err.count("\n") == 1
    assert len(said.err) < 1200
    assert said.err.replace("\n", "").isprintable()


def test_words_that_a_terminal_would_obey_are_refused(heavyspot: Callable, job: Path) -> None:
    for word in ("\x1b[31m", "a\nb", "\udcff", "\x9b31m"):
        said = heavyspot("weigh", job, word, "1")
        assert said.code == 2
        assert "has a control character: write it without" in said.err
        assert said.err.count("\n") == 1


def test_files_that_are_no_files(heavyspot: Callable, tmp_path: Path) -> None:
    for path, message in (
        (Path("/dev/zero"), "is larger than 20 MB: this is no job file"),
        (Path("/dev/null"), "write format = 1 at the top"),
        (tmp_path / ("x" * 300), "File name too long"),
    ):
        assert message in heavyspot("match", path).err
    loop = tmp_path / "loop.toml"
    loop.symlink_to(loop)
    for words in (("match", loop), ("weigh", loop, "P1", "1")):
        said = heavyspot(*words)
        assert said.code == 2
        assert "Too many levels of symbolic links" in said.err


def test_a_file_of_a_gigabyte_is_refused_by_its_size(heavyspot: Callable, tmp_path: Path) -> None:
    path = tmp_path / "huge.toml"
    with path.open("wb") as file:
        file.truncate(1_000_000_000)  # takes no room on the disk
    assert "is larger than 20 MB" in heavyspot("check", path).err
