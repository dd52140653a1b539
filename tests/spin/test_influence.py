"""Influence coefficients and corrections against invented rotors whose truth is known."""

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis.extra.numpy import arrays

from balance.errors import InputError
from balance.spin.influence import (
    coefficients,
    conditioning,
    correction,
    from_amplitudes,
)
from balance.spin.trials import repeatability, trial_answer, trial_size
from balance.vectors import turn, vector


def rotor(seed, sensors, planes):
    """Return an invented rotor: true coefficients and true unbalance."""
    rng = np.random.default_rng(seed)

    def draw(*shape):
        return rng.normal(size=shape) + 1j * rng.normal(size=shape)

    return draw(sensors, planes), draw(planes), draw(planes)


@given(st.integers(0, 10**6), st.integers(1, 3), st.integers(0, 3), st.booleans())
@settings(max_examples=60, deadline=None)
def test_trial_runs_give_back_the_rotor_and_its_unbalance(seed, planes, more, left_on):
    true, unbalance, trials = rotor(seed, planes + more, planes)
    on = np.tril(np.tile(trials, (planes, 1))) if left_on else np.diag(trials)
    initial = true @ unbalance
    responses = np.array([true @ (unbalance + weights) for weights in on])
    found = coefficients(initial, responses, trials, left_on=left_on)
    scale = 1e-9 / np.min(np.abs(trials))
    np.testing.assert_allclose(found, true, atol=scale)
    np.testing.assert_allclose(found, coefficients(initial, responses, on), atol=scale)
    left = initial + true @ correction(found, initial)
    # rounding of about 1e-16 grows by the condition number of the rotor and of the trials
    assert np.max(np.abs(left)) < 1e-7 * np.linalg.cond(true) / np.min(np.abs(trials))


@given(st.integers(0, 10**6), st.floats(0, 360))
@settings(max_examples=30, deadline=None)
def test_turning_the_zero_of_the_weights_turns_the_correction(seed, by):
    true, unbalance, trials = rotor(seed, 2, 2)
    initial = true @ unbalance
    responses = [initial + true[:, k] * trials[k] for k in range(2)]
    plain = correction(coefficients(initial, responses, trials), initial)
    turned = correction(coefficients(initial, responses, trials * vector(1, by)), initial)
    np.testing.assert_allclose(turned, plain * vector(1, by), rtol=1e-6)


def test_swapping_sensors_changes_nothing_and_swapping_planes_swaps():
    true, unbalance, _ = rotor(4, 3, 2)
    v = true @ unbalance + 0.1
    plain = correction(true, v)
    np.testing.assert_allclose(correction(true[::-1], v[::-1]), plain)
    np.testing.assert_allclose(correction(true[:, ::-1], v), plain[::-1])


def test_least_squares_against_scipy_on_real_and_imaginary_parts():
    from scipy.optimize import minimize

    true, _, _ = rotor(8, 5, 2)
    v = np.array([3, 1j, -2, 1 + 1j, 0.5])
    best = minimize(
        lambda p: np.sum(np.abs(v + true @ (p[:2] + 1j * p[2:])) ** 2), np.zeros(4), tol=1e-12
    )
    np.testing.assert_allclose(correction(true, v), best.x[:2] + 1j * best.x[2:], atol=1e-5)


def test_plain_numbers_stand_for_one_sensor_and_one_plane():
    assert coefficients(2j, 5j, 3)[0, 0] == pytest.approx(1j)
    assert correction(1j, 2j)[0] == pytest.approx(-2)
    assert coefficients([1, 2], [3, 4], 2)[:, 0] == pytest.approx([1, 1])
    assert correction([1, 1], [2, 2]) == pytest.approx([-2])


@pytest.mark.parametrize("left_on", [False, True])
def test_uncertainty_of_the_correction_against_simulation(left_on):
    """First-order propagation against 4000 noisy balancing jobs on one invented rotor."""
    true, unbalance, trials = rotor(21, 2, 2)
    on = np.tril(np.tile(trials, (2, 1))) if left_on else np.diag(trials)
    clean = np.array([true @ unbalance, *(true @ (unbalance + w) for w in on)])
    rng = np.random.default_rng(2)
    u = 1e-3
    found = []
    for _ in range(4000):
        v = clean + u * (rng.normal(size=clean.shape) + 1j * rng.normal(size=clean.shape))
        found.append(correction(coefficients(v[0], v[1:], trials, left_on=left_on), v[0]))
    told = conditioning(true, clean[0], u_vibration=u, trials=trials, left_on=left_on)
    # the standard error of a deviation from 8000 values is 0.8 %; four times that
    spread = np.sqrt(np.mean(np.abs(np.array(found) + unbalance) ** 2, axis=0) / 2)
    np.testing.assert_allclose(spread, told.u_correction, rtol=0.035)


def test_planes_close_together_amplify_reading_errors():
    apart = conditioning([[1, 0.1], [0.1, 1]], [1, 1], u_vibration=0.01)
    close = conditioning([[1, 0.9], [0.9, 1]], [1, 1], u_vibration=0.01)
    assert apart.condition == pytest.approx(1.1 / 0.9)
    assert close.condition == pytest.approx(1.9 / 0.1)
    assert np.all(close.u_correction > 5 * apart.u_correction)


def test_condition_does_not_depend_on_the_unit_of_a_plane():
    plain = conditioning([[1, 0.3], [0.2, 1]], [1, 1], u_vibration=1).condition
    assert conditioning([[1, 300], [0.2, 1000]], [1, 1], u_vibration=1).condition == (
        pytest.approx(plain)
    )


def test_more_readings_than_planes_leave_a_residual_that_is_told():
    told = conditioning([[1], [1]], [1, 3], u_vibration=[0.1, 0.1])
    assert told.residual == pytest.approx([-1, 1])
    assert told.residual_rms == pytest.approx(1)
    assert told.u_correction == pytest.approx([0.1 / 2**0.5])


def test_a_sensor_in_another_unit_changes_nothing_when_its_doubt_is_in_that_unit():
    true, _, _ = rotor(31, 4, 2)
    v, u = np.array([1, 2j, -1, 0.5]), np.array([0.1, 0.1, 0.2, 0.1])
    unit = np.array([1, 25.4, 1, 1000])
    plain = conditioning(true, v, u_vibration=u)
    other = conditioning(true * unit[:, None], v * unit, u_vibration=u * unit)
    np.testing.assert_allclose(other.u_correction, plain.u_correction)
    assert other.condition == pytest.approx(plain.condition)
    np.testing.assert_allclose(
        correction(true * unit[:, None], v * unit, u_vibration=u * unit),
        correction(true, v, u_vibration=u),
    )


def test_repeatability_pools_sensors_and_axes():
    rng = np.random.default_rng(0)
    shown = 5 + 3 * (rng.normal(size=(400, 3)) + 1j * rng.normal(size=(400, 3)))
    assert repeatability(shown) == pytest.approx(3, rel=0.06)  # 2394 data: 1.4 %, four times that


@given(
    arrays(float, 3, elements=st.floats(0, 360)),
    st.floats(0.2, 5),
    st.floats(0, 360),
    st.floats(0.5, 20),
)
@settings(max_examples=50, deadline=None)
def test_amplitudes_alone_give_back_the_unbalance(places, ratio, phase, initial):
    assume(np.max(np.abs(turn(places - places[0]))) > 5)  # in one place they are one trial
    trials = vector(40.0, places)
    influence = vector(ratio / 40, phase)
    found = from_amplitudes(initial, trials, initial * np.abs(1 + influence * trials))
    answers = [found.correction] + ([found.other] if found.ambiguous else [])
    nearest = min(answers, key=lambda w: abs(1 + influence * w))
    # where two circles touch, an amplitude error e moves the point by sqrt(e): 1e-15 -> 3e-8
    assert abs(1 + influence * nearest) < 1e-6
    assert found.closure < 1e-7


def test_two_opposite_trials_leave_two_mirrored_answers():
    found = from_amplitudes(3, [1, -1], [5, 4])
    assert found.ambiguous
    assert found.other == pytest.approx(np.conj(found.correction))
    assert found.closure == pytest.approx(0, abs=1e-12)


def test_three_trials_on_one_line_stay_ambiguous_and_a_fourth_decides():
    truth, trials = -1 / (0.5 + 0.4j), np.array([1, -1, 0.5])
    found = from_amplitudes(1, trials, np.abs(1 - trials / truth))
    assert found.ambiguous
    assert sorted([found.correction.imag, found.other.imag]) == (
        pytest.approx([-abs(truth.imag), abs(truth.imag)])
    )
    more = np.append(trials, 1j)
    decided = from_amplitudes(1, more, np.abs(1 - more / truth))
    assert not decided.ambiguous
    assert decided.correction == pytest.approx(truth)


def test_stated_repeatability_decides_what_counts_as_a_second_answer():
    truth, trials = -1 / (0.5 + 0.4j), np.array([1, -1, vector(1, 8)])
    sizes = np.abs(1 - trials / truth)
    assert not from_amplitudes(1, trials, sizes, u_amplitude=0.001).ambiguous
    assert from_amplitudes(1, trials, sizes, u_amplitude=0.1).ambiguous


def test_a_run_that_repeats_badly_shows_in_closure_and_misfit():
    trials = vector(50.0, [0, 90, 180, 270])
    sizes = np.abs(1 + 0.01 * trials) * 10
    sizes[2] += 2
    found = from_amplitudes(10, trials, sizes)
    assert found.closure > 0.03
    assert np.argmax(np.abs(found.misfit)) in (0, 2)
    assert found.closure == pytest.approx(np.sqrt(np.mean(found.misfit**2)) / 10)


def test_a_trial_weight_a_tenth_of_the_static_load():
    gmm = trial_size(rotor_mass_kg=10, speed_rpm=600)
    force = gmm * 1e-6 * (600 * 2 * np.pi / 60) ** 2
    assert force == pytest.approx(0.1 * 10 * 9.80665)
    assert trial_size(rotor_mass_kg=10, speed_rpm=1200) == pytest.approx(gmm / 4)


@pytest.mark.parametrize(
    ("response", "enough"),
    [(13.1, True), (12.9, False), (vector(10, 31), True), (vector(10, -29), False), (0, True)],
)
def test_an_answer_to_a_trial_weight(response, enough):
    told = trial_answer(10, response)
    assert told.enough is enough
    assert told.degrees_change == pytest.approx(abs(turn(np.degrees(np.angle(response)))))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: coefficients([1], [[2]], [0]), "trials must not be zero"),
        (
            lambda: coefficients([1], [[2], [3]], [1]),
            r"responses must be one row a trial run \(1\)",
        ),
        (lambda: coefficients([1, 1], [1, 2, 3], [1, 1]), r"one column a sensor \(2\)"),
        (lambda: coefficients([[1]], [[2]], [1]), "initial must be one value a sensor"),
        (lambda: coefficients([1], [[2], [3]], [[1, 1], [2, 2]]), "cannot tell 2 planes apart"),
        (lambda: coefficients([1], [[2]], [[1]], left_on=True), "left_on goes with one trial"),
        (lambda: coefficients([1], [[2]], [[[1]]]), "trials must be"),
        (lambda: coefficients([np.nan], [[2]], [1]), "initial must be finite"),
        (lambda: correction([[1, 2]], [1]), "at least as many sensors .*got 1 for 2"),
        (lambda: correction([[1, 2], [1, 2]], [1, 1]), "planes act alike"),
        (lambda: correction([[1, 0], [1, 0]], [1, 1]), "planes act alike on every sensor, or not"),
        (lambda: correction([[1], [1]], [1]), "vibration must hold one value for each of the 2"),
        (lambda: conditioning([[1]], [1], u_vibration=-1), "u_vibration must be greater than zero"),
        (lambda: correction([[1], [1]], [1, 1], u_vibration=[1]), "u_vibration must be one figure"),
        (lambda: repeatability([1]), "readings must hold at least two repeats"),
        (lambda: from_amplitudes(0, [1, -1], [1, 1]), "initial must be greater than zero"),
        (lambda: from_amplitudes(1, [1, -1], [1]), "must be one a run, got 2 and 1"),
        (lambda: from_amplitudes(1, [1, 0], [1, 1]), "trials must not be zero"),
        (lambda: from_amplitudes(1, [1], [1]), "trials must differ in place or size"),
        (lambda: from_amplitudes(1, [2, 2, 2], [1, 1, 1]), "trials must differ in place or size"),
        (lambda: from_amplitudes(1, [1, -1], [1, -1]), "amplitudes must not be negative"),
        (lambda: from_amplitudes(1, [1, 1j, -1], [1, 1, 1]), "the trial weights changed nothing"),
        (lambda: trial_size(rotor_mass_kg=0, speed_rpm=1), "rotor_mass_kg must be greater"),
        (lambda: trial_size(rotor_mass_kg=1, speed_rpm=0), "speed_rpm must be greater"),
        (lambda: trial_answer(0, 1), "initial must not be zero"),
        (lambda: trial_answer(1, np.inf), "response must be finite"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(InputError, match=message):
        call()
