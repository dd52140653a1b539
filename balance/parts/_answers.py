"""Answers in grams: matched sets, what is cut where, and what stands in the way."""

import math
from dataclasses import dataclass, replace

import numpy as np

from balance.parts._grid import HAIR, PER_GRAM, Floats, above_window, middle, total_of, whole_cents
from balance.parts._sets import Solved
from balance.parts._shortfall import Shortfall, by_argument, told
from balance.parts._stock import Stock, nearest
from balance.parts._task import Ints

__all__ = ["MatchedSet", "SetCuts", "SetMatch", "match_of", "nearest_match", "split_cuts"]

ROUNDING_G = 0.005  # of one mass


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

    ``feasible`` is False only when it is proven that no arrangement keeps the limits (``bound_g``
    is then infinite), and None when none was found and none is ruled out: ask ``is True`` or for
    truth. In both cases the sets shown are the nearest ones, their cuts stop at the limits, and
    ``reason`` says which set is short by how much (``short`` says it in numbers).
    """

    sets: list[MatchedSet]
    cuts: list[SetCuts]
    removed_g: float
    bound_g: float
    optimal: bool
    feasible: bool | None
    shop_removed_g: float
    target_g: float
    big_end_target_g: float
    reason: str = ""
    short: Shortfall | None = None


def nearest_match(stock: Stock, solved: Solved) -> SetMatch:
    """Return the nearest sets and say what stands in the way."""
    found = nearest(stock)
    short = replace(_shortfall(stock, found), proven=solved.proven)
    match = match_of(stock, found, short)
    return replace(match, bound_g=math.inf if solved.proven else solved.bound / PER_GRAM)


def match_of(stock: Stock, solved: Solved, short: Shortfall | None = None) -> SetMatch:
    """Return the answer in grams, what each set loses split over its places."""
    piston, pin, rod = _columns(solved)
    over, top = _over(stock, solved)
    big_over, big_top = _big_over(stock, solved)
    cut_piston, cut_small = split_cuts(over, stock.pistons.limit_g[piston], stock.rods.limit_g[rod])
    cut_big = np.minimum(big_over, stock.big_limit_g[rod])
    return SetMatch(
        sets=[MatchedSet(*map(int, s)) for s in zip(piston, pin, rod, strict=True)],
        cuts=[SetCuts(*map(float, c)) for c in zip(cut_piston, cut_small, cut_big, strict=True)],
        removed_g=total_of(cut_piston, cut_small, cut_big),
        bound_g=max(0.0, round(solved.bound / PER_GRAM - _doubt(stock), 10)),
        optimal=solved.proven and short is None,
        feasible=True if short is None else False if short.proven else None,
        shop_removed_g=_shop(stock, piston, rod),
        target_g=top,
        big_end_target_g=big_top,
        reason="" if short is None else told(short, by_argument),
        short=short,
    )


def _columns(solved: Solved) -> tuple[Ints, Ints, Ints]:
    """Return the indexes of the pistons, pins and rods of the sets."""
    if solved.picks is None:
        raise ValueError("only answers with sets are shown")
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


def split_cuts(over: Floats, piston: Floats, small: Floats) -> tuple[Floats, Floats]:
    """Share cuts between piston and small end within their limits, in one place if it will do."""
    alone_on_rod = (over > piston + HAIR) & (over <= small + HAIR)
    from_piston = np.where(alone_on_rod, 0.0, np.minimum(over, piston))
    return from_piston, np.minimum(np.round(over - from_piston, 10), small)


def _shop(stock: Stock, piston: Ints, rod: Ints) -> float:
    """Return what is cut when every piston, small end and big end goes to the lightest."""
    kinds = [stock.pistons.mass_g[piston], stock.rods.mass_g[rod]]
    if stock.big_g is not None:
        kinds.append(stock.big_g[rod])
    return total_of(*(above_window(mass, slack=0)[0] for mass in kinds))


def _doubt(stock: Stock) -> float:
    """Return how far the bound may stand too high because masses were given finer than 0.01 g."""
    exact = all(p.exact for p in (stock.pistons, stock.pins, stock.rods))
    sums = 0.0 if exact else 6 * ROUNDING_G  # three masses in the set, three in the lightest
    big = stock.big_g is None or whole_cents(stock.big_g)
    return stock.n * (sums + (0.0 if big else 2 * ROUNDING_G))


def _shortfall(stock: Stock, solved: Solved) -> Shortfall:
    """Return which set or big end the limits keep too heavy, and by how much."""
    piston, pin, rod = _columns(solved)
    over, top = _over(stock, solved)
    room = stock.pistons.limit_g[piston] + stock.rods.limit_g[rod]
    big_over, big_top = _big_over(stock, solved)
    short, big_short = over - room, big_over - stock.big_limit_g[rod]
    if big_short.max() > max(short.max(), 0.0):
        at = int(big_short.argmax())
        limit = float(stock.big_limit_g[rod[at]])
        return Shortfall(int(rod[at]), None, None, float(big_over[at]), big_top, limit)
    at = int(short.argmax())
    return Shortfall(
        int(rod[at]), int(piston[at]), int(pin[at]), float(over[at]), top, float(room[at]),
        *_odd_part(stock),
    )  # fmt: skip


def _odd_part(stock: Stock) -> tuple[str, int, float]:
    """Return the part that is farthest from the middle of its kind: kind, index and how far."""
    kinds = {"piston": stock.pistons, "pin": stock.pins, "small end": stock.rods}
    found = []
    for name, parts in kinds.items():
        off = parts.mass_g - middle(parts.mass_g)
        at = int(np.abs(off).argmax())
        found.append((name, at, float(off[at])))
    return max(found, key=lambda f: abs(f[2]))
