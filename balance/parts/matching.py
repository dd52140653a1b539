"""Match parts so that least metal is cut, and prove it.

Two ways of the trade. *Interchangeable*: each kind of part is brought to one weight
(`match_each`), any spare fits later. *Sets*: piston, pin and small end of one rod are brought to
one sum (`match_sets`); good pairing leaves little or nothing to cut.

Masses are taken to the nearest 0.01 g, tolerances and limits are rounded down to 0.01 g, and the
search counts in whole hundredths: no rounding can hide a better answer. Masses that are given
finer still get cuts that keep the tolerance as given, and a bound that allows for the rounding.

Cut only where the maker of the part allows it, and never more: the limits are yours to give.
"""

import math
from dataclasses import dataclass, replace
from time import monotonic

import numpy as np
from numpy.typing import ArrayLike

from balance.errors import InputError, positive
from balance.parts._grid import (
    HAIR,
    PER_GRAM,
    Floats,
    Limits,
    above_window,
    cents,
    limits_of,
    masses_of,
    parts_of,
    tolerance_of,
    whole_cents,
)
from balance.parts._sets import Solved
from balance.parts._stock import Stock, nearest, solve
from balance.parts._task import Ints, Meter

__all__ = ["MatchedSet", "SetCuts", "SetMatch", "Trim", "match_each", "match_sets"]

MOST_CANDIDATES = 60_000_000  # a bound on the work that is the same on a slow or busy machine
ROUNDING_G = 0.005  # of one mass


@dataclass(frozen=True)
class Trim:
    """Cuts that make one kind of part interchangeable.

    ``cuts_g`` (n,) never exceeds the limits; ``target_g`` is the heaviest weight allowed, to which
    heavier parts are cut; ``short_g`` (n,) is what the limits forbid and ``reason`` says it.
    """

    cuts_g: Floats
    target_g: float
    removed_g: float
    feasible: bool
    short_g: Floats
    reason: str = ""


@dataclass(frozen=True)
class MatchedSet:
    """Indexes of the piston, the pin and the rod that go together, counted from 0 as given."""

    piston: int
    pin: int
    rod: int


@dataclass(frozen=True)
class SetCuts:
    """What one set loses and where [g]."""

    piston_g: float
    small_end_g: float
    big_end_g: float = 0.0


@dataclass(frozen=True)
class SetMatch:
    """Matched sets and their cuts.

    ``sets`` are in the order of the pistons, ``cuts`` in the order of ``sets``. ``removed_g`` is
    the sum of all cuts and no answer can remove less than ``bound_g``; ``optimal`` says that the
    search proved this one best. ``shop_removed_g`` is what the same parts lose when every piston,
    small end and big end is cut to the lightest of its kind. ``target_g`` is the heaviest sum
    allowed, ``big_end_target_g`` the heaviest big end (0 without big ends).

    When ``feasible`` is False the sets shown are the nearest ones, their cuts stop at the limits,
    and ``reason`` says which set is short by how much; ``bound_g`` is then infinite if it is
    proven that no arrangement keeps the limits.
    """

    sets: list[MatchedSet]
    cuts: list[SetCuts]
    removed_g: float
    bound_g: float
    optimal: bool
    feasible: bool
    shop_removed_g: float
    target_g: float
    big_end_target_g: float
    reason: str = ""


def match_each(weights_g: ArrayLike, *, tolerance_g: float, limits_g: Limits = None) -> Trim:
    """Bring parts of one kind to one weight with the least metal removed.

    cut_i = max(0, w_i - (min w + tolerance)): the lightest part can only be met, and cutting it
    too would cost every other part as much again.

    Parameters
    ----------
    weights_g : array, shape (n,) [g]
        Masses, each above zero.
    tolerance_g : float [g]
        Largest difference allowed after cutting; rounded down to 0.01 g.
    limits_g : float or array, shape (n,), optional [g]
        The most that each part may lose; None (also as an entry) sets no limit.

    Raises
    ------
    InputError
        When a mass is not above zero, a limit or the tolerance is negative, or lengths differ.

    Examples
    --------
    >>> trim = match_each([420.3, 418.1, 419.0], tolerance_g=0.5)
    >>> trim.cuts_g.tolist(), trim.removed_g
    ([1.7, 0.0, 0.4], 2.1)

    Source: common practice ("to the lightest"), no source; least by the argument above.
    """
    mass = masses_of("weights_g", weights_g)
    limit = limits_of("limits_g", limits_g, mass)
    over, top = above_window(mass, slack=tolerance_of("tolerance_g", tolerance_g))
    cuts = np.minimum(over, limit)
    short = np.round(over - cuts, 10)
    return Trim(cuts, top, _sum(cuts), not short.any(), short, _short_part(mass, top, over, short))


def _short_part(mass: Floats, top: float, over: Floats, short: Floats) -> str:
    """Say which part the limits keep too heavy, and by how much."""
    if not short.any():
        return ""
    at = int(short.argmax())
    return (
        f"weights_g[{at}] = {mass[at]:.2f} g must lose {over[at]:.2f} g to reach {top:.2f} g, "
        f"but its limit is {over[at] - short[at]:.2f} g: {short[at]:.2f} g too little; "
        f"the lightest is weights_g[{int(mass.argmin())}] = {mass.min():.2f} g"
    )


def match_sets(
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
    time_limit_s: float | None = None,
) -> SetMatch:
    """Put pistons, pins and rods together so that least metal is cut, with proof.

    Least sum of cuts such that max - min of piston + pin + small end is within the tolerance after
    cutting, and so for the big ends. Metal comes off pistons, small ends and big ends only. What a
    set loses comes from its piston alone if its limit allows, else from the small end alone, else
    from both, piston first: one place to cut where one will do.

    Equal parts are interchanged by their place in the list only, so the same parts in another
    order give the same sets of masses and the same cuts.

    Parameters
    ----------
    pistons_g, pins_g, small_ends_g : array, shape (n,) [g]
        Masses; the small ends (and big ends) are in the order of the rods. Taken to 0.01 g.
    tolerance_g : float [g]
        Largest difference of two sums after cutting; rounded down to 0.01 g.
    piston_limits_g, small_end_limits_g, big_end_limits_g : float or array, optional [g]
        The most that each part may lose there; None (also as an entry) sets no limit.
    big_ends_g : array, shape of ``small_ends_g``, optional [g]
        Masses of the big ends, to be matched at the same time.
    big_end_tolerance_g : float, optional [g]
        Tolerance of the big ends; ``tolerance_g`` when not given.
    choose : int, optional
        How many sets to make from a larger stock; needed when the lists differ in length.
    time_limit_s : float, optional [s]
        Stop the proof after this time. Without it only the amount of work is bounded, so that the
        answer does not depend on the machine.

    Raises
    ------
    InputError
        When a mass is not above zero, a limit or a tolerance is negative, lengths do not fit, or
        there are fewer parts than sets.

    Examples
    --------
    >>> match = match_sets(
    ...     [420.0, 421.0], [110.0, 110.0], [180.0, 181.0], tolerance_g=0.0)
    >>> match.sets, match.removed_g, match.optimal
    ([MatchedSet(piston=0, pin=0, rod=1), MatchedSet(piston=1, pin=1, rod=0)], 0.0, True)

    Source: own search, see ``balance.parts._search``; checked against trying all pairings.
    """
    stock = _checked(
        (pistons_g, pins_g, small_ends_g, big_ends_g),
        (piston_limits_g, small_end_limits_g, big_end_limits_g),
        (tolerance_g, big_end_tolerance_g),
        choose,
    )
    meter = _meter(time_limit_s)
    solved = solve(stock, meter)
    if solved.picks is not None:
        return _match(stock, solved)
    return _infeasible(stock, solved, meter)


def _meter(time_limit_s: float | None) -> Meter:
    """Return a fresh meter."""
    if time_limit_s is None:
        return Meter(MOST_CANDIDATES)
    return Meter(MOST_CANDIDATES, monotonic() + float(positive("time_limit_s", time_limit_s)))


def _checked(
    masses: tuple[ArrayLike, ArrayLike, ArrayLike, ArrayLike | None],
    limits: tuple[Limits, Limits, Limits],
    tolerances: tuple[float, float | None],
    choose: int | None,
) -> Stock:
    """Return the stock, or raise at the first thing that cannot be."""
    piston, pin, small = (
        masses_of(name, value)
        for name, value in zip(("pistons_g", "pins_g", "small_ends_g"), masses[:3], strict=True)
    )
    big = None if masses[3] is None else masses_of("big_ends_g", masses[3])
    if big is not None and big.size != small.size:
        raise InputError(
            f"big_ends_g must hold one mass for each rod, got {big.size} "
            f"for {small.size} small ends"
        )
    slack = tolerance_of("tolerance_g", tolerances[0])
    big_slack = slack
    if tolerances[1] is not None:
        big_slack = tolerance_of("big_end_tolerance_g", tolerances[1])
    piston_limit = limits_of("piston_limits_g", limits[0], piston)
    small_limit = limits_of("small_end_limits_g", limits[1], small)
    big_limit = limits_of("big_end_limits_g", limits[2], small if big is None else big)
    ties = () if big is None else (cents(big), big, big_limit)
    return Stock(
        pistons=parts_of(piston, piston_limit),
        pins=parts_of(pin, np.zeros(pin.size)),
        rods=parts_of(small, small_limit, *ties),
        big_g=big,
        big_limit_g=big_limit,
        n=_how_many((piston.size, pin.size, small.size), choose),
        slack=slack,
        big_slack=big_slack,
    )


def _how_many(sizes: tuple[int, int, int], choose: int | None) -> int:
    """Return the number of sets to make."""
    if choose is None:
        if len(set(sizes)) > 1:
            raise InputError(
                f"pistons_g, pins_g and small_ends_g must be equally many, got {sizes}: give "
                "choose=n to make n sets from a larger stock"
            )
        return sizes[0]
    if isinstance(choose, bool) or not isinstance(choose, (int, np.integer)) or choose < 1:
        raise InputError(f"choose must be a whole number of at least 1, got {choose!r}")
    if choose > min(sizes):
        raise InputError(
            f"choose must not exceed the parts of any kind, got {choose} with {sizes} pistons, "
            "pins and rods"
        )
    return int(choose)


def _infeasible(stock: Stock, solved: Solved, meter: Meter) -> SetMatch:
    """Return the nearest sets and say what stands in the way."""
    found = nearest(stock, meter)
    match = _match(stock, found, _shortfall(stock, found))
    if solved.proven:
        return replace(match, bound_g=math.inf)
    doubt = "no answer found within the limits, though none is proven impossible; nearest: "
    return replace(match, bound_g=solved.bound / PER_GRAM, reason=doubt + match.reason)


def _match(stock: Stock, solved: Solved, reason: str = "") -> SetMatch:
    """Return the answer in grams, what each set loses split over its places."""
    piston, pin, rod = _columns(solved)
    over, top = _over(stock, solved)
    big_over, big_top = _big_over(stock, solved)
    cut_piston, cut_small = _split(over, stock.pistons.limit_g[piston], stock.rods.limit_g[rod])
    cut_big = np.minimum(big_over, stock.big_limit_g[rod])
    return SetMatch(
        sets=[MatchedSet(*map(int, s)) for s in zip(piston, pin, rod, strict=True)],
        cuts=[SetCuts(*map(float, c)) for c in zip(cut_piston, cut_small, cut_big, strict=True)],
        removed_g=_sum(cut_piston, cut_small, cut_big),
        bound_g=max(0.0, round(solved.bound / PER_GRAM - _doubt(stock), 10)),
        optimal=solved.proven and not reason,
        feasible=not reason,
        shop_removed_g=_shop(stock, piston, rod),
        target_g=top,
        big_end_target_g=big_top,
        reason=reason,
    )


def _columns(solved: Solved) -> tuple[Ints, Ints, Ints]:
    """Return the indexes of the pistons, pins and rods of the sets."""
    assert solved.picks is not None, "only answers with sets are shown"
    piston, pin, rod = solved.picks.T
    return piston, pin, rod


def _over(stock: Stock, solved: Solved) -> tuple[Floats, float]:
    """Return what each set must lose and the heaviest sum allowed."""
    piston, pin, rod = _columns(solved)
    masses = stock.pistons.mass_g[piston], stock.pins.mass_g[pin], stock.rods.mass_g[rod]
    return above_window(*masses, slack=stock.slack)


def _big_over(stock: Stock, solved: Solved) -> tuple[Floats, float]:
    """Return what each big end must lose and the heaviest allowed."""
    rod = _columns(solved)[2]
    if stock.big_g is None:
        return np.zeros(rod.size), 0.0
    return above_window(stock.big_g[rod], slack=stock.big_slack)


def _split(over: Floats, piston: Floats, small: Floats) -> tuple[Floats, Floats]:
    """Share cuts between piston and small end within their limits, in one place if it will do."""
    alone_on_rod = (over > piston + HAIR) & (over <= small + HAIR)
    from_piston = np.where(alone_on_rod, 0.0, np.minimum(over, piston))
    return from_piston, np.minimum(np.round(over - from_piston, 10), small)


def _shop(stock: Stock, piston: Ints, rod: Ints) -> float:
    """Return what is cut when every piston, small end and big end goes to the lightest."""
    kinds = [stock.pistons.mass_g[piston], stock.rods.mass_g[rod]]
    if stock.big_g is not None:
        kinds.append(stock.big_g[rod])
    return _sum(*(above_window(mass, slack=0)[0] for mass in kinds))


def _doubt(stock: Stock) -> float:
    """Return how far the bound may stand too high because masses were given finer than 0.01 g."""
    exact = all(p.exact for p in (stock.pistons, stock.pins, stock.rods))
    sums = 0.0 if exact else 6 * ROUNDING_G  # three masses in the set, three in the lightest
    big = stock.big_g is None or whole_cents(stock.big_g)
    return stock.n * (sums + (0.0 if big else 2 * ROUNDING_G))


def _shortfall(stock: Stock, solved: Solved) -> str:
    """Say which set or big end the limits keep too heavy, and by how much."""
    piston, pin, rod = _columns(solved)
    over, top = _over(stock, solved)
    room = stock.pistons.limit_g[piston] + stock.rods.limit_g[rod]
    big_over, big_top = _big_over(stock, solved)
    short, big_short = over - room, big_over - stock.big_limit_g[rod]
    if big_short.max() > max(short.max(), 0.0):
        at = int(big_short.argmax())
        return (
            f"big_ends_g[{rod[at]}] must lose {big_over[at]:.2f} g to reach {big_top:.2f} g, but "
            f"its limit is {stock.big_limit_g[rod[at]]:.2f} g: {big_short[at]:.2f} g too little"
        )
    at = int(short.argmax())
    return (
        f"even with the best pairing, pistons_g[{piston[at]}] with pins_g[{pin[at]}] and "
        f"small_ends_g[{rod[at]}] must lose {over[at]:.2f} g to reach {top:.2f} g, but piston and "
        f"small end may lose {room[at]:.2f} g: {short[at]:.2f} g too little; "
        f"the odd part is {_odd_part(stock)}"
    )


def _odd_part(stock: Stock) -> str:
    """Name the part that is farthest from the middle of its kind."""
    kinds = {"pistons_g": stock.pistons, "pins_g": stock.pins, "small_ends_g": stock.rods}
    found = []
    for name, parts in kinds.items():
        off = parts.mass_g - np.median(parts.mass_g)
        at = int(np.abs(off).argmax())
        found.append((abs(off[at]), f"{name}[{at}]", off[at]))
    _, name, off_g = max(found, key=lambda f: f[0])
    side = "above" if off_g > 0 else "below"
    return f"{name}, {abs(off_g):.2f} g {side} the middle of its kind"


def _sum(*cuts_g: Floats) -> float:
    """Return the sum of cuts, free of binary dust."""
    return round(math.fsum(np.concatenate(cuts_g)), 10)
