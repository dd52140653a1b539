"""A recorded hole held against the plan: which hole it is, how it differs, which slip it may be."""

from dataclasses import replace
from importlib.resources import files

import pytest

from balance.job.appended import DrilledPage, DrillingPage
from balance.job.load import read_job
from balance.metal.drilled_holes import hole_g
from balance.metal.holes import axial_hole, radial_hole
from balance.metal.overlap import overlaps
from balance.metal.recorded import (
    PlannedToRecord,
    compare_hole,
    hole_text,
    planned_of,
    planned_to_record,
    recorded_since,
)
from balance.metal.steps import correct_job
from balance.spin.steps import spin_job

JOB = read_job(files("cli.examples") / "flat-four.toml")
SPUN = spin_job(JOB)
RIM, CIRCLE = 78.0, 112.0  # of the counterweights; of the flywheel's holes [mm]

FULL = PlannedToRecord(1, "W3", 313.0, 9.0, 17.5, 17.5)
STAGED = PlannedToRecord(2, "W8", 2.0, 9.0, 12.0, 15.0)
DISC = PlannedToRecord(3, "flywheel", 64.0, 8.0, 6.0, 6.0)
PLAN = (FULL, STAGED, DISC)


def hole(part="W3", angle=313.0, diameter=9.0, depth=17.5):
    return DrilledPage(part=part, angle=angle, diameter=diameter, depth=depth)


def with_drilled(*holes):
    entries = tuple(DrillingPage(**each.model_dump()) for each in holes)
    return JOB.model_copy(update={"drilled": entries})


@pytest.fixture(scope="module")
def planned():
    return planned_to_record(correct_job(JOB, SPUN))


@pytest.mark.parametrize(
    ("recorded", "number", "words"),
    [
        (hole(), 1, "as planned"),
        (hole(angle=316.0), 1, "3 deg off its 313 deg"),
        (hole("W8", 359.0, depth=12.0), 2, "3 deg off its 2 deg, to the first cut"),
        (hole("W8", 2.0, depth=13.5), 2, "between the first cut and its full depth"),
        (hole(depth=17.54), 1, "as planned"),  # depths are told to a tenth
        (hole("W8", 2.0, depth=12.04), 2, "to the first cut"),
        (hole("W8", 2.0, depth=15.0), 2, "as planned"),
        (hole("flywheel", 64.0, 8.0, 6.0), 3, "as planned"),
    ],
)
def test_a_hole_of_the_plan_is_known_and_its_difference_said(recorded, number, words):
    found = compare_hole(JOB, recorded, PLAN)
    assert (found.planned.number, found.words, found.slip) == (number, words, "")


def test_what_deeper_or_shorter_amounts_to_is_the_metal_of_a_full_cylinder():
    """Beyond the drill's point only depth is added: rho pi d^2 / 4 times the difference."""
    per_mm = 7.85e-3 * 3.14159265 * 9.0**2 / 4
    deeper = compare_hole(JOB, hole(depth=18.5), PLAN).words
    assert deeper == f"1 mm deeper than planned: {per_mm:.1f} g more"
    short = compare_hole(JOB, hole(depth=16.5), PLAN).words
    assert short == f"1 mm short of its depth: {per_mm:.1f} g less"
    first = compare_hole(JOB, hole("W8", 2.0, depth=11.5), PLAN).words
    assert first == f"0.5 mm short of the first cut: {per_mm / 2:.1f} g less"


@pytest.mark.parametrize(
    ("recorded", "slip"),
    [
        (hole(angle=47.0), "that is the angle of hole 1 counted the other way"),
        (hole(angle=133.0), "that is half a turn off hole 1"),
        (hole("W8", 313.0), "hole 1 is at that angle, but in W3"),
        (hole("W8", 133.0), ""),  # half a turn or the other way count in one part only
        (hole("W8", 47.0), ""),
        (hole("W8", 64.0), "hole 3 is at that angle, but in flywheel"),
        (hole(angle=47.0, diameter=8.0), "that is the angle of hole 1 counted the other way"),
        (hole(depth=18.6), ""),  # more than a millimetre too deep
        (hole(depth=16.4), ""),
        (hole(diameter=8.0), ""),
        (hole(angle=316.1), ""),
        (hole("W8", 2.0, depth=10.9), ""),  # short of the first cut
    ],
)
def test_a_hole_that_is_none_of_the_plan_is_told_its_likely_slip(recorded, slip):
    found = compare_hole(JOB, recorded, PLAN)
    assert found.planned is None
    assert found.slip == slip


def test_the_nearest_hole_of_the_plan_is_named():
    near = compare_hole(JOB, hole("W8", 40.0), PLAN).words
    assert near == "nearest is hole 2, W8 at 2 deg, 9 mm drill, 15 mm deep (first cut 12 mm)"
    none_here = compare_hole(JOB, hole("W1", 100.0), PLAN).words
    assert none_here == "the plan has no hole in W1, but 1 in W3, 2 in W8, 3 in flywheel"
    assert compare_hole(JOB, hole(), ()).words == "the plan has no hole to drill"
    # a drill that the job does not have is named by its size
    assert hole_text(JOB, "W1", angle=1.5, diameter=7.3, depth=2.0) == (
        "W1 at 1.5 deg, 7.3 mm drill, 2 mm deep"
    )


def test_the_plan_that_is_meant_does_not_move_while_its_holes_are_recorded(planned):
    """By the plan as spun, hole 2 is the hole 2 that was printed; a new plan has no holes."""
    first, second, *discs = (
        hole(each.part, each.degrees, each.diameter_mm, each.depth_mm) for each in planned
    )
    for drilled in ([first], [first, second], [first, second, *discs]):
        job = with_drilled(*drilled)
        as_spun = correct_job(job, SPUN, as_spun=True)
        assert planned_to_record(as_spun) == planned
        assert as_spun.waiting == {}
        since = recorded_since(job, SPUN, planned)
        assert [found.planned.number for found in since.holes] == [*range(1, len(drilled) + 1)]
        assert [each.number for each in since.to_come] == [*range(len(drilled) + 1, 5)]
    assert correct_job(job, SPUN).crank.plan.holes == ()


def test_a_first_cut_and_its_full_depth_are_one_hole_and_a_stray_one_ends_the_plan(planned):
    first = hole(planned[0].part, planned[0].degrees, planned[0].diameter_mm, planned[0].depth_mm)
    job = with_drilled(first.model_copy(update={"depth": first.depth - 1.0}), first)
    assert [found.words for found in recorded_since(job, SPUN, planned).holes] == ["as planned"]
    job = with_drilled(first, hole("W5", 0.0))
    since = recorded_since(job, SPUN, planned)
    assert [found.planned is None for found in since.holes] == [False, True]
    assert [each.part for each in since.to_come] == [disc.name for disc in JOB.bolted]


def test_first_cuts_are_recorded_at_their_own_depth():
    crank = correct_job(JOB, SPUN).crank
    cuts = [hole.depth_mm - 2.0 for hole in crank.plan.holes]
    told = planned_of(crank.plan, crank.marks, cuts)
    assert [each.first_mm for each in told] == cuts
    assert [each.depth_mm for each in told] == [hole.depth_mm for hole in crank.plan.holes]


def test_the_metal_of_one_hole_is_that_of_its_shape():
    rim = radial_hole(9.0, 17.5, surface_radius_mm=RIM, point_degrees=118.0)
    assert hole_g(JOB, hole()) == pytest.approx(float(rim.mass_g))
    disc = axial_hole(8.0, 6.0, radius_mm=CIRCLE)
    assert hole_g(JOB, hole("flywheel", 64.0, 8.0, 6.0)) == pytest.approx(float(disc.mass_g))


def test_holes_overlap_where_their_drills_would_meet():
    # by hand: holes of 8 mm on a circle of 112 mm touch at 2 asin(4 / 112) = 4.09 degrees
    one = hole("flywheel", 64.0, 8.0, 6.0)
    beside = [one.model_copy(update={"angle": 64.0 + apart}) for apart in (4.05, 4.13)]
    assert [overlaps(JOB, one, other) for other in beside] == [True, False]
    # radial holes converge: free at the rim (13.6 mm apart), they meet deeper than 26 mm
    shallow, deep = hole(depth=10.0), hole(depth=40.0)
    for each, meets in ((shallow, False), (deep, True)):
        assert overlaps(JOB, each, each.model_copy(update={"angle": 323.0})) == meets
    # of a bolted part whose circle is not known nothing can be said
    bare = replace_circle(JOB)
    assert not overlaps(bare, one, beside[0])


def replace_circle(job):
    parts = [part.model_copy(update={"hole_radius": None}) for part in job.bolted]
    return job.model_copy(update={"bolted": tuple(parts)})


def test_planned_angles_are_told_from_0_to_360():
    corrected = correct_job(JOB, SPUN)
    holes = tuple(replace(h, degrees=h.degrees - 360.0) for h in corrected.crank.plan.holes)
    crank = replace(corrected.crank, plan=replace(corrected.crank.plan, holes=holes))
    told = planned_to_record(replace(corrected, crank=crank))
    assert all(0 <= each.degrees < 360 for each in told)
