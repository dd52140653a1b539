"""What matching tells the shop: which way is cheaper, and which part is worth replacing."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import ArrayLike

from balance.parts._grid import Floats, Limits, masses_of, middle
from balance.parts.matching import SetMatch, Trim, match_each, match_sets

__all__ = ["Prices", "Replacement", "compare_ways", "worth_replacing"]

FARTHEST = 3  # of each kind, how many are tried
KINDS = {"pistons_g": "piston", "pins_g": "pin", "small_ends_g": "rod", "big_ends_g": "rod"}


@dataclass(frozen=True)
class Prices:
    """Both ways of matching the same parts, and the plain shop rule, side by side [g].

    ``interchangeable_g`` is what pistons, small ends and big ends lose when each kind is brought
    to one weight. Pins are not cut: ``pin_spread_g`` stays, and ``any_spare_fits`` says whether it
    is within the tolerance. ``sets_g`` is what matched sets lose. ``shop_g`` is the plain rule,
    every piston, small end and big end to the lightest.
    """

    pistons: Trim
    small_ends: Trim
    big_ends: Trim | None
    sets: SetMatch
    interchangeable_g: float
    pin_spread_g: float
    any_spare_fits: bool
    sets_g: float
    shop_g: float


@dataclass(frozen=True)
class Replacement:
    """One part replaced by a middle one of its kind.

    ``kind`` is "piston", "pin" or "rod", ``index`` its place in the list, ``off_g`` how far it lies
    above the middle of the others (for a rod the end that is farther off). ``saved_g`` is infinite
    when only the replacement makes the limits hold.
    """

    kind: str
    index: int
    off_g: float
    removed_now_g: float
    removed_then_g: float
    saved_g: float
    text: str


def compare_ways(
    pistons_g: ArrayLike,
    pins_g: ArrayLike,
    small_ends_g: ArrayLike,
    *,
    tolerance_g: float,
    piston_limits_g: Limits = None,
    small_end_limits_g: Limits = None,
    big_ends_g: ArrayLike | None = None,
    big_end_tolerance_g: float | None = None,
    big_end_limits_g: Limits = None,
) -> Prices:
    """Return what interchangeable parts, matched sets and the plain shop rule take off.

    Interchangeable parts cost more now and save later: any spare of the same weight fits. Sets
    cost least now, and a broken part means matching again.

    Parameters are those of `match_sets`; in the interchangeable way each kind keeps
    ``tolerance_g`` by itself.

    Raises
    ------
    InputError
        As `match_sets` does.

    Examples
    --------
    >>> prices = compare_ways(
    ...     [420.0, 421.0], [110.0, 110.0], [180.0, 181.0], tolerance_g=0.0)
    >>> prices.interchangeable_g, prices.sets_g, prices.shop_g
    (2.0, 0.0, 2.0)

    Source: the two ways are common practice, no source.
    """
    sets = match_sets(
        pistons_g,
        pins_g,
        small_ends_g,
        tolerance_g=tolerance_g,
        piston_limits_g=piston_limits_g,
        small_end_limits_g=small_end_limits_g,
        big_ends_g=big_ends_g,
        big_end_tolerance_g=big_end_tolerance_g,
        big_end_limits_g=big_end_limits_g,
    )
    each = partial(match_each, tolerance_g=tolerance_g)
    big = None
    if big_ends_g is not None:
        slack_g = tolerance_g if big_end_tolerance_g is None else big_end_tolerance_g
        big = match_each(big_ends_g, tolerance_g=slack_g, limits_g=big_end_limits_g)
    return _priced(
        sets,
        pistons=each(pistons_g, limits_g=piston_limits_g),
        small_ends=each(small_ends_g, limits_g=small_end_limits_g),
        big_ends=big,
        pins=each(pins_g, limits_g=0.0),
        pin_spread_g=round(float(np.ptp(masses_of("pins_g", pins_g))), 10),
    )


def _priced(
    sets: SetMatch,
    *,
    pistons: Trim,
    small_ends: Trim,
    big_ends: Trim | None,
    pins: Trim,
    pin_spread_g: float,
) -> Prices:
    """Return the two ways side by side: what is cut off each kind, and what the sets lose."""
    cut = [trim for trim in (pistons, small_ends, big_ends) if trim is not None]
    return Prices(
        pistons=pistons,
        small_ends=small_ends,
        big_ends=big_ends,
        sets=sets,
        interchangeable_g=round(math.fsum(trim.removed_g for trim in cut), 10),
        pin_spread_g=pin_spread_g,
        any_spare_fits=pins.feasible and all(trim.feasible for trim in cut),
        sets_g=sets.removed_g,
        shop_g=sets.shop_removed_g,
    )


def worth_replacing(
    pistons_g: ArrayLike,
    pins_g: ArrayLike,
    small_ends_g: ArrayLike,
    *,
    tolerance_g: float,
    piston_limits_g: Limits = None,
    small_end_limits_g: Limits = None,
    big_ends_g: ArrayLike | None = None,
    big_end_tolerance_g: float | None = None,
    big_end_limits_g: Limits = None,
    choose: int | None = None,
) -> list[Replacement]:
    """Return the parts whose replacement saves metal, the best first.

    Each is replaced in thought by a part of the middle weight (median) of the others of its kind,
    a rod at both ends, and everything is matched again. The three parts farthest from the middle
    of each kind are tried.

    Parameters are those of `match_sets`. Every replacement is matched with the same proof.

    Raises
    ------
    InputError
        As `match_sets` does.

    Examples
    --------
    >>> best = worth_replacing(
    ...     [409.0, 420.0, 420.2, 420.1], [110.0] * 4, [180.0] * 4, tolerance_g=0.1)[0]
    >>> best.text
    'pistons_g[0] is 11.10 g light: with 420.10 g in its place 0.10 g instead of 33.00 g come off'

    Source: own method.
    """
    masses = {
        "pistons_g": masses_of("pistons_g", pistons_g),
        "pins_g": masses_of("pins_g", pins_g),
        "small_ends_g": masses_of("small_ends_g", small_ends_g),
    }
    if big_ends_g is not None:
        masses["big_ends_g"] = masses_of("big_ends_g", big_ends_g)
    match: Callable[..., SetMatch] = partial(
        match_sets,
        tolerance_g=tolerance_g,
        piston_limits_g=piston_limits_g,
        small_end_limits_g=small_end_limits_g,
        big_end_tolerance_g=big_end_tolerance_g,
        big_end_limits_g=big_end_limits_g,
        choose=choose,
    )
    now = match(**masses)
    tried = [_replaced(match, now, masses, *part) for part in _far_parts(masses)]
    useful = {(r.kind, r.index): r for r in tried if r.saved_g > 0}
    return sorted(useful.values(), key=lambda r: (-r.saved_g, r.removed_then_g, r.kind, r.index))


def _far_parts(masses: dict[str, Floats]) -> list[tuple[str, int]]:
    """Return (list, index) of the parts farthest from the middle of the others of their kind."""
    found = []
    for name, mass in masses.items():
        if mass.size > 1:
            off = np.abs([mass[i] - _middle(mass, i) for i in range(mass.size)])
            found += [(name, int(i)) for i in np.argsort(-off, kind="stable")[:FARTHEST]]
    return found


def _middle(mass: Floats, index: int) -> float:
    """Return the middle weight of the other parts, to 0.01 g."""
    return round(middle(np.delete(mass, index)), 2)


def _replaced(
    match: Callable[..., SetMatch], now: SetMatch, masses: dict[str, Floats], name: str, index: int
) -> Replacement:
    """Return what replacing one part would bring."""
    ends = ("small_ends_g", "big_ends_g")
    names = [n for n in ends if n in masses] if name in ends else [name]
    other = {n: masses[n].copy() for n in names}
    for n in names:
        other[n][index] = _middle(masses[n], index)
    then = match(**{**masses, **other})
    name = max(names, key=lambda n: abs(masses[n][index] - other[n][index]))
    off = masses[name][index] - other[name][index]
    removed = [m.removed_g if m.feasible else math.inf for m in (now, then)]
    saved = round(removed[0] - removed[1], 10) if then.feasible else -math.inf
    return Replacement(
        kind=KINDS[name],
        index=index,
        off_g=round(float(off), 10),
        removed_now_g=removed[0],
        removed_then_g=removed[1],
        saved_g=saved,
        text=_told(f"{name}[{index}]", float(off), float(other[name][index]), removed),
    )


def _told(part: str, off_g: float, with_g: float, removed_g: list[float]) -> str:
    """Say it in one line."""
    side = "heavy" if off_g > 0 else "light"
    gain = f"{removed_g[1]:.2f} g instead of {removed_g[0]:.2f} g come off"
    if math.isinf(removed_g[0]):
        gain = f"the limits can be kept and {removed_g[1]:.2f} g come off"
    return f"{part} is {abs(off_g):.2f} g {side}: with {with_g:.2f} g in its place {gain}"
