"""The exercises on paper: ten of them, the same by seed, the answers on a page of their own."""

import pytest

from balance.errors import InputError
from balance.sheet.exercises import TOPICS
from balance.sheet.practice_paper import practice_answers, practice_set, practice_sheet


def test_a_sheet_goes_through_the_topics() -> None:
    ten = practice_set(difficulty=2, seed=3)
    assert [one.topic for one in ten] == list(TOPICS)[:10]
    assert {one.difficulty for one in ten} == {2}
    assert len({one.question for one in practice_set("hole", seed=3)}) == 10


def test_the_same_sheet_gives_the_same_bytes() -> None:
    three = practice_set(count=3)
    assert practice_sheet(three) == practice_sheet(three)
    assert practice_answers(three) == practice_answers(three)
    assert practice_sheet(three) != practice_answers(three)


def test_what_cannot_be_printed_is_named() -> None:
    with pytest.raises(InputError, match="count must be at least 1, got 0"):
        practice_set(count=0)
    with pytest.raises(InputError, match="topic must be one of"):
        practice_set("rods")
    with pytest.raises(InputError, match="paper must be one of a4, us-letter"):
        practice_sheet(practice_set(count=1), paper="a5")
