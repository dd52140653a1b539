import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from balance.errors import InputError
from balance.parts.oddities import (
    MAKER_SPAN_G,
    far_from_middle,
    far_from_rest,
    outside_span,
    student_two_sided,
)

tenths = st.lists(st.integers(4000, 4300), min_size=1, max_size=9)


def test_one_replaced_rod():
    (odd,) = outside_span([655.0, 657.5, 654.2, 666.0], span_g=MAKER_SPAN_G["rod"])
    assert (odd.part, odd.mass_g) == (3, 666.0)
    assert odd.outside_g == pytest.approx(5.8, abs=1e-9)


def test_one_light_piston_is_negative():
    (odd,) = outside_span([420.0, 409.0, 421.0, 419.5], span_g=5.0)
    # 421 - 5 = 416 would still belong.
    assert (odd.part, odd.outside_g) == (1, pytest.approx(-7.0, abs=1e-9))


def test_a_set_exactly_as_wide_as_the_span_is_whole():
    # 0.1 g steps are not exact in binary.
    assert outside_span([420.1, 425.1, 422.3], span_g=5.0) == ()


def test_equal_empty_and_single():
    assert outside_span([420.0] * 8, span_g=0.0) == ()
    assert outside_span([], span_g=5.0) == ()
    assert outside_span([420.0], span_g=5.0) == ()


def test_of_two_equal_groups_the_tighter_is_the_set():
    odd = outside_span([400.0, 404.0, 420.0, 420.5], span_g=5.0)
    assert [part.part for part in odd] == [0, 1]


@settings(max_examples=60, deadline=None)
@given(tenths, st.integers(0, 100))
def test_no_larger_set_fits_the_span(steps, span):
    odd = {part.part for part in outside_span(np.array(steps) / 10, span_g=span / 10)}
    kept = [steps[i] for i in range(len(steps)) if i not in odd]
    assert max(kept) - min(kept) <= span
    largest = max(
        size
        for size in range(1, len(steps) + 1)
        for group in itertools.combinations(sorted(steps), size)
        if group[-1] - group[0] <= span
    )
    assert len(kept) == largest


@settings(max_examples=60, deadline=None)
@given(tenths, st.integers(0, 100))
def test_outside_is_beyond_what_the_set_could_take(steps, span):
    weights = np.array(steps) / 10
    odd = outside_span(weights, span_g=span / 10)
    kept = np.delete(weights, [part.part for part in odd])
    for part in odd:
        with_it = np.append(kept, part.mass_g)
        assert abs(part.outside_g) == pytest.approx(np.ptp(with_it) - span / 10, abs=1e-6)
        assert (part.outside_g > 0) == (part.mass_g > kept.max())


@pytest.mark.parametrize(
    ("weights", "span", "message"),
    [
        ([420.0, math.nan], 5.0, "weights_g must be finite"),
        ([420.0, -1.0], 5.0, "weights_g must be greater than zero"),
        ([420.0, 421.0], -5.0, r"span_g must not be negative, got -5\.0"),
        ([[420.0, 421.0]], 5.0, r"weights_g must be a flat list, got shape \(1, 2\)"),
    ],
)
def test_outside_span_refuses(weights, span, message):
    with pytest.raises(InputError, match=message):
        outside_span(weights, span_g=span)


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 50), st.integers(1, 40))
def test_student_against_scipy(t, freedom):
    # The closed form is one minus a sum: absolute to double precision.
    assert student_two_sided(t, freedom) == pytest.approx(2 * stats.t.sf(t, freedom), abs=1e-13)


def test_two_bad_values_do_not_hide_each_other():
    values = np.array([420.1, 420.3, 420.2, 420.2, 420.4, 420.3, 424.0, 424.1])
    assert far_from_rest(values, rounding_variance=0.01 / 12) == (6, 7)


def test_too_few_values_accuse_nobody():
    assert far_from_rest(np.array([420.3]), rounding_variance=0.0) == ()
    assert far_from_rest(np.array([420.3, 430.3]), rounding_variance=0.0) == ()


def test_without_rounding_equal_values_leave_no_room():
    assert far_from_rest(np.array([1.0, 1.0, 1.0, 1.1]), rounding_variance=0.0) == (3,)
    assert far_from_rest(np.array([1.0, 1.0, 1.0, 1.0]), rounding_variance=0.0) == ()


@pytest.mark.parametrize("n", [3, 5, 8, 12])
def test_false_alarms_stay_near_one_in_twenty(n):
    rng = np.random.default_rng(n)
    alarms = sum(
        bool(far_from_rest(rng.normal(420, 1, n), rounding_variance=0.0)) for _ in range(1000)
    )
    # 5 % for one suspect; testing for several adds up to half as much again. Standard error of
    # a share of 0.06 in 1000 is 0.0075; four of them.
    assert alarms / 1000 <= 0.075 + 0.03


def test_far_from_middle_is_strict_about_three_and_a_half():
    assert far_from_middle(np.array([0.0, 0.0, 0.0, 3.5]), 1.0) == ()
    assert far_from_middle(np.array([0.0, 0.0, 0.0, 3.6]), 1.0) == (3,)
