"""What is to be expected of a plan, worded by its chance: a PASS on paper may be none in metal."""

from balance.metal.steps import CrankCorrection, DiscCorrection
from cli.show_spin import VERDICTS

_MORE_LIKELY_THAN_NOT = 0.5


def expected(correction: CrankCorrection | DiscCorrection, *, wanted: float) -> str:
    """Return the verdict to be expected and how sure it is; less than ``wanted``, what to do.

    Empty where there is no plan. ``wanted`` is the job's ``chance`` under [targets].
    """
    verdict = VERDICTS[correction.verdict]
    if not correction.plan.feasible:
        return ""
    if correction.chance is None:
        return f"{verdict} as it stands"
    inside = correction.chance.inside
    share = share_text(inside)
    if correction.verdict != "pass":
        return (
            f"{verdict}, inside the limit in {share}: the readings' own doubt is too large for "
            "this limit"
        )
    if inside >= wanted:
        return f"{verdict} in {share}"
    then = _what_first(correction)
    if inside >= _MORE_LIKELY_THAN_NOT:
        return f"{verdict} in {share} only, {100 * wanted:g}% are wanted: {then}"
    return f"more likely outside than in, {verdict} in {share} only: {then}"


def _what_first(correction: CrankCorrection | DiscCorrection) -> str:
    """Return how to drill a plan that is not sure enough to be drilled and done with."""
    if isinstance(correction, CrankCorrection) and correction.plan.slugs:
        return "fit the slugs, spin, then plan anew"
    if isinstance(correction, CrankCorrection) and correction.stage and correction.stage.held_back:
        return "drill the first cut only, spin, then finish by what the spin says"
    return "drill, spin, and plan anew by what the spin says"


def share_text(share: float) -> str:
    """Return a share of cases in words; no number of drillings makes a certainty.

    >>> share_text(0.98), share_text(0.9935), share_text(1.0)
    ('98% of cases', '99.4% of cases', 'nearly all cases')
    """
    if share >= 0.9995:
        return "nearly all cases"
    return f"{share:.0%} of cases" if share < 0.99 else f"{share:.1%} of cases"
