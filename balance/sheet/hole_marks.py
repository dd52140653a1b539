"""Holes and slugs as they are drawn: outline, look, number and words, the same in every picture."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.patches import Circle, Patch, Polygon
from numpy.typing import NDArray

from balance.metal.shapes import DrilledHole, tip_depth_mm
from balance.metal.staging import FirstCut
from balance.metal.steps import CrankCorrection
from balance.sheet.paper import where
from balance.sheet.style import BLUE, INK, METAL, plain
from balance.vectors import fold

__all__ = [
    "Hole",
    "SlugMark",
    "first_floor",
    "gid",
    "holes_in",
    "look",
    "profile",
    "slug_patches",
    "slug_words",
    "slugs_in",
    "words",
]

Real = NDArray[np.float64]


@dataclass(frozen=True)
class Hole:
    """A hole as it is drawn: ``number`` is the plan's, None for an old hole.

    ``first_mm`` is the depth at full diameter of a first cut, if the hole is drilled in two.
    """

    number: int | None
    degrees: float
    diameter_mm: float
    depth_mm: float
    point_degrees: float
    deepens: bool = False
    first_mm: float | None = None

    @property
    def tip_mm(self) -> float:
        """How deep the drill's point goes."""
        return float(
            tip_depth_mm(self.depth_mm, self.diameter_mm, point_degrees=self.point_degrees)
        )


def holes_in(
    correction: CrankCorrection, index: int, first_cut: Sequence[FirstCut] = ()
) -> list[Hole]:
    """Return the holes of one counterweight as they are drawn, old ones first."""
    first = {cut.hole: cut.depth_mm for cut in first_cut if cut.stops_short}
    weight, point = correction.counterweights[index], correction.plan.task.rules.point_degrees
    planned = [
        Hole(
            number,
            h.degrees,
            h.diameter_mm,
            h.depth_mm,
            _point(h, point),
            h.deepens is not None,
            first.get(h),
        )
        for number, h in correction.numbered
        if h.counterweight == index
    ]
    old = [Hole(None, h.degrees, h.diameter_mm, h.depth_mm, _point(h, point)) for h in weight.holes]
    return [*old, *planned]


def _point(hole: DrilledHole, shop_degrees: float) -> float:
    return shop_degrees if hole.point_degrees is None else hole.point_degrees


def profile(hole: Hole, rim_mm: float) -> Real:
    """Return the outline of a radial hole on the paper, (n, 2): rim, walls, shoulder and point."""
    half = hole.diameter_mm / 2
    across = np.linspace(-half, half, 9)
    top = np.sqrt(rim_mm**2 - across**2) + 1j * across
    bottom = rim_mm - hole.depth_mm
    floor = np.array([bottom + 1j * half, rim_mm - hole.tip_mm, bottom - 1j * half])
    return where(np.concatenate([top, floor]) * np.exp(1j * np.radians(hole.degrees)))


def first_floor(hole: Hole, rim_mm: float, first_mm: float) -> Real:
    """Return the line across a hole at the depth of its first cut, (2, 2)."""
    half = hole.diameter_mm / 2
    ends = np.array([rim_mm - first_mm - 1j * half, rim_mm - first_mm + 1j * half])
    return where(ends * np.exp(1j * np.radians(hole.degrees)))


def look(hole: Hole) -> dict[str, Any]:
    """Return how a hole is drawn: dashed when it is there already, hatched when it is to drill."""
    if hole.number is None:
        return {"fill": False, "edgecolor": INK, "linestyle": "--", "linewidth": 0.9, "zorder": 3}
    return {
        "facecolor": "white",
        "edgecolor": BLUE,
        "linewidth": 1.5,
        "hatch": "\\\\\\\\",
        "zorder": 4,
    }


def gid(hole: Hole) -> str:
    """Return the name of a hole's outline in the picture."""
    return "old-hole" if hole.number is None else f"hole-{hole.number}"


def words(hole: Hole, names: Mapping[float, str]) -> str:
    """Return what to drill: number, angle, drill, depth at full diameter, depth of the tip."""
    drill = plain(names.get(hole.diameter_mm, f"{hole.diameter_mm:g} mm"))
    verb = "deepen to" if hole.deepens else "deep"
    depth = f"{verb} {hole.depth_mm:g} mm" if hole.deepens else f"{hole.depth_mm:g} mm {verb}"
    first = "" if hole.first_mm is None else f"\nfirst cut {hole.first_mm:.1f} mm deep, then spin"
    return (
        f"{hole.number}:  {float(fold(hole.degrees)):g}°  drill {drill}, {depth}, "
        f"tip {hole.tip_mm:.1f} mm{first}"
    )


@dataclass(frozen=True)
class SlugMark:
    """A slug as it is drawn; ``bore`` is its radial bore, None when it lies along the crank.

    ``radius_mm`` is its centre's distance from the crank's axis, ``name`` S1, S2, ... in the order
    of the plan.
    """

    name: str
    degrees: float
    diameter_mm: float
    length_mm: float
    density_g_cm3: float
    radius_mm: float
    bore: Hole | None


def slugs_in(correction: CrankCorrection, index: int) -> list[SlugMark]:
    """Return the slugs of one counterweight as they are drawn."""
    rim = correction.counterweights[index].radius_mm
    point = correction.plan.task.rules.point_degrees
    marks = []
    for number, slug in correction.numbered_slugs:
        if slug.counterweight != index:
            continue
        one, bore = slug.choice, None
        if one.bore_depth_mm is not None:
            bore = Hole(None, slug.degrees, one.diameter_mm, one.bore_depth_mm, point)
        marks.append(
            SlugMark(f"S{number}", slug.degrees, one.diameter_mm, one.length_mm,
                     one.density_g_cm3, one.middle_mm(rim), bore)
        )  # fmt: skip
    return marks


def slug_patches(slug: SlugMark, rim_mm: float) -> list[Patch]:
    """Return the outlines of a slug end on: a disc, or its radial bore with the slug in it."""
    filled: dict[str, Any] = {"facecolor": METAL, "edgecolor": INK, "zorder": 5}
    name = f"slug-{slug.name[1:]}"
    out = np.exp(1j * np.radians(slug.degrees))
    if slug.bore is None:
        x, y = where(slug.radius_mm * out)
        return [Circle((float(x), float(y)), slug.diameter_mm / 2, gid=name, **filled)]
    half, long = slug.diameter_mm / 2, slug.length_mm / 2
    corners = np.array([long + 1j * half, -long + 1j * half, -long - 1j * half, long - 1j * half])
    bore = Polygon(profile(slug.bore, rim_mm), facecolor="white", edgecolor=BLUE, zorder=4)
    return [bore, Polygon(where((slug.radius_mm + corners) * out), gid=name, **filled)]


def slug_words(slug: SlugMark) -> str:
    """Return what to fit: name, angle, slug, and the bore that it needs."""
    seat = (
        f"through bore along the crank, centre at radius {slug.radius_mm:g} mm"
        if slug.bore is None
        else f"radial bore {slug.bore.depth_mm:g} mm deep, tip {slug.bore.tip_mm:.1f} mm"
    )
    return (
        f"{slug.name}:  {float(fold(slug.degrees)):g}°  slug Ø {slug.diameter_mm:g} × "
        f"{slug.length_mm:g} mm of {slug.density_g_cm3:g} g/cm³,\n{seat}"
    )
