"""The matching, for people."""

from balance.job.model import Job
from balance.parts.advice import Prices
from balance.parts.alone import PistonsAlone
from balance.parts.doubts import doubts_job
from balance.parts.finished import still_to_weigh
from balance.sheet.results import Results
from cli.cautions import CUTTING, caution
from cli.printing import heading, next_step, say, table, title


def show_match(results: Results) -> None:
    """Print what looks wrong, the sets, their cuts, and what the other ways would take.

    Sets that cannot be made are not shown, nor cuts by weighings that contradict each other.
    """
    title("Matching", results.job)
    _scale(results)
    matched = results.matched
    if matched.weigh_again:
        say("", f"NO CUTS: weigh {matched.weigh_again} again")
    elif not matched.match.feasible:
        proven = "NOT POSSIBLE" if matched.match.feasible is False else "NO SETS FOUND"
        say("", f"{proven}: {matched.match.reason}")
        _replace(results)
    else:
        _sets(results)
        _price(results)
    _next(results)


def show_alone(job: Job, alone: PistonsAlone) -> None:
    """Print pistons brought to one weight, where neither pins nor rods were weighed."""
    title("Pistons by themselves", job)
    for doubt in doubts_job(job):
        say(f"WARNING {doubt.text}")
    say(
        f"Only the pistons are weighed. To one weight, within {alone.tolerance_g:g} g, they would "
        f"lose {alone.removed_g:.2f} g in all:"
    )
    rows = [
        [each.mark, f"{each.weight_g:.2f}", _cut(each.cut_g), f"{each.stop_g:.2f}"]
        for each in alone.pistons
    ]
    table(["piston", "weighs g", "take off g", "stop at g"], rows, left=1)
    if alone.short_g > 0:
        say(f"NOT ENOUGH: what they may lose leaves {alone.short_g:.2f} g too much on them.")
    say(
        "With pins and rods weighed, a heavy piston may go with a light pin and rod: less comes "
        "off, often nothing."
    )
    _where_to_cut()
    if alone.removed_g > 0:
        caution(CUTTING)
    next_step(
        f"cut these, if no more will come; or weigh pins and rods: heavyspot weigh {job.source}"
    )


def _where_to_cut() -> None:
    say(
        "",
        "Take metal only where the maker allows: balance pads. Never from ring lands, crown",
        "underside, pin bore walls, the rod's beam or its bolts.",
    )


def _scale(results: Results) -> None:
    bench, scale = results.matched.bench, results.job.scale
    say(f"Scale {scale.resolution:g} g a division, repeatability {bench.repeatability_g:.2f} g.")
    for doubt in results.matched.doubts:
        say(f"WARNING {doubt.text}")


def _sets(results: Results) -> None:
    heading("Sets, as they go to the cylinders" if results.placed[0][0] else "Sets")
    rows = [
        [
            cylinder or "-",
            entry.piston,
            entry.pin,
            entry.rod,
            _cut(entry.piston_cut_g),
            _cut(entry.small_end_cut_g),
            _cut(entry.big_end_cut_g),
            f"{entry.piston_g + entry.pin_g + entry.small_end_g:.2f}",
            f"{entry.big_end_g:.2f}",
        ]
        for cylinder, entry in results.placed
    ]
    columns = ["cylinder", "piston", "pin", "rod", "cut piston", "cut small", "cut big"]
    table([*columns, "set g", "big end g"], rows, left=4)
    done = sum(entry.weighed for _, entry in results.placed)
    again = f"{done} of {len(results.placed)} sets were weighed again after cutting."
    say("Cuts in g. A set is piston + pin + small end after the cut.", again if done else "")
    if results.matched.above_least_g:
        say(f"No cut is less than a division of the scale ({results.job.scale.resolution:g} g).")
    _left_over(results)
    if not results.placed[0][0]:
        say("Which goes to which cylinder is known once the lengths under [engine] are filled in.")


def _left_over(results: Results) -> None:
    """Say which parts of a shelf go into no set."""
    bench, sets = results.matched.bench, results.matched.sets
    used = {mark for entry in sets for mark in (entry.piston, entry.pin, entry.rod)}
    every = (*bench.piston_marks, *bench.pin_marks, *bench.rod_marks)
    if left := [mark for mark in every if mark not in used]:
        say(f"Not needed: {', '.join(left)}.")


def _cut(grams: float) -> str:
    return f"{grams:.2f}" if grams else "-"


def _price(results: Results) -> None:
    matched, match = results.matched, results.matched.match
    heading("What comes off")
    rows = [["sets (above)", f"{match.removed_g:.2f} g", matched.proof]]
    if matched.recut:  # the other ways were for uncut parts
        table(["way", "metal", ""], rows, left=3)
        return
    prices = matched.prices
    said = "any spare fits" if prices.any_spare_fits else _why_no_spare_fits(prices)
    rows.append(
        [
            "pistons, small and big ends each to one weight",
            f"{prices.interchangeable_g:.2f} g",
            said,
        ]
    )
    rows.append(["every part to its lightest", f"{match.shop_removed_g:.2f} g", "the plain rule"])
    table(["way", "metal", ""], rows, left=3)
    _replace(results)


def _why_no_spare_fits(prices: Prices) -> str:
    cut = [prices.pistons, prices.small_ends, prices.big_ends]
    if all(trim is None or trim.feasible for trim in cut):
        return f"pins differ by {prices.pin_spread_g:.2f} g"
    return "more than may be cut"


def _replace(results: Results) -> None:
    if results.matched.recut or not results.advice:  # advice is for uncut parts
        return
    best = results.advice[0]
    bench, match = results.matched.bench, results.matched.match
    marks = {"piston": bench.piston_marks, "pin": bench.pin_marks, "rod": bench.rod_marks}
    off = "light" if best.off_g < 0 else "heavy"
    now = f" come off instead of {best.removed_now_g:.1f} g" if match.feasible else " come off"
    say(
        f"One part worth replacing: {best.kind} {marks[best.kind][best.index]} is "
        f"{abs(best.off_g):.1f} g {off}. With a middle one in its place "
        f"{best.removed_then_g:.1f} g{now}."
    )


def _next(results: Results) -> None:
    matched = results.matched
    if matched.weigh_again:
        next_step(f"weigh {matched.weigh_again} again with heavyspot weigh; then match again.")
        return
    if not matched.match.feasible:
        next_step("replace the part that is named, or widen the tolerance, and match again.")
        return
    if not matched.sure:
        next_step("clear up the warnings above; cut no other part before that.")
        return
    _where_to_cut()
    if matched.match.removed_g > 0:
        caution(CUTTING)
    first = "clear up the warnings above; then " if matched.doubts else ""
    next_step(f"{first}{_work_left(results)}heavyspot bobweight.")


def _work_left(results: Results) -> str:
    """Return what is still to be done to the parts."""
    sets = results.matched.sets
    parts = [part for each in sets for part in each.cut_parts]
    if left := still_to_weigh(sets):
        names = ", ".join(f"{part.what} {part.mark}" for part in left)
        return f"cut {names} and weigh again with heavyspot weigh --finished; then "
    cut = [part for part in parts if round(part.cut_g, 2) > 0]
    if not cut:
        return "stamp the parts; then "
    if all(part.finished_g is not None for part in cut):
        return ""
    return "stamp the parts, cut, weigh each again with heavyspot weigh --finished; then "
