"""The working of the check spin: what the putty does, and what the machine must then show."""

from collections.abc import Iterator
from functools import partial
from typing import Any

import numpy as np

from balance.metal.check_spin_steps import HANDY_G, CheckPlace, CheckRow, PlannedCheck
from balance.sheet.check_spin_words import figure
from balance.sheet.results import Results
from balance.sheet.working_line import PRACTICE, Line, arrow, num, plain, polar, scalar, total
from balance.spin.check_spin import REACH
from balance.spin.machine import Machine
from balance.spin.machine_page import told_unit
from balance.vectors import degrees, fold, vector

__all__ = ["explain_check_spin"]

_NAMES = ("check spin", "putty")
_line = partial(Line, "correct")
_STATICS = "mechanics: U = m r, shared by force and moment"
_MACHINE = "unbalance vector, ISO 21940-2; from memory"


def explain_check_spin(results: Results) -> Iterator[Line]:
    """Yield the working of the check spin that is still to be made; nothing when there is none."""
    check = results.check_spin
    if check.planned is None or check.settled or check.contradiction:
        return
    for number, place in enumerate(check.planned.places, 1):
        yield from _putty(number, place)
    for row in check.planned.rows:
        yield from _plane(results, check.planned, row)


def _putty(number: int, place: CheckPlace) -> Iterator[Line]:
    names, weighed = (*_NAMES, place.mark), ", ".join(f"{each:g}" for each in HANDY_G)
    yield _line(
        f"Check spin: putty on {place.mark}",
        f"m_{number}",
        f"the least of {weighed} g with which every known slip shows",
        "",
        f"{place.mass_g:g} g",
        PRACTICE,
        names,
    )
    yield _line(
        f"Check spin: what the putty on {place.mark} does, at the rim",
        f"c_{number}",
        "mass x radius x (1 where it is stuck)",
        f"{plain(place.mass_g)} x {plain(place.radius_mm)} x (1 at {plain(place.degrees)} deg)",
        arrow(_lump(place), 1, "g mm"),
        "mechanics: U = m r",
        names,
    )


def _plane(results: Results, planned: PlannedCheck, row: CheckRow) -> Iterator[Line]:
    """Yield what one plane must show: in the crank's frame, then as the machine shows it."""
    page, machine, check = results.job.machine, results.spun.machine, planned.check
    if page is None:  # something was spun: there is a machine
        return
    plane = next(each for each in page.planes if each.name == row.plane)
    index = sorted(each.z for each in page.planes).index(plane.z)
    who, names = f"Check spin, plane {row.plane}", (*_NAMES, f"plane {row.plane}")
    yield _line(
        f"{who}: what must be there with the putty on",
        "U_must",
        "U_now + sum of c_i" + " x (z_other - z_i) / (z_other - z)" * (len(page.planes) > 1),
        total([polar(check.before[index]), *_shares(planned, machine.planes_mm, index)]),
        arrow(check.shown[index], 1, "g mm"),
        _STATICS,
        names,
    )
    size = float(machine.gmm_per_unit[index]) * told_unit(page, plane.radius)
    shown = ((check.before[index], row.now, "now"), (check.shown[index], row.must, "then"))
    for vector_gmm, amount, when in shown:
        length = abs(vector_gmm)
        yield _line(
            f"{who}: the amount that the machine shows {when}",
            f"shown_{when}",
            "|U| / size of the unit",
            f"{plain(length)} / {plain(size)}",
            f"{figure(amount)} {planned.unit}",
            _MACHINE,
            names,
        )
        yield _angle(who, when, vector_gmm, machine, names)
    yield from _reach(who, planned, row, float(check.reach_gmm[index]) / size, names)


def _angle(who: str, when: str, value: Any, machine: Machine, names: tuple[str, ...]) -> Line:
    crank, zero, sense = float(degrees(value)), float(degrees(machine.direction)), machine.sense
    counted = sense * (crank - zero)
    turns = round((float(fold(round(counted, 9))) - counted) / 360)
    return _line(
        f"{who}: the angle that the machine shows {when}",
        f"angle_{when}",
        "sense x (angle - where its 0 lies)" + " + 360 x whole turns" * (turns != 0),
        f"{num(sense)} x ({plain(crank)} - {num(zero)})" + f" + 360 x {num(turns)}" * (turns != 0),
        scalar(counted + 360 * turns, 1, "deg"),
        _MACHINE,
        names,
    )


def _reach(
    who: str, planned: PlannedCheck, row: CheckRow, reach: float, names: tuple[str, ...]
) -> Iterator[Line]:
    yield _line(
        f"{who}: how far beside it a machine in order may show, with the putty a bit off",
        "reach",
        f"{REACH} x u",
        f"{REACH} x {plain(reach / REACH)}",
        f"{figure(row.within)} {planned.unit}",
        "chi-square with two degrees of freedom, one in a thousand beyond; from memory",
        names,
    )
    if row.within_degrees is not None:
        yield _line(
            f"{who}: the angle by which it may be off",
            "reach_angle",
            "the angle whose sine is reach / shown_then",
            "",
            scalar(row.within_degrees, 1, "deg"),
            "geometry",
            names,
        )


def _shares(planned: PlannedCheck, planes_mm: Any, index: int) -> Iterator[str]:
    for place in planned.places:
        lump = polar(_lump(place))
        if len(planes_mm) == 1:
            yield lump
            continue
        here, there = (float(planes_mm[index]), float(planes_mm[1 - index]))
        yield f"{lump} x ({num(there)} - {num(place.z_mm)}) / ({num(there)} - {num(here)})"


def _lump(place: CheckPlace) -> np.complex128:
    return np.complex128(vector(place.mass_g * place.radius_mm, place.degrees))
