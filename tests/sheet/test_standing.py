"""Where a job stands: what is ready, what is missing, what looks wrong, what to do next."""

import re

import pytest
from cli.examples import make_examples

from balance.job.load import read_text
from balance.sheet.results import Results
from balance.sheet.standing import standing

FOUR = make_examples.flat_four()[0]


def warned(text: str) -> str:
    return "\n".join(standing(read_text(text)).warnings)


def test_a_whole_job_lacks_nothing_and_nothing_looks_wrong() -> None:
    found = standing(read_text(FOUR))
    assert found.ready
    assert found.warnings == ()
    assert found.next.startswith("heavyspot report")


def test_a_job_that_has_only_parts_says_what_each_step_needs() -> None:
    found = standing(read_text(FOUR.partition("[crank]")[0]))
    needed = {step.name: step.needed for step in found.steps}
    assert needed["match"] == ()
    assert any("[machine]" in item for item in needed["spin"])
    assert not found.ready
    assert found.next.startswith("spin needs: ")


def test_a_rod_that_does_not_close_is_named() -> None:
    first = re.search(r'total = "([\d.]+) g"', FOUR)
    assert first is not None
    text = FOUR.replace(first[0], f'total = "{float(first[1]) + 2:.1f} g"', 1)
    assert "rod R1: big end + small end differ from the total by -2" in warned(text)


def test_readings_far_apart_are_named_not_dropped() -> None:
    first = re.search(r'weight = \["([\d.]+) g", "[\d.]+ g"\]', FOUR)
    assert first is not None
    text = FOUR.replace(first[0], f'weight = ["{first[1]} g", "{float(first[1]) + 9:.1f} g"]', 1)
    assert "piston P1: its weighings lie 9.00 g apart" in warned(text)


def test_a_replaced_piston_is_suspected() -> None:
    pieces = re.findall(r'weight = \["[\d.]+ g", "[\d.]+ g"\]', FOUR)
    text = FOUR.replace(pieces[0], 'weight = ["371.0 g", "371.0 g"]', 1)
    assert re.search(
        r"piston P1 is 1\d\.\d g too light for a set as a maker delivers", warned(text)
    )


def test_a_scale_too_coarse_for_the_tolerance_is_named() -> None:
    text = FOUR.replace('resolution = "0.1 g"', 'resolution = "2 g"')
    assert "the scale cannot support the match tolerance" in warned(text)


def test_an_existing_hole_outside_its_sector_is_named() -> None:
    hole = 'holes = [{ angle = "0 deg", diameter = "8 mm", depth = "9 mm" }]\n'
    text = FOUR.replace('mark = "W1"\n', f'mark = "W1"\n{hole}', 1)
    assert "counterweight W1: a hole at 0 degrees is outside its sector" in warned(text)


def test_a_hardened_crank_is_warned_of() -> None:
    assert "the crank is hardened" in warned(
        FOUR.replace('edge = "3.2 mm"', 'hardened = true\nedge = "3 mm"')
    )


def test_parts_weighed_after_cutting_count_as_they_are() -> None:
    lines = [
        '[[weighings]]\npart = "P1"\nvalue = "380.0 g"\nfinished = true\n',
        '[[weighings]]\npart = "R1"\nwhat = "big_end"\nvalue = "390.0 g"\nfinished = true\n',
        '[[weighings]]\npart = "R1"\nwhat = "small_end"\nvalue = "150.0 g"\nfinished = true\n',
    ]
    sets = {entry.piston: entry for entry in Results(read_text(FOUR + "".join(lines))).matched.sets}
    assert sets["P1"].piston_g == 380.0
    assert sets["P1"].weighed == (sets["P1"].rod == "R1")
    by_rod = {entry.rod: entry for entry in sets.values()}
    assert by_rod["R1"].big_end_g == 390.0
    assert by_rod["R1"].small_end_g == 150.0
    assert not by_rod["R2"].weighed


@pytest.mark.parametrize("undone", [False, True])
def test_a_weighing_taken_back_does_not_count(undone: bool) -> None:
    more = '[[weighings]]\npart = "P1"\nvalue = "400.0 g"\n'
    more += '[[weighings]]\npart = "P1"\nundo = true\n' if undone else ""
    bench = Results(read_text(FOUR + more)).matched.bench
    assert bench.pistons[0].n == (2 if undone else 3)
