"""The working of the parts: readings to weights, weights to rod ends, sets and cuts."""

import math
from collections.abc import Iterator, Sequence
from functools import partial

from balance.job.hung import HUNG
from balance.job.readings import wanted_weighings
from balance.parts.alone import pistons_alone
from balance.parts.finished import CutPart
from balance.parts.matching import SetCuts
from balance.parts.rods import RodEnds
from balance.parts.steps import FinishedSet, Matched
from balance.parts.weigh_steps import finished_weights, first_weights
from balance.parts.weighing import Weight, average
from balance.sheet.explain_alone import explain_alone
from balance.sheet.explain_ways import explain_ways
from balance.sheet.results import Results
from balance.sheet.working_line import PRACTICE, Line, num, plain, scalar, total

__all__ = ["explain_parts"]

_line = partial(Line, "match")
_MEAN = "JCGM 100:2008 (GUM), 4.2.3; from memory"
_POOLED = "JCGM 100:2008 (GUM), 4.2.4; from memory"
_DOUBT = "JCGM 100:2008 (GUM), 4.2.3 and F.2.2.1; from memory"
_LEAST = "JCGM 100:2008 (GUM), 5.1.2; least squares with a condition (Gauss); from memory"
_REST = "JCGM 100:2008 (GUM), 5.1.2; from memory"
_KEPT = "own rule: the sets are stamped, so they stay and are cut on to the lightest of them"
_SETS = "own search through all ways to pair the parts, proven: no way takes less"

_Readings = dict[tuple[str, str], tuple[float, ...]]
_Weights = dict[tuple[str, str], Weight]


def explain_parts(results: Results) -> Iterator[Line]:
    """Yield the working from the readings of the scale to matched sets, or to pistons alone."""
    if alone := pistons_alone(results.job):
        for entry, weight in first_weights(results.job):
            yield _mean((entry.part, entry.what), entry.readings_g, weight)
        yield from explain_alone(alone, results.job.scale.resolution)
        return
    bench = results.matched.bench
    weighed = [wanted for wanted in wanted_weighings(results.job) if wanted.readings_g]
    readings = {(wanted.part, wanted.what): wanted.readings_g for wanted in weighed}
    of_parts = [(wanted.part, wanted.what) for wanted in weighed if wanted.kind not in HUNG]
    weights = {
        key: average(
            read,
            resolution_g=results.job.scale.resolution,
            repeatability_g=bench.repeatability_g,
        )
        for key, read in readings.items()
    }
    yield _scale(results, {key: readings[key] for key in of_parts})
    yield from _doubts(results, {key: weights[key] for key in of_parts})
    for key, read in readings.items():
        yield _mean(key, read, weights[key], repeats=key in of_parts)
    for mark, rod in zip(bench.rod_marks, bench.rods, strict=True):
        yield from _rod(mark, rod, weights)
    for wanted, weight in finished_weights(results.job):
        key = (wanted.part, wanted.what)
        yield _mean(key, wanted.readings_g, weight, after=", after its cut")
    yield from _sets(results)
    yield from explain_ways(results)


def _scale(results: Results, readings: _Readings) -> Line:
    s, d = results.matched.bench.repeatability_g, results.job.scale.resolution
    line = partial(_line, names=("scale",), result=scalar(s, 4, "g"), symbol="s")
    about = "Repeatability of the scale: the standard deviation of one reading"
    if results.job.scale.repeatability is not None:
        return line(about, formula="as written under [scale]", numbers=plain(s), source=PRACTICE)
    if math.isclose(s, d / 2):
        about += ", too few repeats to tell: half a division d"
        return line(about, formula="d / 2", numbers=f"{plain(d)} / 2", source=PRACTICE)
    means = {key: sum(read) / len(read) for key, read in readings.items()}
    squares = total(
        f"({plain(x)} - {plain(means[key])})^2"
        for key, read in readings.items()
        for x in read
        if abs(x - means[key]) > 1e-9
    )
    freedom = sum(len(read) - 1 for read in readings.values())
    return line(
        about + ", from all parts read more than once",
        formula="sqrt(sum of (x - m)^2 / sum of (n - 1))",
        numbers=f"sqrt(({squares}) / {freedom})",
        source=_POOLED,
    )


def _doubts(results: Results, weights: _Weights) -> Iterator[Line]:
    """Yield the uncertainty of a weight, once for each number of readings."""
    s, d = results.matched.bench.repeatability_g, results.job.scale.resolution
    for n in sorted({weight.n for weight in weights.values()}):
        alike = {key: weight for key, weight in weights.items() if weight.n == n}
        yield _line(
            f"Standard uncertainty of a weight read {n} time{'s' * (n > 1)}",
            "u",
            "sqrt(s^2 / n + d^2 / 12)",
            f"sqrt({plain(s)}^2 / {n} + {plain(d)}^2 / 12)",
            scalar(next(iter(alike.values())).u_g, 4, "g"),
            _DOUBT,
            tuple(dict.fromkeys(mark for mark, _ in alike)),
        )


def _mean(
    key: tuple[str, str],
    read: Sequence[float],
    weight: Weight,
    *,
    after: str = "",
    repeats: bool = True,
) -> Line:
    mark, what = key
    formula = "x, read once" if len(read) == 1 else "(x1 + ... + xn) / n"
    numbers = plain(read[0])
    if len(read) > 1:
        numbers = f"({total(map(plain, read))}) / {len(read)}"
    part = mark if what == "weight" else f"{mark}, {what.replace('_', ' ')}"
    odd = ": its readings lie far apart, weigh it again" if repeats and weight.outliers else ""
    about = f"Weight of {part}{after}{odd}"
    return _line(about, "m", formula, numbers, scalar(weight.mass_g, 3, "g"), _MEAN, (mark,))


def _rod(mark: str, rod: RodEnds, weights: _Weights) -> Iterator[Line]:
    ends = {what: weights.get((mark, what)) for what in ("total", "big_end", "small_end")}
    if all(ends.values()):
        yield from _reconciled(mark, rod, weights)
    elif ends["total"] is not None:
        found = "small_end" if ends["small_end"] is None else "big_end"
        weighed = "big_end" if found == "small_end" else "small_end"
        yield _line(
            f"{found.replace('_', ' ').capitalize()} of rod {mark}: the rest of it, nothing checks",
            "S" if found == "small_end" else "B",
            "T - B" if found == "small_end" else "T - S",
            f"{plain(weights[mark, 'total'].mass_g)} - {plain(weights[mark, weighed].mass_g)}",
            scalar(getattr(rod, f"{found}_g"), 3, "g"),
            _REST,
            (mark,),
        )


def _reconciled(mark: str, rod: RodEnds, weights: _Weights) -> Iterator[Line]:
    t, b, s = (weights[mark, what] for what in ("total", "big_end", "small_end"))
    line = partial(_line, source=_LEAST, names=(mark,))
    squares = f"({total(f'{plain(w.u_g)}^2' for w in (t, b, s))})"
    yield line(
        f"Rod {mark}: what its ends weigh more than the whole",
        "c",
        "B + S - T",
        f"{plain(b.mass_g)} + {plain(s.mass_g)} - {plain(t.mass_g)}",
        scalar(rod.closure_g, 3, "g"),
    )
    yield line(
        f"Rod {mark}: the most that weighing can explain of it",
        "c_max",
        "3 x sqrt(u_T^2 + u_B^2 + u_S^2)",
        f"3 x sqrt{squares}",
        scalar(rod.closure_limit_g, 3, "g"),
    )
    for letter, end, weighed, adjusted, u in (
        ("B", "big end", b, rod.big_end_g, rod.u_big_end_g),
        ("S", "small end", s, rod.small_end_g, rod.u_small_end_g),
    ):
        own = f"{plain(weighed.u_g)}^2"
        yield line(
            f"Rod {mark}: {end}, the three weighings reconciled",
            f"{letter}'",
            f"{letter} - c x u_{letter}^2 / (u_T^2 + u_B^2 + u_S^2)",
            f"{plain(weighed.mass_g)} - {num(rod.closure_g)} x {own} / {squares}",
            scalar(adjusted, 3, "g"),
        )
        yield line(
            f"Rod {mark}: uncertainty of its {end}",
            f"u_{letter}'",
            f"u_{letter} x sqrt(1 - u_{letter}^2 / (u_T^2 + u_B^2 + u_S^2))",
            f"{plain(weighed.u_g)} x sqrt(1 - {own} / {squares})",
            scalar(u, 4, "g"),
        )


def _sets(results: Results) -> Iterator[Line]:
    matched = results.matched
    match = matched.match
    before = _before_cuts(matched)
    parts, big_ends = [each[:3] for each in before], [each[3] for each in before]
    marks = tuple(mark for each in matched.sets for mark in (each.piston, each.pin, each.rod))
    yield _target("set", [sum(p) for p in parts], matched.tolerance_g, match.target_g, marks)
    rods = tuple(each.rod for each in matched.sets)
    yield _target("big end", big_ends, matched.big_end_tolerance_g, match.big_end_target_g, rods)
    cylinder_of = {entry.rod: cylinder for cylinder, entry in results.placed if cylinder}
    for index, (finished, cut) in enumerate(zip(matched.sets, match.cuts, strict=True)):
        place = cylinder_of.get(finished.rod)
        who = f"cylinder {place}" if place else f"set {index + 1}"
        names = (who, finished.piston, finished.pin, finished.rod)
        targets = (match.target_g, match.big_end_target_g) if match.feasible else None
        yield from _set(results, names, parts[index], cut, targets)
        yield from _finished(results, names, finished, big_ends[index], targets)


def _before_cuts(matched: Matched) -> list[tuple[float, float, float, float]]:
    """Return what the cuts of each set are reckoned from: piston, pin, small end and big end.

    First weighings; once a part was cut too far, what every part weighs now.
    """
    if matched.recut:
        now = [
            (entry.pin_g, *(part.before_g for part in entry.cut_parts)) for entry in matched.sets
        ]
        return [(piston, pin, small, big) for pin, piston, small, big in now]
    bench = matched.bench
    return [
        (
            bench.pistons[chosen.piston].mass_g,
            bench.pins[chosen.pin].mass_g,
            bench.rods[chosen.rod].small_end_g,
            bench.rods[chosen.rod].big_end_g,
        )
        for chosen in matched.match.sets
    ]


def _target(
    kind: str,
    masses: Sequence[float],
    tolerance_g: float,
    target_g: float,
    marks: tuple[str, ...],
) -> Line:
    allowed = math.floor(tolerance_g * 100 + 1e-6) / 100
    return _line(
        f"The target: the heaviest {kind} allowed is the lightest one plus the tolerance (of "
        "which whole hundredths of a gram count)",
        "target" if kind == "set" else "target_B",
        "min(sums) + tolerance" if kind == "set" else "min(B') + tolerance",
        f"min({', '.join(map(plain, masses))}) + {plain(allowed)}",
        scalar(target_g, 3, "g"),
        PRACTICE,
        ("sets", *marks),
    )


def _set(
    results: Results,
    names: tuple[str, ...],
    masses: tuple[float, float, float],
    cut: SetCuts,
    targets: tuple[float, float] | None,
) -> Iterator[Line]:
    line = partial(_line, names=names, source=_source(results))
    who = f"{names[0].capitalize()}, {names[1]} + {names[2]} + {names[3]}"
    now = "weighs now, after the cuts so far" if results.matched.recut else "was weighed"
    yield line(
        f"{who}: the set as it {now}",
        "sum",
        "piston + pin + small end",
        total(map(plain, masses)),
        scalar(sum(masses), 3, "g"),
        source="sum of weighed masses",
    )
    if targets is None:
        return
    cuts = (cut.piston_g, cut.small_end_g)
    whole = _whole_division(results, cuts, sum(masses) - targets[0])
    yield line(
        f"{who}: what piston ({cut.piston_g:.2f} g) and small end "
        f"({cut.small_end_g:.2f} g) lose together to come down to the target, the lightest "
        f"set plus the tolerance{whole}",
        "cut",
        "piston + small end" if whole else "max(0, sum - target)",
        total(map(plain, cuts)) if whole else f"max(0, {plain(sum(masses))} - {plain(targets[0])})",
        scalar(sum(cuts), 3, "g"),
    )


def _whole_division(results: Results, cuts_g: Sequence[float], over_g: float) -> str:
    """Say that a cut is not what stands over the target, since it is no part of a division."""
    if math.isclose(sum(cuts_g), max(0.0, over_g), abs_tol=1e-6):
        return ""
    return f"; no cut is less than a division of the scale ({results.job.scale.resolution:g} g)"


def _source(results: Results) -> str:
    return _KEPT if results.matched.recut else _SETS


def _finished(
    results: Results,
    names: tuple[str, ...],
    made: FinishedSet,
    big_end_g: float,
    targets: tuple[float, float] | None,
) -> Iterator[Line]:
    line = partial(_line, names=names, source=_source(results))
    who, parts = names[0].capitalize(), results.job.parts
    if targets is not None:
        whole = _whole_division(results, [made.big_end_cut_g], big_end_g - targets[1])
        yield line(
            f"{who}: what the big end of {made.rod} loses to come down to the target, the "
            f"lightest big end plus the tolerance{whole}",
            "cut_B",
            "a whole division, or nothing" if whole else "max(0, B' - target_B)",
            plain(made.big_end_cut_g)
            if whole
            else f"max(0, {plain(big_end_g)} - {plain(targets[1])})",
            scalar(made.big_end_cut_g, 3, "g"),
        )
        yield from _stops(names, made)
        yield _after_cuts(names, made)
    piston, small_end, big_end = made.cut_parts
    sums = {
        "piston + pin + small end, each after its cut, + rings + locks": (
            f"{_after(piston)} + {plain(made.pin_g)} + {_after(small_end)} + "
            f"{plain(parts.ring_set)} + {plain(parts.locks)}"
        ),
        "big end after its cut + shells": f"{_after(big_end)} + {plain(parts.bearing_shells)}",
    }
    kinds = (("goes up and down", "m_rec", made.reciprocating_g),
             ("turns with the pin", "m_rot", made.rotating_g))  # fmt: skip
    for (formula, numbers), (what, symbol, mass) in zip(sums.items(), kinds, strict=True):
        about = f"{who}: what {what}, once cut; the cuts count with all their digits"
        yield line(
            about, symbol, formula, numbers, scalar(mass, 3, "g"), source="sum of weighed masses"
        )


def _stops(names: tuple[str, ...], made: FinishedSet) -> Iterator[Line]:
    """Yield the weight at which to stop cutting, part by part."""
    for part in made.cut_parts:
        if round(part.cut_g, 2) > 0:
            yield _line(
                f"{names[0].capitalize()}: where to stop cutting, {part.what} {part.mark}, which "
                f"loses {part.cut_g:.2f} g",
                "stop",
                "weight before the cut - cut",
                f"{plain(part.before_g)} - {plain(part.cut_g)}",
                scalar(part.stop_g, 3, "g"),
                "sum of weighed masses",
                (names[0], part.mark, "cut"),
            )


def _after_cuts(names: tuple[str, ...], made: FinishedSet) -> Line:
    piston, small_end, _ = made.cut_parts
    return _line(
        f"{names[0].capitalize()}: the set after its cuts",
        "set",
        "piston + pin + small end, each after its cut",
        f"{_after(piston)} + {plain(made.pin_g)} + {_after(small_end)}",
        scalar(made.piston_g + made.pin_g + made.small_end_g, 3, "g"),
        "sum of weighed masses",
        (*names, "sets"),
    )


def _after(part: CutPart) -> str:
    """Return a part's weight after its cut: as weighed again, else what it weighed less the cut."""
    if part.finished_g is not None:
        return plain(part.finished_g)
    return f"{plain(part.before_g)} - {plain(part.cut_g)}"
