"""Spins and holes entered at the bench: each on disk before the next question."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from balance.job.load import read_job


def test_a_spin_from_one_command_line(heavyspot: Callable, example: Callable) -> None:
    path = example("v-twin")
    said = heavyspot(
        "spin", path, "--reading", "drive side=0.4@120 deg",
        "--reading", "timing side=12 g @ 76 mm@45",
        "--bobweight", "1948", "--speed", "480", "--name", "after drilling",
    )  # fmt: skip
    assert said.code == 0, said.err
    spin = read_job(path).spins[-1]
    assert [reading.plane for reading in spin.readings] == ["drive side", "timing side"]
    assert spin.readings[0].amount == "0.4 oz in"
    assert spin.bobweights == (1948.0,)
    assert (spin.name, spin.speed, spin.drilled) == ("after drilling", 480.0, 0)
    assert "drive side: 0.4 oz in at 120 deg" in said.out
    gone = heavyspot("spin", path, "--undo").out
    assert f"Taken back: the latest spin of crank, of {spin.time:%Y-%m-%d %H:%M}" in gone
    assert "drive side: 0.4 oz in at 120 deg" in gone
    assert "still count: 1" in gone


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["timing side=1@2"], "must have one reading for each plane of the machine: timing side, "),
        (["left=1@2"], "is no reading of a plane (timing side, drive side): write for example"),
        (["timing side=1 g@2"], "timing side: '1 g' is a mass, not an unbalance: at which radius"),
        (["timing side=1@400"], "timing side: '400' is not an angle from -360 to 360 degrees"),
        (
            ["timing side=-1@4"],
            "timing side: '-1' is negative: an amount is not, its angle says where",
        ),
    ],
)
def test_a_spin_that_cannot_be_right_changes_nothing(
    heavyspot: Callable, example: Callable, words: list[str], message: str
) -> None:
    path = example("v-twin")
    before = path.read_bytes()
    readings = [x for word in words for x in ("--reading", word)]
    said = heavyspot("spin", path, "--add", "--bobweight", "1948", *readings)
    assert said.code == 2
    assert message in said.err
    assert path.read_bytes() == before


def test_a_spin_is_asked_plane_by_plane(
    heavyspot: Callable, example: Callable, types: Callable
) -> None:
    path = example("flat-four")
    job = read_job(path)
    assert job.machine is not None
    types("y", "n", "", "", "no", "", "1", "x", "400", "10", "-5", "2", "20", "", "?", "y")
    said = heavyspot("spin", path, "--add")
    assert said.code == 0
    assert "Holes drilled since the last spin? [none recorded] > " in said.out
    shown = said.out.partition("The spin:\n")[2]
    assert shown.startswith(f"- turned: crank + {job.bolted[0].name}\n- bobweights: none\n")
    assert (
        f"- {job.machine.planes[1].name}: 2 {job.machine.unit} at 20 deg as the machine counts\n"
        in shown
    )
    assert "y writes it to the job, n writes nothing; q stops" in shown
    assert "is not an angle" in said.out
    spin = read_job(path).spins[-1]
    assert len(spin.readings) == len(job.machine.planes)
    assert spin.readings[-1].angle == 20
    assert spin.on == ("crank", job.bolted[0].name)


def test_a_spin_that_is_broken_off_is_not_kept(
    heavyspot: Callable, example: Callable, types: Callable
) -> None:
    path = example("v-twin")
    before = path.read_bytes()
    whole = ("", "", "", "", "1.2", "10", "1.3", "20")
    stopped = [(*whole[:count], "q") for count in (0, 1, 2, 3, 5, 8)]
    for answers in (*stopped, whole, (*whole, "n")):
        types(*answers)
        said = heavyspot("spin", path, "--add")
        assert said.code == (130 if answers == whole else 1)  # the input ends: as after Ctrl-D
        assert "Nothing was written." in said.out
        assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("count", "answers", "drilled"),
    [
        (0, [""], 0),
        (0, ["y", "1", "n"], 0),
        (2, [""], 2),
        (2, ["3", "what", "9" * 5000, "1"], 1),
        (2, ["0"], 0),
        (2, ["yes"], 2),
    ],
)
def test_holes_since_the_last_spin_are_asked_for(
    heavyspot: Callable,
    example: Callable,
    types: Callable,
    *,
    count: int,
    answers: list[str],
    drilled: int,
) -> None:
    path = example("v-twin")
    for depth in range(10, 10 + count):
        heavyspot("drilled", path, "W1", "180", "12", depth, "--sure")
    spun_before = [""] * (drilled == 0)  # then a check spin is asked for
    types("", *answers, *spun_before, "", "1.2", "10", "1.3", "20", "y")
    said = heavyspot("spin", path, "--add")
    assert said.code == 0
    assert f"Holes drilled since the last spin? [{count or 'none'} recorded] > " in said.out
    assert ("record each first with heavyspot drilled" in said.out) == (len(answers) > 1)
    assert ("Enter for all" in said.out) == ("what" in answers)
    assert read_job(path).spins[-1].drilled == drilled


def test_bobweights_have_no_default_where_the_engine_needs_them(
    heavyspot: Callable, example: Callable, types: Callable
) -> None:
    path = example("v-twin")
    text = path.read_text()
    path.write_text(text[: text.index("[[spins]]")])
    types("", "none", "1948; 1949", "1948", "", "", "1.2", "10", "1.3", "20", "y")
    said = heavyspot("spin", path, "--add")
    assert said.code == 0
    assert "bobweights as made up, with ; between them > " in said.out
    assert said.out.count("this engine needs bobweights (") == 3
    assert read_job(path).spins[-1].bobweights == (1948,)
    bare = heavyspot("spin", path, "--reading", "timing side=1@2", "--reading", "drive side=1@2")
    assert bare.code == 2
    assert "this engine needs bobweights (" in bare.err
    assert "got none: write the mass of one as made up" in bare.err


@pytest.mark.parametrize(("typed", "kept"), [("", 480), ("520", 520), ("500 rpm", 500)])
def test_the_speed_is_asked_and_is_that_of_the_last_spin_when_nothing_is_typed(
    heavyspot: Callable, example: Callable, types: Callable, *, typed: str, kept: float
) -> None:
    path = example("v-twin")
    types("", "", "", "fast", "-5", typed, "1.2", "10", "1.3", "20", "y")
    said = heavyspot("spin", path, "--add")
    assert said.code == 0
    assert "speed of the spin [480 rpm] > " in said.out
    assert "'fast' is not a speed" in said.out
    assert "'-5' must be greater than 0" in said.out
    assert read_job(path).spins[-1].speed == kept
    assert f"- speed: {kept} rpm\n" in said.out.partition("The spin:\n")[2]


def test_a_speed_that_was_never_said_stays_unsaid_and_one_that_was_said_is_not_asked(
    heavyspot: Callable, example: Callable, types: Callable
) -> None:
    path = example("v-twin")
    path.write_text(path.read_text().replace('speed = "480 rpm"\n', ""))
    types("", "", "", "", "1.2", "10", "1.3", "20", "y")
    assert "speed of the spin [not said] > " in heavyspot("spin", path, "--add").out
    assert read_job(path).spins[-1].speed is None
    types("", "", "", "1.2", "10", "1.3", "20", "y")
    said = heavyspot("spin", path, "--add", "--speed", "500 rpm")
    assert (said.code, "speed of the spin" in said.out) == (0, False)
    assert read_job(path).spins[-1].speed == 500


def test_a_spin_needs_to_know_the_machine(heavyspot: Callable, bare: Path) -> None:
    said = heavyspot("spin", bare, "--add")
    assert said.code == 2
    assert "a [machine] table that says how it counts its angles" in said.err


def test_holes_are_recorded_and_counted_by_the_next_spin(
    heavyspot: Callable, example: Callable, types: Callable
) -> None:
    path = example("v-twin")
    assert heavyspot("drilled", path, "W1", "171", "1/2 in", "18.5", "--sure").code == 0
    types("W2", "190 deg", "12 mm", "10 mm", "y")
    assert heavyspot("drilled", path).code == 0
    both = ("--reading", "timing side=1@2", "--reading", "drive side=1@2")
    heavyspot("spin", path, "--bobweight", 1948, *both)
    job = read_job(path)
    assert [(hole.part, hole.diameter, hole.depth) for hole in job.standing_holes()] == [
        ("W1", 12.7, 18.5),
        ("W2", 12.0, 10.0),
    ]
    assert job.spins[-1].drilled == 2


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["W1", "10", "12", "10"], "10 deg is outside counterweight W1 (180 +/- 105 deg)"),
        (["W1", "180", "11", "10"], "11 mm is no drill of [drills] in this job"),
        (["W1", "180", "12", "27"], "27 mm is deeper than its max_depth of 26 mm"),
        (["W7", "180", "12", "20"], "'W7' is neither a counterweight nor a bolted part: W1, W2"),
        (["W1", "180", "12", "0"], "'0' must be greater than 0"),
    ],
)
def test_a_hole_that_does_not_fit_is_questioned(
    heavyspot: Callable, example: Callable, words: list[str], message: str
) -> None:
    path = example("v-twin")
    before = path.read_bytes()
    said = heavyspot("drilled", path, *words)
    assert said.code == 2
    assert message in said.err
    assert path.read_bytes() == before


def test_a_hole_is_recorded_once_and_may_be_deepened(
    heavyspot: Callable, example: Callable
) -> None:
    path = example("v-twin")
    hole = ("drilled", path, "w1", "201", "1/2 in")
    assert heavyspot(*hole, "9").code == 0
    before = path.read_bytes()
    for again in ("9", "8"):
        said = heavyspot(*hole, again)
        assert said.code == 2
        assert "W1 at 201 deg is already recorded with 9 mm: entered twice?" in said.err
    assert heavyspot("drilled", path, "W1", "201.4", "1/2 in", "9").code == 2
    beside = heavyspot("drilled", path, "W1", "206", "1/2 in", "9")  # 9.5 mm along the rim
    assert beside.code == 2
    assert "W1 at 206 deg cuts into the hole at 201 deg (12.7 mm, 9 mm deep)" in beside.err
    assert path.read_bytes() == before
    assert "(it was 9 mm deep)" in heavyspot(*hole, "10").out
    assert heavyspot("drilled", path, "W2", "201", "1/2 in", "9", "--sure").code == 0
    assert heavyspot(*hole, "9", "--sure").code == 0
    assert [hole.depth for hole in read_job(path).standing_holes()] == [9, 10, 9, 9]


def test_a_hole_is_taken_back_by_an_entry_of_its_own(
    heavyspot: Callable, example: Callable
) -> None:
    path = example("v-twin")
    for part, angle, depth in (("W1", "201", 9), ("W1", "201", 10), ("W2", "160", 8)):
        heavyspot("drilled", path, part, angle, "12", depth, "--sure")
    before = path.read_text()
    gone = heavyspot("drilled", path, "w1", "--undo")
    assert gone.code == 0
    assert "Taken back: the latest hole of W1, of " in gone.out
    assert "- W1 at 201 deg, 12 mm, 10 mm deep\n" in gone.out
    assert "Holes of W1 that still count: 1." in gone.out
    assert path.read_text().startswith(before)
    assert [(hole.part, hole.depth) for hole in read_job(path).standing_holes()] == [
        ("W1", 9),
        ("W2", 8),
    ]
    assert "latest hole of W2" in heavyspot("drilled", path, "--undo").out
    assert "latest hole of W1" in heavyspot("drilled", path, "--undo").out
    for words, message in (
        ((), "no hole is recorded: none to take back"),
        (("W2",), "no hole of W2 is recorded"),
        (("W1", "201"), "--undo takes back the latest hole: name its part or nothing"),
    ):
        refused = heavyspot("drilled", path, *words, "--undo")
        assert refused.code == 2
        assert message in refused.err


def test_a_hole_that_a_spin_counted_is_taken_back_with_a_warning(
    heavyspot: Callable, example: Callable
) -> None:
    path = example("v-twin")
    both = ("--reading", "timing side=1@2", "--reading", "drive side=1@2", "--bobweight", 1948)
    for angle in ("201", "230"):
        heavyspot("drilled", path, "W1", angle, "12", "9", "--sure")
    heavyspot("spin", path, *both, "--drilled", 1)
    assert "A spin counted it" not in heavyspot("drilled", path, "--undo").out
    said = heavyspot("drilled", path, "--undo").out.replace("\n", " ")
    assert "A spin counted it as drilled; for every spin it now was never there." in said
    assert "holes in the metal: 0 of 0 recorded" in heavyspot("spin", path, *both).out
    many = heavyspot("spin", path, *both, "--drilled", 1)
    assert many.code == 2
    assert "1 holes in the metal, but none recorded: record each first" in many.err


def test_an_angle_is_kept_from_0_to_360_and_a_mistyped_option_is_none(
    heavyspot: Callable, example: Callable
) -> None:
    path = example("v-twin")
    said = heavyspot("drilled", path, "W2", "-200 deg", "12 mm", 8)
    assert said.code == 0
    assert "-200 deg is 160 deg." in said.out
    assert 'angle = "160 deg"' in path.read_text()
    before = path.read_bytes()
    for word, meant in (("--sur", "--sure"), ("--und", "--undo"), ("-u", "--undo")):
        wrong = heavyspot("drilled", path, "W1", "201", "12", word)
        assert wrong.code == 2
        assert f"no option {word!r}" in wrong.err
        assert meant in wrong.err
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("words", "message"),
    [
        # the plan of the example: W1 201 deg, 1/2 in, 9 mm; W2 160 deg, 12 mm, 8 mm
        (["W1", "159", "1/2 in", 9], "that is the angle of hole 1 counted the other way; nearest"),
        (["W2", "340", "12 mm", 8], "that is half a turn off hole 2; nearest is hole 2, W2 at 160"),
        (["W1", "160", "12 mm", 8], "hole 2 is at that angle, but in W2; nearest is hole 1, W1"),
        (["W1", "206", "1/2 in", 9], "no hole of the plan; nearest is hole 1, W1 at 201 deg, 1/2"),
        (["W1", "201", "1/2 in", 11], "11 mm deep is no hole of the plan; nearest is hole 1"),
        (["W1", "201", "12 mm", 9], "W1 at 201 deg, 12 mm drill, 9 mm deep is no hole of the plan"),
    ],
)
def test_a_hole_that_is_not_of_the_plan_is_refused(
    heavyspot: Callable, example: Callable, words: list[object], message: str
) -> None:
    path = example("v-twin")
    before = path.read_bytes()
    said = heavyspot("drilled", path, *words)
    assert said.code == 2
    assert message in said.err
    assert "if it was really drilled so, --sure writes it all the same" in said.err
    assert said.err.count("\n") == 1
    assert path.read_bytes() == before
    kept = heavyspot("drilled", path, *words, "--sure")
    assert kept.code == 0
    assert "without a look at the plan" in kept.out


def test_the_holes_of_a_plan_are_known_one_after_the_other(
    heavyspot: Callable, example: Callable
) -> None:
    path = example("v-twin")
    first = " ".join(heavyspot("drilled", path, "W1", "202", "1/2 in", "9.5").out.split())
    assert ": hole 1 of the plan, 1 deg off its 201 deg, 0.5 mm deeper than planned: 0." in first
    assert "Next: drill and record hole 2 of the plan" in first
    second = " ".join(heavyspot("drilled", path, "W2", "160", "12 mm", "8").out.split())
    assert ": hole 2 of the plan, as planned." in second
    assert "Next: spin again and enter it" in second


def test_a_hole_of_another_way_is_known_too(heavyspot: Callable, example: Callable) -> None:
    path = example("flat-four")
    ways = json.loads(heavyspot("correct", path, "--others", "--json").out)
    way = ways["others"][0]
    hole = way["plan"]["holes"][0]
    mark = ways["plan"]["crank"]["marks"][hole["counterweight"]]
    words = (mark, hole["degrees"], hole["diameter_mm"], hole["depth_mm"])
    said = heavyspot("drilled", path, *words).out.replace("\n", " ")
    assert f"Hole 1 of another way ({way['kind']}), as planned." in said


def test_a_plan_that_cannot_be_had_hinders_no_record(
    heavyspot: Callable, example: Callable
) -> None:
    path = example("v-twin")
    text = path.read_text()
    path.write_text(text[: text.index("[[spins]]")])
    said = heavyspot("drilled", path, "W1", "180", "12 mm", "10 mm")
    assert said.code == 0
    assert "Not compared with a plan: spin needs a [[spins]] entry" in said.out
    path.write_text(text.replace('max_depth = "26 mm"', 'max_depth = "4 mm"'))
    said = heavyspot("drilled", path, "W1", "180", "12 mm", "4 mm")
    assert said.code == 0
    assert "Not compared with a plan: there is none for the crank." in said.out


def test_what_is_asked_of_a_hole_is_asked_again(
    heavyspot: Callable, example: Callable, types: Callable
) -> None:
    path = example("v-twin")
    types("W7", "w2", "?", "900", "190", "12 kg", "12", "10", "y")
    said = heavyspot("drilled", path)
    assert said.code == 0
    assert "? W2 at 190 deg, 12 mm drill, 10 mm deep is no hole of the plan" in said.out
    assert "part (W1, W2) > " in said.out
    assert "'W7' is neither a counterweight nor a bolted part: W1, W2" in said.out
    assert "as the plan counts it: 171 deg; q stops" in said.out
    assert "'900' is not an angle" in said.out
    (hole,) = read_job(path).standing_holes()
    assert (hole.part, hole.angle, hole.diameter, hole.depth) == ("W2", 190, 12, 10)
