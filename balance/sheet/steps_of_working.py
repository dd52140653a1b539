"""The working: how every number of a job came about, from the results themselves."""

import re
from collections.abc import Callable, Iterator

from balance.errors import InputError, MissingInputError
from balance.sheet.explain_engine import explain_engine
from balance.sheet.explain_metal import explain_metal
from balance.sheet.explain_parts import explain_parts
from balance.sheet.explain_shake import explain_shake
from balance.sheet.explain_spin import explain_spin
from balance.sheet.results import Results
from balance.sheet.working_line import Line

__all__ = ["HEADINGS", "TOPICS", "Line", "working"]

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
}

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def working(results: Results, what: str = "") -> tuple[Line, ...]:
    """Return how the numbers of a job came about: formula, numbers, result, source.

    Parameters
    ----------
    results : Results
        Of one job.
    what : str
        A step (``match``, ``bobweight``, ``shake``, ``spin``, ``correct``), a part's mark
        (``P1``), a place (``cylinder 1``, ``crankpin 1``, ``plane left``, ``flywheel``), a piece
        of work (``hole 1``), or a number as it was printed (``408.8``). All when left out;
        a step that lacks its input then says so on a line of its own.

    Returns
    -------
    tuple of Line
        In the order of the work.

    Raises
    ------
    MissingInputError
        When a step is asked for by name that lacks its input.
    InputError
        When nothing is called that; the message lists what there is.

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
    wanted = " ".join(what.split()).casefold()
    if wanted in TOPICS:
        return tuple(TOPICS[wanted](results))
    lines = tuple(line for topic in _steps(results, wanted) for line in _listed(results, topic))
    if not wanted:
        return lines
    found = tuple(line for line in lines if _answers(line, wanted))
    if not found:
        raise InputError(f"nothing is called {what!r}; there is: {', '.join(_known(lines))}")
    return found


def _steps(results: Results, wanted: str) -> tuple[str, ...]:
    """Return the steps that can know a name: nobody waits for a plan to be told of a piston."""
    parts = results.job.parts
    marks = {part.mark.casefold() for part in (*parts.pistons, *parts.pins)}
    marks |= {rod.mark.casefold() for rod in parts.rods}
    return ("match",) if wanted in marks else tuple(TOPICS)


def _listed(results: Results, topic: str) -> Iterator[Line]:
    """Yield the lines of a step for as far as its input goes, then what it lacks."""
    try:
        yield from TOPICS[topic](results)
    except MissingInputError as missing:
        needs = "; ".join(missing.needed)
        yield Line(topic, "Not worked out yet", topic, "", "", f"needs {needs}", "")


def _answers(line: Line, wanted: str) -> bool:
    if wanted in (name.casefold() for name in line.names):
        return True
    return bool(_NUMBER.fullmatch(wanted)) and _rounds_to(line.result, wanted)


def _rounds_to(result: str, wanted: str) -> bool:
    """Return whether a printed number is the wanted one, as exactly as that one was written."""
    decimals = len(wanted.partition(".")[2])
    return any(
        round(float(text), decimals) == float(wanted)
        for text in _NUMBER.findall(result)
        if len(text.partition(".")[2]) >= decimals
    )


def _known(lines: tuple[Line, ...]) -> Iterator[str]:
    yield from TOPICS
    yield from dict.fromkeys(name for line in lines for name in line.names)
