"""The check spin on the drilling page: to be made before the first hole, with boxes to write in."""

from collections.abc import Iterator

from balance.errors import MissingInputError
from balance.metal.check_spin_steps import CheckRow, PlannedCheck
from balance.sheet.blocks import WRITE, Block, Column, Notice, Table, Text, clean
from balance.sheet.check_spin_words import (
    figure,
    lost_text,
    offer_text,
    place_text,
    resting_text,
    stop_text,
    untold_text,
)
from balance.sheet.results import Results
from balance.sheet.wording import capital
from balance.vectors import whole_degrees

__all__ = ["check_spin_section"]


def check_spin_section(results: Results) -> tuple[Block, ...]:
    """Return what a check spin says, or the one to make; nothing where none is of use.

    Parameters
    ----------
    results : Results
        Of the job; what it lacks is said elsewhere on the page.
    """
    try:
        return tuple(_blocks(results))
    except MissingInputError:
        return ()


def _blocks(results: Results) -> Iterator[Block]:
    check = results.check_spin
    if stop := stop_text(results.job, check.recorded):
        yield Notice("STOP: ", f"{capital(clean(stop))}.")
    elif check.recorded is not None:
        yield Text(f"{capital(clean(check.recorded.message))}.")
    planned = check.planned
    if planned is None or check.settled or check.contradiction:
        return
    if not check.due:
        yield Text(clean(offer_text(planned)), small=True)
        return
    stuck = clean(" and ".join(place_text(place) for place in planned.places))
    first = "BEFORE SLUGS ARE BOUGHT" if planned.unplanned else "BEFORE THE FIRST HOLE"
    why = lost_text(planned) or resting_text(results.job)
    yield Notice(
        f"{first}, A CHECK SPIN: ", f"{why} Stick on {stuck}: putty, its middle at the rim. {_HOW}"
    )
    yield _table(planned)
    if said := untold_text(planned):
        yield Text(clean(said))


_HOW = (
    "Clean dry metal, low speed, guard closed, nobody in the plane of rotation; all else as last "
    "spun. If the machine does not show this, drill nothing. Take the putty off again."
)


def _table(planned: PlannedCheck) -> Table:
    columns = (
        Column("plane"), Column("shows now", "right"), Column("must show", "right"),
        Column("by no more off than", "right"), Column("shows", width_mm=30),
    )  # fmt: skip
    rows = tuple(_row(row, planned.unit) for row in planned.rows)
    return Table(columns, rows)


def _row(row: CheckRow, unit: str) -> tuple[str | None, ...]:
    off = "any angle" if row.within_degrees is None else f"{row.within_degrees:.0f}°"
    return (
        clean(row.plane),
        f"{figure(row.now)} {unit} at {whole_degrees(row.now_degrees)}°",
        f"{figure(row.must)} {unit} at {whole_degrees(row.must_degrees)}°",
        f"{figure(row.within)} {unit}, {off}",
        WRITE,
    )
