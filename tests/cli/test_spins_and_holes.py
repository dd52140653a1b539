"""Spins and holes entered at the bench: each on disk before the next question."""

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
    types("y", "n", "", "", "1", "x", "400", "10", "-5", "2", "20", "", "?", "y")
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
    whole = ("", "", "1.2", "10", "1.3", "20")
    for answers in ((*whole[:3], "q"), whole, (*whole, "n"), (*whole, "q"), ("", "q"), ("q",)):
        types(*answers)
        said = heavyspot("spin", path, "--add")
        assert said.code == 1
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
        heavyspot("drilled", path, "W1", "180", "12", depth)
    types("", *answers, "1.2", "10", "1.3", "20", "y")
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
    types("", "none", "1948; 1949", "1948", "", "1.2", "10", "1.3", "20", "y")
    said = heavyspot("spin", path, "--add")
    assert said.code == 0
    assert "bobweights as made up, with ; between them > " in said.out
    assert said.out.count("this engine needs bobweights (") == 3
    assert read_job(path).spins[-1].bobweights == (1948,)
    bare = heavyspot("spin", path, "--reading", "timing side=1@2", "--reading", "drive side=1@2")
    assert bare.code == 2
    assert "this engine needs bobweights (" in bare.err
    assert "got none: write the mass of one as made up" in bare.err


def test_a_spin_needs_to_know_the_machine(heavyspot: Callable, bare: Path) -> None:
    said = heavyspot("spin", bare, "--add")
    assert said.code == 2
    assert "a [machine] table that says how it counts its angles" in said.err


def test_holes_are_recorded_and_counted_by_the_next_spin(
    heavyspot: Callable, example: Callable, types: Callable
) -> None:
    path = example("v-twin")
    assert heavyspot("drilled", path, "W1", "171", "1/2 in", "18.5").code == 0
    types("W2", "190 deg", "12 mm", "10 mm")
    assert heavyspot("drilled", path).code == 0
    both = ("--reading", "timing side=1@2", "--reading", "drive side=1@2")
    heavyspot("spin", path, "--bobweight", 1948, *both)
    job = read_job(path)
    assert [(hole.part, hole.diameter, hole.depth) for hole in job.drilled] == [
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
    heavyspot: Callable, example: Callable, types: Callable
) -> None:
    path = example("v-twin")
    hole = ("drilled", path, "w1", "180", "12")
    assert heavyspot(*hole, "10").code == 0
    before = path.read_bytes()
    for again in ("10", "8"):
        said = heavyspot(*hole, again)
        assert said.code == 2
        assert "W1 at 180 deg is already recorded with 10 mm; a deeper entry is a hole" in said.err
    assert heavyspot("drilled", path, "W1", "180.4", "12", "10").code == 2
    assert path.read_bytes() == before
    assert "(it was 10 mm deep)" in heavyspot(*hole, "12").out
    assert heavyspot("drilled", path, "W1", "181", "12", "12").code == 0
    assert heavyspot("drilled", path, "W2", "180", "12", "12").code == 0
    assert heavyspot(*hole, "12", "--sure").code == 0
    assert [hole.depth for hole in read_job(path).drilled] == [10, 12, 12, 12, 12]


def test_what_is_asked_of_a_hole_is_asked_again(
    heavyspot: Callable, example: Callable, types: Callable
) -> None:
    path = example("v-twin")
    types("W7", "w2", "?", "900", "190", "12 kg", "12", "10")
    said = heavyspot("drilled", path)
    assert said.code == 0
    assert "part (W1, W2) > " in said.out
    assert "'W7' is neither a counterweight nor a bolted part: W1, W2" in said.out
    assert "as the plan counts it: 171 deg; q stops" in said.out
    assert "'900' is not an angle" in said.out
    (hole,) = read_job(path).drilled
    assert (hole.part, hole.angle, hole.diameter, hole.depth) == ("W2", 190, 12, 10)
