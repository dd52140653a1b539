"""Trial weights around the rotor, and proving the machine."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.spin.proving import (
    prove_reduction,
    prove_umar,
    reduction_ratio,
    trial_circle,
    trial_circle_from_amounts,
)
from balance.vectors import amount, vector

RESIDUAL = st.builds(vector, st.floats(0, 90), st.floats(0, 360))
TWELVE = np.arange(12) * 30.0


# residual and scale ----------------------------------------------------------------------------


def test_six_readings_worked_by_hand():
    """Residual 30 at 40 degrees, trial 150: the vectors added one by one, printed to 0.1."""
    amounts = [174.1, 178.5, 158.0, 128.5, 122.2, 147.8]
    angles = [6.4, 56.7, 109.2, 171.4, 244.8, 311.5]
    found = trial_circle(vector(amounts, angles), trial_gmm=150)
    # 0.1 degree of 180 g mm is 0.3 g mm in one reading, less in the mean of six
    assert found.residual == pytest.approx(vector(30, 40), abs=0.15)
    assert found.scale == pytest.approx(1, abs=1e-3)
    assert found.misfit_gmm < 0.2
    by_amounts = trial_circle_from_amounts(amounts, trial_gmm=150)
    assert by_amounts.residual == pytest.approx(vector(30, 40), abs=0.1)


@settings(max_examples=60, deadline=None)
@given(RESIDUAL, st.floats(0.5, 2), st.floats(-180, 180), st.integers(3, 12))
def test_scale_and_angle_error_of_the_machine_come_out(residual, scale, turned, k):
    positions = np.arange(k) * 360 / k
    readings = scale * vector(1, turned) * (residual + vector(100, positions))
    found = trial_circle(readings, trial_gmm=100)
    assert found.residual == pytest.approx(residual, abs=1e-9)
    assert found.scale == pytest.approx(scale)
    assert vector(1, found.angle_degrees) == pytest.approx(vector(1, turned))
    assert found.misfit_gmm == pytest.approx(0, abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(RESIDUAL, st.floats(0.5, 2), st.integers(3, 12))
def test_amounts_alone_give_the_same_residual(residual, scale, k):
    amounts = scale * amount(residual + vector(100, np.arange(k) * 360 / k))
    found = trial_circle_from_amounts(amounts, trial_gmm=100)
    assert found.residual == pytest.approx(residual, abs=1e-6)
    assert found.scale == pytest.approx(scale)
    assert found.spare == k - 3


def test_two_amounts_by_the_drawn_rule():
    # on polar paper: residual = trial * (largest - smallest) / (largest + smallest)
    amounts = amount(vector(40, 60) + vector(100, np.arange(6) * 60))
    found = trial_circle_from_amounts(amounts, trial_gmm=100)
    drawn = 100 * (amounts.max() - amounts.min()) / (amounts.max() + amounts.min())
    assert amount(found.residual) == pytest.approx(drawn)


def test_uneven_positions():
    positions = [0, 45, 200, 310]
    readings = vector(25, 300) + vector(80, positions)
    with_angles = trial_circle(readings, trial_gmm=80, position_degrees=positions)
    without = trial_circle_from_amounts(amount(readings), trial_gmm=80, position_degrees=positions)
    assert with_angles.residual == pytest.approx(vector(25, 300))
    assert without.residual == pytest.approx(vector(25, 300))


def test_uncertainty_is_that_of_simulated_spins():
    rng = np.random.default_rng(4)
    truth = vector(30, 40) + vector(100, np.arange(6) * 60)
    runs = [
        trial_circle(truth + 2 * (rng.normal(size=6) + 1j * rng.normal(size=6)), trial_gmm=100)
        for _ in range(2000)
    ]
    spread = np.sqrt(np.mean([abs(r.residual - vector(30, 40)) ** 2 for r in runs]) / 2)
    claimed = np.sqrt(np.mean([r.u_gmm**2 for r in runs]))
    # 4000 numbers: relative spread 1.1 %; the unknown scale adds (30/100)^2 / 2 = 4 %
    assert claimed == pytest.approx(spread, rel=0.08)


def test_uncertainty_of_amounts_is_that_of_simulated_spins():
    rng = np.random.default_rng(6)
    truth = amount(vector(20, 40) + vector(100, np.arange(6) * 60))
    runs = [
        trial_circle_from_amounts(truth + rng.normal(size=6), trial_gmm=100) for _ in range(2000)
    ]
    spread = np.sqrt(np.mean([abs(r.residual - vector(20, 40)) ** 2 for r in runs]) / 2)
    assert np.sqrt(np.mean([r.u_gmm**2 for r in runs])) == pytest.approx(spread, rel=0.08)


@pytest.mark.parametrize(
    ("readings", "options", "message"),
    [
        ([1, 2], {}, "readings must be at least three of one plane"),
        ([[1, 2, 3]], {}, "readings must be at least three of one plane"),
        ([1, 2, np.nan], {}, "readings must be finite"),
        ([1, 2j, 3], {"trial_gmm": 0}, "trial_gmm must be greater than zero"),
        ([1, 2j, 3], {"position_degrees": [0, 90]}, "position_degrees must be one angle for each"),
        ([1, 2j, 3], {"position_degrees": [5, 5, 365]}, "position_degrees must differ"),
        ([7, 7, 7], {}, "readings do not follow the trial weight at all"),
    ],
)
def test_trial_circle_refuses(readings, options, message):
    with pytest.raises(InputError, match=message):
        trial_circle(readings, **{"trial_gmm": 100, **options})


@pytest.mark.parametrize(
    ("amounts", "positions", "message"),
    [
        ([1, -2, 3], None, "amounts must not be negative"),
        ([1, 2, 3], [0, 0, 90], "position_degrees must hold at least three different positions"),
        ([0, 0, 90], None, "amounts do not fit a circle around any residual"),
    ],
)
def test_trial_circle_from_amounts_refuses(amounts, positions, message):
    with pytest.raises(InputError, match=message):
        trial_circle_from_amounts(amounts, trial_gmm=100, position_degrees=positions)


# Umar ------------------------------------------------------------------------------------------


def test_a_quiet_machine_passes():
    proof = prove_umar(np.full(12, 98.0), claimed_umar_gmm=10)
    assert proof.passed
    assert (proof.outside, proof.remark) == (0, "")
    assert proof.ratios == pytest.approx(np.ones(12))


@pytest.mark.parametrize(("out", "passed"), [(0, True), (1, True), (2, False)])
def test_one_excursion_is_allowed(out, passed):
    amounts = np.full(12, 100.0)
    amounts[:out] = 116
    proof = prove_umar(amounts, claimed_umar_gmm=10)
    assert (proof.outside, proof.passed) == (out, passed)


@pytest.mark.parametrize(("factor", "outside"), [(0.1199, 0), (0.1201, 2)])
def test_edge_of_the_band(factor, outside):
    amounts = np.full(12, 100.0)
    amounts[[0, 6]] = 100 * (1 + factor), 100 * (1 - factor)  # the mean stays 100
    assert prove_umar(amounts, claimed_umar_gmm=10).outside == outside


def test_a_residual_in_the_rotor_shows_as_a_wave():
    amounts = amount(vector(20, 130) + vector(100, TWELVE))
    proof = prove_umar(amounts, claimed_umar_gmm=10)
    assert not proof.passed
    assert proof.wave_share > 0.95
    # the wave is the first term of a series in 20/100: good to (20/100)^2
    assert proof.residual == pytest.approx(vector(20, 130), abs=0.04 * 20)
    assert f"about {abs(proof.residual):.3g} g mm at 130 degrees; take it out" in proof.remark


def test_a_noisy_machine_shows_no_wave():
    amounts = 100 + 15 * np.array([1, -1] * 6)
    proof = prove_umar(amounts, claimed_umar_gmm=10)
    assert not proof.passed
    assert proof.wave_share == pytest.approx(0, abs=1e-12)
    assert proof.remark == ""


@pytest.mark.parametrize(
    ("amounts", "umar", "message"),
    [
        (np.ones(11), 1, "amounts must be the 12 readings of one plane"),
        (np.zeros(12), 1, "amounts are all zero: the test mass was not seen"),
        (-np.ones(12), 1, "amounts must not be negative"),
        (np.ones(12), 0, "claimed_umar_gmm must be greater than zero"),
    ],
)
def test_prove_umar_refuses(amounts, umar, message):
    with pytest.raises(InputError, match=message):
        prove_umar(amounts, claimed_umar_gmm=umar)


# reduction -------------------------------------------------------------------------------------

TRAVELLING = vector(500, np.arange(11) * 30)


@pytest.mark.parametrize(
    ("fault", "passed"),
    [
        (1.04, True),  # 4 % too much
        (1.06, False),
        (vector(1, 2), True),  # 2 degrees leave 3.5 %
        (vector(1, 3), False),  # 3 degrees leave 5.2 %
        (1, True),
    ],
)
def test_amount_and_angle_are_proven_together(fault, passed):
    readings = (100 + TRAVELLING) * fault
    proof = prove_reduction(readings, stationary=100, travelling=TRAVELLING, claimed_percent=95)
    assert proof.passed is passed
    assert proof.achieved_percent == pytest.approx(100 * (1 - abs(1 - fault)))


def test_cross_talk_from_the_other_plane_is_found():
    other_plane = vector(500, 90 + np.arange(11) * 30)
    readings = 100 + TRAVELLING + 0.08 * other_plane
    proof = prove_reduction(readings, stationary=100, travelling=TRAVELLING, claimed_percent=95)
    assert not proof.passed


def test_one_run_may_miss():
    readings = 100 + TRAVELLING
    readings[4] += 300
    proof = prove_reduction(readings, stationary=100, travelling=TRAVELLING, claimed_percent=95)
    assert (proof.passed, proof.outside) == (True, 1)
    assert proof.achieved_percent == pytest.approx(100)


def test_reduction_ratio_of_arrays_and_growth():
    assert reduction_ratio([100, 50j], [5, 60]).tolist() == [95, -20]
    with pytest.raises(InputError, match="before must not be zero"):
        reduction_ratio(0, 1)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"readings": np.ones(10), "travelling": np.ones(10)}, "must be at least 11 runs each"),
        ({"readings": np.ones(12)}, "must be at least 11 runs each and as many"),
        ({"claimed_percent": 0}, "claimed_percent must be greater than zero"),
        ({"claimed_percent": 100}, "claimed_percent must be below 100"),
        ({"stationary": np.nan}, "stationary must be finite"),
        ({"stationary": -500}, "stationary and travelling must not cancel"),
        ({"stationary": [100, 100]}, "stationary must be one number"),
    ],
)
def test_prove_reduction_refuses(change, message):
    values = {
        "readings": TRAVELLING,
        "stationary": 100,
        "travelling": TRAVELLING,
        "claimed_percent": 95,
        **change,
    }
    with pytest.raises(InputError, match=message):
        prove_reduction(values.pop("readings"), **values)
