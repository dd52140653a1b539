"""All results of one job, each computed once, when it is first asked for."""

from functools import cached_property

from balance.engine.bobweights import Need, needed
from balance.engine.steps import BobweightCard, Shook, bobweight_job, engine_of, shake_job
from balance.errors import MissingInputError
from balance.job.model import Job
from balance.metal.history_steps import History, history_job
from balance.metal.steps import Corrected, correct_job
from balance.metal.variants import Alternative, alternatives
from balance.parts.advice import Replacement
from balance.parts.steps import Matched, match_job, replace_job
from balance.spin.steps import Spun, spin_job

__all__ = ["Results"]


class Results:
    """The way through the house for one job: parts, engine, spin, metal.

    Parameters
    ----------
    job : Job
        From :func:`balance.job.load.read_job`.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> results = Results(read_job(files("cli.examples") / "flat-four.toml"))
    >>> results.corrected.feasible, results.need.needed
    (True, False)
    """

    def __init__(self, job: Job) -> None:
        self.job = job

    @cached_property
    def matched(self) -> Matched:
        """The sets and their cuts."""
        return match_job(self.job)

    @cached_property
    def advice(self) -> tuple[Replacement, ...]:
        """The parts whose replacement would save metal."""
        return replace_job(self.job, self.matched.bench)

    @cached_property
    def need(self) -> Need:
        """Whether the engine needs bobweights, known from its layout alone."""
        return needed(engine_of(self.job))

    @cached_property
    def card(self) -> BobweightCard:
        """Which set goes where, and the bobweights."""
        return bobweight_job(self.job, self.matched)

    @cached_property
    def shook(self) -> Shook:
        """What the engine shakes."""
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
        known = self.need.needed and not self.parts_unknown
        return spin_job(self.job, self.card.bobweights if known else ())

    @cached_property
    def history(self) -> History:
        """What was drilled, held against what the next spin showed."""
        known = self.need.needed and not self.parts_unknown
        return history_job(self.job, self.card.bobweights if known else ())

    @cached_property
    def corrected(self) -> Corrected:
        """The holes and slugs."""
        return correct_job(self.job, self.spun)

    @cached_property
    def others(self) -> tuple[Alternative, ...]:
        """Other good plans for the crank, that differ in kind."""
        made = self.corrected.crank.plan
        return alternatives(made) if made.feasible and made.holes and not made.slugs else ()
