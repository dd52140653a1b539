import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.parts.weighing import (
    Weight,
    average,
    check_scale,
    difference,
    pooled_repeatability,
    u_of_sum,
)

masses = st.floats(1.0, 2000.0)
readings = st.lists(masses, min_size=1, max_size=8)
# Rounding in sums of masses below 2 kg: far below any scale's step.
EXACT_G = 1e-9


def test_two_readings_without_repeatability_use_their_own_scatter():
    # s = 0.1 / sqrt(2); u^2 = s^2 / 2 + d^2 / 12, by hand.
    weight = average([420.3, 420.4], resolution_g=0.1)
    assert weight.u_g == pytest.approx(math.sqrt(0.0025 + 0.01 / 12), rel=1e-9)
    assert weight.spread_g == pytest.approx(0.1, abs=EXACT_G)


def test_given_repeatability_replaces_the_scatter_of_a_few_readings():
    # Three equal displays do not prove that the scale never scatters.
    weight = average([420.3] * 3, resolution_g=0.1, repeatability_g=0.05)
    assert weight.u_g == pytest.approx(math.sqrt(0.0025 / 3 + 0.01 / 12), rel=1e-12)


def test_repeats_cannot_beat_the_display():
    many = average([420.3] * 1000, resolution_g=0.1, repeatability_g=0.05)
    assert many.u_g > 0.1 / math.sqrt(12)


def test_a_plain_number_is_one_reading():
    assert average(420.3, resolution_g=0.1) == average([420.3], resolution_g=0.1)


def test_outlier_is_flagged_and_stays_in_the_mean():
    weight = average([420.3, 420.3, 420.4, 424.3], resolution_g=0.1)
    assert weight.outliers == (3,)
    assert weight.mass_g == pytest.approx(421.325, abs=EXACT_G)


def test_one_step_of_the_display_is_no_outlier():
    assert average([420.3, 420.3, 420.3, 420.4], resolution_g=0.1).outliers == ()


def test_two_readings_that_disagree_are_both_doubtful_when_the_scale_is_known():
    both = average([420.3, 423.3], resolution_g=0.1, repeatability_g=0.05)
    assert both.outliers == (0, 1)
    assert average([420.3, 423.3], resolution_g=0.1).outliers == ()


@settings(max_examples=60, deadline=None)
@given(readings, st.floats(-0.9, 50.0))
def test_average_shifts_with_its_readings(values, shift):
    before = average(values, resolution_g=0.1)
    after = average(np.array(values) + shift, resolution_g=0.1)
    assert after.mass_g == pytest.approx(before.mass_g + shift, abs=EXACT_G)
    assert after.u_g == pytest.approx(before.u_g, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(st.permutations(list(range(6))), st.lists(masses, min_size=6, max_size=6))
def test_order_of_readings_does_not_matter(order, values):
    one = average(values, resolution_g=0.1)
    other = average([values[i] for i in order], resolution_g=0.1)
    assert other.mass_g == pytest.approx(one.mass_g, abs=EXACT_G)
    assert {values[i] for i in one.outliers} == {values[order[i]] for i in other.outliers}


@pytest.mark.parametrize(
    ("readings_g", "message"),
    [
        ([], r"readings_g must be a list of at least one reading, got \[\]"),
        ([[420.3, 420.4]], "readings_g must be a list of at least one reading"),
        ([420.3, -1.0], "readings_g must not be negative, got"),
        ([420.3, math.nan], "readings_g must be finite, got"),
        (["420.3"], "readings_g must be a number, got"),
    ],
)
def test_bad_readings_are_refused(readings_g, message):
    with pytest.raises(InputError, match=message):
        average(readings_g, resolution_g=0.1)


@pytest.mark.parametrize("step", [0.0, -0.1, math.nan])
def test_bad_resolution_is_refused(step):
    with pytest.raises(InputError, match="resolution_g must be"):
        average([420.3], resolution_g=step)


def test_bad_repeatability_is_refused():
    with pytest.raises(InputError, match=r"repeatability_g must not be negative, got -0\.05"):
        average([420.3], resolution_g=0.1, repeatability_g=-0.05)
    with pytest.raises(InputError, match="repeatability_g must be one number, got"):
        average([420.3], resolution_g=0.1, repeatability_g=[0.05, 0.06])


@settings(max_examples=50, deadline=None)
@given(st.lists(st.lists(masses, min_size=1, max_size=5), min_size=1, max_size=5))
def test_pooling_is_the_residual_of_one_mean_a_part(parts):
    n = sum(len(part) for part in parts)
    if n == len(parts):
        return
    # Outside check: least squares (numpy) with one column a part, residual / freedom.
    design = np.repeat(np.eye(len(parts)), [len(part) for part in parts], axis=0)
    y = np.concatenate(parts)
    fitted = design @ np.linalg.lstsq(design, y, rcond=None)[0]
    expected = math.sqrt(((y - fitted) ** 2).sum() / (n - len(parts)))
    found = pooled_repeatability(parts)
    assert found.s_g == pytest.approx(expected, abs=1e-6)
    assert found.degrees_of_freedom == n - len(parts)


def test_pooling_counts_only_parts_read_twice():
    assert pooled_repeatability([[420.3], [418.0, 418.1], [411.1, 411.1]]).parts == 2


@pytest.mark.parametrize("parts", [[], [[420.3], [418.0]]])
def test_pooling_needs_a_repeat(parts):
    with pytest.raises(InputError, match="must hold a part that was read at least twice"):
        pooled_repeatability(parts)


def test_pooling_names_the_bad_part():
    with pytest.raises(InputError, match=r"readings_g\[1\] must be finite"):
        pooled_repeatability([[420.3, 420.4], [math.nan]])


def test_difference_of_two_displays():
    # Two displays of step d: sqrt(2) d / sqrt(12).
    gross = average([512.4], resolution_g=0.1)
    tare = average([92.1], resolution_g=0.1)
    part = difference(gross, tare)
    assert part.mass_g == pytest.approx(420.3, abs=EXACT_G)
    assert part.u_g == pytest.approx(math.sqrt(2) * 0.1 / math.sqrt(12), rel=1e-12)


def test_difference_refuses_a_swap():
    with pytest.raises(InputError, match=r"tare must be lighter than gross.*swapped"):
        difference(Weight(92.1, 0.03, 1), Weight(512.4, 0.03, 1))


def test_u_of_sum_refuses():
    with pytest.raises(InputError, match="u_g must be one number or one for each count"):
        u_of_sum([1, 2], [0.1, 0.1, 0.1])
    with pytest.raises(InputError, match="u_g must not be negative"):
        u_of_sum([1, 2], -0.1)
    with pytest.raises(InputError, match="counts must be finite"):
        u_of_sum([1, math.inf], 0.1)
    with pytest.raises(InputError, match="offset_u_g must not be negative"):
        u_of_sum([1], 0.1, offset_u_g=-1)


def test_u_of_sum_agrees_with_a_simulation():
    rng = np.random.default_rng(20240917)
    counts, u, offset = np.array([2.0, 1.0, -0.5]), np.array([0.05, 0.08, 0.2]), 0.1
    errors = rng.normal(0, u, (200_000, 3)) + rng.normal(0, offset, (200_000, 1))
    # Standard error of a standard deviation from 200 000 draws is 0.16 %; four of them.
    expected = (errors @ counts).std()
    assert u_of_sum(counts, u, offset_u_g=offset) == pytest.approx(expected, rel=0.0064)


@pytest.mark.parametrize(
    ("tolerance", "step", "verdict"),
    [
        (1.0, 0.1, "good"),
        (0.5, 0.1, "coarse"),
        (0.1, 1.0, "cannot"),
        (0.05, 0.1, "cannot"),
        (0.0, 0.01, "cannot"),
    ],
)
def test_scale_verdicts(tolerance, step, verdict):
    check = check_scale(tolerance, resolution_g=step)
    assert check.verdict == verdict
    assert f"{tolerance:g} g" in check.advice


def test_ten_steps_are_a_tolerance_whatever_the_binary_rounding():
    for step in (0.01, 0.02, 0.1, 0.2, 0.3, 0.5, 0.7):
        assert check_scale(round(step * 10, 6), resolution_g=step).verdict == "good"


def test_advice_tells_what_to_do():
    assert "use a finer scale" in check_scale(0.1, resolution_g=1.0).advice
    assert "within 0.37 g" in check_scale(0.5, resolution_g=0.1, repeatability_g=0.05).advice


@settings(max_examples=60, deadline=None)
@given(st.floats(0.0, 20.0), st.floats(0.001, 2.0), st.floats(0.0, 1.0))
def test_what_is_provable_is_inside_the_tolerance(tolerance, step, s):
    check = check_scale(tolerance, resolution_g=step, repeatability_g=s)
    assert 0 <= check.provable_g <= tolerance
    assert (check.provable_g == 0) == (check.verdict == "cannot")
    better = check_scale(check.finest_tolerance_g, resolution_g=step, repeatability_g=s)
    assert better.verdict == "good"


@pytest.mark.parametrize(
    ("kwargs", "message"),
    [
        ({"tolerance_g": -0.5, "resolution_g": 0.1}, "tolerance_g must not be negative"),
        ({"tolerance_g": 0.5, "resolution_g": 0.0}, "resolution_g must be greater than zero"),
        (
            {"tolerance_g": 0.5, "resolution_g": 0.1, "repeatability_g": math.nan},
            "repeatability_g must be finite",
        ),
    ],
)
def test_scale_check_refuses(kwargs, message):
    with pytest.raises(InputError, match=message):
        check_scale(**kwargs)
