"""After the cut: which readings count, what is off its stop, and sets that are cut on."""

import pytest
from cli.examples import make_examples
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.job.load import read_text
from balance.job.model import ScalePage
from balance.parts.after_cut import repeat_g, since_last_cut
from balance.parts.doubts import doubts_job
from balance.parts.slips import finest_g
from balance.parts.steps import Matched, match_job

FOUR = make_examples.flat_four()[0]
END = '\n[[weighings]]\npart = "{}"\nwhat = "{}"\nvalue = "{:.1f} g"\nfinished = true\n'
PISTON = '\n[[weighings]]\npart = "{}"\nvalue = "{:.1f} g"\nfinished = true\n'


def matched(more: str = "", text: str = FOUR) -> Matched:
    return match_job(read_text(text + more))


def kinds(made: Matched) -> set[str]:
    return {doubt.kind for doubt in made.doubts}


TOO_FAR = END.format("R4", "small_end", 155.0) * 2


def test_one_reading_below_its_stop_is_weighed_again_first() -> None:
    made = matched(END.format("R4", "small_end", 155.0))
    assert not made.recut
    assert not made.sure
    assert kinds(made) == {"cut"}


def test_two_that_agree_begin_the_plan_anew_and_keep_the_sets() -> None:
    first, made = matched(), matched(TOO_FAR)
    assert made.recut
    assert made.sure
    assert kinds(made) == {"cut too far"}
    assert made.match.sets == first.match.sets
    sums = [entry.piston_g + entry.pin_g + entry.small_end_g for entry in made.sets]
    assert max(sums) - min(sums) <= made.tolerance_g + 0.1 + 1e-9  # less than a division is left
    for old, new in zip(first.sets, made.sets, strict=True):
        assert new.expected_reciprocating_g == old.expected_reciprocating_g  # it keeps its cylinder
        assert new.reciprocating_g - new.piston_g - new.small_end_g == pytest.approx(
            old.reciprocating_g - old.piston_g - old.small_end_g
        )
        for part in new.cut_parts:
            assert part.stop_g == pytest.approx(part.before_g - part.cut_g)
            assert part.cut_g == 0 or part.cut_g >= 0.1 - 1e-9


def test_cut_to_the_new_stops_nothing_is_left_to_do() -> None:
    more = TOO_FAR
    for entry in matched(TOO_FAR).sets:
        for part in entry.cut_parts:
            if part.cut_g and part.what == "piston":
                more += PISTON.format(part.mark, part.stop_g) * 2
            elif part.cut_g:
                more += END.format(part.mark, part.what.replace(" ", "_"), part.stop_g) * 2
    made = matched(more)
    assert made.recut
    assert made.match.removed_g == 0
    assert made.sure
    assert all(entry.weighed for entry in made.sets)
    assert "nothing more comes off" in made.doubts[-1].text


def test_limits_hold_for_all_that_comes_off_a_part() -> None:
    tight = FOUR.replace('small_end_can_lose = "3 g"', 'small_end_can_lose = "0 g"')
    tight = tight.replace("piston_can_lose", "piston_can_lose = '1 g' #", 1)
    made = matched(TOO_FAR, tight)
    assert made.match.feasible is False
    assert not made.sure
    assert "a part was cut too far: P" in made.match.reason
    assert "The limits of the others do not allow to cut the same sets" in made.doubts[-1].text
    big = END.format("R1", "big_end", 380.0) * 2
    made = matched(big, FOUR)
    assert "a part was cut too far: the big end of R" in made.match.reason


def test_an_end_found_from_the_other_weighings_needs_those_twice() -> None:
    first = matched()
    (rod,) = (part for entry in first.sets for part in entry.cut_parts if part.name == "R4 big end")
    total = rod.first_g + 159.0 - 8
    once = END.format("R4", "total", total) + END.format("R4", "small_end", 159.0) * 2
    assert not matched(once).recut
    assert matched(once + END.format("R4", "total", total)).recut


def test_a_part_that_was_cut_on_is_judged_by_its_latest_readings() -> None:
    near = repeat_g(ScalePage(resolution=0.1))
    assert since_last_cut([], near_g=near) == ()
    assert since_last_cut([401.0, 400.8, 401.1], near_g=near) == (401.0, 400.8, 401.1)
    assert since_last_cut([401.0, 400.0, 400.9], near_g=near) == (400.0, 400.9)
    text = FOUR + PISTON.format("P1", 389.0) + PISTON.format("P1", 389.6) * 2
    said = [doubt.text for doubt in doubts_job(read_text(text))]
    assert any("piston P1: its weighings after the cut lie 0.60 g apart" in one for one in said)


@given(st.lists(st.floats(1, 1000), max_size=8), st.floats(0, 5))
@settings(max_examples=50)
def test_the_readings_that_count_are_the_last_ones(readings: list[float], near_g: float) -> None:
    kept = since_last_cut(readings, near_g=near_g)
    assert list(kept) == readings[len(readings) - len(kept) :]
    assert bool(kept) is bool(readings)


@pytest.mark.parametrize(
    ("written", "step_g"),
    [
        ("14.8 oz", 2.8349523125),
        ("14,82 oz", 0.28349523125),
        ("14 13/16 oz", 28.349523125 / 16),
        ("1 lb 2 oz", 28.349523125),
        ("0.42 kg", 10.0),
        ("420 g", None),
        ("420.3 grams", None),
        ("420.3", None),
    ],
)
def test_how_finely_a_weight_was_written(written: str, step_g: float | None) -> None:
    """One ounce is 28.349523125 g (international yard and pound agreement of 1959)."""
    found = finest_g(written)
    assert found is None if step_g is None else found == pytest.approx(step_g)


SMALL = """\
format = 1
job = {name = "small cuts"}
engine = {layout = "inline-2", stroke = 80, rod_length = 130, bore_spacing = 90}
targets = {match_tolerance = TOLERANCE}
parts.pistons = [{mark = "P1", weight = 420.0}, {mark = "P2", weight = [420.5, 420.6]}]
parts.pins = [{mark = "N1", weight = 110.0}, {mark = "N2", weight = 110.0}]
[[parts.rods]]
mark = "R1"
big_end = 401.0
small_end = 158.0
[[parts.rods]]
mark = "R2"
big_end = 401.0
small_end = 158.0
"""


def test_no_cut_is_less_than_a_division_and_the_tolerance_holds() -> None:
    made = matched(text=SMALL.replace("TOLERANCE", "0.5"))
    assert [round(entry.piston_cut_g, 9) for entry in made.sets] == [0.0, 0.1]  # least: 0.05 g
    assert made.above_least_g == pytest.approx(0.05)
    assert made.match.removed_g == pytest.approx(0.1)
    assert made.match.bound_g <= 0.05
    assert made.proof == "least + 0.05 g: no cut is under a division"
    sums = [entry.piston_g + entry.pin_g + entry.small_end_g for entry in made.sets]
    assert max(sums) - min(sums) <= 0.5


@pytest.mark.parametrize(("tolerance", "can_lose"), [("0.5", "0.06"), ("0.09", "5"), ("0.5", None)])
def test_a_cut_stays_where_a_whole_division_has_no_room(
    tolerance: str, can_lose: str | None
) -> None:
    text = SMALL.replace("TOLERANCE", tolerance)
    if can_lose:
        text = text.replace("parts.pins", f"parts.piston_can_lose = {can_lose}\nparts.pins")
    made = matched(text=text)
    whole = can_lose is None
    cut = made.sets[1].piston_cut_g
    assert (cut == pytest.approx(0.1)) is whole
    assert bool(made.above_least_g) is whole
    assert made.proof == "proven least" or whole


def test_a_decimal_comma_in_the_file_is_named() -> None:
    text = SMALL.replace("TOLERANCE", "0.5").replace("[420.5, 420.6]", "[420.5, 420,6]")
    said = [doubt.text for doubt in doubts_job(read_text(text))]
    assert any("(in the file 420,6 is two numbers: write 420.6)" in one for one in said)


def test_radials_and_rods_that_were_looked_at_may_have_heavy_small_ends() -> None:
    swapped = SMALL.replace("TOLERANCE", "0.5").replace("small_end = 158.0", "small_end = 458.0")
    said = [doubt.text for doubt in doubts_job(read_text(swapped))]
    assert [text.partition(":")[0] for text in said] == ["rod R1", "rod R2"]
    one = swapped.replace('mark = "R1"\n', 'mark = "R1"\nsmall_end_heavier = true\n')
    (doubt,) = doubts_job(read_text(one))
    assert doubt.part == "R2"
    assert doubt.kind == "weigh again"
    assert doubts_job(read_text(swapped.replace("inline-2", "radial-5"))) == ()
