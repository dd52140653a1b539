"""Check spins as a job keeps them: what they are compared with, and what they prove.

The invented twin of the examples; its machine shows oz in and is proven by three spins. The putty
is added here by arithmetic on its own readings.
"""

import cmath
import math
import re
from collections.abc import Callable

import pytest
from cli.examples import make_examples

from balance.errors import JobFileError, MissingInputError
from balance.job.load import read_text
from balance.job.model import Job
from balance.sheet.results import Results
from balance.spin.check_spin_steps import RecordedCheck, last_check, putty_of
from balance.spin.machine import from_crank, to_crank
from balance.spin.machine_page import displayed
from balance.spin.proof_steps import is_proven, machine_job, machine_rests_on, prove_job
from balance.units import read

TWIN = make_examples.v_twin()[0]
DECLARED = ("counts = ", "turns = ", "zero = ", "points_to = ")
START, END = TWIN.index("[[proofs]]"), TWIN.index("[drills]")
UNDECLARED = "\n".join(line for line in TWIN.splitlines() if not line.startswith(DECLARED))
BARE = TWIN[:START] + TWIN[END:]
PUTTY = '[{ part = "W1", mass = "10 g", angle = "120 deg" }]'  # 10 g at a rim of 104 mm, z 30


def dial(*, turned: float = 0.0, mass_g: float = 10.0) -> str:
    """The readings of the twin with 10 g on W1 at 120 degrees; ``turned`` is where it seems."""
    job = read_text(TWIN)
    assert job.machine is not None
    machine = machine_job(job)
    shown = to_crank(displayed(job.machine, job.standing_spins[0].readings), machine)
    shown[0] += cmath.rect(mass_g * 104, math.radians(120 + turned))  # W1 stands in the plane
    pair = from_crank(shown, machine)
    rows = (
        f'{{ plane = "{plane.name}", amount = {one.amount}, angle = {one.degrees} }}'
        for plane, one in zip(job.machine.planes, pair, strict=True)
    )
    return f"readings = [{', '.join(rows)}]\n"


def check(readings: str, stuck: str = PUTTY, more: str = 'bobweights = "1948 g"\n') -> str:
    return f"\n[[spins]]\nstuck = {stuck}\n{more}{readings}"


def recorded(text: str) -> RecordedCheck:
    job = read_text(text)
    found = last_check(job, machine_job(job))
    assert found is not None
    return found


@pytest.mark.parametrize("text", [TWIN, UNDECLARED, BARE], ids=["both", "proofs", "declared"])
def test_putty_that_shows_where_it_was_stuck_agrees(text: str) -> None:
    found = recorded(text + check(dial()))
    assert found.agrees
    assert found.message == "the check spin agrees: the putty shows where it was stuck"
    assert is_proven(read_text(text + check(dial())))
    assert Results(read_text(text + check(dial()))).spun.proven


def test_bobweights_that_stay_on_leave_no_doubt_in_a_check_spin() -> None:
    """They hang in both spins and fall out of the difference; only the spin itself doubts them."""
    rough = TWIN.replace("\n[bobweights]\n", '\n[bobweights]\nmass_error = "20 g"\n', 1)
    assert rough != TWIN
    fine, doubted = recorded(TWIN + check(dial())).check, recorded(rough + check(dial())).check
    assert fine is not None
    assert doubted is not None
    assert doubted.reach_gmm == pytest.approx(fine.reach_gmm, rel=1e-12)
    spun = [Results(read_text(text)).spun.stacks[0].u_gmm[0] for text in (TWIN, rough)]
    assert spun[1] > 2 * spun[0]


def test_putty_in_a_plane_counts_as_on_a_rim_in_that_plane() -> None:
    plane = '[{ plane = "timing side", mass = "10 g", radius = "104 mm", angle = "120 deg" }]'
    assert recorded(TWIN + check(dial(), plane)).agrees
    job = read_text(TWIN + check(dial(), plane))
    one, other = putty_of(job, job.check_spins[0].stuck[0]), read_text(TWIN + check(dial()))
    assert one == putty_of(other, other.check_spins[0].stuck[0])


@pytest.mark.parametrize("text", [TWIN, UNDECLARED, BARE], ids=["both", "proofs", "declared"])
def test_putty_elsewhere_takes_the_proof_away(text: str) -> None:
    found = recorded(text + check(dial(turned=180)))
    assert found.contradicts
    assert "this would look like it: the angles are half a turn off" in found.message
    assert not is_proven(read_text(text + check(dial(turned=180))))


def test_what_nothing_explains_says_so() -> None:
    odd = TWIN + check(dial(turned=75, mass_g=30))
    assert recorded(odd).message.endswith("where it was stuck; no known slip explains it")


def test_too_little_putty_proves_nothing_and_refutes_nothing() -> None:
    light = PUTTY.replace("10 g", "0.5 g")
    text = BARE + check(dial(mass_g=0.5), light)
    found = recorded(text)
    assert "cannot tell enough: it would look the same if the" in found.message
    assert found.verdict is not None
    assert len(found.verdict.fits) > 2
    assert found.message.count(", or ") == 1  # the two simplest are enough to act on
    assert not is_proven(read_text(text))
    assert is_proven(read_text(TWIN + check(dial(mass_g=0.5), light)))  # by its proofs


@pytest.mark.parametrize(
    "more", ['bobweights = "1900 g"\n', 'bobweights = "1948 g"\ndrilled = 1\n']
)
def test_only_the_same_metal_and_bobweights_are_compared(more: str) -> None:
    hole = '\n[[drilled]]\npart = "W1"\nangle = 200\ndiameter = "12 mm"\ndepth = "9 mm"\n'
    found = recorded(TWIN + hole + check(dial(), more=more))
    assert found.verdict is None
    assert not found.agrees
    assert not found.contradicts
    assert "has nothing to be compared with: it needs a spin of the same crank" in found.message
    before = recorded(TWIN + hole + check(dial()) + check(dial(turned=180), more=more))
    assert before.agrees  # the earlier one has something to say


def test_the_latest_check_spin_counts_and_can_be_taken_back() -> None:
    wrong = TWIN + check(dial()) + check(dial(turned=180))
    assert recorded(wrong).contradicts
    assert recorded(wrong + "\n[[spins]]\nundo = true\n").agrees
    gone = read_text(wrong + "\n[[spins]]\nundo = true\n" * 2)
    assert last_check(gone, machine_job(gone)) is None
    assert len(gone.standing_spins) == 1


def test_what_a_machine_rests_on() -> None:
    assert machine_rests_on(read_text(TWIN)) == "declared"
    assert machine_rests_on(read_text(UNDECLARED)) == "proofs"
    assert machine_rests_on(read_text(BARE)) == "nothing"
    dated = BARE.replace("[machine]", "[machine]\nproven = 2026-01-31")
    assert machine_rests_on(read_text(dated)) == "declared"
    wrong = TWIN.replace('zero = "15 deg"', 'zero = "75 deg"')
    assert machine_rests_on(read_text(wrong)) == "nothing"


def test_a_check_spin_of_a_machine_that_nobody_knows_waits() -> None:
    nobody = (
        UNDECLARED[: UNDECLARED.index("[[proofs]]")] + UNDECLARED[UNDECLARED.index("[drills]") :]
    )
    job = read_text(nobody + check(dial()))
    assert not is_proven(job)
    with pytest.raises(MissingInputError):
        machine_job(job)


def test_a_check_spin_mends_no_proofs_that_contradict_the_job() -> None:
    job = read_text(TWIN.replace('zero = "15 deg"', 'zero = "75 deg"') + check(dial()))
    assert not is_proven(job)
    with pytest.raises(JobFileError, match="the proof spins contradict it"):
        machine_job(job)


def every_step(job: Job) -> list[object]:
    results = Results(job)
    spun, plan = results.spun, results.corrected.crank.plan
    return [
        [part.unbalance.tolist() for part in spun.parts],
        [part.u_gmm.tolist() for part in spun.parts],
        [(stack.spins, stack.drilled) for stack in spun.stacks],
        spun.doubts,
        plan.holes,
        plan.residual.tolist(),
        len(results.history.steps),
        results.corrected.waiting,
    ]


@pytest.mark.parametrize("drilled", [0, 1])
def test_no_step_takes_a_check_spin_for_a_state_of_the_crank(drilled: int) -> None:
    hole = '\n[[drilled]]\npart = "W1"\nangle = 200\ndiameter = "12 mm"\ndepth = "9 mm"\n'
    text = TWIN + hole * drilled
    checked = text + check(dial()) + check(dial(turned=33), more="") + hole.replace("W1", "W2")
    plain = text + hole.replace("W1", "W2")
    assert every_step(read_text(checked)) == every_step(read_text(plain))


def test_planes_exchanged_in_the_proofs_alone_are_found_out_though_nothing_is_declared() -> None:
    proofs = UNDECLARED[UNDECLARED.index("[[proofs]]") : UNDECLARED.index("[drills]")]
    swapped = proofs.replace('plane = "timing side", amount', 'plane = "?", amount')
    swapped = swapped.replace('plane = "drive side", amount', 'plane = "timing side", amount')
    job = read_text(UNDECLARED.replace(proofs, swapped.replace('"?"', '"drive side"')))
    (said, *_) = prove_job(job).differences
    assert "a mass stuck in plane 'timing side' shows in plane 'drive side'" in said
    assert "Stick one on the nose end and spin: where it shows is the plane nearest" in said
    assert "Is that not 'timing side' (z " in said
    assert "exchange the places z of the two under [machine]" in said
    assert "take them out and make them anew" in said
    with pytest.raises(JobFileError, match="contradict it: planes: a mass stuck in plane"):
        machine_job(job)


def test_the_unit_of_the_screen_is_the_unit_of_the_prediction() -> None:
    """10 g at 104 mm is 1040 g mm or 1.44 oz in, on a machine declared or found."""
    for text in (TWIN, UNDECLARED):
        results = Results(read_text(text))
        planned = results.check_spin.planned
        assert planned is not None
        assert planned.unit == "oz in"
        row = planned.rows[0]
        moved = cmath.rect(row.must, math.radians(row.must_degrees)) - cmath.rect(
            row.now, math.radians(row.now_degrees)
        )
        (place,) = planned.places
        one = read("1 oz in", "unbalance")
        # the scale that was found is within 1 % of true
        assert abs(moved) * one == pytest.approx(place.mass_g * place.radius_mm, rel=0.01)


def misread(change: Callable[[str, float], tuple[str, float]]) -> str:
    """Return the twin without proofs, its spin written down otherwise than the machine showed."""

    def otherwise(line: re.Match[str]) -> str:
        plane, amount = change(line[1], float(line[2]))
        return f'plane = "{plane}", amount = "{amount} oz in"'

    start = BARE.index("[[spins]]")
    written = re.sub(r'plane = "([^"]+)", amount = "([\d.]+) oz in"', otherwise, BARE[start:])
    assert written != BARE[start:]
    return BARE[:start] + written


OTHER = {"timing side": "drive side", "drive side": "timing side"}


@pytest.mark.parametrize(
    ("change", "slip"),
    [
        (lambda plane, amount: (OTHER[plane], amount), "the two planes were exchanged"),
        (
            lambda plane, amount: (plane, 10 * amount),
            "the amounts were entered ten times too large",
        ),
    ],
)
def test_a_spin_before_that_was_misread_is_named(
    change: Callable[[str, float], tuple[str, float]], slip: str
) -> None:
    """The putty and the machine are right: to mend either would spoil it."""
    found = recorded(misread(change) + check(dial()))
    assert found.contradicts
    wanted = f"this would look like it: in the spin before it alone {slip} (heavyspot spin --undo"
    assert wanted in found.message


def test_a_check_spin_that_was_misread_is_named() -> None:
    planes = dial().replace("timing side", "?").replace("drive side", "timing side")
    found = recorded(BARE + check(planes.replace("?", "drive side")))
    assert "in this one spin the two planes were exchanged" in found.message
