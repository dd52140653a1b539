"""The working, for people: one blank line between the lines, small brackets never broken in two."""

import re
import textwrap
from collections.abc import Iterator

from balance.sheet.results import Results
from balance.sheet.steps_of_working import HEADINGS, Answer
from balance.sheet.working_line import READING, Line, has_arrow
from cli.printing import console, harmless, heading, next_step, say, title

_SHORT = re.compile(r"\([^()]{1,30}\)")  # an arrow or a small bracket stays on one line
_PRINTED = re.compile(r"\d+(?:\.\d+)? g mm|\d+(?:\.\d+)? g\b")
_HARD = "\N{NO-BREAK SPACE}"


def show_working(results: Results, answer: Answer) -> None:
    """Print lines of working under the heading of their step."""
    title("The working", results.job)
    if has_arrow(answer.lines):
        say(READING)
    out, topic = console(), ""
    for line in answer.lines:
        if line.topic != topic:
            topic = line.topic
            heading(f"{HEADINGS[topic]} ({topic})")
        out.print()
        for text in _texts(line, out.width):
            out.print(harmless(text), soft_wrap=True)
    if answer.left_out:
        left = answer.left_out
        say("", f"{left} more line{'s' * (left > 1)} may be meant: a unit or a name says which.")
    instance = _for_instance(answer.lines)
    if instance:
        next_step(f"for one thing by itself: heavyspot explain JOB {instance}.")
    else:
        next_step("heavyspot check JOB says what is to be filled in.")


def _for_instance(lines: tuple[Line, ...]) -> str:
    """Return what can be asked next, of what has just been shown: a name, and a number."""
    names = (name for line in lines for name in line.names if name != "scale" and "+" not in name)
    number = next((found[0] for line in lines if (found := _PRINTED.match(line.result))), "")
    return ", or ".join(_quoted(text) for text in (next(names, ""), number) if text)


def _quoted(text: str) -> str:
    return f'"{text}"' if " " in text else text


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
