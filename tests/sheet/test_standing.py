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
    assert found.next == "heavyspot match job.toml"


def test_a_rod_that_does_not_close_is_named() -> None:
    first = re.search(r'total = "([\d.]+) g"', FOUR)
    assert first is not None
    text = FOUR.replace(first[0], f'total = "{float(first[1]) + 2:.1f} g"', 1)
    assert "rod R1: big end + small end come to 2" in warned(text)


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


def then(text: str) -> str:
    return standing(read_text(text)).next


PARTS = FOUR.partition("[crank]")[0]
UNSPUN = FOUR.partition("[[spins]]")[0]
FINISHED = '\n[[weighings]]\npart = "R1"\nwhat = "big_end"\nvalue = "{} g"\nfinished = true\n'


def _bare(text: str) -> str:
    keys = ("weight =", "total =", "big_end =", "small_end =")
    return "\n".join(line for line in text.splitlines() if not line.startswith(keys))


def _all_finished() -> str:
    """Return the weighings after the cuts of every part that loses metal, each at its stop."""
    parts = [p for each in Results(read_text(FOUR)).matched.sets for p in each.cut_parts]
    return "".join(
        f'\n[[weighings]]\npart = "{part.mark}"\n'
        + f'what = "{part.what.replace(" ", "_")}"\n' * (part.what != "piston")
        + f'value = "{part.stop_g:.1f} g"\nfinished = true\n'
        for part in parts
        if round(part.cut_g, 2) > 0
    )


def test_next_is_a_command_that_fits_what_is_there() -> None:
    stop = Results(read_text(FOUR)).matched.sets[0].cut_parts[2].stop_g
    assert then(_bare(PARTS)).startswith("heavyspot weigh job.toml asks for every weighing")
    assert then(PARTS.replace("service_speed", "# service_speed")) == "heavyspot match job.toml"
    assert then(UNSPUN) == "heavyspot match job.toml"
    left = "P1, P2, R4 big end, R2 big end"
    some = UNSPUN + FINISHED.format(round(stop, 1))
    assert then(some) == f"cut {left}, then heavyspot weigh job.toml --finished for each"
    assert then(UNSPUN + _all_finished()) == "heavyspot spin job.toml --add"
    off = "look at what seems wrong above, then heavyspot match job.toml"
    assert then(UNSPUN + FINISHED.format(stop - 9)) == off
    assert then(FOUR + FINISHED.format(stop - 9)) == off
    assert then(_bare(FOUR)) == "heavyspot correct job.toml"
    head, _, rest = UNSPUN.partition("[[parts.pistons]]")
    assert then(head + "[crank]" + rest.partition("[crank]")[2]) == "heavyspot spin job.toml --add"
    assert then(head).startswith("write into job.toml: the pistons")


def test_what_an_earlier_step_needs_is_not_said_twice() -> None:
    found = standing(read_text(_bare(FOUR)))
    steps = {step.name: step for step in found.steps}
    assert len(found.needs_of(steps["match"])) == 12
    assert found.needs_of(steps["shake"]) == ("as for match",)
    assert found.needs_of(steps["spin"]) == ()
    empty = re.sub(r'stroke = ".*"', 'stroke = "?"', FOUR.partition("[crank]")[0])
    found = standing(read_text(empty))
    steps = {step.name: step for step in found.steps}
    assert found.needs_of(steps["correct"])[0] == "as for spin", "the step that needs most of it"


def test_contradicting_weighings_are_weighed_again_before_anything_else() -> None:
    text = FOUR.replace('total = "', 'total = "1', 1)
    assert "heavyspot weigh job.toml: weigh R1 again" in then(text)


def test_an_end_weighed_alone_after_cutting_counts_and_moves_no_set() -> None:
    first = Results(read_text(FOUR))
    later = Results(read_text(FOUR + FINISHED.format("300.0")))
    (entry,) = (entry for entry in later.matched.sets if entry.rod == "R1")
    assert entry.big_end_g == 300.0
    assert entry.weighed is (entry.piston_cut_g == 0)
    assert later.card.placement.set_at_cylinder == first.card.placement.set_at_cylinder
    stop = entry.cut_parts[2].stop_g
    assert f"R1 big end is {stop - 300:.2f} g below its stop" in warned(
        FOUR + FINISHED.format("300.0")
    )


def test_finished_sets_that_differ_are_named() -> None:
    """Each part within the tolerance of its stop, yet together they are not."""
    text = FOUR
    for entry in Results(read_text(FOUR)).matched.sets:
        off = 0.45 if entry.piston == "P1" else -0.45
        for part in entry.cut_parts:
            what = "weight" if part.what == "piston" else part.what.replace(" ", "_")
            text += (
                f'\n[[weighings]]\npart = "{part.mark}"\nwhat = "{what}"\n'
                f'value = "{part.stop_g + off:.2f} g"\nfinished = true\n'
            )
    said = warned(text)
    assert "its stop" not in said
    assert "the finished sets differ by" in said
    assert "the finished big ends differ by" in said


def test_an_odd_pin_and_a_cut_without_a_limit_are_named() -> None:
    pin = re.search(r'mark = "N1"\nweight = .*\n', FOUR)
    assert pin is not None
    text = FOUR.replace(pin[0], 'mark = "N1"\nweight = "118 g"\n')
    assert re.search(r"pin N1 is \d+\.\d g too heavy for a set as a maker delivers it \(2 g\)",
                     warned(text))  # fmt: skip
    assert "no limit is known" not in warned(text)
    free = re.sub(r"piston_can_lose = .*\n", "", text)
    assert re.search(
        r"no limit is known: \d+\.\d+ g off a 3[89]\d g piston \(P\d\); ask the maker and write "
        r"piston_can_lose under \[parts\]",
        warned(free),
    )


def test_far_readings_of_a_rods_end_are_named() -> None:
    total = re.search(r'total = "([\d.]+) g"', FOUR)
    assert total is not None
    text = FOUR.replace(total[0], f'total = ["{total[1]} g", "{float(total[1]) + 9} g"]', 1)
    assert "rod R1 total: its weighings lie 9.00 g apart" in warned(text)


def test_a_rod_weighed_often_is_judged_by_its_own_doubt() -> None:
    """0.3 g off: within the limit of single readings, 3 sqrt(3) 0.104 = 0.54 g, not of nine."""
    once, often = '"{:.1f} g"', "[" + ", ".join(['"{:.1f} g"'] * 9) + "]"
    job = FOUR.replace('resolution = "0.1 g"', 'resolution = "0.1 g"\nrepeatability = "0.1 g"')
    for written, doubted in ((once, False), (often, True)):
        rod = (
            f'mark = "R1"\ntotal = {written.replace("{:.1f}", "562.7")}\n'
            f"big_end = {written.replace('{:.1f}', '404.2')}\n"
            f"small_end = {written.replace('{:.1f}', '158.8')}\n"
        )
        text = re.sub(r'mark = "R1"\ntotal = .*\nbig_end = .*\nsmall_end = .*\n', rod, job)
        assert ("rod R1: big end + small end come to" in warned(text)) is doubted


def test_holes_that_wait_for_a_spin_come_before_any_paper() -> None:
    hole = '\n[[drilled]]\npart = "W3"\nangle = 313\ndiameter = 9\ndepth = 17.5\n'
    undo = '\n[[drilled]]\npart = "W3"\nundo = true\n'
    want = "heavyspot spin job.toml --add: {} drilled since the last spin"
    assert then(FOUR + hole) == want.format("1 hole was")
    assert then(FOUR + hole + hole.replace("W3", "W8")) == want.format("2 holes were")
    deeper = hole.replace("17.5", "19")
    assert then(FOUR + hole + deeper) == want.format("1 hole was"), "one hole, deepened"
    assert then(FOUR + hole + undo).startswith("heavyspot report")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"7800 rpm"', '"78000 rpm"', "a mean piston speed of 218.4 m/s at a stroke of 84 mm"),
        ('"7800 rpm"', '"780 rpm"', "a mean piston speed of 2.2 m/s"),
        ('mass = "12.4 kg"', 'mass = "1.24 kg"', "a crank of 1.24 kg is odd for a stroke of 84 mm"),
        ('mass = "12.4 kg"', 'mass = "124 kg"', "a crank of 124 kg is odd"),
        ('mass = "4.9 kg"', 'mass = "70 kg"', "flywheel: 70 kg beside a crank of 12.4 kg"),
    ],
)
def test_a_size_ten_times_wrong_is_asked_about(old: str, new: str, said: str) -> None:
    assert old in FOUR
    assert said in warned(FOUR.replace(old, new, 1))


@pytest.mark.parametrize("make", ["flat_four", "v_twin", "v8"])
def test_the_sizes_of_the_examples_are_believed(make: str) -> None:
    assert "common practice, no source" not in warned(getattr(make_examples, make)()[0])


def test_a_layout_that_leaves_its_kind_open_is_asked_about() -> None:
    """The template's V-8 said 90 deg, a cross-plane crank and pairs; without that it is a guess."""
    whole = make_examples.v8()[0]
    assert "written nowhere" not in warned(whole)
    for key, told in (("bank_angle", "90 deg between"), ("crank", "a cross-plane")):
        without = re.sub(rf"(?m)^{key} = .*\n", "", whole)
        assert re.search(rf"engine: written nowhere, so taken as usual for a V-8: {told}",
                         warned(without))  # fmt: skip
