"""The working of what an error of a bobweight does, and of a crank bought for a target weight."""

from collections.abc import Iterator
from functools import partial

from balance.engine.bobweights import Bobweight
from balance.engine.layouts import radius_mm
from balance.engine.pins import pins_of
from balance.engine.steps import BobweightCard
from balance.sheet.results import Results
from balance.sheet.working_line import PRACTICE, Line, num, plain, polar, scalar, total
from balance.vectors import vector

__all__ = ["explain_bobweight_errors"]

_line = partial(Line, "bobweight")
_STATICS = "force and moment kept (statics)"
_ENDS = ("nose", "flywheel")


def explain_bobweight_errors(results: Results, card: BobweightCard) -> Iterator[Line]:
    """Yield what a wrong gram or place of the first bobweight does, and what a target means."""
    crank = results.job.crank
    if crank is None or card.errors is None:
        return
    ends = crank.bearings
    for index, end in enumerate(_ENDS):
        yield from _errors(card, card.bobweights[0], (ends[index], ends[1 - index]), index, end)
    if card.target is not None and crank.target_bobweight is not None:
        yield from _target(card, crank.target_bobweight, ends)


def _errors(
    card: BobweightCard, weight: Bobweight, places: tuple[float, float], index: int, end: str
) -> Iterator[Line]:
    """Yield three small errors at one bearing, all of the first bobweight."""
    if card.errors is None:
        return
    one, r = card.errors.throws[0], plain(radius_mm(card.engine))
    z, (here, there) = card.engine.throws[weight.throw].z_mm, places
    share = f"abs({num(there)} - {num(z)}) / abs({num(there)} - {num(here)})"
    who = f"An error of the bobweight of crankpin {weight.throw + 1}, at the {end} bearing"
    rows = (
        ("1 g too heavy", "1 x r x share", f"1 x {r} x {share}", one.mass_gmm),
        ("0.05 mm off the pin's centre", "W x 0.05 x share",
         f"{plain(weight.mass_g)} x 0.05 x {share}", one.off_centre_gmm),
        ("1 mm off along the pin", "W x r x 1 / |z_other - z_here|",
         f"{plain(weight.mass_g)} x {r} x 1 / abs({num(there)} - {num(here)})", one.along_gmm),
    )  # fmt: skip
    for error, formula, numbers, effect in rows:
        yield _line(
            f"{who}: {error}"
            + "; its share by place is |z_other - z_pin| / |z_other - z_here|"
            * formula.endswith("share"),
            "dU",
            formula,
            numbers,
            scalar(effect[index], 1, "g mm"),
            _STATICS,
            ("error", f"crankpin {weight.throw + 1}"),
        )


def _target(card: BobweightCard, wanted_g: float, ends: tuple[float, ...]) -> Iterator[Line]:
    """Yield what a crank bought for a target bobweight may be made for, and what that changes."""
    found = card.target
    if found is None:
        return
    line = partial(_line, source=PRACTICE, names=("target", "bobweight"))
    own = f"({total(plain(w.mass_g) for w in card.bobweights)}) / {len(card.bobweights)}"
    for word, sign, mass in (("least", "-", found.low_g), ("most", "+", found.high_g)):
        spread = plain(abs(mass / wanted_g - 1))
        yield line(
            f"A crank sold for {plain(wanted_g)} g: the {word} that it may be made for",
            "W_sold",
            f"target x (1 {sign} spread)",
            f"{plain(wanted_g)} x (1 {sign} {spread})",
            scalar(mass, 1, "g"),
        )
        for index, end in enumerate(_ENDS):
            yield line(
                f"What then is to be changed at the {end} bearing if it was made for the {word}; "
                "+ comes off",
                "dU",
                "(W_sold - mean of W) x |r x sum of (1 at pin) x share|",
                f"({plain(mass)} - {own}) x abs({_pins_at(card, ends, index)})",
                scalar(found.change_gmm[index][0 if word == "least" else 1], 0, "g mm"),
            )


def _pins_at(card: BobweightCard, ends: tuple[float, ...], index: int) -> str:
    """Return one gram on every pin, carried over to one bearing, in numbers."""
    pins, r = pins_of(card.engine), plain(radius_mm(card.engine))
    here, there = ends[index], ends[1 - index]
    pieces = (
        f"{polar(vector(1.0, card.engine.throws[throw].degrees))} x "
        f"({num(there)} - {num(z)}) / ({num(there)} - {num(here)})"
        for throw, z in zip(pins.throws, pins.z_mm, strict=True)
    )
    return f"{r} x ({total(pieces)})"
