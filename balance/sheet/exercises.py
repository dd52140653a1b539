"""Exercises for apprentices: made from a seed, marked with their unit, usual slips recognised."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from random import Random
from typing import Any

from balance.errors import InputError
from balance.sheet import exercises_machine, exercises_metal, exercises_parts, exercises_rotor
from balance.sheet.exercise_answers import (
    other_kind,
    pieces_of,
    quantity_of,
    unit_that_fits,
)
from balance.sheet.exercise_form import ADVICE, Ask, Exercise, Slip
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
    "putty": ("what must show with putty on, before the first hole", exercises_machine.putty),
    "trial": ("a trial weight in one plane", exercises_machine.trial),
    "hole": ("what a hole takes", exercises_metal.hole),
    "tolerance": ("grade, mass, speed: the limit", exercises_metal.tolerance),
    "doubt": ("when a reading proves something", exercises_metal.doubt),
}
TOPICS: Mapping[str, str] = {name: about for name, (about, _) in _MAKERS.items()}
"""What can be practised, in the order of the lessons, and what each is about."""

DIFFICULTIES = (1, 2, 3)

_WRONG_UNIT = "right number, wrong unit"


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
        ``"912 g mm"``, ``"75 Hz"``; where an angle is asked too ``"12 g at 215 deg"``, in either
        order.

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
    pieces = pieces_of(exercise, text)
    if wrong := _wrong_kind(exercise, pieces):
        return Marked(False, (), wrong, ADVICE[wrong])
    given = tuple(quantity_of(piece, ask) for piece, ask in zip(pieces, exercise.asks, strict=True))
    if _near(given, exercise.asks, tuple(ask.value for ask in exercise.asks)):
        return Marked(True, given, "", "")
    for slip in (each for each in exercise.slips if _near(given, exercise.asks, each.values)):
        return Marked(False, given, slip.name, ADVICE[slip.name])
    if fits := _in_another_unit(exercise, given, pieces):
        said = f"{ADVICE[_WRONG_UNIT]} {fits} would fit."
        return Marked(False, given, _WRONG_UNIT, said)
    return Marked(False, given, "", _which(exercise, given))


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


def _wrong_kind(exercise: Exercise, pieces: tuple[str, ...]) -> str:
    """Return the slip of who wrote the right number as a mass for an unbalance, or for a mass."""
    ask = exercise.asks[0]
    other = other_kind(pieces[0], ask)
    if not other or not unit_that_fits(pieces[0], ask):
        return ""
    return "oz for oz-in" if other == "mass" else "oz-in for oz"


def _in_another_unit(exercise: Exercise, given: tuple[float, ...], pieces: tuple[str, ...]) -> str:
    """Return number and unit that would be right, where only the unit is wrong."""
    rest = exercise.asks[1:]
    if not _near(given[1:], rest, tuple(ask.value for ask in rest)):
        return ""
    return unit_that_fits(pieces[0], exercise.asks[0])


def _which(exercise: Exercise, given: tuple[float, ...]) -> str:
    """Say which of two quantities is right, if one is."""
    right = [_near((g,), (a,), (a.value,)) for g, a in zip(given, exercise.asks, strict=True)]
    if not any(right):
        return ""
    good, bad = exercise.asks[right.index(True)].kind, exercise.asks[right.index(False)].kind
    return f"Your {good} is right, your {bad} is not."
