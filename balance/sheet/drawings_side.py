"""The crank from the side, nose to flywheel: journals, crankpins, counterweights, planes."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from balance.errors import InputError
from balance.sheet.blocks import clean
from balance.sheet.svg import GREY, INK, PALE, Drawing, dash, svg, words

__all__ = ["SidePin", "SideWeight", "side_drawing"]

_REACH = 8.0  # from the axis to the rim of the largest counterweight [mm on paper]
_TEXT = 2.4  # [mm on paper]
_APART = 42.0  # machine planes nearer than this have their names one above the other [mm on paper]


@dataclass(frozen=True)
class SideWeight:
    """A counterweight from the side, and the ``work`` that it gets: the numbers of its holes."""

    mark: str
    z_mm: float
    width_mm: float
    radius_mm: float
    centre_degrees: float
    half_span_degrees: float
    work: tuple[str, ...] = ()


@dataclass(frozen=True)
class SidePin:
    """A crankpin from the side."""

    name: str
    z_mm: float
    degrees: float
    radius_mm: float


def side_drawing(
    bearings_mm: Sequence[float],
    weights: Sequence[SideWeight],
    pins: Sequence[SidePin] = (),
    planes: Sequence[tuple[str, float]] = (),
    parts: Sequence[tuple[str, float]] = (),
    *,
    width_mm: float = 100,
) -> Drawing:
    """Return the crank from the side with crankpin 1 up, to scale along z.

    Heights are to a scale of their own. Journals and cheeks are a sketch: nobody measured them.

    Parameters
    ----------
    bearings_mm : sequence of float [mm]
        Places of the bearings.
    weights : sequence of SideWeight
        The counterweights, seen as far as they reach up and down.
    pins : sequence of SidePin
        The crankpins; a name stands above each.
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
    >>> view = side_drawing([0, 270], [SideWeight("W1", 32, 15, 80, 180, 60)])
    >>> view.svg.count('class="counterweight"')
    1
    """
    low, high = _ends(bearings_mm, weights, pins, planes, parts)
    unit = (high - low) / (width_mm - 16)
    low, high = low - 8 * unit, high + 8 * unit
    tall = max([1.0, *(weight.radius_mm for weight in weights), *(pin.radius_mm for pin in pins)])
    up = _REACH * unit / tall
    body = [
        *_shaft(low, high, pins, unit, up),
        *(_weight(weight, unit, up) for weight in weights),
        *(piece for pin in pins for piece in _pin(pin, _half(pins, bearings_mm), unit, up)),
        *(_support(z, unit) for z in bearings_mm),
        *_planes(planes, unit),
        *_parts(parts, unit),
        *(_plate(pin.z_mm, -11.0, clean(pin.name, most=12), unit) for pin in pins),
        *_labels(weights, unit),
    ]
    below = 16.7 + 4.3 * max([0, *(len(weight.work) for weight in weights)])
    body.append(words(low, below * unit, "nose", _TEXT * unit, "start"))
    body.append(words(high, below * unit, "z grows → flywheel", _TEXT * unit, "end"))
    top = 20.2 if _crowded(planes, unit) else 17.4
    box = (low, -top * unit, high - low, (below + top + 2.2) * unit)
    return svg(body, box, width_mm, unit)


def _ends(
    bearings_mm: Sequence[float],
    weights: Sequence[SideWeight],
    pins: Sequence[SidePin],
    planes: Sequence[tuple[str, float]],
    parts: Sequence[tuple[str, float]],
) -> tuple[float, float]:
    places = [*bearings_mm, *(z for _, z in planes), *(z for _, z in parts)]
    places += [pin.z_mm for pin in pins]
    places += [weight.z_mm + side * weight.width_mm / 2 for weight in weights for side in (-1, 1)]
    if len(places) < 2 or max(places) <= min(places):
        raise InputError("bearings_mm must hold two different places along the crank")
    return min(places), max(places)


def _half(pins: Sequence[SidePin], bearings_mm: Sequence[float]) -> float:
    """Return half the length of a sketched throw: pins and their cheeks must not run together."""
    places = sorted({pin.z_mm for pin in pins})
    gaps = [b - a for a, b in pairwise(places)]
    whole = max(bearings_mm) - min(bearings_mm) if bearings_mm else 0.0
    return min([0.3 * gap for gap in gaps] or [0.12 * (whole or 100.0)])


def _shaft(
    low: float, high: float, pins: Sequence[SidePin], unit: float, up: float
) -> Iterator[str]:
    """Yield the journals on the axis, with a gap where a crankpin stands off it, and the axis."""
    yield (
        f'<line x1="{low:.2f}" x2="{high:.2f}" y1="0" y2="0" stroke="{GREY}" '
        f'stroke-dasharray="{dash(unit, 3, 0.8, 0.5, 0.8)}"/>'
    )
    half, start = _half(pins, (low, high)), low + 3 * unit
    journal = (-1.3 * unit, 1.3 * unit)
    for pin in sorted(pins, key=lambda pin: pin.z_mm):
        if abs(_height(pin, up)) < 1.2 * unit:
            continue
        yield _box((start, pin.z_mm - 1.15 * half), journal, unit, "main")
        start = pin.z_mm + 1.15 * half
    yield _box((start, high - 3 * unit), journal, unit, "main")


def _height(pin: SidePin, up: float) -> float:
    """Return how far above the axis a crankpin stands in this view."""
    return pin.radius_mm * math.cos(math.radians(pin.degrees)) * up


def _pin(pin: SidePin, half: float, unit: float, up: float) -> Iterator[str]:
    """Yield a crankpin between its two cheeks."""
    y, thick = -_height(pin, up), 1.3 * unit
    for side in (-1, 1):
        left, right = sorted((pin.z_mm + side * half, pin.z_mm + side * 1.3 * half))
        yield _box((left, right), (min(y, 0) - thick, max(y, 0) + thick), unit, "cheek")
    yield _box((pin.z_mm - half, pin.z_mm + half), (y - thick, y + thick), unit, "pin")


def _plate(z: float, y: float, text: str, unit: float) -> str:
    """Return words that cover a line behind them."""
    wide = 0.64 * _TEXT * len(text) * unit
    return (
        f'<rect x="{z - wide / 2:.2f}" y="{(y - 1.4) * unit:.2f}" width="{wide:.2f}" '
        f'height="{2.8 * unit:.2f}" fill="#fff" stroke="none"/>'
        + words(z, y * unit, text, _TEXT * unit)
    )


def _weight(weight: SideWeight, unit: float, up: float) -> str:
    """Return a counterweight as high and as deep as its sector reaches from the axis."""
    first = weight.centre_degrees - weight.half_span_degrees
    angles = [first + 2 * weight.half_span_degrees * n / 60 for n in range(61)]
    reach = [math.cos(math.radians(a)) * weight.radius_mm * up for a in angles]
    top, bottom = -max(0.0, *reach), -min(0.0, *reach)
    left, right = weight.z_mm - weight.width_mm / 2, weight.z_mm + weight.width_mm / 2
    return _box(
        (left, right), (top, bottom), unit, "counterweight", "#bbb" if weight.work else PALE
    )


def _box(
    along: tuple[float, float],
    height: tuple[float, float],
    unit: float,
    kind: str,
    fill: str = "#fff",
) -> str:
    (left, right), (top, bottom) = along, height
    if right <= left:
        return ""
    return (
        f'<rect class="{kind}" x="{left:.2f}" y="{top:.2f}" width="{right - left:.2f}" '
        f'height="{bottom - top:.2f}" fill="{fill}" stroke="{INK}" '
        f'stroke-width="{0.3 * unit:.3f}"/>'
    )


def _labels(weights: Sequence[SideWeight], unit: float) -> Iterator[str]:
    """Yield the marks under the counterweights in two rows, bold with their work below."""
    order = sorted(weights, key=lambda weight: weight.z_mm)
    for n, weight in enumerate(order):
        y, text = (10.8 + 2.8 * (n % 2)) * unit, _TEXT * unit
        mark = clean(weight.mark, most=8)
        yield words(weight.z_mm, y, mark, text, weight="bold" if weight.work else "normal")
        for row, name in enumerate(weight.work):
            y = (17.7 + 4.3 * row) * unit
            yield (
                f'<circle cx="{weight.z_mm:.2f}" cy="{y:.2f}" r="{2.1 * unit:.2f}" fill="#fff" '
                f'stroke="{INK}"/>'
            )
            yield words(weight.z_mm, y, name, text, weight="bold")


def _crowded(planes: Sequence[tuple[str, float]], unit: float) -> bool:
    """Return whether the names of the machine's planes would run into each other."""
    return len(planes) > 1 and abs(planes[0][1] - planes[1][1]) < _APART * unit


def _planes(planes: Sequence[tuple[str, float]], unit: float) -> Iterator[str]:
    near = _crowded(planes, unit)
    for n, (name, z) in enumerate(planes):
        yield _cut(z, 9.0 * unit, unit, "2 1")
        y = (-15.0 - 2.8 * (near and n % 2)) * unit
        yield words(z, y, f"machine: {clean(name, most=16)}", _TEXT * unit)


def _parts(parts: Sequence[tuple[str, float]], unit: float) -> Iterator[str]:
    for n, (name, z) in enumerate(parts):
        yield _cut(z, 7 * unit, unit, "")
        yield words(z, (-8.5 - 2.8 * (n % 2)) * unit, clean(name, most=18), _TEXT * unit, "end")


def _support(z: float, unit: float) -> str:
    path = f"M{z:.2f} {1.3 * unit:.2f}l{2 * unit:.2f} {3.6 * unit:.2f}h{-4 * unit:.2f}z"
    return f'<path d="{path}" fill="#fff" stroke="{INK}" stroke-width="{0.35 * unit:.3f}"/>'


def _cut(z: float, reach: float, unit: float, dashes: str) -> str:
    pattern = " ".join(f"{float(n) * unit:.2f}" for n in dashes.split())
    dashed = f' stroke-dasharray="{pattern}"' if pattern else ""
    top = -13.2 * unit if dashes else -reach
    return (
        f'<line x1="{z:.2f}" x2="{z:.2f}" y1="{top:.2f}" y2="{reach:.2f}" stroke="{INK}" '
        f'stroke-width="{0.45 * unit:.3f}"{dashed}/>'
    )
