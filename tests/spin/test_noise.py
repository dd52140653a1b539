"""Near zero: the Rice distribution, the stop rule, and what a wrong angle leaves."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.spin.noise import can_see, chance_within, left_by_angle_error, mean_amount

RNG = np.random.default_rng(2)
NOISE = RNG.normal(size=200_000) + 1j * RNG.normal(size=200_000)
# a share of p in 200 000 trials has a standard error below 0.0012: four of them
SHARE = 0.005


@pytest.mark.parametrize(("reading", "limit"), [(0, 1), (0, 2), (1.5, 2), (3, 2), (10, 11)])
def test_chance_within_is_that_of_simulated_truth(reading, limit):
    expected = np.mean(np.abs(reading + NOISE) <= limit)
    assert chance_within(1j * reading, limit_gmm=limit, u_gmm=1) == pytest.approx(
        expected, abs=SHARE
    )


def test_at_zero_the_amount_is_rayleigh():
    limits = np.array([0.5, 1, 2, 3])
    assert chance_within(0, limit_gmm=limits, u_gmm=1) == pytest.approx(
        1 - np.exp(-(limits**2) / 2)
    )


@settings(max_examples=30, deadline=None)
@given(st.floats(0, 200), st.floats(1, 200), st.floats(0.5, 50), st.floats(0.01, 100))
def test_chance_does_not_depend_on_the_unit(reading, limit, u, unit):
    assert chance_within(reading * unit, limit_gmm=limit * unit, u_gmm=u * unit) == pytest.approx(
        chance_within(reading, limit_gmm=limit, u_gmm=u), abs=1e-6
    )


def test_far_from_zero_it_is_normal_and_always_a_number():
    readings = np.array([1e3, 0.9999e4, 1.0001e4, 1e5, 1e9])
    chances = chance_within(readings, limit_gmm=readings + 1, u_gmm=1)
    # standard normal at 1 is 0.841345; the vector's other axis takes 0.242 / 2b off
    assert chances == pytest.approx(0.841345 - 0.241971 / 2 / readings, abs=1e-6)


def test_without_noise_it_is_known():
    assert chance_within([5, 15], limit_gmm=10, u_gmm=0).tolist() == [1, 0]


def test_chance_within_refuses():
    with pytest.raises(InputError, match="limit_gmm must be greater than zero"):
        chance_within(1, limit_gmm=0, u_gmm=1)
    with pytest.raises(InputError, match="u_gmm must not be negative"):
        chance_within(1, limit_gmm=1, u_gmm=-1)
    with pytest.raises(InputError, match="unbalance must be finite"):
        chance_within(np.nan, limit_gmm=1, u_gmm=1)


@pytest.mark.parametrize("true", [0, 0.7, 2, 6])
def test_mean_amount_is_that_of_simulated_readings(true):
    # spread of a mean of 200 000 amounts: 0.0022
    assert mean_amount(true, u_gmm=1) == pytest.approx(np.mean(np.abs(true + NOISE)), abs=0.01)


def test_mean_amount_near_and_far():
    assert mean_amount(0, u_gmm=4) == pytest.approx(4 * np.sqrt(np.pi / 2))
    # far: bias u^2 / 2a
    assert mean_amount(1e6, u_gmm=1) - 1e6 == pytest.approx(0.5e-6, rel=0.01)
    with pytest.raises(InputError, match="u_gmm must be greater than zero"):
        mean_amount(1, u_gmm=0)
    with pytest.raises(InputError, match="true_gmm must not be negative"):
        mean_amount(-1, u_gmm=1)


def test_stop_when_nothing_stands_out():
    sight = can_see([15j, -10], u_gmm=8)
    assert sight.stop
    assert sight.seen.tolist() == [False, False]
    assert sight.remark.startswith("stop: below 16 g mm the machine cannot see")


def test_go_on_while_one_plane_stands_out():
    sight = can_see([15j, -10], u_gmm=[8, 4])
    assert sight.seen.tolist() == [False, True]
    assert not sight.stop
    assert sight.remark == ""


def test_proven_umar_raises_the_floor():
    assert can_see(30, u_gmm=1, umar_gmm=40).stop
    assert can_see([30, 30], u_gmm=1, umar_gmm=[40, 20]).seen.tolist() == [False, True]


@pytest.mark.parametrize("amount", [0, 0.5, 1.5, 3])
def test_chance_of_noise_alone(amount):
    expected = np.mean(np.abs(NOISE) >= amount)
    assert can_see(amount, u_gmm=1).chance[0] == pytest.approx(expected, abs=SHARE)


def test_without_noise_everything_but_nothing_is_seen():
    sight = can_see([0, 1e-9], u_gmm=0)
    assert sight.seen.tolist() == [False, True]
    assert sight.chance.tolist() == [1, 0]


def test_can_see_refuses():
    with pytest.raises(InputError, match="u_gmm must be one value or one for each plane"):
        can_see([1, 2], u_gmm=[1, 2, 3])
    with pytest.raises(InputError, match="umar_gmm must not be negative"):
        can_see([1, 2], u_gmm=1, umar_gmm=-1)


@settings(max_examples=30, deadline=None)
@given(st.floats(-360, 360))
def test_angle_error_leaves_the_difference_of_two_vectors(error):
    left = abs(1 - np.exp(1j * np.radians(error)))
    assert left_by_angle_error(error) == pytest.approx(left, abs=1e-12)
