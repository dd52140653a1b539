"""Bars of the parts' weights before and after cutting, with the tolerance that they must meet."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator

from balance.parts.steps import FinishedSet, Matched
from balance.sheet.style import GREY, INK, PALE, RUST, drawn, new_figure, plain

__all__ = ["weights_before_after"]

_LEAST_CUT_G = 0.005  # a cut that would print as 0.00 g is none


@dataclass(frozen=True)
class _Bars:
    """One panel: a bar for each of ``names``; the band is from ``top`` down by the tolerance."""

    title: str
    names: tuple[str, ...]
    after_g: tuple[float, ...]
    cut_g: tuple[float, ...]
    top_g: float | None = None
    tolerance_g: float = 0.0


@drawn
def weights_before_after(matched: Matched) -> Figure:
    """Return bars of every kind of part and of the sets, as weighed and after cutting.

    The grey bar is what stays, the hatched cap on it what comes off. The band across the sets and
    the big ends is the tolerance: all grey bars end inside it when the match is feasible. The
    weight axes do not start at zero; each says where it starts.

    Parameters
    ----------
    matched : Matched
        From :func:`balance.parts.steps.match_job`.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.parts.steps import match_job
    >>> matched = match_job(read_job(files("cli.examples") / "flat-four.toml"))
    >>> [axes.get_title() for axes in weights_before_after(matched).axes][:2]
    ['sets: piston + pin + small end', 'big ends']
    """
    panels = _panels(matched)
    figure = new_figure(190, 165)
    grid = figure.add_gridspec(2, 6, height_ratios=(1.15, 1.0))
    places = [grid[0, :3], grid[0, 3:], grid[1, :2], grid[1, 2:4], grid[1, 4:]]
    for place, bars in zip(places, panels, strict=True):
        _draw(figure.add_subplot(place), bars)
    figure.suptitle(f"parts before and after cutting{_spares(matched)}")
    figure.legend(handles=_key(), loc="outside lower center", ncols=3)
    return figure


def _off(entry: FinishedSet, which: int) -> float:
    """Return what came or comes off: piston 0, small end 1, big end 2; never less than nothing."""
    part = entry.cut_parts[which]
    return max(part.before_g - part.after_g, 0.0)


def _panels(matched: Matched) -> list[_Bars]:
    sets, match = matched.sets, matched.match
    numbers = tuple(str(n) for n in range(1, len(sets) + 1))
    return [
        _Bars(
            "sets: piston + pin + small end",
            numbers,
            tuple(s.piston_g + s.pin_g + s.small_end_g for s in sets),
            tuple(_off(s, 0) + _off(s, 1) for s in sets),
            match.target_g,
            matched.tolerance_g,
        ),
        _kind("big ends", sets, lambda s: (s.rod, s.big_end_g, _off(s, 2)),
              match.big_end_target_g, matched.big_end_tolerance_g),
        _kind("pistons", sets, lambda s: (s.piston, s.piston_g, _off(s, 0))),
        _kind("pins", sets, lambda s: (s.pin, s.pin_g, 0.0)),
        _kind("small ends", sets, lambda s: (s.rod, s.small_end_g, _off(s, 1))),
    ]  # fmt: skip


def _kind(
    title: str,
    sets: Sequence[FinishedSet],
    of: Callable[[FinishedSet], tuple[str, float, float]],
    top_g: float | None = None,
    tolerance_g: float = 0.0,
) -> _Bars:
    names, after, cut = zip(*(of(one) for one in sets), strict=True)
    return _Bars(title, names, after, cut, top_g, tolerance_g)


def _draw(ax: Axes, bars: _Bars) -> None:
    places = range(len(bars.names))
    low, high = _span(bars)
    cuts = [cut > _LEAST_CUT_G for cut in bars.cut_g]
    ax.bar(places, bars.after_g, width=0.62, facecolor="#b9bec4", edgecolor=INK, label="stays")
    ax.bar(
        [n for n in places if cuts[n]],
        [bars.cut_g[n] for n in places if cuts[n]],
        bottom=[bars.after_g[n] for n in places if cuts[n]],
        width=0.62, facecolor="white", edgecolor=RUST, hatch="////", label="comes off",
    )  # fmt: skip
    if bars.top_g is not None:
        ax.axhspan(bars.top_g - bars.tolerance_g, bars.top_g, color=GREY, alpha=0.35, zorder=2.5,
                   linewidth=0, gid="band")  # fmt: skip
        for edge in (bars.top_g - bars.tolerance_g, bars.top_g):
            ax.axhline(edge, color=INK, linewidth=0.9, linestyle="--", zorder=2.6)
    names = [plain(name if len(name) < 14 else f"{name[:12]}…") for name in bars.names]
    ax.set_xticks(list(places), names)
    if max(map(len, names)) * len(names) > (20 if bars.top_g is None else 30):
        ax.tick_params(axis="x", labelrotation=90)
    ax.tick_params(axis="x", length=0)
    ax.yaxis.set_major_locator(MaxNLocator(6))
    ax.set(ylim=(low, high), title=bars.title, xlim=_sides(len(bars.names)))
    ax.set_xlabel("set" if bars.title.startswith("sets") else "mark, set by set")
    ax.set_ylabel(f"weight [g], from {low:g} g")
    _cut_labels(ax, bars, high - low)


def _sides(number: int) -> tuple[float, float]:
    """Return the ends of the row of bars; a few bars stay as narrow as those of a set of four."""
    spare = max(0.0, 4 - number) / 2
    return -0.6 - spare, number - 0.4 + spare


def _span(bars: _Bars) -> tuple[float, float]:
    """Return round ends of the weight axis that leave room for the labels of the cuts."""
    tops = [after + cut for after, cut in zip(bars.after_g, bars.cut_g, strict=True)]
    least, most = min(bars.after_g), max(tops)
    if bars.top_g is not None:
        least, most = min(least, bars.top_g - bars.tolerance_g), max(most, bars.top_g)
    room = max(most - least, 0.5)
    return max(0.0, math.floor(least - 0.4 * room)), most + 0.45 * room


def _cut_labels(ax: Axes, bars: _Bars, height_g: float) -> None:
    """Write every cut above its bar, upright when the bars are many."""
    many = len(bars.names) > 4
    for n, (after, cut) in enumerate(zip(bars.after_g, bars.cut_g, strict=True)):
        if cut > _LEAST_CUT_G:
            ax.text(
                n, max(after + cut, bars.top_g or 0.0) + 0.02 * height_g, f"−{cut:.2f}",
                ha="center", va="bottom", rotation=90 if many else 0, fontsize=7.5,
            )  # fmt: skip


def _spares(matched: Matched) -> str:
    bench, used = matched.bench, len(matched.sets)
    spare = [
        f"{len(marks) - used} spare {kind}"
        for kind, marks in (
            ("pistons", bench.piston_marks),
            ("pins", bench.pin_marks),
            ("rods", bench.rod_marks),
        )
        if len(marks) > used
    ]
    return f" (not used: {', '.join(spare)})" if spare else ""


def _key() -> list[Patch | Line2D]:
    return [
        Patch(facecolor="#b9bec4", edgecolor=INK, label="stays"),
        Patch(facecolor="white", edgecolor=RUST, hatch="////", label="comes off [g]"),
        Patch(facecolor=PALE, edgecolor=INK, linestyle="--", label="tolerance"),
    ]
