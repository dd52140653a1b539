"""The chances of a plan from many virtual drillings, for people."""

from balance.metal.chance import Chance, Errors
from balance.metal.drilling_steps import Drilled
from balance.sheet.results import Results
from cli.printing import next_step, say, table, title
from cli.watching import spaced


def show_drillings(results: Results, drilled: Drilled, *, command: str) -> None:
    """Print how often the plan ends inside, from how many drillings, and what was taken as off."""
    title("Virtual drillings", results.job)
    if drilled.stopped:
        say(f"Stopped: {spaced(drilled.draws)} of {spaced(drilled.wanted)} drillings were made.")
    holes = len(results.corrected.crank.plan.holes)
    say(
        f"From {spaced(drilled.draws)} virtual drillings of the crank's {holes}",
        f"{'hole' if holes == 1 else 'holes'} (seed {drilled.seed}):",
    )
    rows = [_row("to full depth at once", drilled.at_once)]
    if drilled.first_cut is not None:
        rows.append(_row("to the first cut", drilled.first_cut))
    table(["drilled", "ends inside %", "+- %", "too far %"], rows)
    say("+- is the standard error that the number of drillings leaves.")
    say(_off(drilled.errors))
    next_step(f"{command} shows the holes.")


def _row(name: str, chance: Chance) -> list[str]:
    return [
        name,
        f"{100 * chance.inside:.3f}",
        f"{100 * chance.inside_u:.3f}",
        f"{100 * chance.overshoot:.3f}",
    ]


def _off(errors: Errors) -> str:
    return (
        f"Taken to be off (two standard deviations): reading {errors.reading_percent:g} % and "
        f"{errors.reading_degrees:g} deg, depth {errors.depth_mm:g} mm, hole "
        f"{errors.hole_degrees:g} deg; a drill cuts up to {errors.oversize_mm:g} mm wide."
    )
