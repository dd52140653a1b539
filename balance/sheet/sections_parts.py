"""The sections of the papers about parts: sets and marks, cuts, the bobweight card."""

import re
from collections.abc import Callable, Iterator, Sequence

from balance.engine.bobweights import Bobweight
from balance.engine.steps import BobweightCard
from balance.errors import MissingInputError
from balance.parts.doubts import doubts_job
from balance.parts.finished import CutPart
from balance.parts.marks import CAUTION, punch_list
from balance.sheet.blocks import (
    TICK,
    WRITE,
    Block,
    Column,
    Heading,
    Notice,
    Table,
    Text,
    clean,
)
from balance.sheet.results import Results
from balance.sheet.wording import capital, number, sentence

__all__ = [
    "bobweight_section",
    "cuts_section",
    "doubts_section",
    "marks_section",
    "not_yet",
    "section",
]

WEIGHING = re.compile(r"^the weight of | of rod ")
MOST_NAMED = 3  # more than these are counted: a paper is no list of what is missing

WHERE_TO_CUT = {
    "piston": "balance pads, inside",
    "small end": "pad on the small end",
    "big end": "pad on the cap",
}


def section(
    title: str, made: Callable[[], tuple[Block, ...]], *, new_page: bool = False
) -> tuple[Block, ...]:
    """Return a section, or in one line what is still to be measured for it."""
    heading = Heading(title, new_page=new_page)
    try:
        return (heading, *made())
    except MissingInputError as missing:
        return (heading, Text(clean(not_yet(missing))))


def not_yet(missing: MissingInputError) -> str:
    """Return in one line what a step lacks: weighings counted, a few other things named.

    >>> not_yet(MissingInputError("match", [f"the weight of piston P{n}" for n in range(8)]))
    'Not in this job yet: 8 weighings (heavyspot check lists them)'
    """
    weighings = [item for item in missing.needed if WEIGHING.search(item)]
    others = [item for item in missing.needed if item not in weighings]
    items = [
        *_in_short(weighings, "weighings"),
        *_in_short(others, f"{'other ' * bool(weighings)}things"),
    ]
    counted = " (heavyspot check lists them)" * (len(items) < len(missing.needed))
    return "Not in this job yet: " + "; ".join(items) + counted


def _in_short(items: list[str], what: str) -> list[str]:
    return items if len(items) <= MOST_NAMED else [f"{len(items)} {what}"]


def doubts_section(results: Results) -> tuple[Block, ...]:
    """Return, framed, what looks wrong about the weights; nothing when all is well."""
    try:
        doubts = results.matched.doubts
    except MissingInputError:
        doubts = doubts_job(results.job)
    if not doubts:
        return ()
    said = " ".join(sentence(capital(doubt.text)) for doubt in doubts)
    return (Notice("LOOKS WRONG: ", clean(said)),)


def stamps(results: Results) -> dict[str, dict[str, str]]:
    """Return, by cylinder and part, what to stamp: the cylinder's own name and the set."""
    card = results.card
    marks = punch_list(
        results.matched.match.sets,
        set_at_cylinder=card.placement.set_at_cylinder,
        cylinder_names=card.cylinders,
    )
    named: dict[str, dict[str, str]] = {}
    for mark in marks:
        name = clean(card.cylinders[mark.cylinder - 1])
        named.setdefault(name, {})[mark.part] = clean(mark.stamp)
    return named


def marks_section(results: Results, *, to_do: bool = True) -> tuple[Block, ...]:
    """Return which piston, pin and rod go where, with the stamp and the finished weights."""
    matched = results.matched
    if matched.weigh_again:
        return (Notice("NO SETS: ", f"weigh {clean(matched.weigh_again)} again; stamp nothing."),)
    if not matched.match.feasible:
        return (Notice("NO SETS: ", clean(matched.match.reason)),)
    named = stamps(results) if results.placed[0][0] else {}
    boxes = (TICK,) if to_do else ()
    rows = tuple(
        (
            clean(cylinder) or "–", _stamp(named, cylinder), clean(entry.piston), clean(entry.pin),
            clean(entry.rod), f"{entry.piston_g + entry.pin_g + entry.small_end_g:.2f}",
            f"{entry.big_end_g:.2f}", *boxes,
        )
        for cylinder, entry in results.placed
    )  # fmt: skip
    columns = [
        Column("cylinder"), Column("stamp"), Column("piston"), Column("pin"), Column("rod + cap"),
        Column("piston + pin + small end, g", "right"), Column("big end, g", "right"),
    ]  # fmt: skip
    columns += [Column("stamped", "center")] * to_do
    caption = (
        f"After the cuts, as weighed or as planned. Tolerance, lightest to heaviest: "
        f"{number(matched.tolerance_g, 2)} g (set), {number(matched.big_end_tolerance_g, 2)} g "
        "(big end). Stamp: cylinder and set; a cap has its rod's."
    )
    table = Table(tuple(columns), rows, caption)
    return (table, *_how_to_mark(results)) if to_do else (table,)


def _stamp(named: dict[str, dict[str, str]], cylinder: str) -> str:
    return named[clean(cylinder)]["rod"] if cylinder else "–"


def _how_to_mark(results: Results) -> Iterator[Block]:
    marks = punch_list(results.matched.match.sets)[:4]
    where = "; ".join(f"{mark.part}: {mark.where}, {mark.orientation}" for mark in marks)
    yield Text(f"{capital(where)}. {CAUTION}", small=True)


def cuts_section(results: Results) -> tuple[Block, ...]:
    """Return what to cut: one line a part, with the weight to stop at and a place to write."""
    match, again = results.matched.match, results.matched.weigh_again
    if again:
        return (Notice("NO CUTS: ", f"weigh {clean(again)} again, then make this sheet again."),)
    if not match.feasible:
        return (Notice("NO CUTS: ", clean(match.reason)),)
    rows = tuple(
        (
            clean(cylinder) or "–", f"{part.what} {clean(part.mark)}", WHERE_TO_CUT[part.what],
            f"{part.before_g:.2f}", f"{part.cut_g:.2f}", f"{part.stop_g:.2f}",
            *_done(results, part),
        )
        for cylinder, entry in results.placed
        for part in entry.cut_parts
        if round(part.cut_g, 2) > 0
    )  # fmt: skip
    if not rows:
        return (Text("Nothing to cut: the sets are within the tolerance as they are."),)
    columns = (
        Column("cylinder"), Column("part"), Column("take it from"),
        Column("weighed, g", "right"), Column("take off, g", "right"),
        Column("stop at, g", "right"), Column("weighed after the cut, g", width_mm=26),
        Column("done", "center"),
    )  # fmt: skip
    caption = (
        f"In all {match.removed_g:.2f} g ({results.matched.proof}). "
        "Metal only from where the maker allows it; never from ring lands, crown underside, pin "
        "bore walls, the rod's beam or its bolts (common practice, no source). Creep up on the "
        "last half gram and weigh."
    )
    return (Table(columns, rows, caption),)


def _done(results: Results, part: CutPart) -> tuple[str | None, str | None]:
    """Return the weighing after the cut and whether the cut is done; boxes before it."""
    if part.finished_g is None:
        return WRITE, TICK
    tolerances = results.matched.tolerance_g, results.matched.big_end_tolerance_g
    near_g = max(tolerances[part.what == "big end"], results.job.scale.resolution)
    over = part.finished_g > part.stop_g + near_g + 1e-9
    return f"{part.finished_g:.2f}", "cut on" if over else "yes"


def bobweight_section(results: Results, *, to_do: bool = True) -> tuple[Block, ...]:
    """Return the bobweight card with every count, or the reason why there is none."""
    need = results.need
    reason = Text(capital(need.reason) + ".")
    if not need.needed:
        return (Text("No bobweights. " + reason.text),)
    if again := results.matched.weigh_again:
        return (reason, Notice("NO BOBWEIGHTS YET: ", f"weigh {clean(again)} again."))
    if not results.matched.match.feasible:
        return (reason, Notice("NO SETS, ", "so their masses are not known yet."))
    card = results.card
    what = tuple(dict.fromkeys(i.name for weight in card.bobweights for i in weight.items))
    rows = tuple(_bobweight_row(card, weight, what, to_do=to_do) for weight in card.bobweights)
    columns = [
        Column("pin"), Column("cylinders"), *(Column(f"{name}, g", "right") for name in what),
        Column("make up, g", "right"),
    ]  # fmt: skip
    columns += [Column("made, g", width_mm=22), Column("hung", "center")] * to_do
    caption = (
        f"Each as count × mass. Factor {card.factor:g} of the reciprocating mass; oil "
        f"{number(card.oil_g, 2)} g a pin is "
        "a convention of the shop, not a measurement. Centre each bobweight on its pin, across and "
        "along; torque and check the clamps before every run."
    )
    return (reason, Table(tuple(columns), rows, caption))


def _bobweight_row(
    card: BobweightCard, weight: Bobweight, what: Sequence[str], *, to_do: bool
) -> tuple[str | None, ...]:
    """Return one bobweight: of what it is made up, and how heavy it is to be."""
    parts = {i.name: f"{number(i.count, 3)} × {number(i.each_g, 3)}" for i in weight.items}
    names = ", ".join(clean(card.cylinders[index]) for index in weight.cylinders)
    boxes = (WRITE, TICK) if to_do else ()
    return (
        str(weight.throw + 1), names, *(parts.get(name, "") for name in what),
        f"{weight.mass_g:.1f}", *boxes,
    )  # fmt: skip
