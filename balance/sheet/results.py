"""All results of one job, each computed once, when it is first asked for.

Each step imports its room when it is taken: a command loads only the rooms that it walks through.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from balance.errors import MissingInputError

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray

    from balance.engine.bobweights import Bobweight, Need
    from balance.engine.steps import BobweightCard, Shook
    from balance.job.model import Job
    from balance.metal.check_spin_steps import SpinCheck
    from balance.metal.history_steps import History
    from balance.metal.steps import Corrected
    from balance.metal.variants import Alternative
    from balance.parts.advice import Replacement
    from balance.parts.finished import FinishedSet
    from balance.parts.steps import Matched
    from balance.spin.check_spin_steps import RecordedCheck
    from balance.spin.spun import Spun

__all__ = ["Results"]


class Results:
    """The way through the house for one job: parts, engine, spin, metal.

    Parameters
    ----------
    job : Job
        From :func:`balance.job.load.read_job`.
    sure : bool
        Whether the person at the bench measured every recorded hole and stands by it: then what
        the last spin says against the holes forbids nothing.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> results = Results(read_job(files("cli.examples") / "flat-four.toml"))
    >>> results.corrected.feasible, results.need.needed
    (True, False)
    """

    def __init__(self, job: Job, *, sure: bool = False) -> None:
        self.job, self.sure = job, sure

    @cached_property
    def matched(self) -> Matched:
        """The sets and their cuts."""
        from balance.parts.steps import match_job

        return match_job(self.job)

    @cached_property
    def advice(self) -> tuple[Replacement, ...]:
        """The parts whose replacement would save metal."""
        from balance.parts.steps import replace_job

        return replace_job(self.job, self.matched.bench)

    @cached_property
    def need(self) -> Need:
        """Whether the engine needs bobweights, known from its layout alone."""
        from balance.engine.bobweights import needed
        from balance.engine.steps import engine_of

        return needed(engine_of(self.job))

    @cached_property
    def card(self) -> BobweightCard:
        """Which set goes where, and the bobweights."""
        from balance.engine.steps import bobweight_job

        return bobweight_job(self.job, self.matched)

    @cached_property
    def placed(self) -> tuple[tuple[str, FinishedSet], ...]:
        """The sets in the order of their cylinders; without one while the engine is not known."""
        try:
            return tuple(zip(self.card.cylinders, self.card.sets, strict=True))
        except MissingInputError:
            return tuple(("", each) for each in self.matched.sets)

    @cached_property
    def shook(self) -> Shook:
        """What the engine shakes."""
        from balance.engine.steps import shake_job

        return shake_job(self.job, self.card)

    @cached_property
    def parts_unknown(self) -> tuple[str, ...]:
        """The weighings that are missing when bobweights are needed; empty when all is known."""
        if not self.need.needed:
            return ()
        try:
            _ = self.matched
        except MissingInputError as missing:
            return tuple(missing.needed)
        return ()

    @cached_property
    def spun(self) -> Spun:
        """What the spins say; bobweights are taken as right where the parts are not weighed."""
        from balance.spin.steps import spin_job

        return spin_job(self.job, self._bobweights)

    @cached_property
    def history(self) -> History:
        """What was drilled, held against what the next spin showed."""
        from balance.metal.history_steps import history_job

        return history_job(self.job, self._bobweights)

    @cached_property
    def first_measured(self) -> Mapping[str, NDArray[np.complex128]]:
        """What each part showed when it was first spun [g mm]."""
        from balance.spin.first_states import first_measured

        return first_measured(self.job, self._bobweights)

    @property
    def _bobweights(self) -> tuple[Bobweight, ...]:
        known = self.need.needed and not self.parts_unknown
        return self.card.bobweights if known else ()

    @cached_property
    def planned(self) -> Corrected:
        """The holes and slugs that the spins lead to, whatever is said against them."""
        from balance.metal.steps import correct_job

        return correct_job(self.job, self.spun)

    @cached_property
    def corrected(self) -> Corrected:
        """The holes and slugs to drill and fit; none while anything contradicts them."""
        if not self.stop:
            return self.planned
        from balance.metal.withheld import withhold

        return withhold(self.planned, self.spun, self.stop)

    @cached_property
    def check_spin(self) -> SpinCheck:
        """The check spin to make before anything is cut, and what the one that was made says."""
        from balance.metal.check_spin_steps import check_spin_job

        return check_spin_job(self.job, self.spun, self.planned, self.history)

    @property
    def stop(self) -> str:
        """Why nothing is to be cut: what a check spin, or the last spin, contradicts; or empty."""
        putty = self.recorded_check
        if putty is not None and putty.contradicts:
            return putty.message
        return "" if self.sure else self.unexplained

    @cached_property
    def recorded_check(self) -> RecordedCheck | None:
        """The latest check spin and what it says, which needs no plan; None without one."""
        from balance.spin.check_spin_steps import last_check

        return last_check(self.job, self.spun.machine)

    @property
    def unexplained(self) -> str:
        """What the last spins say against the holes or one another; empty when they agree."""
        return self.history.unexplained or self.spun.contradiction

    @cached_property
    def others(self) -> tuple[Alternative, ...]:
        """Other good plans for the crank, that differ in kind."""
        from balance.metal.variants import other_ways

        return other_ways(self.corrected.crank.plan)
