"""What the machine's readings say, for people."""

from balance.sheet.results import Results
from balance.spin.machine import statement
from balance.spin.steps import PartUnbalance
from balance.units import show
from balance.vectors import amount, degrees
from cli.printing import heading, next_step, say, table, title

VERDICTS = {"pass": "PASS", "fail": "outside", "not proven": "NOT PROVEN"}


def show_spin(results: Results) -> None:
    """Print how the machine was understood, every part's unbalance, its limit and the verdict."""
    job, spun = results.job, results.spun
    title("Spin", job)
    say(statement(spun.machine))
    if not spun.proven:
        say(
            "",
            "WARNING this convention is not proven: stick a known mass at a known place, spin,",
            "and see that the reading points there before any metal is cut.",
        )
    if results.parts_unknown:
        say("", "The parts are not weighed in this job: the bobweights are taken as right.")
    heading("Unbalance of each part (heavy side; 0 deg is crankpin 1, seen from the flywheel)")
    rows = [row for part in spun.parts for row in _rows(part)]
    table(["part", "plane mm", "g mm", "oz in", "at deg", "u g mm", "limit g mm", ""], rows, left=1)
    say("u is the standard uncertainty; within 1.65 u of a limit nothing is proven.")
    _limits(results)
    last = spun.stacks[-1]
    if len(last.on) > 1:
        heading("All together, in the planes of the bearings")
        rows = [
            [
                f"{z:g}",
                f"{amount(u):.0f}",
                show(float(amount(u)), "unbalance", "oz in")[:-6],
                f"{degrees(u):.0f}",
                f"{s:.0f}",
                f"{limit:.0f}",
            ]
            for z, u, s, limit in zip(
                spun.bearings_mm,
                last.unbalance,
                last.u_gmm,
                spun.total_permissible_gmm,
                strict=True,
            )
        ]
        table(["plane mm", "g mm", "oz in", "at deg", "u g mm", "limit g mm"], rows, left=0)
    done = all(part.verdict == "pass" for part in spun.parts)
    next_step("heavyspot report." if done else "heavyspot correct.")


def _rows(part: PartUnbalance) -> list[list[str]]:
    rows = []
    zipped = zip(part.planes_mm, part.unbalance, part.u_gmm, part.permissible_gmm, strict=True)
    for index, (z, u, s, limit) in enumerate(zipped):
        rows.append(
            [
                part.name if index == 0 else "",
                f"{z:g}",
                f"{amount(u):.0f}",
                show(float(amount(u)), "unbalance", "oz in").removesuffix(" oz in"),
                f"{degrees(u):.0f}",
                f"{s:.0f}",
                f"{limit:.0f}",
                VERDICTS[part.verdict] if index == 0 else "",
            ]
        )
    return rows


def _limits(results: Results) -> None:
    targets, spun = results.job.targets, results.spun
    if targets.grade is not None and targets.service_speed is not None:
        say(
            f"Limits: grade G {targets.grade:g} at {targets.service_speed:.0f} rpm (ISO 21940-11), "
            "each part by its own mass."
        )
    elif targets.per_bearing is not None:
        said = show(targets.per_bearing, "unbalance", "oz in")
        say(f"Limits: {targets.per_bearing:.0f} g mm ({said}) in each bearing plane, as ordered.")
    for part in spun.parts:
        if part.mounting_gmm:
            say(
                f"{part.name}: how it seats may move {part.mounting_gmm:.0f} g mm at every refit; "
                "below that nothing is worth chasing."
            )
