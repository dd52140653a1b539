"""NITK Surathkal, Virtual Labs (Ministry of Education, India), "Multiple mass in single plane".

Post-test of the experiment, question 5, key a (year not shown).
"""

import numpy as np
import pytest

from balance.spin.planes import static_and_couple
from balance.vectors import amount, degrees, vector


def test_post_test_question_5():
    moments = vector(np.array([200, 300, 240, 260]) * [0.2, 0.15, 0.25, 0.3], [0, 45, 120, 255])
    balance = -static_and_couple(moments, np.zeros(4), at_mm=0).static / 0.2
    assert amount(balance) == pytest.approx(116, abs=0.5)  # printed to 1 kg
    # the printed 201.48 comes from component sums rounded to 0.1 kg m: 0.25 degree
    assert degrees(balance) == pytest.approx(201.48, abs=0.25)
