"""Polar paper: rings, rays and the frame, the same under every picture that shows angles.

0 degrees stands at the top, as crankpin 1 does at top dead centre, and angles grow
counter-clockwise: the crank seen from its flywheel end.
"""

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Circle
from matplotlib.ticker import MaxNLocator
from numpy.typing import ArrayLike, NDArray

from balance.sheet.style import BLUE, INK, PALE
from balance.vectors import turn

__all__ = [
    "CRANK_NOTE",
    "ENGINE_NOTE",
    "arrow",
    "badge",
    "bare",
    "foot",
    "pale_disc",
    "polar_paper",
    "rim_marks",
    "ring",
    "spot",
    "where",
]

CRANK_NOTE = (
    "Seen from the flywheel end. 0° is the centre line of crankpin 1, at the top;\n"
    "degrees turn with the crank and count counter-clockwise."
)
ENGINE_NOTE = (
    "Seen from the flywheel end, crankpin 1 up at crank angle 0.\n"
    "Directions stand still in the engine; they count counter-clockwise from the top."
)

_WHITE = {"facecolor": "white", "edgecolor": "none", "pad": 0.6, "alpha": 0.85}


def where(v: ArrayLike) -> NDArray[np.float64]:
    """Return the place on the paper of vectors: x to the right, y up, last axis (x, y).

    Examples
    --------
    >>> where(2.0).tolist(), where(2j).tolist()
    ([0.0, 2.0], [-2.0, 0.0])
    """
    vectors = np.asarray(v, dtype=complex)
    return np.stack([0.0 - vectors.imag, vectors.real], axis=-1)


def polar_paper(
    ax: Axes, radius: float, unit: str, *, busy: Iterable[complex] = (), zero: str = "pin 1"
) -> None:
    """Draw rings and rays out to ``radius`` and label them; ring labels keep away from ``busy``."""
    bare(ax)
    reach = 1.26 * radius
    ax.set(xlim=(-reach, reach), ylim=(-reach, reach))
    ax.add_patch(Circle((0, 0), radius, fill=False, edgecolor=INK, linewidth=0.8, zorder=1))
    for angle in range(0, 360, 30):
        _ray(ax, radius, angle, zero)
    rings = MaxNLocator(5, steps=[1, 2, 2.5, 5, 10]).tick_values(0, radius)
    _rings(ax, [float(r) for r in rings if 0 < r <= 0.86 * radius], _quiet(busy))
    ax.text(-reach, -reach, f"rings: {unit}", fontsize=7, color="#5d6369")


def bare(ax: Axes) -> None:
    """Make axes a blank sheet of one scale; ticks that nobody sees would still be laid out."""
    ax.set(aspect="equal", xticks=[], yticks=[])
    ax.set_axis_off()


def _ray(ax: Axes, radius: float, angle: int, zero: str) -> None:
    out = np.exp(1j * np.radians(angle))
    (x0, y0), (x1, y1) = where(0.0), where(radius * out)
    ax.plot([x0, x1], [y0, y1], color="#c9cdd1", linewidth=0.5, zorder=0.5)
    x, y = where(1.14 * radius * out)
    text = f"{angle}°" if angle else f"0°\n{zero}".strip()
    ax.text(x, y, text, ha="center", va="center", fontsize=7.5, linespacing=1.0)


def _rings(ax: Axes, radii: list[float], at_degrees: float) -> None:
    for r in radii:
        ax.add_patch(Circle((0, 0), r, fill=False, edgecolor="#c9cdd1", linewidth=0.5, zorder=0.5))
        x, y = where(r * np.exp(1j * np.radians(at_degrees)))
        ax.text(x, y, f"{r:g}", ha="center", va="center", fontsize=7, color="#5d6369", bbox=_WHITE)


def _quiet(busy: Iterable[complex]) -> float:
    """Return the direction for the ring labels: far from what is drawn, steep if there is a choice.

    One above the other the labels keep clear of each other, side by side long ones do not.
    """
    steep = np.array([15.0, 345.0, 165.0, 195.0, 45.0, 315.0, 135.0, 225.0, 75.0, 285.0, 105.0])
    vectors = np.array([v for v in busy if abs(v) > 0], dtype=complex)
    if not vectors.size:
        return float(steep[0])
    gaps = np.abs(turn(steep[:, None] - np.degrees(np.angle(vectors)))).min(axis=1)
    enough = np.flatnonzero(gaps >= 25.0)
    return float(steep[enough[0] if enough.size else gaps.argmax()])


def spot(ax: Axes, v: complex, gid: str, **look: Any) -> None:
    """Draw one marker at the end of a vector."""
    x, y = where(v)
    ax.plot([x], [y], linestyle="none", gid=gid, **{"zorder": 5, **look})


def ring(ax: Axes, centre: complex, radius: float, gid: str, **look: Any) -> None:
    """Draw a circle about the end of a vector."""
    x, y = where(centre)
    ax.add_patch(Circle((float(x), float(y)), radius, gid=gid, **{"fill": False, **look}))


def arrow(ax: Axes, start: complex, end: complex, **look: Any) -> None:
    """Draw an arrow from the end of one vector to the end of another."""
    style = {"arrowstyle": "-|>", "shrinkA": 0, "shrinkB": 0, "color": INK, "linewidth": 1.3}
    ax.annotate("", xy=tuple(where(end)), xytext=tuple(where(start)), arrowprops={**style, **look})


def rim_marks(ax: Axes, radius: float, marks: Iterable[tuple[str, float]]) -> None:
    """Mark named angles of work by badges on the outer ring; neighbours move inwards."""
    done: list[float] = []
    for name, angle in marks:
        crowd = sum(abs(turn(angle - other)) < 9 for other in done)
        v = (1 - 0.11 * crowd) * radius * np.exp(1j * np.radians(angle))
        badge(ax, v, name, f"mark-{name}")
        done.append(angle)


def badge(ax: Axes, v: complex, text: str, gid: str) -> None:
    """Draw a number in a circle at the end of a vector."""
    spot(
        ax, v, gid, marker="o", markersize=11, markerfacecolor="white", markeredgecolor=BLUE,
        markeredgewidth=1.3, zorder=6,
    )  # fmt: skip
    x, y = where(v)
    ax.text(
        x, y, text, ha="center", va="center_baseline", fontsize=7 if len(text) < 2 else 6.2,
        weight="bold", color=BLUE, zorder=7,
    )  # fmt: skip


def foot(figure: Figure, note: str, handles: Sequence[Artist] = (), *, columns: int = 3) -> None:
    """Write the frame at the foot of a figure, with the key to the marks below it.

    A picture of angles whose frame is not written on it can be misread.
    """
    if not handles:
        figure.supxlabel(note, fontsize=7.5, linespacing=1.3)
        return
    key = figure.legend(
        handles=list(handles), loc="outside lower center", ncols=columns, title=note,
        title_fontsize=7.5,
    )  # fmt: skip
    key.get_title().set_multialignment("center")


def pale_disc(ax: Axes, radius: float, gid: str) -> None:
    """Draw a tolerance: a pale disc with a firm edge."""
    ring(ax, 0j, radius, f"{gid}-inside", fill=True, facecolor=PALE, linewidth=0, zorder=0.4)
    ring(ax, 0j, radius, gid, edgecolor=INK, linewidth=1.6, zorder=2)
