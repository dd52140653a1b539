"""Predicted against measured, on an invented shop whose errors are known."""

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from balance.errors import InputError
from balance.spin.history import CorrectionStep, check_step, correction_steps, learn
from balance.vectors import vector

U = 5.0  # g mm, reading uncertainty along each axis


def shop(jobs, *, factor=1.0, u_part=0.05, u_degrees=2.0, seed=0):
    """Return steps of a shop whose changes are `factor` times what was planned, plus scatter."""
    rng = np.random.default_rng(seed)
    found = []
    for _ in range(jobs):
        planned = rng.uniform(100, 600, 2) * np.exp(1j * rng.uniform(0, 7, 2))
        scatter = 1 + rng.normal(scale=u_part, size=2)
        turned = vector(1.0, rng.normal(scale=u_degrees, size=2))
        before = rng.normal(size=2) * 300 + 0j
        noise = rng.normal(scale=U, size=(2, 2)) + 1j * rng.normal(scale=U, size=(2, 2))
        after = before + factor * planned * scatter * turned
        found.append(CorrectionStep(before + noise[0], planned, after + noise[1]))
    return found


def test_scale_and_angle_of_a_shop_are_learned():
    true = vector(1.12, -4.0)
    learned = learn(shop(30, factor=true), u_reading_gmm=U)
    assert learned.used == 60
    assert learned.proven
    assert learned.scale == pytest.approx(1.12, abs=3 * learned.u_scale)
    assert learned.degrees == pytest.approx(-4.0, abs=3 * learned.u_degrees)
    # 60 changes of 5 % scatter: 0.05 / sqrt(60) = 0.6 % along the amount, less across
    assert 0.003 < learned.u_scale < 0.01


def test_stated_uncertainty_of_the_learned_scale_is_honest():
    """200 invented shops: the error over its stated uncertainty has a spread of about one."""
    ratio = []
    for seed in range(200):
        learned = learn(shop(6, factor=1.05, seed=seed), u_reading_gmm=U)
        ratio.append((learned.scale - 1.05) / learned.u_scale)
    # along the amount the scatter is 5 %, across it 3.5 %: the mean of both is what is stated
    assert 0.8 < np.std(ratio) < 1.3


def test_a_perfect_shop_is_not_accused():
    told = [learn(shop(8, seed=s), u_reading_gmm=U).proven for s in range(60)]
    assert np.mean(told) < 0.2


def test_mistakes_are_set_aside_not_learned():
    job = shop(10, factor=1.05)
    wrong = CorrectionStep(job[3].before, job[3].correction, job[3].before - job[3].correction)
    learned = learn([*job[:3], wrong, *job[4:]], u_reading_gmm=U)
    assert learned.set_aside == ((3, 0), (3, 1))
    assert learned.scale == pytest.approx(1.05, abs=0.04)


def test_what_was_learned_makes_the_next_prediction_better():
    true = vector(1.15, 8.0)
    learned = learn(shop(20, factor=true), u_reading_gmm=U)
    fresh = shop(20, factor=true, seed=9)
    plain = [check_step(s, u_reading_gmm=U) for s in fresh]
    taught = [check_step(s, u_reading_gmm=U, learned=learned) for s in fresh]
    assert np.mean([c.agrees for c in taught]) > 0.9
    assert np.mean([c.agrees for c in plain]) < 0.5


def test_honest_corrections_agree_nineteen_times_in_twenty():
    told = np.mean([check_step(s, u_reading_gmm=U).agrees for s in shop(500)])
    # 1000 planes: standard error 0.7 %; the error of a hole is taken as round, which it is not
    assert told == pytest.approx(0.95, abs=0.025)


PLANNED = np.array([vector(400, 40), vector(250, 160)])
MISTAKES = {
    "nothing was changed": 0 * PLANNED,
    "opposite side": -PLANNED,
    "counted the wrong way round": PLANNED.conj(),
    "each other's planes": PLANNED[::-1],
    r"turned by \+25 degrees": PLANNED * vector(1, 25),
    "came out 1.40 times as large": PLANNED * 1.4,
    "the next counterweight": np.array([vector(400, 70), vector(250, 160)]),
}


@pytest.mark.parametrize("name", MISTAKES)
def test_each_mistake_is_recognised(name):
    before = np.array([-400 + 30j, 200j])
    step = CorrectionStep(before, PLANNED, before + MISTAKES[name] + np.array([3, -2j]))
    other = {"the hole is on the next counterweight": [vector(400, 70), vector(250, 160)]}
    told = check_step(step, u_reading_gmm=U, alternatives=other)
    assert not all(told.agrees)
    assert len(told.explanations) == 1
    assert told.message.startswith("reading and prediction differ by")
    with pytest.raises(AssertionError, match=name):
        raise AssertionError(told.message)


def test_what_a_small_rotor_lacks_is_no_nothing():
    before = np.array([-0.4 + 0.03j, 0.2j])
    told = check_step(CorrectionStep(before, PLANNED / 1000, before), u_reading_gmm=U / 1000)
    assert told.message.startswith("reading and prediction differ by 0.40 g mm in plane 1")


def test_counting_the_wrong_way_is_about_the_degree_wheels_zero():
    axis = vector(1.0, 100)
    step = CorrectionStep([0, 0], PLANNED, (PLANNED / axis).conj() * axis)
    told = check_step(step, u_reading_gmm=U, zero_degrees=100)
    assert "wrong way round" in told.message
    assert not check_step(step, u_reading_gmm=U).explanations


def test_a_loose_part_fits_no_mistake():
    before = np.array([300 + 0j, 100j])
    after = before + PLANNED + np.array([0, 180 * np.exp(2j)])
    told = check_step(CorrectionStep(before, PLANNED, after), u_reading_gmm=U)
    assert told.agrees == (True, False)
    assert told.explanations == ()
    assert "differ by 180 g mm in plane 2 from the nose" in told.message
    assert "loose bobweight" in told.message


def test_no_correction_and_no_change_agree_and_a_change_alone_does_not():
    still = check_step(CorrectionStep([100], [0], [104]), u_reading_gmm=U)
    assert still.agrees == (True,)
    assert still.message == "reading and prediction agree"
    moved = check_step(CorrectionStep([100], [0], [200]), u_reading_gmm=U)
    assert moved.explanations == ()


def test_cross_talk_is_allowed_for_when_stated():
    step = CorrectionStep([0, 0], [500, 0], [500, 60j])
    assert check_step(step, u_reading_gmm=U).agrees == (True, False)
    assert check_step(step, u_reading_gmm=U, cross_talk=0.1).agrees == (True, True)


@given(st.floats(0, 360), st.integers(0, 10**6))
@settings(max_examples=30, deadline=None)
def test_turning_the_crank_frame_turns_the_check(by, seed):
    step = shop(1, factor=1.2, seed=seed)[0]
    turn = vector(1.0, by)
    other = CorrectionStep(step.before * turn, step.correction * turn, step.after * turn)
    plain = check_step(step, u_reading_gmm=U)
    turned = check_step(other, u_reading_gmm=U, zero_degrees=by)
    np.testing.assert_allclose(turned.difference, plain.difference * turn, atol=1e-9)
    assert turned.agrees == plain.agrees
    assert [e.text for e in turned.explanations] == [e.text for e in plain.explanations]


def test_swapping_planes_swaps_the_check():
    step = shop(1, factor=1.3)[0]
    other = CorrectionStep(step.before[::-1], step.correction[::-1], step.after[::-1])
    plain, swapped = (check_step(s, u_reading_gmm=U) for s in (step, other))
    assert swapped.agrees == plain.agrees[::-1]
    np.testing.assert_allclose(swapped.u_gmm, plain.u_gmm[::-1])


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: correction_steps([[1], [2]], [[1], [2]]), "corrections must be one fewer than"),
        (lambda: correction_steps([1, 2], [1]), "corrections must be one fewer than"),
        (lambda: CorrectionStep([1], [1, 2], [1]), "must be one value a plane"),
        (lambda: CorrectionStep([1], [np.nan], [1]), "correction must be finite"),
        (lambda: learn([], u_reading_gmm=1), "history must hold at least one .*got 0 step"),
        (
            lambda: learn([CorrectionStep([0], [100], [-100])], u_reading_gmm=1),
            "prove the machine with known masses",
        ),
        (lambda: learn(shop(1), u_reading_gmm=0), "u_reading_gmm must be greater than zero"),
        (lambda: check_step(shop(1)[0], u_reading_gmm=1, u_part=-1), "u_part must not be"),
        (
            lambda: check_step(shop(1)[0], u_reading_gmm=1, u_degrees=-1),
            "u_degrees must not be negative",
        ),
        (
            lambda: check_step(shop(1)[0], u_reading_gmm=1, cross_talk=-1),
            "cross_talk must not be negative",
        ),
        (
            lambda: check_step(shop(1)[0], u_reading_gmm=1, alternatives={"x": [1]}),
            r"alternatives\['x'\] must hold one value for each of 2 plane\(s\), got 1",
        ),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(InputError, match=message):
        call()
