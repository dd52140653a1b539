"""The check spin on the papers: to be made, agreeing, contradicting, and kept in the record.

The twin of the examples, its putty added by arithmetic on what its sheet says it must show.
"""

import re
from functools import cache

import pytest
from cli.examples import make_examples

from balance.job.load import read_text
from balance.sheet.blocks import Block, Heading, Notice, Table, Text
from balance.sheet.results import Results
from balance.sheet.sections_check_spin import check_spin_section
from balance.sheet.sections_drilling import drilling_page, rests_on
from balance.sheet.sections_kept import measured_section
from balance.sheet.standing import standing
from balance.sheet.worksheet import order_of_work, work_paper

TWIN = make_examples.v_twin()[0]
UNDECLARED = re.sub(r"(?m)^(counts|turns|zero|points_to) = .*\n", "", TWIN)


@cache
def of(text: str) -> Results:
    return Results(read_text(text))


def checked(*, off: float) -> Results:
    """The undeclared twin with its check spin, shown so many degrees beside where it must."""
    planned = of(UNDECLARED).check_spin.planned
    assert planned is not None
    (place,) = planned.places
    readings = ", ".join(
        f'{{ plane = "{row.plane}", amount = {row.must}, '
        f"angle = {(row.must_degrees + off) % 360} }}"
        for row in planned.rows
    )
    stuck = f'part = "{place.mark}", mass = {place.mass_g}, angle = {place.degrees}'
    return of(
        f"{UNDECLARED}\n[[spins]]\nstuck = [{{ {stuck} }}]\n"
        f'bobweights = "1948 g"\nreadings = [{readings}]\n'
    )


def words(blocks: tuple[Block, ...]) -> str:
    said = ""
    for block in blocks:
        match block:
            case Text(text=text):
                said += text
            case Notice(title=title, text=text):
                said += title + text
            case Table(rows=rows):
                said += " | ".join(cell or "____" for row in rows for cell in row)
    return said


def test_where_all_rests_on_the_proofs_the_page_has_boxes_to_write_in() -> None:
    assert any(said.startswith("Make the check spin") for said in order_of_work(of(UNDECLARED)))
    assert not any("check spin" in said for said in order_of_work(of(TWIN)))
    notice, table = check_spin_section(of(UNDECLARED))
    assert isinstance(notice, Notice)
    assert isinstance(table, Table)
    said = words((notice, table))
    assert said.startswith("BEFORE THE FIRST HOLE, A CHECK SPIN: Everything rests on where the")
    assert "Stick on 5 g on W1 at 126 deg: putty, its middle at the rim." in said
    assert "timing side | 1.52 oz in at 348° | 1.78 oz in at 12° | 0.31 oz in, 10° | ____" in said


def test_without_a_plan_the_page_asks_for_putty_before_slugs() -> None:
    turned = re.sub(
        r'(stuck = .*angle = "?)(\d+)', lambda m: f"{m[1]}{(int(m[2]) + 180) % 360}", UNDECLARED
    )
    narrow = turned.replace('half_span = "105 deg"', 'half_span = "60 deg"')
    said = words(drilling_page(of(narrow)))
    assert "BEFORE SLUGS ARE BOUGHT, A CHECK SPIN: No plan can be made, and that may be" in said
    assert said.index("BEFORE SLUGS ARE BOUGHT") < said.index("Ways out")


def test_a_proven_machine_has_one_small_sentence() -> None:
    (text,) = check_spin_section(of(TWIN))
    assert isinstance(text, Text)
    assert text.small
    assert text.text.startswith(
        "Before the first hole, check the machine with putty: stick 5 g on W1 at 234 deg, spin: "
    )


def test_what_agrees_is_one_sentence_and_what_the_plan_rests_on() -> None:
    results = checked(off=0.0)
    assert words(check_spin_section(results)) == (
        "The check spin agrees: the putty shows where it was stuck."
    )
    assert "borne out by this job's check spin with putty" in " ".join(rests_on(results))


def test_what_contradicts_stops_the_page_and_the_check_of_the_job() -> None:
    results = checked(off=120.0)
    (notice,) = check_spin_section(results)
    assert words((notice,)).startswith("STOP: The check spin does not show the putty")
    assert "Drill nothing." in words((notice,))
    assert "Drill nothing: clear up what the last spin says (5)" in " ".join(order_of_work(results))
    sheet = [block.text for block in work_paper(results).blocks if isinstance(block, Heading)]
    assert sheet[-1] == "5  Drilling"  # nothing of what should remain
    page = words(drilling_page(results))
    assert "STOP: " in page
    assert "W1, z\u00a030" not in page  # no hole to drill by
    assert "W1, z\u00a030" in words(drilling_page(of(UNDECLARED)))
    assert "NOT PROVEN" in " ".join(rests_on(results))
    assert any("does not show the putty" in said for said in standing(results.job).warnings)


def test_the_record_keeps_the_check_spin_with_the_proofs() -> None:
    said = words(measured_section(checked(off=0.0)))
    assert "check spin, holes so far 0: 5 g at its rim, 126° of the crank, counterweight W1" in said
    assert "30 g at radius 98 mm, 0° of the crank, plane timing side" in said


@pytest.mark.parametrize("cut", ["[drills]", "[[spins]]"])
def test_without_a_plan_there_is_nothing_to_check(cut: str) -> None:
    assert check_spin_section(of(TWIN[: TWIN.index(cut)])) == ()
