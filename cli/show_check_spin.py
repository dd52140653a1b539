"""The check spin with putty, for people: how to make it, and what the one that was made says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.sheet.check_spin_words import (
    bobweights_text,
    figure,
    lost_text,
    offer_text,
    place_text,
    resting_text,
    stop_text,
    stuck_option,
    untold_text,
)
from balance.sheet.wording import capital
from balance.vectors import whole_degrees
from cli.printing import bullets, heading, say, table

if TYPE_CHECKING:  # the screens of the spin show no plan and load no planning
    from balance.job.model import Job
    from balance.metal.check_spin_steps import PlannedCheck, SpinCheck
    from balance.sheet.results import Results
    from balance.spin.check_spin_steps import RecordedCheck

MAKE_IT = "make the check spin above, before anything is cut; then heavyspot correct again."
BEFORE_SLUGS = "make the check spin above, before slugs are bought; then heavyspot correct again."
STOPPED = "clear up what the last spin says; drill nothing before that."
CLEAR_UP = "clear up what the check spin says; drill nothing before that."


def show_check_spin(results: Results) -> None:
    """Print what is due before the first hole: bobweights weighed, and the check spin to make.

    Nothing of the check spin where putty or holes have shown enough already.
    """
    check = results.check_spin
    if check.planned is not None and (said := bobweights_text(results.job)):
        say("", said)
    if check.planned is None or check.settled or check.contradiction:
        return
    if check.due:
        _make(results.job, check.planned)
    else:
        say("", offer_text(check.planned))


def show_recorded_check(job: Job, recorded: RecordedCheck | None) -> None:
    """Print what the last check spin of a job says, if there is one."""
    if stop := stop_text(job, recorded):
        say(f"STOP: {stop}.")
    elif recorded is not None:
        say(f"{capital(recorded.message)}.")


def next_of_check(check: SpinCheck) -> str:
    """Return what the check spin asks for next; empty when nothing."""
    if check.contradiction:
        return CLEAR_UP
    unplanned = check.planned is not None and check.planned.unplanned
    return "" if not check.due else BEFORE_SLUGS if unplanned else MAKE_IT


def _make(job: Job, planned: PlannedCheck) -> None:
    first = "Before slugs are bought" if planned.unplanned else "Before the first hole"
    heading(f"{first}: a check spin with putty")
    say(lost_text(planned) or resting_text(job))
    bullets(f"Stick on {place_text(place)}, its middle at the rim." for place in planned.places)
    say(
        "Clean dry metal, low speed, guard closed, nobody in the plane of rotation; the same crank",
        "and bobweights as last spun, nothing else changed. Then it must show:",
    )
    unit = planned.unit
    rows = [
        [
            row.plane,
            figure(row.now),
            whole_degrees(row.now_degrees),
            figure(row.must),
            whole_degrees(row.must_degrees),
            figure(row.within),
            "any" if row.within_degrees is None else f"{row.within_degrees:.0f}",
        ]
        for row in planned.rows
    ]
    columns = ["plane", f"now {unit}", "at deg", f"must show {unit}", "at deg", "+/-", "+/- deg"]
    table(columns, rows, left=1)
    say("Anything else shown: the machine counts otherwise than it is said to; drill nothing.")
    if said := untold_text(planned):
        say(said)
    say(f"Write it down: heavyspot spin {job.source} --add {stuck_option(planned)}")
