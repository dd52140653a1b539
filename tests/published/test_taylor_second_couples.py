"""Second-order couples and the star of cylinders, order by order.

C. F. Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 2 (MIT Press), ch. 8:
tables of unbalanced couples of in-line engines, and the rule for radial engines with all rods on
the pin (direct and reverse cranks). From memory, not re-read; edition not checked.
"""

import numpy as np
import pytest

from balance.engine.layouts import layout
from balance.engine.motion import harmonics
from balance.engine.shaking import shake

UNIT_N = 0.04 * (1000 * np.pi / 30) ** 2  # m r w^2 of 1 kg on 40 mm at 1000 r/min
SIZES = {"stroke_mm": 80.0, "rod_length_mm": 130.0, "bore_spacing_mm": 100.0}


@pytest.mark.parametrize(
    ("name", "options", "couple"),
    [
        ("inline-3", {}, 1.732),
        ("inline-4", {"crank": "cross"}, 0),
        ("inline-5", {}, 4.980),  # fires 1-2-4-5-3
        ("inline-6", {}, 0),
    ],
)
def test_second_order_leaves_no_force_and_this_couple(name, options, couple):
    """In units of m r w^2 a_2 times one cylinder spacing, the greatest over a turn."""
    s = shake(
        layout(name, **SIZES, **options),
        reciprocating_g=1000,
        rotating_g=0,
        speed_rpm=1000,
        orders=(2,),
    )
    unit = UNIT_N * harmonics(40 / 130, 2)
    assert abs(s.forward_force_n[0]) + abs(s.backward_force_n[0]) < 1e-9 * unit
    greatest = abs(s.forward_couple_nm[0]) + abs(s.backward_couple_nm[0])
    assert greatest / unit / 0.1 == pytest.approx(couple, abs=6e-4)  # three decimals printed


@pytest.mark.parametrize("count", [3, 5, 7, 9])
def test_star_leaves_forward_orders_one_above_and_backward_one_below_its_multiples(count):
    orders = range(1, 13)
    s = shake(
        layout("radial", cylinders=count, **SIZES),
        reciprocating_g=1000,
        rotating_g=0,
        speed_rpm=1000,
        orders=orders,
    )
    half_of_all = count / 2 * UNIT_N * np.abs(harmonics(40 / 130, orders))
    above = [(n - 1) % count == 0 for n in orders]
    below = [(n + 1) % count == 0 for n in orders]
    rounding = 1e-9 * UNIT_N
    assert abs(s.forward_force_n) == pytest.approx(half_of_all * above, abs=rounding)
    assert abs(s.backward_force_n) == pytest.approx(half_of_all * below, abs=rounding)
