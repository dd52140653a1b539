"""heavyspot practice: exercises at the terminal or on paper, marked with their unit."""

from pathlib import Path
from typing import Annotated

import typer


def practice(
    *,
    topic: Annotated[
        str | None, typer.Option(help="What to practise; without it, all topics in turn.")
    ] = None,
    difficulty: Annotated[int, typer.Option(min=1, max=3, help="1, 2 or 3.")] = 1,
    seed: Annotated[
        int | None, typer.Option(help="Which exercise; the same number gives the same one.")
    ] = None,
    answer: Annotated[
        str | None, typer.Option(help='Mark this answer, as "912 g mm" or "12 g at 215 deg".')
    ] = None,
    learner: Annotated[str, typer.Option(help="Keep the score of this learner.")] = "",
    scores: Annotated[
        Path, typer.Option(metavar="FOLDER", help="Where score files are kept, one a learner.")
    ] = Path("heavyspot-scores"),
    paper: Annotated[
        Path | None,
        typer.Option(metavar="FILE.pdf", help="Write ten exercises, and their answers beside."),
    ] = None,
    topics: Annotated[bool, typer.Option("--topics", help="List the topics.")] = False,
    solution: Annotated[
        bool, typer.Option("--solution", help="Show the answer and its working as well.")
    ] = False,
) -> int:
    """Practise: exercises with realistic numbers, marked at once, usual slips explained."""
    import random

    from cli import practice_steps as steps

    if topics:
        return steps.list_topics()
    first = random.randint(1, 9999) if seed is None else seed
    if paper is not None:
        return steps.write_paper(paper, topic, difficulty, first)
    book = steps.Book(learner, scores)
    if solution and answer is None:
        return steps.show_one(topic, difficulty, seed)
    if answer is not None:
        return steps.mark_one(topic, difficulty, first, answer, book, solution=solution)
    return steps.ask_on(topic, difficulty, first, book)
