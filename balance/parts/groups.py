"""What turns with the crankpin and what goes up and down with the piston, piece by piece."""

from collections.abc import Sequence
from dataclasses import dataclass

from balance.errors import InputError, all_of, instance_of, one_not_negative, one_positive
from balance.parts.weighing import u_of_sum

__all__ = [
    "KINDS",
    "PinGroup",
    "RodGroup",
    "RodItem",
    "pin_group",
    "rod_group",
    "rod_item",
]

RECIPROCATING = "reciprocating"
ROTATING = "rotating"

# kind: (group, pieces on one rod). Locks are two, shells two: common practice, no source.
KINDS: dict[str, tuple[str, int]] = {
    "piston": (RECIPROCATING, 1),
    "pin": (RECIPROCATING, 1),
    "ring set": (RECIPROCATING, 1),
    "lock": (RECIPROCATING, 2),
    "pin button": (RECIPROCATING, 2),
    "rail support": (RECIPROCATING, 1),
    "small end": (RECIPROCATING, 1),
    "big end": (ROTATING, 1),
    "bearing shell": (ROTATING, 2),
}
EXPECTED = ("piston", "pin", "ring set", "lock", "small end", "big end", "bearing shell")


@dataclass(frozen=True)
class RodItem:
    """One line of a rod's list: what was weighed and what of it belongs to one rod.

    ``weighed_g`` is the display for ``pieces_weighed`` pieces; ``per_rod_g`` the mass of the
    ``pieces_fitted`` that one rod carries and ``u_g`` its standard uncertainty.
    """

    kind: str
    group: str
    weighed_g: float
    pieces_weighed: int
    pieces_fitted: int
    per_rod_g: float
    u_g: float


@dataclass(frozen=True)
class RodGroup:
    """One rod's list with its two totals [g] and their standard uncertainties [g].

    ``missing`` are kinds that an engine usually has and this list has not; a pressed pin has
    no locks, so it is a question and no error.
    """

    reciprocating_g: float
    rotating_g: float
    items: tuple[RodItem, ...]
    u_reciprocating_g: float
    u_rotating_g: float
    missing: tuple[str, ...]


@dataclass(frozen=True)
class PinGroup:
    """What hangs on one crankpin: all its rods, and the oil once."""

    reciprocating_g: float
    rotating_g: float
    oil_g: float
    rods: tuple[RodGroup, ...]
    u_reciprocating_g: float
    u_rotating_g: float


def rod_item(
    kind: str,
    weighed_g: float,
    *,
    pieces_weighed: int = 1,
    pieces_fitted: int | None = None,
    group: str | None = None,
    u_g: float = 0.0,
) -> RodItem:
    """Return one line of a rod's list: weighed_g / pieces_weighed * pieces_fitted.

    Say how many pieces lay on the scale, and nobody has to guess whether a figure was per piece,
    per rod or per pin: a pair of locks is 2, the shells of a pin with two rods are 4.

    Parameters
    ----------
    kind : str
        One of `KINDS`, or another name together with its ``group``.
    weighed_g : float [g]
        What the scale showed.
    pieces_weighed : int [-]
        Pieces on the scale.
    pieces_fitted : int [-]
        Pieces that one rod carries; `KINDS` knows the usual number.
    group : str
        "reciprocating" or "rotating", for a kind that `KINDS` does not know.
    u_g : float [g]
        Standard uncertainty of ``weighed_g``.

    Raises
    ------
    InputError
        When the kind or group is unknown, a count is not a whole number above zero, or the mass
        is not above zero.

    Examples
    --------
    >>> rod_item("lock", 4.8, pieces_weighed=2).per_rod_g
    4.8
    >>> rod_item("bearing shell", 90.0, pieces_weighed=4).per_rod_g
    45.0

    Source: T. Eaton, Engine Balancing, part 5 (which part counts where); how
    many pieces, common practice, no source.
    """
    if group is not None:
        instance_of("group", group, str)
    where, usual = _kind(kind, group)
    weighed = one_positive("weighed_g", weighed_g)
    on_scale = _count("pieces_weighed", pieces_weighed)
    fitted = _count("pieces_fitted", usual if pieces_fitted is None else pieces_fitted)
    u = one_not_negative("u_g", u_g) / on_scale * fitted
    return RodItem(kind, where, weighed, on_scale, fitted, weighed / on_scale * fitted, u)


def rod_group(items: Sequence[RodItem], *, offset_u_g: float = 0.0) -> RodGroup:
    """Add up what belongs to one rod: reciprocating and rotating apart.

    Parameters
    ----------
    items : sequence of RodItem
        Each kind once.
    offset_u_g : float [g]
        Standard uncertainty of an offset that all weighings share; it enters with the sum of the
        counts, not as squares.

    Raises
    ------
    InputError
        When the list is empty or names a kind twice.

    Examples
    --------
    >>> rod = rod_group([rod_item("big end", 621.5), rod_item("bearing shell", 22.5)])
    >>> rod.rotating_g, rod.missing
    (666.5, ('piston', 'pin', 'ring set', 'lock', 'small end'))

    Source: T. Eaton, Engine Balancing, part 5; uncertainty, JCGM 100:2008, 5.1.2 and 5.2.2,
    from memory.
    """
    lines = all_of("items", items, RodItem)
    if not lines:
        raise InputError("items must hold at least one weighed part, got none")
    kinds = [item.kind for item in lines]
    twice = sorted({kind for kind in kinds if kinds.count(kind) > 1})
    if twice:
        raise InputError(f"items must name each kind once, got {', '.join(twice)} more than once")
    up_down = [item for item in lines if item.group == RECIPROCATING]
    around = [item for item in lines if item.group == ROTATING]
    return RodGroup(
        reciprocating_g=sum(item.per_rod_g for item in up_down),
        rotating_g=sum(item.per_rod_g for item in around),
        items=lines,
        u_reciprocating_g=_u(up_down, offset_u_g),
        u_rotating_g=_u(around, offset_u_g),
        missing=tuple(kind for kind in EXPECTED if kind not in kinds),
    )


def pin_group(rods: Sequence[RodGroup], *, oil_g: float = 0.0, u_oil_g: float = 0.0) -> PinGroup:
    """Add up what hangs on one crankpin: its rods, and the oil once a pin, not once a rod.

    Parameters
    ----------
    rods : sequence of RodGroup
        The rods on this pin.
    oil_g, u_oil_g : float [g]
        Allowance for clinging oil, a convention and no measurement, and how far it is trusted.

    Raises
    ------
    InputError
        When there is no rod, or the oil is negative.

    Examples
    --------
    >>> rod = rod_group([rod_item("big end", 621.5), rod_item("bearing shell", 22.5)])
    >>> pin_group([rod, rod], oil_g=4.0).rotating_g
    1337.0

    Source: T. Eaton, Engine Balancing, part 5; oil of 0 to 6 g, common practice, no source.
    """
    carried = all_of("rods", rods, RodGroup)
    if not carried:
        raise InputError("rods must hold at least one rod, got none")
    oil = one_not_negative("oil_g", oil_g)
    turning = [rod.u_rotating_g for rod in carried] + [one_not_negative("u_oil_g", u_oil_g)]
    return PinGroup(
        reciprocating_g=sum(rod.reciprocating_g for rod in carried),
        rotating_g=sum(rod.rotating_g for rod in carried) + oil,
        oil_g=oil,
        rods=carried,
        u_reciprocating_g=u_of_sum([1] * len(carried), [r.u_reciprocating_g for r in carried]),
        u_rotating_g=u_of_sum([1] * len(turning), turning),
    )


def _kind(kind: str, group: str | None) -> tuple[str, int]:
    """Return group and usual pieces of a kind; a stranger must bring its group."""
    if instance_of("kind", kind, str) in KINDS:
        known, pieces = KINDS[kind]
        if group not in {None, known}:
            raise InputError(f"group of {kind!r} must be {known!r}, got {group!r}")
        return known, pieces
    if group not in {RECIPROCATING, ROTATING}:
        raise InputError(
            f"kind must be one of {', '.join(KINDS)}, or come with group 'reciprocating' or "
            f"'rotating', got {kind!r} with group {group!r}"
        )
    return group, 1


def _count(name: str, value: int) -> int:
    """Return a count of pieces."""
    if isinstance(value, bool) or value != int(one_positive(name, value)):
        raise InputError(f"{name} must be a whole number of pieces, got {value!r}")
    return int(value)


def _u(items: Sequence[RodItem], offset_u_g: float) -> float:
    """Return the uncertainty of a total, the shared offset once for each weighing and count."""
    if not items:  # nothing of this rod goes this way
        return 0.0
    independent = u_of_sum([1] * len(items), [item.u_g for item in items])
    counts = [item.pieces_fitted / item.pieces_weighed for item in items]
    return float((independent**2 + u_of_sum(counts, 0.0, offset_u_g=offset_u_g) ** 2) ** 0.5)
