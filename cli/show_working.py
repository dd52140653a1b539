"""The working, for people: one blank line between the lines, small brackets never broken in two."""

import re
import textwrap
from collections.abc import Iterable, Iterator

from balance.sheet.results import Results
from balance.sheet.steps_of_working import HEADINGS
from balance.sheet.working_line import READING, Line
from cli.printing import console, heading, next_step, say, title

_SHORT = re.compile(r"\([^()]{1,30}\)")  # an arrow or a small bracket stays on one line
_HARD = "\N{NO-BREAK SPACE}"


def show_working(results: Results, lines: Iterable[Line]) -> None:
    """Print lines of working under the heading of their step."""
    title("The working", results.job)
    say(READING)
    out, topic = console(), ""
    for line in lines:
        if line.topic != topic:
            topic = line.topic
            heading(f"{HEADINGS[topic]} ({topic})")
        out.print()
        for text in _texts(line, out.width):
            out.print(text, soft_wrap=True)
    next_step('for one number by itself: heavyspot explain JOB P1, or "hole 1", or 408.8.')


def _texts(line: Line, width: int) -> Iterator[str]:
    yield from textwrap.wrap(line.about, width)
    lead = f"  {line.symbol} = " if line.formula else "  "
    if line.formula:
        yield from _hung(line.formula, lead, width)
        lead = f"{' ' * (len(lead) - 2)}= "
    if line.numbers:
        yield from _hung(line.numbers, lead, width)
    yield from _hung(line.result, lead, width)
    if line.source:
        yield from _hung(line.source, "  from: ", width)


def _hung(text: str, lead: str, width: int) -> Iterator[str]:
    """Yield a text with its lead, the lines after the first under the first's own text."""
    whole = _SHORT.sub(lambda bracket: bracket[0].replace(" ", _HARD), text)
    wrapped = textwrap.wrap(
        whole,
        width,
        initial_indent=lead,
        subsequent_indent=" " * min(len(lead), 12),
        break_on_hyphens=False,
    )
    return (row.replace(_HARD, " ") for row in wrapped)
