"""A mass stuck on the crank for a check spin, as people say it and as the job file keeps it."""

from collections.abc import Mapping

from balance.errors import InputError
from balance.job.entries import written_angle, written_length, written_mass
from balance.job.model import Job
from balance.job.readings import as_marked

__all__ = ["stuck_entry"]


def stuck_entry(written: str, job: Job) -> Mapping[str, str]:
    """Return one mass of a check spin from ``PLACE=MASS@ANGLE`` or ``PLACE=MASS at RADIUS@ANGLE``.

    Parameters
    ----------
    written : str
        ``"W3=10 g@313 deg"`` on the rim of a counterweight, ``"left=10 g at 76 mm@0 deg"`` in a
        plane of the machine, where the radius is needed. Bare numbers take the job's units.
    job : Job
        Knows the marks of the counterweights and the names of the planes; a mark goes first.

    Raises
    ------
    InputError
        When the place, the mass, the radius or the angle cannot be read.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "v-twin.toml")
    >>> stuck_entry("w1=10@313", job)
    {'part': 'W1', 'mass': '10 g', 'angle': '313 deg'}
    """
    said, _, angle = written.rpartition("@")
    place, equals, mass = said.rpartition("=")
    mass, at, radius = mass.partition(" at ")
    found = _stuck_place(place.strip(), job) if equals else {}
    if not found:
        raise InputError(_where_stuck(written, job))
    try:
        found["mass"] = written_mass(mass, unit=job.units.mass).text
        if at:
            found["radius"] = written_length(radius, unit=job.units.length)
        found["angle"] = written_angle(angle)
    except InputError as wrong:
        raise InputError(f"{place}: {wrong}") from None
    if "plane" in found and not at:
        example = f'"{place}={mass.strip()} at 76 mm@{angle.strip()}"'
        raise InputError(f"{place} is a plane: how far out was it? Write for example {example}")
    return found


def _stuck_place(place: str, job: Job) -> dict[str, str]:
    marks = [weight.mark for weight in job.crank.counterweights] if job.crank else []
    mark = as_marked(place, marks)
    if mark in marks:
        return {"part": mark}
    planes = [plane.name for plane in job.machine.planes] if job.machine else []
    return {"plane": place} if place in planes else {}


def _where_stuck(written: str, job: Job) -> str:
    weights = [weight.mark for weight in job.crank.counterweights] if job.crank else []
    planes = [plane.name for plane in job.machine.planes] if job.machine else []
    first = f"{weights[0]}=10 g" if weights else f"{planes[0] if planes else 'left'}=10 g at 76 mm"
    return (
        f"{written!r} is no mass stuck on a counterweight or in a plane "
        f'({", ".join([*weights, *planes])}): write for example "{first}@313 deg"'
    )
