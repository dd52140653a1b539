"""The working of holes and slugs: what each takes, where it counts, and what is left."""

from collections.abc import Iterator
from functools import partial
from typing import Any

import numpy as np

from balance.metal._radial import mean_drop, sagitta
from balance.metal.discs import DiscHole
from balance.metal.planning import PlannedHole
from balance.metal.radial import radial_hole
from balance.metal.shapes import point_mm
from balance.metal.steps import CrankCorrection, DiscCorrection
from balance.sheet.explain_check_spin import explain_check_spin
from balance.sheet.explain_limits import verdict_line
from balance.sheet.explain_plan import explain_depth, explain_plan, explain_pull, explain_slug_place
from balance.sheet.results import Results
from balance.sheet.working_line import Line, arrow, num, plain, polar, scalar
from balance.vectors import amount, fold, vector

__all__ = ["explain_metal"]

_line = partial(Line, "correct")
_CONE = "geometry of a cone; Machinery's Handbook, Drilling, from memory"
_HOLE = "own integral of the drilled shape, held against exact solids cut by computer"
_AXIAL = "geometry"
_STATICS = "force and moment kept (statics)"
_SERIES_UP_TO = 0.02  # (a / R)^2 up to which the three terms shown are enough


def explain_metal(results: Results) -> Iterator[Line]:
    """Yield the working of every hole and slug, and of what is left."""
    corrected = results.corrected
    yield from _crank(results, corrected.crank)
    yield from explain_pull(results, corrected)
    for disc in corrected.discs:
        yield from _disc(results, disc)
    yield from explain_check_spin(results)


def _crank(results: Results, done: CrankCorrection) -> Iterator[Line]:
    density = done.plan.task.rules.density_g_cm3
    yield from _since(results, done)
    for number, hole in done.numbered:
        names = (f"hole {number}", "crank", done.marks[hole.counterweight])
        who = f"Hole {number}, counterweight {names[2]} at {plain(fold(hole.degrees))} deg"
        old = done.counterweights[hole.counterweight].holes
        at = hole.deepens
        yield from explain_depth(results, who, number, (hole.diameter_mm, hole.depth_mm), names)
        yield from _hole(who, hole, None if at is None else old[at].depth_mm, density, names)
        yield from _takes(results, who, hole, names)
    for number, slug in done.numbered_slugs:
        yield from _slug(number, slug, done)
        yield from explain_slug_place(number, slug, done)
    yield from _left(results, done)


def _since(results: Results, done: CrankCorrection) -> Iterator[Line]:
    """Yield what the holes that were drilled since the last spin of the crank have taken."""
    job, crank, first = results.job, results.job.crank, results.spun.parts[0]
    if crank is None:  # something was spun: there is a crank
        return
    pages = {page.mark: page for page in crank.counterweights}
    drilled = [hole for hole in job.standing_holes(first.drilled) if hole.part in pages]
    for index, here in enumerate(results.spun.bearings_mm if drilled else ()):
        pieces = [polar(first.unbalance[index])]
        for hole in drilled:
            page = pages[hole.part]
            taken = radial_hole(
                hole.diameter,
                hole.depth,
                surface_radius_mm=page.radius,
                point_degrees=job.drills.point,
                density_g_cm3=crank.density,
            ).unbalance_gmm
            share = _share(results.spun.bearings_mm, index, page.z)
            pieces.append(f" - {polar(vector(taken, hole.angle))} x {share}")
        yield _line(
            f"Crank, bearing plane {plain(here)} mm: as read, less the {len(drilled)} holes "
            "drilled since; spin again to be sure",
            "U",
            "U_read - sum of U_hole x (z_other - z) / (z_other - z_here)",
            "".join(pieces),
            arrow(done.before[index], 1, "g mm"),
            _HOLE,
            ("crank", f"plane {plain(here)}"),
        )


def _hole(
    who: str, hole: PlannedHole, old_mm: float | None, density: float, names: tuple[str, ...]
) -> Iterator[Line]:
    """Yield point, moment and mass of a radial hole; of a deepened one what it takes more."""
    a, R, point = hole.diameter_mm / 2, hole.surface_radius_mm or 0.0, hole.point_degrees or 0.0
    line = partial(_line, names=names)
    yield line(
        f"{who}: length of the drill's point; full diameter goes {plain(hole.depth_mm)} mm deep, "
        "the tip that much further",
        "t",
        "d / 2 / tan(point / 2)" if point < 180 else "0 for a flat cutter",
        f"{plain(2 * a)} / 2 / tan({plain(point)} / 2)" if point < 180 else "0",
        scalar(point_mm(hole.diameter_mm, point), 3, "mm"),
        _CONE,
    )
    if min(hole.depth_mm, hole.depth_mm if old_mm is None else old_mm) < sagitta(a, R):
        yield from _shallow(line, who, hole)
        return
    taken = f"{plain(density)} / 1000 x pi x {plain(a)}^2 x ({_moment(hole, hole.depth_mm)}"
    more = "" if old_mm is None else f" - ({_moment(hole, old_mm)})"
    yield line(
        f"{who}: unbalance that it takes; a = d / 2, A = pi x a^2, rim R, q = R - depth"
        + f"; what was {plain(old_mm or 0.0)} mm deep before is taken off" * bool(more),
        "U",
        "rho / 1000 x A x ((R^2 - a^2 / 4 - q^2) / 2 + t / 3 x (q - t / 4))"
        + ", new less old" * bool(more),
        f"{taken}{more})",
        scalar(hole.unbalance_gmm, 1, "g mm"),
        _HOLE,
    )
    yield from _mass(line, who, hole, old_mm, density)
    yield line(
        f"{who}: the radius at which that metal counts",
        "r",
        "U / m",
        f"{plain(hole.unbalance_gmm)} / {plain(hole.mass_g)}",
        scalar(hole.unbalance_gmm / hole.mass_g, 2, "mm"),
        "definition",
    )


def _moment(hole: PlannedHole, depth_mm: float) -> str:
    """Return the first moment of a hole over rho A, with its numbers."""
    a, R = hole.diameter_mm / 2, hole.surface_radius_mm or 0.0
    q, t = num(R - depth_mm), plain(point_mm(hole.diameter_mm, hole.point_degrees or 0.0))
    return f"({plain(R)}^2 - {plain(a)}^2 / 4 - {q}^2) / 2 + {t} / 3 x ({q} - {t} / 4)"


def _shallow(line: Any, who: str, hole: PlannedHole) -> Iterator[Line]:
    """Yield mass and unbalance of a spot that the rim falls away from: no closed form."""
    for what, symbol, result in (
        ("unbalance", "U", scalar(hole.unbalance_gmm, 1, "g mm")),
        ("metal", "m", scalar(hole.mass_g, 2, "g")),
    ):
        yield line(
            f"{who}: {what} that it takes; the rim falls away within the drill's width",
            symbol,
            "integrated ring by ring",
            "",
            result,
            _HOLE,
        )


def _mass(
    line: Any, who: str, hole: PlannedHole, old_mm: float | None, density: float
) -> Iterator[Line]:
    """Yield the mass: the rim's mean fall across the drill by its series, then the sum."""
    a, R = hole.diameter_mm / 2, hole.surface_radius_mm or 0.0
    line = partial(line, symbol="m", result=scalar(hole.mass_g, 2, "g"), source=_HOLE)
    per_mm = f"{plain(density)} / 1000 x pi x {plain(a)}^2"
    if old_mm is not None:
        yield line(
            f"{who}: metal that it takes more than before",
            formula="rho / 1000 x A x (depth - depth before)",
            numbers=f"{per_mm} x ({plain(hole.depth_mm)} - {plain(old_mm)})",
        )
        return
    drop, exact = float(mean_drop(np.asarray(a), np.asarray(R))), (a / R) ** 2 > _SERIES_UP_TO
    if not exact:
        yield _rim_fall(who, a, R, drop, line.keywords["names"])
    t = plain(point_mm(hole.diameter_mm, hole.point_degrees or 0.0))
    yield line(
        f"{who}: metal that it takes"
        + (
            "; a drill so wide needs elliptic integrals" if exact else ", less s for the curved rim"
        ),
        formula="rho / 1000 x A x (depth - s + t / 3)",
        numbers="" if exact else f"{per_mm} x ({plain(hole.depth_mm)} - {plain(drop)} + {t} / 3)",
    )


def _rim_fall(who: str, a: float, R: float, drop: float, names: tuple[str, ...]) -> Line:
    k = f"({plain(a)} / {plain(R)})"
    return _line(
        f"{who}: how far the rim falls away across the drill, on average; b = a / R",
        "s",
        "R x (b^2 / 8 + b^4 / 64 + 5 x b^6 / 1024 + ...)",
        f"{plain(R)} x ({k}^2 / 8 + {k}^4 / 64 + 5 x {k}^6 / 1024)",
        scalar(drop, 4, "mm"),
        "series of elliptic integrals; Abramowitz and Stegun, Handbook of Mathematical "
        "Functions, ch. 17; from memory",
        names,
    )


def _share(planes: tuple[float, float], index: int, z_mm: float) -> str:
    here, there = planes[index], planes[1 - index]
    return f"({num(there)} - {num(z_mm)}) / ({num(there)} - {num(here)})"


def _part_of(planes: tuple[float, float], index: int, z_mm: float) -> float:
    here, there = planes[index], planes[1 - index]
    return (there - z_mm) / (there - here)


def _takes(results: Results, who: str, hole: PlannedHole, names: tuple[str, ...]) -> Iterator[Line]:
    planes = results.spun.bearings_mm
    taken = vector(hole.unbalance_gmm, hole.degrees)
    for index, here in enumerate(planes):
        yield _line(
            f"{who}: what it takes in bearing plane {plain(here)} mm",
            "dU",
            "U x (z_other - z) / (z_other - z_here)",
            f"{polar(taken)} x {_share(planes, index, hole.z_mm)}",
            arrow(taken * _part_of(planes, index, hole.z_mm), 1, "g mm"),
            _STATICS,
            (*names, f"plane {plain(here)}"),
        )


def _slug(number: int, slug: Any, done: CrankCorrection) -> Iterator[Line]:
    """Yield what a slug adds at its angle, its own bore taken off."""
    choice, mark = slug.choice, done.marks[slug.counterweight]
    weight, density = done.counterweights[slug.counterweight], done.plan.task.rules.density_g_cm3
    d, length, rho = choice.diameter_mm, choice.length_mm, choice.density_g_cm3
    line = partial(
        _line,
        names=(f"slug {number}", "crank", mark),
        result=scalar(slug.net_unbalance_gmm, 1, "g mm"),
    )
    who = f"Slug {number}, counterweight {mark} at {plain(fold(slug.degrees))} deg"
    if choice.bore_depth_mm is not None:
        yield line(
            f"{who}: what it adds, seated in a radial bore",
            "U_net",
            "slug - bore, both by their exact shapes",
            "",
            source="own integral of slug and bore, held against exact solids cut by computer",
        )
        return
    radius = choice.middle_mm(weight.radius_mm)
    yield line(
        f"{who}: what it adds, its through bore taken off, wall to the rim "
        f"{plain(choice.wall_mm)} mm",
        "U_net",
        "pi / 4 x d^2 x (rho_slug x length - rho x thickness) / 1000 x r",
        f"pi / 4 x {plain(d)}^2 x ({plain(rho)} x {plain(length)} - {plain(density)} x "
        f"{plain(max(weight.width_mm, length))}) / 1000 x {plain(radius)}",
        source=_AXIAL,
    )


def _left(results: Results, done: CrankCorrection) -> Iterator[Line]:
    """Yield the residual in both planes and what the plan aims at."""
    plan, planes = done.plan, results.spun.bearings_mm
    for index, here in enumerate(planes):
        pieces = [polar(done.before[index])]
        for hole in plan.holes:
            share = _share(planes, index, done.counterweights[hole.counterweight].z_mm)
            pieces.append(f" - {polar(vector(hole.unbalance_gmm, hole.degrees))} x {share}")
        for slug in plan.slugs:
            share = _share(planes, index, done.counterweights[slug.counterweight].z_mm)
            pieces.append(f" + {polar(vector(slug.net_unbalance_gmm, slug.degrees))} x {share}")
        yield _line(
            f"Crank, bearing plane {plain(here)} mm: what is left when all goes to plan",
            "U_left",
            "U - sum of dU" + " + sum of slugs" * bool(plan.slugs),
            "".join(pieces),
            arrow(plan.residual[index], 1, "g mm"),
            _STATICS,
            ("crank", "residual", f"plane {plain(here)}"),
        )
        yield verdict_line(
            "correct",
            "Crank",
            here,
            amount=float(amount(plan.residual[index])),
            limit_gmm=float(done.permissible_gmm[index]),
            u_gmm=float(results.spun.parts[0].u_gmm[index]),
        )
    yield from explain_plan(done)


def _disc(results: Results, done: DiscCorrection) -> Iterator[Line]:
    page = next(bolted for bolted in results.job.bolted if bolted.name == done.name)
    for number, hole in done.numbered:
        names = (f"hole {number}", f"{done.name} hole {number}", done.name)
        who = f"{done.name}, hole {number} at {plain(fold(hole.degrees))} deg"
        yield from explain_depth(results, who, None, (hole.diameter_mm, hole.depth_mm), names)
        yield from _disc_hole(who, hole, page.density, results.job.drills.point, names)
    taken = [f" - {polar(vector(h.unbalance_gmm, h.degrees))}" for h in done.plan.holes]
    yield _line(
        f"{done.name}: what is left when all goes to plan",
        "U_left",
        "U - sum of dU",
        polar(done.before) + "".join(taken),
        arrow(done.plan.residual, 1, "g mm"),
        _STATICS,
        (done.name, "residual"),
    )
    part = next(part for part in results.spun.parts if part.name == done.name)
    yield verdict_line(
        "correct",
        done.name,
        page.z,
        amount=float(amount(done.plan.residual)),
        limit_gmm=done.permissible_gmm,
        u_gmm=float(part.u_gmm[0]),
    )
    if done.chance is not None:
        yield _line(
            f"{done.name}: chance of ending inside, from virtual drillings with the reading, "
            "depths, angles and drills a little off",
            "P",
            "drillings that end so / all drillings",
            "",
            scalar(100 * done.chance.inside, 1, "%"),
            "JCGM 101:2008, propagation of distributions by a Monte Carlo method; from memory",
            (done.name, "chance"),
        )


def _disc_hole(
    who: str, hole: DiscHole, density: float, point: float, names: tuple[str, ...]
) -> Iterator[Line]:
    line = partial(_line, names=names)
    t = float(point_mm(hole.diameter_mm, point))
    yield line(
        f"{who}: metal that it takes, drilled along the crank; point t = d / 2 / tan(point / 2)",
        "m",
        "rho / 1000 x pi x d^2 / 4 x (depth + t / 3)",
        f"{plain(density)} / 1000 x pi x {plain(hole.diameter_mm)}^2 / 4 x "
        f"({plain(hole.depth_mm)} + {plain(t)} / 3)",
        scalar(hole.mass_g, 3, "g"),
        _AXIAL,
    )
    yield line(
        f"{who}: unbalance that it takes on its circle",
        "dU",
        "m x r",
        f"{plain(hole.mass_g)} x {plain(hole.circle_mm)}",
        scalar(hole.unbalance_gmm, 1, "g mm"),
        _AXIAL,
    )
