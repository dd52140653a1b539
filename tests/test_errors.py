"""The checks that every function shares, and the error tree."""

import re
from collections.abc import Callable

import numpy as np
import pytest

from balance.errors import (
    HeavyspotError,
    InputError,
    JobFileError,
    MissingInputError,
    called,
    finite,
    instance_of,
    items_of,
    not_negative,
    one_not_negative,
    one_positive,
    one_real,
    one_vector,
    positive,
    real,
    together,
    whole,
    yes_or_no,
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
        (one_vector, [1j], "x_mm must be one number, got [1j]"),
        (one_vector, "x", "x_mm must be a number, got 'x'"),
        (one_not_negative, -1, "x_mm must not be negative, got -1"),
    ],
)
def test_the_message_names_quotes_and_says_what_is_wanted(
    check: object, value: object, match: str
) -> None:
    with pytest.raises(InputError, match=re.escape(match)):
        check("x_mm", value)  # type: ignore[operator]


@pytest.mark.parametrize(
    ("check", "match"),
    [
        (lambda: whole("n", 1.0, least=1), "n must be a whole number of at least 1, got 1.0"),
        (lambda: whole("n", True, least=0), "n must be a whole number of at least 0, got True"),
        (lambda: whole("n", -1, least=0), "n must be a whole number of at least 0, got -1"),
        (lambda: whole("n", np.ones(2, int), least=0), "n must be a whole number"),
        (lambda: yes_or_no("on", 1), "on must be True or False, got 1"),
        (lambda: instance_of("text", 1, str), "text must be of type str, got 1"),
        (lambda: items_of("list", "abc"), "list must be a list, got 'abc'"),
        (lambda: items_of("list", 3), "list must be a list, got 3"),
        (lambda: called("stop", 1), "stop must be a function or None, got 1"),
        (lambda: together(a=[[1], [1, 2]]), "a must have rows of one length, got [[1], [1, 2]]"),
        (
            lambda: together(a=[1, 2], b=[1, 2, 3], c=[[1], [2]]),
            "a, b and c do not go together: shapes (2,), (3,) and (2, 1); give one value for all",
        ),
    ],
)
def test_kinds_and_shapes_are_asked_for(check: Callable[[], object], match: str) -> None:
    with pytest.raises(InputError, match=re.escape(match)):
        check()


def test_what_numpy_makes_is_as_good_as_what_python_has() -> None:
    assert whole("n", np.int64(3), least=1) == 3
    assert yes_or_no("on", np.bool_(True)) is True
    together(a=1, b=[1, 2], c=np.ones((3, 1)), d=None)
    called("stop", None)


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
