"""Big work in pieces: says how far it is, stops between two pieces, shares itself out to the cores.

A library function that may take long has an optional ``progress``, called with how much is done
and how much there is, and an optional ``stop``, asked between two pieces: when it returns True the
function ends with what it has and says how much that is. Nothing here prints.
"""

import itertools
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

__all__ = ["Progress", "Stop", "in_order"]

Progress = Callable[[int, int], None]
Stop = Callable[[], bool]
Piece = TypeVar("Piece")
Made = TypeVar("Made")


def in_order(
    work: Callable[[Piece], Made],
    pieces: Iterable[Piece],
    *,
    workers: int = 1,
    stop: Stop | None = None,
) -> Iterator[Made]:
    """Yield ``work(piece)`` in the order of the pieces, whatever the number of threads.

    The first piece is always done. Once ``stop()`` is true no further piece is begun, and those at
    work are still yielded: what comes out is always the beginning of the whole. No more than two
    pieces a worker are held at a time.

    Parameters
    ----------
    work : callable
        Spends its time where the interpreter's lock is free, or threads help nothing.
    pieces : iterable
        Taken one by one.
    workers : int
        Threads.
    stop : callable, optional
        Asked before each piece but the first.

    Examples
    --------
    >>> list(in_order(abs, [-3, 2, -1], workers=2))
    [3, 2, 1]
    >>> list(in_order(abs, [-3, 2, -1], stop=lambda: True))
    [3]
    """
    wanted = _until(stop, pieces)
    if workers <= 1:
        yield from map(work, wanted)
        return
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(workers) as pool:
        waiting = deque(pool.submit(work, each) for each in itertools.islice(wanted, 2 * workers))
        while waiting:
            yield waiting.popleft().result()
            waiting.extend(pool.submit(work, each) for each in itertools.islice(wanted, 1))


def _until(stop: Stop | None, pieces: Iterable[Piece]) -> Iterator[Piece]:
    """Yield pieces for as long as nobody wants to stop."""
    for number, piece in enumerate(pieces):
        if number and stop is not None and stop():
            return
        yield piece
