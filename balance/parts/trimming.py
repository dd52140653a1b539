"""Grams into the depth of a cut, and back: flat pads, chamfers, and tapers in a bore."""

import math
from dataclasses import dataclass
from typing import Protocol, runtime_checkable

from balance.errors import InputError, one_not_negative, one_positive

__all__ = [
    "DENSITIES_G_CM3",
    "BoreTaper",
    "Chamfer",
    "CutShape",
    "RectangularPad",
    "RoundPad",
    "depth_of_cut",
    "mass_of_cut",
]

# Steel and iron: Matmake, Density of iron alloys, after ASM Metals Handbook, Desk Edition. The
# others from memory. The alloy's own data sheet decides.
DENSITIES_G_CM3 = {
    "carbon or low-alloy steel": 7.85,
    "ductile iron": 7.15,
    "aluminium 2618": 2.76,
    "aluminium 4032": 2.68,
    "aluminium 332 cast": 2.72,
    "titanium 6Al-4V": 4.43,
}


@runtime_checkable
class CutShape(Protocol):
    """A cut whose volume grows with one depth."""

    @property
    def deepest_mm(self) -> float:
        """Depth at which the shape runs out, infinite when it does not."""

    def volume_mm3(self, depth_mm: float) -> float:
        """Return the volume that a cut of this depth removes."""


@dataclass(frozen=True)
class RoundPad:
    """A flat round face, milled down; ``hole_mm`` is the diameter of a hole already in it.

    ``deepest_mm`` is the pad's height, when it is known.

    volume = pi (d^2 - hole^2) / 4 * depth

    Examples
    --------
    >>> round(RoundPad(20.0).volume_mm3(1.0), 3)
    314.159

    Source: geometry.
    """

    diameter_mm: float
    hole_mm: float = 0.0
    deepest_mm: float = math.inf

    def __post_init__(self) -> None:
        one_positive("diameter_mm", self.diameter_mm)
        if one_not_negative("hole_mm", self.hole_mm) >= self.diameter_mm:
            raise InputError(f"hole_mm must be less than diameter_mm, got {self.hole_mm!r}")
        _some_depth(self.deepest_mm)

    def volume_mm3(self, depth_mm: float) -> float:
        """Return the volume of the disc cut off [mm3]."""
        return math.pi / 4 * (self.diameter_mm**2 - self.hole_mm**2) * depth_mm


@dataclass(frozen=True)
class RectangularPad:
    """A flat four-sided face, milled down; ``corner_mm`` is the radius of its corners.

    ``deepest_mm`` is the pad's height, when it is known.

    volume = (length width - (4 - pi) corner^2) * depth

    Examples
    --------
    >>> RectangularPad(22.0, 15.0).volume_mm3(1.0)
    330.0

    Source: geometry.
    """

    length_mm: float
    width_mm: float
    corner_mm: float = 0.0
    deepest_mm: float = math.inf

    def __post_init__(self) -> None:
        one_positive("length_mm", self.length_mm)
        one_positive("width_mm", self.width_mm)
        if one_not_negative("corner_mm", self.corner_mm) * 2 > min(self.length_mm, self.width_mm):
            raise InputError(f"corner_mm must be at most half the width, got {self.corner_mm!r}")
        _some_depth(self.deepest_mm)

    def volume_mm3(self, depth_mm: float) -> float:
        """Return the volume of the slab cut off [mm3]."""
        corners = (4 - math.pi) * self.corner_mm**2
        return (self.length_mm * self.width_mm - corners) * depth_mm


@dataclass(frozen=True)
class Chamfer:
    """A bevel around the edge of a bore (``outside`` False) or of a round (True).

    The depth is the bevel's leg across, c; along the axis it is c / tan(degrees). With the edge
    at the radius R: volume = arc cot(degrees) (R c^2 / 2 + c^3 / 6), minus for outside; ``arc``
    is the part of the circle that carries metal (a slipper skirt has two short arcs).

    Examples
    --------
    >>> round(Chamfer(80.0).volume_mm3(1.0), 3)
    126.711

    Source: Pappus's theorem: triangle c^2 / 2 with its centroid at R + c / 3.
    """

    edge_diameter_mm: float
    degrees: float = 45.0
    arc_degrees: float = 360.0
    outside: bool = False

    def __post_init__(self) -> None:
        one_positive("edge_diameter_mm", self.edge_diameter_mm)
        if one_positive("degrees", self.degrees) >= 90:
            raise InputError(f"degrees must be less than 90, got {self.degrees!r}")
        if one_positive("arc_degrees", self.arc_degrees) > 360:
            raise InputError(f"arc_degrees must be at most 360, got {self.arc_degrees!r}")

    @property
    def deepest_mm(self) -> float:
        """Return the leg at which an outside bevel meets the axis."""
        return self.edge_diameter_mm / 2 if self.outside else math.inf

    def volume_mm3(self, depth_mm: float) -> float:
        """Return the volume of the ring of triangular section [mm3]."""
        c = depth_mm
        cube = -(c**3) / 6 if self.outside else c**3 / 6
        arc_cot = math.radians(self.arc_degrees) / math.tan(math.radians(self.degrees))
        return arc_cot * (self.edge_diameter_mm * c**2 / 4 + cube)


@dataclass(frozen=True)
class BoreTaper:
    """A cone opened from the end of a pin's bore, or from both ends alike.

    The depth t is along the axis: volume = ends pi (R t^2 tan a + t^3 tan^2 a / 3), with the
    bore's radius R and the angle a of the cone's wall to the axis. It runs out where the tapers
    meet or the wall at the mouth is gone; the maker's limit comes long before.

    Examples
    --------
    >>> taper = BoreTaper(bore_mm=13.0, outer_mm=22.0, pin_mm=60.0, half_angle_degrees=5.0)
    >>> round(taper.volume_mm3(20.0), 1), round(taper.wall_mm(20.0), 2)
    (1557.5, 2.75)

    Source: volume of a frustum less its bore, geometry.
    """

    bore_mm: float
    outer_mm: float
    pin_mm: float
    half_angle_degrees: float
    ends: int = 2

    def __post_init__(self) -> None:
        one_positive("bore_mm", self.bore_mm)
        one_positive("pin_mm", self.pin_mm)
        if not one_positive("outer_mm", self.outer_mm) > self.bore_mm:
            raise InputError(f"outer_mm must be more than bore_mm, got {self.outer_mm!r}")
        if one_positive("half_angle_degrees", self.half_angle_degrees) >= 90:
            raise InputError(
                f"half_angle_degrees must be less than 90, got {self.half_angle_degrees!r}"
            )
        if self.ends not in {1, 2}:
            raise InputError(f"ends must be 1 or 2, got {self.ends!r}")

    @property
    def deepest_mm(self) -> float:
        """Return the depth at which the tapers meet or the wall is gone."""
        return min(self.pin_mm / self.ends, (self.outer_mm - self.bore_mm) / 2 / self._tangent)

    def volume_mm3(self, depth_mm: float) -> float:
        """Return the volume of the tapers at all ends [mm3]."""
        widening = depth_mm * self._tangent
        return self.ends * math.pi * depth_mm * widening * (self.bore_mm / 2 + widening / 3)

    def wall_mm(self, depth_mm: float) -> float:
        """Return the thickness of the wall left at the mouth [mm]."""
        return (self.outer_mm - self.bore_mm) / 2 - depth_mm * self._tangent

    @property
    def _tangent(self) -> float:
        return math.tan(math.radians(self.half_angle_degrees))


def mass_of_cut(shape: CutShape, depth_mm: float, *, density_g_cm3: float) -> float:
    """Return the mass [g] that a cut removes: density times volume.

    Parameters
    ----------
    shape : CutShape
        `RoundPad`, `RectangularPad`, `Chamfer` or `BoreTaper`.
    depth_mm : float [mm]
        Depth of the cut, as the shape counts it.
    density_g_cm3 : float [g/cm3]
        Of the part's material (`DENSITIES_G_CM3`).

    Raises
    ------
    InputError
        When the depth is negative or more than the shape has, or the density not above zero.

    Examples
    --------
    >>> round(mass_of_cut(RectangularPad(22.0, 15.0), 1.0, density_g_cm3=7.85), 3)
    2.591

    Source: geometry.
    """
    _some_shape(shape)
    depth = one_not_negative("depth_mm", depth_mm)
    if depth > shape.deepest_mm:
        raise InputError(
            f"depth_mm must be at most {shape.deepest_mm:.6g}, where {shape!r} runs out, "
            f"got {depth!r}"
        )
    return shape.volume_mm3(depth) * one_positive("density_g_cm3", density_g_cm3) / 1000


def depth_of_cut(shape: CutShape, mass_g: float, *, density_g_cm3: float) -> float:
    """Return the depth [mm] that removes a mass: the inverse of `mass_of_cut`.

    Parameters
    ----------
    shape : CutShape
        `RoundPad`, `RectangularPad`, `Chamfer` or `BoreTaper`.
    mass_g : float [g]
        To be removed.
    density_g_cm3 : float [g/cm3]
        Of the part's material (`DENSITIES_G_CM3`).

    Raises
    ------
    InputError
        When the mass is negative, more than the shape can give, or the density not above zero.

    Examples
    --------
    >>> round(depth_of_cut(RoundPad(20.0), 2.466, density_g_cm3=7.85), 3)
    1.0

    Source: bisection to the last bit of a volume that grows with depth.
    """
    _some_shape(shape)
    mass = one_not_negative("mass_g", mass_g)
    wanted = mass * 1000 / one_positive("density_g_cm3", density_g_cm3)
    high = min(1.0, shape.deepest_mm)
    while shape.volume_mm3(high) < wanted:
        if high == shape.deepest_mm:
            most = mass_of_cut(shape, high, density_g_cm3=density_g_cm3)
            raise InputError(f"mass_g must be at most {most:.4g} g on {shape!r}, got {mass!r}")
        high = min(2 * high, shape.deepest_mm)
    return _bisect(shape, wanted, high)


def _some_depth(deepest_mm: float) -> None:
    """Require a depth, which may be without end."""
    if not (isinstance(deepest_mm, float) and deepest_mm == math.inf):
        one_positive("deepest_mm", deepest_mm)


def _some_shape(shape: CutShape) -> None:
    if not isinstance(shape, CutShape):
        raise InputError(f"shape must be a cut such as a RoundPad, got {shape!r}")


def _bisect(shape: CutShape, wanted_mm3: float, high: float) -> float:
    """Halve until no float lies between."""
    if wanted_mm3 == 0:
        return 0.0
    low = 0.0
    while low < (middle := (low + high) / 2) < high:
        if shape.volume_mm3(middle) < wanted_mm3:
            low = middle
        else:
            high = middle
    return high
