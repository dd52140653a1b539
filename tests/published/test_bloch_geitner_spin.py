"""H. P. Bloch, F. K. Geitner, Machinery Component Maintenance and Repair, chapter 6.

Edition and year not checked.
"Balancing of Machinery Components": tables 6-3 (p. 309) and 6-5 (p. 323), p. 300, p. 309, p. 316.
"""

import numpy as np
import pytest

from balance.spin.grades import grade_rows
from balance.spin.noise import left_by_angle_error
from balance.spin.proving import prove_umar, reduction_ratio
from balance.spin.stack import mounting
from balance.vectors import vector


def test_table_6_3_residual_after_an_error_of_angle():
    errors = [1, 2, 3, 5, 10, 15]
    percent = [1.7, 3.5, 5.2, 8.7, 17.4, 26.1]
    assert 100 * left_by_angle_error(errors) == pytest.approx(percent, abs=0.05)  # printed digits


@pytest.mark.parametrize(
    ("grade", "word"),
    [
        (4000, "slow marine diesel"),
        (1600, "two-stroke"),
        (630, "large four-stroke"),
        (250, "four-cylinder diesel"),
        (100, "six or more"),
        (40, "car, truck"),
        (16, "special requirements"),
        (6.3, "flywheels"),
    ],
)
def test_table_6_5_engine_rows(grade, word):
    (row,) = grade_rows(edition="ISO 1940:1973", grade=grade)
    assert any(word in entry for entry in row.entries)


def test_page_300_eccentric_mounting():
    # U = m e with e half the indicator reading and half the clearance
    seat = mounting(mass_g=2500, tir_mm=0.04, clearance_mm=0.02)
    assert seat.unbalance_gmm == pytest.approx(2500 * (0.04 / 2 + 0.02 / 2))


def test_page_309_reduction_ratio():
    # "95 %": from 100 to 5 units in one cycle
    assert reduction_ratio(100, 5) == 95


def test_page_316_pass_band_of_the_umar_test():
    # test mass of ten Umar; all within 12 % of the mean; a wave means a residual in the rotor
    umar, positions = 5.0, np.arange(12) * 30
    for left_in_rotor, passed in ((umar, True), (1.5 * umar, False)):
        amounts = np.abs(vector(left_in_rotor, 75) + vector(10 * umar, positions))
        proof = prove_umar(amounts, claimed_umar_gmm=umar)
        assert proof.passed is passed
        # the wave is a series in U/T <= 0.15: good to its square
        assert proof.residual == pytest.approx(
            vector(left_in_rotor, 75), abs=0.15**2 * left_in_rotor
        )
