"""Match parts so that least metal is cut, and prove it.

Two ways of the trade. *Interchangeable*: each kind of part is brought to one weight
(`match_each`), any spare fits later. *Sets*: piston, pin and small end of one rod are brought to
one sum (`match_sets`); good pairing leaves little or nothing to cut.

Masses are taken to the nearest 0.01 g, tolerances and limits are rounded down to 0.01 g, and the
search counts in whole hundredths: no rounding can hide a better answer. Masses that are given
finer still get cuts that keep the tolerance as given, and a bound that allows for the rounding.

Cut only where the maker of the part allows it, and never more: the limits are yours to give.
"""

from dataclasses import dataclass
from time import monotonic

import numpy as np
from numpy.typing import ArrayLike

from balance.errors import InputError, one_positive, whole
from balance.parts._answers import MatchedSet, SetCuts, SetMatch, match_of, nearest_match
from balance.parts._grid import (
    Floats,
    Limits,
    above_window,
    cents,
    limits_of,
    masses_of,
    parts_of,
    tolerance_of,
    total_of,
    without_big_ends,
)
from balance.parts._stock import Stock, solve
from balance.parts._task import Meter
from balance.parts.bins import Partition, partition

__all__ = [
    "MatchedSet",
    "Partition",
    "SetCuts",
    "SetMatch",
    "Trim",
    "match_each",
    "match_sets",
    "partition",
]

MOST_CANDIDATES = 60_000_000  # a bound on the work that is the same on a slow or busy machine


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
    return Trim(
        cuts, top, total_of(cuts), not short.any(), short, _short_part(mass, top, over, short)
    )


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

    The work is bounded, so a large shelf may end without proof: then ``optimal`` is False and
    ``bound_g`` says how much better an answer could still be. ``feasible`` is False only with
    proof, and None when no pairing was found within the limits and none is ruled out.

    Equal parts are interchanged by their place in the list only, so the same parts in another
    order give the same sets of masses and the same cuts.

    Parameters
    ----------
    pistons_g, pins_g, small_ends_g : array, shape (n,) [g]
        Masses; the small ends (and big ends) are in the order of the rods. Taken to 0.01 g.
    tolerance_g : float [g]
        Largest difference of two sums after cutting; rounded down to 0.01 g.
    piston_limits_g, small_end_limits_g, big_end_limits_g : float or array, optional [g]
        The most that each part may lose there; None or infinity (also as an entry) sets no limit.
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

    Source: own search, see ``balance.parts._search`` and ``balance.parts._swaps``; checked against
    trying all pairings and against a general solver.
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
        return match_of(stock, solved)
    return nearest_match(stock, solved)


def _meter(time_limit_s: float | None) -> Meter:
    """Return a fresh meter."""
    if time_limit_s is None:
        return Meter(MOST_CANDIDATES)
    return Meter(MOST_CANDIDATES, monotonic() + one_positive("time_limit_s", time_limit_s))


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
    if big is None:
        without_big_ends(big_end_tolerance_g=tolerances[1], big_end_limits_g=limits[2])
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
    if whole("choose", choose, least=1) > min(sizes):
        raise InputError(
            f"choose must not exceed the parts of any kind, got {choose} with {sizes} pistons, "
            "pins and rods"
        )
    return int(choose)
