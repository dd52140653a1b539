"""Drawings for the papers, to scale, as SVG text: black on white, readable without colour.

Every view of angles is seen from the flywheel end with crankpin 1 at the top; degrees count
counter-clockwise. Inside a drawing one unit is one millimetre of the part.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

from balance.errors import InputError
from balance.metal.shapes import tip_depth_mm
from balance.sheet.blocks import clean
from balance.vectors import fold

__all__ = ["DrawnHole", "Drawing", "angle_drawing", "disc_view", "end_view", "side_view"]

SCALES = (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50)
INK, GREY, PALE = "#000", "#777", "#ececec"


@dataclass(frozen=True)
class Drawing:
    """An SVG text, its width on paper [mm] and its scale, one to ``scale``."""

    svg: str
    width_mm: float
    scale: float


@dataclass(frozen=True)
class DrawnHole:
    """A hole as it is drawn; an old hole has no ``label``."""

    label: str
    degrees: float
    diameter_mm: float
    depth_mm: float
    point_degrees: float = 118.0


@dataclass(frozen=True)
class Sector:
    """What can be seen of a counterweight from the end."""

    radius_mm: float
    centre_degrees: float
    half_span_degrees: float
    max_depth_mm: float


def end_view(
    sector: Sector,
    holes: Sequence[DrawnHole],
    slugs: Sequence[tuple[str, float, float, float]] = (),
    *,
    scale: float,
) -> Drawing:
    """Return a counterweight seen from the flywheel end, with its holes in true depth and shape.

    Parameters
    ----------
    sector : Sector
        The counterweight.
    holes : sequence of DrawnHole
        Those with a label are to be drilled, the others are there already (dashed).
    slugs : sequence of (label, degrees, radius [mm], diameter [mm])
        Heavy-metal slugs parallel to the crank.
    scale : float
        One to how many.

    Examples
    --------
    >>> view = end_view(Sector(80, 180, 60, 30), [DrawnHole("1", 190, 12, 20)], scale=2)
    >>> view.svg[:4], view.width_mm
    ('<svg', 87.28203230275508)

    Source: geometry of a drilled rim.
    """
    r, text = sector.radius_mm, 2.7 * scale
    start = sector.centre_degrees - sector.half_span_degrees
    end = sector.centre_degrees + sector.half_span_degrees
    body = [
        _wedge(r, start, end),
        _arc(r - sector.max_depth_mm, start, end, 'stroke-dasharray="1.2 2.4"', GREY),
        _arc(r, start, end, f'stroke-width="{0.55 * scale:g}"'),
        *_middle(0.42 * r, text),
        _tick(r, sector.centre_degrees, text),
        *(_radial(hole, r, text) for hole in holes),
        *(_round(label, at, on, size, text) for label, at, on, size in slugs),
    ]
    shown = [_at(r, a) for a in _spread(start, end)] + [(0.0, -0.42 * r)]
    return _framed(body, shown, scale, margin=7.0 * scale)


def disc_view(
    circle_mm: float, holes: Sequence[DrawnHole], keep_clear: Sequence[tuple[float, float]] = (),
    *, scale: float,
) -> Drawing:  # fmt: skip
    """Return a flywheel or clutch cover seen from the flywheel end: its hole circle and holes.

    Parameters
    ----------
    circle_mm : float [mm]
        Radius of the circle on which it may be drilled along the crank.
    holes : sequence of DrawnHole
        As for :func:`end_view`; they run along the crank and show as circles.
    keep_clear : sequence of (from, to) [degree]
        Arcs that must not be drilled.
    scale : float
        One to how many.

    Examples
    --------
    >>> disc_view(100, [DrawnHole("1", 64, 8, 6)], scale=5).width_mm
    60.0
    """
    text = 2.7 * scale
    body = [
        f'<circle r="{circle_mm:g}" fill="none" stroke-dasharray="9 3 2 3" stroke="{GREY}"/>',
        *(_arc(circle_mm, a, a + _sweep(a, b), f'stroke-width="{1.4 * scale:g}"')
          for a, b in keep_clear),
        *_middle(0.55 * circle_mm, text),
        _tick(circle_mm, 0.0, text),
        *(_round(h.label, h.degrees, circle_mm, h.diameter_mm, text) for h in holes),
    ]  # fmt: skip
    shown = [(circle_mm * x, circle_mm * y) for x, y in ((1, 1), (-1, -1))]
    return _framed(body, shown, scale, margin=7.0 * scale)


def angle_drawing(sense: int | None, zero_degrees: float = 0.0, *, width_mm: float = 62) -> Drawing:
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
        _words(0, -9.6, "pin 1", 1.9),
        *(_spoke(r, angle, f"{angle}°", text) for angle in (0, 90, 180, 270)),
        _turning(8.0, 195, 300, text, "+"),
    ]
    if sense is not None:
        body += [_machine_mark(r, zero_degrees + sense * n, n) for n in (0, 90, 180, 270)]
        body.append(_turning(r + 8.2, zero_degrees + sense * 18, zero_degrees + sense * 68, 0, ""))
    half = width_mm / 2
    return _svg(body, (-half, -26.5, width_mm, 53), width_mm, 1.0)


def side_view(
    bearings_mm: Sequence[float],
    webs: Sequence[tuple[str, float, float]],
    planes: Sequence[tuple[str, float]] = (),
    parts: Sequence[tuple[str, float]] = (),
    *,
    width_mm: float = 100,
) -> Drawing:
    """Return the crank from the side, lengths to scale: bearings, counterweights, planes.

    Parameters
    ----------
    bearings_mm : sequence of float [mm]
        Places of the bearings.
    webs : sequence of (mark, z [mm], width [mm])
        The counterweights.
    planes : sequence of (name, z [mm])
        Where the machine measures.
    parts : sequence of (name, z [mm])
        What is bolted on.
    width_mm : float [mm]
        On paper.

    Raises
    ------
    InputError
        When nothing has a length along the crank.

    Examples
    --------
    >>> side_view([0, 270], [("W1", 32, 15)]).svg.count("<rect")
    1
    """
    ends = [*bearings_mm, *(z for _, z in planes), *(z for _, z in parts)]
    ends += [edge for _, z, wide in webs for edge in (z - wide / 2, z + wide / 2)]
    if len(ends) < 2 or max(ends) <= min(ends):
        raise InputError("bearings_mm must hold two different places along the crank")
    unit = (max(ends) - min(ends)) / (width_mm - 16)
    low, high, text = min(ends) - 8 * unit, max(ends) + 8 * unit, 2.3 * unit
    line = f'stroke="{INK}" stroke-width="{0.35 * unit:.3f}"'
    body = [f'<line x1="{low:.2f}" x2="{high:.2f}" y1="0" y2="0" {line}/>']
    body += [_support(z, unit, line) for z in bearings_mm]
    body += _webs(webs, unit, text, line)
    for n, (name, z) in enumerate(planes):
        body.append(_cut(z, -14 * unit, 12 * unit, unit))
        body.append(
            _words(z, (-15.5 - 2.8 * (n % 2)) * unit, f"machine: {clean(name, most=16)}", text)
        )
    for n, (name, z) in enumerate(parts):
        body.append(_cut(z, -7 * unit, 7 * unit, unit, dash=""))
        body.append(_words(z, (-8.5 - 2.8 * (n % 2)) * unit, clean(name, most=18), text, "end"))
    body.append(_words(low, 13 * unit, "nose", text, "start"))
    body.append(_words(high, 13 * unit, "z grows → flywheel", text, "end"))
    box = (low, -20 * unit, high - low, 35 * unit)
    return _svg(body, box, width_mm, unit)


def _webs(
    webs: Sequence[tuple[str, float, float]], unit: float, text: float, line: str
) -> Iterable[str]:
    for n, (mark, z, wide) in enumerate(webs):
        yield (
            f'<rect x="{z - wide / 2:.2f}" y="{-5 * unit:.2f}" width="{wide:.2f}" '
            f'height="{10 * unit:.2f}" fill="{PALE}" {line}/>'
        )
        yield _words(z, (7.2 + 2.6 * (n % 2)) * unit, clean(mark, most=8), text)


def common_scale(widest_mm: float, room_mm: float) -> float:
    """Return the largest of the usual scales at which a width fits its room.

    Examples
    --------
    >>> common_scale(160, 84)
    2
    """
    return next((s for s in SCALES if widest_mm / s <= room_mm), SCALES[-1])


def _at(radius: float, degrees: float) -> tuple[float, float]:
    """Return the place in the drawing: 0 degrees up, counter-clockwise, SVG's y runs down."""
    turn = math.radians(degrees)
    return -radius * math.sin(turn), -radius * math.cos(turn)


def _sweep(start: float, end: float) -> float:
    return float(fold(end - start))


def _spread(start: float, end: float) -> list[float]:
    steps = max(2, math.ceil((end - start) / 5))
    return [start + (end - start) * n / steps for n in range(steps + 1)]


def _arc(radius: float, start: float, end: float, look: str, colour: str = INK) -> str:
    """Return an arc from one angle counter-clockwise to another, as short straight pieces."""
    points = " ".join(f"{x:.2f},{y:.2f}" for x, y in (_at(radius, a) for a in _spread(start, end)))
    return f'<polyline points="{points}" fill="none" stroke="{colour}" {look}/>'


def _wedge(radius: float, start: float, end: float) -> str:
    points = [_at(radius, a) for a in _spread(start, end)]
    whole = end - start >= 360
    path = " ".join(f"{x:.2f},{y:.2f}" for x, y in (points if whole else [(0.0, 0.0), *points]))
    return f'<polygon points="{path}" fill="{PALE}" stroke="{GREY}"/>'


def _middle(reach: float, text: float) -> list[str]:
    """Return the crank's centre and the way to crankpin 1."""
    arm, head = 0.8 * text, 0.45 * text
    return [
        f'<path d="M{-arm:.2f} 0H{arm:.2f}M0 {arm:.2f}V{-reach:.2f}" fill="none" stroke="{INK}"/>',
        f'<path d="M0 {-reach:.2f}l{head / 2:.2f} {head:.2f}h{-head:.2f}z" fill="{INK}"/>',
        _words(0.5 * text, -reach + 0.9 * text, "0° pin 1", text, "start"),
    ]


def _tick(radius: float, degrees: float, text: float) -> str:
    """Return a mark across the rim where the tape is held."""
    (x1, y1), (x2, y2) = _at(radius - 0.7 * text, degrees), _at(radius + 0.9 * text, degrees)
    return (
        f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" stroke="{INK}" '
        f'stroke-width="{0.18 * text:.2f}"/>'
    )


def _radial(hole: DrawnHole, radius: float, text: float) -> str:
    """Return a radial hole: straight walls from the rim to full depth, then the drill's point."""
    a = hole.diameter_mm / 2
    mouth = math.sqrt(radius * radius - a * a)
    floor = radius - hole.depth_mm
    tip = radius - float(
        tip_depth_mm(hole.depth_mm, hole.diameter_mm, point_degrees=hole.point_degrees)
    )
    corners = [(mouth, -a), (floor, -a), (tip, 0.0), (floor, a), (mouth, a)]
    path = " ".join(f"{x:.2f},{y:.2f}" for x, y in (_beside(hole.degrees, *c) for c in corners))
    new = 'fill="#fff"' if hole.label else 'fill="none" stroke-dasharray="3 2"'
    shape = f'<polygon points="{path}" {new} stroke="{INK}" stroke-width="{0.14 * text:.2f}"/>'
    if not hole.label:
        return shape
    x1, y1 = _at(radius + 0.5 * text, hole.degrees)
    x2, y2 = _at(tip - 0.8 * text, hole.degrees)
    line = (
        f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" stroke="{GREY}" '
        f'stroke-dasharray="6 2 1 2"/>'
    )
    return shape + line + _badge(radius + 1.6 * text, hole.degrees, hole.label, text)


def _beside(degrees: float, along: float, across: float) -> tuple[float, float]:
    """Return a point given along and across a radial axis."""
    x, y = _at(along, degrees)
    dx, dy = _at(across, degrees + 90)
    return x + dx, y + dy


def _round(label: str, degrees: float, on_mm: float, diameter_mm: float, text: float) -> str:
    """Return a hole or slug along the crank: a circle, with its number outside."""
    x, y = _at(on_mm, degrees)
    dash = "" if label else ' stroke-dasharray="3 2"'
    shape = (
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{diameter_mm / 2:g}" fill="#fff" stroke="{INK}" '
        f'stroke-width="{0.14 * text:.2f}"{dash}/>'
    )
    away = on_mm + diameter_mm / 2 + 1.5 * text
    return shape + (_badge(away, degrees, label, text) if label else "")


def _badge(radius: float, degrees: float, label: str, text: float) -> str:
    x, y = _at(radius, degrees)
    return (
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{0.85 * text:.2f}" fill="#fff" stroke="{INK}"/>'
        + _words(x, y, label, text, weight="bold")
    )


def _words(
    x: float, y: float, text: str, size: float, anchor: str = "middle", *, weight: str = "normal"
) -> str:
    """Return a text whose middle line stands at ``y``."""
    return (
        f'<text x="{x:.2f}" y="{y + 0.36 * size:.2f}" font-size="{size:.2f}" '
        f'text-anchor="{anchor}" font-weight="{weight}">{escape(text)}</text>'
    )


def _spoke(radius: float, degrees: float, label: str, text: float) -> str:
    (x1, y1), (x2, y2) = _at(radius - 1, degrees), _at(radius + 1, degrees)
    x, y = _at(radius - 3.4, degrees) if degrees else (-3.6, -radius - 0.2 + 2.4)
    return (
        f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" stroke="{INK}" '
        f'stroke-width="0.5"/>' + _words(x, y, label, text, weight="bold")
    )


def _machine_mark(radius: float, degrees: float, shown: int) -> str:
    (x1, y1), (x2, y2) = _at(radius + 0.3, degrees), _at(radius + 4, degrees)
    x, y = _at(radius + 6.2, degrees)
    anchor = "middle" if abs(x) < 8 else "start" if x > 0 else "end"
    return (
        f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" stroke="{INK}" '
        f'stroke-width="0.3" stroke-dasharray="1 0.6"/>' + _words(x, y, f"M {shown}", 2.3, anchor)
    )


def _turning(radius: float, start: float, end: float, text: float, label: str) -> str:
    """Return an arrow along an arc, from one angle to another, either way round."""
    path = " ".join(f"{x:.2f},{y:.2f}" for x, y in (_at(radius, a) for a in _steps(start, end)))
    x, y = _at(radius, end)
    way = math.copysign(1.0, end - start)
    tail = [(_at(radius + side, end - way * 150 / radius)) for side in (1.0, -1.0)]
    head = " ".join(f"{a:.2f},{b:.2f}" for a, b in ((x, y), *tail))
    at = _at(radius + 0.2, end + way * 20)
    return (
        f'<polyline points="{path}" fill="none" stroke="{INK}" stroke-width="0.5"/>'
        f'<polygon points="{head}" fill="{INK}"/>'
        + (_words(*at, label, text, weight="bold") if label else "")
    )


def _steps(start: float, end: float) -> list[float]:
    return [start + (end - start) * n / 24 for n in range(25)]


def _support(z: float, unit: float, line: str) -> str:
    return f'<path d="M{z:.2f} 0l{2 * unit:.2f} {3.6 * unit:.2f}h{-4 * unit:.2f}z" fill="#fff" {line}/>'


def _cut(z: float, top: float, bottom: float, unit: float, dash: str = "2 1") -> str:
    pattern = " ".join(f"{float(n) * unit:.2f}" for n in dash.split())
    dashed = f' stroke-dasharray="{pattern}"' if pattern else ""
    return (
        f'<line x1="{z:.2f}" x2="{z:.2f}" y1="{top:.2f}" y2="{bottom:.2f}" stroke="{INK}" '
        f'stroke-width="{0.45 * unit:.3f}"{dashed}/>'
    )


def _framed(
    body: Iterable[str], shown: Sequence[tuple[float, float]], scale: float, *, margin: float
) -> Drawing:
    """Return a drawing that shows some points with room around them, to scale."""
    xs, ys = [x for x, _ in shown] + [0.0], [y for _, y in shown] + [0.0]
    left, top = min(xs) - margin, min(ys) - margin
    width, height = max(xs) - min(xs) + 2 * margin, max(ys) - min(ys) + 2 * margin
    return _svg(body, (left, top, width, height), width / scale, scale)


def _svg(
    body: Iterable[str], box: tuple[float, float, float, float], width_mm: float, scale: float
) -> Drawing:
    left, top, width, height = box
    view = f"{left:.2f} {top:.2f} {width:.2f} {height:.2f}"
    size = f'width="{width_mm:.2f}mm" height="{width_mm * height / width:.2f}mm"'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view}" {size} '
    font = 'font-family="DejaVu Sans, sans-serif" fill="#000">'
    return Drawing(head + font + "".join(body) + "</svg>", width_mm, scale)
