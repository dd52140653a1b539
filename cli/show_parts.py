"""The matching, for people."""

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
    say("Cuts in g. A set is piston + pin + small end, as it weighs after the cut.")


def _cut(grams: float) -> str:
    return f"{grams:.2f}" if grams else "-"


def _price(results: Results) -> None:
    matched, match = results.matched, results.matched.match
    heading("What comes off")
    proof = "proven least" if match.optimal else f"not proven least; at least {match.bound_g:.2f} g"
    rows = [["sets (above)", f"{match.removed_g:.2f} g", proof]]
    each = matched.each
    said = "any spare fits" if each.feasible else "not possible within what may be cut"
    rows.append(["every kind to one weight", f"{each.removed_g:.2f} g", said])
    rows.append(["every part to its lightest", f"{match.shop_removed_g:.2f} g", "the plain rule"])
    table(["way", "metal", ""], rows, left=3)
    if not match.feasible:
        say(f"NOT POSSIBLE: {match.reason}")


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
