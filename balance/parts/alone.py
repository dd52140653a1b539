"""Pistons with neither pins nor rods beside them: brought to one weight by themselves."""

from dataclasses import dataclass

from balance.job.model import Job
from balance.parts.divisions import whole_cut
from balance.parts.matching import match_each
from balance.parts.weigh_steps import first_weights

__all__ = ["CutAlone", "PistonsAlone", "pistons_alone"]


@dataclass(frozen=True)
class CutAlone:
    """One piston: what it weighs, what comes off it, and where to stop [g]."""

    mark: str
    weight_g: float
    cut_g: float
    stop_g: float


@dataclass(frozen=True)
class PistonsAlone:
    """The pistons of a job, each cut to the lightest plus the tolerance.

    ``short_g`` is what the most that a piston may lose leaves too heavy, in all.
    """

    pistons: tuple[CutAlone, ...]
    tolerance_g: float
    removed_g: float
    short_g: float


def pistons_alone(job: Job) -> PistonsAlone | None:
    """Return the pistons brought to one weight; None unless they are all that was weighed.

    Parameters
    ----------
    job : Job
        As read from its file.

    Examples
    --------
    >>> from balance.job.load import read_text
    >>> job = read_text('''format = 1
    ... job = {name = "two"}
    ... engine = {layout = "twin", stroke = "?", rod_length = "?", bore_spacing = "?"}
    ... targets = {match_tolerance = 0.5}
    ... parts.pistons = [{mark = "P1", weight = 420.3}, {mark = "P2", weight = 422.0}]
    ... ''')
    >>> [(each.mark, each.cut_g, each.stop_g) for each in pistons_alone(job).pistons]
    [('P1', 0.0, 420.3), ('P2', 1.2, 420.8)]

    Source: as for :func:`balance.parts.matching.match_each`.
    """
    weighed = [(entry, weight.mass_g) for entry, weight in first_weights(job)]
    pages = job.parts.pistons
    if {entry.kind for entry, _ in weighed} != {"piston"} or len(weighed) != len(pages):
        return None
    own = [job.parts.piston_can_lose if p.can_lose is None else p.can_lose for p in pages]
    tolerance_g, division_g = job.targets.match_tolerance, job.scale.resolution
    trim = match_each([g for _, g in weighed], tolerance_g=tolerance_g, limits_g=own)
    most = [tolerance_g if limit is None else min(tolerance_g, limit) for limit in own]
    cuts = [
        whole_cut(float(cut), room_g, division_g)
        for cut, room_g in zip(trim.cuts_g, most, strict=True)
    ]
    return PistonsAlone(
        tuple(
            CutAlone(entry.part, mass_g, cut, round(mass_g - cut, 10))
            for (entry, mass_g), cut in zip(weighed, cuts, strict=True)
        ),
        tolerance_g,
        round(sum(cuts), 10),
        float(trim.short_g.sum()),
    )
