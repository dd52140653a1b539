"""Ends of a rod that look swapped: the end that is bolted round the crankpin is the heavier one."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from statistics import median

from balance.job.model import Job

__all__ = ["Ends", "ends_of", "is_known_heavy", "swapped_ends"]


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
