"""What makes a reading unlikely while the part is still on the scale."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.job.lists import Taken
from balance.job.load import read_text
from balance.job.model import Job
from balance.job.readings import Wanted, find_wanted
from balance.parts.plausible import list_doubts, reading_doubts
from balance.parts.slips import slips

JOB = """\
format = 1
job = {name = "doubt"}
engine = {layout = "inline-3", stroke = 80, rod_length = 130, bore_spacing = 90}
parts.pistons = [{mark = "P1", weight = [420.3, 420.4]}, {mark = "P2"}, {mark = "P3"}]
parts.pins = [{mark = "N1"}, {mark = "N2"}, {mark = "N3"}]
[[parts.rods]]
mark = "R1"
total = 600.0
big_end = 430.0
[[parts.rods]]
mark = "R2"
[[parts.rods]]
mark = "R3"
big_end = 430.0
"""


@pytest.fixture
def job() -> Job:
    return read_text(JOB)


def doubts(job: Job, part: str, what: str | None, value: str) -> str:
    wanted = find_wanted(job, part, what)
    return "; ".join(reading_doubts(job, wanted, float(value), written=f"{value} g"))


@pytest.mark.parametrize(
    ("part", "what", "value", "said"),
    [
        ("P1", None, "420.6", ""),
        ("P1", None, "402.3", "18.05 g lighter than its other readings (did you mean 420.3 g?)"),
        ("P1", None, "42.03", "(did you mean 420.3 g?)"),
        ("P1", None, "421.9", "421.90 g is 1.55 g heavier than its other readings"),
        (
            "P1",
            None,
            "411",
            "(weighed after cutting? add --finished; a wrong earlier reading? --un",
        ),
        ("P2", None, "424.9", ""),
        ("P2", None, "426.0", "piston P2: 426.00 g is 5.65 g heavier than the other pistons"),
        ("N1", None, "110", ""),  # the first pin: no other to compare with, only the pistons
        ("N1", None, "420", "pin N1: 420.00 g, but a pin is far lighter than its piston (P1: 420"),
        ("R1", "small_end", "170.1", ""),
        (
            "R1",
            "small_end",
            "171",
            "rod R1: big end + small end come to 1.00 g more than the total;",
        ),
        ("R1", "small_end", "700", "small_end_g"),
        ("R2", "big_end", "431", ""),
        ("R1", "total", "1", "rod R1: its big end cannot weigh as much as the whole rod"),
        ("R2", "big_end", "437", "rod R2 big end: 437.00 g is 7.00 g heavier than the other rods"),
        ("R3", "total", "429", "rod R3: its big end cannot weigh as much as the whole rod"),
    ],
)
def test_doubts(job: Job, part: str, what: str | None, value: str, said: str) -> None:
    found = doubts(job, part, what, value)
    assert (said in found) if said else found == ""


@pytest.mark.parametrize(("masses", "odd"), [((38.2, 38.7, 38.3), ""), ((38.2, 42.0), "which is")])
def test_ring_sets_of_several_pistons_differ_as_out_of_one_box(job, masses, odd) -> None:
    ring = Wanted("rings", "rings", "weight", ())
    found = list_doubts(job, [Taken(ring, f"{g} g", g, row) for row, g in enumerate(masses, 2)])
    assert bool(found) is bool(odd)
    assert all(odd in said for said in found)


def test_the_first_piston_is_held_against_the_pins() -> None:
    pins_first = read_text(JOB.replace(", weight = [420.3, 420.4]", "").replace(
        '{mark = "N2"}', '{mark = "N2", weight = 110.3}'
    ))  # fmt: skip
    assert doubts(pins_first, "P1", None, "420.3") == ""
    assert doubts(pins_first, "P1", None, "110.2") == (
        "piston P1: 110.20 g, but a pin is far lighter than its piston (N2: 110.30 g): is it the "
        "right part?"
    )


def test_the_other_end_is_recognised_by_the_other_rods(job: Job) -> None:
    ends = '[[weighings]]\npart = "R3"\nwhat = "small_end"\nvalue = 170\n'
    both = read_text(JOB + ends)
    assert doubts(both, "R2", "small_end", "431").endswith(
        "heavier than the other rods (their big ends weigh that: is it that end?)"
    )
    found = doubts(both, "R2", "big_end", "169.2")
    assert found.endswith("(their small ends weigh that: is it that end?)")
    half = read_text(JOB + ends + '[[weighings]]\npart = "R2"\nwhat = "big_end"\nvalue = 169\n')
    assert doubts(half, "R2", "small_end", "431") == (
        "rod R2: big and small end look swapped (169.0 / 431.0 g, the other rods 430.0 / 170.0 g): "
        "are they?"
    )


@pytest.mark.parametrize(
    ("finished", "said"),
    [
        (False, "P1 has been weighed after the cut: is this one too? (add --finished)"),
        (True, " (a wrong earlier reading? --undo takes it back)"),
    ],
)
def test_far_lighter_than_before_may_be_cut_or_the_earlier_one_wrong(
    finished: bool, said: str
) -> None:
    of_cut = JOB + '[[weighings]]\npart = "P1"\nvalue = 420.3\nfinished = true\n'
    job = read_text(of_cut)
    wanted = find_wanted(job, "p1", None, finished=finished)
    found = reading_doubts(job, wanted, 411.0, written="411.0 g", finished=finished)
    assert said in "".join(found)


def test_a_list_is_compared_with_itself_whichever_row_comes_first(job: Job) -> None:
    def taken(*grams: float) -> list[Taken]:
        marks = ["N1", "N2", "N3"]
        return [
            Taken(find_wanted(job, mark, None), f"{mass:g}", mass, row)
            for row, (mark, mass) in enumerate(zip(marks, grams, strict=True), 2)
        ]

    assert list_doubts(job, taken(103.5, 105.1, 104.2)) == {}
    for order, row in (((3.66, 105.1, 104.2), 2), ((105.1, 104.2, 3.66), 4)):
        ((doubt, rows),) = list_doubts(job, taken(*order)).items()
        assert rows == (row,)
        assert doubt.endswith("lighter than the other pins (did you mean 3.66 oz?)")


def test_repeats_that_agree_are_still_compared_with_the_other_parts(job: Job) -> None:
    """Two readings of the wrong part agree with each other."""
    wanted = find_wanted(job, "P2", None)
    twice = [Taken(wanted, text, float(text), 0) for text in ("425.9", "426.0")]
    assert [*list_doubts(job, twice)] == [
        "piston P2: 425.90 g is 5.55 g heavier than the other pistons"
    ]
    assert list_doubts(job, [Taken(wanted, text, float(text), 0) for text in ("421", "421")]) == {}


def test_a_scale_that_repeats_badly_allows_more() -> None:
    rough = read_text(JOB + "[scale]\nresolution = 0.1\nrepeatability = 0.5\n")
    assert doubts(rough, "P1", None, "423.0") == ""
    assert doubts(rough, "P1", None, "424.0") != ""


@given(st.decimals(1, 5000, places=1), st.data())
@settings(max_examples=100)
def test_any_swap_of_two_digits_is_among_the_slips(value: object, data: st.DataObject) -> None:
    text = f"{value} g"
    places = [i for i in range(len(text) - 1) if text[i : i + 2].isdigit()]
    if places:
        at = data.draw(st.sampled_from(places))
        typed = text[:at] + text[at + 1] + text[at] + text[at + 2 :]
        assert text in (*slips(typed), typed)


def test_what_is_no_plain_number_has_no_slips() -> None:
    assert slips("1 1/4 oz") == ()
    assert not [slip for slip in slips("7 g") if not re.fullmatch(r"[\d.]+ g", slip)]
