"""What the holes of a plan take, beside what published practice takes from a counterweight bay."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from balance.metal.guards import crowding_warnings, hole_warnings

if TYPE_CHECKING:
    from balance.engine.layouts import Engine
    from balance.metal.holes import DrilledHole
    from balance.metal.steps import CrankCorrection

__all__ = ["bays_of", "beyond_practice", "named"]

_PER_SPACING = 0.5  # between two throws nearer than this there is no room for a main bearing


def bays_of(engine: Engine, weights_z_mm: Sequence[float]) -> tuple[tuple[int, ...], ...]:
    """Return which counterweights share a bay: those of the throw between two main bearings.

    A counterweight belongs to the throw nearest to it along the crank; splayed pins are one throw.

    Parameters
    ----------
    engine : Engine
        Its throws, placed from the crank's datum.
    weights_z_mm : sequence of float [mm]
        Where the counterweights stand along the crank.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> twin = layout("inline-2", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
    >>> bays_of(twin, [-20, 20, 70, 110])
    ((0, 1), (2, 3))
    """
    places = [*_places(engine)]
    found: dict[int, list[int]] = {}
    for index, z_mm in enumerate(weights_z_mm):
        nearest = min(range(len(places)), key=lambda n: abs(places[n] - z_mm))
        found.setdefault(nearest, []).append(index)
    return tuple(tuple(bay) for bay in found.values())


def _places(engine: Engine) -> Iterator[float]:
    """Yield the middle of the pins between each two main bearings, nose to flywheel."""
    pins: list[float] = []
    for z_mm in sorted(throw.z_mm for throw in engine.throws):
        if pins and z_mm - pins[0] >= _PER_SPACING * engine.bore_spacing_mm:
            yield sum(pins) / len(pins)
            pins = []
        pins.append(z_mm)
    yield sum(pins) / len(pins)


def named(marks: Sequence[str]) -> str:
    """Return counterweights by their marks, as people say it.

    Examples
    --------
    >>> named(["W3"]), named(["W3", "W4"])
    ('counterweight W3', 'counterweights W3 and W4')
    """
    *others, last = marks
    if not others:
        return f"counterweight {last}"
    return f"counterweights {', '.join(others)} and {last}"


def beyond_practice(correction: CrankCorrection) -> Mapping[str, tuple[str, ...]]:
    """Return where the holes, old and new, go beyond published practice.

    Holes are counted by the bay, walls and drills looked at by the counterweight, each of them
    called by its name; what gets no new hole is left out.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.metal.steps import correct_job
    >>> from balance.spin.steps import spin_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> beyond_practice(correct_job(job, spin_job(job)).crank)
    {}
    """
    found: dict[str, tuple[str, ...]] = {}
    drilled = {hole.counterweight for hole in correction.plan.holes}
    for bay in correction.bays:
        if drilled.isdisjoint(bay):
            continue
        holes = {index: _holes(correction, index) for index in bay}
        found[named([correction.marks[index] for index in bay])] = crowding_warnings(
            sum(map(len, holes.values()))
        )
        for index in drilled.intersection(bay):
            width_mm = correction.counterweights[index].width_mm
            wall_mm = min((width_mm - hole.diameter_mm) / 2 for hole in holes[index])
            name = named([correction.marks[index]])
            said = hole_warnings(holes[index], thinnest_wall_mm=wall_mm)
            found[name] = (*found.get(name, ()), *said)
    return {name: said for name, said in found.items() if said}


def _holes(correction: CrankCorrection, index: int) -> tuple[DrilledHole, ...]:
    """Return all holes of one counterweight, one that is deepened once and as it will be."""
    new = [hole for hole in correction.plan.holes if hole.counterweight == index]
    deepened = {hole.deepens for hole in new}
    old = correction.counterweights[index].holes
    return (*(hole for n, hole in enumerate(old) if n not in deepened), *new)
