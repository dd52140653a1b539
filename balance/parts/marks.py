"""A list for the punch: what to mark on each part, where, and which way round it goes in."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from balance.errors import InputError, instance_of, is_whole, items_of

__all__ = ["CAUTION", "Mark", "punch_list"]

CAUTION = (
    "Stamp before the last weighing, lightly, and only on an unstressed boss: never on a beam, a "
    "bolt, a pin or a crown. Mark pins and bolts with a pen or a tag. (Common practice, no source.)"
)


class SetOfParts(Protocol):
    """Which piston, pin and rod go together, counted from 0."""

    @property
    def piston(self) -> int:
        """Index of the piston."""

    @property
    def pin(self) -> int:
        """Index of the pin."""

    @property
    def rod(self) -> int:
        """Index of the rod."""


@dataclass(frozen=True)
class Mark:
    """One part to mark. Numbers count from 1, as on the bench.

    ``cylinder`` counts them in their order; ``part`` is "piston", "pin", "rod" or "cap";
    ``number`` the place in the list that was weighed; ``stamp`` what to write: the cylinder's
    name and the set.
    """

    cylinder: int
    set_number: int
    part: str
    number: int
    stamp: str
    where: str
    orientation: str


# part: (where, orientation), both common practice, no source.
_HOW = {
    "piston": (
        "a pin boss, underside",
        "maker's front mark {front}",
    ),
    "pin": (
        "pen or tag, no punch",
        "same end {front} as weighed; locks with it",
    ),
    "rod": (
        "boss beside the joint, shank half",
        "this side {side}; oil hole and wide chamfer as found",
    ),
    "cap": (
        "boss beside the joint, cap half",
        "stamp beside the rod's stamp, never turned or swapped",
    ),
}


def punch_list(
    sets: Sequence[SetOfParts],
    *,
    set_at_cylinder: Sequence[int] | None = None,
    cylinder_names: Sequence[str] | None = None,
    front: str = "towards the nose of the crank",
    rod_side: str = "as it stood before dismantling",
) -> tuple[Mark, ...]:
    """List every part to mark, cylinder by cylinder, with its set and its orientation.

    Parameters
    ----------
    sets : sequence of sets
        Each with the indexes ``piston``, ``pin`` and ``rod``, counted from 0.
    set_at_cylinder : sequence of int
        Index of the set that goes to each cylinder; left out, in their order.
    cylinder_names : sequence of str
        What the engine calls its cylinders, in the same order; left out, 1 2 3 ...
    front : str
        Where the piston's front mark points in this engine.
    rod_side : str
        Where the stamped side of the rods faces in this engine.

    Raises
    ------
    InputError
        When a part would be in two sets, the cylinders do not take each set once, or they do not
        have one name each.

    Examples
    --------
    >>> from types import SimpleNamespace as Set
    >>> marks = punch_list(
    ...     [Set(piston=1, pin=0, rod=0), Set(piston=0, pin=1, rod=1)], set_at_cylinder=[1, 0]
    ... )
    >>> [(m.cylinder, m.part, m.number, m.stamp) for m in marks[:2]]
    [(1, 'piston', 1, '1-S2'), (1, 'pin', 2, '1-S2')]
    >>> punch_list([Set(piston=0, pin=0, rod=0)], cylinder_names=["5"])[0].stamp
    '5-S1'

    Source: common practice, no source.
    """
    count = len(items_of("sets", sets))
    given = (
        range(count) if set_at_cylinder is None else items_of("set_at_cylinder", set_at_cylinder)
    )
    order = [index for index in given if is_whole(index)]
    if len(order) != len(given) or sorted(order) != list(range(count)):
        raise InputError(
            f"set_at_cylinder must name each of the {count} sets once, counted from 0, "
            f"got {given!r}"
        )
    _each_once(sets)
    names = _names(cylinder_names, len(order))
    sides = {
        "front": instance_of("front", front, str),
        "side": instance_of("rod_side", rod_side, str),
    }
    return tuple(
        mark
        for place, index in enumerate(order)
        for mark in _marks(place + 1, names[place], index + 1, sets[index], sides)
    )


def _names(given: Sequence[str] | None, count: int) -> tuple[str, ...]:
    """Return one name for each cylinder: a wrong number on metal cannot be taken back."""
    names = tuple(
        map(str, range(1, count + 1) if given is None else items_of("cylinder_names", given))
    )
    if len(names) != count:
        raise InputError(
            f"cylinder_names must be one for each of the {count} cylinders, got {names!r}"
        )
    for name in names:
        if not name.strip() or names.count(name) > 1:
            raise InputError(
                f"cylinder_names must differ and none be empty, got {name!r} among {names!r}"
            )
    return names


def _each_once(sets: Sequence[SetOfParts]) -> None:
    """Require that no part is in two sets."""
    for part in ("piston", "pin", "rod"):
        numbers: list[Any] = [getattr(entry, part, None) for entry in sets]
        for number in numbers:
            if not is_whole(number) or number < 0:
                raise InputError(f"{part} of a set must be an index from 0, got {number!r}")
            if numbers.count(number) > 1:
                raise InputError(f"sets must hold each {part} once, got {part} {number!r} twice")


def _marks(
    cylinder: int, name: str, set_number: int, entry: SetOfParts, sides: dict[str, str]
) -> tuple[Mark, ...]:
    """Return the four marks of one cylinder; a cap carries its rod's number."""
    numbers = {"piston": entry.piston, "pin": entry.pin, "rod": entry.rod, "cap": entry.rod}
    stamp = f"{name}-S{set_number}"
    return tuple(
        Mark(
            cylinder,
            set_number,
            part,
            int(number) + 1,
            stamp,
            _HOW[part][0],
            _HOW[part][1].format(**sides),
        )
        for part, number in numbers.items()
    )
