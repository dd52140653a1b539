"""Exercises on paper: a sheet to hand out and the page with the answers."""

import itertools
from collections.abc import Sequence

from balance import __version__
from balance.errors import InputError
from balance.sheet.blocks import WRITE, Block, Column, Heading, Paper, Table, Text
from balance.sheet.exercise_form import Exercise
from balance.sheet.exercises import TOPICS, exercise
from balance.sheet.pdf import set_pdf

__all__ = ["practice_answers", "practice_set", "practice_sheet"]

_INVENTED = "INVENTED numbers for practice: no real engine. Cut no metal by this paper."


def practice_set(
    topic: str | None = None, *, difficulty: int = 1, seed: int = 1, count: int = 10
) -> tuple[Exercise, ...]:
    """Return exercises for one sheet: of one topic, or through the topics in turn.

    Raises
    ------
    InputError
        When the topic or the difficulty is not known, or there is to be none.

    Examples
    --------
    >>> [one.topic for one in practice_set(count=2)], len(practice_set("rod"))
    (['unbalance', 'speed'], 10)
    """
    if count < 1:
        raise InputError(f"count must be at least 1, got {count!r}")
    topics = itertools.cycle(TOPICS if topic is None else (topic,))
    return tuple(
        exercise(name, difficulty=difficulty, seed=seed + number)
        for number, name in enumerate(itertools.islice(topics, count))
    )


def practice_sheet(exercises: Sequence[Exercise], *, paper: str = "a4") -> bytes:
    """Return the sheet of exercises as PDF, with room to write.

    Raises
    ------
    InputError
        When the paper is not known.

    Examples
    --------
    >>> practice_sheet(practice_set(count=2))[:5]
    b'%PDF-'
    """
    blocks: list[Block] = [Text("Write the unit with every number. Show your working.")]
    for number, one in enumerate(exercises, 1):
        blocks += [
            Table(
                (Column(f"{number}  {TOPICS[one.topic]}", width_mm=182),),
                ((one.question,), (WRITE,), (WRITE,)),  # one table, so that no page parts them
                caption=f"Asked: {one.asked}.",
            ),
        ]
    return set_pdf(_paper("Practice", exercises, blocks), size=paper)


def practice_answers(exercises: Sequence[Exercise], *, paper: str = "a4") -> bytes:
    """Return the page with the answers, their working and their sources as PDF.

    Raises
    ------
    InputError
        When the paper is not known.

    Examples
    --------
    >>> practice_answers(practice_set(count=2))[:5]
    b'%PDF-'
    """
    blocks: list[Block] = []
    for number, one in enumerate(exercises, 1):
        blocks += [
            Heading(f"{number}  {one.answer}"),
            *(Text(line) for line in one.working),
            Text(f"Source: {one.source}.", small=True),
        ]
    return set_pdf(_paper("Answers", exercises, blocks), size=paper)


def _paper(title: str, exercises: Sequence[Exercise], blocks: Sequence[Block]) -> Paper:
    first = exercises[0]
    topics = sorted({one.topic for one in exercises})
    name = topics[0] if len(topics) == 1 else "all topics"
    which = f"{name}, difficulty {first.difficulty}, seed {first.seed}"
    return Paper(
        title=title,
        subtitle=which,
        blocks=tuple(blocks),
        foot=f"{title} · {which} · heavyspot {__version__}",
        banner=_INVENTED,
    )
