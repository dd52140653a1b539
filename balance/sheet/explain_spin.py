"""The working of a spin: what the machine showed, in the crank's frame and at the bearings."""

from collections.abc import Iterator
from functools import partial
from typing import Any

import numpy as np

from balance.engine.layouts import radius_mm
from balance.engine.steps import engine_of
from balance.job.amounts import amount_gmm
from balance.job.appended import ReadingPage, SpinPage
from balance.job.model import MachinePage, PlanePage
from balance.sheet.explain_limits import explain_limits
from balance.sheet.results import Results
from balance.sheet.working_line import Line, arrow, num, plain, polar, scalar, total
from balance.spin.machine import Machine
from balance.spin.machine_page import told_unit
from balance.spin.planes import transfer
from balance.spin.spun import StackReading
from balance.spin.states import alike_spins
from balance.vectors import vector

__all__ = ["explain_spin"]

_line = partial(Line, "spin")
_NOTHING_FOUND = 1e-9  # of a scale: rounding of the numbers, no finding
_VECTOR = "unbalance vector, ISO 21940-2; from memory"
_STATICS = "force and moment kept (statics); ISO 21940-11, transfer between planes, from memory"
_PROPAGATED = "linear propagation of uncertainty, JCGM 100:2008 (GUM), 5.1.2; from memory"


def explain_spin(results: Results) -> Iterator[Line]:
    """Yield the working from the machine's readings to the verdict on every part."""
    spun = results.spun
    yield from _machine(results)
    for stack in spun.stacks:
        yield from _stack(results, stack)
    yield from explain_limits(results)


def _machine(results: Results) -> Iterator[Line]:
    """Yield where the machine's 90 lies, and what one unit that it shows is worth."""
    page, machine = results.job.machine, results.spun.machine
    if page is None:  # something was spun: there is a machine
        return
    line = partial(_line, source=_VECTOR, names=("machine",))
    turns = int(-np.floor((machine.zero_degrees + machine.sense * 90.0) / 360.0))
    yield line(
        "The machine: where its 90 lies on the crank",
        "angle",
        "zero + sense x 90" + " + 360 x whole turns" * (turns != 0),
        f"{plain(machine.zero_degrees)} + {num(machine.sense)} x 90"
        + f" + 360 x {num(turns)}" * (turns != 0),
        scalar(machine.zero_degrees + machine.sense * 90.0 + 360.0 * turns, 1, "deg"),
    )
    yield from _one_unit(page)
    yield from _scales(page, machine, [stack.on[-1] for stack in results.spun.stacks])


def _one_unit(page: MachinePage) -> Iterator[Line]:
    """Yield what one unit shown is worth; of a machine that shows a mass, plane by plane."""
    line = partial(_line, source=_VECTOR, names=("machine",))
    if page.unit not in ("g", "oz"):
        one = amount_gmm(1.0, unit=page.unit, radius_mm=None)
        yield line(
            f"The machine: what one unit shown is worth, 1 {page.unit}",
            "one", "size of the unit", plain(one), scalar(one, 2, "g mm"),
        )  # fmt: skip
        return
    for plane in page.planes:
        if plane.radius is not None:
            one = amount_gmm(1.0, unit=page.unit, radius_mm=plane.radius)
            yield line(
                f"The machine: what 1 {page.unit} shown in plane {plane.name} is worth, at the "
                "radius set for it",
                "one",
                "size of the unit x radius",
                f"{plain(one / plane.radius)} x {plain(plane.radius)}",
                scalar(one, 2, "g mm"),
            )


def _scales(page: MachinePage, machine: Machine, turned: list[str]) -> Iterator[Line]:
    """Yield by how much a plane shows too much or too little, where proof spins found it."""
    for plane in page.planes:
        scale = _scale(page, plane, machine)
        if scale != 1.0:
            yield _line(
                f"The machine: what one g mm shown in plane {plane.name} stands for, found from "
                "all proof spins at once (heavyspot prove); what shows in the other plane stays in",
                "scale",
                "what was stuck on / what the machine then showed of it",
                "",
                plain(scale),
                _VECTOR,
                ("machine", f"plane {plane.name}", *turned),
            )


def _scale(page: MachinePage, plane: PlanePage, machine: Machine) -> float:
    """Return what one g mm shown in a plane stands for: exactly 1 where nothing else was found."""
    index = sorted(each.z for each in page.planes).index(plane.z)
    unit = amount_gmm(1.0, unit=page.unit, radius_mm=plane.radius)
    found = float(machine.gmm_per_unit[index]) * told_unit(page, plane.radius) / unit
    return 1.0 if abs(found - 1.0) < _NOTHING_FOUND else found


def _stack(results: Results, stack: StackReading) -> Iterator[Line]:
    job, who = results.job, " + ".join(stack.on)
    page = job.machine
    if page is None:  # a stack was read: there is a machine
        return
    planes = sorted(page.planes, key=lambda plane: plane.z)
    spins = alike_spins(job, stack.on, stack.drilled)
    for index, plane in enumerate(planes):
        names = (who, f"plane {plane.name}", stack.on[-1])
        vectors = []
        for spin in spins:
            reading = next(r for r in spin.readings if r.plane == plane.name)
            size, angle = _shown(page, plane, reading, results.spun.machine)
            vectors.append(vector(size, angle))
            yield from _reading(results, spin, plane, reading, names)
        yield from _shown_mean(stack, index, plane.name, vectors, names)
        yield _doubt(page, stack, (index, plane.name), vectors, names)
    yield from _at_bearings(results, stack, [plane.z for plane in planes], spins)


def _shown(
    page: MachinePage, plane: PlanePage, reading: ReadingPage, machine: Machine
) -> tuple[float, float]:
    """Return amount [g mm] and angle in the crank's frame [degree, not folded] of a reading."""
    size = amount_gmm(reading.amount, unit=page.unit, radius_mm=plane.radius)
    size *= _scale(page, plane, machine)
    light = 180.0 if page.points_to in ("light", "add") else 0.0
    return size, machine.zero_degrees + machine.sense * reading.angle + light


def _reading(
    results: Results, spin: SpinPage, plane: PlanePage, reading: ReadingPage, names: tuple[str, ...]
) -> Iterator[Line]:
    page, machine = results.job.machine, results.spun.machine
    if page is None:
        return
    _, angle = _shown(page, plane, reading, machine)
    line = partial(_line, names=names, source=_VECTOR)
    spun = f"Spin {spin.name!r}, plane {plane.name}"
    yield _amount(spun, page, plane, reading, names, scale=_scale(page, plane, machine))
    light = page.points_to in ("light", "add")
    turns = int(-np.floor(angle / 360.0))
    side = (
        "points to the light side: the heavy one is across" if light else "points to the heavy side"
    )
    way = "as the crank, so +" if machine.sense > 0 else "against the crank, so -"
    yield line(
        f"{spun}: the angle shown, in the crank's frame; the machine counts {way}, and {side}",
        "angle",
        "zero + sense x shown" + " + 180" * light + " + 360 x whole turns" * (turns != 0),
        f"{plain(machine.zero_degrees)} + {num(machine.sense)} x {plain(reading.angle)}"
        + " + 180" * light
        + f" + 360 x {num(turns)}" * (turns != 0),
        scalar(angle + 360.0 * turns, 1, "deg"),
    )


def _amount(
    spun: str,
    page: MachinePage,
    plane: PlanePage,
    reading: ReadingPage,
    names: tuple[str, ...],
    *,
    scale: float,
) -> Line:
    """Return how an amount came to g mm: by the unit's size, or mass times radius; by the scale."""
    line = partial(_line, names=names, source=_VECTOR)
    size = amount_gmm(reading.amount, unit=page.unit, radius_mm=plane.radius)
    about, result = f"{spun}: the amount shown", scalar(size * scale, 1, "g mm")
    proven = scale != 1.0
    times, by = " x scale of the plane" * proven, f" x {plain(scale)}" * proven
    shown = f"{reading.amount}" if isinstance(reading.amount, str) else (
        f"{plain(reading.amount)} {page.unit}"
    )  # fmt: skip
    if page.unit in ("g", "oz") and plane.radius is not None:
        mass = f"{plain(size / plane.radius)} x {plain(plane.radius)}"
        where = "at the radius set for the plane"
        return line(f"{about}, {shown} {where}", "U", f"m x r{times}", f"{mass}{by}", result)
    one = amount_gmm(1.0, unit=page.unit, radius_mm=plane.radius)
    return line(
        f"{about}, {shown}",
        "U",
        f"shown x size of the unit{times}",
        f"{plain(size / one)} x {plain(one)}{by}",
        result,
    )


def _shown_mean(
    stack: StackReading, index: int, plane: str, vectors: list[Any], names: tuple[str, ...]
) -> Iterator[Line]:
    """Yield the mean of the spins of one state, when there was more than one."""
    if len(vectors) > 1:
        yield _line(
            f"{' + '.join(stack.on)}, plane {plane}: mean of {len(vectors)} spins",
            f"U_{plane}",
            "(U1 + ... + Un) / n",
            f"({total(polar(v) for v in vectors)}) / {len(vectors)}",
            arrow(stack.shown[index], 1, "g mm"),
            _VECTOR,
            names,
        )


def _doubt(
    page: MachinePage,
    stack: StackReading,
    place: tuple[int, str],
    vectors: list[Any],
    names: tuple[str, ...],
) -> Line:
    index, plane = place
    stated = "sqrt((U x percent / 100)^2 + (U x angle x pi / 180)^2 + least^2)"
    scatter = "sqrt(sum of |U_i - U|^2 / (2 x (n - 1)))"
    formula = f"max({stated}, {scatter}) / sqrt(n)" if len(vectors) > 1 else stated
    return _line(
        f"{' + '.join(stack.on)}, plane {plane}: standard uncertainty of what was shown",
        f"u_{plane}",
        formula,
        _doubt_numbers(page, stack, index, vectors),
        scalar(stack.u_shown_gmm[index], 2, "g mm"),
        _PROPAGATED,
        names,
    )


def _doubt_numbers(page: MachinePage, stack: StackReading, index: int, vectors: list[Any]) -> str:
    """Return the stated doubt in numbers; of several spins the larger of that and their scatter."""
    size = plain(abs(stack.shown[index]))
    stated = (
        f"sqrt(({size} x {plain(page.amount_error)} / 100)^2 + ({size} x "
        f"{plain(page.angle_error)} x pi / 180)^2 + {plain(page.least)}^2)"
    )
    if len(vectors) == 1:
        return stated
    apart = total(f"{plain(float(abs(v - stack.shown[index])))}^2" for v in vectors)
    scatter = f"sqrt(({apart}) / (2 x ({len(vectors)} - 1)))"
    return f"max({stated}, {scatter}) / sqrt({len(vectors)})"


def _at_bearings(
    results: Results, stack: StackReading, from_mm: list[float], spins: list[SpinPage]
) -> Iterator[Line]:
    spun = results.spun
    yield from _bobweight_errors(results, stack, spins)
    for index, here in enumerate(spun.bearings_mm):
        there = spun.bearings_mm[1 - index]
        shares = [f"({num(there)} - {num(z)}) / ({num(there)} - {num(here)})" for z in from_mm]
        carried = [f"{polar(v)} x {s}" for v, s in zip(stack.shown, shares, strict=True)]
        error = stack.bobweight_error[index]
        names = (" + ".join(stack.on), f"plane {plain(here)}", stack.on[-1])
        who = f"{' + '.join(stack.on)}, bearing plane {plain(here)} mm"
        yield _line(
            f"{who}: unbalance carried over from the machine's planes"
            + ", bobweights set right" * bool(error),
            "U",
            "sum of U_i x (z_other - z_i) / (z_other - z_here)" + " + E" * bool(error),
            total([*carried, *([polar(error)] if error else [])]),
            arrow(stack.unbalance[index], 1, "g mm"),
            _STATICS,
            (*names, "unbalance"),
        )
        squares = total(
            f"({plain(s)} x {f})^2" for s, f in zip(stack.u_shown_gmm, shares, strict=True)
        )
        yield _line(
            f"{who}: standard uncertainty from the machine",
            "u_m",
            "sqrt(sum of (u_i x (z_other - z_i) / (z_other - z_here))^2)",
            f"sqrt({squares})",
            scalar(stack.u_machine_gmm[index], 2, "g mm"),
            _PROPAGATED,
            names,
        )
        yield from _with_bobweights(stack, index, who, names)


def _with_bobweights(
    stack: StackReading, index: int, who: str, names: tuple[str, ...]
) -> Iterator[Line]:
    """Yield what making up and placing the bobweights adds to the doubt."""
    doubt = stack.bobweight_doubt
    if doubt is None:
        return
    pieces = [doubt.mass_gmm, doubt.common_gmm, doubt.offset_gmm, doubt.axial_gmm]
    squares = [stack.u_machine_gmm[index], *(piece[index] for piece in pieces)]
    yield _line(
        f"{who}: its standard uncertainty, with the bobweights' mass, oil, centre and place",
        "u",
        "sqrt(u_m^2 + u_mass^2 + u_oil^2 + u_centre^2 + u_along^2)",
        f"sqrt({total(f'{plain(float(u))}^2' for u in squares)})",
        scalar(stack.u_gmm[index], 2, "g mm"),
        _PROPAGATED,
        names,
    )


def _bobweight_errors(
    results: Results, stack: StackReading, spins: list[SpinPage]
) -> Iterator[Line]:
    """Yield what bobweights made up light or heavy hid, in the planes of the bearings."""
    if not results.need.needed or results.parts_unknown:
        return
    engine, wanted, bearings = engine_of(results.job), results.card.bobweights, \
        results.spun.bearings_mm  # fmt: skip
    r, errors = radius_mm(engine), np.zeros((len(spins), 2), complex)
    for row, spin in enumerate(spins):
        made = spin.bobweights if len(spin.bobweights) > 1 else spin.bobweights * len(wanted)
        for weight, mass in zip(wanted, made, strict=True):
            pin = engine.throws[weight.throw]
            short = (weight.mass_g - mass) * r * np.exp(1j * np.radians(pin.degrees))
            errors[row] += transfer([short], [pin.z_mm], bearings)
            yield _line(
                f"Spin {spin.name!r}: what the bobweight of crankpin {weight.throw + 1} hid by "
                "not being the wanted one",
                f"E_{weight.throw + 1}",
                "(W_wanted - W_made) x r x (1 at pin)",
                f"({plain(weight.mass_g)} - {plain(mass)}) x {plain(r)} x "
                f"(1 at {plain(pin.degrees % 360)} deg)",
                arrow(short, 1, "g mm"),
                "mechanics: U = m r",
                (" + ".join(stack.on), f"crankpin {weight.throw + 1}", "bobweight"),
            )
    yield from _error_at_bearings(results, stack, spins)


def _error_at_bearings(
    results: Results, stack: StackReading, spins: list[SpinPage]
) -> Iterator[Line]:
    engine, wanted = engine_of(results.job), results.card.bobweights
    r, bearings = radius_mm(engine), results.spun.bearings_mm
    for index, here in enumerate(bearings):
        there, pieces = bearings[1 - index], []
        for spin in spins:
            made = spin.bobweights if len(spin.bobweights) > 1 else spin.bobweights * len(wanted)
            for weight, mass in zip(wanted, made, strict=True):
                pin = engine.throws[weight.throw]
                short = (weight.mass_g - mass) * r * np.exp(1j * np.radians(pin.degrees))
                pieces.append(
                    f"{polar(short)} x ({num(there)} - {num(pin.z_mm)}) / "
                    f"({num(there)} - {num(here)})"
                )
        mean = f"({total(pieces)})" + f" / {len(spins)}" * (len(spins) > 1)
        yield _line(
            f"{' + '.join(stack.on)}, bearing plane {plain(here)} mm: what the bobweights hid",
            "E",
            "sum of E_i x (z_other - z_pin) / (z_other - z_here)" + " / n" * (len(spins) > 1),
            mean,
            arrow(stack.bobweight_error[index], 1, "g mm"),
            _STATICS,
            (" + ".join(stack.on), f"plane {plain(here)}", "bobweight"),
        )
