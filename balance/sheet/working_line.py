"""One line of the working, and how its numbers are written so that the arithmetic closes.

Numbers inside a line carry seven digits, its result only those that matter: whoever works the
line out again with a pocket calculator lands on the printed result. An arrow is written
``(492 at 276 deg)``: its length, and where it points.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from balance.vectors import amount, degrees, fold

__all__ = [
    "PRACTICE",
    "READING",
    "Line",
    "arrow",
    "has_arrow",
    "num",
    "plain",
    "polar",
    "scalar",
    "total",
]

PRACTICE = "common practice, no source"
READING = (
    "An arrow is written (492 at 276 deg): its length, and where it points. Angles turn with the "
    "crank: 0 is crankpin 1, counter-clockwise seen from the flywheel. Arrows add end to end: "
    "along 0 one reaches length x cos(angle), along 90 it reaches length x sin(angle)."
)

_DIGITS = 7
_ARROW = re.compile(r"\d at -?[\d.]+ deg")


@dataclass(frozen=True)
class Line:
    """One number and how it came about.

    ``topic`` is the step of the work, ``about`` says in words what the number is; ``formula`` is
    in symbols, ``numbers`` the same with this job's numbers (empty where no arithmetic fits on a
    line), ``result`` carries its unit. ``names`` are what else the line can be asked for by: a
    part's mark, a hole, a plane.
    """

    topic: str
    about: str
    symbol: str
    formula: str
    numbers: str
    result: str
    source: str
    names: tuple[str, ...] = ()


def plain(value: Any) -> str:
    """Return a number with up to seven digits, never with an exponent.

    Examples
    --------
    >>> plain(390.0), plain(1 / 3), plain(-2.5e-5)
    ('390', '0.3333333', '-0.000025')
    """
    text = np.format_float_positional(
        float(value) + 0.0, precision=_DIGITS, fractional=False, trim="-"
    )
    return "0" if text == "-0" else text


def num(value: Any) -> str:
    """Return a number as it stands inside a formula: a negative one in brackets.

    Examples
    --------
    >>> num(1.5), num(-1)
    ('1.5', '(-1)')
    """
    text = plain(value)
    return f"({text})" if text.startswith("-") else text


def polar(v: Any) -> str:
    """Return an arrow inside a formula: its length and where it points.

    Examples
    --------
    >>> polar(-2j)
    '(2 at 270 deg)'
    """
    return f"({plain(amount(v))} at {plain(fold(round(float(degrees(v)), 9)))} deg)"


def total(pieces: Iterable[str]) -> str:
    """Return pieces added up.

    Examples
    --------
    >>> total(["1", "(-2)"]), total([])
    ('1 + (-2)', '0')
    """
    return " + ".join(pieces) or "0"


def scalar(value: Any, decimals: int, unit: str = "") -> str:
    """Return a result with its unit, without a minus before a zero.

    Examples
    --------
    >>> scalar(-0.001, 2, "g"), scalar(0.5, 2)
    ('0.00 g', '0.50')
    """
    text = f"{float(value):.{decimals}f}"
    text = text.lstrip("-") if float(text) == 0 else text
    return f"{text} {unit}".rstrip()


def arrow(v: Any, decimals: int, unit: str) -> str:
    """Return a vector with its unit; one that rounds to nothing points nowhere.

    Examples
    --------
    >>> arrow(-2j, 1, "g mm"), arrow(1e-9, 1, "N")
    ('2.0 g mm at 270.0 deg', '0.0 N')
    """
    size = scalar(amount(v), decimals, unit)
    if float(size.split()[0]) == 0:
        return size
    return f"{size} at {float(fold(round(float(degrees(v)), 1))):.1f} deg"


def has_arrow(lines: Iterable[Line]) -> bool:
    """Return whether any arrow stands in some lines, so that its reading must be told.

    Examples
    --------
    >>> has_arrow([Line("match", "Weight", "m", "x", "390", "390.000 g", "")])
    False
    """
    return any(_ARROW.search(line.numbers) or " deg" in line.result for line in lines)
