"""Entries as they are appended to a job file, made from what a person or a scale says."""

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from balance.errors import InputError
from balance.job.amounts import amount_gmm
from balance.job.model import MachinePage
from balance.job.quantities import in_reach
from balance.units import read

__all__ = [
    "WrittenMass",
    "drilled_entry",
    "joined_values",
    "now",
    "plane_reading",
    "undo_entry",
    "weighing_entry",
    "written_amount",
    "written_angle",
    "written_mass",
]

_POUNDS_THEN_OUNCES = re.compile(
    r"(?<![^\0])(\d+\s*(?:lbs?|pounds?))\0(\d[^\0]*(?:oz|ounces?))(?![^\0])"
)


@dataclass(frozen=True)
class WrittenMass:
    """A mass [g], and the text that stands for it in the file: as written, with its unit."""

    text: str
    mass_g: float


def written_mass(written: str, *, unit: str) -> WrittenMass:
    """Return what was typed with its unit, so that the file says what the display said.

    Parameters
    ----------
    written : str
        ``"420.3"``, ``"420,3 g"``, ``"14.824 oz"``.
    unit : str
        The unit of a bare number: the job's.

    Raises
    ------
    InputError
        When it is no mass, not above zero, or out of reach of anything in a shop.

    Examples
    --------
    >>> written_mass(" 420,3", unit="g")
    WrittenMass(text='420,3 g', mass_g=420.3)
    """
    text = " ".join(written.split())
    mass_g = in_reach(written, read(text, "mass", unit=unit))
    if mass_g <= 0:
        raise InputError(f"{written!r} must be greater than 0")
    return WrittenMass(f"{text} {unit}" if text[-1].isdigit() else text, mass_g)


def joined_values(words: Sequence[str]) -> list[str]:
    """Return the values that a command line names: a lone unit or fraction belongs to its number.

    Examples
    --------
    >>> joined_values(["421.9", "g", "422.0"]), joined_values(["14", "13/16", "oz"])
    (['421.9 g', '422.0'], ['14 13/16 oz'])
    >>> joined_values(["1", "lb", "2", "oz"]), joined_values(["1", "lb", "2", "lb"])
    (['1 lb 2 oz'], ['1 lb', '2 lb'])
    """
    found: list[str] = []
    for word in words:
        lone_unit = not any(letter.isdigit() for letter in word)
        fraction = re.match(r"\d+/\d+", word) and found and found[-1].isdigit()
        if found and (lone_unit or fraction):
            found[-1] += f" {word}"
        else:
            found.append(word)
    return re.sub(_POUNDS_THEN_OUNCES, r"\1 \2", "\0".join(found)).split("\0") if found else []


def weighing_entry(
    part: str,
    what: str,
    value: str,
    *,
    finished: bool = False,
    instrument: str = "",
    time: dt.datetime | None = None,
) -> dict[str, Any]:
    """Return a ``[[weighings]]`` entry; its time is now unless given.

    Examples
    --------
    >>> entry = weighing_entry("P1", "weight", "420.3 g", instrument="bench scale")
    >>> [*entry]
    ['part', 'value', 'time', 'instrument']
    """
    return {
        **_weighed(part, what),
        "value": value,
        **({"finished": True} if finished else {}),
        "time": time or now(),
        **({"instrument": instrument} if instrument else {}),
    }


def undo_entry(part: str, what: str, *, finished: bool = False) -> dict[str, Any]:
    """Return the ``[[weighings]]`` entry that takes back the latest reading of a part.

    Examples
    --------
    >>> undo_entry("R1", "big_end")["undo"]
    True
    """
    taken_back = {"undo": True, **({"finished": True} if finished else {})}
    return {**_weighed(part, what), **taken_back, "time": now()}


def drilled_entry(part: str, *, angle: str, diameter: str, depth: str) -> dict[str, Any]:
    """Return a ``[[drilled]]`` entry, drilled now.

    Examples
    --------
    >>> drilled_entry("W1", angle="171", diameter="1/2 in", depth="18.5 mm")["angle"]
    '171'
    """
    return {"part": part, "angle": angle, "diameter": diameter, "depth": depth, "time": now()}


def plane_reading(written: str, machine: MachinePage) -> Mapping[str, str]:
    """Return one reading of a spin from ``PLANE=AMOUNT@ANGLE``.

    Parameters
    ----------
    written : str
        ``"left=412 g mm@137 deg"``; a bare amount takes the machine's unit.
    machine : MachinePage
        The job's machine, which knows the names of its planes.

    Raises
    ------
    InputError
        When the plane, the amount or the angle cannot be read.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> machine = read_job(files("cli.examples") / "v-twin.toml").machine
    >>> plane_reading("drive side=1.2@45", machine)
    {'plane': 'drive side', 'amount': '1.2 oz in', 'angle': '45 deg'}
    """
    amount, _, angle = written.rpartition("@")
    for plane in machine.planes:
        if amount.startswith(f"{plane.name}="):
            said = amount.removeprefix(f"{plane.name}=")
            try:
                return {
                    "plane": plane.name,
                    "amount": written_amount(said, machine, radius_mm=plane.radius),
                    "angle": written_angle(angle),
                }
            except InputError as wrong:
                raise InputError(f"{plane.name}: {wrong}") from None
    first = machine.planes[0].name
    names = ", ".join(plane.name for plane in machine.planes)
    raise InputError(
        f"{written!r} is no reading of a plane ({names}): write for example "
        f'"{first}=412 {machine.unit}@137 deg"'
    )


def written_amount(written: str, machine: MachinePage, *, radius_mm: float | None) -> str:
    """Return an amount of unbalance as text with its unit, checked.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> machine = read_job(files("cli.examples") / "v-twin.toml").machine
    >>> written_amount("1.2", machine, radius_mm=None)
    '1.2 oz in'
    """
    text = " ".join(written.split())
    amount_gmm(text, unit=machine.unit, radius_mm=radius_mm)
    return f"{text} {machine.unit}" if text[-1].isdigit() else text


def written_length(written: str, *, unit: str) -> str:
    """Return a length above zero as text with its unit, checked; bare numbers take ``unit``.

    Examples
    --------
    >>> written_length("12.5", unit="mm"), written_length("1/2 in", unit="mm")
    ('12.5 mm', '1/2 in')
    """
    text = " ".join(written.split())
    if read(text, "length", unit=unit) <= 0:
        raise InputError(f"{written!r} must be greater than 0")
    return f"{text} {unit}" if text[-1].isdigit() else text


def written_angle(written: str) -> str:
    """Return an angle as text with its unit, checked.

    Examples
    --------
    >>> written_angle("137")
    '137 deg'
    """
    text = " ".join(written.split())
    degrees = read(text, "angle")
    if not -360 <= degrees <= 360:
        raise InputError(f"{written!r} is not an angle from -360 to 360 degrees")
    return f"{text} deg" if text[-1].isdigit() else text


def now() -> dt.datetime:
    """Return the time of the shop's clock, with its offset, to the second.

    Examples
    --------
    >>> now().tzinfo is not None
    True
    """
    return dt.datetime.now().astimezone().replace(microsecond=0)


def _weighed(part: str, what: str) -> dict[str, Any]:
    return {"part": part, **({} if what == "weight" else {"what": what})}
