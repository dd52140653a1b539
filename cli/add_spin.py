"""Enter a spin: guided plane by plane, or from one command line; on disk before anything else."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from balance.engine.bobweights import needed
from balance.engine.steps import engine_of
from balance.errors import InputError, MissingInputError
from balance.job.append import append_entry
from balance.job.entries import now, plane_reading, written_amount, written_angle, written_mass
from balance.job.load import read_job
from balance.job.model import Job, MachinePage, PlanePage
from balance.job.stuck import stuck_entry
from balance.spin.check_spin_steps import last_check
from balance.spin.proof_steps import machine_job
from balance.spin.states import alike_spins
from balance.units import read
from cli.asking import ask, nothing_kept
from cli.cautions import SPINNING, caution
from cli.printing import bullets, harmless, next_step, say
from cli.show_check_spin import CLEAR_UP, show_recorded_check


@dataclass(frozen=True)
class SpinSaid:
    """What the command line says of a spin; what it leaves out is asked or taken as usual."""

    readings: Sequence[str] = ()
    name: str = ""
    on: Sequence[str] = ()
    speed: str | None = None
    bobweights: Sequence[str] = ()
    drilled: int | None = None
    stuck: Sequence[str] = ()


def add_spin(path: Path, said: SpinSaid) -> int:
    """Append one spin to a job; without readings, ask for them."""
    job = read_job(path)
    machine = _machine(job)
    with nothing_kept():
        entry = _entry(job, machine, said) if said.readings else _asked(job, machine, said)
    if entry is None:
        say("Nothing was written.")
        return 1
    after = append_entry(path, "spins", entry)
    what = "check spin" if "stuck" in entry else "spin"
    say(f"The {what} of {' + '.join(entry['on'])} is kept in {path}.")
    if said.readings:  # who was led by questions has just agreed to it
        bullets(_in_words(job, entry))
    if "stuck" in entry:
        return _checked(path, after)
    next_step(f"heavyspot spin {path}")
    return 0


def _checked(path: Path, job: Job) -> int:
    """Say at once what a check spin says of the machine: somebody stands there with the drill."""
    say("Take the putty off before anything else is spun.")
    try:
        recorded = last_check(job, machine_job(job))
    except MissingInputError:  # nobody has said yet how the machine counts
        recorded = None
    show_recorded_check(job, recorded)
    stopped = recorded is not None and recorded.contradicts
    next_step(CLEAR_UP if stopped else f"heavyspot correct {path}")
    return 1 if stopped else 0


def undo_spin(path: Path, on: Sequence[str]) -> int:
    """Take back the latest spin of a stack by an entry of its own, and say which it was."""
    turned = list(on) or ["crank"]
    before = read_job(path).kept_spins
    after = append_entry(path, "spins", {"on": turned, "undo": True})
    lost = next(spin for spin in reversed(before) if spin.on == tuple(turned))
    when = f", of {lost.time:%Y-%m-%d %H:%M}" if lost.time else ""
    what = "check spin" if lost.stuck else "spin"
    say(f"Taken back: the latest {what} of {' + '.join(turned)}{when}.")
    unit = after.machine.unit if after.machine else ""
    bullets(
        f"{r.plane}: {r.amount if isinstance(r.amount, str) else f'{r.amount:g} {unit}'} "
        f"at {r.angle:g} deg as the machine counts"
        for r in lost.readings
    )
    earlier = sum(spin.on == lost.on for spin in after.standing_spins)
    say(f"Spins of the same stack that still count: {earlier}.")
    next_step(f"heavyspot spin {path} --add for the spin that counts.")
    return 0


def _machine(job: Job) -> MachinePage:
    if job.machine is None:
        raise MissingInputError("spin", ["a [machine] table that says how it counts its angles"])
    return job.machine


def _entry(job: Job, machine: MachinePage, said: SpinSaid) -> dict[str, Any]:
    readings = [plane_reading(reading, machine) for reading in said.readings]
    return _made(job, said, readings)


def _made(job: Job, said: SpinSaid, readings: Sequence[Mapping[str, str]]) -> dict[str, Any]:
    bobweights = _bobweights(job, said.bobweights)
    drilled = len(job.drilled) if said.drilled is None else _entries(job, said.drilled)
    speed = said.speed and (f"{said.speed} rpm" if said.speed[-1].isdigit() else said.speed)
    known = {
        "name": said.name,
        "speed": speed,
        "bobweights": bobweights,
        "drilled": drilled,
        "stuck": [stuck_entry(one, job) for one in said.stuck],
    }
    kept = {key: value for key, value in known.items() if value}
    return {"on": list(said.on) or ["crank"], **kept, "readings": [*readings], "time": now()}


def _entries(job: Job, holes: int) -> int:
    """Return how many entries hold so many holes: some may have been taken back."""
    recorded = len(job.standing_holes())
    if holes > recorded:
        raise InputError(
            f"{holes} holes in the metal, but {recorded or 'none'} recorded: record each first "
            "with heavyspot drilled"
        )
    return job.entries_with(holes)


def _bobweights(job: Job, said: Sequence[str]) -> list[str]:
    """Return bobweights as they will stand in the file; an engine that needs them must have them.

    Without them nothing could be made of the spin.
    """
    masses = [written_mass(mass, unit=job.units.mass).text for mass in said]
    engine = engine_of(job)
    need, pins = needed(engine), len(engine.throws)
    if need and len(masses) not in (1, pins):
        raise InputError(
            f"this engine needs bobweights ({need.reason}), got {len(masses) or 'none'}: "
            f"write the mass of one as made up if all are equal, else of all {pins}"
        )
    return masses


def _asked(job: Job, machine: MachinePage, said: SpinSaid) -> dict[str, Any] | None:
    """Ask plane by plane; None when the person stops before the spin is whole."""
    for one in said.stuck:
        stuck_entry(one, job)  # a word that cannot be read is said before anything is asked
    caution(SPINNING)
    say("", "Type what the screen shows; an empty answer takes what stands in brackets. q stops.")
    on = said.on or _ask_on(job)
    if on is None:
        return None
    bobweights = _bobweights(job, said.bobweights) if said.bobweights else _ask_bobweights(job)
    drilled = None if bobweights is None else _holes(job, said)
    if bobweights is None or drilled is None:
        return None
    stuck = _ask_stuck(job, said, tuple(on), drilled)
    if stuck is None:
        return None
    speed = said.speed or _ask_speed(job)
    if speed is None:
        return None
    readings = []
    for plane in machine.planes:
        reading = _ask_plane(machine, plane)
        if reading is None:
            return None
        readings.append(reading)
    whole = SpinSaid((), said.name, on, speed, bobweights, drilled, stuck)
    entry = _made(job, whole, readings)
    return entry if _agreed(job, entry) else None


def _agreed(job: Job, entry: Mapping[str, Any]) -> bool:
    """Show the spin as it will stand in the file and ask whether it is right."""
    say("", "The spin:")
    bullets(_in_words(job, entry))
    explained = "y writes it to the job, n writes nothing"
    while (answer := _answer("Write this spin? y or n > ", explained)) is not None:
        if answer.lower() in ("y", "yes", "n", "no"):
            return answer.lower().startswith("y")
    return False


def _in_words(job: Job, entry: Mapping[str, Any]) -> Iterator[str]:
    """Yield a spin as it stands in the file, line by line."""
    yield f"turned: {' + '.join(entry['on'])}"
    yield f"bobweights: {', '.join(entry.get('bobweights', ())) or 'none'}"
    counted = len(job.standing_holes(last=entry.get("drilled", 0)))
    yield f"holes in the metal: {counted} of {len(job.standing_holes())} recorded"
    for stuck in entry.get("stuck", ()):
        place, radius = stuck.get("part") or stuck["plane"], stuck.get("radius", "the rim")
        yield f"stuck on {place}: {stuck['mass']} at {stuck['angle']}, radius {radius}"
    if "speed" in entry:
        yield f"speed: {entry['speed']}"
    for reading in entry["readings"]:
        yield f"{reading['plane']}: {reading['amount']} at {reading['angle']} as the machine counts"


def _holes(job: Job, said: SpinSaid) -> int | None:
    """Ask how many of the recorded holes are new in the metal; None when the person stops."""
    if said.drilled is not None:
        return said.drilled
    last = job.standing_spins[-1].drilled if job.standing_spins else 0
    before, new = len(job.standing_holes(last=last)), len(job.standing_holes(last))
    explained = "how many of the recorded holes and deepenings this spin had; Enter for all"
    question = f"Holes drilled since the last spin? [{new or 'none'} recorded] > "
    while (answer := _answer(question, explained)) is not None:
        count = {"": new, "y": new or 1, "yes": new or 1, "n": 0, "no": 0, "none": 0}.get(
            answer.lower(), int(answer) if re.fullmatch("[0-9]{1,4}", answer) else None
        )
        if count is not None and count <= new:
            return before + count
        print(
            f"  {explained}"
            if count is None
            else f"  {new or 'none'} recorded: q, then record each first with heavyspot drilled"
        )
    return None


def _ask_stuck(job: Job, said: SpinSaid, on: tuple[str, ...], drilled: int) -> list[str] | None:
    """Ask what putty was on, where the same metal was spun before; None when the person stops.

    Without a spin to compare with, putty would tell nothing.
    """
    if said.stuck or not alike_spins(job, on, drilled):
        return list(said.stuck)
    explained = "of a check spin, with ; between them: W3=10 g@313 deg; Enter for none"
    while (answer := _answer("putty stuck on for a check? [none] > ", explained)) is not None:
        words = ("", "n", "no", "none")
        found = [] if answer.lower() in words else [one.strip() for one in answer.split(";")]
        try:
            for one in found:
                stuck_entry(one, job)
            return found
        except InputError as wrong:
            print(f"  {harmless(str(wrong))}")
    return None


def _ask_on(job: Job) -> list[str] | None:
    """Ask for each bolted part whether it was on the crank."""
    on = ["crank"]
    for part in job.bolted:
        explained = f"whether {part.name} turned with the crank in this spin"
        answer = _answer(f"{part.name} bolted on? y or n [n] > ", explained)
        if answer is None:
            return None
        if answer.lower() in ("y", "yes"):
            on.append(part.name)
    return on


def _ask_bobweights(job: Job) -> list[str] | None:
    before = (
        [f"{mass:g} g" for mass in job.standing_spins[-1].bobweights] if job.standing_spins else []
    )
    usual = ", ".join(before) or ("" if needed(engine_of(job)) else "none")
    explained = "the mass of one if all are equal, else of each, pin by pin: 1948 g; 1951 g"
    brackets = f" [{usual}]" if usual else ""
    question = f"bobweights as made up, with ; between them{brackets} > "
    while (answer := _answer(question, explained)) is not None:
        said = before if not answer else answer.split(";") if answer != "none" else []
        try:
            return _bobweights(job, said)
        except InputError as wrong:
            print(f"  {harmless(str(wrong))}")
    return None


def _ask_speed(job: Job) -> str | None:
    """Ask how fast it turned; Enter for the speed of the last spin. None when the person stops."""
    last = job.standing_spins[-1].speed if job.standing_spins else None
    usual = "not said" if last is None else f"{last:g} rpm"
    explained = f"a bare number is in {job.units.speed}; Enter for {usual}"
    while (answer := _answer(f"speed of the spin [{usual}] > ", explained)) is not None:
        if not answer:
            return "" if last is None else usual
        try:
            if read(answer, "speed", unit=job.units.speed) <= 0:
                raise InputError(f"{answer!r} must be greater than 0")
            return answer
        except InputError as wrong:
            print(f"  {harmless(str(wrong))}")
    return None


def _ask_plane(machine: MachinePage, plane: PlanePage) -> dict[str, str] | None:
    """Ask for amount and angle of one plane until both can be read."""
    found: dict[str, str] = {"plane": plane.name}
    while len(found) < 3:
        key = "angle" if "amount" in found else "amount"
        unit = machine.unit if key == "amount" else "deg"
        explained = f"as the screen shows it; a bare number is in {unit}"
        answer = _answer(f"{plane.name}: {key} in {unit} > ", explained)
        if answer is None:
            return None
        try:
            found[key] = (
                written_amount(answer, machine, radius_mm=plane.radius)
                if key == "amount"
                else written_angle(answer)
            )
        except InputError as wrong:
            print(f"  {harmless(str(wrong))}")
    return found


def _answer(question: str, explained: str) -> str | None:
    answer = ask(question, explained=f"{explained}; q stops, nothing is written")
    return None if answer.lower() == "q" else answer
