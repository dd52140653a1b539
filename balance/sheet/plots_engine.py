"""Pictures of what the engine shakes: ellipses against the factor, polar loci, force and speed."""

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray

from balance.engine.factors import ShakeEllipse
from balance.engine.loci import Ellipse, Locus, locus
from balance.engine.shaking import Shaking
from balance.engine.steps import Shook
from balance.sheet.paper import ENGINE_NOTE, foot, polar_paper, spot, where
from balance.sheet.style import BLUE, INK, LINES, RUST, digits, drawn, key_mark, new_figure
from balance.vectors import fold

__all__ = ["force_against_speed", "shake_ellipse_plot"]

Complex = NDArray[np.complex128]

_NONE = 1e-6  # half axis, in shares of one cylinder's force, that no picture shows
_LEAST = 0.05  # N or N m: less would print as 0.0


@drawn
def shake_ellipse_plot(shook: Shook) -> Figure:
    """Return the order-1 ellipses for a row of factors, and the polar loci of the whole shake.

    An ellipse is drawn in shares of one cylinder's ``m r w^2`` (couples: times bore spacing), the
    job's own factor heavier. A locus is what the engine pushes in its mounts over one turn, all
    orders together, at the speed of the job.

    Parameters
    ----------
    shook : Shook
        From :func:`balance.engine.steps.shake_job`.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.engine.steps import bobweight_job, shake_job
    >>> from balance.job.load import read_job
    >>> from balance.parts.steps import match_job
    >>> job = read_job(files("cli.examples") / "v-twin.toml")
    >>> figure = shake_ellipse_plot(shake_job(job, bobweight_job(job, match_job(job))))
    >>> figure.axes[0].get_title().splitlines()[0]
    'order 1 force, by factor'

    Source: as for :func:`balance.engine.factors.shake_ellipse` and
    :func:`balance.engine.loci.locus`.
    """
    loop = locus(shook.shaking)
    panels = [*_ellipse_panels(shook), *_locus_panels(shook, loop)]
    columns = len(panels) if len(panels) < 4 else 2
    rows = -(-len(panels) // columns)
    figure = new_figure((84 if columns == 3 else 96) * max(columns, 1.3), 98 * rows + 22)
    axes = figure.subplots(rows, columns, squeeze=False).ravel()
    for ax, panel in zip(axes, panels, strict=False):
        panel(ax)
    figure.suptitle(f"what the engine shakes at {shook.shaking.speed_rpm:g} rpm{_calm(loop)}")
    start = key_mark("crank angle 0", marker="o", color=RUST, markersize=5)
    foot(figure, ENGINE_NOTE, [start])
    return figure


def _ellipse_panels(shook: Shook) -> list[Callable[[Axes], None]]:
    """Return a panel for the force and for the couple, where the factor leaves any."""
    kinds: list[tuple[str, str, Callable[[ShakeEllipse], Ellipse]]] = [
        ("force", "m r ω²", lambda one: one.force),
        ("couple", "m r ω² × bore spacing", lambda one: one.couple),
    ]
    return [
        partial(_ellipses, shook=shook, kind=kind, unit=unit, of=of)
        for kind, unit, of in kinds
        if any(float(of(one).major) > _NONE for one in shook.ellipses)
    ]


def _ellipses(
    ax: Axes, *, shook: Shook, kind: str, unit: str, of: Callable[[ShakeEllipse], Ellipse]
) -> None:
    drawn_ones = [(one.factor, of(one)) for one in shook.ellipses]
    radius = 1.2 * max(float(shape.major) for _, shape in drawn_ones)
    # neighbours are named at opposite ends, so that the names do not run into each other
    tips = [_tip(shape) * (-1) ** n for n, (_, shape) in enumerate(drawn_ones)]
    polar_paper(ax, radius, unit, busy=tips, zero="")
    _banks(ax, radius, shook)
    for n, (factor, shape) in enumerate(drawn_ones):
        own = factor == shook.card.factor
        look: dict[str, Any] = {"linewidth": 2.6 if own else 1.1, "color": BLUE if own else INK}
        ax.plot(
            *where(_outline(shape)).T, linestyle="-" if own else LINES[1 + n % (len(LINES) - 1)],
            gid=f"factor-{factor:g}", **look,
        )  # fmt: skip
        _factor_label(ax, tips[n], radius, factor, own=own)
    best = shook.least_worst
    least = "" if best is None else f"least in its worst direction at factor {best.factor:.2f}"
    ax.set_title(
        f"order 1 {kind}, by factor\nheavy line: this job's {shook.card.factor:g}\n{least}"
    )


def _factor_label(ax: Axes, tip: complex, radius: float, factor: float, *, own: bool) -> None:
    """Write a factor just outside the end of its ellipse's long axis."""
    out = tip + 0.05 * radius * np.exp(1j * np.angle(tip))
    x, y = where(out)
    ax.text(
        x, y, f"{factor:g}", ha="center", va="center", fontsize=7.5,
        weight="bold" if own else "normal", zorder=6,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.6, "alpha": 0.9},
    )  # fmt: skip


def _outline(shape: Ellipse) -> Complex:
    turn = np.linspace(0, 2 * np.pi, 181)
    flat = float(shape.major) * np.cos(turn) + 1j * float(shape.minor) * np.sin(turn)
    return np.asarray(flat * np.exp(1j * np.radians(float(shape.degrees))))


def _tip(shape: Ellipse) -> complex:
    return complex(float(shape.major) * np.exp(1j * np.radians(float(shape.degrees))))


def _banks(ax: Axes, radius: float, shook: Shook) -> None:
    """Draw the directions of the cylinders' axes."""
    directions = sorted({float(fold(c.bank_degrees)) for c in shook.card.engine.cylinders})
    for angle in directions:
        out = np.exp(1j * np.radians(angle))
        ax.plot(*where([0j, radius * out]).T, color=INK, linewidth=0.8, linestyle="-.", zorder=1)
        x, y = where(0.9 * radius * out)
        ax.text(
            x, y, "bank", ha="center", va="center", fontsize=7,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.6},
        )  # fmt: skip


def _locus_panels(shook: Shook, loop: Locus) -> list[Callable[[Axes], None]]:
    """Return the panels of force and couple, without one that is nothing beside the other."""
    kinds = [("force", "N", loop.force_n), ("couple", "N m", loop.couple_nm)]
    shaking = [kind for kind in kinds if _most(kind[2]) >= _LEAST]
    return [
        partial(_locus, shook=shook, kind=kind, unit=unit, curve=curve)
        for kind, unit, curve in shaking or kinds
    ]


def _most(curve: Any) -> float:
    return float(np.abs(curve).max())


def _calm(loop: Locus) -> str:
    """Return in words what the engine does not shake."""
    calm = [
        f"no {kind}: below {_LEAST:g} {unit}"
        for kind, unit, curve in (("force", "N", loop.force_n), ("couple", "N m", loop.couple_nm))
        if _most(curve) < _LEAST
    ]
    return f"\n{'; '.join(calm)}" if calm else ""


def _locus(ax: Axes, *, shook: Shook, kind: str, unit: str, curve: Complex) -> None:
    most = _most(curve)
    radius = 1.2 * max(most, 1.0)
    polar_paper(ax, radius, unit, busy=curve, zero="")
    _banks(ax, radius, shook)
    ax.plot(*where(curve).T, color=INK, linewidth=1.6, gid=f"locus-{kind}")
    spot(ax, complex(curve[0]), f"start-{kind}", marker="o", color=RUST, markersize=5)
    about = f" about z = {shook.shaking.reference_z_mm:.4g} mm" if kind == "couple" else ""
    ax.set_title(f"whole {kind}{about}, one turn\nat most {digits(most)} {unit}")


@drawn
def force_against_speed(shook: Shook) -> Figure:
    """Return the largest shaking force and couple of each order against speed.

    ``F = F_0 (n / n_0)^2`` for every order, from the shake at the speed of the job.

    Parameters
    ----------
    shook : Shook
        From :func:`balance.engine.steps.shake_job`.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.engine.steps import bobweight_job, shake_job
    >>> from balance.job.load import read_job
    >>> from balance.parts.steps import match_job
    >>> job = read_job(files("cli.examples") / "v-twin.toml")
    >>> figure = force_against_speed(shake_job(job, bobweight_job(job, match_job(job))))
    >>> [axes.get_ylabel() for axes in figure.axes]
    ['largest force [N]', 'largest couple [N m]']

    Source: F = U w^2, mechanics.
    """
    shaking, loop = shook.shaking, locus(shook.shaking)
    figure = new_figure(190, 88)
    left, right = figure.subplots(1, 2)
    forces = _amplitudes(shaking.forward_force_n, shaking.backward_force_n)
    couples = _amplitudes(shaking.forward_couple_nm, shaking.backward_couple_nm)
    _curves(left, shaking, forces, _most(loop.force_n), ("force", "N"))
    _curves(right, shaking, couples, _most(loop.couple_nm), ("couple", "N m"))
    return figure


def _amplitudes(forward: Any, backward: Any) -> list[float]:
    return [float(v) for v in np.abs(forward) + np.abs(backward)]


def _curves(
    ax: Axes, shaking: Shaking, by_order: Sequence[float], whole: float, named: tuple[str, str]
) -> None:
    (kind, unit), top = named, shaking.speed_rpm
    speed = np.linspace(0, 1.1 * top, 80)
    curves: list[tuple[str, float, Any]] = [("all together", whole, "-")]
    curves += [
        (f"order {order}", size, LINES[1 + k % (len(LINES) - 1)])
        for k, (order, size) in enumerate(zip(shaking.orders, by_order, strict=True))
    ]
    for label, size, line in curves:
        if size >= _LEAST:
            ax.plot(
                speed, size * (speed / top) ** 2, linestyle=line, color=INK,
                linewidth=2.4 if line == "-" else 1.3, label=f"{label}: {digits(size)} {unit}",
            )  # fmt: skip
    ax.axvline(top, color=RUST, linewidth=1.0, linestyle=(0, (4, 3)), gid="service-speed",
               label=f"at {top:g} rpm")  # fmt: skip
    ax.set(xlabel="crank speed [rpm]", ylabel=f"largest {kind} [{unit}]", xlim=(0, 1.1 * top))
    ax.set_ylim(0, 1.3 * max([whole, *by_order, 1.0]))
    ax.xaxis.set_major_locator(MaxNLocator(6))
    ax.grid(visible=True)
    ax.set_title(f"{kind}{_absent(curves[1:], unit)}")
    ax.legend(loc="upper left")


def _absent(curves: Sequence[tuple[str, float, object]], unit: str) -> str:
    """Return in words which orders do not shake."""
    absent = [label.split()[1] for label, size, _ in curves if size < _LEAST]
    return f"\nbelow {_LEAST:g} {unit}: order {', '.join(absent)}" if absent else ""
