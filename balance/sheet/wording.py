"""How numbers and verdicts are worded on paper: unit always there, angles in [0, 360)."""

from typing import Any

from balance.job.model import DrillsPage
from balance.sheet.blocks import clean
from balance.units import show
from balance.vectors import amount, degrees, fold, whole_degrees

__all__ = [
    "angle_text",
    "at_text",
    "both_units",
    "capital",
    "drill_text",
    "gmm_text",
    "number",
    "sentence",
    "unbroken",
]

VERDICTS = {"pass": "within the limit", "fail": "outside the limit", "not proven": "not proven"}


def number(value: float, digits: int = 1) -> str:
    """Return a number with at most so many decimals, no trailing zeros and no minus zero.

    Examples
    --------
    >>> number(18.50, 1), number(-0.001, 2), number(40, 1)
    ('18.5', '0', '40')
    """
    text = f"{value:.{digits}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def angle_text(angle_degrees: float) -> str:
    """Return an angle folded into [0, 360), to a tenth of a degree.

    Examples
    --------
    >>> angle_text(-48.0), angle_text(359.99), angle_text(163.5)
    ('312°', '0°', '163.5°')
    """
    return number(float(fold(round(float(fold(angle_degrees)), 1)))) + "°"


def gmm_text(gmm: float) -> str:
    """Return an unbalance [g mm] without its unit: whole numbers, a decimal below one hundred.

    Below one it has two figures, so that a small limit is never written as none.

    Examples
    --------
    >>> gmm_text(408.9), gmm_text(23.67), gmm_text(0.0432), gmm_text(0.0)
    ('409', '23.7', '0.043', '0.0')
    """
    if 0 < abs(gmm) < 1:
        return show(gmm, "unbalance", "g mm").removesuffix(" g mm")
    return f"{gmm:.0f}" if abs(gmm) >= 99.95 else f"{gmm:.1f}"


def both_units(gmm: float) -> str:
    """Return an unbalance in both units of the trade.

    Examples
    --------
    >>> both_units(252.027)
    '252 g mm (0.350 oz in)'
    """
    return f"{gmm_text(gmm)} g mm ({show(gmm, 'unbalance', 'oz in')})"


def at_text(vector: Any) -> str:
    """Return an unbalance vector as amount and angle.

    Examples
    --------
    >>> at_text(-150j)
    '150 g mm at 270°'
    """
    return f"{gmm_text(float(amount(vector)))} g mm at {whole_degrees(degrees(vector))}°"


def drill_text(diameter_mm: float, drills: DrillsPage) -> str:
    """Return a drill as the drawer calls it, its diameter in mm beside it where that differs.

    Examples
    --------
    >>> drawer = DrillsPage(sizes=["1/2 in", "9 mm"])
    >>> drill_text(12.7, drawer), drill_text(9.0, drawer), drill_text(8.5, drawer)
    ('1/2 in (12.7 mm)', '9 mm', '8.5 mm')
    """
    plain, name = f"{number(diameter_mm, 2)} mm", clean(drills.name_of(diameter_mm))
    return name if name in (plain, f"{diameter_mm:g} mm") else f"{name} ({plain})"


def unbroken(text: str) -> str:
    """Return a text that stays on one line of a narrow cell: its spaces do not break.

    >>> unbroken("17.5 (20.2)")
    '17.5\\xa0(20.2)'
    """
    return text.replace(" ", "\u00a0")


def sentence(text: str) -> str:
    """Return a text with its full stop; a question keeps its mark.

    >>> sentence("look there"), sentence("is it so?")
    ('look there.', 'is it so?')
    """
    return text if text.endswith("?") else f"{text}."


def capital(text: str) -> str:
    """Return a text with a capital first letter, the rest as it is."""
    return text[:1].upper() + text[1:]
