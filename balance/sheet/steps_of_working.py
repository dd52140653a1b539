"""The working: how every number of a job came about, from the results themselves."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from balance.errors import InputError, MissingInputError
from balance.sheet.explain_engine import explain_engine
from balance.sheet.explain_given import explain_given
from balance.sheet.explain_metal import explain_metal
from balance.sheet.explain_parts import explain_parts
from balance.sheet.explain_shake import explain_shake
from balance.sheet.explain_spin import explain_spin
from balance.sheet.results import Results
from balance.sheet.working_asked import (
    MOST,
    by_figures,
    by_name,
    by_name_and_figure,
    by_words,
    nearest,
    similar,
)
from balance.sheet.working_figures import asked_figures
from balance.sheet.working_line import Line
from balance.sheet.working_terms import TERMS, nearly_term, term_of

__all__ = ["HEADINGS", "TOPICS", "Answer", "Line", "answer", "working"]

TOPICS: dict[str, Callable[[Results], Iterator[Line]]] = {
    "match": explain_parts,
    "bobweight": explain_engine,
    "shake": explain_shake,
    "spin": explain_spin,
    "correct": explain_metal,
}

HEADINGS = {
    "match": "Parts, sets and cuts",
    "bobweight": "Bobweights",
    "shake": "What the engine shakes",
    "spin": "What the machine showed",
    "correct": "Holes and slugs",
    "given": "As written in the job file",
}


@dataclass(frozen=True)
class Answer:
    """The lines that answer a question; ``left_out`` more do so too, but less likely."""

    lines: tuple[Line, ...]
    left_out: int = 0


def working(results: Results, what: str = "") -> tuple[Line, ...]:
    """Return how the numbers of a job came about: formula, numbers, result, source.

    Parameters
    ----------
    results : Results
        Of one job.
    what : str
        A step (``match``, ``bobweight``, ``shake``, ``spin``, ``correct``), ``given`` for what the
        job file says, a part's mark (``P1``), a place (``cylinder 1``, ``crankpin 1``, ``plane
        left``, ``flywheel``), a piece of work (``hole 1``), a number as it was printed (``409``,
        ``409 g mm``, ``0.568 oz in``, ``98 %``), or words (``R3 big end``). All steps when left
        out; a step that lacks its input then says so on a line of its own.

    Returns
    -------
    tuple of Line
        In the order of the work; of a number or of words the likeliest, at most five.

    Raises
    ------
    MissingInputError
        When a step is asked for by name that lacks its input.
    InputError
        When nothing is called that, or not in this job yet; the message says what may be meant.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> results = Results(read_job(files("cli.examples") / "flat-four.toml"))
    >>> line = working(results, "P1")[1]
    >>> line.symbol, line.formula, line.numbers, line.result
    ('m', '(x1 + ... + xn) / n', '(390 + 390.1) / 2', '390.050 g')

    Source: each line names its own.
    """
    return answer(results, what).lines


def answer(results: Results, what: str = "") -> Answer:
    """Return the lines that :func:`working` returns, and how many more answer less likely.

    Parameters
    ----------
    results, what
        As for :func:`working`.

    Raises
    ------
    MissingInputError, InputError
        As :func:`working` does.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> found = answer(Results(read_job(files("cli.examples") / "flat-four.toml")), "0.568 oz in")
    >>> found.lines[0].result
    '409.1 g mm at 309.1 deg'

    Source: each line names its own.
    """
    text = " ".join(what.split())
    wanted = text.casefold()
    if wanted in TOPICS:
        return Answer(tuple(TOPICS[wanted](results)))
    if wanted == "given":
        return Answer(tuple(explain_given(results)))
    missing: dict[str, MissingInputError] = {}
    lines = tuple(
        line for topic in _steps(results, wanted) for line in _listed(results, topic, missing)
    )
    if not wanted:
        return Answer(lines)
    known = tuple(line for line in lines if line.formula)
    given = tuple(explain_given(results))
    found = by_name(known, text) or by_name(known, _called(wanted)) or by_name(given, text)
    if found:
        return Answer(found)
    likely, less = by_figures((*known, *given), wanted)
    if not likely and term_of(wanted) is None:  # "hole 7" is a name by itself
        likely = by_name_and_figure((*known, *given), wanted)
    if not (likely or _waits(wanted, missing)):
        likely = by_words((*known, *given), wanted)
    if not likely:
        raise InputError(_not_there(text, (*known, *given), missing))
    return Answer(likely[:MOST], len(likely[MOST:]) + less)


def _waits(wanted: str, missing: Mapping[str, MissingInputError]) -> bool:
    """Return whether a word of the trade belongs to a step that still lacks its input."""
    term = term_of(wanted)
    return term is not None and term.topic in missing


def _steps(results: Results, wanted: str) -> tuple[str, ...]:
    """Return the steps that can know a name: nobody waits for a plan to be told of a piston."""
    parts = results.job.parts
    marks = {part.mark.casefold() for part in (*parts.pistons, *parts.pins)}
    marks |= {rod.mark.casefold() for rod in parts.rods}
    return ("match",) if wanted in marks else tuple(TOPICS)


def _listed(results: Results, topic: str, missing: dict[str, MissingInputError]) -> Iterator[Line]:
    """Yield the lines of a step for as far as its input goes, then what it lacks."""
    try:
        yield from TOPICS[topic](results)
    except MissingInputError as lacks:
        missing[topic] = lacks
        needs = "; ".join(lacks.needed)
        yield Line(topic, "Not worked out yet", topic, "", "", f"needs {needs}", "")


def _called(wanted: str) -> str:
    """Return the name by which the lines of a word of the trade go."""
    term = term_of(wanted)
    return term.name if term is not None else ""


def _not_there(what: str, lines: tuple[Line, ...], missing: Mapping[str, MissingInputError]) -> str:
    """Return what to tell somebody who asked for what this job does not have."""
    term = term_of(what.casefold())
    if term is not None and _waits(what.casefold(), missing):
        needs = "; ".join(missing[term.topic].needed)
        return f"{what!r} is not in this job yet ({term.meaning}): {term.topic} needs {needs}"
    waiting = f"; not worked out yet: {', '.join(missing)}" if missing else ""
    if asked_figures(what):
        near = "; ".join(
            f"{line.result} ({line.about.partition(':')[0]})" for line in nearest(lines, what)
        )
        return f"no number of this job is {what!r}" + f"; near it: {near}" * bool(near) + waiting
    likely = ", ".join(similar(lines, what))
    meant = f"; did you mean {likely}?" if likely else f"; ask for a step ({', '.join(TOPICS)})"
    spelt = nearly_term(what) if term is None else None
    if spelt is not None:
        meant += f"; the word {spelt!r} is {TERMS[spelt].meaning}"
    elif term is None and not likely:
        meant += "; words are explained in notebooks/GLOSSARY.md"
    if term is not None:
        return f"this job has no {what!r} ({term.meaning}){meant}{waiting}"
    return f"nothing is called {what!r}{meant}{waiting}"
