"""Printed numbers, compared as far as they were printed: ``409``, ``0.568 oz in``, ``98 %``.

A number that is printed with d decimals stands for everything within half of its last digit. Two
printed numbers can be the same one when what they stand for overlaps.
"""

import re
from dataclasses import dataclass, replace
from functools import cache

from balance.errors import InputError
from balance.units import KINDS, read, unit_names

__all__ = ["Figure", "asked_figures", "fit", "printed_figures"]

_NUMBER = r"[-+]?\d+(?:[.,]\d+)?"
_FRACTION = r"\d+(?:[\s-]\d+)?/\d+"
_FIGURE = re.compile(rf"(?:([Gg])\s*)?({_FRACTION}|{_NUMBER})\s*(?:\"|([A-Za-z%].*))?")
_THOUSANDS = re.compile(r"(?<=\d) (?=\d{3}\b)")
_APART = re.compile(r"\s+at\s+(?:a\s+)?(?:radius\s+(?:of\s+)?)?|\s*@\s*")
_OUTSIDE_THE_TABLE = {"nm": "n m", "percent": "%", "per cent": "%", "newton": "n"}
_DECIMALS_ON_SCREEN = {"unbalance": 0, "angle": 1, "n": 0, "n m": 0}
_PRINTED_AS_WELL = {"unbalance": ("oz in",), "mass": ("kg", "oz"), "length": ("in",)}
_VAGUE = 0.02  # a number whose last digit is worth more of it than this says little by itself
_EPSILON = 1e-9


@dataclass(frozen=True)
class Figure:
    """One printed number: what it says, how exactly, and in which unit.

    ``value`` and ``half`` (of its last digit) are in the inside unit where ``kind`` is one of the
    kinds of quantity; else ``kind`` is the unit itself, or nothing for a bare number.
    """

    value: float
    half: float
    decimals: int
    kind: str
    unit: str


def asked_figures(text: str) -> tuple[tuple[Figure, ...], ...]:
    """Return the ways in which a text can be read as printed numbers; none when it is no number.

    Parameters
    ----------
    text : str
        ``"409"``, ``"409 g mm"``, ``"409 g mm at 309 deg"``, ``"0.61 g at 78 mm"``, ``"98%"``.

    Returns
    -------
    tuple of tuple of Figure
        All figures of one way must be found together.

    Examples
    --------
    >>> asked_figures("98%")
    ((Figure(value=98.0, half=0.5, decimals=0, kind='%', unit='%'),),)
    >>> [figure.kind for figure in asked_figures("2 g at 76 mm")[1]]
    ['unbalance']
    >>> asked_figures("hole 1")
    ()
    """
    pieces = [_figure(piece) for piece in _APART.split(_tidy(text))]
    figures = tuple(figure for figure in pieces if figure is not None)
    if not pieces or len(figures) < len(pieces):
        return ()
    if [figure.kind for figure in figures] == ["mass", "length"]:
        mass, radius = figures
        moment = Figure(mass.value * radius.value, mass.half * radius.value, 0, "unbalance", "g mm")
        return (figures, (moment,))
    return (figures,)


@cache
def printed_figures(text: str, *, exact: bool = False) -> tuple[Figure, ...]:
    """Return the numbers of a printed result: ``408.8 g mm at 309.2 deg``, ``8 mm, 9 mm``.

    An ``exact`` one was written by hand: it stands for itself alone.

    Examples
    --------
    >>> [(figure.value, figure.unit) for figure in printed_figures("408.8 g mm at 309.2 deg")]
    [(408.8, 'g mm'), (309.2, 'deg')]
    """
    parts = (part for piece in re.split(r",\s+", text) for part in _APART.split(piece))
    found = tuple(figure for part in parts if (figure := _figure(part)) is not None)
    return tuple(replace(figure, half=0.0) for figure in found) if exact else found


def fit(asked: Figure, printed: Figure) -> int | None:
    """Return how well a printed number answers the asked one, 0 best; None when it does not.

    Examples
    --------
    >>> limit = printed_figures("47.6 g mm")[0]
    >>> fit(asked_figures("48 g mm")[0][0], limit), fit(asked_figures("0.066")[0][0], limit)
    (0, 2)
    >>> fit(asked_figures("48 g")[0][0], limit) is None
    True
    """
    if asked.kind:
        if asked.kind != printed.kind or not _overlap(asked, printed):
            return None
        return 0 if asked.unit == printed.unit else 1
    if _overlap(asked, _as_written(printed)):
        return _likely(asked, printed)
    for unit in _PRINTED_AS_WELL.get(printed.kind, ()):
        if unit != printed.unit and _overlap(_with_unit(asked, printed.kind, unit), printed):
            return 2
    return None


def _likely(asked: Figure, printed: Figure) -> int:
    """Return 0 for a bare number as a screen may print it, 3 for one that it would not.

    A screen prints no more decimals of some units, and never a weight as one bare digit.
    """
    most = _DECIMALS_ON_SCREEN.get(printed.kind)
    if most is not None and asked.decimals > most:
        return 3
    vague = asked.half > _VAGUE * abs(asked.value) and most is None
    return 3 if vague and printed.value != asked.value else 0


def _overlap(one: Figure, other: Figure) -> bool:
    """Return whether two numbers can be one; a minus may have been left out in the first."""
    reach = one.half + other.half + _EPSILON * abs(one.value)
    return abs(one.value - other.value) <= reach or abs(one.value + other.value) <= reach * (
        one.value > 0
    )


def _tidy(text: str) -> str:
    """Return a text with plain signs, without what is written around a number."""
    plain = text.replace("\N{MINUS SIGN}", "-").replace("°", " deg")
    return _THOUSANDS.sub("", " ".join(plain.split()).strip(" =,;."))


def _figure(text: str) -> Figure | None:
    found = _FIGURE.fullmatch(text.strip())
    if found is None:
        return None
    number = found[2].replace(",", ".")
    decimals = len(number.partition(".")[2])
    fraction = "/" in number
    bare = Figure(
        read(number, "length"), 0.0 if fraction else 0.5 * 10.0**-decimals, decimals, "", ""
    )
    if found[1]:
        return replace(bare, kind="grade", unit="G")
    unit = "in" if text.strip().endswith('"') else (found[3] or "").strip().rstrip(".")
    return _in_unit(bare, unit) if unit else bare


def _in_unit(bare: Figure, written: str) -> Figure:
    """Return a number in the unit that the words after it are."""
    kind, unit, size = _unit(written)
    return Figure(bare.value * size, bare.half * size, bare.decimals, kind, unit)


@cache
def _unit(written: str) -> tuple[str, str, float]:
    """Return kind, name and size of a unit; of one outside the table its words and 1."""
    for kind in KINDS:
        try:
            size = read(f"1 {written}", kind)
        except InputError:
            continue
        return kind, next(n for n in unit_names(kind) if read(f"1 {n}", kind) == size), size
    unit = " ".join(written.casefold().split())
    unit = _OUTSIDE_THE_TABLE.get(unit, unit)
    return unit, unit, 1.0


def _with_unit(bare: Figure, kind: str, unit: str) -> Figure:
    """Return a bare number in a unit of the table."""
    size = _unit(unit)[2]
    return Figure(bare.value * size, bare.half * size, bare.decimals, kind, unit)


def _as_written(printed: Figure) -> Figure:
    """Return a number as it stands on paper, its unit taken away again."""
    size = _unit(printed.unit)[2] if printed.kind in KINDS else 1.0
    return Figure(printed.value / size, printed.half / size, printed.decimals, "", "")
