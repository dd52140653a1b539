"""JCGM 100:2008, Guide to the expression of uncertainty in measurement (GUM).

Clauses and Table 1 from memory, not re-read.
"""

import math

import numpy as np
import pytest

from balance.parts.weighing import average, check_scale, pooled_repeatability, u_of_sum

# Table 1 (4.4.3): twenty temperature readings, degrees Celsius; here only as numbers.
TABLE_1 = (
    *(96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07),
    *(100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72),
)


def test_table_1_mean_and_its_standard_uncertainty():
    weight = average(TABLE_1, resolution_g=0.01)
    # Printed: mean 100.145 (rounded 100.14), s = 1.489 and s of the mean 0.333.
    assert weight.mass_g == pytest.approx(100.145, abs=0.0005)
    assert weight.u_g == pytest.approx(0.333, abs=0.0005)
    assert pooled_repeatability([TABLE_1]).s_g == pytest.approx(1.489, abs=0.0005)


@pytest.mark.parametrize(("step", "u"), [(0.1, 0.029), (0.5, 0.144), (1.0, 0.289)])
def test_f_2_2_1_resolution_of_a_display(step, u):
    # u = 0.29 of the step (F.2.2.1); three decimals as printed in weighing guides.
    assert average([500.0], resolution_g=step).u_g == pytest.approx(u, abs=0.0005)


def test_one_reading_with_a_known_repeatability():
    # 0.1 g display, s = 0.05 g: hypot(0.05, 0.0289) = 0.0577, by hand.
    weight = average([420.3], resolution_g=0.1, repeatability_g=0.05)
    assert weight.u_g == pytest.approx(0.0577, abs=0.0001)
    assert weight.n == 1


def test_5_1_2_bobweight_from_seven_weighings():
    u = average([420.3], resolution_g=0.1, repeatability_g=0.05).u_g
    counts = [2, 2, 1, 1, 1, 1, 1]  # big end, bearings; five reciprocating parts
    # By hand: sqrt(13) 0.0577 = 0.208 g; with 1 g of doubt on the oil 1.02 g.
    assert u_of_sum(counts, u) == pytest.approx(0.21, abs=0.005)
    assert u_of_sum([*counts, 1], [u] * 7 + [1.0]) == pytest.approx(1.02, abs=0.005)


def test_5_2_2_shared_offset_enters_with_the_sum_of_counts():
    # Ten resistors of 1000 ohm calibrated against one standard of 100 mohm doubt: 1 ohm for
    # all ten, not 0.32 (example in 5.2.2).
    assert u_of_sum(np.ones(10), 0.0, offset_u_g=0.1) == pytest.approx(1.0, rel=1e-12)
    assert u_of_sum(np.ones(10), 0.1) == pytest.approx(0.32, abs=0.005)


def test_guard_of_iso_14253_1():
    """ISO 14253-1:2017 (from memory): one-sided 95 % guard of 1.65 u on the difference."""
    check = check_scale(1.0, resolution_g=0.1, repeatability_g=0.05)
    assert check.guard_g == pytest.approx(1.65 * math.sqrt(2) * 0.0577, abs=0.0002)
