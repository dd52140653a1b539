"""Questions at the terminal; the end of the input or Ctrl-C stops, and nothing is lost by it."""

import sys
from collections.abc import Sequence

from balance.errors import InputError
from cli.printing import harmless


def ask(question: str) -> str | None:
    """Return what is typed, without blanks around it; None when the person stops."""
    try:
        return input(question).strip()
    except (EOFError, KeyboardInterrupt):
        print()
        return None


def ask_sure(doubts: Sequence[str]) -> bool:
    """Print what looks wrong and ask whether it is right all the same."""
    for doubt in doubts:
        print(f"  ? {harmless(doubt)}")
    while (answer := ask("  Keep it all the same? y or n > ")) is not None:
        if answer.lower() in ("y", "yes", "n", "no"):
            return answer.lower().startswith("y")
    return False


def settle(doubts: Sequence[str], *, sure: bool) -> bool:
    """Ask about doubts at a terminal; a program has nobody to ask and must say ``--sure``."""
    if sure or not doubts:
        return True
    if sys.stdin.isatty():
        return ask_sure(doubts)
    raise InputError(f"{'; '.join(doubts)}. Nothing was written: --sure writes it all the same")
