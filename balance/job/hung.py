"""What hangs on every piston or rod and has no mark: rings, locks and bearing shells."""

import re
from statistics import fmean

from balance.job.model import Job

__all__ = ["HUNG", "hung_in_list", "hung_name", "with_hung"]

HUNG = {"rings": "ring_set", "locks": "locks", "shells": "bearing_shells"}
"""By the name that stands for them in ``[[weighings]]``: their key under ``[parts]``."""

_SPOKEN = {
    "ring": "rings", "rings": "rings", "ring set": "rings",
    "ring sets": "rings", "ring pack": "rings", "lock": "locks", "locks": "locks",
    "circlips": "locks", "clips": "locks",
    "shell": "shells", "shells": "shells", "bearing shells": "shells", "bearings": "shells",
}  # fmt: skip

_ONE = ("ring", "lock", "circlip", "clip", "shell", "bearing")
_BESIDE = (
    "piston", "pistons", "pin", "rod", "wrist", "gudgeon", "big", "end", "of", "per", "pair",
    "pairs", "weight", "mass", "average", "mean", "avg", "g", "oz",
)  # fmt: skip


def hung_name(said: str) -> str | None:
    """Return which of them is meant; None when it is none.

    Examples
    --------
    >>> hung_name("Ring_set"), hung_name("P1")
    ('rings', None)
    """
    return _SPOKEN.get(" ".join(said.lower().replace("_", " ").split()))


def hung_in_list(said: str) -> str | None:
    """Return which of them a cell or a title of a list means; None when it is none.

    A list says more than their name. One ring or one lock is none of them: which part of the set
    or of the pair that is, only its maker knows.

    Examples
    --------
    >>> hung_in_list("Ring set (g)"), hung_in_list("Circlips, pair"), hung_in_list("rod bearings")
    ('rings', 'locks', 'shells')
    >>> hung_in_list("Top ring"), hung_in_list("Circlip"), hung_in_list("Piston")
    (None, None, None)
    """
    words = re.findall(r"[a-z]+", re.sub(r"[\[(].*?[\])]", " ", said.lower()))
    left = " ".join(word for word in words if word not in _BESIDE)
    return None if left in _ONE else hung_name(left)


def with_hung(job: Job) -> Job:
    """Return a job whose ring set, locks and shells are as weighed, where they were weighed.

    One mass holds for every piston or rod: the mean of all readings that stand. It takes the place
    of what is written under ``[parts]``.

    Parameters
    ----------
    job : Job
        As its file says it.

    Source: common practice, no source: they come from one box.
    """
    from balance.job.readings import wanted_weighings

    weighed = {
        HUNG[wanted.part]: fmean(wanted.readings_g)
        for wanted in wanted_weighings(job)
        if wanted.kind in HUNG
    }
    if not weighed:
        return job
    return job.model_copy(update={"parts": job.parts.model_copy(update=weighed)})
