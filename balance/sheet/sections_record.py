"""The sections of the record that judge: the verdict, before and after."""

from collections.abc import Iterator

import numpy as np

from balance.errors import MissingInputError
from balance.metal.drilled_holes import holes_since
from balance.sheet.blocks import Block, Column, Notice, Picture, Table, Text, clean
from balance.sheet.drawings_setup import Bar, bars_drawing
from balance.sheet.results import Results
from balance.sheet.sections_spin import GUARD_TEXT, limits_text, rows_of
from balance.sheet.still_open import still_open
from balance.sheet.wording import VERDICTS, at_text, capital, gmm_text, number, sentence
from balance.spin.spun import Spun
from balance.units import show

__all__ = ["change_section", "verdict_section"]


def verdict_section(results: Results) -> tuple[Block, ...]:
    """Return in a frame what the last spins prove, and what is still to be done."""
    found = still_open(results)
    if found is None and results.sure and results.unexplained:
        word = "every part is within its limit as last measured, and every hole was measured"
        return (Notice("ON THE WORD OF THE BENCH ", f"{word}."), *_overruled(results))
    if found is None:
        said = "Every part is within its limit as last measured, its uncertainty counted."
        return (Notice("WITHIN THE LIMITS. ", said), *_overruled(results))
    if found.kind == "bolt up":
        said = (
            f"Every part that was spun is within its limit, its uncertainty counted; {found.why}."
        )
        return (Notice("WITHIN THE LIMITS, AS FAR AS SPUN. ", clean(said)), *_overruled(results))
    why = sentence(clean(found.why if found.kind == "correct" else capital(found.why)))
    if found.kind == "stop":
        why += " Nothing is proven, and nothing to be drilled, before that is cleared up."
    if found.kind != "correct":
        return (Notice("NOT FINISHED. ", why), *_overruled(results))
    plan = "Expected after the planned work: see below; only a spin proves it."
    if not results.corrected.feasible:
        plan = "There is no plan yet that brings every part inside."
    return (Notice("NOT FINISHED. ", f"As last measured: {why} {plan}"), *_overruled(results))


def _overruled(results: Results) -> Iterator[Block]:
    """Yield what was said against the holes, where the bench stands by them."""
    if results.sure and (said := results.unexplained):
        yield Notice("LOOK: ", clean(f"The last spins say otherwise: {said}."))


def change_section(results: Results) -> tuple[Block, ...]:
    """Return every part and plane: as first and last measured, as planned, limit, verdict."""
    spun, before = results.spun, results.first_measured
    late = holes_since(results.job, spun)
    respun = any(
        part.name in before and not np.array_equal(before[part.name], part.unbalance)
        for part in spun.parts
    )
    after = _planned(results)
    rows: list[tuple[str, ...]] = []
    bars: list[Bar] = []
    for part in spun.parts:
        old, planned = before.get(part.name), after.get(part.name)
        for n, (name, plane) in enumerate(rows_of(part)):
            limit, last = float(part.permissible_gmm[n]), part.unbalance[n]
            start = last if old is None else old[n]
            bars.append(_bar_of(f"{name}, {plane}", start, last if respun else None,
                                None if planned is None else planned[n], limit))  # fmt: skip
            rows.append((
                name, plane, "not known" if old is None else at_text(old[n]),
                *((at_text(last),) if respun else ()),
                "nothing planned" if planned is None else at_text(planned[n]),
                f"{limit:.0f}", show(limit, "unbalance", "oz in").removesuffix(" oz in"),
                f"{part.u_gmm[n]:.1f}",
                "drilled since, not spun" if part.name in late else VERDICTS[part.verdict],
            ))  # fmt: skip
    columns = (
        Column("part"), Column("plane"), Column("first measured" if respun else "measured"),
        *((Column("last measured"),) if respun else ()), Column("expected after the plan"),
        Column("limit, g mm", "right"), Column("limit, oz in", "right"),
        Column("u, g mm", "right"), Column("verdict, last measured"),
    )  # fmt: skip
    table = Table(columns, tuple(rows), f"{limits_text(results)} {GUARD_TEXT}")
    return (table, _bars(bars), *_together(spun))


def _planned(results: Results) -> dict[str, list[complex]]:
    """Return what should remain of each part that has holes or slugs planned."""
    try:
        corrected = results.corrected
    except MissingInputError:
        return {}
    plan = corrected.crank.plan
    planned = {disc.name: [disc.plan.residual] for disc in corrected.discs if disc.plan.holes}
    if plan.holes or plan.slugs:
        planned["crank"] = list(plan.residual)
    return planned


def _bar_of(
    name: str, first: complex, last: complex | None, planned: complex | None, limit: float
) -> Bar:
    """Return the bars of one plane: as first measured, and the best that is known since."""
    later, what = (last, "measured last") if planned is None else (planned, "expected")
    return Bar(name, abs(first), None if later is None else abs(later), what, limit)


def _bars(bars: list[Bar]) -> Picture:
    drawing = bars_drawing(bars)
    words = "; ".join(
        f"{bar.name}: first measured {gmm_text(bar.first_gmm)}"
        + ("" if bar.later_gmm is None else f", {bar.what} {gmm_text(bar.later_gmm)}")
        + f", limit {gmm_text(bar.limit_gmm)} g mm"
        for bar in bars
    )
    return Picture(drawing.svg, f"Amounts of unbalance. {words}.", drawing.width_mm,
                   "Amount of unbalance, g mm. Dashed: the limit.")  # fmt: skip


def _together(spun: Spun) -> Iterator[Block]:
    last = spun.stacks[-1]
    if len(last.on) > 1:
        parts = "; ".join(
            f"bearing at z {number(z)} mm: {at_text(v)}, limit {gmm_text(float(limit))} g mm"
            for z, v, limit in zip(
                spun.bearings_mm, last.unbalance, spun.total_permissible_gmm, strict=True
            )
        )
        names = " + ".join(clean(name) for name in last.on)
        yield Text(f"All together, last measured ({names}): {parts}: "
                   f"{VERDICTS[spun.total_verdict]}.")  # fmt: skip
