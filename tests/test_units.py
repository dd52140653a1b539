"""Quantities as people write them."""

import math
import re
from collections.abc import Callable

import numpy as np
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
        # pounds and ounces: a sign holds for both
        ("-1 lb 4 oz", "mass", -20 * 28.349523125),
        ("−1 lb 4 oz", "mass", -20 * 28.349523125),
        ("1 LB 4 OZ", "mass", 20 * 28.349523125),
        ("1lb4oz", "mass", 20 * 28.349523125),
        ("1 lb. 4 oz.", "mass", 20 * 28.349523125),
        ("1 pound 4 1/2 ounces", "mass", 20.5 * 28.349523125),
        ("1 lb 4 oz at 3 in", "unbalance", 60 * 28.349523125 * 25.4),
        # what has one meaning only
        ("420.3 gms", "mass", 420.3),
        ("14½ oz", "mass", 14.5 * 28.349523125),
        ('¼"', "length", 6.35),
        ("1 ½ in", "length", 38.1),
        ("−45°", "angle", -45.0),
        ("-0.5\N{NO-BREAK SPACE}mm", "length", -0.5),
        ("7000 r.p.m.", "speed", 7000.0),
        ("7000 min⁻¹", "speed", 7000.0),
        ("7000 min^-1", "speed", 7000.0),
        ("0.284 lbs/in3", "density", 0.284 * 16 * 28.349523125 / 2.54**3),
        ("12 g at r 76 mm", "unbalance", 912.0),
        ("½ oz at 3½ in", "unbalance", 1.75 * 28.349523125 * 25.4),
        # a diameter that is said to be one
        ("12 g at 152 mm diam", "unbalance", 912.0),
        ("12 g at 152 mm dia.", "unbalance", 912.0),
        ("12 g at diam. 152 mm", "unbalance", 912.0),
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
        ("5 furlongs", "length", "'furlongs' is no unit of length; known: mm, cm, m, in, thou"),
        ("heavy", "mass", "'heavy' is not a mass: write 420.3 g"),
        ("", "angle", "'' is not an angle: write 135 deg"),
        (" ? ", "length", "is still to be filled in: write 76 mm"),
        ("1/0 in", "length", "divides by zero"),
        ("nan", "mass", "'nan' is not a mass"),
        (float("nan"), "mass", "nan is not a mass"),
        ("1e999 g", "mass", "'1e999 g' is not a mass"),
        (True, "mass", "True is not a mass"),
        ([1], "mass", r"[1] is not a mass"),
    ],
)
def test_what_cannot_be_read_says_why(text: object, kind: str, match: str) -> None:
    with pytest.raises(InputError, match=re.escape(match)):
        read(text, kind)  # type: ignore[arg-type]


TWO = "holds more than one number, or a blank within one"
MARKS = "has more than one decimal mark"
FRACTION = "is no fraction: write 13/16 or 1 1/4, or a decimal"


@pytest.mark.parametrize(
    ("text", "kind", "said"),
    [
        # letters for digits
        ("42O.3", "mass", "(did you mean 420.3?)"),
        ("4l0.3g", "mass", "(did you mean 410.3g?)"),
        ("O.5 oz", "mass", "(did you mean 0.5 oz?)"),
        ("O.5oz", "mass", "(did you mean 0.5oz?)"),
        ("4Z0 g", "mass", "(did you mean 420 g?)"),
        ("B20 g", "mass", "(did you mean 820 g?)"),
        ("1 l/4 in", "length", "(did you mean 1 1/4 in?)"),
        ("l 1/4 in", "length", "(did you mean 1 1/4 in?)"),
        ("13S", "angle", "(did you mean 135?)"),
        ("7OOO rpm", "speed", "(did you mean 7000 rpm?)"),
        ("49A.7", "mass", "'49A.7' is not a mass: 'A' stands inside the number"),
        # marks and blanks
        ("420,3,1 g", "mass", f"'420,3,1 g' is not a mass: 420,3,1 {MARKS}"),
        ("420.3.1", "mass", f"420.3.1 {MARKS}"),
        ("0.35,1 oz in", "unbalance", f"0.35,1 {MARKS}"),
        ("135.5.5", "angle", f"135.5.5 {MARKS}"),
        ("420..3 g", "mass", "(did you mean 420.3 g?)"),
        ("420. 3 g", "mass", "(did you mean 420.3 g?)"),
        ("420 , 3 g", "mass", "(did you mean 420,3 g?)"),
        ("420.g", "mass", "no digit follows the decimal mark of 420."),
        ("420,", "mass", "no digit follows the decimal mark of 420,"),
        ("4 20.3 g", "mass", TWO),
        ("420.3 420.4", "mass", TWO),
        ("420.3, 420.4", "mass", TWO),
        ("420 421 g", "mass", TWO),
        ("420.3 g ± 0.1", "mass", TWO),
        ("1 lb 2", "mass", TWO),
        ("2 ft 3 in", "length", TWO),
        ("135°30'", "angle", TWO),
        ("1 1/4 1/8 in", "length", TWO),
        ("0.35 oz in 2", "unbalance", TWO),
        # thousands
        ("1,234.5 g", "mass", "(did you mean 1234.5 g?)"),
        ("1.234,5 g", "mass", "(did you mean 1234,5 g?)"),
        ("1'234.5 g", "mass", "(did you mean 1234.5 g?)"),
        ("7 000 rpm", "speed", "(did you mean 7000 rpm?)"),
        ("7\N{NARROW NO-BREAK SPACE}000 rpm", "speed", "(did you mean 7000 rpm?)"),
        ("12,345.6 g", "mass", "(did you mean 12345.6 g?)"),
        ("7,000 rpm", "speed", "can be read two ways: write 7000 or 7.000"),
        ("7.000 rpm", "speed", "can be read two ways: write 7000 or 7"),
        ("14,824 oz", "mass", "can be read two ways: write 14824 or 14.824"),
        # fractions
        ("14 13 / 16 oz", "mass", "(did you mean 14 13/16 oz?)"),
        ("1 5/64th in", "length", "(did you mean 1 5/64 in?)"),
        ("1 1/4''", "length", '(did you mean 1 1/4"?)'),
        ("1.1/4 in", "length", f"1.1/4 {FRACTION}"),
        ("1//2 oz", "mass", f"1//2 {FRACTION}"),
        ("1\\2 oz", "mass", FRACTION),
        # signs of the typesetter
        ("–0.05 mm", "length", "(did you mean -0.05 mm?)"),
        ("420·3 g", "mass", "(did you mean 420.3 g?)"),
        ("420．3 g", "mass", "(did you mean 420.3 g?)"),
        ("420.3 [g]", "mass", "(did you mean 420.3 g?)"),
        ("=420.3", "mass", "(did you mean 420.3?)"),
        # units
        ("420.3gr", "mass", "may be gram or grain"),
        ("250 gr mm", "unbalance", "may be gram or grain"),
        ("15 ozs", "mass", "'15 ozs': 'ozs' is no unit of mass; known: g, kg"),
        ("420.3 –", "mass", "'–' is no unit of mass"),
        ("76 m m", "length", "'m m' is no unit of length"),
        ("7000 min-2", "speed", "'min-2' is no unit of speed"),
        ("7.85 g/mm3", "density", "'g/mm3' is no unit of density"),
        ("1 lb -2 oz", "mass", TWO),
        ("12 gr at 76 mm", "unbalance", "'12 gr' may be gram or grain"),
        # mass at a radius, each by itself
        ("12 at 76 mm", "unbalance", "gives a mass without its unit: write 12 g at 76 mm"),
        ("12,5,1 g at 76 mm", "unbalance", f"'12,5,1 g' is not a mass: 12,5,1 {MARKS}"),
        ("12 g at 7b mm", "unbalance", "'b mm' is no unit of length"),
        ("l2 g at 76 mm", "unbalance", "(did you mean 12 g at 76 mm?)"),
    ],
)
def test_the_broken_part_is_named(text: str, kind: str, said: str) -> None:
    with pytest.raises(InputError, match=re.escape(said)) as wrong:
        read(text, kind)
    assert "\n" not in str(wrong.value)


def test_times_between_mass_and_radius_may_be_written_in_any_way() -> None:
    for text in ("12 g * 76 mm", "12 g·76 mm", "12g×76mm"):
        assert read(text, "unbalance") == 912.0


def test_digits_of_full_width_are_digits() -> None:
    assert read("４２０.３ g", "mass") == 420.3


def test_an_unknown_kind_or_unit_is_refused() -> None:
    with pytest.raises(InputError, match="kind must be one of mass, length"):
        read("1 g", "weight")
    with pytest.raises(InputError, match="kind must be one of mass, length"):
        unit_names("weight")
    with pytest.raises(InputError, match="no unit of mass"):
        show(1.0, "mass", "stone")


def test_shown_with_the_unit_and_without_minus_zero() -> None:
    assert show(252.027, "unbalance", "oz-in") == "0.350 oz in"
    assert show(-1e-9, "mass", "g") == "0.00 g"
    assert show(31.75, "length", "in", decimals=2) == "1.25 in"


@pytest.mark.parametrize(
    ("value", "kind", "unit", "shown"),
    [
        (0.4, "unbalance", "g mm", "0.40 g mm"),
        (-0.4, "unbalance", "g mm", "-0.40 g mm"),
        (0.4, "unbalance", "oz in", "0.00056 oz in"),
        (1.4, "unbalance", "g mm", "1.4 g mm"),
        (3.02, "unbalance", "g mm", "3 g mm"),
        (9.96, "unbalance", "g mm", "10 g mm"),
        (12.3, "unbalance", "g mm", "12 g mm"),
        (0.003, "mass", "g", "0.0030 g"),
        (0.06, "mass", "g", "0.06 g"),
        (0.014, "mass", "g", "0.01 g"),  # a scale's own digits stay
        (0.0, "unbalance", "g mm", "0 g mm"),
        (1e-12, "unbalance", "g mm", "0 g mm"),  # what rounding leaves
        (0.02, "angle", "deg", "0.0 deg"),  # a place, no amount
    ],
)
def test_a_small_amount_is_not_shown_as_nothing(
    value: float, kind: str, unit: str, shown: str
) -> None:
    assert show(value, kind, unit) == shown


@given(st.floats(1e-5, 1e7), st.sampled_from(unit_names("unbalance")))
def test_an_unbalance_is_never_shown_a_fifth_off(value: float, unit: str) -> None:
    # one figure is kept where it says the size: 2.4 g mm as 2, but 1.4 as 1.4
    assert read(show(value, "unbalance", unit), "unbalance") == pytest.approx(value, rel=0.2)


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: show(math.nan, "mass", "g"), "value must be finite, got nan"),
        (lambda: show(True, "mass", "g"), "value must be a number, got True"),
        (lambda: show(5, "foo", "g"), "kind must be one of mass, length"),
        (lambda: show(5, [], "g"), "kind must be one of mass, length"),  # type: ignore[arg-type]
        (lambda: show(5, "mass", None), "unit must be a text such as 'g', got None"),  # type: ignore[arg-type]
        (lambda: show(5, "mass", "g", decimals=-1), "decimals must be a whole number of at least"),
        (lambda: read("1 g", []), "kind must be one of mass, length"),  # type: ignore[arg-type]
        (lambda: read(1, "mass", unit=5), "unit must be a text such as 'g', got 5"),  # type: ignore[arg-type]
        (lambda: read(np.bool_(True), "mass"), "True is not a mass"),  # type: ignore[arg-type]
        (lambda: read(np.ones(1), "mass"), "is not a mass"),  # type: ignore[arg-type]
    ],
)
def test_what_is_no_value_kind_or_unit_is_refused(call: Callable[[], object], match: str) -> None:
    with pytest.raises(InputError, match=match):
        call()


def test_numbers_of_numpy_are_numbers() -> None:
    for number in (np.int64(3), np.float32(3), np.array(3.0)):
        assert read(number, "length", unit="in") == pytest.approx(76.2)  # type: ignore[arg-type]


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
