"""The drill list: names on the drawer to millimetres.

Number and letter sizes are a table of their own (ASME B94.11M, Twist Drills, from memory, spot
checked against a published list); fractions and metric sizes are reckoned.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from string import ascii_uppercase

from balance.errors import InputError

__all__ = ["SAME_DRILL_MM", "Drill", "drill", "drill_list"]

INCH_MM = 25.4
SAME_DRILL_MM = 0.01  # drills of neighbouring numbers differ by more
# fmt: off
NUMBER_TENTHS = (  # tenths of a thousandth of an inch, number 1 to number 80
    2280, 2210, 2130, 2090, 2055, 2040, 2010, 1990, 1960, 1935, 1910, 1890, 1850, 1820, 1800, 1770,
    1730, 1695, 1660, 1610, 1590, 1570, 1540, 1520, 1495, 1470, 1440, 1405, 1360, 1285, 1200, 1160,
    1130, 1110, 1100, 1065, 1040, 1015, 995, 980, 960, 935, 890, 860, 820, 810, 785, 760,
    730, 700, 670, 635, 595, 550, 520, 465, 430, 420, 410, 400, 390, 380, 370, 360,
    350, 330, 320, 310, 292, 280, 260, 250, 240, 225, 210, 200, 180, 160, 145, 135,
)
LETTER_MILS = (  # thousandths of an inch, A to Z
    234, 238, 242, 246, 250, 257, 261, 266, 272, 277, 281, 290, 295,
    302, 316, 323, 332, 339, 348, 358, 368, 377, 386, 397, 404, 413,
)
# fmt: on
LARGEST_FRACTION_IN = 2
METRIC_STEPS = (  # hundredths of a millimetre; common practice, no source
    range(100, 1400, 10),
    range(1400, 1600, 25),
    range(1600, 3200, 50),
    range(3200, 4001, 100),
)
NUMBER = re.compile(r"(?:#|no\.?\s*|number\s*)(\d+)", re.IGNORECASE)
LETTER = re.compile(r"(?:letter\s*)?([a-z])", re.IGNORECASE)
FRACTION = re.compile(r"(?:(\d+)(?:\s+|-))?(\d+)\s*/\s*(\d+)\s*(?:in\.?|inch|\")?", re.IGNORECASE)
DECIMAL = re.compile(r"(\d+(?:[.,]\d+)?|[.,]\d+)\s*(mm|in\.?|inch|\")", re.IGNORECASE)


@dataclass(frozen=True)
class Drill:
    """A drill: its name and its diameter [mm]. A drilled hole runs a little over size."""

    name: str
    diameter_mm: float


def drill(name: str) -> Drill:
    """Return the drill that a shop name means.

    Parameters
    ----------
    name : str
        "#7", "No. 7" or "number 7"; "F" or "letter F"; "1/2 in", "1 1/4" or "1-1/4 in"; "0.5 in";
        "12.5 mm". A bare number is refused: it could be millimetres, inches or a number drill.

    Raises
    ------
    InputError
        When the name is not understood or there is no such drill.

    Examples
    --------
    >>> drill("#7").diameter_mm, drill("letter F").diameter_mm, drill("1/2 in").diameter_mm
    (5.1054, 6.5278, 12.7)

    Source: ASME B94.11M, Twist Drills, from memory.
    """
    text = str(name).strip()
    if found := NUMBER.fullmatch(text):
        return _number(int(found[1]))
    if found := LETTER.fullmatch(text):
        return _letter(found[1].upper())
    if found := FRACTION.fullmatch(text):
        return _fraction(name, int(found[1] or 0), int(found[2]), int(found[3]))
    if found := DECIMAL.fullmatch(text):
        return _decimal(name, float(found[1].replace(",", ".")), found[2].lower())
    raise InputError(
        f"name must be a drill such as '#7', 'F', '1/2 in', '0.5 in' or '12.5 mm', got {name!r}"
    )


def drill_list() -> tuple[Drill, ...]:
    """Return the drills of the number, letter, fraction and metric series, smallest first.

    Examples
    --------
    >>> drills = drill_list()
    >>> len(drills), drills[0].name, drills[-1].name
    (413, '#80', '2 in')

    Source: ASME B94.11M, Twist Drills, from memory.
    """
    numbers = [_number(n) for n in range(1, len(NUMBER_TENTHS) + 1)]
    letters = [_letter(letter) for letter in ascii_uppercase]
    fractions = [_inches(Fraction(n, 64)) for n in range(1, 64 * LARGEST_FRACTION_IN + 1)]
    metric = [Drill(f"{n / 100:g} mm", n / 100) for steps in METRIC_STEPS for n in steps]
    return tuple(
        sorted([*numbers, *letters, *fractions, *metric], key=lambda each: each.diameter_mm)
    )


def _number(n: int) -> Drill:
    """Return a number drill."""
    if not 1 <= n <= len(NUMBER_TENTHS):
        raise InputError(f"name must be a number drill from #1 to #{len(NUMBER_TENTHS)}, got #{n}")
    return Drill(f"#{n}", _mm(Fraction(NUMBER_TENTHS[n - 1], 10_000)))


def _letter(letter: str) -> Drill:
    """Return a letter drill."""
    return Drill(letter, _mm(Fraction(LETTER_MILS[ascii_uppercase.index(letter)], 1000)))


def _fraction(name: str, whole: int, top: int, bottom: int) -> Drill:
    """Return a fractional drill, checked to be a size that is made."""
    if bottom == 0 or top == 0 or 64 % bottom:
        raise InputError(f"name must be a fraction in 64ths of an inch or coarser, got {name!r}")
    return _inches(whole + Fraction(top, bottom))


def _decimal(name: str, size: float, unit: str) -> Drill:
    """Return a drill named by its size."""
    if size <= 0:
        raise InputError(f"name must be a size greater than zero, got {name!r}")
    return Drill(f"{size:g} mm", size) if unit == "mm" else Drill(f"{size:g} in", size * INCH_MM)


def _inches(size: Fraction) -> Drill:
    """Return a fractional drill with its name written as the shop does."""
    whole, rest = divmod(size, 1)
    words = [str(whole)] * bool(whole) + [str(rest)] * bool(rest)
    return Drill(f"{' '.join(words)} in", _mm(size))


def _mm(inches: Fraction) -> float:
    """Return millimetres, exact before the one rounding to a float."""
    return float(inches * Fraction(254, 10))
