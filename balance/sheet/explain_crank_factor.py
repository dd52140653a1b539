"""The working of the factor of a crank: what it was built to, and what a percent of it costs."""

from collections.abc import Iterator
from functools import partial

from balance.engine.layouts import radius_mm
from balance.engine.steps import Shook
from balance.sheet.results import Results
from balance.sheet.working_line import Line, num, plain, polar, scalar, total
from balance.vectors import vector

__all__ = ["explain_built_factor", "explain_one_percent"]

_line = partial(Line, "shake")


def explain_built_factor(results: Results, shook: Shook) -> Iterator[Line]:
    """Yield the factor that an old crank was built to, from the weight that held it still."""
    page, card = results.job.bobweights, shook.card
    if shook.built_factor is None or page.static_hung is None:
        return
    r = radius_mm(card.engine)
    throws = [card.engine.throws[cylinder.throw].degrees for cylinder in card.engine.cylinders]
    turning, moving = (
        total(polar(vector(mass, angle)) for mass, angle in zip(masses, throws, strict=True))
        for masses in (
            [entry.rotating_g for entry in card.sets],
            [entry.reciprocating_g for entry in card.sets],
        )
    )
    hung = f"{plain(page.static_hung)} x {plain(page.static_radius or r)} / {plain(r)}"
    yield _line(
        "The factor that the crank was built to, by the weight that held it still on knife edges",
        "f_built",
        "(hung x its radius / r - |sum of m_rot at pin|) / |sum of m_rec at pin|",
        f"({hung} - abs({turning})) / abs({moving})",
        scalar(shook.built_factor, 3),
        "moments about the crank's axis",
        ("factor",),
    )


def explain_one_percent(results: Results, shook: Shook) -> Iterator[Line]:
    """Yield what one percent of factor costs in the planes of the bearings."""
    if shook.one_percent_gmm is None or results.job.crank is None:
        return
    engine, shaking = shook.card.engine, shook.shaking
    places = results.job.crank.bearings
    for this, other, cost in zip(places, places[::-1], shook.one_percent_gmm, strict=True):
        pieces = []
        for mass, cylinder in zip(shaking.reciprocating_g, engine.cylinders, strict=True):
            throw = engine.throws[cylinder.throw]
            share = f"({plain(other)} - {num(throw.z_mm)}) / ({plain(other)} - {plain(this)})"
            pieces.append(f"{polar(vector(mass, throw.degrees))} x {share}")
        yield _line(
            f"What one percent of factor is worth at the bearing at {plain(this)} mm",
            "U_1%",
            "abs(0.01 x r x sum of (m_rec at pin) x (z_other - z) / (z_other - z_bearing))",
            f"abs(0.01 x {plain(radius_mm(engine))} x ({total(pieces)}))",
            scalar(cost, 1, "g mm"),
            "force and moment kept (statics)",
            ("factor", f"plane {plain(this)}"),
        )
