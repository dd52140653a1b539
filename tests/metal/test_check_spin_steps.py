"""Which check spin a job asks for before its first hole, and when it asks for none."""

import cmath
import math
import re
from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest
from cli.examples import make_examples

from balance.job.load import read_text
from balance.metal.check_spin_steps import HANDY_G, PlannedCheck, _went_as_planned
from balance.sheet.results import Results
from balance.spin.machine_page import readings_of
from balance.spin.planes import transfer
from balance.spin.proof_steps import machine_job
from balance.spin.slips import EXCHANGED
from balance.vectors import vector
from cli.show_check_spin import show_check_spin

FLAT = make_examples.flat_four()[0]
TWIN = make_examples.v_twin()[0]
UNDECLARED = re.sub(r"(?m)^(counts|turns|zero|points_to) = .*\n", "", TWIN)


@cache
def of(text: str) -> Results:
    """A job's results, which keep what they have computed."""
    return Results(read_text(text))


def planned(text: str) -> PlannedCheck:
    found = of(text).check_spin.planned
    assert found is not None
    return found


def test_the_lumps_go_where_holes_go_when_these_tell_every_slip() -> None:
    results = of(FLAT)
    check = results.check_spin.planned
    assert check is not None
    crank = results.corrected.crank
    where = {(n, crank.marks[h.counterweight], h.degrees % 360) for n, h in crank.numbered}
    assert {(p.hole, p.mark, p.degrees) for p in check.places} <= where
    assert check.check.left_open == ()
    assert all(place.mass_g in HANDY_G for place in check.places)


def test_holes_in_line_with_crankpin_1_send_the_lump_aside() -> None:
    """201 and 160 degrees: counted the other way they are 159 and 200, and nobody would see."""
    check = planned(TWIN)
    (place,) = check.places
    assert place.hole == 0
    assert 30 < abs(place.degrees - 180) < 90
    assert check.check.left_open == check.left_open == ()


def test_what_must_be_shown_is_what_is_shown_and_the_lumps() -> None:
    check = planned(FLAT)
    now, must = check.check.before, check.check.shown
    lumps = [cmath.rect(p.mass_g * p.radius_mm, math.radians(p.degrees)) for p in check.places]
    assert (must - now).sum() == pytest.approx(sum(lumps))  # by force
    moments = [u * p.z_mm for u, p in zip(lumps, check.places, strict=True)]
    assert (must - now) @ [30, 240] == pytest.approx(sum(moments))  # and by moment
    assert [row.plane for row in check.rows] == ["left", "right"]
    for row in check.rows:
        assert row.must > row.now  # the heavy spot gets heavier


def test_where_only_a_lump_half_way_can_be_stuck_the_planes_cannot_be_told_apart() -> None:
    start = TWIN.index("[[crank.counterweights]]")
    second = TWIN.index("[[crank.counterweights]]", start + 1)
    end = TWIN.index("[machine]")
    one = TWIN[start:second].replace('z = "30 mm"', 'z = "52 mm"')
    assert "52 mm" in one
    text = TWIN[:start] + one + "\n" + TWIN[end:]
    check = planned(re.sub(r"(?m)^grade = .*$", 'grade = "G 40"', text))
    assert check.left_open == ("the two planes were exchanged",)  # it does no harm either
    assert check.check.left_open == check.left_open


def test_a_machine_that_reads_too_coarsely_is_said_to(capsys: pytest.CaptureFixture[str]) -> None:
    coarse = UNDECLARED.replace('least = "4 g mm"', 'least = "2000 g mm"')
    coarse = re.sub(r"(?m)^grade = .*$", 'per_bearing = "600 g mm"', coarse)
    check = planned(coarse)
    assert {place.mass_g for place in check.places} == {HANDY_G[-1]}
    assert "the angles are half a turn off (light side for heavy)" in check.untold
    assert planned(UNDECLARED).untold == ()
    show_check_spin(of(coarse))
    assert "Even so it would look the same if" in capsys.readouterr().out


def test_nothing_is_asked_where_nothing_is_cut_or_the_metal_has_changed() -> None:
    enough = re.sub(r"(?m)^grade = .*$", 'grade = "G 630"', FLAT)
    results = Results(read_text(enough))
    assert not results.corrected.crank.plan.holes
    assert results.check_spin.planned is None
    hole = '\n[[drilled]]\npart = "W3"\nangle = 313\ndiameter = "9 mm"\ndepth = "10 mm"\n'
    assert Results(read_text(FLAT + hole)).check_spin.planned is None


# every proof mass half a turn from where it is said to be, and no wheel to drill all round
LOST = re.sub(
    r'(stuck = .*angle = "?)(\d+)', lambda m: f"{m[1]}{(int(m[2]) + 180) % 360}", UNDECLARED
).replace('half_span = "105 deg"', 'half_span = "60 deg"')
SECOND = LOST.index("[[crank.counterweights]]", LOST.index("[[crank.counterweights]]") + 1)
APART = LOST[:SECOND] + LOST[SECOND:].replace('centre = "180 deg"', 'centre = "90 deg"', 1)


def test_without_a_plan_a_lump_at_each_end_asks_whether_half_a_turn_is_lost() -> None:
    results = of(APART)
    assert not results.corrected.crank.plan.feasible
    assert not results.corrected.crank.plan.holes
    check = planned(APART)
    assert check.unplanned
    assert results.check_spin.due
    job = results.job
    assert job.crank is not None
    places = sorted(weight.z for weight in job.crank.counterweights)
    assert [place.z_mm for place in check.places] == [places[0], places[-1]]
    assert all(place.hole == place.slug == 0 and place.mass_g in HANDY_G for place in check.places)
    marks = {weight.mark: weight for weight in job.crank.counterweights}
    for place in check.places:  # where putty can be stuck
        off = (place.degrees - marks[place.mark].centre + 180) % 360 - 180
        assert abs(off) <= marks[place.mark].half_span
    assert check.check.left_open == ()
    assert not planned(UNDECLARED).unplanned


def test_where_equal_lumps_would_hide_exchanged_planes_there_is_one_lump() -> None:
    """Both wheels alike: a lump on each shows the same whichever plane is which."""
    check = planned(LOST)
    assert check.unplanned
    assert len(check.places) == 1
    assert check.check.left_open == ()


@pytest.mark.parametrize("text", [LOST, APART])
def test_what_half_a_turn_makes_of_the_lumps_is_named_before_slugs_are_bought(text: str) -> None:
    """The machine is as in the job without the slip: the lumps show across."""
    check = planned(text)
    job = read_text(text)
    assert job.machine is not None
    after = check.check.before - check.check.change
    readings = ", ".join(
        f'{{ plane = "{plane.name}", amount = {shown.amount}, angle = {shown.degrees} }}'
        for plane, shown in zip(
            job.machine.planes, readings_of(job.machine, machine_job(job), after), strict=True
        )
    )
    stuck = ", ".join(
        f'{{ part = "{p.mark}", mass = {p.mass_g}, angle = {p.degrees} }}' for p in check.places
    )
    spin = f'[[spins]]\nbobweights = "1948 g"\nstuck = [{stuck}]\nreadings = [{readings}]\n'
    stopped = Results(read_text(f"{text}\n{spin}")).check_spin
    assert "the angles are half a turn off" in stopped.contradiction


def test_a_crank_with_one_counterweight_has_no_second_end() -> None:
    start = LOST.index("[[crank.counterweights]]")
    second = LOST.index("[[crank.counterweights]]", start + 1)
    check = planned(LOST[:second] + LOST[LOST.index("[machine]") :])
    assert check.unplanned
    assert {place.mark for place in check.places} == {"W1"}


def test_it_is_due_only_where_nothing_else_bears_the_machine_out() -> None:
    assert not of(TWIN).check_spin.due
    assert of(UNDECLARED).check_spin.due
    assert not of(FLAT).check_spin.due
    assert Results(read_text(re.sub(r"(?m)^proven = .*\n", "", FLAT))).check_spin.due


def drilled(depth: str, *, taken_gmm: float, degrees: float) -> Results:
    """The undeclared twin with one hole in W1, spun again with so much less at an angle."""
    check = planned(UNDECLARED)
    after = check.check.before - [cmath.rect(taken_gmm, math.radians(degrees)), 0]
    job = read_text(UNDECLARED)
    assert job.machine is not None
    readings = ", ".join(
        f'{{ plane = "{plane.name}", amount = {shown.amount}, angle = {shown.degrees} }}'
        for plane, shown in zip(
            job.machine.planes, readings_of(job.machine, machine_job(job), after), strict=True
        )
    )
    hole = f'[[drilled]]\npart = "W1"\nangle = 220\ndiameter = "12 mm"\ndepth = "{depth}"\n'
    again = f'[[spins]]\nbobweights = "1948 g"\ndrilled = 1\nreadings = [{readings}]\n'
    return Results(read_text(f"{UNDECLARED}\n{hole}{again}"))


def test_a_hole_that_went_as_planned_is_as_good_as_putty() -> None:
    # 12 mm, 15 mm deep from a rim of 104 mm: 7.85 g/cm3 x 1.83 cm3 = 14.3 g at 95.7 mm
    after = drilled("15 mm", taken_gmm=1373.0, degrees=220)
    assert after.history.steps[0].check.agrees == (True, True)
    assert after.check_spin.drilled_as_planned
    assert not after.check_spin.due


def test_a_hole_too_small_to_tell_anything_is_not() -> None:
    # the cone of the point alone: 7.85 g/cm3 x 0.136 cm3 + 0.1 mm = 1.2 g at 103 mm
    after = drilled("0.1 mm", taken_gmm=118.0, degrees=220)
    assert after.history.steps[0].check.agrees == (True, True)
    assert not after.check_spin.drilled_as_planned
    assert after.check_spin.due


def test_a_hole_half_way_between_the_machines_planes_cannot_tell_them_apart() -> None:
    """Seen from the bearings it is nearer to one, but the machine would show the same."""
    bearings, planes = (0.0, 400.0), (100.0, 200.0)
    spun = SimpleNamespace(bearings_mm=bearings, machine=SimpleNamespace(planes_mm=planes))
    for place, told in ((150.0, False), (120.0, True)):
        change = transfer([vector(1000.0, 40.0)], [place], bearings)
        check = SimpleNamespace(predicted=change, u_gmm=np.ones(2), agrees=(True, True))
        respun = SimpleNamespace(before=SimpleNamespace(unbalance=np.zeros(2)))
        step = SimpleNamespace(check=check, respun=respun)
        assert _went_as_planned(spun, step, ()) is told  # type: ignore[arg-type]
        assert _went_as_planned(spun, step, {EXCHANGED})  # type: ignore[arg-type]
