"""Paper may change, the metal may not: other zeros, senses, plane orders and units, same holes."""

import re
from collections.abc import Callable

import pytest
from cli.examples import make_examples

from balance.job.load import read_text
from balance.sheet.results import Results

FLAT_FOUR = make_examples.flat_four()[0]
READING = re.compile(r'(amount = "[^"]+", angle = )"([\d.-]+) deg"')
QUANTITIES = {
    r'"([\d.]+) mm"': lambda x: f'"{x / 25.4!r} in"',
    r'"([\d.]+) g"': lambda x: f'"{x / 28.349523125!r} oz"',
    r'"([\d.]+) kg"': lambda x: f'"{x / 0.45359237!r} lb"',
    r'"([\d.]+) g mm"': lambda x: f'"{x / (28.349523125 * 25.4)!r} oz in"',
    r'"([\d.]+) g/cm3"': lambda x: f'"{x * 1000!r} kg/m3"',
}


def holes(text: str) -> list[tuple[str, float, float, float]]:
    """Every hole of the plan: part or counterweight, angle, diameter, depth."""
    corrected = Results(read_text(text)).corrected
    crank = [
        (corrected.crank.marks[h.counterweight], h.degrees % 360, h.diameter_mm, h.depth_mm)
        for h in corrected.crank.plan.holes
    ]
    discs = [
        (disc.name, h.degrees % 360, h.diameter_mm, h.depth_mm)
        for disc in corrected.discs
        for h in disc.plan.holes
    ]
    return crank + discs


def with_angles(text: str, change: Callable[[float], float]) -> str:
    return READING.sub(lambda m: f'{m[1]}"{change(float(m[2])) % 360:g} deg"', text)


def swapped(text: str, one: str, other: str) -> str:
    return text.replace(one, "\0").replace(other, one).replace("\0", other)


def other_zero(text: str) -> str:
    """The zero mark is moved 90 degrees on: every angle then reads 90 less."""
    return with_angles(text.replace('zero = "37 deg"', 'zero = "127 deg"'), lambda a: a - 90)


def other_sense(text: str) -> str:
    return with_angles(text.replace('"clockwise"  ', '"counter-clockwise"  '), lambda a: -a)


def other_view(text: str) -> str:
    changed = text.replace('seen_from = "nose"', 'seen_from = "flywheel"')
    return with_angles(changed, lambda a: -a)


def light_side(text: str) -> str:
    changed = text.replace('points_to = "heavy"', 'points_to = "light"')
    return with_angles(changed, lambda a: a + 180)


def planes_shown_the_other_way_round(text: str) -> str:
    left, right = '  { name = "left", z = "30 mm" },\n', '  { name = "right", z = "240 mm" },\n'
    assert left + right in text
    return text.replace(left + right, right + left)


def planes_renamed(text: str) -> str:
    """Call the planes two and one: of left and right the job knows which is nearer the nose."""
    for was, now in (("left", "two"), ("right", "one")):
        for key in ("name", "plane"):
            text = text.replace(f'{key} = "{was}"', f'{key} = "{now}"')
    return text


def other_units(text: str) -> str:
    for pattern, write in QUANTITIES.items():
        text = re.sub(pattern, lambda m, write=write: write(float(m[1])), text)
    return text


def bare_numbers_in_the_jobs_units(text: str) -> str:
    text = text.replace("[engine]", '[units]\nlength = "in"\n\n[engine]')
    return re.sub(r'"([\d.]+) mm"', lambda m: repr(float(m[1]) / 25.4), text)


CHANGES = [
    other_zero,
    other_sense,
    other_view,
    light_side,
    planes_shown_the_other_way_round,
    planes_renamed,
    other_units,
    bare_numbers_in_the_jobs_units,
]


@pytest.fixture(scope="module")
def as_shipped() -> list[tuple[str, float, float, float]]:
    found = holes(FLAT_FOUR)
    assert len(found) >= 4
    return found


@pytest.mark.parametrize("change", CHANGES, ids=lambda f: f.__name__)
def test_the_holes_stay_where_they_were(
    change: Callable[[str], str], as_shipped: list[tuple[str, float, float, float]]
) -> None:
    text = change(FLAT_FOUR)
    assert text != FLAT_FOUR
    for was, now in zip(as_shipped, holes(text), strict=True):
        assert now[0] == was[0]
        # Sizes went through decimal text in other units: double rounding, far below a micron.
        assert now[1:] == pytest.approx(was[1:], abs=1e-6)


def test_a_forgotten_change_does_move_them(
    as_shipped: list[tuple[str, float, float, float]],
) -> None:
    """The test above can fail: the zero moved without the readings moves the holes."""
    assert holes(FLAT_FOUR.replace('zero = "37 deg"', 'zero = "127 deg"')) != as_shipped
