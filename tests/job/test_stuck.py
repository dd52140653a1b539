"""What is stuck on for a check spin: as people say it, and as the file keeps it."""

import re

import pytest

from balance.errors import InputError, JobFileError
from balance.job.export import job_tables
from balance.job.load import read_text
from balance.job.stuck import stuck_entry

PUTTY = "stuck = [{ %s }]\n"
READINGS = (
    'readings = [{ plane = "L", amount = 1, angle = 2 }, { plane = "R", amount = 1, angle = 2 }]\n'
)


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ("W1=10 g@190 deg", {"part": "W1", "mass": "10 g", "angle": "190 deg"}),
        ("w1 = 10@190", {"part": "W1", "mass": "10 g", "angle": "190 deg"}),
        (
            "W1=0.35 oz at 2 3/4 in@-30",
            {"part": "W1", "mass": "0.35 oz", "radius": "2 3/4 in", "angle": "-30 deg"},
        ),
        (
            "L=10 g at 70@0",
            {"plane": "L", "mass": "10 g", "radius": "70 mm", "angle": "0 deg"},
        ),
    ],
)
def test_a_lump_is_said_in_one_word(small: str, said: str, kept: dict[str, str]) -> None:
    assert stuck_entry(said, read_text(small)) == kept


@pytest.mark.parametrize(
    ("said", "message"),
    [
        ("10 g@190", "is no mass stuck on a counterweight or in a plane (W1, L, R): write for "
                     'example "W1=10 g@313 deg"'),
        ("W9=10 g@190", "'W9=10 g@190' is no mass stuck on"),
        ("W1=10 g", "'W1=10 g' is no mass stuck on"),
        ("W1=-3 g@190", "W1: '-3 g' must be greater than 0"),
        ("W1=ten@190", "W1: 'ten'"),
        ("W1=10 g@400", "W1: '400' is not an angle from -360 to 360"),
        ("W1=10 g at 0 mm@4", "W1: '0 mm' must be greater than 0"),
        ("L=10 g@4", 'L is a plane: how far out was it? Write for example "L=10 g at 76 mm@4"'),
    ],
)  # fmt: skip
def test_what_cannot_be_read_says_what_to_write(small: str, said: str, message: str) -> None:
    with pytest.raises(InputError, match=re.escape(message)):
        stuck_entry(said, read_text(small))


def test_without_counterweights_a_plane_is_the_example(small: str) -> None:
    bare = re.sub(r"\[\[crank.counterweights\]\](\n\w.*)+", "", small)
    with pytest.raises(InputError, match=re.escape('for example "L=10 g at 76 mm@313 deg"')):
        stuck_entry("x", read_text(bare))


@pytest.mark.parametrize(
    ("putty", "message"),
    [
        ("mass = 1, angle = 2", "stuck[1]: must say part (a counterweight) or plane"),
        ('part = "W1", plane = "L", mass = 1, angle = 2', "stuck[1]: must say part"),
        ('part = "W7", mass = 1, angle = 2', "'W7' is no counterweight; there are: W1"),
        ('plane = "M", radius = 1, mass = 1, angle = 2', "'M' is no plane of the machine: L, R"),
        ('plane = "L", mass = 1, angle = 2', "how far out was it? Write radius beside plane 'L'"),
    ],
)
def test_a_check_spin_must_say_where(small: str, putty: str, message: str) -> None:
    with pytest.raises(JobFileError, match=re.escape(message)):
        read_text(f"{small}[[spins]]\n{PUTTY % putty}{READINGS}")


def test_what_takes_a_spin_back_has_nothing_stuck_on(small: str) -> None:
    putty = PUTTY % 'part = "W1", mass = 1, angle = 2'
    with pytest.raises(JobFileError, match="takes a spin back, so it has no readings"):
        read_text(f"{small}[[spins]]\nundo = true\n{putty}")


def test_check_spins_are_kept_apart_and_taken_back_like_others(small: str) -> None:
    putty = PUTTY % 'part = "W1", mass = 5, angle = 2'
    text = f"{small}[[spins]]\n{putty}{READINGS}"
    job = read_text(text)
    assert [len(job.kept_spins), len(job.standing_spins), len(job.check_spins)] == [2, 1, 1]
    back = read_text(f"{text}[[spins]]\nundo = true\n")
    assert [len(back.kept_spins), len(back.standing_spins), len(back.check_spins)] == [1, 1, 0]
    rows = [row for row in job_tables(job)["spins"] if row["stuck"]]
    assert [row["stuck"] for row in rows] == ["W1=5 g@2 deg"] * 2


@pytest.mark.parametrize(("nose", "left_z"), [("left", 20), ("right", 180)])
def test_planes_called_left_and_right_lie_as_the_nose_says(
    small: str, nose: str, left_z: int
) -> None:
    named = small.replace('"L"', '"left"').replace('"R"', '"Right"')
    named = named.replace('unit = "g mm"\n', f'unit = "g mm"\nnose = "{nose}"\n')
    swapped = named.replace("z = 20 }", "z = 21 }").replace("z = 180 }", "z = 20 }")
    swapped = swapped.replace("z = 21 }", "z = 180 }")
    good, wrong = (named, swapped) if left_z == 20 else (swapped, named)
    read_text(good)
    with pytest.raises(JobFileError, match=r"the nose is said to lie on the .* nearest to it"):
        read_text(wrong)
