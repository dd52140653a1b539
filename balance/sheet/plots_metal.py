"""Pictures to drill from: counterweights end on and to scale, the unrolled rims, discs."""

import math
from collections.abc import Mapping, Sequence
from textwrap import fill
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Arc, Circle, Patch, Polygon, Wedge

from balance.errors import InputError
from balance.metal.planning import Counterweight
from balance.metal.staging import FirstCut
from balance.metal.steps import CrankCorrection
from balance.sheet.hole_marks import (
    first_floor,
    gid,
    holes_in,
    look,
    profile,
    slug_patches,
    slug_words,
    slugs_in,
    words,
)
from balance.sheet.paper import CRANK_NOTE, badge, bare, foot, where
from balance.sheet.style import BLUE, GREY, INK, METAL, PALE, drawn, key_mark, new_figure, plain
from balance.vectors import fold, turn

__all__ = ["counterweight_view"]


@drawn
def counterweight_view(
    correction: CrankCorrection,
    *,
    which: Sequence[int] | None = None,
    drill_names: Mapping[float, str] | None = None,
    first_cut: Sequence[FirstCut] = (),
) -> Figure:
    """Return the end views of counterweights to one scale, with the holes where they go.

    New holes are drawn with their full-diameter depth and their drill point and are numbered in
    the order of the plan; holes that are there already are dashed. The pale sector may be drilled,
    down to the dotted arc at full diameter.

    Parameters
    ----------
    correction : CrankCorrection
        From :func:`balance.metal.steps.correct_job`.
    which : sequence of int, optional
        Indexes of the counterweights to draw; those with work when left out, or all when there
        is no work at all.
    drill_names : mapping from diameter [mm] to str, optional
        What the drills are called in the drawer.
    first_cut : sequence of FirstCut, optional
        How deep to go before the crank is spun again, from :func:`balance.metal.staging.stage`.

    Raises
    ------
    InputError
        When there is no counterweight of that index.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.metal.steps import correct_job
    >>> from balance.spin.steps import spin_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> figure = counterweight_view(correct_job(job, spin_job(job)).crank, which=[1])
    >>> [axes.get_title() for axes in figure.axes]
    ['W2   z = 64 mm']

    Source: geometry of a drilled rim; the drill point as in :func:`balance.metal.shapes.point_mm`.
    """
    shown = _shown(correction, which)
    columns = min(len(shown), 2)
    rows = math.ceil(len(shown) / columns)
    names = drill_names or {}
    tallest = max(len(_lines(correction, n, names, first_cut)) for n in shown)
    figure = new_figure(92 * max(columns, 1.3), (88 + 3.4 * tallest) * rows + 28)
    grid = figure.subplots(rows, columns, squeeze=False).ravel()
    reach = max(correction.counterweights[n].radius_mm for n in shown)
    for ax, n in zip(grid, shown, strict=False):
        _end_view(ax, correction, n, reach, first_cut)
        ax.set_title("\n".join(_lines(correction, n, names, first_cut)), fontsize=8.5)
    for ax in grid[len(shown) :]:
        ax.set_axis_off()
    figure.suptitle(_heading(correction, shown))
    foot(figure, CRANK_NOTE, _key(correction, shown, first_cut))
    return figure


def _shown(correction: CrankCorrection, which: Sequence[int] | None) -> list[int]:
    """Return the counterweights to draw: as asked, else those with work, else all."""
    number = len(correction.counterweights)
    if which is not None:
        wrong = [n for n in which if not 0 <= n < number]
        if wrong or not which:
            raise InputError(f"which must hold indexes from 0 to {number - 1}, got {which!r}")
        return list(which)
    return sorted(_busy(correction)) or list(range(number))


def _busy(correction: CrankCorrection) -> set[int]:
    """Return the counterweights that are to be worked on."""
    plan = correction.plan
    return {hole.counterweight for hole in plan.holes} | {s.counterweight for s in plan.slugs}


def _heading(correction: CrankCorrection, shown: Sequence[int]) -> str:
    work = _busy(correction)
    idle = [m for n, m in enumerate(correction.marks) if n not in work and n not in shown]
    if not work:
        return f"counterweights, end view\n{fill(plain(correction.plan.reason), 70)}"
    rest = f"\nnothing to do on {', '.join(plain(mark) for mark in idle)}" if idle else ""
    return f"counterweights, end view{rest}"


def _end_view(
    ax: Axes, correction: CrankCorrection, index: int, reach: float, first_cut: Sequence[FirstCut]
) -> None:
    weight, holes = correction.counterweights[index], holes_in(correction, index, first_cut)
    slugs = slugs_in(correction, index)
    _blank(ax, weight, reach)
    for hole in holes:
        ax.add_patch(Polygon(profile(hole, weight.radius_mm), gid=gid(hole), **look(hole)))
        if hole.first_mm is not None:
            floor = first_floor(hole, weight.radius_mm, hole.first_mm)
            ax.plot(*floor.T, color=INK, linewidth=2.0, zorder=5, gid=f"first-{hole.number}")
    for slug in slugs:
        for patch in slug_patches(slug, weight.radius_mm):
            ax.add_patch(patch)
    numbered = [(str(hole.number), hole.degrees) for hole in holes if hole.number]
    numbered += [(slug.name, slug.degrees) for slug in slugs]
    _badges(ax, numbered, 1.0 + 11 / reach, weight.radius_mm)


def _lines(
    correction: CrankCorrection,
    index: int,
    names: Mapping[float, str],
    first_cut: Sequence[FirstCut],
) -> list[str]:
    """Return what to do on one counterweight, in words."""
    weight = correction.counterweights[index]
    return [
        f"{plain(correction.marks[index])}   z = {weight.z_mm:g} mm",
        *(line for slug in slugs_in(correction, index) for line in slug_words(slug).splitlines()),
        *(
            line
            for hole in holes_in(correction, index, first_cut)
            if hole.number
            for line in words(hole, names).splitlines()
        ),
    ]


def _blank(ax: Axes, weight: Counterweight, reach: float) -> None:
    """Draw the counterweight before the work: rim, sector, crank centre, direction of pin 1."""
    bare(ax)
    edge = 1.36 * reach
    ax.set(xlim=(-edge, edge), ylim=(-edge, edge))
    rim, start = weight.radius_mm, weight.centre_degrees - weight.half_span_degrees
    end = start + 2 * weight.half_span_degrees
    ax.add_patch(Circle((0, 0), rim, fill=False, edgecolor=GREY, linewidth=0.7, linestyle=":"))
    ax.add_patch(
        Wedge((0, 0), rim, start + 90, end + 90, facecolor=PALE, edgecolor=GREY, linewidth=0.7,
              gid="sector")
    )  # fmt: skip
    ax.add_patch(Arc((0, 0), 2 * rim, 2 * rim, angle=90, theta1=start, theta2=end, color=INK,
                     linewidth=1.8, gid="rim"))  # fmt: skip
    floor = 2 * (rim - weight.max_depth_mm)
    ax.add_patch(Arc((0, 0), floor, floor, angle=90, theta1=start, theta2=end, color=INK,
                     linewidth=0.9, linestyle=":", gid="deepest"))  # fmt: skip
    ax.plot([0], [0], marker="+", color=INK, markersize=12, linestyle="none", gid="crank-centre")
    ax.plot(*where([0j, 1.06 * rim]).T, color=INK, linewidth=0.7, linestyle="-.", zorder=1.5)
    ax.text(0, 1.21 * reach, "0°\npin 1", ha="center", va="bottom", fontsize=7.5, linespacing=1.0)
    if weight.half_span_degrees < 175:
        for angle in (start, end):
            x, y = where(1.14 * rim * np.exp(1j * np.radians(angle)))
            ax.text(x, y, f"{float(fold(angle)):g}°", ha="center", va="center", fontsize=7.5,
                    color="#5d6369")  # fmt: skip
    _scale_bar(ax, edge)


def _scale_bar(ax: Axes, edge: float) -> None:
    ax.plot([-edge, 20 - edge], [-0.97 * edge] * 2, color=INK, linewidth=2.2, solid_capstyle="butt")
    ax.text(22 - edge, -0.97 * edge, "20 mm", va="center", fontsize=7.5)


def _badges(ax: Axes, numbered: Sequence[tuple[str, float]], out: float, rim: float) -> None:
    """Number the work outside the rim; neighbours move outwards."""
    for n, (name, angle) in enumerate(numbered):
        crowd = sum(abs(turn(angle - other)) < 9 for _, other in numbered[:n])
        v = (out + 0.13 * crowd) * rim * np.exp(1j * np.radians(angle))
        badge(ax, v, name, f"number-{name}")


def _key(
    correction: CrankCorrection, shown: Sequence[int], first_cut: Sequence[FirstCut]
) -> list[Artist]:
    holes = [hole for n in shown for hole in holes_in(correction, n, first_cut)]
    slugs = [slug for n in shown for slug in slugs_in(correction, n)]
    new: dict[str, Any] = {"facecolor": "white", "edgecolor": BLUE, "hatch": "\\\\\\\\"}
    marks: list[tuple[bool, Artist]] = [
        (any(h.number for h in holes), Patch(**new, label="to drill, with its point")),
        (
            any(not h.number for h in holes),
            Patch(fill=False, linestyle="--", label="there already"),
        ),
        (bool(slugs), Patch(facecolor=METAL, edgecolor=INK, label="heavy-metal slug")),
        (
            any(h.first_mm is not None for h in holes),
            Line2D([], [], color=INK, linewidth=2.0, label="first cut, full diameter"),
        ),
        (True, Patch(facecolor=PALE, edgecolor=GREY, label="sector for the middles of holes")),
        (True, Line2D([], [], color=INK, linestyle=":", label="deepest at full diameter")),
        (True, key_mark("crank centre", marker="+", color=INK, markersize=9)),
    ]
    return [artist for seen, artist in marks if seen]
