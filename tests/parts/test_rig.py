import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.parts.rig import rig_errors

ROD = {"end_g": 168.0, "total_g": 600.0, "length_mm": 150.0}


def test_figures_of_one_rod_by_hand():
    # 600 * 1 * tan 2 / 150; 168 * 12 * sin 2 / 150; 168 * 0.5 / 150; 0.1 * 6 * 432 / 150.
    errors = rig_errors(
        **ROD,
        tilt_degrees=2.0,
        off_line_mm=1.0,
        contact_radius_mm=12.0,
        length_error_mm=0.5,
        friction=0.1,
        pivot_radius_mm=6.0,
    )
    assert errors.tilt_g == pytest.approx(0.14, abs=0.005)
    assert errors.contact_g == pytest.approx(0.47, abs=0.005)
    assert errors.length_g == pytest.approx(0.56, abs=0.005)
    assert errors.friction_g == pytest.approx(1.73, abs=0.005)
    assert errors.worst_g == pytest.approx(2.90, abs=0.01)


def test_a_level_rod_on_its_centres_is_right():
    assert rig_errors(**ROD).worst_g == 0.0
    assert rig_errors(**ROD, off_line_mm=1.0, contact_radius_mm=12.0).worst_g == 0.0


@settings(max_examples=60, deadline=None)
@given(st.floats(0.0, 10.0), st.floats(-30.0, 30.0), st.floats(10.0, 140.0))
def test_tilt_is_the_moment_of_a_turned_point(tilt, off_line, centre):
    # Independent: turn the centre of mass and both supports together, take moments again.
    a = math.radians(tilt)
    level = 600.0 * centre / 150.0
    x = centre * math.cos(a) - off_line * math.sin(a)
    tilted = 600.0 * x / (150.0 * math.cos(a))
    errors = rig_errors(**ROD, tilt_degrees=tilt, off_line_mm=abs(off_line))
    assert abs(tilted - level) == pytest.approx(errors.tilt_g, abs=1e-9)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"end_g": 600.0}, r"end_g must be less than total_g 600\.0, got 600\.0"),
        ({"total_g": math.nan}, "total_g must be finite"),
        ({"length_mm": 0.0}, "length_mm must be greater than zero"),
        ({"tilt_degrees": 90.0}, r"tilt_degrees must be less than 90, got 90\.0"),
        ({"tilt_degrees": -1.0}, "tilt_degrees must not be negative"),
        ({"off_line_mm": -1.0}, "off_line_mm must not be negative"),
        ({"contact_radius_mm": -1.0}, "contact_radius_mm must not be negative"),
        ({"length_error_mm": -1.0}, "length_error_mm must not be negative"),
        ({"friction": -0.1}, "friction must not be negative"),
        ({"pivot_radius_mm": -6.0}, "pivot_radius_mm must not be negative"),
    ],
)
def test_rig_errors_refuse(change, message):
    with pytest.raises(InputError, match=message):
        rig_errors(**(ROD | change))
