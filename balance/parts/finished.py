"""Each set as it will weigh after its cuts, beside what was weighed before and after them."""

from collections.abc import Iterable
from dataclasses import dataclass

from balance.job.model import Job
from balance.parts.matching import MatchedSet, SetCuts, SetMatch
from balance.parts.weigh_steps import Bench, finished_parts
from balance.parts.weighing import Weight

__all__ = ["CutPart", "FinishedSet", "all_weighed", "finished_sets", "off_stop", "still_to_weigh"]


@dataclass(frozen=True)
class CutPart:
    """A part that may be cut: ``what`` is "piston", "small end" or "big end" [g].

    ``before_g`` is the weight that the cut is reckoned from, ``stop_g`` the weight to stop at,
    ``finished_g`` the weighing after the cut, None before it. ``first_g`` is the first weighing:
    the same as ``before_g``, unless a part was cut too far and the plan began anew from there.
    ``other_end_cut_g`` is what the plan takes off the other end of the same rod.
    """

    what: str
    mark: str
    before_g: float
    cut_g: float
    stop_g: float
    finished_g: float | None
    first_g: float
    other_end_cut_g: float = 0.0

    @property
    def name(self) -> str:
        """The part as people say it: ``P1``, ``R3 small end``."""
        return self.mark if self.what == "piston" else f"{self.mark} {self.what}"

    @property
    def after_g(self) -> float:
        """What it weighs after the cut: as weighed, else as planned."""
        return self.stop_g if self.finished_g is None else self.finished_g


@dataclass(frozen=True)
class FinishedSet:
    """One set as it will turn: what to cut, and what then reciprocates and rotates [g].

    ``rotating_g`` and ``reciprocating_g`` belong to one rod and hold its rings, locks and shells;
    they go by what was weighed after the cuts as far as it was, the ``expected_`` ones by the plan
    alone: where a set goes rests on these, so that a stamped part keeps its cylinder. ``weighed``
    says that every part which loses metal was weighed again after cutting. ``cut_parts`` are
    piston, small end and big end.
    """

    piston: str
    pin: str
    rod: str
    piston_cut_g: float
    small_end_cut_g: float
    big_end_cut_g: float
    piston_g: float
    pin_g: float
    small_end_g: float
    big_end_g: float
    reciprocating_g: float
    rotating_g: float
    weighed: bool
    expected_reciprocating_g: float
    expected_rotating_g: float
    cut_parts: tuple[CutPart, CutPart, CutPart]


def finished_sets(job: Job, bench: Bench, match: SetMatch) -> tuple[FinishedSet, ...]:
    """Return each set as it will weigh after its cuts, or as it was weighed after them.

    Parameters
    ----------
    job : Job
        As read from its file.
    bench : Bench
        Its weighed parts.
    match : SetMatch
        Its sets and their cuts.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.parts.steps import match_job
    >>> match_job(read_job(files("cli.examples") / "flat-four.toml")).sets[0].weighed
    False
    """
    weighed = finished_parts(job)
    return tuple(
        _finished(job, bench, chosen, cut, weighed)
        for chosen, cut in zip(match.sets, match.cuts, strict=True)
    )


def _finished(
    job: Job,
    bench: Bench,
    chosen: MatchedSet,
    cut: SetCuts,
    weighed: tuple[dict[str, Weight], dict[tuple[str, str], float]],
) -> FinishedSet:
    singles, ends = weighed
    mark, pin_mark = bench.piston_marks[chosen.piston], bench.pin_marks[chosen.pin]
    rod_mark, rod = bench.rod_marks[chosen.rod], bench.rods[chosen.rod]
    again = singles[mark].mass_g if mark in singles else None
    piston = _cut_part(("piston", mark), bench.pistons[chosen.piston].mass_g, cut.piston_g, again)
    small = _cut_part(("small end", rod_mark), rod.small_end_g, cut.small_end_g,
                      ends.get((rod_mark, "small_end")), cut.big_end_g)  # fmt: skip
    big = _cut_part(("big end", rod_mark), rod.big_end_g, cut.big_end_g,
                    ends.get((rod_mark, "big_end")), cut.small_end_g)  # fmt: skip
    first_pin = bench.pins[chosen.pin]
    pin = singles.get(pin_mark, first_pin).mass_g
    extra, shells = job.parts.ring_set + job.parts.locks, job.parts.bearing_shells
    return FinishedSet(
        piston=mark,
        pin=pin_mark,
        rod=rod_mark,
        piston_cut_g=piston.cut_g,
        small_end_cut_g=small.cut_g,
        big_end_cut_g=big.cut_g,
        piston_g=piston.after_g,
        pin_g=pin,
        small_end_g=small.after_g,
        big_end_g=big.after_g,
        reciprocating_g=piston.after_g + pin + small.after_g + extra,
        rotating_g=big.after_g + shells,
        weighed=all_weighed((piston, small, big)),
        expected_reciprocating_g=piston.stop_g + first_pin.mass_g + small.stop_g + extra,
        expected_rotating_g=big.stop_g + shells,
        cut_parts=(piston, small, big),
    )


def _cut_part(
    part: tuple[str, str], before: float, cut: float, again: float | None, other: float = 0.0
) -> CutPart:
    return CutPart(*part, before, cut, before - cut, again, before, other)


def off_stop(part: CutPart, after_g: float, *, near_g: float) -> str:
    """Say how far a part was weighed from the weight at which its cut ends; nothing when near it.

    Examples
    --------
    >>> uncut = CutPart("small end", "R3", 158.2, 0.0, 158.2, None, 158.2, 1.5)
    >>> print(off_stop(uncut, 155.4, near_g=0.5))  # doctest: +ELLIPSIS
    R3 small end is 2.80 g below its stop (where its cut ends: 158.20 g): ...
    >>> off_stop(CutPart("piston", "P1", 420.8, 0.8, 420.0, None, 420.8), 420.9, near_g=0.5)
    'P1 is 0.90 g above its stop (where its cut ends: 420.00 g)'
    """
    off = after_g - part.stop_g
    if abs(off) <= near_g + 1e-9:
        return ""
    side = "above" if off > 0 else "below"
    stop = f"its stop (where its cut ends: {part.stop_g:.2f} g)"
    return f"{part.name} is {abs(off):.2f} g {side} {stop}{_not_planned(part, off)}"


def _not_planned(part: CutPart, off_g: float) -> str:
    """Say that the plan takes nothing off this part, and what off the other end of its rod."""
    if off_g > 0 or round(part.cut_g, 2) > 0:
        return ""
    said = ": the plan takes nothing off it"
    if round(part.other_end_cut_g, 2) <= 0:
        return said
    other = "BIG" if part.what == "small end" else "SMALL"
    return f"{said}, but {part.other_end_cut_g:.2f} g off the {other} end"


def still_to_weigh(sets: Iterable[FinishedSet]) -> tuple[CutPart, ...]:
    """Return the parts that lose metal and were not weighed since, once any part of a job was.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.parts.steps import match_job
    >>> still_to_weigh(match_job(read_job(files("cli.examples") / "flat-four.toml")).sets)
    ()
    """
    parts = [part for each in sets for part in each.cut_parts]
    if all(part.finished_g is None for part in parts):
        return ()
    return tuple(p for p in parts if round(p.cut_g, 2) > 0 and p.finished_g is None)


def all_weighed(parts: tuple[CutPart, ...]) -> bool:
    """Return whether all that lose metal were weighed again, and at least one part was."""
    cut = [part.finished_g for part in parts if round(part.cut_g, 2) > 0]
    return None not in cut and any(part.finished_g is not None for part in parts)
