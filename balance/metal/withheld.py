"""The corrections of a job while something says that its plans rest on what is not so."""

from dataclasses import replace

from balance.metal.held import held_disc, held_plan
from balance.metal.steps import Corrected, CrankCorrection, DiscCorrection
from balance.spin.spun import PartUnbalance, Spun
from balance.spin.tolerance import judge

__all__ = ["withhold"]


def withhold(corrected: Corrected, spun: Spun, why: str) -> Corrected:
    """Return the corrections without anything to drill or fit: every part stands as it is.

    Parameters
    ----------
    corrected : Corrected
        With its plans, from :func:`balance.metal.steps.correct_job`.
    spun : Spun
        What it was planned from.
    why : str
        What contradicts it; each plan then says so in place of a reason.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.metal.steps import correct_job
    >>> from balance.spin.steps import spin_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> spun = spin_job(job)
    >>> held = withhold(correct_job(job, spun), spun, "the check spin shows something else")
    >>> held.crank.plan.holes, held.crank.plan.feasible, held.crank.verdict
    ((), None, 'fail')
    """
    parts = {part.name: part for part in spun.parts}
    return replace(
        corrected,
        crank=_crank(corrected.crank, spun.parts[0], why),
        discs=tuple(_disc(disc, parts[disc.name], why) for disc in corrected.discs),
        warnings=(),
        slug_pull_n=(),
    )


def _crank(made: CrankCorrection, part: PartUnbalance, why: str) -> CrankCorrection:
    return replace(
        made,
        plan=held_plan(made.plan, made.before, made.counterweights, why),
        verdict=judge(made.before, permissible_gmm=part.permissible_gmm, u_gmm=part.u_gmm),
        chance=None,
        stage=None,
    )


def _disc(made: DiscCorrection, part: PartUnbalance, why: str) -> DiscCorrection:
    limit, u = float(part.permissible_gmm[0]), float(part.u_gmm[0])
    verdict = judge(made.before, permissible_gmm=limit, u_gmm=u)
    return replace(made, plan=held_disc(made.before, why), verdict=verdict, chance=None)
