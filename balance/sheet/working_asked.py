"""What is asked for: lines by their name, by a printed number, or by the words in them."""

import difflib
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from balance.sheet.working_figures import Figure, asked_figures, fit, printed_figures
from balance.sheet.working_line import Line

__all__ = ["MOST", "by_figures", "by_name", "by_name_and_figure", "by_words", "nearest", "similar"]

MOST = 5
"""How many lines or suggestions somebody is shown who may mean one of several."""

_NAMED_FIGURE = re.compile(r"(.*[^\W\d_].*?)[\s,:]+([-+]?\d.*)")
_LEADING = re.compile(r"[-+]?\d+(?:[.,]\d+)?")
_WORD = re.compile(r"[^\W_]+(?:[-.'][^\W_]+)*")


def by_name(lines: Iterable[Line], wanted: str) -> tuple[Line, ...]:
    """Return the lines that go by a name, whatever its case, plural or unit of length.

    Examples
    --------
    >>> line = Line("spin", "crank: limit", "U_lim", "", "", "48 g mm", "", ("plane 0", "limit"))
    >>> by_name([line], "Plane 0 mm") == by_name([line], "limits") == (line,)
    True
    """
    name, symbol = _plain(wanted), wanted.strip()
    names = {name, name.removesuffix(" mm"), name.removesuffix("s"), f"{name}s"}
    return tuple(
        line
        for line in lines
        if name and (line.symbol == symbol or names & {_plain(known) for known in line.names})
    )


def by_name_and_figure(lines: Sequence[Line], wanted: str) -> tuple[Line, ...]:
    """Return the lines that a name and a printed number behind it mean, as in ``flywheel 304``.

    Examples
    --------
    >>> line = Line("spin", "flywheel: adds", "U", "", "", "303.7 g mm", "", ("flywheel",))
    >>> len(by_name_and_figure([line], "flywheel 304 g mm"))
    1
    """
    found = _NAMED_FIGURE.fullmatch(wanted.strip())
    if found is None:
        return ()
    named = by_name(lines, found[1]) or by_words(lines, found[1])
    return by_figures(named, found[2])[0]


def by_figures(lines: Sequence[Line], wanted: str) -> tuple[tuple[Line, ...], int]:
    """Return the lines whose result is a printed number, the likeliest first, and how many less so.

    Examples
    --------
    >>> line = Line("spin", "crank", "U", "", "", "408.8 g mm at 309.2 deg", "")
    >>> [len(by_figures([line], text)[0]) for text in ("409 g mm at 309 deg", "0.568", "410")]
    [1, 1, 0]
    """
    ways, found = asked_figures(wanted), []
    for position, line in enumerate(lines):
        ranks = [rank for way in ways if (rank := _rank(way, line)) is not None]
        if ranks:
            found.append((*min(ranks), line.topic == "given", position))
    best = min((fits for fits, *_ in found), default=0)
    likely = [(place, given, lines[n]) for fits, place, given, n in sorted(found) if fits == best]
    return _mixed(likely), len(found) - len(likely)


def _mixed(found: list[tuple[int, bool, Line]]) -> tuple[Line, ...]:
    """Return lines so that no kind of number and no side, worked out or given, hides the rest."""
    seen: Counter[str] = Counter()
    keyed: list[tuple[int, int, bool, int, Line]] = []
    for place, given, line in found:
        keyed.append((seen[line.symbol] // 2, place, given, len(keyed), line))
        seen[line.symbol] += 1
    ordered = [line for *_, line in sorted(keyed, key=lambda key: key[:-1])]
    first = next((n for n, line in enumerate(ordered) if line.topic == "given"), 0)
    if first >= MOST:
        ordered.insert(MOST - 1, ordered.pop(first))
    return tuple(ordered)


def _rank(way: tuple[Figure, ...], line: Line) -> tuple[int, int] | None:
    """Return how well a result answers all asked figures: fit and place of the worst of them."""
    printed = printed_figures(line.result, exact=line.topic == "given")
    ranks = [_best(asked, printed) for asked in way]
    known = [rank for rank in ranks if rank is not None]
    return max(known) if way and len(known) == len(ranks) else None


def _best(asked: Figure, printed: tuple[Figure, ...]) -> tuple[int, int] | None:
    """Return fit and place of the figure that answers best; a sign may have been left out."""
    ranks = [
        (found, place)
        for place, figure in enumerate(printed)
        for found in (fit(asked, figure),)
        if found is not None
    ]
    return min(ranks, default=None)


def by_words(lines: Iterable[Line], wanted: str) -> tuple[Line, ...]:
    """Return the lines that hold all the words asked for, as in ``R3 big end``.

    Examples
    --------
    >>> line = Line("match", "Rod R3: big end, reconciled", "B'", "", "", "400.1 g", "", ("R3",))
    >>> len(by_words([line], "big end of R3")), len(by_words([line], "R4"))
    (1, 0)
    """
    words = _words(wanted) - {"of", "the", "in", "at", "a"}
    return tuple(line for line in lines if words and words <= _words(_text(line)))


def similar(lines: Iterable[Line], wanted: str) -> tuple[str, ...]:
    """Return at most five names that look like the one asked for."""
    names = dict.fromkeys(name for line in lines for name in line.names)
    known = {_plain(name): name for name in names}
    numbered = [known[name] for name in known if _stem(name) == _stem(wanted) != _plain(wanted)]
    close = difflib.get_close_matches(_plain(wanted), known, n=MOST, cutoff=0.6)
    return tuple(numbered or (known[name] for name in close))[:MOST]


def _stem(name: str) -> str:
    """Return a name without its number: ``P9`` may have been meant for ``P1``."""
    return _plain(name).rstrip("0123456789")


def nearest(lines: Sequence[Line], wanted: str) -> tuple[Line, ...]:
    """Return the lines, at most three, that come nearest to a number asked for.

    The same number in another unit comes first: grams may have been said for g mm.
    """
    ways = asked_figures(wanted)
    if not ways or ways[-1][0].value == 0:
        return ()
    asked = ways[-1][0]
    number = _LEADING.match(wanted.strip())
    if asked.kind and number and (same := by_figures(lines, number[0])[0]):
        return same[:3]
    found = [
        (abs(figure.value / asked.value - 1), position)
        for position, line in enumerate(lines)
        for figure in printed_figures(line.result)
        if not asked.kind or figure.kind == asked.kind
    ]
    near = dict.fromkeys(position for off, position in sorted(found) if off < 0.1)
    return tuple(lines[position] for position in near)[:3]


def _text(line: Line) -> str:
    return " ".join((line.about, line.result, *line.names))


def _words(text: str) -> set[str]:
    return set(_singular(word.casefold() for word in _WORD.findall(text)))


def _singular(words: Iterable[str]) -> Iterator[str]:
    return (word.removesuffix("s") if len(word) > 3 else word for word in words)


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()
