"""Quantities as people write them."""

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.errors import InputError
from balance.units import KINDS, read, show, unit_names


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("420.3 g", "mass", 420.3),
        ("420,3 g", "mass", 420.3),
        ("0,125 kg", "mass", 125.0),
        ("14 oz", "mass", 14 * 28.349523125),
        ("1 lb 2 oz", "mass", 18 * 28.349523125),
        (" .5 kg ", "mass", 500.0),
        ("1 1/4 in", "length", 31.75),
        ("1-1/4 in", "length", 31.75),
        ('3/4"', "length", 19.05),
        ("1.5 in.", "length", 38.1),
        ("2 thou", "length", 0.0508),
        ("-12.5 mm", "length", -12.5),
        ("35 g cm", "unbalance", 350.0),
        ("35 cmg", "unbalance", 350.0),
        ("35 gcm", "unbalance", 350.0),
        ("912 g·mm", "unbalance", 912.0),
        ("912 G-MM", "unbalance", 912.0),
        ("912 g/mm", "unbalance", 912.0),  # a common slip in print for the product
        ("12 g at 76 mm", "unbalance", 912.0),
        ("12 g @ 76 mm radius", "unbalance", 912.0),
        ("12 g at a diameter of 152 mm", "unbalance", 912.0),
        ("12 g x 7.6 cm", "unbalance", 912.0),
        ("1 mg m", "unbalance", 1.0),
        ("45°", "angle", 45.0),
        ("7000", "speed", 7000.0),
        ("7000 r/min", "speed", 7000.0),
        ("7850 kg/m3", "density", 7.85),
    ],
)
def test_what_people_write(text: str, kind: str, value: float) -> None:
    assert read(text, kind) == pytest.approx(value, rel=1e-12)


def test_a_bare_number_takes_the_stated_unit_else_the_inside_unit() -> None:
    assert read(2, "length") == 2.0
    assert read("2", "length", unit="in") == 50.8
    assert read(2.5, "mass", unit="oz") == 2.5 * 28.349523125


@pytest.mark.parametrize(
    ("text", "kind", "match"),
    [
        ("42O.3 g", "mass", "'42O.3 g' is not a mass (did you mean 420.3 g?)"),
        ("l2 mm", "length", "(did you mean 12 mm?)"),
        ("1,234 g", "mass", "can be read two ways: write 1234 or 1.234"),
        ("12 g", "unbalance", "is a mass, not an unbalance: at which radius"),
        ("28 oz", "unbalance", 'Or did you mean 28 oz-in, as in a "28 oz" flywheel?'),
        ("12 g at 76", "unbalance", "gives a radius without its unit: write 12 g at 76 mm"),
        ("12 g at -76 mm", "unbalance", "has a radius that is not greater than zero"),
        ("420.3 gr", "mass", "may be gram or grain (0.065 g): write g for gram"),
        ("116 Hz", "speed", "1 Hz is 60 rpm"),
        ("12 rad/s", "speed", "write rpm"),
        ("5 in", "mass", "'5 in' is not a mass: write 420.3 g or 14.824 oz"),
        ("5 furlongs", "length", "no unit of length; known: mm, cm, m, in, thou"),
        ("heavy", "mass", "'heavy' is not a mass: write 420.3 g"),
        ("", "angle", "'' is not an angle: write 135 deg"),
        (" ? ", "length", "is still to be filled in: write 76 mm"),
        ("1/0 in", "length", "divides by zero"),
        ("nan", "mass", "'nan' is not a mass"),
        (float("nan"), "mass", "nan is not a mass"),
        ("1e999 g", "mass", "inf is not a mass"),
        (True, "mass", "True is not a mass"),
        ([1], "mass", r"[1] is not a mass"),
    ],
)
def test_what_cannot_be_read_says_why(text: object, kind: str, match: str) -> None:
    with pytest.raises(InputError, match=re.escape(match)):
        read(text, kind)  # type: ignore[arg-type]


def test_an_unknown_kind_or_unit_is_refused() -> None:
    with pytest.raises(InputError, match="kind must be one of mass, length"):
        read("1 g", "weight")
    with pytest.raises(InputError, match="kind must be one of mass, length"):
        unit_names("weight")
    with pytest.raises(InputError, match="no unit of mass"):
        show(1.0, "mass", "stone")


def test_shown_with_the_unit_and_without_minus_zero() -> None:
    assert show(252.027, "unbalance", "oz-in") == "0.350 oz in"
    assert show(-0.001, "mass", "g") == "0.00 g"
    assert show(31.75, "length", "in", decimals=2) == "1.25 in"


UNITS = st.sampled_from([(kind, unit) for kind in KINDS for unit in unit_names(kind)])


@pytest.mark.parametrize(("kind", "unit"), [(k, u) for k in KINDS for u in unit_names(k)])
def test_every_unit_is_shown_with_digits_that_the_trade_can_use(kind: str, unit: str) -> None:
    # a hundred thousandth of a kilogram-metre is 10 g mm: none needs more, none shows tens
    digits = show(12.0, kind, unit).removesuffix(f" {unit}").partition(".")[2]
    assert len(digits) <= 6
    size = read(1.0, kind, unit=unit)
    assert read(show(1000 * size, kind, unit), kind) == pytest.approx(1000 * size, rel=1e-12)


@given(UNITS, st.floats(-1e6, 1e6))
def test_what_is_shown_reads_back(pair: tuple[str, str], value: float) -> None:
    kind, unit = pair
    size = read(1.0, kind, unit=unit)
    text = show(value, kind, unit, decimals=9)
    # Nine decimals of the shown unit were kept: half of the last one, plus double rounding.
    assert read(text, kind) == pytest.approx(value, abs=0.6e-9 * size, rel=1e-13)


@given(st.text(max_size=30), st.sampled_from(KINDS))
def test_any_text_is_read_or_refused_never_a_crash(text: str, kind: str) -> None:
    try:
        value = read(text, kind)
    except InputError:
        return
    assert math.isfinite(value)
