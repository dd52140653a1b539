"""While holes wait for a spin nothing is offered that could be drilled by mistake."""

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from balance.job.load import read_job
from balance.metal.next_spin import next_spins
from balance.sheet.results import Results

# The plan of the shipped example, as its screen prints it.
FIRST = ("W3", "313 deg", "9 mm", "17.5 mm")
SECOND = ("W8", "165 deg", "9 mm", "12.5 mm")
STRAY = ("W5", "0 deg", "9 mm", "10 mm")
WHEEL = ("flywheel", "64 deg", "8 mm", "6 mm")


@pytest.fixture
def drilled(heavyspot: Callable, example: Callable) -> Callable[..., Path]:
    def drill(*holes: tuple[str, ...]) -> Path:
        path = example("flat-four")
        for hole in holes:
            assert heavyspot("drilled", path, *hole, "--sure").code == 0
        return path

    return drill


def flat(text: str) -> str:
    return " ".join(text.split())


def test_a_spin_comes_first_and_the_rest_of_the_same_plan_is_told(
    heavyspot: Callable, drilled: Callable
) -> None:
    path = drilled(FIRST)
    said = heavyspot("correct", path)
    assert said.code == 1
    assert max(map(len, said.out.splitlines())) <= 80
    assert said.out.splitlines()[2].startswith("SPIN FIRST. Drilled since the last spin: crank 1")
    out = flat(said.out)
    assert "- W3 at 313 deg, 9 mm drill, 17.5 mm deep: hole 1 of the plan, as planned" in out
    assert "- hole 2, W8 at 165 deg, 9 mm drill, 12.5 mm deep" in out
    assert "Where it should stand now, by the holes as recorded:" in out
    assert "hole counterweight at deg" not in out
    assert "Expected after drilling" not in out.partition("Flywheel")[0]
    # what does not wait is planned as before, under its number
    assert "3 64 112 8 mm 6.0 2.7" in out
    assert f"Next: spin again and enter it: heavyspot spin {path} --add." in out


def test_after_a_hole_that_was_not_planned_nothing_is_to_come(
    heavyspot: Callable, drilled: Callable
) -> None:
    out = flat(heavyspot("correct", drilled(FIRST, STRAY, WHEEL)).out)
    assert "Drilled since the last spin: crank 2 holes, flywheel 1 hole." in out
    assert "- W5 at 0 deg, 9 mm drill, 10 mm deep: no hole of the plan" in out
    assert "- hole 2" not in out
    assert "By the holes as recorded it should stand at 4 g mm now, limit 38 g mm." in out


def test_a_first_cut_and_its_deepening_are_one_hole(heavyspot: Callable, drilled: Callable) -> None:
    first_cut = (*FIRST[:3], "12 mm")
    path = drilled(first_cut, FIRST)
    out = flat(heavyspot("correct", path).out)
    assert "Drilled since the last spin: crank 1 hole." in out
    assert "1 hole was drilled since the last spin" in flat(heavyspot("check", path).out)
    assert len(read_job(path).drilled) == 2, "every entry is kept"


@pytest.mark.parametrize("more", [(), ("--others",), ("--drillings", "1000")])
def test_programs_are_told_the_same_and_get_no_plan(
    heavyspot: Callable, drilled: Callable, more: tuple[str, ...]
) -> None:
    said = heavyspot("correct", drilled(FIRST), "--json", *more)
    assert said.code == 1
    found = json.loads(said.out)
    if "--others" in more:
        assert found["others"] == []
        found = found["plan"]
    assert found["spin_first"] is True
    assert found["waiting"] == {"crank": 1}
    crank = found["crank"]
    assert [crank[key] for key in ("plan", "stage", "chance", "verdict", "expected")] == [None] * 5
    assert [plane["amount"] for plane in crank["before"]] == pytest.approx([31, 450], abs=1)
    (since,) = found["drilled_since"]
    assert (since["part"], since["degrees"], since["planned_hole"]) == ("W3", 313, 1)
    assert [hole["number"] for hole in found["to_come"]] == [2]
    assert [disc["first_hole"] for disc in found["discs"]] == [3, 4]
    assert all(disc["plan"]["holes"] for disc in found["discs"])


def test_a_job_without_holes_waits_for_nothing(heavyspot: Callable, example: Callable) -> None:
    found = json.loads(heavyspot("correct", example("flat-four"), "--json").out)
    assert found["spin_first"] is False
    assert found["drilled_since"] == found["to_come"] == []
    assert found["crank"]["expected"] == "PASS in 98% of cases"


def test_a_hole_taken_back_waits_for_no_spin(heavyspot: Callable, drilled: Callable) -> None:
    path = drilled(FIRST)
    heavyspot("drilled", path, "--undo")
    said = heavyspot("correct", path)
    assert said.code == 0
    assert "SPIN FIRST" not in said.out
    assert "hole counterweight at deg" in said.out


def test_a_screen_asked_for_in_other_ways_is_the_same(
    heavyspot: Callable, drilled: Callable
) -> None:
    path = drilled(FIRST, SECOND)
    plain = heavyspot("correct", path)
    for more in (("--others",), ("--drillings", "1000")):
        assert heavyspot("correct", path, *more) == plain


def test_angles_leave_from_0_to_360(heavyspot: Callable, example: Callable) -> None:
    """The sector of a counterweight at 0 +/- 58 begins at -58; no program sees that number."""
    path = example("flat-four")
    both = json.loads(heavyspot("correct", path, "--others", "--json").out)
    angles = [*_degrees(both)]
    assert len(angles) > 20
    assert all(0 <= angle < 360 for angle in angles)
    holes = [hole["degrees"] for way in both["others"] for hole in way["plan"]["holes"]]
    assert max(holes) > 302  # by its sector it was below zero


def _degrees(value: object) -> list[float]:
    if isinstance(value, dict):
        own = [value["degrees"]] if isinstance(value.get("degrees"), int | float) else []
        return own + [angle for item in value.values() for angle in _degrees(item)]
    return [a for item in value for a in _degrees(item)] if isinstance(value, list) else []


def test_exported_holes_stand_from_0_to_360(heavyspot: Callable, example: Callable) -> None:
    path = example("flat-four")
    with path.open("a") as file:
        file.write('\n[[drilled]]\npart = "W3"\nangle = "-47 deg"\ndiameter = 9\ndepth = 17.5\n')
        file.write('\n[[drilled]]\npart = "W3"\nundo = true\n')
    assert heavyspot("export", path).code == 0
    (table,) = path.parent.rglob("drilled.csv")
    head, hole, undo = table.read_text(encoding="utf-8-sig").splitlines()
    assert head == "part,angle_degrees,diameter_mm,depth_mm,undo,time"
    assert hole == "W3,313,9,17.5,false,"
    assert undo == "W3,,,,true,"


def test_a_spin_that_contradicts_the_holes_stops_every_comparison(
    heavyspot: Callable, drilled: Callable
) -> None:
    """A hole is recorded, and the machine shows what it showed before: nothing was drilled."""
    path = drilled(FIRST, SECOND)
    text = path.read_text()
    first = next(part for part in text.split("[[spins]]")[1:] if 'on = ["crank"]' in part)
    path.write_text(text + "\n[[spins]]" + first.partition("\n[")[0] + "\ndrilled = 2\n")
    missing = heavyspot("drilled", path, *STRAY)
    assert missing.code == 0
    out = flat(missing.out)
    assert "Not compared with a plan: " in out
    assert "If the hole was there at that spin, take the spin back and enter it again" in out
    both = flat(heavyspot("correct", path).out)
    assert "SPIN FIRST. Drilled since the last spin: crank 1 hole." in both
    assert "STOP: " in both
    assert "Not recorded yet" not in both


def test_holes_that_were_measured_are_planned_on_when_it_is_said_so(
    heavyspot: Callable, drilled: Callable
) -> None:
    """The machine shows what it showed before the holes: something is wrong, drill nothing."""
    path = drilled(FIRST, SECOND)
    text = path.read_text()
    first = next(part for part in text.split("[[spins]]")[1:] if 'on = ["crank"]' in part)
    path.write_text(text + "\n[[spins]]" + first.partition("\n[")[0] + "\ndrilled = 2\n")
    said = heavyspot("correct", path)
    assert said.code == 1
    assert "If all was looked at and is as recorded: heavyspot correct" in flat(said.out)
    assert f"Then take this spin back (heavyspot spin {path} --undo, with --on" in flat(said.out)
    assert "full depth" not in said.out
    assert json.loads(heavyspot("correct", path, "--json").out)["crank"]["plan"] is None
    late = path.with_name("late.toml")
    late.write_text(path.read_text())
    kept = heavyspot("drilled", late, *STRAY, "--sure")
    assert kept.code == 0
    assert "Next: was this hole there at the last spin already? Then take that spin" in kept.out
    assert f"heavyspot spin {late} --undo) and enter it again with --add" in flat(kept.out)
    on = heavyspot("correct", path, "--sure")
    assert on.code == 0
    assert "full depth" in on.out
    assert "STOP" not in on.out
    assert "Planned all the same, on your word (--sure)" in flat(on.out)
    made = json.loads(heavyspot("correct", path, "--json", "--sure").out)
    assert made["crank"]["plan"]["holes"]
    assert (made["stop"], bool(made["overruled"])) == ("", True)
    assert heavyspot("report", path).code == 0
    assert heavyspot("report", path, "--sure").code == 0
    alone = heavyspot("report", path.parent, "--sure")
    assert alone.code == 2
    assert "--sure is said of one crank: name its job file, not a folder" in alone.err


def test_the_screen_says_which_hole_is_there_already(
    heavyspot: Callable, drilled: Callable
) -> None:
    """Drilled too shallow, spun, and the machine shows what the holes as recorded should leave."""
    path = drilled((*FIRST[:3], "7 mm"))
    results = Results(read_job(path))
    shows = next_spins(results.job, results.spun, results.corrected)[0].planes
    readings = [
        word
        for plane in shows
        for word in ("--reading", f"{plane.plane}={plane.amount:.0f} g mm@{plane.degrees:.0f} deg")
    ]
    assert heavyspot("spin", path, "--add", *readings).code == 0
    said = heavyspot("correct", path)
    out = flat(said.out)
    assert "There already, to be deepened: hole 1 (7.0 mm deep). Is it not there" in out
    assert re.search(r"1 W3 313 9 mm \S+ 7.0 to 1\d\.\d ", out)
    assert max(map(len, said.out.splitlines())) <= 80


def test_holes_of_a_plan_with_slugs_wait_for_the_slugs(
    heavyspot: Callable, example: Callable
) -> None:
    path = example("v8")
    planned = json.loads(heavyspot("correct", path, "--json").out)["crank"]
    assert planned["plan"]["slugs"]
    (hole,) = planned["plan"]["holes"]
    mark = planned["marks"][hole["counterweight"]]
    words = ("drilled", path, mark, hole["degrees"], hole["diameter_mm"], hole["depth_mm"])
    said = heavyspot(*words)
    assert said.code == 2
    assert "is hole 1 of the plan, but its slugs come first: fit them, spin, and plan" in said.err
    stray = ("drilled", path, mark, hole["degrees"] + 30, hole["diameter_mm"], hole["depth_mm"])
    assert heavyspot(*stray, "--sure").code == 0
    out = heavyspot("correct", path).out
    assert "SPIN FIRST" in out
    assert "hole 1" not in out
