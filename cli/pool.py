"""A few processes that do many things one after another; one that breaks does not stop the rest."""

from __future__ import annotations

import contextlib
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.context import SpawnContext

LASTS = 20  # things a process does: the typesetter keeps some memory of each paper it has set
_LOOK_S = 0.2  # how often the wish to stop is looked at
_PATIENCE_S = 5.0  # for a process to end by itself


@dataclass(frozen=True)
class Broken:
    """A thing that was not done: the program itself went wrong, or its process ended."""

    why: str


def each(
    work: Callable[[Any], Any],
    things: Sequence[Any],
    *,
    workers: int,
    stop: Callable[[], bool],
    look: Callable[[], None],
) -> Iterator[tuple[int, Any]]:
    """Yield the place of a thing and ``work(thing)`` or `Broken`, in the order they are done.

    Each process holds one thing at a time and is replaced by a fresh one after `LASTS` of them, so
    that memory does not grow with their number. Once ``stop()`` is true no further thing is begun,
    and those at work are still yielded. ``look`` is called a few times a second. When the caller
    leaves early the processes are ended.
    """
    from multiprocessing import get_context
    from multiprocessing.connection import wait

    context, waiting = get_context("spawn"), iter(enumerate(things))
    crew: dict[Any, _Worker] = {}
    try:
        for _ in range(min(workers, len(things))):
            fresh = _Worker(context, work)
            if fresh.take(waiting, stop):
                crew[fresh.line] = fresh
        while crew:
            for line in wait([*crew], timeout=_LOOK_S):
                worker = crew.pop(line)
                place, made, alive = worker.result()
                if not alive or worker.tired():
                    worker = _Worker(context, work)
                if worker.take(waiting, stop):
                    crew[worker.line] = worker
                yield place, made  # last: a caller who leaves here leaves no process behind
            look()
    finally:
        for worker in crew.values():
            worker.end()


def here(
    work: Callable[[Any], Any], things: Sequence[Any], *, stop: Callable[[], bool]
) -> Iterator[tuple[int, Any]]:
    """Yield the same as `each`, done in this process one by one: for few things."""
    for place, thing in enumerate(things):
        if stop():
            return
        yield place, work(thing)


class _Worker:
    """One process, and the line to it."""

    def __init__(self, context: SpawnContext, work: Callable[[Any], Any]) -> None:
        self.line, there = context.Pipe()
        self._there = there
        self._process = context.Process(target=_serve, args=(there, work), daemon=True)
        self._place, self._done = -1, 0

    def take(self, waiting: Iterator[tuple[int, Any]], stop: Callable[[], bool]) -> bool:
        """Begin the next thing; when there is none, or none is wanted, let the process go."""
        pair = None if stop() else next(waiting, None)
        if pair is None:
            self._leave()
            return False
        if self._process.pid is None:
            with _deaf():
                self._process.start()
            self._there.close()  # so that the line breaks when the process does
        self._place, thing = pair
        self.line.send(thing)
        return True

    def tired(self) -> bool:
        """Return whether the process has done its share; then let it go."""
        if self._done < LASTS:
            return False
        self._leave()
        return True

    def result(self) -> tuple[int, Any, bool]:
        """Return the place, what was made of it, and whether the process lives."""
        try:
            made = self.line.recv()
            self._done += 1
            return self._place, made, True
        except (EOFError, ConnectionResetError):
            self.line.close()
            self._process.join()
            code = self._process.exitcode
            return self._place, Broken(f"its process ended with {code}: out of memory?"), False

    def end(self) -> None:
        """End the process at once."""
        self._process.terminate()
        self._process.join(_PATIENCE_S)
        self._process.kill()
        self._process.join()

    def _leave(self) -> None:
        if self._process.pid is not None:
            self.line.send(None)
            self._process.join(_PATIENCE_S)
        self.line.close()


@contextlib.contextmanager
def _deaf() -> Iterator[None]:
    """Hold Ctrl-C back while a process starts; what is started inherits it and never hears it."""
    if sys.platform == "win32":
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _serve(line: Connection, work: Callable[[Any], Any]) -> None:
    """Do what comes over the line until nothing more comes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the parent's to hear
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))  # so that what is half written is removed
    with contextlib.suppress(EOFError):  # the parent is gone
        while (thing := line.recv()) is not None:
            try:
                made = work(thing)
            except Exception as wrong:  # a fault of the program: the other things are still done
                made = Broken(f"{type(wrong).__name__}: {wrong} ({_where(wrong)})")
            line.send(made)


def _where(wrong: Exception) -> str:
    """Return the file and line that a fault comes from."""
    import traceback

    last = traceback.extract_tb(wrong.__traceback__)[-1]
    return f"{Path(last.filename).name}:{last.lineno}"
