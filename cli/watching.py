"""Long work at the bench: how far it is, on stderr, and Ctrl-C as the wish to stop."""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import time
from collections.abc import Iterator
from typing import Any

_OFTEN_S, _SELDOM_S = 0.2, 15.0  # between two lines: on a terminal, elsewhere
_PATIENCE_S = 1.0  # work that is done sooner says nothing
_STOPPING = "stopping when the pieces at work are done; Ctrl-C again stops at once"


class Watch:
    """What a long work asks while it goes on: ``progress`` to tell, ``stop`` to obey.

    A ``quiet`` one, as programs want it, speaks to a terminal only.
    """

    def __init__(self, things: str, *, quiet: bool = False) -> None:
        self.asked = False
        self._things = things
        self._line = sys.stderr.isatty()
        self._quiet = quiet and not self._line
        self._start = time.monotonic()
        self._next = self._start + (_PATIENCE_S if self._line else _SELDOM_S)

    def stop(self) -> bool:
        """Return whether Ctrl-C was pressed."""
        return self.asked

    def progress(self, done: int, total: int) -> None:
        """Say how far the work is, unless that was said a moment ago."""
        now = time.monotonic()
        if self._quiet or now < self._next:
            return
        self._next = now + (_OFTEN_S if self._line else _SELDOM_S)
        gone = now - self._start
        text = f"{spaced(done)} of {spaced(total)} {self._things}, {clock(gone)} so far"
        if 0 < done < total:
            text += f", about {clock(gone / done * (total - done))} left"
        self._say(text)

    def wish(self, *_signal: Any) -> None:
        """Take Ctrl-C as a wish to stop; the second one interrupts."""
        if self.asked:
            raise KeyboardInterrupt
        self.asked = True
        if not self._quiet:
            end = "\n" if self._line else ""  # what comes next shall not wipe it away
            self._break_in(f"{_STOPPING}{end}")

    def _break_in(self, text: str) -> None:
        """Say something in the midst of whatever is being done, perhaps of saying something."""
        try:
            self._say(text)
        except RuntimeError:  # Python's stream cannot be entered twice; the terminal can
            os.write(2, f"\n{text}".encode())

    def clear(self) -> None:
        """Take the line of a terminal away."""
        if self._line:
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)

    def _say(self, text: str) -> None:
        if self._line:
            print(f"\r\x1b[K{text}", end="", file=sys.stderr, flush=True)
        else:
            print(text, file=sys.stderr, flush=True)


@contextlib.contextmanager
def watched(things: str, *, quiet: bool = False) -> Iterator[Watch]:
    """Watch over a long work: Ctrl-C does not break it but makes ``stop`` true."""
    watch = Watch(things, quiet=quiet)
    before = signal.signal(signal.SIGINT, watch.wish)
    try:
        yield watch
    finally:
        signal.signal(signal.SIGINT, before)
        watch.clear()


def cores() -> int:
    """Return how many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def spaced(number: int) -> str:
    """Return a whole number with its thousands set apart.

    >>> spaced(10000000)
    '10 000 000'
    """
    return f"{number:,}".replace(",", " ")


def clock(seconds: float) -> str:
    """Return a time as minutes and seconds, or hours, minutes and seconds.

    >>> clock(75.2), clock(3725)
    ('1:15', '1:02:05')
    """
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"
