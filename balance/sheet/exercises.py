"""Exercises for apprentices: made from a seed, marked with their unit, usual slips recognised."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from random import Random
from typing import Any

from balance.errors import InputError
from balance.sheet import exercises_machine, exercises_metal, exercises_parts, exercises_rotor
from balance.sheet.exercise_form import ADVICE, Ask, Exercise, Slip
from balance.units import read, unit_names
from balance.vectors import turn

__all__ = ["DIFFICULTIES", "TOPICS", "Marked", "exercise", "mark_answer"]

_MAKERS: Mapping[str, tuple[str, Callable[[Random, int], dict[str, Any]]]] = {
    "unbalance": ("grams, radius, and their product", exercises_rotor.unbalance),
    "speed": ("how force grows with speed", exercises_rotor.speed),
    "correction": ("the weight that balances one plane", exercises_rotor.correction),
    "planes": ("what of an unbalance belongs to which plane", exercises_rotor.planes),
    "rod": ("the two ends of a rod", exercises_parts.rod),
    "match": ("what matching costs in metal", exercises_parts.match),
    "bobweight": ("the bobweight of a pin", exercises_parts.bobweight),
    "shake": ("what shakes to and fro, and the factor", exercises_parts.shake),
    "reading": ("from the machine's angle to the crank's", exercises_machine.reading),
    "trial": ("a trial weight in one plane", exercises_machine.trial),
    "hole": ("what a hole takes", exercises_metal.hole),
    "tolerance": ("grade, mass, speed: the limit", exercises_metal.tolerance),
    "doubt": ("when a reading proves something", exercises_metal.doubt),
}
TOPICS: Mapping[str, str] = {name: about for name, (about, _) in _MAKERS.items()}
"""What can be practised, in the order of the lessons, and what each is about."""

DIFFICULTIES = (1, 2, 3)

_AT = re.compile(r"(.*\S)\s*(?:\bat\b|@)\s*(\S.*)", re.DOTALL | re.IGNORECASE)
_NUMBER = re.compile(r"\s*([-+]?[\d.,/ ]*\d)\s*(\S.*)?", re.DOTALL)


@dataclass(frozen=True)
class Marked:
    """An answer, marked: right or not, which usual slip it looks like, and what to tell."""

    right: bool
    given: tuple[float, ...]
    slip: str
    says: str


def exercise(topic: str, *, difficulty: int = 1, seed: int = 1) -> Exercise:
    """Return an exercise; the same topic, difficulty and seed give the same one.

    Parameters
    ----------
    topic : str
        One of ``TOPICS``.
    difficulty : {1, 2, 3}
        1 in plain metric numbers, 2 in shop units or with one step more, 3 with a catch.
    seed : int
        Which one.

    Raises
    ------
    InputError
        When the topic or the difficulty is not known.

    Examples
    --------
    >>> exercise("speed", seed=4).question  # doctest: +ELLIPSIS
    'At ... rpm an unbalance pulls with a certain force. At which speed does it pull ...

    Source: each exercise names its own.
    """
    if topic not in TOPICS:
        raise InputError(f"topic must be one of {', '.join(TOPICS)}, got {topic!r}")
    if difficulty not in DIFFICULTIES:
        raise InputError(f"difficulty must be 1, 2 or 3, got {difficulty!r}")
    rng = Random(f"{topic} {difficulty} {seed}")
    while True:  # draw again where a slip would lead to the right answer, or two to the same
        made = Exercise(topic, difficulty, seed, **_MAKERS[topic][1](rng, difficulty))
        if _tells_apart(made):
            return made


def mark_answer(exercise: Exercise, text: str) -> Marked:
    """Read an answer with its unit and say whether it is right, or which slip it looks like.

    Parameters
    ----------
    exercise : Exercise
        What was asked.
    text : str
        ``"912 g mm"``; where an angle is asked too ``"12 g at 215 deg"``.

    Raises
    ------
    InputError
        When the text is no answer to what was asked: no unit, another kind of quantity, no angle.

    Examples
    --------
    >>> one = exercise("unbalance", seed=3)
    >>> mark_answer(one, one.answer).right
    True
    >>> mark_answer(one, f"{2 * one.asks[0].value:g} g mm").slip
    'radius for diameter'
    """
    pieces = _pieces(exercise, text)
    if _mass_for_unbalance(exercise, pieces):
        return Marked(False, (), "oz for oz-in", ADVICE["oz for oz-in"])
    given = tuple(_read(piece, ask) for piece, ask in zip(pieces, exercise.asks, strict=True))
    if _near(given, exercise.asks, tuple(ask.value for ask in exercise.asks)):
        return Marked(True, given, "", "")
    name = _slip(exercise, given, pieces)
    return Marked(False, given, name, ADVICE[name] if name else _which(exercise, given))


def _tells_apart(made: Exercise) -> bool:
    """Whether the right answer and every slip lie clear of each other."""
    right = Slip("", tuple(ask.value for ask in made.asks))
    answers = [right, *made.slips]
    return min(abs(ask.value) for ask in made.asks) > 0 and not any(
        a.name != b.name and _near(a.values, made.asks, b.values, times=2.5)
        for index, a in enumerate(answers)
        for b in answers[:index]
    )


def _near(
    given: tuple[float, ...], asks: tuple[Ask, ...], values: tuple[float, ...], times: float = 1.0
) -> bool:
    return all(
        abs(float(turn(g - v)) if ask.kind == "angle" else g - v) <= times * _reach(ask, v)
        for g, ask, v in zip(given, asks, values, strict=True)
    )


def _reach(ask: Ask, value: float) -> float:
    """How far from a value still counts: a share of the value, or the fixed tolerance."""
    return (abs(value) * ask.percent / 100 if ask.percent else ask.within) * (1 + 1e-9)


def _pieces(exercise: Exercise, text: str) -> tuple[str, ...]:
    if len(exercise.asks) == 1:
        return (text,)
    found = _AT.fullmatch(text.strip())
    if found is None:
        raise InputError(
            f"{text!r} lacks the angle: write {exercise.asks[0].kind} and angle, as in "
            f"12 {exercise.asks[0].unit} at 215 deg"
        )
    return found[1], found[2]


def _read(piece: str, ask: Ask) -> float:
    number = _NUMBER.fullmatch(piece)
    if number and not number[2] and ask.kind != "angle":
        raise InputError(f"{piece.strip()!r} has no unit: write {piece.strip()} {ask.unit}")
    return read(piece, ask.kind)


def _mass_for_unbalance(exercise: Exercise, pieces: tuple[str, ...]) -> bool:
    """Whether somebody wrote the right number of an unbalance as a bare mass."""
    ask, number = exercise.asks[0], _NUMBER.fullmatch(pieces[0])
    if ask.kind != "unbalance" or number is None or not number[2]:
        return False
    try:
        read(pieces[0], "mass")
    except InputError:
        return False
    return _right_in_some_unit(number[1], ask)


def _right_in_some_unit(number: str, ask: Ask) -> bool:
    return any(
        abs(read(f"{number} {unit}", ask.kind) - ask.value) <= ask.tolerance
        for unit in unit_names(ask.kind)
    )


def _slip(exercise: Exercise, given: tuple[float, ...], pieces: tuple[str, ...]) -> str:
    """Return the name of the usual slip that an answer looks like, or nothing."""
    for slip in exercise.slips:
        if _near(given, exercise.asks, slip.values):
            return slip.name
    number, rest = _NUMBER.fullmatch(pieces[0]), exercise.asks[1:]
    angles_right = _near(given[1:], rest, tuple(ask.value for ask in rest))
    if number and angles_right and _right_in_some_unit(number[1], exercise.asks[0]):
        return "right number, wrong unit"
    return ""


def _which(exercise: Exercise, given: tuple[float, ...]) -> str:
    """Say which of two quantities is right, if one is."""
    right = [_near((g,), (a,), (a.value,)) for g, a in zip(given, exercise.asks, strict=True)]
    if not any(right):
        return ""
    good, bad = exercise.asks[right.index(True)].kind, exercise.asks[right.index(False)].kind
    return f"Your {good} is right, your {bad} is not."
