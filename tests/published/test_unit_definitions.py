"""The unit table against definitions and a general units package.

pint (general-purpose units package) holds the international yard and pound agreement of 1959:
1 in = 25.4 mm and 1 lb = 453.59237 g, both exact.

J. R. Mancuso, The Manufacturer's World of Coupling Potential Unbalance (Turbomachinery Symposium
paper, year not checked), Fig. 1: the ounce-inch.
Contributor GinVT, physicsforums thread "Centrifugal Force Formulas", post 5: g mm to oz-in.
"""

import pint
import pytest

from balance.units import KINDS, read, unit_names

REGISTRY = pint.UnitRegistry()
INSIDE = {
    "mass": "gram",
    "length": "millimeter",
    "unbalance": "gram * millimeter",
    "angle": "degree",
    "speed": "revolution / minute",
    "density": "gram / centimeter ** 3",
}
OUTSIDE = {
    "deg": "degree",
    "rpm": "revolution / minute",
    "g/cm3": "gram / centimeter ** 3",
    "kg/m3": "kilogram / meter ** 3",
    "lb/in3": "pound / inch ** 3",
    "in": "inch",
    "g mm": "gram * millimeter",
    "g cm": "gram * centimeter",
    "g in": "gram * inch",
    "kg mm": "kilogram * millimeter",
    "kg m": "kilogram * meter",
    "mg m": "milligram * meter",
    "oz in": "ounce * inch",
    "lb in": "pound * inch",
}


@pytest.mark.parametrize(("kind", "unit"), [(k, u) for k in KINDS for u in unit_names(k)])
def test_every_unit_agrees_with_pint(kind: str, unit: str) -> None:
    theirs = REGISTRY.Quantity(1, OUTSIDE.get(unit, unit)).to(INSIDE[kind]).magnitude
    assert read(1.0, kind, unit=unit) == pytest.approx(theirs, rel=1e-12)  # double rounding


def test_the_ounce_inch_of_mancuso() -> None:
    """Printed: 4 oz at 2 in is an unbalance of 8 oz-in (exact)."""
    assert read("4 oz at 2 in", "unbalance") == pytest.approx(read("8 oz-in", "unbalance"))


def test_gram_millimetre_to_ounce_inch() -> None:
    """Printed: 0.00139, three figures, so half a unit of the last one."""
    assert 1 / read("1 oz in", "unbalance") == pytest.approx(0.00139, abs=5e-6)


def test_an_ounce_inch_is_exactly_its_definition() -> None:
    assert read("1 oz in", "unbalance") == pytest.approx(28.349523125 * 25.4, rel=1e-15)
