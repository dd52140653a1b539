"""Where a hole is on the metal: so many millimetres from a mark that is there, towards a side."""

import math
from dataclasses import dataclass

from balance.sheet.wording import angle_text, unbroken
from balance.vectors import fold, turn

__all__ = ["Tape", "along_rim", "straight"]

_CLEAR = 30.0  # a side that is named lies at least so far from the mark [degree]


@dataclass(frozen=True)
class Tape:
    """A length [mm] from a mark, both in words that a person can follow with a tape in hand."""

    mm: float
    mark_degrees: float
    towards_degrees: float
    middle: bool = False

    @property
    def length(self) -> str:
        """The length to a tenth of a millimetre."""
        return f"{self.mm:.1f}"

    @property
    def mark(self) -> str:
        """The mark that it is measured from."""
        if self.middle:
            return f"mid {angle_text(self.mark_degrees)}"
        return angle_text(self.mark_degrees)

    @property
    def way(self) -> str:
        """From the mark, and the angle on that side of it where the hole is."""
        if self.length == "0.0":
            return unbroken(f"{self.mark}, on it")
        return unbroken(f"{self.mark} → {angle_text(self.towards_degrees)}")


def along_rim(
    angle_degrees: float, *, radius_mm: float, centre_degrees: float, half_span_degrees: float
) -> Tape:
    """Return the arc along a counterweight's rim, from the 0 mark or else from its middle line.

        arc = R x turn in radians

    A tape held from the 0 mark runs over nothing where that mark is not on this rim.

    Parameters
    ----------
    angle_degrees : float [degree]
        Where the hole is.
    radius_mm : float [mm]
        Of the rim.
    centre_degrees, half_span_degrees : float [degree]
        The sector.

    Examples
    --------
    >>> one = along_rim(312, radius_mm=78, centre_degrees=340, half_span_degrees=60)
    >>> one.length, one.mark, one.towards_degrees
    ('65.3', '0°', 270.0)
    >>> two = along_rim(201, radius_mm=104, centre_degrees=180, half_span_degrees=105)
    >>> two.length, two.mark, two.towards_degrees
    ('38.1', 'mid 180°', 270.0)

    Source: length of an arc.
    """
    on_it = abs(turn(centre_degrees)) <= half_span_degrees
    mark = 0.0 if on_it else float(fold(centre_degrees))
    return _from(mark, angle_degrees, radius_mm, middle=not on_it)


def straight(angle_degrees: float, *, circle_mm: float) -> Tape:
    """Return the straight distance between two places on a circle, from the nearer of 0 and 180.

        chord = 2 R sin(turn / 2)

    Parameters
    ----------
    angle_degrees : float [degree]
        Where the hole is.
    circle_mm : float [mm]
        Radius of the circle, on a face where no tape can be bent.

    Examples
    --------
    >>> one = straight(240, circle_mm=100)
    >>> one.length, one.mark, one.towards_degrees
    ('100.0', '180°', 270.0)

    Source: length of a chord.
    """
    mark = 0.0 if abs(turn(angle_degrees)) <= 90 else 180.0
    around = _from(mark, angle_degrees, circle_mm)
    chord = 2 * circle_mm * math.sin(around.mm / circle_mm / 2)
    return Tape(chord, mark, around.towards_degrees)


def _from(mark: float, angle_degrees: float, radius_mm: float, *, middle: bool = False) -> Tape:
    off = float(turn(angle_degrees - mark))
    grows = off >= 0
    quarter = (mark + _CLEAR) / 90 if grows else (mark - _CLEAR) / 90
    towards = 90.0 * (math.ceil(quarter) if grows else math.floor(quarter))
    return Tape(math.radians(abs(off)) * radius_mm, mark, float(fold(towards)), middle)
