"""ISO 1940-1:2003, informative example: limits in the bearings of a turbine rotor.

From memory, the page not seen: 3600 kg, 3000 r/min, G 2.5, bearings 2400 mm apart, centre of mass
1500 mm from A.
"""

import pytest

from balance.spin.tolerance import allocate, permissible


def test_total_and_shares_of_the_two_bearings():
    total = permissible(rotor_mass_kg=3600, speed_rpm=3000, grade="G 2.5")
    shares = allocate(float(total), centre_of_mass_mm=1500, bearings_mm=(0, 2400))
    # Printed 28.6e3, 10.7e3 and 17.9e3 g mm: three figures.
    assert total == pytest.approx(28.6e3, abs=0.06e3)
    assert shares == pytest.approx([10.7e3, 17.9e3], abs=0.06e3)
