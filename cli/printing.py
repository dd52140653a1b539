"""How results reach the terminal: tables of at most 80 columns, plain text when piped, JSON."""

from __future__ import annotations

import contextlib
import dataclasses
import json
import math
import shutil
import textwrap
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from balance.units import show

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from balance.job.model import Job

WIDTH = 80
_HARMFUL = ("Cc", "Cs", "Zl", "Zp")


def harmless(text: str) -> str:
    """Return text with control characters and lone surrogates as escapes, on one terminal line.

    A file name may hold a terminal's own commands; shown as escapes they do nothing.
    """
    return "".join(
        letter
        if unicodedata.category(letter) not in _HARMFUL or letter == "\n"
        else _escape(letter)
        for letter in text
    )


def _escape(letter: str) -> str:
    return f"\\x{ord(letter):02x}" if ord(letter) < 256 else f"\\u{ord(letter):04x}"


def console() -> Console:
    """Return a console of at most 80 columns without markup, so that marks print as written."""
    from rich.console import Console

    width = min(WIDTH, Console().width)
    return Console(width=width, markup=False, highlight=False, emoji=False)


@contextlib.contextmanager
def busy(text: str) -> Iterator[None]:
    """Show a sign of life on the terminal while something takes more than a moment."""
    from rich.console import Console

    out = Console(stderr=True)
    if not out.is_terminal:
        yield
        return
    with out.status(text):
        yield


def say(*pieces: str) -> None:
    """Print pieces of text as one paragraph; an empty piece in front leaves a line free."""
    console().print(("\n" if not pieces[0] else "") + harmless(" ".join(filter(None, pieces))))


def gmm(unbalance_gmm: Any) -> str:
    """Return the figure of an unbalance for a column or a sentence that says g mm.

    As every screen has it: whole, but two figures of what is small, and never 0 for what is there.
    """
    return show(float(unbalance_gmm), "unbalance", "g mm").removesuffix(" g mm")


def indented(text: str, *, mark: str = "") -> None:
    """Print text between questions, a little to the right, in lines that the terminal holds."""
    for line in textwrap.wrap(
        harmless(text),
        width=min(WIDTH, shutil.get_terminal_size().columns),
        initial_indent=f"  {mark}",
        subsequent_indent="  " + " " * len(mark),
        break_long_words=False,
        break_on_hyphens=False,
    ):
        print(line)


def bullets(items: Iterable[str]) -> None:
    """Print a list, one item a line."""
    out = console()
    for item in items:
        out.print(harmless(f"- {item}"))


def heading(text: str) -> None:
    """Print a heading with a blank line above it."""
    out = console()
    out.print()
    out.print(harmless(text), style="bold")


def table(columns: Sequence[str], rows: Iterable[Sequence[str]], *, left: int = 1) -> None:
    """Print a table; the first ``left`` columns are text, the others numbers."""
    from rich.table import Table

    made = Table(box=None, padding=(0, 1, 0, 0), show_edge=False, header_style="underline")
    for index, column in enumerate(columns):
        side = "left" if index < left else "right"
        made.add_column(column, justify=side, overflow="fold")  # type: ignore[arg-type]
    for row in rows:
        made.add_row(*map(harmless, row))
    _print_trimmed(made)


def _print_trimmed(made: Table) -> None:
    """Print a table; on paper and in a pipe no line ends in blanks."""
    out = console()
    if out.is_terminal:
        out.print(made)
        return
    with out.capture() as shown:
        out.print(made)
    print("\n".join(line.rstrip() for line in shown.get().splitlines()))


def next_step(text: str) -> None:
    """Print what to do next, last and after a blank line."""
    out = console()
    out.print()
    out.print(harmless(f"Next: {text}"), style="bold")


def command(text: str) -> None:
    """Print a command to copy, whole on its line however long it is."""
    console().print(harmless(f"  {text}"), soft_wrap=True)


def print_json(result: Any) -> None:
    """Print a result as JSON for programs: vectors as amount and degrees, units in the names."""
    print(json.dumps(plain(result), indent=2, ensure_ascii=False, allow_nan=False))


def plain(value: Any) -> Any:
    """Return a result as dicts, lists, text and numbers."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if hasattr(value, "tolist"):
        return plain(value.tolist())
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return _number(value) if isinstance(value, complex | float) else value


def _number(value: complex | float) -> Any:
    if isinstance(value, complex):
        degrees = math.degrees(math.atan2(value.imag, value.real)) % 360.0
        return {"amount": abs(value), "degrees": degrees}
    return None if math.isinf(value) else value  # a bound may be infinite; a NaN must not pass


def title(step: str, job: Job) -> None:
    """Print which step of which job this is, and that invented data is invented."""
    out = console()
    out.print(harmless(f"{step}: {job.job.name}"), style="bold")
    if job.job.invented:
        out.print("(demonstration: everything in this job is invented)")
