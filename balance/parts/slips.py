"""Slips of the finger: what may have been meant, and how finely a weight was written."""

import re
from collections.abc import Iterator

from balance.units import read

__all__ = ["finest_g", "meant", "slips"]


def slips(written: str) -> tuple[str, ...]:
    """Return what may have been meant: two neighbouring digits swapped, the point misplaced.

    Examples
    --------
    >>> slips("42.3 g")
    ('24.3 g', '43.2 g', '4.23 g', '423 g')
    """
    parts = re.fullmatch(r"\s*(\d+)(?:[.,](\d+))?(\D*)", written)
    if parts is None:
        return ()
    whole, rest, tail = parts[1], parts[2] or "", parts[3]
    digits, places = whole + rest, len(whole)
    swapped = (
        digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :] for i in range(len(digits) - 1)
    )
    swaps = [(text, places) for text in dict.fromkeys(swapped) if text != digits]
    shifts = [(digits, places - 1)] * (places > 1) + [(digits.ljust(places + 1, "0"), places + 1)]
    return tuple(_pointed(text, at) + tail for text, at in (*swaps, *shifts))


def _pointed(digits: str, places: int) -> str:
    return digits[:places] + (f".{digits[places:]}" if digits[places:] else "")


def meant(written: str, middle_g: float, near_g: float) -> str:
    """Say which slip would explain a reading that is far from its middle.

    Examples
    --------
    >>> meant("402.3 g", 420.35, 0.3)
    ' (did you mean 420.3 g?)'
    """
    for slip in (*slips(written), *_other_units(written)):
        if abs(read(slip, "mass") - middle_g) <= near_g:
            return f" (did you mean {slip}?)"
    return ""


def _other_units(written: str) -> Iterator[str]:
    """Yield the same number in the units of mass that a list may forget to name."""
    number = re.match(r"\s*(\d+(?:[.,]\d+)?)", written)
    if number is not None:
        yield from (f"{number[1]} {unit}" for unit in ("g", "oz", "kg", "lb"))


def finest_g(written: str) -> float | None:
    """Return the step [g] of the last figure that was written; None in grams, where 420 is 420.0.

    Examples
    --------
    >>> round(finest_g("14.8 oz"), 2), round(finest_g("14 13/16 oz"), 2), finest_g("420 g")
    (2.83, 1.77, None)
    """
    last = re.search(r"(?:/(\d+)|\d+(?:[.,](\d+))?)\s*([A-Za-z]+)\.?\s*$", written)
    if last is None:
        return None
    one_g = read(f"1 {last[3]}", "mass")
    if one_g == 1:
        return None
    return one_g / int(last[1]) if last[1] else one_g * 10.0 ** -len(last[2] or "")
