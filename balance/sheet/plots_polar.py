"""Polar pictures of unbalance: plane charts, a stack part by part, a drilling cloud."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from textwrap import fill

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, finite
from balance.metal.steps import CrankCorrection, DiscCorrection
from balance.sheet.paper import (
    CRANK_NOTE,
    arrow,
    foot,
    pale_disc,
    polar_paper,
    rim_marks,
    ring,
    spot,
    where,
)
from balance.sheet.style import (
    BLUE,
    GREY,
    INK,
    PALE,
    RUST,
    amount_text,
    drawn,
    key_mark,
    new_figure,
    plain,
)
from balance.spin.planes import transfer
from balance.spin.spun import PartUnbalance
from balance.spin.tolerance import GUARD
from balance.vectors import degrees, whole_degrees

__all__ = ["polar_chart"]

Complex = NDArray[np.complex128]
Correction = CrankCorrection | DiscCorrection


@dataclass(frozen=True)
class _Plane:
    """What is drawn of one plane; ``steps``: what each slug and hole changes, ``marks``: where."""

    title: str
    before: complex
    limit: float
    guard: float
    history: tuple[complex, ...]
    marks: tuple[tuple[str, float], ...]
    steps: tuple[complex, ...]
    residual: complex | None


@dataclass(frozen=True)
class _Step:
    """One slug or hole: name, angle, what it adds there [g mm], its place; None in the plane."""

    name: str
    degrees: float
    amount_gmm: float
    z_mm: float | None

    @property
    def unbalance(self) -> complex:
        return self.amount_gmm * complex(np.exp(1j * np.radians(self.degrees)))


@drawn
def polar_chart(
    part: PartUnbalance,
    *,
    correction: Correction | None = None,
    history: Sequence[ArrayLike] = (),
) -> Figure:
    """Return the polar chart of every plane of a part; with a correction also what it leaves.

    The arrow points to the heavy spot; the pale disc is the tolerance. With a correction, thin
    arrows lead hole by hole from the heavy spot to what stays, and a close-up of the tolerance
    shows the residual inside its guard circle of 1.65 u: the verdict is "pass" when that circle
    lies wholly on the pale disc. Where no plan was found the chart says why.

    Parameters
    ----------
    part : PartUnbalance
        From :func:`balance.spin.steps.spin_job`.
    correction : CrankCorrection or DiscCorrection, optional
        What is to be done to the same part.
    history : sequence of array (planes,) complex, optional [g mm]
        Earlier spins in the same planes, oldest first.

    Raises
    ------
    InputError
        When a spin of the history has another number of planes.

    Examples
    --------
    >>> part = PartUnbalance("disc", (0.0,), np.array([300j]), np.array([5.0]), np.array([40.0]),
    ...                      "fail", 0.0, 0.0, 0)
    >>> [axes.get_title().splitlines()[0] for axes in polar_chart(part).axes]
    ['plane at z = 0 mm']

    Source: ISO 21940-2, vocabulary (heavy spot is common practice, no source); ISO 14253-1 for
    the guard; from memory.
    """
    planes = _planes(part, correction, _history(part, correction, history))
    pairs = 1 if planes[0].residual is None else 2
    rows, columns = (pairs, len(planes)) if len(planes) > 1 else (1, pairs)
    figure = new_figure(96 * max(columns, 1.3), 96 * rows + 28)
    axes = figure.subplots(rows, columns, squeeze=False).ravel()
    for ax, plane in zip(axes, planes, strict=False):
        _whole(ax, plane)
    for ax, plane in zip(axes[len(planes) :], planes, strict=False):
        _close_up(ax, plane)
    undone = correction is not None and not correction.plan.feasible
    reason = f"\n{fill(plain(correction.plan.reason), 80)}" if correction and undone else ""
    figure.suptitle(f"{plain(part.name)}{reason}")
    foot(figure, CRANK_NOTE, _key(planes), columns=min(columns, 2) + 1)
    return figure


def _history(
    part: PartUnbalance, correction: Correction | None, history: Sequence[ArrayLike]
) -> list[Complex]:
    """Return earlier spins; the reading joins them when holes were drilled since it was taken."""
    spins = [np.atleast_1d(finite("history", spin)).astype(complex) for spin in history]
    for spin in spins:
        if spin.shape != part.unbalance.shape:
            raise InputError(
                f"history must hold {len(part.unbalance)} planes a spin, got {spin.tolist()!r}"
            )
    since = correction is not None and not np.allclose(correction.before, part.unbalance)
    return [*spins, part.unbalance] if since else spins


def _planes(
    part: PartUnbalance, correction: Correction | None, history: list[Complex]
) -> list[_Plane]:
    before = part.unbalance if correction is None else np.atleast_1d(correction.before)
    planned = correction is not None and correction.plan.feasible
    left = np.atleast_1d(correction.plan.residual) if correction and planned else None
    work = [] if correction is None else _work(correction)
    steps = [step.unbalance * _shares(step, part) for step in work]
    return [
        _Plane(
            title=f"plane at z = {part.planes_mm[n]:g} mm",
            before=complex(before[n]),
            limit=float(part.permissible_gmm[n]),
            guard=GUARD * float(part.u_gmm[n]),
            history=tuple(complex(spin[n]) for spin in history),
            marks=tuple((step.name, step.degrees) for step in work),
            steps=tuple(complex(step[n]) for step in steps),
            residual=None if left is None else complex(left[n]),
        )
        for n in range(len(part.planes_mm))
    ]


def _work(correction: Correction) -> list[_Step]:
    """Return the steps of a correction, slugs first: that is the order of work."""
    if isinstance(correction, DiscCorrection):
        return [_Step(str(n), h.degrees, -h.unbalance_gmm, None) for n, h in correction.numbered]
    places = [weight.z_mm for weight in correction.counterweights]
    slugs = [
        _Step(f"S{n}", s.degrees, s.net_unbalance_gmm, places[s.counterweight])
        for n, s in correction.numbered_slugs
    ]
    holes = [
        _Step(str(n), h.degrees, -h.unbalance_gmm, places[h.counterweight])
        for n, h in correction.numbered
    ]
    return [*slugs, *holes]


def _shares(step: _Step, part: PartUnbalance) -> Complex:
    """Return how much of a step each plane feels."""
    return (
        np.ones(1, complex) if step.z_mm is None else transfer([1.0], [step.z_mm], part.planes_mm)
    )


def _whole(ax: Axes, plane: _Plane) -> None:
    """Draw the whole chart of a plane."""
    path = plane.before + np.concatenate([[0j], np.cumsum(plane.steps)])
    seen = [plane.before, *plane.history, *path]
    radius = 1.18 * max(plane.limit, *(abs(v) for v in seen))
    angles = np.exp(1j * np.radians([angle for _, angle in plane.marks]))
    polar_paper(ax, radius, "g mm", busy=[*seen, *angles])
    pale_disc(ax, plane.limit, "tolerance")
    _draw_history(ax, plane)
    _draw_steps(ax, path, radius)
    _line(ax, plane.before)
    spot(ax, plane.before, "heavy-spot", marker="D", color=RUST, markersize=7)
    if plane.residual is not None:
        spot(ax, plane.residual, "residual", marker="o", color=INK, markersize=4)
    rim_marks(ax, radius, plane.marks)
    ax.set_title(
        f"{plane.title}\nheavy spot {_polar(plane.before)}\nlimit {amount_text(plane.limit)}"
    )


def _polar(v: complex) -> str:
    return f"{amount_text(abs(v))} at {whole_degrees(degrees(v))}°"


def _draw_history(ax: Axes, plane: _Plane) -> None:
    trail = where([*plane.history, plane.before]) if plane.history else np.zeros((0, 2))
    ax.plot(*trail.T, linestyle=":", color=GREY, linewidth=1.0, zorder=2)
    for number, v in enumerate(plane.history, start=1):
        spot(ax, v, f"spin-{number}", marker="s", markerfacecolor="white", color=GREY, markersize=6)
        ax.annotate(
            str(number), where(v).tolist(), xytext=(5, 4), textcoords="offset points", fontsize=7.5
        )


def _line(ax: Axes, heavy: complex) -> None:
    """Draw the unbalance as a broad pale line, so that a thin arrow back along it stays seen."""
    ax.plot(*where([0j, heavy]).T, color="#dba48f", linewidth=4, solid_capstyle="butt", zorder=2.5)


def _draw_steps(ax: Axes, path: Complex, radius: float) -> None:
    """Draw the way from the heavy spot to what stays, hole by hole."""
    for start, end in pairwise(path):
        if abs(end - start) > 0.02 * radius:  # a shorter arrow would be all head
            arrow(ax, start, end, color=BLUE, linewidth=1.1)


def _close_up(ax: Axes, plane: _Plane) -> None:
    """Draw the neighbourhood of the tolerance with the residual and its guard circle."""
    residual = plane.residual or 0j
    radius = 1.15 * max(plane.limit, abs(residual) + plane.guard)
    polar_paper(ax, radius, "g mm", busy=[residual])
    pale_disc(ax, plane.limit, "tolerance-close-up")
    ring(
        ax, residual, plane.guard, "guard", edgecolor=INK, linewidth=1.0, linestyle="--",
        hatch="....", zorder=3,
    )  # fmt: skip
    arrow(ax, 0j, residual, color=INK, linewidth=1.2)
    spot(ax, residual, "residual-close-up", marker="o", color=INK, markersize=5)
    ax.set_title(f"close-up: stays {_polar(residual)}\nguard ± {amount_text(plane.guard)}")


def _key(planes: Sequence[_Plane]) -> list[Artist]:
    """Return the key of the marks that the chart has."""
    done = any(plane.residual is not None for plane in planes)
    marks: list[tuple[bool, Artist]] = [
        (True, key_mark("heavy spot", marker="D", color=RUST)),
        (True, Patch(facecolor=PALE, edgecolor=INK, linewidth=1.4, label="within the limit")),
        (
            any(plane.history for plane in planes),
            key_mark("earlier spins", marker="s", color=GREY, markerfacecolor="white"),
        ),
        (
            any(plane.marks for plane in planes),
            key_mark("hole or slug S", marker="o", color=BLUE, markerfacecolor="white"),
        ),
        (
            any(plane.steps for plane in planes),
            Line2D(
                [], [], color=BLUE, linewidth=1.1, marker=5,
                label="what each hole or slug does",
            ),
        ),
        (done, key_mark("what stays", marker="o", color=INK)),
        (
            done,
            Patch(facecolor="white", edgecolor=INK, linestyle="--", hatch="....",
                  label=f"{GUARD:g} u about it"),
        ),
    ]  # fmt: skip
    return [artist for seen, artist in marks if seen]
