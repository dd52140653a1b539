"""What the next spin should show, held against that spin being made: written down and read back."""

from dataclasses import replace
from importlib.resources import files

import numpy as np
import pytest

from balance.errors import MissingInputError
from balance.job.load import read_text
from balance.metal.holes import axial_hole, radial_hole
from balance.metal.next_spin import next_spins
from balance.metal.planning import PlannedSlug, SlugChoice
from balance.metal.steps import correct_job
from balance.sheet.results import Results
from balance.spin.planes import transfer
from balance.vectors import fold, vector

EXAMPLES = {name: (files("cli.examples") / f"{name}.toml").read_text(encoding="utf-8")
            for name in ("flat-four", "v-twin")}  # fmt: skip


def results_of(name, *swaps):
    text = EXAMPLES[name]
    for old, new in swaps:
        assert old in text
        text = text.replace(old, new)
    return Results(read_text(text))


def expected(results):
    return next_spins(results.job, results.spun, results.corrected)


def drilled_and_spun(results):
    """Return the job as its file says it after the crank was drilled and spun as expected."""
    crank, spin = results.corrected.crank, expected(results)[0]
    hung = results.job.standing_spins[0].bobweights
    holes = "".join(
        f'\n[[drilled]]\npart = "{crank.marks[hole.counterweight]}"\n'
        f'angle = "{fold(hole.degrees):.6f} deg"\ndiameter = "{hole.diameter_mm} mm"\n'
        f'depth = "{hole.depth_mm} mm"\n'
        for hole in crank.plan.holes
    )
    shown = ", ".join(
        f'{{ plane = "{p.plane}", amount = {p.amount:.6f}, angle = "{p.degrees:.6f} deg" }}'
        for p in spin.planes
    )
    bobs = f"bobweights = {[f'{each} g' for each in hung]}\n" if hung else ""
    return (
        f'{holes}\n[[spins]]\nname = "again"\non = ["crank"]\n{bobs}'
        f"drilled = {len(crank.plan.holes)}\nreadings = [{shown}]\n"
    )


@pytest.mark.parametrize("name", ["flat-four", "v-twin"])
def test_a_spin_as_expected_reads_as_planned(name):
    """The door from the machine to the crank is walked the other way and back."""
    before = results_of(name)
    after = Results(read_text(EXAMPLES[name] + drilled_and_spun(before)))
    left = before.corrected.crank.plan.residual
    # six decimals were written, the plan's depths and angles are exact
    assert after.spun.parts[0].unbalance == pytest.approx(left, abs=0.01)
    assert not after.history.unexplained


def test_a_stack_shows_what_is_left_of_all_its_parts():
    results = results_of("flat-four")
    *_, whole = expected(results)
    corrected, spun = results.corrected, results.spun
    assert (whole.on, whole.after) == (("crank", "flywheel", "clutch cover"), "all that is planned")
    change = sum(d.plan.residual - d.before for d in corrected.discs)
    change += np.sum(corrected.crank.plan.residual - corrected.crank.before)
    there = sum(plane.unbalance for plane in whole.planes)  # the resultant needs no places
    assert there == pytest.approx(np.sum(spun.stacks[-1].unbalance) + change)


def test_the_crank_is_spun_after_its_first_cuts():
    results = results_of("flat-four")
    crank = results.corrected.crank
    cuts = tuple(replace(cut, share=0.5, depth_mm=5.0) for cut in crank.stage.first_cut)
    held = replace(crank, stage=replace(crank.stage, first_cut=cuts))
    spin = next_spins(results.job, results.spun, replace(results.corrected, crank=held))[0]
    assert held.stage.held_back
    assert spin.after == "its first cuts"
    middle = (crank.before + crank.plan.residual) / 2  # half of each hole
    there = transfer(middle, results.spun.bearings_mm, results.spun.machine.planes_mm)
    shown = [plane.unbalance for plane in spin.planes]
    assert sorted(map(abs, shown)) == pytest.approx(sorted(map(abs, there)))


def test_slugs_are_spun_before_any_hole():
    results = results_of("flat-four")
    crank = results.corrected.crank
    slugs = (PlannedSlug(SlugChoice(16, 12, 18.0, wall_mm=5.0), 170.0, 0, 500.0),)
    planned = replace(
        results.corrected, crank=replace(crank, plan=replace(crank.plan, slugs=slugs))
    )
    spin = next_spins(results.job, results.spun, planned)[0]
    assert spin.after == "the slugs, no hole yet"
    there = sum(plane.unbalance for plane in spin.planes)
    assert there == pytest.approx(np.sum(crank.before) + vector(500.0, 170.0))


def resultant(planes):
    return sum(plane.unbalance for plane in planes)


def test_a_stack_shows_its_parts_where_they_are_along_the_crank():
    """Moments about the nose: the machine's planes against bearings and bolted parts."""
    results = results_of("flat-four")
    corrected, spun = results.corrected, results.spun
    z_mm = {part.name: part.z for part in results.job.bolted}
    crank = corrected.crank.plan.residual - corrected.crank.before
    moment = (spun.stacks[-1].unbalance + crank) @ spun.bearings_mm
    moment += sum((d.plan.residual - d.before) * z_mm[d.name] for d in corrected.discs)
    shown = [plane.unbalance for plane in expected(results)[-1].planes]
    assert np.dot(shown, spun.machine.planes_mm) == pytest.approx(moment)


def test_holes_recorded_since_the_last_spin_are_taken_off():
    entry = '\n[[drilled]]\npart = "{}"\nangle = {}\ndiameter = "{} mm"\ndepth = "{} mm"\n'
    text = EXAMPLES["flat-four"]
    rim = float(radial_hole(9.0, 10.0, surface_radius_mm=78.0).unbalance_gmm)
    results = Results(read_text(text + entry.format("W5", 90, 9, 10)))
    alone, *_, whole = expected(results)
    spun, discs = results.spun, results.corrected.discs
    planned = sum(d.plan.residual - d.before for d in discs)
    assert (alone.after, whole.after) == ("the holes recorded", "all that is planned")
    assert resultant(alone.planes) == pytest.approx(np.sum(spun.stacks[0].unbalance) - 1j * rim)
    there = np.sum(spun.stacks[-1].unbalance) - 1j * rim + planned
    assert resultant(whole.planes) == pytest.approx(there)

    circle = complex(vector(float(axial_hole(8.0, 6.0, radius_mm=112.0).unbalance_gmm), 64.0))
    results = Results(read_text(text + entry.format("flywheel", 64, 8, 6)))
    alone, *_, whole = expected(results)
    crank, cover = results.corrected.crank, results.corrected.discs[1]
    left = np.sum(crank.plan.residual)
    assert resultant(alone.planes) == pytest.approx(left)  # the wheel's hole is not on it
    change = np.sum(crank.plan.residual - crank.before) + cover.plan.residual - cover.before
    there = np.sum(spun.stacks[-1].unbalance) - circle + change
    assert resultant(whole.planes) == pytest.approx(there)


def test_a_crank_that_is_left_alone_shows_what_it_showed():
    results = results_of("flat-four", ('grade = "G 6.3"', 'grade = "G 630"'))
    spin = expected(results)[0]
    assert spin.after == ""
    assert resultant(spin.planes) == pytest.approx(np.sum(results.spun.stacks[0].unbalance))


def test_planes_may_be_written_from_the_flywheel_to_the_nose():
    left, right = '  { name = "left", z = "30 mm" },\n', '  { name = "right", z = "240 mm" },\n'
    one, other = results_of("flat-four"), results_of("flat-four", (left + right, right + left))
    assert [plane.plane for plane in expected(other)[0].planes] == ["right", "left"]
    for spin, again in zip(expected(one), expected(other), strict=True):
        for plane, same in zip(spin.planes, reversed(again.planes), strict=True):
            assert same.unbalance == pytest.approx(plane.unbalance)
            assert (same.plane, same.amount) == (plane.plane, pytest.approx(plane.amount))
            assert same.degrees == pytest.approx(plane.degrees)


def test_a_machine_that_was_found_is_told_in_its_own_unit():
    undeclared = (('counts = "with"', "#"), ('zero = "15 deg"', "#"), ('points_to = "add"', "#"))
    results = results_of("v-twin", *undeclared)
    for plane in expected(results)[0].planes:
        # 1 oz in is 720.08 g mm; these proof spins of three digits found 717 and 714 of it
        assert abs(plane.unbalance) / plane.amount == pytest.approx(720.08, rel=0.015)


def test_a_job_without_a_machine_expects_nothing():
    results = results_of("flat-four")
    job = results.job.model_copy(update={"machine": None})
    with pytest.raises(MissingInputError, match=r"a \[machine\] table"):
        next_spins(job, results.spun, correct_job(results.job, results.spun))
