"""The look of every picture: what a mark means is told by its shape and its line, not its colour.

The two colours differ in lightness as well as in hue, so that they stay apart on a grey printer
and for the colour-blind; nothing depends on telling them apart.
"""

import functools
from collections.abc import Callable
from typing import Any, ParamSpec

import matplotlib as mpl
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from balance.sheet.wording import gmm_text

__all__ = [
    "BLUE",
    "GREY",
    "INK",
    "LINES",
    "METAL",
    "PALE",
    "RUST",
    "amount_text",
    "digits",
    "drawn",
    "key_mark",
    "new_figure",
    "plain",
]

INK = "#14171a"
GREY = "#8b9096"
PALE = "#e9ebed"
BLUE = "#1f6ea3"
RUST = "#a63a12"
METAL = "#6d737a"

LINES = ("-", "--", "-.", ":", (0, (7, 2, 1, 2, 1, 2)), (0, (1, 1)))
"""Line styles in the order in which several curves use them."""

_MM = 1 / 25.4
_LOOK: Any = {
    "text.parse_math": True,
    "text.usetex": False,
    "font.family": "DejaVu Sans",
    "font.size": 9,
    "text.color": INK,
    "figure.facecolor": "white",
    "figure.titlesize": 11,
    "axes.facecolor": "white",
    "axes.titlesize": 9.5,
    "axes.titlelocation": "center",
    "axes.labelsize": 9,
    "axes.labelcolor": INK,
    "axes.edgecolor": INK,
    "axes.linewidth": 0.8,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.axisbelow": True,
    "axes.formatter.useoffset": False,
    "axes.unicode_minus": True,
    "xtick.labelsize": 8,
    "ytick.labelsize": 8,
    "xtick.color": INK,
    "ytick.color": INK,
    "grid.color": "#c9cdd1",
    "grid.linewidth": 0.5,
    "legend.fontsize": 8,
    "legend.frameon": True,
    "legend.edgecolor": "white",
    "legend.facecolor": "white",
    "legend.framealpha": 1.0,
    "lines.linewidth": 1.4,
    "lines.markersize": 6,
    "patch.linewidth": 0.9,
    "hatch.linewidth": 0.6,
}

Arguments = ParamSpec("Arguments")


def drawn(plot: Callable[Arguments, Figure]) -> Callable[Arguments, Figure]:
    """Return a plot function that draws in this look, whatever the reader's own settings are."""

    @functools.wraps(plot)
    def in_this_look(*args: Arguments.args, **kwargs: Arguments.kwargs) -> Figure:
        with mpl.rc_context(_LOOK):
            return plot(*args, **kwargs)

    return in_this_look


def new_figure(width_mm: float, height_mm: float) -> Figure:
    """Return an empty figure of a size on paper [mm], 150 dots to the inch.

    Examples
    --------
    >>> [round(float(side), 2) for side in new_figure(180, 127).get_size_inches()]
    [7.09, 5.0]
    """
    return Figure(figsize=(width_mm * _MM, height_mm * _MM), dpi=150, layout="constrained")


def key_mark(label: str, **look: Any) -> Line2D:
    """Return a marker without a line, for the key of a picture."""
    return Line2D([], [], linestyle="none", label=label, **look)


def plain(text: object) -> str:
    """Return a name as it is written: on one line, a dollar sign no formula.

    Examples
    --------
    >>> print(plain("rod $1_2$ of \\n 4"))
    rod \\$1_2\\$ of 4
    """
    return " ".join(str(text).split()).replace("$", r"\$")


def digits(value: float) -> str:
    """Return a number with no more digits than a picture can bear.

    Examples
    --------
    >>> digits(12022.4), digits(45.81), digits(1.672)
    ('12022', '45.8', '1.67')
    """
    size = abs(value)
    return f"{value:.0f}" if size >= 99.95 else f"{value:.1f}" if size >= 9.995 else f"{value:.2f}"


def amount_text(gmm: float) -> str:
    """Return an unbalance in words, with the digits that a machine can show.

    Examples
    --------
    >>> amount_text(409.13), amount_text(20.389)
    ('409 g mm', '20.4 g mm')
    """
    return f"{gmm_text(gmm)} g mm"
