"""Questions at the terminal; the end of the input or Ctrl-C stops, and nothing is lost by it."""

import sys
from collections.abc import Sequence

from balance.errors import InputError
from cli.printing import harmless


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
        print(f"  {harmless(explained)}")


def ask_sure(doubts: Sequence[str]) -> bool:
    """Print what looks wrong and ask whether it is right all the same."""
    return ask_doubted(doubts, instead="") == "y"


def ask_doubted(doubts: Sequence[str], *, instead: str) -> str:
    """Print what looks wrong; return ``y``, ``n``, ``q`` to stop, or what is typed ``instead``.

    What has no digit in it is nothing to put in its place, and is asked again.
    """
    for doubt in doubts:
        print(f"  ? {harmless(doubt)}")
    words = f"y, n or {instead}" if instead else "y or n"
    explained = f"y keeps it, n does not{f', {instead} takes its place' * bool(instead)}; q stops"
    question = f"  Keep it all the same? {words} > "
    while (answer := ask(question, explained=explained)) is not None:
        if answer.lower() in ("y", "yes", "n", "no", "q"):
            return answer[0].lower()
        if instead and any(letter.isdigit() for letter in answer):
            return answer
    return "q"


def settle(doubts: Sequence[str], *, sure: bool, instead: str = "") -> bool:
    """Ask about doubts at a terminal; a program has nobody to ask and must say ``--sure``."""
    if sure or not doubts:
        return True
    if sys.stdin.isatty():
        return ask_sure(doubts)
    raise InputError(
        f"{'; '.join(doubts)}. Nothing was written: {instead}--sure writes it all the same"
    )
