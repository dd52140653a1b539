"""Amounts of unbalance as they are typed: a mass counts at its radius, others as they stand."""

import pytest

from balance.errors import InputError
from balance.job.amounts import amount_gmm

OZ_IN = 28.349523125 * 25.4  # g mm; ounce and inch by definition (NIST SP 811, appendix B.8)


@pytest.mark.parametrize(
    ("text", "unit", "radius_mm", "gmm"),
    [
        ("5", "g", 80.0, 400.0),
        ("5 g", "oz", 80.0, 400.0),  # the unit that is written counts
        (2, "oz", 25.4, 2 * OZ_IN),
        ("0.5 oz in", "g", 80.0, 0.5 * OZ_IN),  # no mass: its radius is in it already
        ("12 g at 76 mm", "g", 80.0, 912.0),  # a radius of its own
        ("0.5", "oz in", None, 0.5 * OZ_IN),
        ("0", "g mm", None, 0.0),
        (0, "g", 80.0, 0.0),
    ],
)
def test_an_amount_is_a_mass_at_its_radius_or_an_unbalance(text, unit, radius_mm, gmm):
    assert amount_gmm(text, unit=unit, radius_mm=radius_mm) == pytest.approx(gmm, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "unit", "radius_mm", "message"),
    [
        ("5 g", "g", None, "'5 g' is a mass: say at which radius the plane is set"),
        ("-5 g", "g", 80.0, "-5 g"),
        ("-5", "g mm", None, "-5"),
        ("five", "g", 80.0, "five"),
    ],
)
def test_what_is_no_amount_is_refused(text, unit, radius_mm, message):
    with pytest.raises(InputError, match=message):
        amount_gmm(text, unit=unit, radius_mm=radius_mm)
