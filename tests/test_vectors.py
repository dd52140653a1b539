"""Amount and angle on paper, one complex number inside."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.errors import InputError
from balance.vectors import amount, degrees, fold, turn, vector, whole_degrees

ANGLES = st.floats(-1e4, 1e4)
AMOUNTS = st.floats(1e-3, 1e6)
# An angle of at most 1e4 degrees carries a rounding error of 2e-12 degrees; ten times that.
ANGLE_ROUNDING = 2e-11


@given(AMOUNTS, ANGLES)
def test_there_and_back(size: float, angle: float) -> None:
    v = vector(size, angle)
    assert amount(v) == pytest.approx(size, rel=1e-12)
    assert abs(turn(degrees(v) - angle)) < ANGLE_ROUNDING


@given(ANGLES)
def test_folded_angles_lie_in_one_turn(angle: float) -> None:
    assert 0 <= fold(angle) < 360
    assert -180 <= turn(angle) < 180


def test_quarter_turn_is_i() -> None:
    assert vector(2.0, 90.0) == pytest.approx(2j, abs=1e-15)


@pytest.mark.parametrize("tiny", [-1e-17, -1e-300, 0.0, -0.0, 360.0, 720.0])
def test_a_hair_below_zero_is_zero_not_360(tiny: float) -> None:
    assert fold(tiny) == 0.0


def test_degrees_of_a_vector_just_below_the_axis() -> None:
    assert 0 <= degrees(complex(1.0, -1e-20)) < 360


def test_arrays_equal_their_elements() -> None:
    sizes, angles = np.array([[1.0, 2.0], [3.0, 4.0]]), np.array([10.0, 200.0])
    many = vector(sizes, angles)
    for i in range(2):
        for j in range(2):
            assert many[i, j] == vector(sizes[i, j], angles[j])
    assert degrees(many).shape == (2, 2)


def test_a_zero_vector_has_angle_zero() -> None:
    assert degrees(0j) == 0.0


@pytest.mark.parametrize(
    ("size", "angle", "match"),
    [
        (-1.0, 0.0, "amount must not be negative, got -1.0"),
        (float("nan"), 0.0, "amount must be finite, got nan"),
        (1.0, float("inf"), "degrees must be finite, got inf"),
        ("12 g", 0.0, "amount must be a number, got '12 g'"),
    ],
)
def test_what_cannot_be_is_refused(size: object, angle: float, match: str) -> None:
    with pytest.raises(InputError, match=match):
        vector(size, angle)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("angle", "words"),
    [(359.5, "0"), (359.49, "359"), (-0.4, "0"), (-0.6, "359"), (720.2, "0"), (179.6, "180")],
)
def test_a_whole_turn_is_written_as_0(angle: float, words: str) -> None:
    assert whole_degrees(angle) == words


@pytest.mark.parametrize("angle", [np.nan, "north", [1.0, 2.0], 1j, None])
def test_what_is_no_angle_is_not_written(angle: object) -> None:
    with pytest.raises(InputError, match="angle_degrees must be"):
        whole_degrees(angle)  # type: ignore[arg-type]
