"""SVG text: places, arcs, words and the frame of a drawing.

Every view of angles is seen from the flywheel end with crankpin 1 at the top; degrees count
counter-clockwise. Inside a drawing one unit is one millimetre of the part.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

__all__ = [
    "INK",
    "Drawing",
    "arc",
    "at",
    "common_scale",
    "dash",
    "framed",
    "spread",
    "svg",
    "words",
]

SCALES = (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50)
INK, GREY, PALE = "#000", "#777", "#ececec"


@dataclass(frozen=True)
class Drawing:
    """An SVG text, its width on paper [mm] and its scale, one to ``scale``."""

    svg: str
    width_mm: float
    scale: float


def at(radius: float, degrees: float) -> tuple[float, float]:
    """Return the place in the drawing: 0 degrees up, counter-clockwise, SVG's y runs down."""
    turn = math.radians(degrees)
    return -radius * math.sin(turn), -radius * math.cos(turn)


def spread(start: float, end: float) -> list[float]:
    """Return angles from start to end, close enough together for a smooth arc."""
    steps = max(2, math.ceil((end - start) / 5))
    return [start + (end - start) * n / steps for n in range(steps + 1)]


def arc(radius: float, start: float, end: float, look: str, colour: str = INK) -> str:
    """Return an arc from one angle counter-clockwise to another, as short straight pieces."""
    points = " ".join(f"{x:.2f},{y:.2f}" for x, y in (at(radius, a) for a in spread(start, end)))
    return f'<polyline points="{points}" fill="none" stroke="{colour}" {look}/>'


def words(
    x: float, y: float, text: str, size: float, anchor: str = "middle", *, weight: str = "normal"
) -> str:
    """Return a text whose middle line stands at ``y``."""
    return (
        f'<text x="{x:.2f}" y="{y + 0.36 * size:.2f}" font-size="{size:.2f}" stroke="none" '
        f'text-anchor="{anchor}" font-weight="{weight}">{escape(text)}</text>'
    )


def dash(text: float, *lengths: float) -> str:
    """Return a pattern of dashes and gaps, in sizes of the text."""
    return " ".join(f"{length * text:.2f}" for length in lengths)


def framed(body: Iterable[str], shown: Sequence[tuple[float, float]], scale: float) -> Drawing:
    """Return a drawing that shows some points with room around them, to scale."""
    xs, ys = [x for x, _ in shown] + [0.0], [y for _, y in shown] + [0.0]
    room = 3.0 * scale
    left, top = min(xs) - room, min(ys) - room
    width, height = max(xs) - min(xs) + 2 * room, max(ys) - min(ys) + 2 * room
    return svg(body, (left, top, width, height), width / scale, scale)


def svg(
    body: Iterable[str], box: tuple[float, float, float, float], width_mm: float, scale: float
) -> Drawing:
    """Return a drawing of a box (left, top, width, height), so wide on paper, one to ``scale``."""
    left, top, width, height = box
    view = f"{left:.2f} {top:.2f} {width:.2f} {height:.2f}"
    size = f'width="{width_mm:.2f}mm" height="{width_mm * height / width:.2f}mm"'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view}" {size} '
    font = f'stroke-width="{0.25 * scale:.3f}" font-family="DejaVu Sans, sans-serif" fill="#000">'
    return Drawing(head + font + "".join(body) + "</svg>", width_mm, scale)


def common_scale(widest_mm: float, room_mm: float) -> float:
    """Return the largest of the usual scales at which a width fits its room.

    Examples
    --------
    >>> common_scale(160, 84)
    2
    """
    return next((s for s in SCALES if widest_mm / s <= room_mm), SCALES[-1])
