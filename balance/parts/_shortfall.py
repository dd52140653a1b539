"""What stands in the way of sets, told with whatever names the reader knows the parts by."""

from collections.abc import Callable
from dataclasses import dataclass

__all__ = ["Name", "Shortfall", "by_argument", "told"]

Name = Callable[[str, int], str]
"""From a kind ("piston", "pin", "small end", "big end") and an index to a name."""


@dataclass(frozen=True)
class Shortfall:
    """The set or big end that the limits keep too heavy, by the most; indexes count from 0.

    ``piston`` and ``pin`` are None when it is the big end of ``rod``. ``proven`` says that no
    arrangement keeps the limits; ``odd_part`` is that of ``odd_kind`` farthest from the middle.
    """

    rod: int
    piston: int | None
    pin: int | None
    must_lose_g: float
    target_g: float
    limit_g: float
    odd_kind: str = ""
    odd_part: int = 0
    odd_off_g: float = 0.0
    proven: bool = True


def by_argument(kind: str, index: int) -> str:
    """Return the name of a part as the caller of a function knows it.

    >>> by_argument("small end", 2)
    'small_ends_g[2]'
    """
    return f"{kind.replace(' ', '_')}s_g[{index}]"


def told(short: Shortfall, name: Name) -> str:
    """Return in words which set or big end is too heavy, and by how much."""
    doubt = "no pairing found within the limits, and none ruled out; "
    return ("" if short.proven else doubt) + _which(short, name)


def _which(short: Shortfall, name: Name) -> str:
    lose = f"must lose {short.must_lose_g:.2f} g to reach {short.target_g:.2f} g, but"
    lacking = f"{short.limit_g:.2f} g: {short.must_lose_g - short.limit_g:.2f} g too little"
    if short.piston is None or short.pin is None:
        return f"{name('big end', short.rod)} {lose} its limit is {lacking}"
    side = "above" if short.odd_off_g > 0 else "below"
    return (
        f"in the nearest pairing found, {name('piston', short.piston)} with "
        f"{name('pin', short.pin)} and {name('small end', short.rod)} {lose} piston and "
        f"small end may lose {lacking}; the odd part is {name(short.odd_kind, short.odd_part)}, "
        f"{abs(short.odd_off_g):.2f} g {side} the middle of its kind"
    )
