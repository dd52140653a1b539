"""From a job's spins to its plan: what is warned of, and how hard slugs pull when it runs."""

from dataclasses import replace
from importlib.resources import files

import numpy as np
import pytest

from balance.job.load import read_job
from balance.metal.bays import beyond_practice
from balance.metal.planning import PlannedSlug, SlugChoice
from balance.metal.shapes import DrilledHole
from balance.metal.steps import _pulls, correct_job
from balance.spin.steps import spin_job

JOB = read_job(files("cli.examples") / "flat-four.toml")
SPUN = spin_job(JOB)
RIM, RPM = 78.0, 7800.0


def with_crank(**changes):
    return JOB.model_copy(update={"crank": JOB.crank.model_copy(update=changes)})


@pytest.fixture(scope="module")
def hardened():
    return correct_job(with_crank(hardened=True), SPUN)


def test_a_hardened_crank_is_warned_of_before_any_hole(hardened):
    assert hardened.warnings[0] == "this crank is hardened: ask its maker before any hole"
    assert hardened.feasible


def test_a_thin_wall_and_many_holes_are_beyond_practice(hardened):
    crank = hardened.crank
    first = crank.plan.holes[0]
    thin = [replace(weight, width_mm=15.0) for weight in crank.counterweights]
    said = beyond_practice(replace(crank, counterweights=tuple(thin)))
    assert said.keys() == {
        "counterweight W3",
        "counterweight W8",
    }  # a drill of 9 mm leaves 3 mm on either side
    assert said["counterweight W3"][0].startswith("a wall of 3 mm, practice is 3.175 mm at least (")
    # seven holes in the two counterweights of one throw are one more than practice, which counts by
    # the bay (US Army TM 9-6115-604-34), but one that is deepened counts once
    six = [DrilledHole(turn, 6.0, 6.0) for turn in range(0, 360, 60)]
    full = list(crank.counterweights)
    other = {2: 3}[first.counterweight]  # W3 and W4 stand beside crankpin 2
    for index, holes in ((first.counterweight, six[:2]), (other, six[2:])):
        full[index] = replace(full[index], holes=tuple(holes))
    crowded = replace(crank, counterweights=tuple(full))
    bay = "counterweights W3 and W4"
    assert beyond_practice(crowded)[bay][0].startswith("7 holes in one bay, practice is 6")
    deeper = tuple(replace(h, deepens=0) if h is first else h for h in crank.plan.holes)
    assert beyond_practice(replace(crowded, plan=replace(crank.plan, holes=deeper))) == {}


def test_every_hole_of_a_job_has_a_number_of_its_own(hardened):
    pieces = [hardened.crank, *hardened.discs]
    numbers = [number for piece in pieces for number, _ in piece.numbered]
    assert numbers == list(range(1, 1 + sum(len(piece.plan.holes) for piece in pieces)))
    assert [disc.first_hole for disc in hardened.discs] == [3, 4]


def test_a_slug_pulls_with_its_mass_at_its_own_radius(hardened):
    through = SlugChoice(12.0, 15.0, wall_mm=4.0)  # its centre is 4 + 6 mm below the rim
    radial = SlugChoice(9.0, 14.0, bore_depth_mm=18.0)  # its centre is 18 - 7 mm below it
    slugs = tuple(PlannedSlug(choice, 180.0, 0, 500.0) for choice in (through, radial))
    crank = replace(hardened.crank, plan=replace(hardened.crank.plan, slugs=slugs))
    turning = (RPM * 2 * np.pi / 60) ** 2
    by_hand = [
        0.018 * np.pi / 4 * d**2 * length / 1000 * radius / 1000 * turning
        for d, length, radius in ((12.0, 15.0, RIM - 10.0), (9.0, 14.0, RIM - 11.0))
    ]
    assert list(_pulls(JOB, crank)) == pytest.approx(by_hand)
    # without a speed nothing is said of the pull
    targets = JOB.targets.model_copy(update={"service_speed": None})
    assert list(_pulls(JOB.model_copy(update={"targets": targets}), crank)) == []
