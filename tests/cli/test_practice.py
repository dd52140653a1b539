"""heavyspot practice: one answer at a time, led at the terminal, or on paper."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from balance.sheet.exercises import TOPICS, exercise


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    def will_type(*lines: str) -> None:
        left: Iterator[str] = iter(lines)

        def type_next(_: str) -> str:
            try:
                return next(left)
            except StopIteration:
                raise EOFError from None

        monkeypatch.setattr("builtins.input", type_next)

    return will_type


def test_a_right_answer_ends_with_0(heavyspot: Callable) -> None:
    words = ("practice", "--topic", "rod", "--seed", 4, "--answer", exercise("rod", seed=4).answer)
    said = heavyspot(*words)
    assert (said.code, said.err) == (0, "")
    assert "Right: " in said.out
    assert said.out.rstrip().endswith("--topic rod --difficulty 1 --seed 5.")


def test_a_wrong_answer_names_the_slip_but_not_the_answer(heavyspot: Callable) -> None:
    one = exercise("unbalance", seed=4)
    wrong = f"{2 * one.asks[0].value} g mm"
    words = ("practice", "--topic", "unbalance", "--seed", 4, "--answer", wrong)
    said = heavyspot(*words)
    assert said.code == 1
    assert "A radius was taken for a diameter" in said.out
    assert one.answer not in said.out
    assert "another --answer, or with --solution for the working." in said.out
    said = heavyspot(*words, "--solution")
    assert said.code == 1
    assert one.answer in said.out
    assert one.working[1] in said.out
    assert "Source: ISO 21940-2" in said.out


@pytest.mark.parametrize("topic", TOPICS)
@pytest.mark.parametrize("difficulty", [1, 2, 3])
def test_it_all_fits_80_columns(heavyspot: Callable, topic: str, difficulty: int) -> None:
    answer = "1 rpm" if topic == "speed" else " at ".join(
        f"1 {ask.unit}" for ask in exercise(topic, difficulty=difficulty).asks
    )  # fmt: skip
    said = heavyspot(
        "practice", "--topic", topic, "--difficulty", difficulty, "--seed", 1, "--answer", answer
    )
    assert said.code == 1
    assert max(map(len, said.out.splitlines())) <= 80


def test_what_is_no_answer_is_one_line_and_2(heavyspot: Callable) -> None:
    said = heavyspot("practice", "--topic", "rod", "--seed", 4, "--answer", "150")
    assert (said.code, said.err) == (2, "heavyspot: '150' has no unit: write 150 g\n")
    said = heavyspot("practice", "--answer", "150 g")
    assert (said.code, "an answer needs its exercise" in said.err) == (2, True)
    said = heavyspot("practice", "--topic", "rods", "--answer", "150 g")
    assert (said.code, "topic must be one of unbalance" in said.err) == (2, True)


def test_led_through_the_topics(heavyspot: Callable, typed: Callable) -> None:
    typed(exercise("unbalance", seed=8).answer, "", "17", "17 rpm", "18 rpm", "q")
    said = heavyspot("practice", "--seed", 8)
    assert said.code == 1
    assert "'17' has no unit" in said.out
    assert "1 of 2 right." in said.out


def test_a_miss_gets_a_hint_and_one_more_try(heavyspot: Callable, typed: Callable) -> None:
    one, two = exercise("unbalance", seed=8), exercise("unbalance", seed=9)
    typed(f"{2 * one.asks[0].value} g mm", one.answer, "1 g mm", "2 g mm")
    said = heavyspot("practice", "--topic", "unbalance", "--seed", 8)
    first, _, second = said.out.partition("unbalance, difficulty 1, seed 9")
    hint, _, after = first.partition("Right: ")
    assert "Not right yet. A radius was taken for a diameter" in hint
    assert one.answer not in hint
    assert after
    before, _, at_last = second.partition("It is ")
    assert two.answer not in before
    assert two.working[1] in at_last
    assert "1 of 2 right." in said.out


def test_a_solution_alone(heavyspot: Callable) -> None:
    said = heavyspot("practice", "--topic", "rod", "--seed", 4, "--solution")
    assert (said.code, exercise("rod", seed=4).answer in said.out) == (0, True)
    said = heavyspot("practice", "--solution")
    assert (said.code, "a solution needs its exercise" in said.err) == (2, True)


def test_nothing_typed_is_nothing_wrong(heavyspot: Callable, typed: Callable) -> None:
    typed("q")
    said = heavyspot("practice", "--topic", "hole", "--seed", 8)
    assert (said.code, "right." in said.out) == (0, False)


def test_the_end_of_the_input_stops_and_says_how_many_were_right(
    heavyspot: Callable, typed: Callable
) -> None:
    typed(exercise("unbalance", seed=8).answer)
    said = heavyspot("practice", "--seed", 8)
    assert said.code == 130
    assert "1 of 1 right." in said.out


def test_q_stops_and_a_question_mark_explains(heavyspot: Callable, typed: Callable) -> None:
    typed("?", "q", "1 g mm")
    said = heavyspot("practice", "--topic", "unbalance", "--seed", 8)
    assert (said.code, "right." in said.out) == (0, False)
    assert "a number and its unit (g mm); q stops" in said.out


def test_q_stops_after_a_miss_as_well(heavyspot: Callable, typed: Callable) -> None:
    typed("1 g mm", "q", "2 g mm")
    said = heavyspot("practice", "--topic", "unbalance", "--seed", 8)
    assert (said.code, said.out.count("(invented numbers)")) == (1, 1)
    assert "0 of 1 right." in said.out


def test_without_a_seed_it_says_which_one_it_took(heavyspot: Callable, typed: Callable) -> None:
    typed()
    assert "hole, difficulty 1, seed " in heavyspot("practice", "--topic", "hole").out


def test_the_score_is_kept_for_a_learner(heavyspot: Callable, tmp_path: Path) -> None:
    words = ("practice", "--topic", "rod", "--seed", 4, "--learner", "Ada", "--scores", tmp_path)
    heavyspot(*words, "--answer", "1 g")
    said = heavyspot(*words, "--answer", exercise("rod", seed=4).answer)
    assert "Ada: 1 of 2 answers right so far; rod: 1 of 2." in said.out
    said = heavyspot(*words[:5], "--learner", "../Ada", "--scores", tmp_path, "--answer", "1 g")
    assert (said.code, "learner must be" in said.err) == (2, True)


def test_topics_are_listed(heavyspot: Callable) -> None:
    said = heavyspot("practice", "--topics")
    assert said.code == 0
    assert all(name in said.out for name in TOPICS)


def test_ten_on_paper_and_the_answers_beside(heavyspot: Callable, tmp_path: Path) -> None:
    said = heavyspot("practice", "--paper", tmp_path / "monday.pdf", "--seed", 3)
    assert said.code == 0
    assert {path.name for path in tmp_path.iterdir()} == {"monday.pdf", "monday-answers.pdf"}
    assert all(path.read_bytes()[:5] == b"%PDF-" for path in tmp_path.iterdir())
