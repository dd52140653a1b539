# ruff: noqa: E501 - one broken file a line
"""Reading a job file: what is right is read, what is wrong is named with file, line and key."""

import re
from pathlib import Path

import pytest

from balance.errors import JobFileError
from balance.job.load import read_job, read_text


def test_quantities_are_read_into_inside_units(small: str) -> None:
    job = read_text(small.replace('length = "mm"', 'mass = "oz"'))
    assert job.crank is not None
    assert job.crank.bearings == (0.0, 200.0)
    assert job.crank.mass == 10_000.0
    assert job.parts.pistons[0].weight == (420.3, 420.4)
    assert job.parts.pistons[1].weight == (421 * 28.349523125,)  # the job's unit
    assert job.targets.grade == 6.3


BROKEN = [
    ("mark = \"P1\"\nweight", "mark = \"P1\"\nweigth", "job.toml:14: parts.pistons[1].weigth: is not a key of this table (did you mean weight?)"),
    ('"420.4 g"', '"42O.4 g"', "job.toml:14: parts.pistons[1].weight[2]: '42O.4 g' is not a mass (did you mean 420.4 g?)"),
    ('stroke = "80 mm"\n', "", "job.toml:6: engine.stroke: is missing"),
    ('name = "small"', "name = small", "job.toml:3: is not valid TOML"),
    ("format = 1", "format = 7", "job.toml:1: format: this file has format 7, this heavyspot reads format 1"),
    ("format = 1\n", "", "job.toml:1: format: the file must say which format it has: write format = 1"),
    ("angle = 10 }", "angle = 400 }", "job.toml:42: spins[1].readings[1].angle: 400 is not an angle from -360 to 360 degrees"),
    ("amount = 100,", 'amount = "12 g",', "job.toml:42: spins[1].readings[1].amount: '12 g' is a mass, not an unbalance: at which radius"),
    ('mark = "P2"', 'mark = "P1"', "job.toml:16: parts.pistons[2].mark: 'P1' is used twice"),
    ('"10 kg"', '"-10 kg"', "job.toml:19: crank.mass: '-10 kg' must be greater than 0"),
    ('bearings = [0, "200 mm"]', 'bearings = ["200 mm"]', "job.toml:20: crank.bearings"),
    ('bearings = [0, "200 mm"]', 'bearings = ["200 mm", 0]', "job.toml:20: crank.bearings: must go from the nose to the flywheel"),
    ('layout = "inline-2"\n', "", 'job.toml:6: engine: say layout = "inline-4"'),
    ('{ plane = "L", amount', '{ plane = "X", amount', "job.toml:41: spins[1].readings: must have one reading for each plane of the machine: L, R"),
    ('on = ["crank"]', 'on = ["crank", "flywheel"]', "job.toml:40: spins[1].on: 'flywheel' is no part under [[bolted]]; there are: none"),
    ('on = ["crank"]', 'on = ["damper"]', "job.toml:40: spins[1].on: must begin with \"crank\""),
    ('counts = "clockwise"', 'counts = "cw"', "job.toml:32: machine.counts: must be 'counter-clockwise', 'clockwise', 'with' or 'against', found 'cw'"),
    ('unit = "g mm"', 'unit = "g"', "job.toml:30: machine.planes[1]: shows g, a mass: at which radius is plane 'L' set?"),
    ('rod_length = "130 mm"', 'rod_length = "40 mm"', "job.toml:9: engine.rod_length: 40 mm is not longer than half the stroke"),
    ("max_depth = 25", "max_depth = 70", "job.toml:28: crank.counterweights[1].max_depth: 70 mm reaches the axis"),
    ("half_span = 60", "half_span = 190", "job.toml:25: crank.counterweights[1].half_span: 190 degrees is not"),
    ('mass = "10 kg"', 'mass = "10 kg"\nmaterial = "ductile iron"', "job.toml:20: crank.material: 'ductile iron' is no steel: write its density too"),
    ('on = ["crank"]', 'on = ["crank", "crank"]', "job.toml:40: spins[1].on: names a part twice"),
    ('mass = "10 kg"', 'mass = "24 g"', "job.toml:19: crank.mass: 24 g is no crank's mass: which unit is meant?"),
    ('{ name = "R", z = 180 }', '{ name = "R", z = 4700 }', "job.toml:30: machine.planes[2].z: 4700 mm is far outside the bearings (0 to 200 mm)"),
    ('radius = "70 mm"', 'radius = "80 in"', "job.toml:26: crank.counterweights[1].radius: 2032 mm is no counterweight's radius"),
    ('on = ["crank"]\nreadings', 'on = ["crank"]\nundo = true\nreadings', "job.toml:39: spins[1]: takes a spin back, so it has no readings of its own"),
    ('[[spins]]', '[[spins]]\nundo = true\n[[spins]]', "job.toml:39: spins[1]: takes back a spin of crank that is not there"),
    ('grade = "G 6.3"', 'grade = "fine"', "job.toml:37: targets.grade: 'fine' is not a balance quality grade: write \"G 6.3\""),
    ('grade = "G 6.3"', 'grade = "G 6.3"\nper_bearing = 50', "job.toml:37: targets.grade: is given and per_bearing too"),
    ('length = "mm"', 'length = "furlong"', "job.toml:5: units.length: 'furlong' is no unit of length"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "message"), BROKEN, ids=[b[2][9:45] for b in BROKEN])
def test_broken_files_are_named_by_file_line_and_key(
    small: str, old: str, new: str, message: str
) -> None:
    assert old in small
    with pytest.raises(JobFileError, match=re.escape(message)) as wrong:
        read_text(small.replace(old, new, 1))
    assert "\n" not in str(wrong.value)


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ('part = "P9"\nvalue = 1', "weighings[1].part: 'P9' is no part of this job; its marks are"),
        ('part = "P1"\nwhat = "total"\nvalue = 1', "'total' does not fit 'P1': write weight"),
        ('part = "P1"', "needs a value, or undo = true"),
        ('part = "P1"\nundo = true', "weighings[1]: P1: nothing left to take back"),
    ],
)
def test_appended_weighings_must_fit(small: str, entry: str, message: str) -> None:
    with pytest.raises(JobFileError, match=re.escape(message)):
        read_text(f"{small}[[weighings]]\n{entry}\n")


def test_a_drilled_hole_must_be_in_a_known_part(small: str) -> None:
    hole = '[[drilled]]\npart = "W7"\nangle = 0\ndiameter = 8\ndepth = 10\n'
    with pytest.raises(JobFileError, match="'W7' is neither a counterweight nor a bolted part: W1"):
        read_text(small + hole)


HOLE = '[[drilled]]\npart = "W1"\nangle = "{}"\ndiameter = 8\ndepth = 10\n'
UNDO = '[[drilled]]\npart = "W1"\nundo = true\n'


@pytest.mark.parametrize(
    ("entries", "message"),
    [
        (HOLE.replace("depth = 10\n", ""), "drilled[1]: needs depth, or undo = true"),
        ('[[drilled]]\npart = "W1"\n', "needs angle and diameter and depth, or undo = true"),
        (HOLE + UNDO + "depth = 10\n", "takes back a hole of W1, so it has no hole of its own"),
        (HOLE + UNDO + UNDO, "drilled[3]: takes back a hole of W1 that is not there"),
    ],
)
def test_a_hole_that_is_taken_back_was_there(small: str, entries: str, message: str) -> None:
    with pytest.raises(JobFileError, match=re.escape(message)):
        read_text(small + entries.replace("{}", "10 deg"))


def test_holes_that_stand_are_those_that_were_not_taken_back(small: str) -> None:
    entries = "".join(HOLE.format(angle) for angle in ("10 deg", "20 deg", "30 deg"))
    job = read_text(small + entries + UNDO + UNDO + HOLE.format("-2 deg"))
    assert [hole.angle for hole in job.standing_holes()] == [10, 358]
    # by hand: entry 1 stands, 2 and 3 were taken back by 4 and 5, 6 stands
    assert [len(job.standing_holes(last=count)) for count in range(7)] == [0, 1, 1, 1, 1, 1, 2]
    assert [hole.angle for hole in job.standing_holes(3)] == [358]
    assert [job.entries_with(count) for count in range(3)] == [0, 5, 6]


def test_a_spin_cannot_know_of_holes_that_are_not_there(small: str) -> None:
    text = small.replace('on = ["crank"]', 'on = ["crank"]\ndrilled = 2')
    with pytest.raises(JobFileError, match=r"2 holes, but there are 0 \[\[drilled\]\] entries"):
        read_text(text)


def test_a_spin_needs_a_machine(small: str) -> None:
    start, end = small.index("[machine]"), small.index("[targets]")
    with pytest.raises(JobFileError, match=r"there is a spin but no \[machine\]"):
        read_text(small[:start] + small[end:])


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(JobFileError, match=r"gone.toml: cannot be read: .*heavyspot new makes one"):
        read_job(tmp_path / "gone.toml")
    with pytest.raises(JobFileError, match="cannot be read: Is a directory"):
        read_job(tmp_path)
    latin = tmp_path / "latin.toml"
    latin.write_bytes(b'format = 1\n[job]\nname = "caf\xe9"\n')
    with pytest.raises(JobFileError, match=r"latin.toml:3: is not UTF-8 text"):
        read_job(latin)
    huge = tmp_path / "huge.toml"
    with huge.open("wb") as file:
        file.truncate(30_000_000)
    with pytest.raises(JobFileError, match="larger than 20 MB"):
        read_job(huge)


def test_a_byte_order_mark_does_no_harm(tmp_path: Path, small: str) -> None:
    path = tmp_path / "bom.toml"
    path.write_bytes(b"\xef\xbb\xbf" + small.encode())
    assert read_job(path).job.name == "small"


def test_deep_nesting_is_no_job() -> None:
    with pytest.raises(JobFileError, match=r"nested too deeply|is not valid TOML"):
        read_text("format = 1\na = " + "[" * 5000 + "]" * 5000)
