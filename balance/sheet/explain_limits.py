"""The working of limits and verdicts: grade to g mm, shares of the bearings, guard band."""

from collections.abc import Iterator, Sequence
from functools import partial

import numpy as np

from balance.job.model import BoltedPage, CrankPage
from balance.sheet.explain_words import explain_in_words
from balance.sheet.results import Results
from balance.sheet.working_line import PRACTICE, Line, arrow, num, plain, polar, scalar, total
from balance.spin.spun import PartUnbalance, StackReading
from balance.spin.tolerance import GUARD, judge, permissible
from balance.vectors import amount

__all__ = ["explain_limits", "verdict_line"]

_line = partial(Line, "spin")
_GRADE = "ISO 21940-11:2016, permissible residual unbalance; from memory"
_SHARE = "ISO 21940-11, allocation to tolerance planes (0.3, 0.7, 1.3); from memory"
_GUARD = "ISO 14253-1:2017 and JCGM 106:2012 clause 8 (guard band); from memory"
_MOUNTING = "Bloch & Geitner, Machinery Component Maintenance and Repair, p. 300"
_DIFFERENCE = (
    "difference of two stacks with the same holes; JCGM 100:2008 (GUM), 5.1.2, from memory"
)


def explain_limits(results: Results) -> Iterator[Line]:
    """Yield every limit, what each bolted part adds, and the verdicts."""
    spun, job = results.spun, results.job
    crank = job.crank
    if crank is None:  # something was spun: there is a crank
        return
    for part, stack in zip(spun.parts, spun.stacks, strict=True):
        page = next((bolted for bolted in job.bolted if bolted.name == part.name), None)
        if page is None:
            yield from _limit(results, part.name, crank.mass, part.permissible_gmm)
        else:
            yield from _added(results, part, stack)
            yield _disc_limit(results, part, page)
            yield from _mounting(part, page)
        yield from explain_in_words(results, part)
        yield from _verdicts(part)
    last = spun.stacks[-1].on
    if len(last) > 1:
        mass = crank.mass + sum(part.mass for part in job.bolted if part.name in last)
        yield from _limit(results, " + ".join(last), mass, spun.total_permissible_gmm)


def _limit(
    results: Results, who: str, mass_g: float, limits: Sequence[float] | np.ndarray
) -> Iterator[Line]:
    """Yield the limit of a crank or a stack: as ordered, or the whole by its grade and shares."""
    targets, crank = results.job.targets, results.job.crank
    planes = [f"plane {plain(z)}" for z in results.spun.bearings_mm]
    if targets.grade is None or targets.service_speed is None or crank is None:
        yield _line(
            f"{who}: limit in each bearing plane, as ordered",
            "U_lim",
            "per_bearing under [targets]",
            plain(targets.per_bearing),
            scalar(limits[0], 1, "g mm"),
            "the order",
            (who, "limit", *planes),
        )
        return
    mass_kg, speed_rpm = mass_g / 1000, targets.service_speed
    whole = float(permissible(rotor_mass_kg=mass_kg, speed_rpm=speed_rpm, grade=targets.grade))
    yield _line(
        f"{who}: permissible unbalance of the whole, G {targets.grade:g}",
        "U_per",
        "1000 x G x m / (2 x pi x n / 60)",
        f"1000 x {plain(targets.grade)} x {plain(mass_kg)} / (2 x pi x {plain(speed_rpm)} / 60)",
        scalar(whole, 1, "g mm"),
        _GRADE,
        (who, "limit"),
    )
    yield from _shares(crank, who, whole, limits)


def _shares(
    crank: CrankPage, who: str, whole: float, limits: Sequence[float] | np.ndarray
) -> Iterator[Line]:
    """Yield what each bearing plane gets of the limit of the whole."""
    middle = sum(crank.bearings) / 2 if crank.centre_of_mass is None else crank.centre_of_mass
    overhung = not min(crank.bearings) <= middle <= max(crank.bearings)
    largest = 1.3 if overhung else 0.7
    for index, here in enumerate(crank.bearings):
        there = crank.bearings[1 - index]
        yield _line(
            f"{who}: limit in bearing plane {plain(here)} mm, its share by where the centre of "
            f"mass is ({plain(middle)} mm), kept from 0.3 to {largest}",
            "U_lim",
            "U_per x min(largest, max(0.3, |z_other - z_mass| / |z_other - z_here|))",
            f"{plain(whole)} x min({largest}, max(0.3, abs({num(there)} - {num(middle)}) / "
            f"abs({num(there)} - {num(here)})))",
            scalar(limits[index], 1, "g mm"),
            _SHARE,
            (who, "limit", f"plane {plain(here)}"),
        )


def _added(results: Results, part: PartUnbalance, stack: StackReading) -> Iterator[Line]:
    """Yield what a bolted part adds: this stack less the one below."""
    line = partial(_line, source=_DIFFERENCE, names=(part.name,))
    base = _below(results, part, stack)
    if base is None:
        yield line(
            f"{part.name}: this stack less an earlier spin of the one below, with the same holes",
            "U",
            "sum of U with it - sum of U without it",
            "",
            arrow(part.unbalance[0], 1, "g mm"),
            names=(part.name, "unbalance"),
        )
        return
    yield line(
        f"{part.name}: what it adds, both bearing planes together, with it less without it",
        "U",
        "(U_A + U_B) - (U_A + U_B)_without",
        f"({total(map(polar, stack.unbalance))}) - ({total(map(polar, base.unbalance))})",
        arrow(part.unbalance[0], 1, "g mm"),
        names=(part.name, "unbalance"),
    )
    squares = [u for each in (stack, base) for u in each.u_shown_gmm]
    yield line(
        f"{part.name}: its standard uncertainty, from the machine's two planes with it and without",
        "u",
        "sqrt(sum of u_i^2)",
        f"sqrt({total(f'{plain(float(u))}^2' for u in squares)})",
        scalar(part.u_gmm[0], 2, "g mm"),
    )


def _below(results: Results, part: PartUnbalance, stack: StackReading) -> StackReading | None:
    """Return the stack below if its latest reading is the one that was taken off."""
    for base in results.spun.stacks:
        added = np.sum(stack.unbalance - base.unbalance)
        if base.on == stack.on[:-1] and np.isclose(added, part.unbalance[0], rtol=1e-9, atol=1e-6):
            return base
    return None


def _disc_limit(results: Results, part: PartUnbalance, page: BoltedPage) -> Line:
    crank = results.job.crank
    line = partial(
        _line,
        symbol="U_lim",
        result=scalar(part.permissible_gmm[0], 1, "g mm"),
        names=(part.name, "limit"),
    )
    if page.limit is not None or crank is None:
        return line(
            f"{part.name}: its own limit, as written",
            formula="limit under [[bolted]]",
            numbers=plain(page.limit),
            source="the order",
        )
    limits = results.spun.parts[0].permissible_gmm
    return line(
        f"{part.name}: its limit, the crank's by the masses",
        formula="(U_lim,A + U_lim,B) x m / m_crank",
        numbers=f"({total(map(plain, limits))}) x {plain(page.mass)} / {plain(crank.mass)}",
        source=PRACTICE,
    )


def _mounting(part: PartUnbalance, page: BoltedPage) -> Iterator[Line]:
    if part.mounting_gmm:
        yield _line(
            f"{part.name}: what run-out and clearance of its seat make; nothing below is chased",
            "U_seat",
            "m x (run-out + clearance) / 2",
            f"{plain(page.mass)} x ({plain(page.run_out)} + {plain(page.clearance)}) / 2",
            scalar(part.mounting_gmm, 1, "g mm"),
            _MOUNTING,
            (part.name,),
        )
        yield _line(
            f"{part.name}: how much of that may change at every refit: the clearance alone",
            "U_refit",
            "m x clearance / 2",
            f"{plain(page.mass)} x {plain(page.clearance)} / 2",
            scalar(part.refit_gmm, 1, "g mm"),
            _MOUNTING,
            (part.name,),
        )


def _verdicts(part: PartUnbalance) -> Iterator[Line]:
    """Yield the verdict in every plane."""
    rows = zip(part.planes_mm, part.unbalance, part.u_gmm, part.permissible_gmm, strict=True)
    for z, unbalance, u, limit in rows:
        yield verdict_line(
            "spin",
            part.name,
            z,
            amount=float(amount(unbalance)),
            limit_gmm=float(limit),
            u_gmm=float(u),
        )


def verdict_line(
    topic: str, name: str, z_mm: float, *, amount: float, limit_gmm: float, u_gmm: float
) -> Line:
    """Return the verdict in one plane with its guard band spelled out.

    Parameters
    ----------
    topic, name : str
        The step, and the part.
    z_mm : float [mm]
        The plane.
    amount, limit_gmm, u_gmm : float [g mm]
        What is there or will be, the limit and the standard uncertainty.

    Examples
    --------
    >>> line = verdict_line("spin", "crank", 0.0, amount=75, limit_gmm=100, u_gmm=15)
    >>> line.numbers, line.result
    ('75 <= 100 - 1.65 x 15', 'pass')
    """
    verdict = judge(amount, permissible_gmm=limit_gmm, u_gmm=u_gmm)
    size, limit, guard = plain(amount), plain(limit_gmm), f"{plain(GUARD)} x {plain(u_gmm)}"
    formula, numbers = {
        "pass": ("|U| <= U_lim - 1.65 x u", f"{size} <= {limit} - {guard}"),
        "fail": ("|U| >= U_lim + 1.65 x u", f"{size} >= {limit} + {guard}"),
        "not proven": ("||U| - U_lim| < 1.65 x u", f"abs({size} - {limit}) < {guard}"),
    }[verdict]
    about = f"{name}, plane {plain(z_mm)} mm: the verdict; nearer the limit than 1.65 u none holds"
    if topic == "correct":
        about = f"{name}, plane {plain(z_mm)} mm: the verdict that a re-spin would give"
    names = (name.lower(), "limit", f"plane {plain(z_mm)}")
    said = "outside" if verdict == "fail" else verdict
    return Line(topic, about, "verdict", formula, numbers, said, _GUARD, names)
