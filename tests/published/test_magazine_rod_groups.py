"""Rod groups as printed in two engine magazines, read in excerpts (authors not noted).

FordMuscle, "Calculating Bob Weight", April 2008: big end 621.5 g and bearing 45 g, together
666.5 g, twice 1333 g rotating on a pin with two rods.
Chevy High Performance, June 2009, balanced rotating assembly: rings 69.5 g, piston 583.9 g,
pin 173.6 g, locks 4.8 g, small end 162.4 g, big end 229.8 g (twice 459.6 g), bearing "x2 47.4 g",
oil 4 g.
"""

import pytest

from balance.parts.groups import pin_group, rod_group, rod_item

# Sums of figures printed to 0.1 g.
PRINTED_G = 1e-9


def test_rotating_per_rod_and_per_pin():
    rod = rod_group([rod_item("big end", 621.5), rod_item("bearing shell", 45.0, pieces_weighed=2)])
    assert rod.rotating_g == pytest.approx(666.5, abs=PRINTED_G)
    assert pin_group([rod, rod]).rotating_g == pytest.approx(1333.0, abs=PRINTED_G)


@pytest.mark.parametrize(("shells", "per_rod"), [(4, 23.7), (2, 47.4)])
def test_both_readings_of_the_bearing(shells, per_rod):
    rod = rod_group(
        [
            rod_item("ring set", 69.5),
            rod_item("piston", 583.9),
            rod_item("pin", 173.6),
            rod_item("lock", 4.8, pieces_weighed=2),
            rod_item("small end", 162.4),
            rod_item("big end", 229.8),
            rod_item("bearing shell", 47.4, pieces_weighed=shells),
        ]
    )
    assert rod.missing == ()
    # 69.5 + 583.9 + 173.6 + 4.8 + 162.4, by hand.
    assert rod.reciprocating_g == pytest.approx(994.2, abs=PRINTED_G)
    pin = pin_group([rod, rod], oil_g=4.0)
    assert pin.rotating_g == pytest.approx(459.6 + 2 * per_rod + 4.0, abs=PRINTED_G)
