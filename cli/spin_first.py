"""What is said while holes wait for a spin: nothing that could be drilled by mistake."""

from collections.abc import Iterator
from typing import Any

from balance.job.appended import DrilledPage
from balance.metal.recorded import (
    PlannedToRecord,
    Recorded,
    hole_text,
    planned_to_record,
    recorded_since,
)
from balance.metal.steps import CrankCorrection, DiscCorrection, correct_job
from balance.sheet.results import Results
from balance.sheet.wording import capital
from balance.spin.states import part_of
from balance.vectors import amount, degrees, whole_degrees
from cli.printing import bullets, gmm, heading, say, table


def since_last_spin(results: Results) -> Recorded | None:
    """Return what was drilled since the last spins, of the parts that wait; None if none does.

    It is held against the plan that those spins led to. While the last spin contradicts the holes,
    nothing of a plan is still to come.
    """
    waiting = results.corrected.waiting
    if not waiting:
        return None
    as_spun = correct_job(results.job, results.spun, as_spun=True)
    found = recorded_since(results.job, results.spun, planned_to_record(as_spun))
    # after slugs holes are planned anew
    stopped = bool(results.stop or as_spun.crank.plan.slugs)
    to_come = tuple(
        each for each in found.to_come if not stopped and part_of(results.job, each.part) in waiting
    )
    return Recorded(found.holes, to_come)


def spin_first(results: Results, recorded: Recorded) -> None:
    """Print that a spin comes first, what was drilled since the last, and what is not recorded."""
    waiting = results.corrected.waiting
    got = ", ".join(f"{name} {count} hole{'s' * (count > 1)}" for name, count in waiting.items())
    say(
        f"SPIN FIRST. Drilled since the last spin: {got}. What they did only a spin can show:",
        "nothing more is planned there before it.",
    )
    bullets(_drilled(results, recorded))
    if recorded.to_come:
        say("Not recorded yet of the plan that these belong to:")
        bullets(_to_come(results, recorded.to_come))
        say(
            "Drilled already? Record it. Not drilled? It may still be, by the same plan, before",
            "the spin.",
        )


def _drilled(results: Results, recorded: Recorded) -> Iterator[str]:
    for found in recorded.holes:
        said = "no hole of the plan"
        if found.planned is not None:
            said = f"hole {found.planned.number} of the plan, {found.words}"
        yield f"{_text(results, found.hole)}: {said}"


def _text(results: Results, hole: DrilledPage) -> str:
    return hole_text(
        results.job, hole.part, angle=hole.angle, diameter=hole.diameter, depth=hole.depth
    )


def _to_come(results: Results, holes: tuple[PlannedToRecord, ...]) -> Iterator[str]:
    for each in holes:
        text = hole_text(
            results.job,
            each.part,
            angle=each.degrees,
            diameter=each.diameter_mm,
            depth=each.first_mm,
        )
        yield f"hole {each.number}, {text}{' (first cut)' * each.staged}"


def crank_by_holes(results: Results, correction: CrankCorrection) -> None:
    """Print where the crank should stand now by the holes that are recorded."""
    heading("Crank")
    say("Where it should stand now, by the holes as recorded:")
    planes = zip(
        results.spun.bearings_mm, correction.before, correction.permissible_gmm, strict=True
    )
    rows = [
        [f"{z:g}", gmm(amount(now)), whole_degrees(degrees(now)), gmm(limit)]
        for z, now, limit in planes
    ]
    table(["plane mm", "by the holes g mm", "at deg", "limit g mm"], rows, left=0)


def disc_by_holes(disc: DiscCorrection) -> None:
    """Print where a bolted part should stand now by the holes that are recorded."""
    heading(capital(disc.name))
    say(
        f"By the holes as recorded it should stand at {gmm(amount(disc.before))} g mm now, limit "
        f"{gmm(disc.permissible_gmm)} g mm."
    )


def recorded_for_programs(recorded: Recorded | None) -> dict[str, Any]:
    """Return the same for a program: what was drilled since, and what is not recorded yet."""
    if recorded is None:
        return {"spin_first": False, "drilled_since": [], "to_come": []}
    since = [
        {
            "part": found.hole.part,
            "degrees": found.hole.angle,
            "diameter_mm": found.hole.diameter,
            "depth_mm": found.hole.depth,
            "planned_hole": found.planned.number if found.planned else None,
            "words": found.words,
        }
        for found in recorded.holes
    ]
    return {"spin_first": True, "drilled_since": since, "to_come": recorded.to_come}
