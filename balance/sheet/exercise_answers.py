"""Answers to exercises as people write them, read into quantities."""

import math
import re

from balance.errors import InputError
from balance.sheet.exercise_form import Ask, Exercise
from balance.units import read, unit_names

__all__ = ["other_kind", "pieces_of", "quantity_of", "unit_that_fits"]

_AT = re.compile(r"(.*\S)\s*(?:\bat\b|@)\s*(\S.*)", re.DOTALL | re.IGNORECASE)
_ANGLE = re.compile(r"[-+]?\d+(?:[.,]\d+)?\s*(?:deg(?:rees?)?\b\.?|°|º)", re.IGNORECASE)
_NUMBER = re.compile(r"\s*([-+]?[\d.,/ ]*\d)\s*(\S.*)?", re.DOTALL)
_THOUSANDS = re.compile(r"(?<=\d)[\s\u00a0\u2009\u202f](?=\d{3}(?!\d))")
_RPM = {
    "hz": 60.0, "1/s": 60.0, "rev/s": 60.0, "rps": 60.0,
    "rad/s": 30 / math.pi, "rad/sec": 30 / math.pi, "u/min": 1.0, "r.p.m.": 1.0,
}  # fmt: skip
_OTHER = {"unbalance": "mass", "mass": "unbalance"}


def pieces_of(exercise: Exercise, text: str) -> tuple[str, ...]:
    """Return the quantities of an answer as texts, in the order in which they were asked.

    Raises
    ------
    InputError
        When an angle was asked and none was given.

    Examples
    --------
    >>> ask = Ask("mass", "g", 12.0, percent=2), Ask("angle", "deg", 215.0, within=2)
    >>> two = Exercise("trial", 1, 1, "", ask, (), (), "")
    >>> pieces_of(two, "215 deg, 12 g") == pieces_of(two, "12 g at 215 deg")
    True
    """
    tidy = _THOUSANDS.sub("", text.strip().replace("\N{MINUS SIGN}", "-"))
    if len(exercise.asks) == 1:
        return (tidy,)
    angles = _ANGLE.findall(tidy)
    rest = re.sub(r"^\s*(?:at|@|,|;)\s*|\s*(?:\bat\b|@|,|;)\s*$", "", _ANGLE.sub(" ", tidy).strip())
    if len(angles) == 1 and rest:
        return rest, angles[0]
    found = _AT.fullmatch(tidy)
    if found is None:
        ask = exercise.asks[0]
        missing = ask.kind if angles else "angle"
        raise InputError(
            f"{text!r} lacks the {missing}: write {ask.kind} and angle, as in 12 {ask.unit} at "
            "215 deg"
        )
    return found[1], found[2]


def quantity_of(piece: str, ask: Ask) -> float:
    """Return what one piece says, in the inside unit; a speed may be in Hz or rad/s too.

    Raises
    ------
    InputError
        When it has no unit or another kind of unit.

    Examples
    --------
    >>> quantity_of("75 Hz", Ask("speed", "rpm", 4500.0, percent=2))
    4500.0
    """
    number = _NUMBER.fullmatch(piece)
    if number and not number[2] and ask.kind != "angle":
        raise InputError(f"{piece.strip()!r} has no unit: write {piece.strip()} {ask.unit}")
    if number and ask.kind == "speed" and (number[2] or "").lower() in _RPM:
        return read(number[1], "speed") * _RPM[number[2].lower()]
    if other_kind(piece, ask) == "unbalance":
        raise InputError(
            f"{piece.strip()!r} is an unbalance, mass times radius; a mass was asked: divide by "
            f"the radius and write it in {ask.unit}"
        )
    return read(piece, ask.kind)


def other_kind(piece: str, ask: Ask) -> str:
    """Return ``mass`` when one was written for an unbalance, or the other way; else nothing."""
    other = _OTHER.get(ask.kind, "")
    number = _NUMBER.fullmatch(piece)
    if not other or number is None or not number[2]:
        return ""
    for kind, found in ((ask.kind, ""), (other, other)):
        try:
            read(piece, kind)
        except InputError:
            continue
        return found
    return ""


def unit_that_fits(piece: str, ask: Ask) -> str:
    """Return number and unit in which a wrong answer would have been right, or nothing.

    Examples
    --------
    >>> unit_that_fits("1.200 g mm", Ask("unbalance", "g mm", 1200.0, percent=2))
    '1.200 kg mm'
    """
    number = _NUMBER.fullmatch(piece)
    if number is None:
        return ""
    for unit in unit_names(ask.kind):
        if abs(read(f"{number[1]} {unit}", ask.kind) - ask.value) <= ask.tolerance:
            return f"{number[1]} {unit}"
    return ""
