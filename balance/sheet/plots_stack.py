"""A stack part by part in the bearing planes, and a cloud of drilled results against the limit."""

from collections.abc import Sequence
from textwrap import shorten

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, finite, positive
from balance.sheet.paper import CRANK_NOTE, arrow, badge, foot, pale_disc, polar_paper, spot, where
from balance.sheet.style import (
    BLUE,
    INK,
    PALE,
    RUST,
    amount_text,
    drawn,
    key_mark,
    new_figure,
    plain,
)
from balance.spin.spun import Spun, StackReading
from balance.vectors import degrees, whole_degrees

__all__ = ["drilling_cloud", "stack_vectors"]

Complex = NDArray[np.complex128]


@drawn
def stack_vectors(spun: Spun) -> Figure:
    """Return how a stack grows part by part, in the two bearing planes.

    The arrow to a number is what the part of that number adds; the line from the middle to it is
    what the machine saw of the stack up to that part. The pale disc is the limit of the whole
    assembly.

    Parameters
    ----------
    spun : Spun
        From :func:`balance.spin.steps.spin_job`.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.spin.steps import spin_job
    >>> figure = stack_vectors(spin_job(read_job(files("cli.examples") / "flat-four.toml")))
    >>> figure.axes[1].get_title().splitlines()[1]
    '1: crank adds 288 g mm at 185°'

    Source: differences of spins of one set-up, as in :func:`balance.spin.steps.spin_job`.
    """
    figure = new_figure(192, 113 + 4 * len(spun.stacks))
    for plane, ax in enumerate(figure.subplots(1, 2)):
        _stack(ax, spun, plane)
    key: list[Artist] = [
        key_mark("a part, numbered as above", marker="o", color=BLUE, markerfacecolor="white"),
        Line2D([], [], color=BLUE, marker=5, linewidth=1.4, label="what the part adds"),
        Line2D([], [], color=INK, linestyle=":", label="the stack so far"),
        Patch(facecolor=PALE, edgecolor=INK, label="limit of the assembly"),
    ]
    figure.suptitle("the stack, part by part")
    foot(figure, CRANK_NOTE, key, columns=2)
    return figure


def _below(spun: Spun, stack: StackReading, plane: int) -> complex:
    """Return the vector of the stack that a stack stands on, zero for the first part."""
    found = [other for other in spun.stacks if other.on == stack.on[:-1]]
    return complex(found[0].unbalance[plane]) if found else 0j


def _stack(ax: Axes, spun: Spun, plane: int) -> None:
    ends = [complex(stack.unbalance[plane]) for stack in spun.stacks]
    limit = float(spun.total_permissible_gmm[plane])
    radius = 1.2 * max(limit, *(abs(end) for end in ends))
    polar_paper(ax, radius, "g mm", busy=ends)
    pale_disc(ax, limit, "tolerance")
    lines = [f"plane at z = {spun.bearings_mm[plane]:g} mm"]
    for number, (stack, end) in enumerate(zip(spun.stacks, ends, strict=True), start=1):
        start = _below(spun, stack, plane)
        ax.plot(*where([0j, end]).T, color=INK, linestyle=":", linewidth=1.0, zorder=2.5)
        arrow(ax, start, end, color=BLUE, linewidth=1.6)
        spot(ax, end, f"stack-{number}", marker=".", color=BLUE, markersize=5)
        added = end - start
        badge(ax, end + 0.09 * radius * np.exp(1j * np.angle(added)), str(number), f"name-{number}")
        name = shorten(plain(stack.on[-1]), 24, placeholder=" …")
        lines.append(
            f"{number}: {name} adds {amount_text(abs(added))} at {whole_degrees(degrees(added))}°"
        )
    ax.set_title("\n".join(lines))


@drawn
def drilling_cloud(
    residual_gmm: ArrayLike,
    *,
    limit_gmm: ArrayLike,
    planned_gmm: ArrayLike | None = None,
    plane_names: Sequence[str] | None = None,
) -> Figure:
    """Return where many trial drillings of one plan end, plane by plane, against the limit.

    Dots are trials that end within the limit of that plane, crosses those that end outside.

    Parameters
    ----------
    residual_gmm : array (trials,) or (trials, planes), complex [g mm]
        Residuals of the trials.
    limit_gmm : float or array (planes,) [g mm]
        Permissible residual in each plane.
    planned_gmm : complex or array (planes,), optional [g mm]
        What the plan leaves when every hole comes out as drawn.
    plane_names : sequence of str, optional
        Names of the planes.

    Raises
    ------
    InputError
        When nothing is to be drawn or the numbers of planes do not fit.

    Examples
    --------
    >>> figure = drilling_cloud([3 + 4j, 40], limit_gmm=10)
    >>> figure.axes[0].get_title().splitlines()
    ['plane 1, limit 10.0 g mm', '1 of 2 end within it']

    Source: drawing only; the trials are the caller's.
    """
    cloud, limits, planned = _cloud(residual_gmm, limit_gmm, planned_gmm)
    number = cloud.shape[1]
    names = list(plane_names or [f"plane {n + 1}" for n in range(number)])
    if len(names) != number:
        raise InputError(f"plane_names must hold {number} names, got {plane_names!r}")
    figure = new_figure(96 * max(number, 1.3), 124)
    for n, ax in enumerate(figure.subplots(1, number, squeeze=False).ravel()):
        _trials(ax, cloud[:, n], float(limits[n]), planned[n])
        inside = int(np.sum(np.abs(cloud[:, n]) <= limits[n]))
        ax.set_title(
            f"{plain(names[n])}, limit {amount_text(float(limits[n]))}\n"
            f"{inside} of {len(cloud)} end within it"
        )
    figure.suptitle("trial drillings of the plan")
    foot(figure, CRANK_NOTE, _cloud_key(planned_gmm is not None), columns=2)
    return figure


def _cloud(
    residual: ArrayLike, limit: ArrayLike, planned: ArrayLike | None
) -> tuple[Complex, NDArray[np.float64], list[complex | None]]:
    """Check the arrays and return the trials (trials, planes), a limit and a plan a plane."""
    cloud = finite("residual_gmm", residual).astype(complex)
    if cloud.ndim == 1:
        cloud = cloud[:, None]
    if cloud.ndim != 2 or not cloud.size:
        raise InputError(
            f"residual_gmm must hold trials by planes and at least one, got shape {cloud.shape}"
        )
    planes = cloud.shape[1]
    limits = np.atleast_1d(positive("limit_gmm", limit))
    if limits.shape not in ((1,), (planes,)):
        raise InputError(f"limit_gmm must hold one limit or {planes}, got {limit!r}")
    limits = np.broadcast_to(limits, (planes,))
    if planned is None:
        return cloud, limits, [None] * planes
    left = np.atleast_1d(finite("planned_gmm", planned)).astype(complex)
    if left.shape != (planes,):
        raise InputError(f"planned_gmm must hold {planes} values, one a plane, got {planned!r}")
    return cloud, limits, [complex(v) for v in left]


def _trials(ax: Axes, ends: Complex, limit: float, planned: complex | None) -> None:
    radius = 1.1 * max(limit, float(np.abs(ends).max()))
    polar_paper(ax, radius, "g mm", busy=ends[:200])
    pale_disc(ax, limit, "tolerance")
    inside = np.abs(ends) <= limit
    dense = min(1.0, 6.0 / np.sqrt(len(ends)) + 0.1)
    for chosen, marker, colour, gid in (
        (inside, ".", INK, "inside"),
        (~inside, "x", RUST, "outside"),
    ):
        ax.plot(
            *where(ends[chosen]).T, linestyle="none", marker=marker, color=colour, markersize=4,
            alpha=dense if gid == "inside" else 0.8, zorder=3, gid=gid,
        )  # fmt: skip
    if planned is not None:
        spot(
            ax, planned, "planned", marker="D", markersize=8, markerfacecolor="white",
            markeredgecolor=BLUE, markeredgewidth=1.8, zorder=6,
        )  # fmt: skip


def _cloud_key(planned: bool) -> list[Artist]:
    key: list[Artist] = [
        key_mark("ends within the limit", marker=".", color=INK),
        key_mark("ends outside", marker="x", color=RUST),
        Patch(facecolor=PALE, edgecolor=INK, label="limit"),
    ]
    if planned:
        key.append(key_mark("as drawn", marker="D", color=BLUE, markerfacecolor="white"))
    return key
