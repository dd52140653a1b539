"""Drawings beside the tables: how angles count, and bars against the limit."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from balance.sheet.blocks import clean
from balance.sheet.svg import GREY, INK, PALE, Drawing, at, svg, words
from balance.units import show

__all__ = ["Bar", "angle_drawing", "bars_drawing"]


def angle_drawing(sense: int | None, zero_degrees: float = 0.0, *, width_mm: float = 52) -> Drawing:
    """Return how angles count: the crank's degrees inside, the machine's own numbers outside.

    Parameters
    ----------
    sense : {1, -1} or None
        +1 when the machine's numbers run counter-clockwise seen from the flywheel; None without a
        machine.
    zero_degrees : float [degree]
        Where the machine's 0 lies on the crank.
    width_mm : float [mm]
        On paper.

    Examples
    --------
    >>> "M 90" in angle_drawing(-1, 37.0).svg
    True
    """
    text, r = 2.6, 15.0
    body = [
        f'<circle r="{r:g}" fill="none" stroke="{INK}" stroke-width="0.4"/>',
        f'<circle r="5.2" fill="none" stroke="{GREY}" stroke-width="0.3"/>',
        f'<line y2="-9.6" stroke="{INK}" stroke-width="0.35"/>',
        f'<circle cy="-9.6" r="3" fill="{PALE}" stroke="{INK}" stroke-width="0.4"/>',
        words(0, -9.6, "pin 1", 1.9),
        *(_spoke(r, angle, f"{angle}°", 2.4) for angle in (0, 90, 180, 270)),
        _turning(6.9, 195, 300, text, "+"),
    ]
    if sense is not None:
        body += [_machine_mark(r, zero_degrees + sense * n, n) for n in (0, 90, 180, 270)]
        body.append(_turning(r + 8.2, zero_degrees + sense * 18, zero_degrees + sense * 68, 0, ""))
    return svg(body, (-29, -25, 58, 48.5), width_mm, 58 / width_mm)


def _spoke(radius: float, degrees: float, label: str, text: float) -> str:
    (x1, y1), (x2, y2) = at(radius - 1, degrees), at(radius + 1, degrees)
    inwards = 4.5 if degrees in (90, 270) else 3.4  # beside a tick there must be room for the word
    x, y = at(radius - inwards, degrees) if degrees else (-3.6, -radius - 0.2 + 2.4)
    return (
        f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" stroke="{INK}" '
        f'stroke-width="0.5"/>' + words(x, y, label, text, weight="bold")
    )


def _machine_mark(radius: float, degrees: float, shown: int) -> str:
    (x1, y1), (x2, y2) = at(radius + 0.3, degrees), at(radius + 4, degrees)
    x, y = at(radius + 5.8, degrees)
    anchor = "middle" if abs(x) < 8 else "start" if x > 0 else "end"
    return (
        f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" stroke="{INK}" '
        f'stroke-width="0.3" stroke-dasharray="1 0.6"/>' + words(x, y, f"M {shown}", 2.3, anchor)
    )


def _turning(radius: float, start: float, end: float, text: float, label: str) -> str:
    """Return an arrow along an arc, from one angle to another, either way round."""
    path = " ".join(f"{x:.2f},{y:.2f}" for x, y in (at(radius, a) for a in _steps(start, end)))
    x, y = at(radius, end)
    way = math.copysign(1.0, end - start)
    tail = [(at(radius + side, end - way * 150 / radius)) for side in (1.0, -1.0)]
    head = " ".join(f"{a:.2f},{b:.2f}" for a, b in ((x, y), *tail))
    beyond = at(radius + 0.2, end + way * 20)
    return (
        f'<polyline points="{path}" fill="none" stroke="{INK}" stroke-width="0.5"/>'
        f'<polygon points="{head}" fill="{INK}"/>'
        + (words(*beyond, label, text, weight="bold") if label else "")
    )


def _steps(start: float, end: float) -> list[float]:
    return [start + (end - start) * n / 24 for n in range(25)]


@dataclass(frozen=True)
class Bar:
    """One plane: its unbalance [g mm] first and later, what the later one is, and the limit."""

    name: str
    first_gmm: float
    later_gmm: float | None
    what: str
    limit_gmm: float


def bars_drawing(bars: Sequence[Bar], *, width_mm: float = 150) -> Drawing:
    """Return unbalance first and later as bars against the limit, one pair a plane.

    Parameters
    ----------
    bars : sequence of Bar
        What to show.
    width_mm : float [mm]
        On paper.

    Examples
    --------
    >>> bars_drawing([Bar("crank, z 0 mm", 409, 20, "expected", 48)]).svg.count("<rect")
    2
    """
    most = max([1e-9, *(max(b.first_gmm, b.later_gmm or 0.0, b.limit_gmm) for b in bars)])
    start, unit = 44.0, (width_mm - 44.0 - 34.0) / most
    body: list[str] = []
    for n, bar in enumerate(bars):
        top, limit = 1.2 + 8.8 * n, start + bar.limit_gmm * unit
        body.append(words(start - 2, top + 4, clean(bar.name, most=24), 2.4, "end"))
        pieces = [(bar.first_gmm, "first measured", PALE)]
        pieces += [] if bar.later_gmm is None else [(bar.later_gmm, bar.what, "#444")]
        for k, (gmm, what, fill) in enumerate(pieces):
            body.append(_bar(start, top + 3.6 * k, gmm * unit, fill))
            label = f"{what} {show(gmm, 'unbalance', 'g mm')}"
            body.append(_label(start + gmm * unit, limit, top + 3.6 * k, label))
        body.append(
            f'<line x1="{limit:.2f}" x2="{limit:.2f}" y1="{top - 0.8:.2f}" y2="{top + 7.6:.2f}" '
            f'stroke="{INK}" stroke-width="0.6" stroke-dasharray="1.2 0.7"/>'
        )
    return svg(body, (0, 0, width_mm, 8.8 * len(bars) + 0.8), width_mm, 1.0)


def _bar(x: float, y: float, length: float, fill: str) -> str:
    return (
        f'<rect x="{x:.2f}" y="{y:.2f}" width="{length:.2f}" height="3.2" fill="{fill}" '
        f'stroke="{INK}"/>'
    )


def _label(end: float, limit: float, y: float, text: str) -> str:
    """Return a bar's words, past its end and clear of the line of the limit."""
    clear = limit + 1 if end - 1 < limit < end + 32 else end + 1
    return words(clear, y + 1.6, text, 2.3, "start")
