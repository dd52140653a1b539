"""The check spin in words, the same on the screen and on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.engine.steps import engine_of
from balance.spin.proof_steps import machine_rests_on
from balance.spin.states import state_of
from balance.vectors import whole_degrees

if TYPE_CHECKING:  # the screens of the spin show no plan and load no planning
    from balance.job.model import Job
    from balance.metal.check_spin_steps import CheckPlace, CheckRow, PlannedCheck
    from balance.spin.check_spin_steps import RecordedCheck

__all__ = [
    "RESTS_ON_PROOFS",
    "bobweights_text",
    "figure",
    "lost_text",
    "must_text",
    "offer_text",
    "place_text",
    "resting_text",
    "stop_text",
    "stuck_option",
    "untold_text",
]

RESTS_ON_PROOFS = (
    "Everything rests on where the proof masses were stuck; a check spin with putty shows whether "
    "they were there (heavyspot correct says how)."
)
_RESTS = {
    "proofs": "Everything rests on where the proof masses were stuck: noted half a turn off, the "
    "other way round or in the other plane, they would put every hole in the wrong place.",
    "nothing": "Nothing has shown yet that the machine counts as the job says.",
    "declared": "",
}
_LOST = (
    "No plan can be made, and that may be a slip: half a turn off, at the machine or where the "
    "proof masses were, heavy spots seem to lie where nothing can be taken. Make this check spin "
    "before slugs are bought or metal comes off elsewhere."
)


def resting_text(job: Job) -> str:
    """Return what the convention of a machine rests on, where no putty has shown it yet.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> resting_text(read_job(files("cli.examples") / "v8.toml"))
    ''
    """
    return _RESTS[machine_rests_on(job)]


def lost_text(planned: PlannedCheck) -> str:
    """Return what else it may be that no plan can be made; empty where there is one."""
    return _LOST if planned.unplanned else ""


def bobweights_text(job: Job) -> str:
    """Return that bobweights are to be weighed as they hung, while nothing is drilled in the crank.

    Empty without bobweights, and where the last spin says pin by pin what hung: that was weighed.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> print(bobweights_text(read_job(files("cli.examples") / "v8.toml")))
    Before the first hole weigh every bobweight as it hung (2184 g is written for each) and put it
    down, pin by pin: bobweights of the spin. One that is not so looks like a heavy spot of the
    crank in every spin.
    """
    spins = [spin for spin in job.standing_spins if spin.on == ("crank",)]
    if not spins or len(spins[-1].bobweights) != 1 or state_of(job, ("crank",), len(job.drilled)):
        return ""
    written = f"{spins[-1].bobweights[0]:g} g is written"
    if len(engine_of(job).throws) == 1:
        return (
            f"Before the first hole weigh the bobweight as it hung ({written}): if it is not so, "
            "that looks like a heavy spot of the crank in every spin."
        )
    return (
        f"Before the first hole weigh every bobweight as it hung ({written} for each) and put it "
        "down, pin by pin: bobweights of the spin. One that is not so looks like a heavy spot of "
        "the crank in every spin."
    )


def stop_text(job: Job, recorded: RecordedCheck | None) -> str:
    """Return why nothing may be cut, and what to do; empty when no check spin says so."""
    if recorded is None or not recorded.contradicts:
        return ""
    where = "the places of the proof masses" if machine_rests_on(job) == "proofs" else "[machine]"
    return (
        f"{recorded.message}. Drill nothing. See that the putty was where the job says and both "
        "spins were written as the machine showed them (heavyspot spin --undo takes the latest "
        f"back); else mend {where}, until it agrees"
    )


def figure(value: float) -> str:
    """Return an amount as a screen shows it: three figures, at most two decimals.

    Examples
    --------
    >>> figure(1.5238), figure(35.42), figure(812.4)
    ('1.52', '35.4', '812')
    """
    return f"{value:.{0 if value >= 99.95 else 1 if value >= 9.995 else 2}f}"


def place_text(place: CheckPlace) -> str:
    """Return where a lump goes.

    Examples
    --------
    >>> from balance.metal.check_spin_steps import CheckPlace
    >>> place_text(CheckPlace("W1", 234.0, 104.0, 30.0, 5.0, hole=2))
    '5 g on W1 at 234 deg, where hole 2 goes'
    """
    work = f", where hole {place.hole} goes" * bool(place.hole)
    work += f", where slug {place.slug} goes" * bool(place.slug)
    return f"{place.mass_g:g} g on {place.mark} at {place.degrees:g} deg{work}"


def must_text(row: CheckRow, unit: str) -> str:
    """Return what one plane must show.

    Examples
    --------
    >>> from balance.metal.check_spin_steps import CheckRow
    >>> must_text(CheckRow("left", 400.0, 10.0, 812.4, 20.0, 60.0, 4.0), "g mm")
    'left 812 g mm at 20 deg'
    """
    return f"{row.plane} {figure(row.must)} {unit} at {whole_degrees(row.must_degrees)} deg"


def offer_text(planned: PlannedCheck) -> str:
    """Return the check spin that may be made, in plain words with what is typed after it."""
    stuck = " and ".join(_short_place(place) for place in planned.places)
    shown = ", ".join(must_text(row, planned.unit) for row in planned.rows)
    first = "Before a slug is fitted" if planned.places[0].slug else "Before the first hole"
    first = "Before slugs are bought" if planned.unplanned else first
    return (
        f"{first}, check the machine with putty: stick {stuck}, spin: it must show {shown}. "
        f"Then heavyspot spin JOB --add {stuck_option(planned)}."
    )


def _short_place(place: CheckPlace) -> str:
    work = f" (where hole {place.hole} goes)" * bool(place.hole)
    work += f" (where slug {place.slug} goes)" * bool(place.slug)
    return f"{place.mass_g:g} g on {place.mark} at {place.degrees:g} deg{work}"


def untold_text(planned: PlannedCheck) -> str:
    """Return what even the heaviest putty would not show on this machine; empty when all shows."""
    if not planned.untold:
        return ""
    return (
        f"Even so it would look the same if {', or if '.join(planned.untold)}: this machine reads "
        "too coarsely. Spin more often, or fix a larger mass mechanically in the same places."
    )


def stuck_option(planned: PlannedCheck) -> str:
    """Return the options with which the check spin is written down."""
    return " ".join(
        f'--stuck "{place.mark}={place.mass_g:g} g@{place.degrees:g} deg"'
        for place in planned.places
    )
