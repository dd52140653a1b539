"""The matching, for people."""

from balance.parts.advice import Prices
from balance.sheet.results import Results
from cli.printing import heading, next_step, say, table, title


def show_match(results: Results) -> None:
    """Print the sets, their cuts, and what the other ways would take."""
    title("Matching", results.job)
    _scale(results)
    _sets(results)
    _price(results)
    _next(results)


def _scale(results: Results) -> None:
    bench, scale = results.matched.bench, results.job.scale
    say(f"Scale {scale.resolution:g} g a division, repeatability {bench.repeatability_g:.2f} g.")
    for mark, rod in zip(bench.rod_marks, bench.rods, strict=True):
        if rod.consistent is False:
            say(
                f"WARNING rod {mark}: big end + small end differ from the total by "
                f"{rod.closure_g:+.2f} g, more than weighing can explain: weigh it again."
            )
    for kind, marks, weights in (
        ("piston", bench.piston_marks, bench.pistons),
        ("pin", bench.pin_marks, bench.pins),
    ):
        for mark, weight in zip(marks, weights, strict=True):
            if weight.outliers:
                say(f"WARNING {kind} {mark}: its weighings lie {weight.spread_g:.2f} g apart.")


def _sets(results: Results) -> None:
    heading("Sets, as they go to the cylinders")
    rows = [
        [
            cylinder,
            entry.piston,
            entry.pin,
            entry.rod,
            _cut(entry.piston_cut_g),
            _cut(entry.small_end_cut_g),
            _cut(entry.big_end_cut_g),
            f"{entry.piston_g + entry.pin_g + entry.small_end_g:.2f}",
            f"{entry.big_end_g:.2f}",
        ]
        for cylinder, entry in zip(results.card.cylinders, results.card.sets, strict=True)
    ]
    columns = ["cylinder", "piston", "pin", "rod", "cut piston", "cut small", "cut big"]
    table([*columns, "set g", "big end g"], rows, left=4)
    done = sum(entry.weighed for entry in results.card.sets)
    again = f"{done} of {len(results.card.sets)} sets were weighed again after cutting."
    say("Cuts in g. A set is piston + pin + small end after the cut.", again if done else "")


def _cut(grams: float) -> str:
    return f"{grams:.2f}" if grams else "-"


def _price(results: Results) -> None:
    matched, match = results.matched, results.matched.match
    heading("What comes off")
    proof = "proven least" if match.optimal else f"not proven least; at least {match.bound_g:.2f} g"
    rows = [["sets (above)", f"{match.removed_g:.2f} g", proof]]
    prices = matched.prices
    said = "any spare fits" if prices.any_spare_fits else _why_no_spare_fits(prices)
    rows.append(["every kind to one weight", f"{prices.interchangeable_g:.2f} g", said])
    rows.append(["every part to its lightest", f"{match.shop_removed_g:.2f} g", "the plain rule"])
    table(["way", "metal", ""], rows, left=3)
    if not match.feasible:
        say(f"NOT POSSIBLE: {match.reason}")
    _replace(results)


def _why_no_spare_fits(prices: Prices) -> str:
    cut = [prices.pistons, prices.small_ends, prices.big_ends]
    if all(trim is None or trim.feasible for trim in cut):
        return f"but pins differ by {prices.pin_spread_g:.2f} g"
    return "not within what may be cut"


def _replace(results: Results) -> None:
    if not results.advice:
        return
    best = results.advice[0]
    bench = results.matched.bench
    marks = {"piston": bench.piston_marks, "pin": bench.pin_marks, "rod": bench.rod_marks}
    off = "light" if best.off_g < 0 else "heavy"
    say(
        f"One part worth replacing: {best.kind} {marks[best.kind][best.index]} is "
        f"{abs(best.off_g):.1f} g {off}. With a middle one in its place "
        f"{best.removed_then_g:.1f} g come off instead of {best.removed_now_g:.1f} g."
    )


def _next(results: Results) -> None:
    match = results.matched.match
    if not match.feasible:
        next_step("replace the part that is named, or widen the tolerance, and match again.")
        return
    say(
        "",
        "Take metal only where the maker allows: balance pads. Never from ring lands, crown",
        "underside, pin bore walls, the rod's beam or its bolts.",
    )
    next_step("cut, weigh each part again, stamp the cylinder number; then heavyspot bobweight.")
