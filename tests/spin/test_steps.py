"""The spins of a job: like spins averaged, contradictions refused, bobweights asked for."""

import re

import numpy as np
import pytest
from cli.examples import make_examples

from balance.errors import JobFileError, MissingInputError
from balance.job.load import read_text
from balance.spin.steps import spin_job

FOUR = make_examples.flat_four()[0]
TWIN = make_examples.v_twin()[0]
V8 = make_examples.v8()[0]
SPIN = """
[[spins]]
name = "{name}"
on = ["crank"]
readings = [
  {{ plane = "left", amount = "{left} g mm", angle = "{angle} deg" }},
  {{ plane = "right", amount = "{right} g mm", angle = "140 deg" }},
]
"""


def again(name: str, left: float, right: float, angle: float = 276) -> str:
    return SPIN.format(name=name, left=left, right=right, angle=angle)


def test_like_spins_are_averaged_and_their_scatter_counts() -> None:
    once = spin_job(read_text(FOUR)).stacks[0]
    twice = spin_job(read_text(FOUR + again("again", 498, 361))).stacks[0]
    assert twice.spins == 2
    np.testing.assert_allclose(np.abs(twice.shown), [495, 363], atol=0.01)
    # 3 g mm of scatter is within the stated doubt of 5: the mean of two is surer by sqrt(2).
    assert twice.u_shown_gmm[0] == pytest.approx(once.u_shown_gmm[0] / np.sqrt(2), rel=0.02)


def test_scatter_above_the_stated_doubt_counts() -> None:
    sharp = FOUR.replace('least = "2 g mm"', 'least = "0 g mm"')
    sharp = sharp.replace("amount_error = 0.5 ", "amount_error = 0 ").replace(
        'angle_error = "0.4 deg"', 'angle_error = "0 deg"'
    )
    stack = spin_job(read_text(sharp + again("again", 496, 365))).stacks[0]
    # Readings 4 g mm apart on one axis: s = 4 / 2 per axis of the vector, mean of two.
    assert stack.u_shown_gmm[0] == pytest.approx(2 / np.sqrt(2), rel=0.01)


def test_spins_that_contradict_each_other_are_not_averaged() -> None:
    with pytest.raises(JobFileError, match="are of the same metal but differ by") as wrong:
        spin_job(read_text(FOUR + again("odd", 452, 365, angle=96), name="four.toml"))
    assert str(wrong.value).startswith("four.toml: spins: the spins 'crank alone' and 'odd' are")
    assert "heavyspot drilled" in str(wrong.value)
    assert "farthest" not in str(wrong.value)  # of two, neither


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("odd", "'odd' is farthest off"),
        ("", r"'crank' \(entry 5 under \[\[spins\]\]\) is farthest"),
    ],
)
def test_of_many_spins_the_odd_one_is_named(name: str, said: str) -> None:
    text = FOUR + again("like", 496, 363) + again(name, 452, 365, angle=96)
    with pytest.raises(JobFileError, match=said):
        spin_job(read_text(text))


def test_a_spin_taken_back_does_not_count() -> None:
    undo = '\n[[spins]]\non = ["crank"]\nundo = true\n'
    as_before = spin_job(read_text(FOUR))
    taken_back = spin_job(read_text(FOUR + again("odd", 452, 365, angle=96) + undo))
    np.testing.assert_array_equal(taken_back.stacks[0].shown, as_before.stacks[0].shown)


@pytest.mark.parametrize("text", [TWIN, V8], ids=["v-twin", "v8"])
def test_an_engine_that_needs_bobweights_is_not_judged_without(text: str) -> None:
    bare = re.sub(r"^bobweights = .*\n", "", text, flags=re.MULTILINE)
    with pytest.raises(MissingInputError, match="this engine needs bobweights"):
        spin_job(read_text(bare))


def test_proofs_that_contradict_the_machine_stop_everything() -> None:
    wrong = TWIN.replace('zero = "15 deg"', 'zero = "45 deg"')
    with pytest.raises(JobFileError, match=r"machine: the proof spins contradict it: .*zero"):
        spin_job(read_text(wrong))


def test_a_proof_mass_ten_times_too_far_out_is_found_by_the_scale() -> None:
    lines = [
        x for x in TWIN.splitlines() if not x.startswith(("counts", "turns", "zero", "points"))
    ]
    text = "\n".join(lines).replace('radius = "98 mm"', 'radius = "98 cm"', 1)
    with pytest.raises(JobFileError, match="plane 'timing side': one oz in shown stands for"):
        spin_job(read_text(text))


def test_a_machine_with_one_plane_is_told_why_that_is_not_enough() -> None:
    job = read_text(FOUR)
    assert job.machine is not None
    one = job.machine.model_copy(update={"planes": job.machine.planes[:1]})
    with pytest.raises(MissingInputError, match=r"a second plane under \[machine\]: one shows"):
        spin_job(job.model_copy(update={"machine": one}))
