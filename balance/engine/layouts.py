"""The engine as the balancer needs it: throws, cylinders and where they are."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Throw:
    """One crankpin: its angle in the crank's frame [degree] and its place along the crank [mm]."""

    degrees: float
    z_mm: float


@dataclass(frozen=True)
class Cylinder:
    """One cylinder: index of its throw, direction of its axis [degree], place along the crank [mm]."""

    throw: int
    bank_degrees: float
    z_mm: float


@dataclass(frozen=True)
class Engine:
    """Crank and cylinders; lengths in mm. ``pin_offset_mm`` is the piston pin's (or bore's) offset."""

    stroke_mm: float
    rod_length_mm: float
    bore_spacing_mm: float
    throws: tuple[Throw, ...]
    cylinders: tuple[Cylinder, ...]
    pin_offset_mm: float = 0.0
