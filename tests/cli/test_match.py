"""heavyspot match and report where something is wrong: no cut is ordered, nothing internal said."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest


def _words(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture
def edited(example: Callable) -> Callable[..., Path]:
    def edit(change: Callable[[str], str]) -> Path:
        path = example("flat-four")
        path.write_text(change(path.read_text(encoding="utf-8")), encoding="utf-8")
        return path

    return edit


def _rod_open(text: str) -> str:
    return text.replace('total = "', 'total = "1', 1)


def _no_room(text: str) -> str:
    return re.sub(r'((piston|small_end)_can_lose) = ".*"', r'\1 = "0 g"', text)


def _cut_too_far(text: str) -> str:
    return text + '\n[[weighings]]\npart = "P1"\nvalue = "379.2 g"\nfinished = true\n'


def test_a_rod_that_does_not_close_orders_no_cut(heavyspot: Callable, edited: Callable) -> None:
    path = edited(_rod_open)
    said = heavyspot("match", path)
    assert said.code == 1
    assert "NO CUTS: weigh R1 again" in said.out
    assert "cut piston" not in said.out
    assert "come off" not in said.out
    warning = re.search(r"rod R1: big end .*; weigh it again", _words(said.out))
    assert warning is not None
    assert warning[0] in _words(heavyspot("check", path).out)


def test_what_cannot_be_made_is_told_by_the_marks(heavyspot: Callable, edited: Callable) -> None:
    said = heavyspot("match", edited(_no_room))
    assert said.code == 1
    assert "NOT POSSIBLE: in the nearest pairing found, piston P2 with pin N4 and rod R3" in _words(
        said.out
    )
    for word in ("_g[", "inf", "cut piston", "WARNING", "every part to its lightest"):
        assert word not in said.out


def test_a_part_cut_too_far_stops_the_work(heavyspot: Callable, edited: Callable) -> None:
    said = heavyspot("match", edited(_cut_too_far))
    assert said.code == 1
    assert "WARNING P1 is 10.03 g below its stop" in said.out
    assert "Next: weigh once more what is off its stop" in said.out


def test_an_odd_part_is_warned_of_and_matched(heavyspot: Callable, edited: Callable) -> None:
    said = heavyspot("match", edited(lambda text: text.replace('"386.8 g", "386.8 g"', '"394 g"')))
    assert said.code == 0
    assert "too heavy for a set as a maker delivers it (5 g)" in _words(said.out)
    assert "Next: clear up the warnings above; then stamp" in said.out


def test_a_job_of_parts_alone_is_reported_without_fault(
    heavyspot: Callable, edited: Callable, tmp_path: Path
) -> None:
    path = edited(lambda text: text.partition("# --- the crank")[0])
    said = heavyspot("report", path, "--out", tmp_path / "papers")
    assert said.code == 0
    assert "Next: print the work sheet; heavyspot check" in said.out
    assert "counterweights.png: Not in this job yet:" in said.out
    assert (tmp_path / "papers" / "work-sheet.pdf").exists()


def test_no_picture_of_cuts_that_must_not_be_made(
    heavyspot: Callable, edited: Callable, tmp_path: Path
) -> None:
    said = heavyspot("report", edited(_rod_open), "--out", tmp_path / "papers")
    assert said.code == 1
    assert "weights.png: no cuts: weigh R1 again" in said.out
