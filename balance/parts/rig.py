"""What a rod-weighing rig gets wrong: tilt, where the bore rests, its length, and friction."""

import math
from dataclasses import dataclass

from balance.errors import InputError, one_not_negative, one_positive

__all__ = ["RigErrors", "rig_errors"]


@dataclass(frozen=True)
class RigErrors:
    """Largest error of one end's weight from each fault of the rig [g].

    ``tilt_g`` and ``contact_g`` repeat each time and hide; ``length_g`` too; ``friction_g`` comes
    with either sign and shows when the rod is brought down from above and up from below.
    """

    tilt_g: float
    contact_g: float
    length_g: float
    friction_g: float

    @property
    def worst_g(self) -> float:
        """Return the sum of all: the bound when their signs are unknown."""
        return self.tilt_g + self.contact_g + self.length_g + self.friction_g


def rig_errors(
    *,
    end_g: float,
    total_g: float,
    length_mm: float,
    tilt_degrees: float = 0.0,
    off_line_mm: float = 0.0,
    contact_radius_mm: float = 0.0,
    length_error_mm: float = 0.0,
    friction: float = 0.0,
    pivot_radius_mm: float = 0.0,
) -> RigErrors:
    """Estimate how wrong a rig weighs one end of a rod.

    tilt = m y tan(a) / l for a centre of mass y off the line of centres; contact = e r sin(a) / l
    at most, when the bore's wall of radius r bears instead of its centre; length = e dl / l;
    friction = mu r (m - e) / l for a pivot that carries the other end.

    Parameters
    ----------
    end_g, total_g : float [g]
        Weight of the end on the scale, e, and of the whole rod, m.
    length_mm : float [mm]
        Centre to centre, l.
    tilt_degrees : float [degree]
        How far from level the line of centres may be, a.
    off_line_mm : float [mm]
        Centre of mass off the line of centres, y (offset rods, long bolts).
    contact_radius_mm : float [mm]
        Radius at which the bore rests, r; 0 on a pin that fits.
    length_error_mm : float [mm]
        Doubt of the distance between the supports.
    friction : float [-]
        Coefficient at the pivot: about 0.1 plain, 0.0015 for a ball bearing.
    pivot_radius_mm : float [mm]
        Radius at which it rubs.

    Raises
    ------
    InputError
        When a value is negative, a mass or length not above zero, the end not lighter than the
        rod, or the tilt 90 degrees or more.

    Examples
    --------
    >>> plain_pin = rig_errors(
    ...     end_g=168.0, total_g=600.0, length_mm=150.0, friction=0.1, pivot_radius_mm=6.0
    ... )
    >>> round(plain_pin.friction_g, 1)
    1.7

    Source: statics of a beam on two supports; coefficients of friction, textbook, from memory.
    """
    end, total = one_positive("end_g", end_g), one_positive("total_g", total_g)
    if end >= total:
        raise InputError(f"end_g must be less than total_g {total!r}, got {end!r}")
    length = one_positive("length_mm", length_mm)
    tilt = math.radians(one_not_negative("tilt_degrees", tilt_degrees))
    if tilt >= math.pi / 2:
        raise InputError(f"tilt_degrees must be less than 90, got {tilt_degrees!r}")
    rub = one_not_negative("friction", friction)
    rub *= one_not_negative("pivot_radius_mm", pivot_radius_mm)
    off_line = one_not_negative("off_line_mm", off_line_mm)
    contact = one_not_negative("contact_radius_mm", contact_radius_mm)
    return RigErrors(
        tilt_g=total * off_line * math.tan(tilt) / length,
        contact_g=end * contact * math.sin(tilt) / length,
        length_g=end * one_not_negative("length_error_mm", length_error_mm) / length,
        friction_g=rub * (total - end) / length,
    )
