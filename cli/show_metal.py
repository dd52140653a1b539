"""The holes and slugs, for people."""

from balance.metal.guards import RETENTION_CHECKLIST, TUNGSTEN_CAUTIONS
from balance.metal.planning import PlannedHole, PlannedSlug
from balance.metal.steps import Corrected, CrankCorrection, DiscCorrection
from balance.sheet.results import Results
from balance.sheet.sections_holes import deepening
from balance.sheet.wording import capital, sentence
from balance.vectors import amount, degrees, fold, whole_degrees
from cli.cautions import DRILLING, caution
from cli.expected import expected, share_text
from cli.printing import bullets, gmm, heading, next_step, say, table, title
from cli.show_check_spin import STOPPED, next_of_check, show_check_spin, show_recorded_check
from cli.spin_first import crank_by_holes, disc_by_holes, since_last_spin, spin_first


def show_correction(results: Results, *, others: bool = False) -> None:
    """Print every hole: where, which drill, how deep; then what is left and the cautions.

    While a spin contradicts what the plan rests on nothing is printed to drill by.
    """
    title("Correction", results.job)
    recorded = since_last_spin(results)
    if recorded is not None:
        spin_first(results, recorded)
    show_recorded_check(results.job, results.check_spin.recorded)
    if results.check_spin.contradiction:  # the plan rests on what has just been refuted
        next_step(next_of_check(results.check_spin))
        return
    _doubts(results)
    if results.stop:
        next_step(STOPPED)
        return
    corrected = results.corrected
    if "crank" in corrected.waiting:
        crank_by_holes(results, corrected.crank)
    else:
        _crank(results, corrected.crank)
        if others:
            _others(results)
    for disc in corrected.discs:
        if disc.name in corrected.waiting:
            disc_by_holes(disc)
        else:
            _disc(results, disc)
    if recorded is None:
        show_check_spin(results)
    say(
        "",
        "Angles turn with the crank: 0 deg is crankpin 1, counter-clockwise seen from the",
        "flywheel. Depth is at full diameter, from the surface on the hole's own axis; the",
        "drill's point goes deeper.",
    )
    caution(DRILLING)
    if "crank" not in corrected.waiting:
        _beside_the_plan(corrected)
    next_step(_next(results))


def _doubts(results: Results) -> None:
    if not results.spun.proven:
        say("WARNING the machine's convention is not proven: prove it before you drill.")
    for doubt in results.spun.doubts:
        say(f"WARNING {sentence(doubt)}")
    said = results.unexplained
    if said and results.sure:
        say(
            f"WARNING {said}. Planned all the same, on your word (--sure) that every hole was",
            "measured and is as recorded.",
        )
    elif said:
        say(f"STOP: {sentence(said)}")
        say(_to_look_at(results))
        say("If all was looked at and is as recorded: heavyspot correct with --sure plans on.")


def _to_look_at(results: Results) -> str:
    """Return what to look at, and in which order to mend what is found."""
    job = results.job.source
    if not results.history.unexplained:
        return (
            f"Take the wrong spin back (heavyspot spin {job} --undo, with --on for each part of a "
            "stack) and enter it as the machine showed it, or spin again."
        )
    return (
        "Look at the metal: is anything still stuck on, is every recorded hole there, where and as "
        "deep as recorded and of that drill, does every bolted part sit at its mark? Then take "
        f"this spin back (heavyspot spin {job} --undo, with --on for each part of a stack), put "
        "right what is not so (heavyspot drilled, or drilled --undo), and enter the same spin "
        "again (spin --add), or a new one if the metal was touched."
    )


def _next(results: Results) -> str:
    corrected = results.corrected
    if corrected.waiting:
        return f"spin again and enter it: heavyspot spin {results.job.source} --add."
    if asked := next_of_check(results.check_spin):
        return asked
    return _next_of_plan(corrected)


def _next_of_plan(corrected: Corrected) -> str:
    planned = corrected.crank.plan.holes or any(disc.plan.holes for disc in corrected.discs)
    if not corrected.feasible and not (planned and corrected.crank.plan.feasible):
        return "take one of the ways out named above, then heavyspot correct again."
    if corrected.crank.plan.slugs:
        return "fit the slugs, spin again, heavyspot spin --add; holes are planned anew after that."
    if planned:
        return "drill; heavyspot drilled for each hole; spin again; heavyspot spin --add."
    return "nothing is to be cut: heavyspot report."


def _beside_the_plan(corrected: Corrected) -> None:
    if corrected.crank.plan.slugs:
        _slug_cautions(corrected)
    if corrected.warnings:
        heading("Beyond what is usual")
        bullets(corrected.warnings)


def _slug_cautions(corrected: Corrected) -> None:
    heading("Heavy metal")
    if corrected.slug_pull_n:
        pulls = max(corrected.slug_pull_n)
        say(f"At service speed a slug pulls outward with up to {pulls / 1000:.1f} kN.")
    bullets((*RETENTION_CHECKLIST, *TUNGSTEN_CAUTIONS))


def _crank(results: Results, correction: CrankCorrection) -> None:
    made = correction.plan
    heading("Crank")
    if made.slugs:
        rows = [_slug_row(correction, number, slug) for number, slug in correction.numbered_slugs]
        columns = ["slug", "counterweight", "at deg", "size mm", "bore", "net gain g mm"]
        table(columns, rows, left=2)
        say("Fit the slugs first and spin again; the holes below are only what may come after.")
    rows = [_hole_row(results, correction, number, hole) for number, hole in correction.numbered]
    if rows:
        columns = ["hole", "counterweight", "at deg", "drill", "first cut mm", "full depth mm"]
        table([*columns, "takes g"], rows, left=2)
    if said := deepening(correction):
        say(said)
    if made.feasible and not (made.holes or made.slugs):
        say("Nothing to drill: both planes are inside the limit, their doubt counted.")
    else:
        say(sentence(capital(made.reason)))
    rows = [
        [
            f"{z:g}",
            gmm(amount(before)),
            gmm(amount(after)),
            whole_degrees(degrees(after)),
            gmm(limit),
        ]
        for z, before, after, limit in zip(
            results.spun.bearings_mm,
            correction.before,
            made.residual,
            correction.permissible_gmm,
            strict=True,
        )
    ]
    table(["plane mm", "now g mm", "left g mm", "at deg", "limit g mm"], rows, left=0)
    _chances(correction, wanted=results.job.targets.chance)
    if said := expected(correction, wanted=results.job.targets.chance):
        say(f"Expected{' after drilling' * (correction.chance is not None)}: {said}.")


def _hole_row(
    results: Results, correction: CrankCorrection, number: int, hole: PlannedHole
) -> list[str]:
    staged, old = correction.stage, correction.old_depth_mm(hole)
    first = f"{staged.first_cut[number - 1].depth_mm:.1f}" if staged else "-"
    return [
        str(number),
        correction.marks[hole.counterweight],
        f"{float(fold(hole.degrees)):.0f}",
        results.job.drills.name_of(hole.diameter_mm),
        first,
        f"{hole.depth_mm:.1f}" if old is None else f"{old:.1f} to {hole.depth_mm:.1f}",
        f"{hole.mass_g:.1f}",
    ]


def _chances(correction: CrankCorrection, *, wanted: float) -> None:
    chance, staged = correction.chance, correction.stage
    if chance is None:
        return
    at_once = (
        f"ends inside in {share_text(chance.inside)}, has gone too far in {chance.overshoot:.1%}"
    )
    if staged is None or not staged.held_back:
        enough = chance.inside >= wanted
        short = "no need to stop short" if enough else "stopping short gains nothing"
        say(f"Done to full depth at once it {at_once}: {short}.")
        return
    say(
        f"Drilled to full depth at once it {at_once}. Drilled to the first cut it ends inside in "
        f"{share_text(staged.first_inside)}, has gone too far in {staged.first_overshoot:.1%}: "
        "spin, then finish."
    )


def _others(results: Results) -> None:
    """Print other good plans, each the best of its kind."""
    heading("Other ways for the crank")
    rows = []
    for other in results.others:
        for number, hole in enumerate(other.plan.holes):
            rows.append(
                [
                    other.kind if number == 0 else "",
                    results.corrected.crank.marks[hole.counterweight],
                    f"{float(fold(hole.degrees)):.0f}",
                    results.job.drills.name_of(hole.diameter_mm),
                    f"{hole.depth_mm:.1f}",
                    f"{hole.mass_g:.1f}",
                ]
            )
    if not rows:
        say("None that differs in kind: one drill, one end of the crank, or shallower holes.")
        return
    columns = ["way", "counterweight", "at deg", "drill", "full depth mm", "takes g"]
    table(columns, rows, left=2)


def _slug_row(correction: CrankCorrection, number: int, slug: PlannedSlug) -> list[str]:
    return [
        str(number),
        correction.marks[slug.counterweight],
        f"{float(fold(slug.degrees)):.0f}",
        f"{slug.choice.diameter_mm:g} x {slug.choice.length_mm:g}",
        _bore(correction, slug),
        gmm(slug.net_unbalance_gmm),
    ]


def _bore(correction: CrankCorrection, slug: PlannedSlug) -> str:
    """Return where the slug's bore goes: lengthwise at a radius, or in from the rim."""
    rim, choice = correction.counterweights[slug.counterweight].radius_mm, slug.choice
    if choice.bore_depth_mm is not None:
        return f"radial, {choice.bore_depth_mm:g} deep"
    return f"along, radius {choice.middle_mm(rim):g}"


def _disc(results: Results, disc: DiscCorrection) -> None:
    heading(capital(disc.name))
    made = disc.plan
    rows = [
        [
            str(number),
            whole_degrees(hole.degrees),
            f"{hole.circle_mm:g}",
            results.job.drills.name_of(hole.diameter_mm),
            f"{hole.depth_mm:.1f}",
            f"{hole.mass_g:.1f}",
        ]
        for number, hole in disc.numbered
    ]
    if rows:
        columns = ["hole", "at deg", "circle radius mm", "drill", "full depth mm", "takes g"]
        table(columns, rows, left=1)
        if results.spun.read_once(disc.name):
            say(
                "Read in one spin only: spin once more before the first hole; what was misread",
                "shows then.",
            )
    if made.reason:
        say(sentence(capital(made.reason)))
    say(
        f"Now {gmm(amount(disc.before))} g mm, left {gmm(amount(made.residual))} g mm, limit "
        f"{gmm(disc.permissible_gmm)} g mm."
    )
    if said := expected(disc, wanted=results.job.targets.chance):
        say(f"Expected{' after drilling' * (disc.chance is not None)}: {said}.")
