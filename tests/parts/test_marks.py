from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.parts.marks import CAUTION, punch_list


@dataclass(frozen=True)
class Trio:
    piston: int
    pin: int
    rod: int


THREE = [Trio(2, 0, 1), Trio(0, 1, 2), Trio(1, 2, 0)]


def test_cylinders_take_their_sets():
    marks = punch_list(THREE, set_at_cylinder=[2, 0, 1])
    assert len(marks) == 12
    assert [m.stamp for m in marks[::4]] == ["1-S3", "2-S1", "3-S2"]
    first = {m.part: m.number for m in marks[:4]}
    assert first == {"piston": 2, "pin": 3, "rod": 1, "cap": 1}


def test_stamps_carry_the_names_that_the_engine_gives_its_cylinders():
    marks = punch_list(THREE, set_at_cylinder=[2, 0, 1], cylinder_names=["1", "5", "2"])
    assert [m.stamp for m in marks[::4]] == ["1-S3", "5-S1", "2-S2"]
    assert [m.cylinder for m in marks[::4]] == [1, 2, 3]


@pytest.mark.parametrize(
    ("names", "said"),
    [
        (["1", "5"], "must be one for each of the 3 cylinders, got \\('1', '5'\\)"),
        (["1", "5", "1"], "must differ and none be empty, got '1' among"),
        (["1", " ", "2"], "must differ and none be empty, got ' ' among"),
    ],
)
def test_names_that_would_put_a_wrong_number_on_metal_are_refused(names, said):
    with pytest.raises(InputError, match=f"cylinder_names {said}"):
        punch_list(THREE, cylinder_names=names)


def test_orientation_is_the_engines():
    marks = punch_list(THREE[:1], front="towards the timing case", rod_side="towards the camshaft")
    how = {m.part: m.orientation for m in marks}
    assert "towards the timing case" in how["piston"]
    assert "towards the camshaft" in how["rod"]
    assert "never turned or swapped" in how["cap"]


def test_pins_are_never_punched():
    assert "no punch" in next(m.where for m in punch_list(THREE) if m.part == "pin")
    assert "never on a beam" in CAUTION


@settings(max_examples=60, deadline=None)
@given(st.permutations(range(5)), st.permutations(range(5)), st.permutations(range(5)))
def test_each_part_is_marked_once(pistons, pins, rods):
    sets = [Trio(*numbers) for numbers in zip(pistons, pins, rods, strict=True)]
    marks = punch_list(sets)
    for part in ("piston", "pin", "rod", "cap"):
        assert sorted(m.number for m in marks if m.part == part) == [1, 2, 3, 4, 5]


def test_no_sets_no_marks():
    assert punch_list([]) == ()


@pytest.mark.parametrize("order", [[0, 1], [0, 1, 1], [1, 2, 3]])
def test_bad_cylinders_are_refused(order):
    with pytest.raises(InputError, match="set_at_cylinder must name each of the 3 sets once"):
        punch_list(THREE, set_at_cylinder=order)


def test_a_part_in_two_sets_is_refused():
    with pytest.raises(InputError, match="sets must hold each piston once, got piston 2 twice"):
        punch_list([Trio(2, 0, 1), Trio(2, 1, 0)])


@pytest.mark.parametrize("bad", [-1, 0.5, True])
def test_bad_indexes_are_refused(bad):
    with pytest.raises(InputError, match="rod of a set must be an index from 0"):
        punch_list([Trio(0, 0, bad)])
