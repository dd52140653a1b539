"""While holes wait for a spin their part has no plan, and what does not wait keeps its own."""

from importlib.resources import files

import pytest

from balance.job.appended import DrillingPage
from balance.job.load import read_job
from balance.metal.drilled_holes import taken_between
from balance.metal.steps import correct_job
from balance.spin.steps import spin_job

JOB = read_job(files("cli.examples") / "flat-four.toml")
SPUN = spin_job(JOB)
MADE = correct_job(JOB, SPUN)


def drilled(*holes):
    entries = tuple(
        DrillingPage(part=part, angle=angle, diameter=diameter, depth=depth)
        for part, angle, diameter, depth in holes
    )
    return JOB.model_copy(update={"drilled": entries})


def test_a_crank_that_waits_has_no_plan_but_a_place():
    job = drilled(("W3", 313.0, 9.0, 17.5), ("W8", 165.0, 9.0, 12.5))
    now = correct_job(job, SPUN)
    assert now.waiting == {"crank": 2}
    assert (now.crank.plan.holes, now.crank.plan.slugs, now.crank.plan.feasible) == ((), (), None)
    assert now.crank.plan.reason == (
        "2 holes were drilled since the last spin: spin first, then plan anew"
    )
    assert not now.feasible
    assert (now.crank.plan.removed_g, now.crank.plan.optimal) == (0.0, False)
    assert now.crank.chance is now.crank.stage is None
    # as planned, the two holes bring it where the plan said, but no spin has shown it
    assert now.crank.before == pytest.approx(MADE.crank.plan.residual)
    assert now.crank.plan.residual == pytest.approx(now.crank.before)
    assert now.crank.verdict == "pass"
    assert [len(weight.holes) for weight in now.crank.counterweights] == [0, 0, 1, 0, 0, 0, 0, 1]
    # the bolted parts keep their plans and the numbers of their holes
    assert [disc.numbered for disc in now.discs] == [disc.numbered for disc in MADE.discs]


def test_a_bolted_part_that_waits_holds_up_nobody_else():
    now = correct_job(drilled(("flywheel", 64.0, 8.0, 6.0)), SPUN)
    wheel, cover = now.discs
    assert now.waiting == {"flywheel": 1}
    assert (wheel.plan.holes, wheel.plan.feasible, wheel.chance) == ((), None, None)
    assert wheel.before == pytest.approx(MADE.discs[0].plan.residual)
    assert wheel.plan.removed_g == 0.0
    assert wheel.verdict == "pass"
    assert cover == MADE.discs[1]
    assert now.crank.plan.holes == MADE.crank.plan.holes


def test_what_is_left_of_a_crank_that_waits_is_the_reading_less_the_holes():
    job = drilled(("W5", 0.0, 9.0, 10.0))
    now = correct_job(job, SPUN).crank
    assert now.before == pytest.approx(SPUN.parts[0].unbalance - taken_between(job, ["W5"], 0))
    assert now.verdict == "fail"
