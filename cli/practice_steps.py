"""What ``heavyspot practice`` does: list, ask, mark, keep the score, write the paper."""

import itertools
from pathlib import Path

from balance.errors import InputError
from balance.sheet.exercise_form import Exercise
from balance.sheet.exercises import TOPICS, exercise, mark_answer
from balance.sheet.scores import Score, Scored, keep_score, read_scores
from cli.asking import ask
from cli.printing import bullets, heading, next_step, say, table

_NO_USUAL_SLIP = "That is none of the usual slips: go through it again, unit by unit."


class Book:
    """Where the score goes: a learner's file, or nowhere when no learner is named."""

    def __init__(self, learner: str, folder: Path) -> None:
        self.learner, self.folder = learner, folder
        self.before = read_scores(folder, learner) if learner else None

    def keep(self, scored: Scored) -> Score | None:
        """Add an answer and return the learner's score, if there is a learner."""
        return keep_score(self.folder, self.learner, scored) if self.learner else None


def list_topics() -> int:
    """Print what can be practised."""
    heading("Topics, in the order of the lessons")
    table(("topic", "about"), [(name, about) for name, about in TOPICS.items()], left=2)
    next_step("heavyspot practice --topic unbalance.")
    return 0


def mark_one(
    topic: str | None, difficulty: int, seed: int, answer: str, book: Book, *, solution: bool
) -> int:
    """Mark one answer to the exercise that topic, difficulty and seed give."""
    if topic is None:
        raise InputError("an answer needs its exercise: write --topic, --difficulty and --seed")
    one = exercise(topic, difficulty=difficulty, seed=seed)
    _show(one)
    right = _mark(one, answer, book, last=solution)
    if right or solution:
        _next_one(topic, difficulty, seed)
    else:
        next_step("the same again with another --answer, or with --solution for the working.")
    return 0 if right else 1


def show_one(topic: str | None, difficulty: int, seed: int | None) -> int:
    """Show an exercise with its answer and its working."""
    if topic is None or seed is None:
        raise InputError("a solution needs its exercise: write --topic, --difficulty and --seed")
    one = exercise(topic, difficulty=difficulty, seed=seed)
    _show(one)
    _solve(one)
    _next_one(topic, difficulty, seed)
    return 0


def _next_one(topic: str, difficulty: int, seed: int) -> None:
    next_step(f"heavyspot practice --topic {topic} --difficulty {difficulty} --seed {seed + 1}.")


def ask_on(topic: str | None, difficulty: int, seed: int, book: Book) -> int:
    """Ask one exercise after the other until the person stops; each may be tried twice."""
    names = itertools.cycle(TOPICS if topic is None else (topic,))
    marks: list[bool] = []
    try:
        for number, name in enumerate(names):
            one = exercise(name, difficulty=difficulty, seed=seed + number)
            _show(one)
            right, stopped = _ask(one, book)
            if right is not None:
                marks.append(right)
            if stopped:
                break
    finally:  # said, too, when Ctrl-C ends it
        if marks:
            say("", f"{sum(marks)} of {len(marks)} right.")
        next_step("heavyspot practice --topics lists what can be practised.")
    return 0 if all(marks) else 1


def write_paper(path: Path, topic: str | None, difficulty: int, seed: int) -> int:
    """Write ten exercises to hand out, and their answers beside them."""
    from balance.sheet.practice_paper import practice_answers, practice_set, practice_sheet
    from cli.papers import keep

    chosen = practice_set(topic, difficulty=difficulty, seed=seed)
    answers = path.with_name(f"{path.stem}-answers{path.suffix}")
    keep(path, practice_sheet(chosen))
    keep(answers, practice_answers(chosen))
    bullets((f"{path}: ten exercises, seed {seed}", f"{answers}: their answers and working"))
    next_step("hand out the first, keep the second.")
    return 0


def _show(one: Exercise) -> None:
    heading(f"{one.topic}, difficulty {one.difficulty}, seed {one.seed} (invented numbers)")
    say(one.question)
    say(f"Asked: {one.asked}.")


def _ask(one: Exercise, book: Book) -> tuple[bool | None, bool]:
    """Ask, and after a miss and its hint once more: right or not (None: no answer), and stopped."""
    right = _try(one, book, "Your answer, with its unit (q stops) > ", last=False)
    if right is False:
        again = _try(one, book, "Try once more (q stops) > ", last=True)
        return bool(again), again is None
    return right, right is None


def _try(one: Exercise, book: Book, question: str, *, last: bool) -> bool | None:
    """Ask until something is typed that can be read; None when the person stops."""
    units = ", ".join(asked.unit for asked in one.asks)
    explained = f"a number and its unit ({units}); q stops"
    while (typed := ask(question, explained=explained)).lower() != "q":
        if not typed:
            continue
        try:
            return _mark(one, typed, book, last=last)
        except InputError as wrong:
            say(f"  {wrong}")
    return None


def _mark(one: Exercise, answer: str, book: Book, *, last: bool) -> bool:
    """Say whether an answer is right; of a wrong one the slip, and at last the working too."""
    marked = mark_answer(one, answer)
    if marked.right:
        say("", f"Right: {one.answer}.")
    else:
        say("", f"Not right{'' if last else ' yet'}. {marked.says or _NO_USUAL_SLIP}")
        if last:
            _solve(one)
    scored = Scored(one.topic, one.difficulty, one.seed, answer, marked.right, marked.slip)
    score = book.keep(scored)
    if score is not None:
        topic = score.by_topic()[one.topic]
        say(
            f"{score.learner}: {score.right} of {len(score.answers)} answers right so far; "
            f"{one.topic}: {topic[0]} of {topic[1]}."
        )
    return marked.right


def _solve(one: Exercise) -> None:
    """Print the right answer and how it comes about."""
    say("", f"It is {one.answer}.")
    bullets(one.working)
    say(f"Source: {one.source}.")
