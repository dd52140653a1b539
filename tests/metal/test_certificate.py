"""What no number of holes can reach, and the words for it.

Closed stretches of angle are held against every angle; what is missing against scipy's linear
programming.
"""

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from balance.metal._certificate import closed_angles
from balance.metal.holes import web_mm
from balance.metal.planning import Counterweight, DrilledHole, plan

PLANES = (60.0, 540.0)
sectors = st.lists(st.tuples(st.integers(-400, 400), st.integers(0, 180)), min_size=1, max_size=4)


def task_of(pairs):
    webs = [Counterweight(100.0, centre, half, 80, 25, 30) for centre, half in pairs]
    nothing_to_do = plan(
        [1, 1], (60.0, 540.0), counterweights=webs, drills_mm=[10], tolerance_gmm=[60, 60]
    )
    return nothing_to_do.task


@settings(max_examples=80)
@given(sectors)
def test_an_angle_is_closed_exactly_where_no_sector_reaches(pairs):
    closed = closed_angles(task_of(pairs))
    every = np.arange(0.5, 360.0)  # sectors begin and end at whole degrees: none is at an edge
    reached = np.zeros(360, dtype=bool)
    for centre, half in pairs:
        reached |= np.abs((every - centre + 180.0) % 360.0 - 180.0) < half
    told = np.zeros(360, dtype=int)
    for start, end in closed:
        assert end > start
        told += ((every - start) % 360.0) < end - start
    assert (told == ~reached).all()  # and each gap is told once


@pytest.mark.parametrize(
    ("pairs", "words"),
    [
        ([(0, 85)], "nothing can be taken at 85 to 275 degrees"),
        ([(350, 30)], "nothing can be taken at 20 to 320 degrees"),
        ([(0, 20), (60, 20)], "nothing can be taken at 80 to 340, 20 to 40 degrees"),
    ],
)
def test_a_refusal_tells_the_closed_angles(pairs, words):
    webs = [Counterweight(z, c, h, 80, 25, 30) for z in (100, 500) for c, h in pairs]
    made = plan(
        [900j, 600j], (60.0, 540.0), counterweights=webs, drills_mm=[10], tolerance_gmm=[60, 60]
    )
    assert made.feasible is False
    assert words in made.reason


def test_all_round_but_not_at_every_place_is_told_so():
    discs = [Counterweight(60.0, 0, 180, 80, 25, 30)]
    made = plan(
        [0, 900], (60.0, 540.0), counterweights=discs, drills_mm=[10], tolerance_gmm=[60, 60]
    )
    assert made.feasible is False
    assert (
        "metal can be taken at every angle, but not at every place along the crank" in made.reason
    )
    # metal in the one plane does nothing in the other, where 900 are; the aim is half of 60
    words = (
        r"above the limit aimed at, (\d+) g mm at 0 degrees in the plane at 540 mm, and no allowed"
    )
    assert float(re.search(words, made.reason)[1]) == 870
    np.testing.assert_allclose(made.missing_gmm, [0, 870], atol=1e-6)


def test_what_is_missing_is_told_by_plane_angle_and_amount():
    # sectors from -60 to 60 degrees over the two planes: what pulls to 90 degrees is reached by
    # 30 degrees too little, so sin(30) of it stays, at 60 + 90 degrees; all of what pulls to 180
    webs = [Counterweight(z, 0, 60, 80, 25, 30) for z in PLANES]
    rules = {"counterweights": webs, "drills_mm": [10], "tolerance_gmm": [60, 40]}
    made = plan([900j, -700], PLANES, **rules)
    aside = 450 - 30  # half of 900, less the limit aimed at
    np.testing.assert_allclose(np.abs(made.missing_gmm), [aside, 680], rtol=1e-9)
    np.testing.assert_allclose(np.degrees(np.angle(made.missing_gmm[0])), 150, rtol=1e-9)
    assert (
        "leaves, above the limit aimed at, 420 g mm at 150 degrees in the plane at 60 mm and 680 g "
        "mm at 180 degrees in the plane at 540 mm, and no allowed hole works that way"
    ) in made.reason
    # a plane in which nothing is missing is not named
    alone = plan([900j, 700], PLANES, **rules)
    assert "420 g mm at 150 degrees in the plane at 60 mm, and no allowed" in alone.reason
    # what can be done, or cannot for want of metal only, has no such direction
    assert plan([900, 700], PLANES, **rules).missing_gmm is None
    assert plan([90_000, 700], PLANES, **rules).missing_gmm is None


def invented(seed):
    """Return counterweights and an unbalance, often out of their reach."""
    random = np.random.default_rng([2, seed])
    webs = [
        Counterweight(
            float(random.uniform(20, 580)),
            float(random.integers(0, 360)),
            float(random.integers(5, 80)),
            80,
            25,
            30,
            (DrilledHole(float(random.integers(0, 360)), 10.0, 9.0, 80.0),)
            * int(random.integers(0, 2)),
        )
        for _ in range(random.integers(1, 5))
    ]
    return webs, random.normal(0, 500, 2) + 1j * random.normal(0, 500, 2)


def least_excess(webs, unbalance, limit, weights):
    """Ask scipy's linear programming how little can stay above the limits, weighed by plane.

    Any amounts at the ends of the sectors and between, where a hole fits beside old ones. The limit
    is a polygon of 128 sides: 3.0e-4 of what stays further out than the circle.
    """
    taken = []
    for cw in webs:
        share = np.linalg.solve(np.array([[1, 1], PLANES]), np.array([1, cw.z_mm]))
        steps = np.arange(2 * int(cw.half_span_degrees) + 1)
        angles = cw.centre_degrees - cw.half_span_degrees + steps
        least = [DrilledHole(float(a), 8.0, 5.0, 80.0) for a in angles]  # no hole needs less room
        free = [all(web_mm(hole, old) >= 4.0 for old in cw.holes) for hole in least]
        some = np.unique([*np.flatnonzero(free)[::6], *np.flatnonzero(free)[-1:]])
        turn = np.exp(1j * np.radians(angles[some]))
        taken.append(turn[:, None] * share)
    taken = np.concatenate(taken)
    faces = np.exp(2j * np.pi * np.arange(128) / 128)
    rows, right = [], []
    for plane in (0, 1):
        over = np.zeros((128, 2))
        over[:, plane] = -1.0
        rows.append(np.hstack([-np.real(np.conj(faces)[:, None] * taken[:, plane]), over]))
        right.append(limit[plane] - np.real(np.conj(faces) * unbalance[plane]))
    cost = np.concatenate([np.zeros(len(taken)), weights])
    found = linprog(cost, A_ub=np.vstack(rows), b_ub=np.concatenate(right))
    assert found.status == 0
    return found.x[-2:], taken


@pytest.mark.parametrize("seed", range(20))
def test_what_is_missing_is_what_linear_programming_says(seed):
    webs, unbalance = invented(seed)
    limit = np.array([30.0, 20.0])
    made = plan(
        unbalance,
        PLANES,
        counterweights=webs,
        drills_mm=[8, 10],
        tolerance_gmm=2 * limit,
        time_limit_s=1e-3,
    )
    near = 6e-4 * (np.abs(unbalance).max() + 30)  # twice the polygon's error, of all there is
    assert (made.missing_gmm is None) == (made.feasible is not False)
    if made.missing_gmm is None:
        over, _ = least_excess(webs, unbalance, limit, [1.0, 1.0])
        assert over.sum() <= near
        return
    missing, short = made.missing_gmm, np.linalg.norm(made.missing_gmm)
    # weighed by itself it is the least there is
    weights = np.abs(missing) / short
    over, taken = least_excess(webs, unbalance, limit, weights)
    assert over @ weights == pytest.approx(short, abs=near)
    # it parts the unbalance, with the limit around it, from all that can be taken
    assert np.real(taken @ np.conj(missing)).max() <= 1e-9 * short
    assert np.real(np.conj(missing) @ unbalance) > (limit * np.abs(missing)).sum()
    # and weighing the planes otherwise comes no nearer
    for turn in (0.1, 0.8, 1.4):
        other, _ = least_excess(webs, unbalance, limit, [np.cos(turn), np.sin(turn)])
        assert np.linalg.norm(other) >= short - near
