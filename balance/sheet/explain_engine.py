"""The working of the engine: whether bobweights are needed, and each of them itemised."""

from collections.abc import Iterator
from functools import partial

from balance.engine.bobweights import Bobweight, Item
from balance.engine.layouts import middle_mm, radius_mm
from balance.engine.pins import pins_of
from balance.engine.steps import BobweightCard, engine_of
from balance.sheet.explain_bobweights import explain_bobweight_errors
from balance.sheet.results import Results
from balance.sheet.working_line import PRACTICE, Line, arrow, num, plain, polar, scalar, total
from balance.vectors import vector

__all__ = ["explain_engine"]

_line = partial(Line, "bobweight")
_TAYLOR = (
    "C. F. Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 2, ch. 8; "
    "from memory"
)


def explain_engine(results: Results) -> Iterator[Line]:
    """Yield why bobweights are needed or not, and what makes up each of them."""
    yield from _need(results)
    if results.need.needed:
        card = results.card
        for weight in card.bobweights:
            yield from _bobweight(card, weight)
        yield from explain_bobweight_errors(results, card)


def _need(results: Results) -> Iterator[Line]:
    engine, need = engine_of(results.job), results.need
    pins = pins_of(engine)
    angles = [engine.throws[t].degrees for t in pins.throws]
    arrows = [polar(vector(rods, a)) for rods, a in zip(pins.rods, angles, strict=True)]
    names = ("need",)
    yield _line(
        "Do equal rods leave a force? Every pin as an arrow, as long as it has rods",
        "R",
        "sum of (rods at pin angle)",
        total(arrows),
        arrow(need.force, 3, "rods"),
        _TAYLOR,
        names,
    )
    middle, spacing = plain(middle_mm(engine)), plain(engine.bore_spacing_mm)
    yield _line(
        "Do they leave a couple? The same arrows times their place from the middle, in bore "
        f"spacings. In short: {need.reason}",
        "C",
        "sum of (z - z_middle) / spacing x (rods at pin angle)",
        total(
            f"({num(z)} - {middle}) / {spacing} x {a}"
            for z, a in zip(pins.z_mm, arrows, strict=True)
        ),
        arrow(need.couple, 3, "rods x spacings"),
        _TAYLOR,
        names,
    )


def _one_share(pin: str, item: Item, symbol: str) -> tuple[str, str, str, str, str]:
    """Return the words of the line on one of several equal shares of a bobweight."""
    return (
        f"{pin.capitalize()}: one of its {plain(item.count)} {item.name} shares, the mean of them",
        "each",
        f"{symbol} / count",
        f"{plain(item.mass_g)} / {plain(item.count)}",
        scalar(item.each_g, 2, "g"),
    )


def _bobweight(card: BobweightCard, weight: Bobweight) -> Iterator[Line]:
    pin = f"crankpin {weight.throw + 1}"
    sets = [card.sets[index] for index in weight.cylinders]
    cylinders = tuple(f"cylinder {card.cylinders[index]}" for index in weight.cylinders)
    line = partial(_line, names=(pin, *cylinders), source=PRACTICE)
    rotating, reciprocating, oil = weight.items
    n = len(sets)
    for item, symbol in ((rotating, "W_rot"), (reciprocating, "W_rec")):
        if item.count != 1:
            yield line(*_one_share(pin, item, symbol))
    yield line(
        f"{pin.capitalize()}: what turns, from {', '.join(cylinders)}",
        "W_rot",
        "sum of m_rot",
        total(plain(entry.rotating_g) for entry in sets),
        scalar(rotating.mass_g, 2, "g"),
    )
    yield line(
        f"{pin.capitalize()}: the share of what goes up and down; one half is exact for what "
        "turns with the crank",
        "W_rec",
        "factor x sum of m_rec",
        f"{plain(reciprocating.count / n)} x ({total(plain(s.reciprocating_g) for s in sets)})",
        scalar(reciprocating.mass_g, 2, "g"),
    )
    yield line(
        f"{pin.capitalize()}: the bobweight to make up",
        "W",
        "W_rot + W_rec + oil",
        total(plain(item.mass_g) for item in (rotating, reciprocating, oil)),
        scalar(weight.mass_g, 2, "g"),
    )
    yield line(
        f"{pin.capitalize()}: the unbalance that it puts on the crank",
        "U_W",
        "W x stroke / 2",
        f"{plain(weight.mass_g)} x {plain(2 * radius_mm(card.engine))} / 2",
        scalar(weight.unbalance_gmm, 0, "g mm"),
        source="mechanics: U = m r; amount of unbalance, ISO 21940-2; from memory",
    )
