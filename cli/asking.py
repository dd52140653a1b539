"""Questions at the terminal; the end of the input or Ctrl-C stops, and nothing is lost by it."""

import contextlib
import sys
from collections.abc import Iterator, Sequence

import typer

from balance.errors import InputError
from cli.interrupts import STOPPED
from cli.printing import bullets, indented, say


class Stopped(typer.Exit):
    """Ctrl-C, or the end of the input (Ctrl-D), at a question: the program ends with 130.

    Whoever asked first says what was kept. Typing ``q`` is an answer, and no such thing.
    """

    def __init__(self) -> None:
        super().__init__(STOPPED)


@contextlib.contextmanager
def nothing_kept() -> Iterator[None]:
    """Say that nothing was written when the person stops at a question in here."""
    try:
        yield
    except Stopped:
        say("Nothing was written.")
        raise


def ask(question: str, *, explained: str = "") -> str:
    """Return what is typed, without blanks around it.

    A question mark shows what may be typed, where there is something to explain.

    Raises
    ------
    Stopped
        When the person stops, or nothing more comes.
    """
    while True:
        try:
            answer = input(question).strip()
        except (EOFError, KeyboardInterrupt):
            print()
            raise Stopped from None
        if answer != "?" or not explained:
            return answer
        indented(explained)


def ask_sure(doubts: Sequence[str]) -> bool:
    """Print what looks wrong and ask whether it is right all the same."""
    return ask_doubted(doubts, instead="") == "y"


def ask_doubted(doubts: Sequence[str], *, instead: str, undo: bool = False) -> str:
    """Print what looks wrong; return ``y``, ``n``, ``u``, ``q``, or what is typed ``instead``.

    ``u`` is offered where the latest reading can be taken back. What is none of these and has no
    digit in it is explained and asked again.
    """
    for doubt in doubts:
        indented(doubt, mark="? ")
    keys = ["y", "n", *["u"] * undo, "q"]
    explained = "y keeps it, n does not" + (f", {instead} takes its place" if instead else "")
    explained += "; u takes back the reading before it" * undo + "; q stops"
    words = ", ".join(keys[:-1]) + (f", q or {instead}" if instead else " or q")
    question = f"  Keep it all the same? {words} > "
    while True:
        answer = ask(question, explained=explained)
        word = {"yes": "y", "no": "n"}.get(answer.lower(), answer.lower())
        if word in keys:
            return word
        if instead and any(letter.isdigit() for letter in answer):
            return answer
        indented(explained)


def settle(doubts: Sequence[str], *, sure: bool, instead: str = "") -> bool:
    """Ask about doubts at a terminal; a program has nobody to ask and must say ``--sure``.

    Several are printed one a line, before the error that counts them.
    """
    doubts = tuple(dict.fromkeys(doubts))
    if sure or not doubts:
        return True
    if sys.stdin.isatty():
        return ask_sure(doubts)
    from balance.sheet.wording import sentence

    said = doubts[0]
    if len(doubts) > 1:
        bullets(doubts)
        said = f"{len(doubts)} things look wrong, see above"
    raise InputError(
        f"{sentence(said)} Nothing was written: {instead}--sure writes it all the same"
    )
