"""A bin read from lists: what is taken, what is left out and why."""

import numpy as np
import pytest

from balance.errors import InputError
from balance.job.bin_lists import read_bin
from balance.job.tables import TextTable


def table(text):
    rows = tuple(tuple(cell.strip() for cell in line.split(",")) for line in text.splitlines())
    return TextTable(rows, tuple(range(1, len(rows) + 1)), ",", None)


PISTONS = "mark, piston (g)\nP1, 420.3\nP2, 421.0"
PINS = "mark, pin\nN1, 110.2\nN2, 110.4"
RODS = "mark, small end, big end\nR1, 180.1, 400.2\nR2, 181.0, 400.9"


def read(*texts, unit="g", pistons=PISTONS, pins=PINS, rods=RODS):
    texts = texts or (pistons, pins, rods)
    return read_bin({f"{i}.csv": table(text) for i, text in enumerate(texts)}, unit=unit)


def left(found):
    return [(item.file, item.row, item.reason) for item in found.left_out]


def test_a_list_for_each_kind():
    found = read()
    assert (found.piston_marks, found.pin_marks) == (("P1", "P2"), ("N1", "N2"))
    np.testing.assert_array_equal(found.pistons_g, [420.3, 421.0])
    np.testing.assert_array_equal(found.pins_g, [110.2, 110.4])
    np.testing.assert_array_equal(found.small_ends_g, [180.1, 181.0])
    np.testing.assert_array_equal(found.big_ends_g, [400.2, 400.9])
    assert found.left_out == ()
    assert "0.csv: piston (g): piston weight in g" in found.columns


def test_one_list_with_a_column_of_kinds():
    found = read(
        "Stock of the shop\nkind, mark, weight [oz], small end, big end, shelf\n"
        "Piston, P1, 14.8, , , a\npins, N1, 3.9, , , b\nrod, R1, , 180 g, 400 g, c"
    )
    assert found.pistons_g == pytest.approx([14.8 * 28.349523125])
    assert found.pins_g == pytest.approx([3.9 * 28.349523125])
    assert (found.small_ends_g, found.big_ends_g) == ([180.0], [400.0])
    assert "0.csv: shelf: not used" in found.columns


def test_bare_numbers_take_the_jobs_unit():
    assert read(pistons="mark,piston\nP1,14.8", unit="oz").pistons_g == pytest.approx([419.573])


def test_a_column_of_units_is_read_row_by_row():
    found = read(
        pistons="mark,piston,unit\nP1,14.8,oz\nP2,421,\nP3,0.42,kg\nP4,421,stone\nP5,5 g,oz"
    )
    assert found.pistons_g == pytest.approx([14.8 * 28.349523125, 421.0, 420.0, 5.0])
    assert "0.csv: unit: the unit of each row" in found.columns
    ((file, row, reason),) = left(found)
    assert (file, row) == ("0.csv", 5)
    assert reason.startswith("'stone' is no unit of mass; known: g")


def test_a_row_may_have_another_unit_than_its_title():
    found = read(pistons="mark,piston (g),unit\nP1,14.8,oz\nP2,421,")
    assert found.pistons_g == pytest.approx([14.8 * 28.349523125, 421.0])


def test_big_ends_may_be_in_no_list():
    found = read(rods="mark,small end\nR1,180\nR2,181")
    assert found.big_ends_g is None
    assert found.rod_marks == ("R1", "R2")


def test_the_title_of_the_marks_may_say_what_they_are_of():
    found = read(pistons="Piston no.,weight\nP1,420.3\nP2,421.0")
    assert found.piston_marks == ("P1", "P2")
    assert read(pistons="Part no.,piston\nP1,420.3").piston_marks == ("P1",)


def test_rings_and_locks_are_not_of_a_bin():
    found = read(pistons="mark,piston,rings,pin locks\nP1,420.3,38.2,2.1")
    assert found.left_out == ()
    assert "0.csv: rings: not used" in found.columns
    assert found.pistons_g.tolist() == [420.3]


def test_pistons_alone_are_a_bin_of_pistons():
    found = read(PISTONS)
    assert found.only_pistons
    assert (found.piston_marks, found.pin_marks, found.rod_marks) == (("P1", "P2"), (), ())
    assert not read().only_pistons


def test_a_list_of_pins_that_gives_none_is_no_bin_of_pistons():
    with pytest.raises(InputError, match="hold no pin: a bin needs pistons, pins and rods, or"):
        read(PISTONS, "mark,pin\nN1,11O")
    with pytest.raises(InputError, match="the lists hold no pin: a bin needs"):
        read("kind,mark,weight\npiston,P1,420\nrod,R1,600\npin,N1,x")


def test_what_cannot_be_taken_is_named():
    found = read(
        pistons="mark,piston\nP1,420.3\n,421\nP3,42O\nP4,0\nP5,420.1\nP5,420.9\nP6,420,3",
        rods="mark,small end,big end\nR1,180,400\nR2,181,\nR3,,401",
    )
    assert found.piston_marks == ("P1",)
    assert found.rod_marks == ("R1",)
    reasons = left(found)
    assert reasons[0] == ("0.csv", 3, "has no mark")
    assert reasons[1][:2] == ("0.csv", 4)
    assert "'42O' is not a mass" in reasons[1][2]
    assert "'0' must be greater than 0" in reasons[2][2]
    assert reasons[3] == (
        "0.csv", 7, "piston P5 is listed before: neither is taken; mark them apart",
    )  # fmt: skip
    assert [(item.said, item.reason) for item in found.left_out[4:]] == [
        ("P6 420 3", "has more cells than the header has columns"),
        ("rod R2", "has no big end"), ("rod R3", "has no small end"),
    ]  # fmt: skip


def test_a_kind_that_is_none_is_named():
    found = read(PISTONS, PINS, RODS, "kind,mark,weight\nring,X1,20\nrod,R7,600")
    assert [reason for *_, reason in left(found)] == [
        "'ring' is no piston, pin, small or big end", "'rod' is no piston, pin, small or big end",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"pistons": "P1,420.3\nP2,421"}, "0.csv: has no header: the first row must name"),
        ({"pistons": "piston\n420.3"}, "0.csv: has no column of marks"),
        ({"pins": "mark,weight\nN1,110"}, "1.csv: whose weights are these"),
        ({"pins": "mark,pin\n"}, "the lists hold no pin: a bin needs"),
        ({"rods": "mark,small end,big end\nR1,180,\nR2,,400"}, "hold no rod with its ends"),
    ],
)
def test_a_list_that_is_no_bin_is_refused(change, words):
    with pytest.raises(InputError, match=words):
        read(**change)
