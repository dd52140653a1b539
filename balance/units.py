"""Quantities as people write them, read into the inside units and shown again.

Inside: g, mm, g mm, degree, rpm, g/cm3. The table is closed: only units that the trade writes.
One inch is 25.4 mm and one ounce 28.349523125 g, both exact (international yard and pound
agreement of 1959), so 1 oz in is 720.0778... g mm.
"""

import math
import operator
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from balance._unread import broken, with_plain_fractions
from balance.errors import InputError, one_real, whole

__all__ = ["KINDS", "Kind", "read", "show", "unit_names"]

Kind = Literal["mass", "length", "unbalance", "angle", "speed", "density"]

_INCH = 25.4
_OUNCE = 28.349523125
_POUND = 16 * _OUNCE
_DUST = 1e-6  # g, mm, g mm ...: what rounding leaves of zero; no balance or machine shows it
_MUCH_OFF = 0.2  # own choice: an unbalance that rounding changes by more is shown with two figures


@dataclass(frozen=True)
class _Unit:
    """One unit: its size in the inside unit, the decimals it is shown with, how people write it."""

    name: str
    size: float
    decimals: int
    spellings: tuple[str, ...] = ()


_TABLE: dict[str, tuple[_Unit, ...]] = {
    "mass": (
        _Unit("g", 1.0, 2, ("gram", "grams", "gm", "gms")),
        _Unit("kg", 1000.0, 3, ("kilogram", "kilograms", "kilo", "kilos")),
        _Unit("mg", 0.001, 0, ("milligram", "milligrams")),
        _Unit("oz", _OUNCE, 3, ("ounce", "ounces")),
        _Unit("lb", _POUND, 3, ("lbs", "pound", "pounds")),
    ),
    "length": (
        _Unit("mm", 1.0, 2, ("millimetre", "millimetres", "millimeter", "millimeters")),
        _Unit("cm", 10.0, 2, ("centimetre", "centimetres", "centimeter", "centimeters")),
        _Unit("m", 1000.0, 4, ("metre", "metres", "meter", "meters")),
        _Unit("in", _INCH, 3, ("inch", "inches", '"', "″", "”")),
        _Unit("thou", _INCH / 1000, 1, ("mil", "mils")),
    ),
    "unbalance": (
        _Unit("g mm", 1.0, 0),
        _Unit("g cm", 10.0, 1),
        _Unit("g in", _INCH, 2),
        _Unit("kg mm", 1000.0, 3),
        _Unit("kg m", 1e6, 6),
        _Unit("mg m", 1.0, 0),
        _Unit("oz in", _OUNCE * _INCH, 3),
        _Unit("lb in", _POUND * _INCH, 4),
    ),
    "angle": (_Unit("deg", 1.0, 1, ("degree", "degrees", "°", "º")),),
    "speed": (
        _Unit(
            "rpm",
            1.0,
            0,
            ("r/min", "rev/min", "1/min", "min-1", "min^-1", "min⁻¹", "min−1", "rpm.", "r.p.m"),
        ),
    ),
    "density": (
        _Unit("g/cm3", 1.0, 2, ("g/cm^3", "g/cm³", "g/cc", "g/ml", "kg/l", "kg/dm3", "kg/dm³")),
        _Unit("kg/m3", 0.001, 0, ("kg/m^3", "kg/m³")),
        _Unit(
            "lb/in3",
            _POUND / _INCH**3 * 1000,
            4,
            ("lb/in^3", "lb/in³", "lb/cu in", "lb/cuin", "lbs/in3", "lbs/in^3", "lbs/in³"),
        ),
    ),
}
KINDS: tuple[str, ...] = tuple(_TABLE)

_SPOKEN = {spelling: unit for units in _TABLE.values() for unit in units
           for spelling in (unit.name, *unit.spellings)}  # fmt: skip
_OF_KIND = {
    kind: {s: u for u in units for s in (u.name, *u.spellings)} for kind, units in _TABLE.items()
}
_EXAMPLE = {
    "mass": "420.3 g or 14.824 oz",
    "length": "76 mm or 1 1/4 in",
    "unbalance": "250 g mm, 0.35 oz in or 12 g at 76 mm",
    "angle": "135 deg",
    "speed": "7000 rpm",
    "density": "7.85 g/cm3",
}
_NUMBER = r"[-+]?(?:\d+[\s-]\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?(?:[eE][-+]?\d+)?|[.,]\d+)"
_QUANTITY = re.compile(rf"\s*({_NUMBER})\s*(.*?)\s*", re.DOTALL)
_UNSIGNED = _NUMBER.removeprefix("[-+]?")
_POUNDS_AND_OUNCES = re.compile(
    rf"\s*([-+]?)({_UNSIGNED})\s*(?:lbs?|pounds?)\.?\s*({_UNSIGNED})\s*(?:oz|ounces?)\.?\s*",
    re.IGNORECASE,
)
_ACROSS = r"diameter|diam\.?|dia\.?"
_AT_RADIUS = re.compile(
    rf"\s*({_NUMBER}\s*[a-z]+\.?(?:\s*{_UNSIGNED}\s*[a-z]+\.?)?)\s*(?:at|@|x|×|\*|·)\s*(a\s+)?"
    rf"(?:(radius|r|{_ACROSS}|ø)\s*(?:of\s+)?)?({_NUMBER}\s*\S+?)\s*(radius|{_ACROSS})?\s*",
    re.IGNORECASE,
)
_AT = re.compile(r"\s*(?:\bat\b|@|[x×*·](?=\s*\d))\s*", re.IGNORECASE)


def read(text: str | float, kind: str, *, unit: str | None = None) -> float:
    """Read a quantity as written on paper and return it in the inside unit of its kind.

    Parameters
    ----------
    text : str or float
        What was written: ``"14.824 oz"``, ``"1 1/4 in"``, ``"0.35 oz-in"``, ``"35 g cm"``,
        ``"12 g at 76 mm"``, ``"420,3 g"``, ``"1 lb 4 oz"``, ``"1½ in"``; or a bare number. A sign
        in front of pounds and ounces holds for both. What stands behind "at" is a radius; a
        diameter, said to be one (diameter, diam, dia), is halved. A number with a blank in it is
        no number: ``"7 000 rpm"`` is asked about, not read.
    kind : str
        One of "mass" [g], "length" [mm], "unbalance" [g mm], "angle" [degree], "speed" [rpm],
        "density" [g/cm3].
    unit : str, optional
        The unit of a bare number (the job's unit); without it the inside unit.

    Returns
    -------
    float
        The value in the inside unit.

    Raises
    ------
    InputError
        When the text is not a quantity of that kind; the message says what was found, what is
        wanted, and the likely mend. Grams or ounces without a radius are no unbalance.

    Examples
    --------
    >>> read("1 1/4 in", "length")
    31.75
    >>> round(read("0.35 oz-in", "unbalance"), 2)
    252.03
    >>> read("12 g at 76 mm", "unbalance")
    912.0

    Source: inch and pound, international yard and pound agreement 1959 (exact).
    """
    _check_kind(kind)
    if unit is not None:
        _check_unit(unit, kind)
    if getattr(text, "ndim", None) == 0:  # a number of numpy's
        text = operator.methodcaller("item")(text)
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise InputError(f"{text!r} is not {_a(kind)}{_such_as(kind)}")
    if not isinstance(text, str):
        return _finite(text, _bare(float(text), kind, unit), kind)
    text = _typed(text)
    if kind == "unbalance" and (parts := _AT_RADIUS.fullmatch(text)):
        return _mass_at_radius(parts)
    return _plain(text, kind, unit)


def show(value: float, kind: str, unit: str, *, decimals: int | None = None) -> str:
    """Return an inside value as text in the wanted unit; the unit is always there.

    Parameters
    ----------
    value : float
        The value in the inside unit of its kind.
    kind : str
        As for :func:`read`.
    unit : str
        The unit to show, any spelling that :func:`read` accepts.
    decimals : int, optional
        Digits after the point; by default what the trade can use in that unit, but two figures
        where that would leave nothing of a value, or change an unbalance by more than a fifth.

    Raises
    ------
    InputError
        When the unit is not one of the kind, or the value is no finite number.

    Examples
    --------
    >>> show(252.027, "unbalance", "oz-in"), show(0.41, "unbalance", "g mm")
    ('0.350 oz in', '0.41 g mm')
    """
    _check_kind(kind)
    _check_unit(unit, kind)
    found = _find_unit(unit, kind)
    shown = one_real("value", value) / found.size
    if decimals is None:
        digits = _digits(shown, found, kind)
    else:
        digits = whole("decimals", decimals, least=0)
    number = f"{shown:.{digits}f}"
    if float(number) == 0:
        number = number.lstrip("-")
    return f"{number} {found.name}"


def unit_names(kind: str) -> tuple[str, ...]:
    """Return the unit names of a kind, the inside unit first.

    Examples
    --------
    >>> unit_names("angle")
    ('deg',)
    """
    _check_kind(kind)
    return tuple(unit.name for unit in _TABLE[kind])


def _check_kind(kind: object) -> None:
    if not isinstance(kind, str) or kind not in _TABLE:
        raise InputError(f"kind must be one of {', '.join(KINDS)}, got {kind!r}")


def _check_unit(unit: object, kind: str) -> None:
    if not isinstance(unit, str):
        raise InputError(f"unit must be a text such as {unit_names(kind)[0]!r}, got {unit!r}")


def _digits(shown: float, unit: _Unit, kind: str) -> int:
    """Return the decimals of a unit, or as many as leave two figures of a small amount.

    An angle is a place and no amount: 0.02 degrees are no other place than 0.
    """
    size = abs(shown)
    if size * unit.size < _DUST or kind == "angle":
        return unit.decimals
    off = abs(round(size, unit.decimals) - size) / size
    if off < (_MUCH_OFF if kind == "unbalance" else 1.0):
        return unit.decimals
    return max(unit.decimals, 1 - math.floor(math.log10(size)))


def _typed(text: str) -> str:
    """Return a text with a typesetter's minus and fractions as a keyboard has them."""
    return re.sub(r"^(\s*)\N{MINUS SIGN}(?=\s*[\d.,])", r"\1-", with_plain_fractions(text))


def _a(kind: str) -> str:
    return f"an {kind}" if kind[0] in "au" else f"a {kind}"


def _such_as(kind: str) -> str:
    return f": write {_EXAMPLE[kind]}"


def _bare(number: float, kind: str, unit: str | None) -> float:
    return number if unit is None else number * _find_unit(unit, kind).size


def _finite(text: str | float, value: float, kind: str) -> float:
    if not math.isfinite(value):
        raise InputError(f"{text!r} is not {_a(kind)}{_such_as(kind)}")
    return value


def _plain(text: str, kind: str, unit: str | None) -> float:
    match = _QUANTITY.fullmatch(text)
    if text.strip() == "?":
        raise InputError(f"is still to be filled in: write {_EXAMPLE[kind]}")
    if match is None:
        raise InputError(f"{text!r} is not {_a(kind)}{_fault(text, kind) or _such_as(kind)}")
    written = match[2]
    if kind == "speed" and re.fullmatch(r"[-+]?[1-9]\d{0,2}\.\d{3}", match[1]):
        whole, plain = match[1].partition(".")[0], match[1].replace(".", "")
        raise InputError(f"{text!r} can be read two ways: write {plain} or {whole}")
    if written == "":
        return _finite(text, _bare(_number(match[1], text), kind, unit), kind)
    if kind == "mass" and (both := _POUNDS_AND_OUNCES.fullmatch(text)):
        pounds, ounces = _number(both[2], text), _number(both[3], text)
        return (-1 if both[1] == "-" else 1) * (pounds * _POUND + ounces * _OUNCE)
    size = _find_unit(written, kind, text).size  # first: what follows may be part of the number
    return _finite(text, _number(match[1], text) * size, kind)


def _number(digits: str, text: str) -> float:
    """Return the value of ``12``, ``12.5``, ``12,5``, ``1/4`` or ``1 1/4``."""
    if re.fullmatch(r"[-+]?[1-9]\d*,\d{3}", digits):
        plain = digits.replace(",", "")
        raise InputError(
            f"{text!r} can be read two ways: write {plain} or {digits.replace(',', '.')}"
        )
    if "/" not in digits:
        return float(digits.replace(",", "."))
    sign = -1 if digits.startswith("-") else 1
    pieces = re.split(r"[\s-]+", digits.lstrip("+-"))
    try:
        return sign * float(sum(Fraction(piece) for piece in pieces))
    except ZeroDivisionError:
        raise InputError(f"{text!r} divides by zero") from None


def _find_unit(written: str, kind: str, text: str | None = None) -> _Unit:
    """Return the unit that a spelling stands for, or raise with the question that settles it."""
    spelling = " ".join(written.split())
    known = _OF_KIND[kind]
    product = _product(spelling) if kind == "unbalance" else ""
    for candidate in (spelling, spelling.lower(), spelling.lower().rstrip("."), product):
        if candidate in known:
            return known[candidate]
    if text is None:
        raise InputError(_no_unit(spelling, kind))
    raise InputError(_wrong_unit(spelling, kind, text))


def _no_unit(spelling: str, kind: str) -> str:
    return f"{spelling!r} is no unit of {kind}; known: {', '.join(unit_names(kind))}"


def _product(spelling: str) -> str:
    """Return ``oz-in``, ``ozin``, ``in oz``, ``g·mm``, ``g/mm`` ... as ``oz in``, ``g mm``.

    ``g/mm`` and ``ounce/inch`` are common slips for the product in print.
    """
    pieces = re.split(r"[\s·*.⋅×/-]+", spelling.lower().strip("."))
    if len(pieces) == 1:
        glued = re.fullmatch(r"(kg|mg|oz|lb|g|cm|mm|in)(kg|mg|oz|lb|g|mm|cm|in|m)", pieces[0])
        pieces = list(glued.groups()) if glued else pieces
    units = [_SPOKEN.get(piece) for piece in pieces]
    mass = [u.name for u in units if u in _TABLE["mass"]]
    length = [u.name for u in units if u in _TABLE["length"]]
    return f"{mass[0]} {length[0]}" if len(units) == 2 and mass and length else ""


def _mass_at_radius(parts: re.Match[str]) -> float:
    """Return mass times radius for ``12 g at 76 mm``; a stated diameter is halved."""
    mass = read(parts[1], "mass")
    if re.fullmatch(_NUMBER, parts[4]):
        raise InputError(f"{parts[0]!r} gives a radius without its unit: write {parts[0]} mm")
    length = read(parts[4], "length")
    if length <= 0:
        raise InputError(f"{parts[0]!r} has a radius that is not greater than zero")
    stated = (parts[3] or parts[5] or "radius").lower()
    return mass * (length if stated in ("radius", "r") else length / 2)


def _wrong_unit(spelling: str, kind: str, text: str) -> str:
    """Return what is wrong with a text whose end is no unit: its number, or the unit."""
    if kind == "unbalance" and spelling.lower() in _OF_KIND["mass"]:
        unit = _OF_KIND["mass"][spelling.lower()].name
        meant = f'{text}-in, as in a "28 oz" flywheel' if unit == "oz" else f"{text} mm"
        return (
            f"{text!r} is a mass, not an unbalance: at which radius "
            f"(write {text} at 76 mm)? Or did you mean {meant}?"
        )
    if kind in ("mass", "unbalance") and re.match(r"g[rn]\b", spelling, re.IGNORECASE):
        return f"{text!r} may be gram or grain (0.065 g): write g for gram"
    if kind == "speed" and spelling.lower() in ("hz", "rad/s", "1/s"):
        return f"{text!r} is not a speed in rpm: 1 Hz is 60 rpm, 1 rad/s is 9.549 rpm; write rpm"
    if spelling in _SPOKEN or spelling.lower() in _SPOKEN:
        return f"{text!r} is not {_a(kind)}{_such_as(kind)}"
    if kind == "unbalance":
        _refuse_pieces(text)
    if fault := _fault(text, kind):
        return f"{text!r} is not {_a(kind)}{fault}"
    return f"{text!r}: {_no_unit(spelling, kind)}"


def _fault(text: str, kind: str) -> str:
    """Return what is wrong with the number of a text, to stand behind it; empty if it is sound."""

    def reads(mended: str) -> bool:
        try:
            read(mended, kind)
        except InputError:
            return False
        return True

    return broken(text, reads)


def _refuse_pieces(text: str) -> None:
    """Raise what is wrong with the mass or the radius of a text such as ``12 at 76 mm``."""
    pieces = _AT.split(text.strip(), maxsplit=1)
    if len(pieces) == 2 and all(pieces):
        if re.fullmatch(_NUMBER, pieces[0]):
            grams = f"{pieces[0]} g{text.strip().removeprefix(pieces[0])}"
            raise InputError(f"{text!r} gives a mass without its unit: write {grams}")
        read(pieces[0], "mass")
        read(pieces[1], "length")
