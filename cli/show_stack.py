"""The stack part by part, for people."""

import shlex
from collections.abc import Sequence

from balance.job.model import Job
from balance.sheet.results import Results
from balance.spin.stack_steps import Stacked
from balance.vectors import amount, degrees, whole_degrees
from cli.printing import command, gmm, heading, next_step, say, table, title


def show_stack(results: Results, stacked: Stacked) -> None:
    """Print what each part adds, what its seat alone may move, and the best bolt-up."""
    title("Stack", results.job)
    heading("What each part adds (heavy side; 0 deg is crankpin 1, seen from the flywheel)")
    rows = []
    for part in stacked.parts:
        for place, (z, vector) in enumerate(zip(part.planes_mm, part.unbalance, strict=True)):
            seat = gmm(part.mounting_gmm) if part.mounting_gmm else "-"
            rows.append(
                [
                    part.name if place == 0 else "",
                    f"{z:g}",
                    gmm(amount(vector)),
                    whole_degrees(degrees(vector)),
                    gmm(part.u_gmm[place]),
                    gmm(part.permissible_gmm[place]),
                    seat if place == 0 else "",
                ]
            )
    columns = ["part", "plane mm", "g mm", "at deg", "u g mm", "limit g mm", "seat g mm"]
    table(columns, rows)
    say(
        "Seat: what run-out and clearance of the register amount to. Correct the part that was",
        "added last, on itself; never drill the crank to mend the clutch.",
    )
    for part, mark in zip(stacked.parts[1:], stacked.marks, strict=True):
        say(
            f"{part.name}: {mark}."
            if mark
            else f"{part.name}: NO MARK; mark it before it comes off."
        )
    _bolt_up(results, stacked)


def _bolt_up(results: Results, stacked: Stacked) -> None:
    best = stacked.bolt_up
    if best is None:
        say("", "No part is written as going on in several ways (positions under [[bolted]]).")
        next_step("heavyspot correct.")
        return
    heading("Best way to bolt up")
    rows = [
        [name, "as it is" if turn == 0 else f"turn by {turn:.0f} deg"]
        for name, turn in zip(stacked.movable, best.degrees, strict=True)
    ]
    table(["part", "counter-clockwise, seen from the flywheel"], rows, left=2)
    say(
        f"Of {best.combinations} ways this leaves least, proven: {best.score:.0%} of the limit in "
        f"the worse bearing, {best.as_given:.0%} as it is bolted now, before any metal is cut"
        + ("." if stacked.crank_counts else ", the crank taken as corrected.")
    )
    moved = [name for name, turn in zip(stacked.movable, best.degrees, strict=True) if turn]
    if not moved:
        next_step("heavyspot correct.")
        return
    next_step("bolt up so and mark it; take back what was spun as it was, then spin again (--add):")
    for on in _old_stacks(results.job, moved):
        turned = " ".join(f"--on {shlex.quote(part)}" for part in on)
        command(f"heavyspot spin {shlex.quote(str(results.job.source))} --undo {turned}")


def _old_stacks(job: Job, moved: Sequence[str]) -> list[tuple[str, ...]]:
    """Return every stack that was spun with one of these parts on it, one for each spin."""
    return [spin.on for spin in job.standing_spins if set(spin.on) & set(moved)]
