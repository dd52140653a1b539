"""Holes and slugs on one page: what they take away or bring, how deep to go, what metal is left.

Depth always means depth at full diameter, from the surface on the hole's axis;
:func:`tip_depth_mm` tells how deep the drill's point goes.
"""

from balance.metal.axial import axial_hole
from balance.metal.radial import depth_for, radial_hole
from balance.metal.shapes import DrilledHole, Removed, point_mm, tip_depth_mm
from balance.metal.slugs import SlugGain, axial_slug, slug
from balance.metal.webs import web_mm

__all__ = [
    "DrilledHole",
    "Removed",
    "SlugGain",
    "axial_hole",
    "axial_slug",
    "depth_for",
    "point_mm",
    "radial_hole",
    "slug",
    "tip_depth_mm",
    "web_mm",
]
