"""The answers for the shipped examples, held against what their maker hid.

The program that made the examples knows the true unbalance and shares no code with the package.
Here the planned holes are taken out of the hidden crank by numerical integration and statics
written for this test alone.
"""

import cmath
import functools
import math
from collections.abc import Iterable
from importlib.resources import files

import numpy as np
import pytest
from cli.examples import make_examples

from balance.job.load import read_text
from balance.sheet.results import Results

EXAMPLES = sorted(make_examples.EXAMPLES)
Piece = tuple[complex, float]


@functools.cache  # the results keep what they have computed
def solve(name: str) -> tuple[Results, make_examples.Truth]:
    text, truth = make_examples.EXAMPLES[name]()
    return Results(read_text(text, name=name)), truth


def at(amount: float, degrees: float) -> complex:
    return cmath.rect(amount, math.radians(degrees))


def radial_moment(d: float, h: float, rim: float, point: float, density: float) -> float:
    """First moment [g mm] of a drilled hole about the crank's axis, by Gauss and midpoint rules.

    Over the circle of the drill the metal goes from the drill's bottom up to the round rim.
    """
    x, w = np.polynomial.legendre.leggauss(40)
    rho, w_rho = d / 4 * (x + 1), d / 4 * w
    phi = (np.arange(400) + 0.5) * 2 * np.pi / 400
    y = rho[:, None] * np.sin(phi)
    bottom = (rim - h) - (d / 2 - rho[:, None]) / math.tan(math.radians(point / 2))
    column = (rim**2 - y**2 - bottom**2) / 2
    return density / 1000 * float((column.mean(axis=1) * 2 * np.pi * rho * w_rho).sum())


def axial_mass(d: float, h: float, point: float, density: float) -> float:
    cone = (d / 2) / math.tan(math.radians(point / 2))
    return density / 1000 * math.pi * d**2 / 4 * (h + cone / 3)


def at_planes(pieces: Iterable[Piece], near: float, far: float) -> tuple[complex, complex]:
    pieces = list(pieces)
    at_far = sum(u * (z - near) for u, z in pieces) / (far - near)
    return sum(u for u, _ in pieces) - at_far, at_far


def crank_left(results: Results, truth: make_examples.Truth) -> tuple[complex, complex]:
    """Return what the hidden crank is left with, wanted bobweights on, planned metal off and in."""
    job, correction = results.job, results.corrected.crank
    assert job.crank is not None
    pieces = list(truth.unbalance["crank"])
    if results.need.needed:
        for weight, (degrees, z) in zip(results.card.bobweights, truth.throws, strict=True):
            pieces.append((at(weight.mass_g * truth.crank_radius, degrees), z))
    for hole in correction.plan.holes:
        page = job.crank.counterweights[hole.counterweight]
        moment = radial_moment(
            hole.diameter_mm, hole.depth_mm, page.radius, job.drills.point, job.crank.density
        )
        pieces.append((-at(moment, hole.degrees), page.z))
    for slug in correction.plan.slugs:
        page = job.crank.counterweights[slug.counterweight]
        choice = slug.choice  # lengthwise: the bore goes through the whole width of the web
        area = math.pi * choice.diameter_mm**2 / 4
        steel, heavy = job.crank.density * page.width, choice.density_g_cm3 * choice.length_mm
        radius = page.radius - choice.wall_mm - choice.diameter_mm / 2
        pieces.append((at(area * (heavy - steel) / 1000 * radius, slug.degrees), page.z))
    return at_planes(pieces, *job.crank.bearings)


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_planned_metal_brings_the_hidden_crank_inside(name: str) -> None:
    results, truth = solve(name)
    left = crank_left(results, truth)
    assert results.corrected.crank.plan.feasible
    for amount, limit in zip(left, results.corrected.crank.permissible_gmm, strict=True):
        assert abs(amount) <= limit


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_predicted_residual_is_what_the_hidden_crank_shows(name: str) -> None:
    """Apart from the machine's own errors: 3.5 standard uncertainties of each reading."""
    results, truth = solve(name)
    crank = results.spun.parts[0]
    predicted = results.corrected.crank.plan.residual
    for true, said, u in zip(crank_left(results, truth), predicted, crank.u_gmm, strict=True):
        assert abs(true - said) <= 3.5 * u


def test_flywheel_and_cover_end_inside_too() -> None:
    results, truth = solve("flat-four")
    pages = {page.name: page for page in results.job.bolted}
    assert [disc.name for disc in results.corrected.discs] == ["flywheel", "clutch cover"]
    for disc in results.corrected.discs:
        left = sum(u for u, _ in truth.unbalance[disc.name])
        for hole in disc.plan.holes:
            mass = axial_mass(hole.diameter_mm, hole.depth_mm, 118.0, pages[disc.name].density)
            left -= at(mass * hole.circle_mm, hole.degrees)
        assert abs(left) <= disc.permissible_gmm


def test_the_job_files_are_what_the_program_writes() -> None:
    for name, make in make_examples.EXAMPLES.items():
        shipped = (files("cli.examples") / f"{name}.toml").read_text(encoding="utf-8")
        assert shipped == make()[0]


def test_every_example_says_that_it_is_invented() -> None:
    for name in EXAMPLES:
        results, _ = solve(name)
        assert results.job.job.invented


def test_the_boxer_needs_no_bobweights_and_says_why() -> None:
    results, _ = solve("flat-four")
    assert not results.need.needed
    assert "cancel as a force and as a couple" in results.need.reason


def test_the_v8_is_too_light_for_drilling_alone() -> None:
    results, _ = solve("v8")
    assert results.corrected.crank.plan.slugs


def test_the_v_twin_owner_learns_what_the_factor_costs() -> None:
    results, _ = solve("v-twin")
    own = next(e for e in results.shook.ellipses if e.factor == 0.6)
    half = next(e for e in results.shook.ellipses if e.factor == 0.5)
    assert own.force.major > half.force.major
    assert results.shook.least_worst is not None
    assert results.shook.least_worst.factor == pytest.approx(0.5)
