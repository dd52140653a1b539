"""What is expected of a plan is worded by its chance, and little chance says what to do."""

from dataclasses import replace
from importlib.resources import files

import pytest

from balance.job.load import read_job
from balance.metal.planning import PlannedSlug, SlugChoice
from balance.metal.staging import FirstCut
from balance.metal.steps import correct_job
from balance.spin.steps import spin_job
from cli.expected import expected

JOB = read_job(files("cli.examples") / "flat-four.toml")
MADE = correct_job(JOB, spin_job(JOB))
CRANK, DISC = MADE.crank, MADE.discs[0]


def chanced(part, inside, **changes):
    return replace(part, chance=replace(part.chance, inside=inside), **changes)


def held_back(part):
    cuts = tuple(
        FirstCut(cut.hole, 0.8, cut.depth_mm - 2.0, cut.tip_depth_mm - 2.0)
        for cut in part.stage.first_cut
    )
    return replace(part, stage=replace(part.stage, first_cut=cuts))


@pytest.mark.parametrize("part", [CRANK, DISC], ids=["crank", "disc"])
@pytest.mark.parametrize(
    ("inside", "said"),
    [
        (0.98, "PASS in 98% of cases"),
        (0.95, "PASS in 95% of cases"),
        (0.9935, "PASS in 99.4% of cases"),
        (1.0, "PASS in nearly all cases"),
        (0.9, "PASS in 90% of cases only, 95% are wanted: drill, spin, and plan anew by what"),
        (0.5, "PASS in 50% of cases only, 95% are wanted: drill, spin, and plan anew by what"),
        (0.47, "more likely outside than in, PASS in 47% of cases only: drill, spin, and plan"),
    ],
)
def test_the_verdict_is_worded_by_the_chance(part, inside, said):
    assert expected(chanced(part, inside), wanted=0.95).startswith(said)


def test_the_wanted_chance_is_the_job_s_own():
    assert expected(chanced(CRANK, 0.9), wanted=0.9) == "PASS in 90% of cases"


def test_what_is_held_back_is_drilled_to_the_first_cut_only():
    said = expected(held_back(chanced(CRANK, 0.47)), wanted=0.95)
    assert said == (
        "more likely outside than in, PASS in 47% of cases only: drill the first cut only, spin, "
        "then finish by what the spin says"
    )


def test_a_crank_without_a_first_cut_is_drilled_whole():
    said = expected(chanced(CRANK, 0.47, stage=None), wanted=0.95)
    assert said.endswith(": drill, spin, and plan anew by what the spin says")


def test_slugs_are_fitted_first():
    slug = PlannedSlug(SlugChoice(12.0, 15.0, wall_mm=4.0), 180.0, 0, 500.0)
    with_slug = chanced(CRANK, 0.8, plan=replace(CRANK.plan, slugs=(slug,)))
    assert expected(with_slug, wanted=0.95).endswith(": fit the slugs, spin, then plan anew")


def test_a_reading_in_doubt_proves_nothing_however_good_the_chance():
    for part in (CRANK, DISC):
        said = expected(chanced(part, 0.98, verdict="not proven"), wanted=0.95)
        assert said.startswith("NOT PROVEN, inside the limit in 98% of cases: the readings' own")


def test_nothing_to_drill_stands_as_it_is_and_no_plan_expects_nothing():
    idle = replace(CRANK, chance=None, plan=replace(CRANK.plan, holes=()))
    assert expected(idle, wanted=0.95) == "PASS as it stands"
    refused = replace(CRANK, plan=replace(CRANK.plan, feasible=False))
    assert expected(refused, wanted=0.95) == ""
