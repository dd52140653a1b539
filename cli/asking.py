"""Questions at the terminal; the end of the input or Ctrl-C stops, and nothing is lost by it."""

import sys
from collections.abc import Sequence

from balance.errors import InputError
from cli.printing import bullets, indented


def ask(question: str, *, explained: str = "") -> str | None:
    """Return what is typed, without blanks around it; None when the person stops.

    A question mark shows what may be typed, where there is something to explain.
    """
    while True:
        try:
            answer = input(question).strip()
        except (EOFError, KeyboardInterrupt):
            print()
            return None
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
    while (answer := ask(question, explained=explained)) is not None:
        word = {"yes": "y", "no": "n"}.get(answer.lower(), answer.lower())
        if word in keys:
            return word
        if instead and any(letter.isdigit() for letter in answer):
            return answer
        indented(explained)
    return "q"


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
