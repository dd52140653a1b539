"""The working as one HTML page: for the apprentice, on a phone or on paper, without a network."""

import html
import re
from collections.abc import Iterator

from balance.sheet.results import Results
from balance.sheet.steps_of_working import HEADINGS, working
from balance.sheet.working_line import READING, Line, has_arrow

__all__ = ["working_page"]

_STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1rem; max-width: 46rem; background: #fff; color: #16191c;
  font: 1rem/1.45 system-ui, sans-serif; }
h1 { font-size: 1.4rem; margin: 0 0 .3rem; }
h2 { font-size: 1.15rem; margin: 2rem 0 .5rem; border-bottom: 2px solid #16191c; }
nav a { display: inline-block; padding: .35rem .8rem .35rem 0; color: #0b4a7a; }
article { padding: .7rem 0; border-bottom: 1px solid #c9cdd1; break-inside: avoid; }
h3 { font-size: 1rem; font-weight: 600; margin: 0 0 .35rem; }
dl { display: grid; grid-template-columns: max-content minmax(0, 1fr); gap: .1rem .6rem;
  margin: 0; }
dt { color: #4a5157; }
dd { margin: 0; overflow-wrap: anywhere; font-family: ui-monospace, monospace; font-size: .93rem; }
dd.result { font-weight: 700; }
dd.source { font-family: inherit; color: #4a5157; }
sup { line-height: 0; }
.note { color: #4a5157; margin: .3rem 0; }
@media print { body { font-size: 10pt; max-width: none; } nav { display: none; } }
"""
_PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy"
 content="default-src 'none'; style-src 'unsafe-inline'">
<title>{title}</title>
<style>{style}</style>
</head>
<body>
<header>
<h1>{title}</h1>
{notes}
</header>
<nav aria-label="Steps">{links}</nav>
<main>
{sections}
</main>
<footer><p class="note">A calculation aid: the person who signs the job decides.</p></footer>
</body>
</html>
"""


def working_page(results: Results, what: str = "") -> str:
    """Return the working as one self-contained page: no script, no picture, no network.

    Parameters
    ----------
    results : Results
        Of one job.
    what : str
        As for :func:`balance.sheet.steps_of_working.working`.

    Raises
    ------
    MissingInputError, InputError
        As :func:`balance.sheet.steps_of_working.working` does.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> page = working_page(Results(read_job(files("cli.examples") / "flat-four.toml")), "P1")
    >>> "(390 + 390.1) / 2" in page, "<script" in page
    (True, False)

    Source: each line names its own.
    """
    lines = working(results, what)
    topics = dict.fromkeys(line.topic for line in lines)
    about = results.job.job
    invented = "Demonstration: everything in this job is invented." if about.invented else ""
    notes = (about.engine, invented, READING if has_arrow(lines) else "")
    return _PAGE.format(
        title=html.escape(f"The working: {about.name}"),
        style=_STYLE,
        notes="\n".join(f'<p class="note">{html.escape(note)}</p>' for note in notes if note),
        links=" ".join(f'<a href="#{topic}">{HEADINGS[topic]}</a>' for topic in topics),
        sections="\n".join(_section(topic, lines) for topic in topics),
    )


def _section(topic: str, lines: tuple[Line, ...]) -> str:
    articles = "\n".join(_article(line) for line in lines if line.topic == topic)
    return f'<section id="{topic}">\n<h2>{HEADINGS[topic]}</h2>\n{articles}\n</section>'


def _article(line: Line) -> str:
    rows = "".join(
        f'<dt>{term}</dt><dd class="{kind}">{text}</dd>' for term, kind, text in _rows(line)
    )
    return f"<article>\n<h3>{_math(line.about)}</h3>\n<dl>{rows}</dl>\n</article>"


def _rows(line: Line) -> Iterator[tuple[str, str, str]]:
    """Yield term, kind and text of what a line has."""
    if line.formula:
        yield _math(line.symbol), "formula", _math(line.formula)
    if line.numbers:
        yield "", "numbers", "= " + _math(line.numbers)
    yield "", "result", ("= " if line.formula else "") + html.escape(line.result)
    if line.source:
        yield "from", "source", html.escape(line.source)


def _math(text: str) -> str:
    """Return arithmetic as people print it, escaped: raised powers, a cross, a root."""
    shown = html.escape(text).replace(" x ", " × ").replace("sqrt", "√")
    shown = shown.replace("&lt;=", "≤").replace("&gt;=", "≥")
    return re.sub(r"\^(-?\d+)", r"<sup>\1</sup>", shown)
