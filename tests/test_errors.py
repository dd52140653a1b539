"""The checks that every function shares, and the error tree."""

import re

import pytest

from balance.errors import (
    HeavyspotError,
    InputError,
    JobFileError,
    MissingInputError,
    finite,
    not_negative,
    one_not_negative,
    one_positive,
    one_real,
    positive,
    real,
)


def test_the_tree() -> None:
    assert issubclass(InputError, ValueError)
    assert issubclass(InputError, HeavyspotError)
    assert issubclass(JobFileError, InputError)
    assert issubclass(MissingInputError, HeavyspotError)


@pytest.mark.parametrize(
    ("check", "value", "match"),
    [
        (finite, "x", "x_mm must be a number, got 'x'"),
        (finite, None, "x_mm must be a number, got None"),
        (finite, True, "x_mm must be a number, got True"),
        (finite, [1, float("nan")], "x_mm must be finite, got [1, nan]"),
        (finite, [[1], [1, 2]], "x_mm must have rows of one length, got [[1], [1, 2]]"),
        (positive, 0, "x_mm must be greater than zero, got 0"),
        (positive, [1, -1], "x_mm must be greater than zero, got [1, -1]"),
        (positive, 1 + 1j, "x_mm must be real, got (1+1j)"),
        (not_negative, -1e-300, "x_mm must not be negative, got -1e-300"),
        (not_negative, 1j, "x_mm must be real, got 1j"),
        (real, [1, 1j], "x_mm must be real, got [1, 1j]"),
        (one_real, [1, 2], "x_mm must be one number, got [1, 2]"),
        (one_real, [1], "x_mm must be one number, got [1]"),
        (one_real, 1j, "x_mm must be real, got 1j"),
        (one_real, float("inf"), "x_mm must be finite, got inf"),
        (one_positive, (1, 2), "x_mm must be one number, got (1, 2)"),
        (one_positive, 0, "x_mm must be greater than zero, got 0"),
        (one_not_negative, [0.0], "x_mm must be one number, got [0.0]"),
        (one_not_negative, -1, "x_mm must not be negative, got -1"),
    ],
)
def test_the_message_names_quotes_and_says_what_is_wanted(
    check: object, value: object, match: str
) -> None:
    with pytest.raises(InputError, match=re.escape(match)):
        check("x_mm", value)  # type: ignore[operator]


def test_one_number_comes_back_as_a_plain_float() -> None:
    for check in (one_real, one_positive, one_not_negative):
        assert type(check("x_mm", 3)) is float
    assert one_not_negative("x_mm", 0) == 0.0
    assert one_real("x_mm", -2.5) == -2.5


def test_a_job_file_error_says_where() -> None:
    error = JobFileError("is wrong", path="job.toml", line=3, key="crank.mass")
    assert str(error) == "job.toml:3: crank.mass: is wrong"
    assert str(JobFileError("is wrong", path="job.toml")) == "job.toml: is wrong"


def test_a_missing_input_lists_what_to_measure() -> None:
    error = MissingInputError("spin", ["a", "b"])
    assert error.needed == ["a", "b"]
    assert str(error) == "spin needs more: a; b"
