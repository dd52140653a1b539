"""Parts that look swapped: pin and piston, or the ends of a rod, of which the big is heavier."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import inf
from statistics import median

from balance.job.model import Job
from balance.job.readings import Wanted

__all__ = ["Ends", "ends_of", "is_known_heavy", "swapped_ends", "wrong_kind"]

_PIN_PER_PISTON = 0.8  # a pin is a third of its piston or so: common practice, no source


@dataclass(frozen=True)
class Ends:
    """What a rod's big and small end were found to weigh [g]."""

    big_g: float
    small_g: float


def ends_of(weighed_g: Mapping[str, float]) -> Ends | None:
    """Return both ends from any two of a rod's weighings; None while they are not known.

    Examples
    --------
    >>> ends_of({"total": 558.0, "big_end": 401.0}), ends_of({"big_end": 401.0})
    (Ends(big_g=401.0, small_g=157.0), None)
    """
    total = weighed_g.get("total", inf)
    big, small = weighed_g.get("big_end"), weighed_g.get("small_end")
    if total < inf:
        big = total - small if big is None and small is not None else big
        small = total - big if small is None and big is not None else small
    if big is None or small is None or min(big, small) <= 0 or max(big, small) >= total:
        return None  # an end as heavy as the whole is another mistake
    return Ends(big, small)


def is_known_heavy(job: Job, mark: str) -> bool:
    """Return whether a rod's small end may be the heavier one: as written, or a radial's rods.

    The rods of a radial hang on the first one by a knuckle pin, no bigger than the piston's.
    """
    if (job.engine.layout or "").strip().lower().startswith("radial"):
        return True
    return any(rod.mark == mark and rod.small_end_heavier for rod in job.parts.rods)


def swapped_ends(ends: Mapping[str, Ends]) -> dict[str, str]:
    """Say of each rod whose small end outweighs its big end that the two look swapped.

    Parameters
    ----------
    ends : mapping
        By the mark of the rod, as far as they are known.

    Examples
    --------
    >>> swapped_ends({"R1": Ends(157.0, 401.1)})["R1"]
    'rod R1: its small end (401.1 g) weighs more than its big end (157.0 g): are the two swapped?'
    >>> swapped_ends({"R1": Ends(401.0, 157.0), "R2": Ends(432.0, 168.0)})
    {}

    Source: the big end, with cap and bolts round the larger pin, is the heavier: common practice,
    no source.
    """
    odd = {mark: each for mark, each in ends.items() if each.small_g > each.big_g}
    others = [each for mark, each in ends.items() if mark not in odd]
    return {mark: f"rod {mark}: {_said(each, others)}" for mark, each in odd.items()}


def _said(each: Ends, others: list[Ends]) -> str:
    if not others:
        return (
            f"its small end ({each.small_g:.1f} g) weighs more than its big end "
            f"({each.big_g:.1f} g): are the two swapped?"
        )
    big, small = (median(getattr(e, end) for e in others) for end in ("big_g", "small_g"))
    return (
        f"big and small end look swapped ({each.big_g:.1f} / {each.small_g:.1f} g, the other rods "
        f"{big:.1f} / {small:.1f} g): are they?"
    )


def wrong_kind(wanted: Wanted, value_g: float, every: Iterable[Wanted]) -> str:
    """Say that a pin is not far lighter than a piston by a reading; nothing when it is.

    Examples
    --------
    >>> piston, pin = Wanted("piston", "P1", "weight", (420.3,)), Wanted("pin", "N1", "weight", ())
    >>> print(wrong_kind(pin, 420.1, [piston, pin]))  # doctest: +NORMALIZE_WHITESPACE
    pin N1: 420.10 g, but a pin is far lighter than its piston (P1: 420.30 g): is it the right part?
    >>> wrong_kind(pin, 110.2, [piston, pin])
    ''

    Source: common practice, no source.
    """
    other_kind = {"piston": "pin", "pin": "piston"}.get(wanted.kind)
    for other in every:
        if other.kind != other_kind or not other.readings_g:
            continue
        other_g = median(other.readings_g)
        pin_g, piston_g = (value_g, other_g) if wanted.kind == "pin" else (other_g, value_g)
        if pin_g > _PIN_PER_PISTON * piston_g:
            return (
                f"{wanted.label}: {value_g:.2f} g, but a pin is far lighter than its piston "
                f"({other.part}: {other_g:.2f} g): is it the right part?"
            )
    return ""
