"""Slips at the machine that leave a trace: named, refused when there is no doubt left.

The invented twin of the examples is spun again here by arithmetic on its own readings.
"""

import re
from collections.abc import Callable

import pytest
from cli.examples import make_examples

from balance.errors import JobFileError
from balance.job.load import read_text
from balance.sheet.results import Results
from balance.spin.machine_page import readings_of
from balance.spin.slips import same_crank

TWIN = make_examples.v_twin()[0]
READING = re.compile(
    r'\{ plane = "(?P<plane>[^"]+)", amount = "(?P<amount>[\d.]+) (?P<unit>[^"]+)", '
    r'angle = "(?P<angle>[\d.]+) deg" \}'
)


def slipped(change: Callable[[list[dict[str, str]]], None], *, proofs: bool) -> str:
    """Return the job with the readings of its proofs, or of its spins, changed in one way."""
    start, end = TWIN.index("[[proofs]]"), TWIN.index("[drills]")
    part = TWIN[start:end] if proofs else TWIN[end:]
    found = [match.groupdict() for match in READING.finditer(part)]
    for pair in range(0, len(found), 2):
        change(found[pair : pair + 2])
    written = iter(found)
    made = READING.sub(lambda _: _reading(next(written)), part)
    return TWIN[:start] + made + TWIN[end:] if proofs else TWIN[:end] + made


def _reading(shown: dict[str, str]) -> str:
    return (
        f'{{ plane = "{shown["plane"]}", amount = "{shown["amount"]} {shown["unit"]}", '
        f'angle = "{shown["angle"]} deg" }}'
    )


def swap(pair: list[dict[str, str]]) -> None:
    pair[0]["plane"], pair[1]["plane"] = pair[1]["plane"], pair[0]["plane"]


def mirror(pair: list[dict[str, str]]) -> None:
    for shown in pair:
        shown["angle"] = f"{-float(shown['angle']) % 360:.4g}"


def turn(pair: list[dict[str, str]]) -> None:
    for shown in pair:
        shown["angle"] = f"{(float(shown['angle']) + 180) % 360:.4g}"


def mistake_unit(pair: list[dict[str, str]]) -> None:
    for shown in pair:
        shown["unit"] = "g mm"


def other(pair: list[dict[str, str]]) -> None:
    for shown in pair:
        shown["amount"] = f"{1.6 * float(shown['amount']):.4g}"


def test_a_job_in_order_raises_no_doubt() -> None:
    assert Results(read_text(TWIN)).spun.doubts == ()
    assert slipped(lambda pair: None, proofs=False) == TWIN


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (swap, "the two planes were exchanged"),
        (mirror, "the angles were counted the other way"),
        (turn, "the angles are half a turn off"),
        (mistake_unit, "oz in were entered as g mm"),
    ],
)
def test_one_slip_in_the_spins_is_named_and_nothing_is_judged(
    change: Callable[[list[dict[str, str]]], None], said: str
) -> None:
    with pytest.raises(JobFileError, match=f"nothing stuck on.*in one of the two {said}"):
        _ = Results(read_text(slipped(change, proofs=False))).spun


def test_proofs_and_spins_that_differ_for_no_known_reason_stop_the_work() -> None:
    """Weighed in vain: one of the two is wrong, and nothing is offered to drill by either."""
    job = read_text(slipped(other, proofs=False))
    said = same_crank(job)
    assert "a bobweight was changed or moved in between, or a reading mistyped" in said
    assert "Weigh every bobweight as it hung and put it down" in said
    assert "heavyspot spin --undo" in said
    assert "[[proofs]]" in said
    results = Results(job)
    assert results.spun.contradiction == results.stop == said
    assert said not in results.spun.doubts
    assert not results.corrected.feasible
    assert not results.corrected.crank.plan.holes
    assert not Results(job, sure=True).stop


@pytest.mark.parametrize(("written", "stops"), [("1948 g", True), ("2098 g", False)])
def test_bobweights_that_are_put_down_as_they_hung_explain_the_difference(
    written: str, stops: bool
) -> None:
    """150 g too heavy at 49 mm on the pin in the middle: half of 7350 g mm in each plane."""
    job = read_text(TWIN)
    assert job.machine is not None
    spun = Results(job).spun
    shown = readings_of(job.machine, spun.machine, spun.stacks[0].shown + 150 * 49 / 2)
    start = TWIN.index("[[spins]]")
    readings = ", ".join(
        f'{{ plane = "{plane.name}", amount = {one.amount}, angle = {one.degrees} }}'
        for plane, one in zip(job.machine.planes, shown, strict=True)
    )
    spin = f'[[spins]]\nbobweights = "{written}"\nreadings = [{readings}]\n'
    results = Results(read_text(TWIN[:start] + spin))
    assert bool(results.spun.contradiction) is stops
    assert bool(results.stop) is stops


def test_without_proofs_there_is_nothing_to_compare() -> None:
    text = TWIN[: TWIN.index("[[proofs]]")] + TWIN[TWIN.index("[drills]") :]
    assert same_crank(read_text(text)) == ""


def test_bobweights_that_are_not_those_of_the_card_are_asked_about() -> None:
    assert TWIN.count('bobweights = "1948 g"') == 1
    typed = TWIN.replace('bobweights = "1948 g"', 'bobweights = "1998 g"')
    (doubt,) = Results(read_text(typed)).spun.doubts
    assert "1998 g hung where the card says 194" in doubt
    assert "is that what hung?" in doubt


@pytest.mark.parametrize(("limit", "grade"), [("115 oz in", "G "), ("0.16 g mm", "G 0.")])
def test_a_limit_that_no_crank_has_is_asked_about(limit: str, grade: str) -> None:
    text = re.sub(r"(?m)^grade = .*$", f'per_bearing = "{limit}"', TWIN)
    text = re.sub(r"(?m)^per_bearing = .*$", f'per_bearing = "{limit}"', text)
    if "service_speed" not in re.sub(r"(?m)^#.*$", "", text):
        text = text.replace("[targets]", '[targets]\nservice_speed = "5000 rpm"')
    doubts = Results(read_text(text)).spun.doubts
    assert any(f"the limit comes to {grade}" in doubt for doubt in doubts)
