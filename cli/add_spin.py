"""Enter a spin: guided plane by plane, or from one command line; on disk before anything else."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from balance.errors import InputError, MissingInputError
from balance.job.append import append_entry
from balance.job.entries import now, plane_reading, written_amount, written_angle, written_mass
from balance.job.load import read_job
from balance.job.model import Job, MachinePage, PlanePage
from cli.asking import ask
from cli.cautions import SPINNING, caution
from cli.printing import harmless, next_step, say


@dataclass(frozen=True)
class SpinSaid:
    """What the command line says of a spin; what it leaves out is asked or taken as usual."""

    readings: Sequence[str] = ()
    name: str = ""
    on: Sequence[str] = ()
    speed: str | None = None
    bobweights: Sequence[str] = ()
    drilled: int | None = None


def add_spin(path: Path, said: SpinSaid) -> int:
    """Append one spin to a job; without readings, ask for them."""
    job = read_job(path)
    machine = _machine(job)
    entry = _entry(job, machine, said) if said.readings else _asked(job, machine, said)
    if entry is None:
        say("Nothing was written.")
        return 1
    append_entry(path, "spins", entry)
    say(f"The spin of {' + '.join(entry['on'])} is kept in {path}.")
    next_step(f"heavyspot spin {path}")
    return 0


def _machine(job: Job) -> MachinePage:
    if job.machine is None:
        raise MissingInputError("spin", ["a [machine] table that says how it counts its angles"])
    return job.machine


def _entry(job: Job, machine: MachinePage, said: SpinSaid) -> dict[str, Any]:
    readings = [plane_reading(reading, machine) for reading in said.readings]
    return _made(job, said, readings)


def _made(job: Job, said: SpinSaid, readings: Sequence[Mapping[str, str]]) -> dict[str, Any]:
    bobweights = [written_mass(mass, unit=job.units.mass).text for mass in said.bobweights]
    drilled = len(job.drilled) if said.drilled is None else said.drilled
    speed = said.speed and (f"{said.speed} rpm" if said.speed[-1].isdigit() else said.speed)
    known = {"name": said.name, "speed": speed, "bobweights": bobweights, "drilled": drilled}
    kept = {key: value for key, value in known.items() if value}
    return {"on": list(said.on) or ["crank"], **kept, "readings": [*readings], "time": now()}


def _asked(job: Job, machine: MachinePage, said: SpinSaid) -> dict[str, Any] | None:
    """Ask plane by plane; None when the person stops before the spin is whole."""
    caution(SPINNING)
    say("", "Type what the screen shows; an empty answer takes what stands in brackets. q stops.")
    on = said.on or _ask_on(job)
    bobweights = None if on is None else said.bobweights or _ask_bobweights(job)
    if on is None or bobweights is None:
        return None
    readings = []
    for plane in machine.planes:
        reading = _ask_plane(machine, plane)
        if reading is None:
            return None
        readings.append(reading)
    whole = SpinSaid((), said.name, on, said.speed, bobweights, said.drilled)
    return _made(job, whole, readings)


def _ask_on(job: Job) -> list[str] | None:
    """Ask for each bolted part whether it was on the crank."""
    on = ["crank"]
    for part in job.bolted:
        answer = _answer(f"{part.name} bolted on? y or n [n] > ")
        if answer is None:
            return None
        if answer.lower() in ("y", "yes"):
            on.append(part.name)
    return on


def _ask_bobweights(job: Job) -> list[str] | None:
    before = (
        [f"{mass:g} g" for mass in job.standing_spins[-1].bobweights] if job.standing_spins else []
    )
    usual = ", ".join(before) or "none"
    while True:
        answer = _answer(f"bobweights as made up, with ; between them [{usual}] > ")
        if not answer:
            return None if answer is None else before
        masses = [] if answer == "none" else answer.split(";")
        try:
            return [written_mass(mass, unit=job.units.mass).text for mass in masses]
        except InputError as wrong:
            print(f"  {harmless(str(wrong))}")


def _ask_plane(machine: MachinePage, plane: PlanePage) -> dict[str, str] | None:
    """Ask for amount and angle of one plane until both can be read."""
    found: dict[str, str] = {"plane": plane.name}
    while len(found) < 3:
        key = "angle" if "amount" in found else "amount"
        unit = machine.unit if key == "amount" else "deg"
        answer = _answer(f"{plane.name}: {key} in {unit} > ")
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


def _answer(question: str) -> str | None:
    answer = ask(question)
    return None if answer is None or answer.lower() == "q" else answer
