"""What holes entered in a job took from the crank: statics, and holes that were gone into again."""

import itertools
from importlib.resources import files

import numpy as np
import pytest

from balance.errors import MissingInputError
from balance.job.appended import DrilledPage, DrillingPage
from balance.job.load import read_job
from balance.metal.drilled_holes import disc_holes_gmm, holes_in, merged, taken_between, taken_by
from balance.metal.holes import axial_hole, radial_hole

JOB = read_job(files("cli.examples") / "flat-four.toml")
BEARINGS = (0.0, 270.0)
W1_Z, FLYWHEEL_Z = 32.0, 316.0


def hole(part="W1", angle=180.0, diameter=8.0, depth=10.0):
    return DrilledPage(part=part, angle=angle, diameter=diameter, depth=depth)


def drilled(*holes):
    entries = tuple(DrillingPage(**each.model_dump()) for each in holes)
    return JOB.model_copy(update={"drilled": entries})


def test_a_radial_hole_keeps_force_and_moment_in_the_bearings():
    force = radial_hole(8.0, 10.0, surface_radius_mm=78.0, point_degrees=118.0).unbalance_gmm
    ours = taken_by(JOB, [hole(angle=90.0)])
    assert ours.sum() == pytest.approx(force * 1j)
    assert ours @ BEARINGS == pytest.approx(force * 1j * W1_Z)


def test_a_hole_along_the_crank_in_an_overhung_flywheel_turns_its_sign_at_the_nose():
    metal = axial_hole(8.0, 6.0, radius_mm=112.0)
    ours = taken_by(JOB, [hole("flywheel", 0.0, 8.0, 6.0)])
    assert ours.sum() == pytest.approx(float(metal.mass_g) * 112.0)
    assert ours @ BEARINGS == pytest.approx(float(metal.mass_g) * 112.0 * FLYWHEEL_Z)
    assert ours[0].real < 0 < ours[1].real
    # the clutch cover says its own density
    cover = disc_holes_gmm(JOB, JOB.bolted[1], [hole("clutch cover", 0.0, 8.0, 4.0)])
    steel = axial_hole(8.0, 4.0, radius_mm=121.0, density_g_cm3=7.8)
    assert cover == pytest.approx(float(steel.unbalance_gmm))


def test_holes_add_up_and_turn_with_the_crank():
    one, two = hole(angle=150.0), hole("flywheel", 40.0, 8.0, 6.0)
    assert taken_by(JOB, [one, two]) == pytest.approx(taken_by(JOB, [one]) + taken_by(JOB, [two]))
    turned = [h.model_copy(update={"angle": h.angle + 30.0}) for h in (one, two)]
    assert taken_by(JOB, turned) == pytest.approx(
        taken_by(JOB, [one, two]) * np.exp(1j * np.radians(30.0))
    )
    assert taken_by(JOB, []).tolist() == [0, 0]


def test_a_hole_gone_into_again_is_one_hole():
    first, deeper, wider = hole(), hole(depth=14.0), hole(diameter=9.0, depth=14.0)
    job = drilled(first, hole(angle=200.0), deeper, wider)
    assert [(h.angle, h.diameter, h.depth) for h in holes_in(job, "W1")] == [
        (200.0, 8.0, 10.0),
        (180.0, 9.0, 14.0),
    ]
    # from entry to entry only the new metal went
    steps = [taken_between(job, ["W1"], n, n + 1) for n in range(4)]
    assert steps[2] == pytest.approx(taken_by(job, [deeper]) - taken_by(job, [first]))
    assert sum(steps) == pytest.approx(taken_between(job, ["W1"], 0))
    assert taken_between(job, ["W2"], 0).tolist() == [0, 0]


@pytest.mark.parametrize("order", [1, -1])
def test_of_two_entries_in_one_place_the_deeper_stands_whichever_came_first(order):
    shallow, deep = hole(angle=0.2, depth=10.0), hole(angle=359.8, depth=14.0)
    assert merged([shallow, deep][::order]) == (deep,)


@pytest.mark.parametrize(
    "other",
    [
        hole(angle=180.6, depth=14.0),  # beyond half a degree: another hole
        hole("W2", depth=14.0),
        hole(diameter=6.0, depth=14.0),  # narrower: it goes on from the bottom of the first
        hole(diameter=9.0, depth=8.0),  # wider but less deep: a counterbore
    ],
)
def test_what_is_not_inside_the_other_stays_a_hole_of_its_own(other):
    assert merged([hole(), other]) == (hole(), other)


def in_slices(holes, top):
    """Return the moment of coaxial holes about the crank's axis, ring by ring of the drills.

    ``top`` (radius, angle) is where the metal begins; every ring ends where the deepest drill does.
    """
    cone = 1 / np.tan(np.radians(59.0))
    nodes, weights = np.polynomial.legendre.leggauss(200)
    edges = sorted({0.0, *(h.diameter / 2 for h in holes)})
    phi = np.linspace(0, 2 * np.pi, 181)[:-1]
    total = 0.0
    for low, high in itertools.pairwise(edges):
        rho = (low + high) / 2 + (high - low) / 2 * nodes
        floor = np.min(
            [
                np.where(
                    rho <= h.diameter / 2, 78.0 - h.depth - (h.diameter / 2 - rho) * cone, 78.0
                )
                for h in holes
            ],
            axis=0,
        )
        height = (top(rho[:, None], phi) ** 2 - floor[:, None] ** 2).mean(axis=1) / 2
        total += float(np.sum((high - low) / 2 * weights * 2 * np.pi * rho * height))
    return 0.00785 * total


@pytest.mark.parametrize(
    "holes",
    [
        [hole(diameter=6.0, depth=16.0), hole(diameter=9.0, depth=12.0)],  # a pilot opened up
        [hole(diameter=9.0, depth=12.0), hole(diameter=6.0, depth=16.0)],  # drilled on
        [hole(diameter=9.0, depth=8.0), hole(diameter=6.0, depth=9.0)],  # ends in the cone's wall
        [hole(diameter=6.0, depth=9.2), hole(diameter=9.0, depth=9.0)],  # inside the cone
        [
            hole(diameter=5.0, depth=20.0),
            hole(diameter=9.0, depth=8.0),
            hole(diameter=7.0, depth=13.0),
        ],
    ],
)
def test_metal_that_two_drills_share_in_one_place_went_once(holes):
    job = drilled(*holes)
    rim = in_slices(holes, lambda rho, phi: np.sqrt(78.0**2 - (rho * np.sin(phi)) ** 2))
    ours = taken_between(job, ["W1"], 0).sum()
    # the rings are summed to a millionth
    assert -ours.real == pytest.approx(rim, rel=1e-5)
    disc = [h.model_copy(update={"part": "flywheel"}) for h in holes]
    apart = [disc_holes_gmm(JOB, JOB.bolted[0], [h]) for h in disc]
    together = disc_holes_gmm(JOB, JOB.bolted[0], disc)
    assert max(map(abs, apart)) <= abs(together) * (1 + 1e-12) < abs(sum(apart))
    # a flat face: volume alone, at the hole circle
    flat = in_slices(holes, lambda rho, phi: 78.0 + 0 * rho * phi)
    assert flat > rim


def test_holes_that_were_there_before_count_with_those_of_the_job():
    weights = list(JOB.crank.counterweights)
    page = weights[0].model_copy(update={"holes": (hole(),)})
    crank = JOB.crank.model_copy(update={"counterweights": (page, *weights[1:])})
    job = drilled(hole(depth=14.0), hole("W2")).model_copy(update={"crank": crank})
    assert [h.depth for h in holes_in(job, "W1", 0)] == [10.0]
    assert [h.depth for h in holes_in(job, "W1")] == [14.0]
    assert taken_between(job, ["W1"], 0) == pytest.approx(
        taken_by(job, [hole(depth=14.0)]) - taken_by(job, [hole()])
    )


def test_what_is_missing_is_named():
    with pytest.raises(MissingInputError, match=r"\[crank\] table with mass and bearings"):
        taken_by(JOB.model_copy(update={"crank": None}), [hole()])
    bare = JOB.bolted[0].model_copy(update={"hole_radius": None})
    with pytest.raises(MissingInputError, match="hole_radius of flywheel"):
        disc_holes_gmm(JOB, bare, [hole("flywheel")])
    assert holes_in(JOB.model_copy(update={"crank": None}), "W1") == ()
