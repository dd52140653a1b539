"""All holes of a crank on its unrolled rims, and the holes of a disc on their pitch circle."""

from collections.abc import Iterator, Mapping, Sequence
from textwrap import fill

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Ellipse, Patch, Rectangle, Wedge

from balance.errors import one_positive
from balance.metal.planning import Counterweight
from balance.metal.shapes import POINT_DEGREES, DrilledHole
from balance.metal.steps import CrankCorrection, DiscCorrection
from balance.sheet.hole_marks import Hole, SlugMark, gid, holes_in, look, slugs_in, words
from balance.sheet.paper import CRANK_NOTE, badge, bare, foot, where
from balance.sheet.style import (
    BLUE,
    GREY,
    INK,
    METAL,
    PALE,
    RUST,
    amount_text,
    drawn,
    key_mark,
    new_figure,
    plain,
)
from balance.vectors import degrees, fold, turn, whole_degrees

__all__ = ["disc_view", "drill_map"]

_MAP_NOTE = (
    "Nose at the left, flywheel at the right. 0° is the centre line of crankpin 1;\n"
    "degrees count counter-clockwise seen from the flywheel end."
)


@drawn
def drill_map(correction: CrankCorrection) -> Figure:
    """Return every counterweight's rim unrolled: angle against the place along the crank.

    The pale fields may be drilled; new holes are numbered in the order of the plan, old ones are
    dashed. Dotted lines are the two planes in which the plan was made.

    Parameters
    ----------
    correction : CrankCorrection
        From :func:`balance.metal.steps.correct_job`.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.metal.steps import correct_job
    >>> from balance.spin.steps import spin_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> drill_map(correct_job(job, spin_job(job)).crank).axes[0].get_xlabel()
    'place along the crank z [mm]'

    Source: geometry; drawing only.
    """
    figure = new_figure(190, 130)
    ax = figure.subplots()
    for plane in correction.plan.task.rules.planes_mm:
        ax.axvline(plane, color=GREY, linewidth=1.2, linestyle=":", zorder=1, gid="plane")
    for n, weight in enumerate(correction.counterweights):
        _field(ax, weight, correction.marks[n], raised=n % 2 == 1)
        for hole in holes_in(correction, n):
            _mouth(ax, hole, weight)
        for slug in slugs_in(correction, n):
            _slug_line(ax, slug, weight)
    ax.set(ylim=(0, 360), yticks=range(0, 361, 30), xlim=_stretch(correction))
    ax.set(xlabel="place along the crank z [mm]", ylabel="angle [°]")
    ax.grid(visible=True, axis="y")
    work = correction.plan.holes or correction.plan.slugs
    reason = "" if work else f"\n{fill(plain(correction.plan.reason), 80)}"
    figure.suptitle(f"drill map: the rims unrolled{reason}")
    foot(figure, _MAP_NOTE, _map_key(correction), columns=5)
    return figure


def _stretch(correction: CrankCorrection) -> tuple[float, float]:
    """Return the ends of the z axis, with room for the numbers beside the holes."""
    weights = correction.counterweights
    ends = [
        *correction.plan.task.rules.planes_mm,
        *(w.z_mm - w.width_mm / 2 for w in weights),
        *(w.z_mm + w.width_mm / 2 for w in weights),
    ]
    room = 0.06 * (max(ends) - min(ends))
    return min(ends) - room, max(ends) + room


def _field(ax: Axes, weight: Counterweight, mark: str, *, raised: bool) -> None:
    start = weight.centre_degrees - weight.half_span_degrees
    left = weight.z_mm - weight.width_mm / 2
    for low, high in _pieces(start, 2 * weight.half_span_degrees):
        ax.add_patch(
            Rectangle((left, low), weight.width_mm, high - low, facecolor=PALE, edgecolor=INK,
                      linewidth=0.8, zorder=2, gid="field")
        )  # fmt: skip
    y = 374 if raised else 363
    short = mark if len(mark) < 12 else f"{mark[:10]}…"
    ax.text(weight.z_mm, y, plain(short), ha="center", va="bottom", fontsize=8.5)


def _pieces(start: float, span: float) -> Iterator[tuple[float, float]]:
    """Yield an arc as one or two stretches between 0 and 360 degrees."""
    low = float(fold(start))
    yield low, min(low + span, 360.0)
    if low + span > 360.0:
        yield 0.0, low + span - 360.0


def _mouth(ax: Axes, hole: Hole, weight: Counterweight) -> None:
    """Draw a hole's mouth to the scale of both axes, whole on each side of the 0 mark."""
    high = float(np.degrees(hole.diameter_mm / weight.radius_mm))
    angle = float(fold(hole.degrees))
    for y in (angle - 360.0, angle, angle + 360.0):
        if -high / 2 < y < 360.0 + high / 2:
            ax.add_patch(
                Ellipse((weight.z_mm, y), hole.diameter_mm, high, gid=gid(hole), **look(hole))
            )
    if hole.number:
        _name(ax, str(hole.number), weight, angle)


def _slug_line(ax: Axes, slug: SlugMark, weight: Counterweight) -> None:
    half, angle = weight.width_mm / 2, float(fold(slug.degrees))
    ax.plot([weight.z_mm - half, weight.z_mm + half], [angle, angle], color=METAL, linewidth=5,
            solid_capstyle="butt", zorder=4, gid=f"slug-{slug.name[1:]}")  # fmt: skip
    _name(ax, slug.name, weight, angle)


def _name(ax: Axes, name: str, weight: Counterweight, angle: float) -> None:
    """Write a number beside its counterweight, at its angle."""
    ax.annotate(
        name, (weight.z_mm + weight.width_mm / 2, angle), xytext=(4, 0),
        textcoords="offset points", va="center", weight="bold", color=BLUE, zorder=6,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.5, "alpha": 0.85},
    )  # fmt: skip


def _map_key(correction: CrankCorrection) -> list[Artist]:
    holes = [h for n in range(len(correction.marks)) for h in holes_in(correction, n)]
    marks: list[tuple[bool, Artist]] = [
        (
            any(hole.number for hole in holes),
            Patch(facecolor="white", edgecolor=BLUE, hatch="\\\\\\\\", label="to drill"),
        ),
        (
            any(not hole.number for hole in holes),
            Patch(fill=False, edgecolor=INK, linestyle="--", label="there already"),
        ),
        (
            bool(correction.plan.slugs),
            Line2D([], [], color=METAL, linewidth=5, label="heavy-metal slug"),
        ),
        (True, Patch(facecolor=PALE, edgecolor=INK, label="may be drilled")),
        (True, Line2D([], [], color=GREY, linestyle=":", label="correction planes")),
    ]
    return [artist for seen, artist in marks if seen]


@drawn
def disc_view(
    correction: DiscCorrection,
    *,
    circle_mm: float,
    existing: Sequence[DrilledHole] = (),
    keep_clear: Sequence[tuple[float, float]] = (),
    drill_names: Mapping[float, str] | None = None,
    point_degrees: float = POINT_DEGREES,
) -> Figure:
    """Return a bolted part seen from the flywheel end, with its holes on the pitch circle.

    Parameters
    ----------
    correction : DiscCorrection
        From :func:`balance.metal.steps.correct_job`.
    circle_mm : float [mm]
        Radius of the pitch circle.
    existing : sequence of DrilledHole, optional
        Holes that are on the circle already.
    keep_clear : sequence of (from, to), optional [degree]
        Arcs that must not be drilled, counted counter-clockwise.
    drill_names : mapping from diameter [mm] to str, optional
        What the drills are called in the drawer.
    point_degrees : float [degree]
        Included angle of the drill points.

    Raises
    ------
    InputError
        When the radius is not greater than zero.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.metal.steps import correct_job
    >>> from balance.spin.steps import spin_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> flywheel = correct_job(job, spin_job(job)).discs[0]
    >>> disc_view(flywheel, circle_mm=112.0).axes[0].get_title()[:2]
    '3:'

    Source: geometry; drawing only.
    """
    radius = one_positive("circle_mm", circle_mm)
    figure = new_figure(125, 138 + 4 * len(correction.plan.holes))
    ax = figure.subplots()
    _blank_disc(ax, radius, keep_clear)
    holes = _disc_holes(correction, existing, point_degrees)
    for hole in holes:
        x, y = where(radius * np.exp(1j * np.radians(hole.degrees)))
        ax.add_patch(
            Circle((float(x), float(y)), hole.diameter_mm / 2, gid=gid(hole), **look(hole))
        )
    _number(ax, [hole for hole in holes if hole.number], radius)
    _heavy(ax, correction.before, radius)
    lines = [words(hole, drill_names or {}) for hole in holes if hole.number]
    ax.set_title("\n".join(lines) or fill(plain(correction.plan.reason), 60))
    figure.suptitle(
        f"{plain(correction.name)}: heavy spot {amount_text(abs(correction.before))} at "
        f"{whole_degrees(degrees(correction.before))}°\npitch circle of radius {radius:g} mm"
    )
    foot(figure, CRANK_NOTE, _disc_key(holes, keep_clear))
    return figure


def _disc_holes(
    correction: DiscCorrection, existing: Sequence[DrilledHole], point: float
) -> list[Hole]:
    old = [Hole(None, h.degrees, h.diameter_mm, h.depth_mm, point) for h in existing]
    new = [
        Hole(number, h.degrees, h.diameter_mm, h.depth_mm, point)
        for number, h in correction.numbered
    ]
    return [*old, *new]


def _blank_disc(ax: Axes, radius: float, keep_clear: Sequence[tuple[float, float]]) -> None:
    bare(ax)
    edge = 1.34 * radius
    ax.set(xlim=(-edge, edge), ylim=(-edge, edge))
    for start, end in keep_clear:
        ax.add_patch(
            Wedge((0, 0), 1.08 * radius, start + 90, end + 90, width=0.16 * radius, fill=False,
                  edgecolor=INK, linewidth=0.8, hatch="xxx", gid="keep-clear")
        )  # fmt: skip
    ax.add_patch(Circle((0, 0), radius, fill=False, edgecolor=INK, linewidth=0.9, linestyle="-.",
                        gid="pitch-circle"))  # fmt: skip
    ax.plot([0], [0], marker="+", color=INK, markersize=12, linestyle="none")
    for angle in range(0, 360, 30):
        out = np.exp(1j * np.radians(angle))
        ax.plot(*where([0.97 * radius * out, 1.03 * radius * out]).T, color=INK, linewidth=0.8)
        x, y = where(1.24 * radius * out)
        label = f"{angle}°" if angle else "0°\npin 1"
        ax.text(x, y, label, ha="center", va="center", fontsize=8, linespacing=1.0)
    ax.plot([-edge, 20 - edge], [-edge, -edge], color=INK, linewidth=2.2, solid_capstyle="butt")
    ax.text(22 - edge, -edge, "20 mm", va="center", fontsize=7.5)


def _number(ax: Axes, holes: Sequence[Hole], radius: float) -> None:
    for n, hole in enumerate(holes):
        crowd = sum(abs(turn(hole.degrees - other.degrees)) < 7 for other in holes[:n])
        out = (0.89 - 0.09 * crowd) * radius
        badge(
            ax,
            out * np.exp(1j * np.radians(hole.degrees)),
            str(hole.number),
            f"number-{hole.number}",
        )


def _heavy(ax: Axes, before: complex, radius: float) -> None:
    """Draw the direction of the heavy spot, not its amount."""
    if before:
        x, y = where(0.6 * radius * before / abs(before))
        ax.plot([0, x], [0, y], color="#dba48f", linewidth=3, solid_capstyle="butt", zorder=1)
        ax.plot([x], [y], marker="D", color=RUST, markersize=7, linestyle="none", gid="heavy-spot")


def _disc_key(holes: Sequence[Hole], keep_clear: Sequence[object]) -> list[Artist]:
    marks: list[tuple[bool, Artist]] = [
        (
            any(hole.number for hole in holes),
            Patch(facecolor="white", edgecolor=BLUE, hatch="\\\\\\\\", label="to drill"),
        ),
        (
            any(not hole.number for hole in holes),
            Patch(fill=False, edgecolor=INK, linestyle="--", label="there already"),
        ),
        (True, key_mark("towards the heavy spot", marker="D", color=RUST)),
        (bool(keep_clear), Patch(fill=False, edgecolor=INK, hatch="xxx", label="keep clear")),
    ]
    return [artist for seen, artist in marks if seen]
