"""Plans are checked by code that shares nothing with the planner.

Masses and moments: flat slices of the hole summed by scipy's quadrature. Webs: dense points on the
outlines of the two profiles, nearest pair. Transfer: two equations of statics solved by numpy.
Optima of every placing: test_plan_brute.py.
"""

import dataclasses
import functools
import itertools
import math

import numpy as np
import pytest
from scipy.integrate import dblquad
from scipy.optimize import linprog
from scipy.spatial import cKDTree

from balance.metal import _search, _solve
from balance.metal.planning import Counterweight, DrilledHole, SlugChoice, plan
from balance.metal.variants import alternatives

PLANES = (60.0, 540.0)
LONG_S = 300.0  # a busy machine proves as much as any


@functools.cache
def moments(d, h, R, point=118.0, density=7.85):
    """Return mass and unbalance of a radial hole by integrating over the drill's circle."""
    a = d / 2
    t = a / math.tan(math.radians(point / 2))

    def floor(rho):
        return R - h - t * (1 - rho / a)

    def ring(power):
        def value(phi, rho):
            top, low = math.sqrt(R * R - (rho * math.sin(phi)) ** 2), floor(rho)
            return rho * (top - low if power == 0 else (top * top - low * low) / 2)

        return dblquad(value, 0, a, 0, 2 * math.pi, epsabs=1e-8, epsrel=1e-10)[0]

    return density / 1000 * ring(0), density / 1000 * ring(1)


def outline(hole, R, point=118.0, n=1500):
    """Return dense points on the flat profile of a hole, in the crank's frame."""
    a, q = hole.diameter_mm / 2, R - hole.depth_mm
    tip = q - a / math.tan(math.radians(point / 2))
    corners = np.array([[R, a], [q, a], [tip, 0], [q, -a], [R, -a]])
    along = np.linspace(0, 1, n)[:, None]
    line = np.concatenate([p + along * (q - p) for p, q in itertools.pairwise(corners)])
    turn = np.exp(1j * math.radians(hole.degrees))
    flat = (line[:, 0] + 1j * line[:, 1]) * turn
    return np.stack([flat.real, flat.imag], -1)


def web(one, two, R):
    """Return the least distance of two outlines (no closer than the points are apart: 0.05 mm)."""
    return cKDTree(outline(one, R)).query(outline(two, R))[0].min()


def verify(
    made, unbalance, counterweights, *, drills, tolerance, margin=0.5, min_web=4.0, edge=3.0
):
    """Check every rule of a feasible plan."""
    left = np.array(unbalance, dtype=complex)
    mass = 0.0
    for hole in made.holes:
        cw = counterweights[hole.counterweight]
        assert hole.diameter_mm in drills
        assert (cw.width_mm - hole.diameter_mm) / 2 >= edge - 1e-9
        steps = hole.degrees - (cw.centre_degrees - cw.half_span_degrees)
        assert abs(steps - round(steps)) < 1e-9
        assert -1e-9 <= steps <= 2 * cw.half_span_degrees + 1e-9
        depth_steps = (hole.depth_mm - 5.0) / 0.5
        assert abs(depth_steps - round(depth_steps)) < 1e-9
        assert 5.0 <= hole.depth_mm <= cw.max_depth_mm + 1e-9
        m, u = moments(hole.diameter_mm, hole.depth_mm, cw.radius_mm)
        mass += m
        gone = u * np.exp(1j * math.radians(hole.degrees))
        # statics: force and moment about the datum kept by two forces in the planes
        left -= np.linalg.solve(np.array([[1, 1], PLANES]), np.array([gone, gone * cw.z_mm]))
        others = [h for h in made.holes if h.counterweight == hole.counterweight and h != hole]
        for other in [*others, *cw.holes]:
            assert web(hole, other, cw.radius_mm) >= min_web - 1e-3  # sampled points: never nearer
    assert made.removed_g == pytest.approx(mass, rel=1e-7)
    np.testing.assert_allclose(made.residual, left, atol=1e-5)  # quadrature of 1e-10 of 1e4 g mm
    assert (np.abs(left) <= margin * np.array(tolerance) + 1e-5).all()


def crank(seed, count, *, half=(40, 75), depth=(20, 40)):
    """Return invented counterweights, spread along the crank and around it."""
    rng = np.random.default_rng(seed)
    z = np.sort(rng.uniform(40, 560, count))
    z[0], z[-1] = rng.uniform(20, 80), rng.uniform(500, 560)
    return [
        Counterweight(
            z_mm=float(z[n]),
            centre_degrees=float(rng.integers(0, 360)),
            half_span_degrees=float(rng.integers(*half)),
            radius_mm=float(rng.uniform(65, 95)),
            width_mm=float(rng.uniform(18, 30)),
            max_depth_mm=float(rng.integers(*depth)),
        )
        for n in range(count)
    ]


def heavy(seed, counterweights, holes):
    """Return an unbalance that about so many holes take away, with some noise of 15 g mm."""
    rng = np.random.default_rng(seed)
    total = np.zeros(2, dtype=complex)
    for _ in range(holes):
        cw = counterweights[rng.integers(len(counterweights))]
        angle = cw.centre_degrees + rng.uniform(-1, 1) * cw.half_span_degrees
        force = rng.uniform(300, 1500) * np.exp(1j * math.radians(angle))
        total += np.linalg.solve(np.array([[1, 1], PLANES]), np.array([force, force * cw.z_mm]))
    return total + rng.normal(0, 15, 2) + 1j * rng.normal(0, 15, 2)


@pytest.mark.parametrize("seed", range(8))
def test_a_plan_keeps_every_rule(seed):
    webs = crank(seed, 2 + seed % 5)
    unbalance = heavy(seed, webs, 2 + seed % 3)
    made = plan(
        unbalance,
        PLANES,
        counterweights=webs,
        drills_mm=[8, 10, 12, 16],
        tolerance_gmm=[60, 60],
        time_limit_s=LONG_S,
    )
    assert made.feasible
    verify(made, unbalance, webs, drills=[8, 10, 12, 16], tolerance=[60, 60])
    assert made.bound_holes == len(made.holes)
    assert made.bound_g == pytest.approx(made.removed_g, abs=1e-6)  # a microgram: rounding
    assert made.optimal


def test_nothing_to_do_is_an_empty_optimal_plan():
    made = plan(
        [30, 20j], PLANES, counterweights=crank(1, 2), drills_mm=[10], tolerance_gmm=[60, 60]
    )
    assert (made.holes, made.removed_g, made.optimal, made.feasible) == ((), 0.0, True, True)
    assert (made.bound_g, made.bound_holes) == (0.0, 0)
    np.testing.assert_array_equal(made.residual, [30, 20j])


def pair_search(unbalance, webs, drills, limit):
    """Return the least metal of any two holes on different counterweights, by trying all pairs.

    For each first hole the second must undo what is left; all are tried in blocks.
    """
    places = []
    for cw in webs:
        share = np.linalg.solve(np.array([[1, 1], PLANES]), np.array([1, cw.z_mm]))
        grid = [
            (*moments(d, h, cw.radius_mm), a)
            for d in drills
            if (cw.width_mm - d) / 2 >= 3.0
            for h in np.arange(5.0, cw.max_depth_mm + 1e-9, 0.5)
            for a in [0.0]
        ]
        steps = np.arange(0, int(2 * cw.half_span_degrees + 1e-9) + 1)
        turn = np.exp(1j * np.radians(cw.centre_degrees - cw.half_span_degrees + steps))
        mass = np.repeat([g[0] for g in grid], len(turn))
        x = (np.array([g[1] for g in grid])[:, None] * turn).ravel()
        places.append((x[:, None] * share, mass))
    best = math.inf
    for (one, m1), (two, m2) in itertools.combinations(places, 2):
        for block in np.array_split(np.arange(len(one)), len(one) // 40 + 1):
            left = unbalance - one[block]
            good = np.abs(left[:, None, 0] - two[None, :, 0]) <= limit[0]
            i, j = np.nonzero(good)
            keep = np.abs(left[i, 1] - two[j, 1]) <= limit[1]
            i, j = i[keep], j[keep]
            if len(i):
                best = min(best, (m1[block][i] + m2[j]).min())
    return best


@pytest.mark.parametrize("seed", [3, 4])
def test_two_holes_at_full_resolution_match_an_exhaustive_pair_search(seed):
    rng = np.random.default_rng(seed)
    webs = [
        dataclasses.replace(cw, half_span_degrees=25.0, max_depth_mm=20.0)
        for cw in crank(seed, 2 + seed % 2)
    ]
    unbalance = np.zeros(2, dtype=complex)
    for cw in (webs[0], webs[-1]):
        angle = cw.centre_degrees + rng.uniform(-20, 20)
        force = rng.uniform(600, 900) * np.exp(1j * math.radians(angle))
        unbalance += np.linalg.solve(np.array([[1, 1], PLANES]), np.array([force, force * cw.z_mm]))
    task = {"counterweights": webs, "drills_mm": [10, 12], "tolerance_gmm": [60, 60]}
    made = plan(unbalance, PLANES, **task, time_limit_s=LONG_S)
    assert made.optimal
    assert len(made.holes) == 2
    best = pair_search(unbalance, webs, [10, 12], [30.0, 30.0])
    assert made.removed_g == pytest.approx(best, rel=1e-9)


def test_existing_holes_keep_new_ones_away():
    free = [Counterweight(z, 0, 40, 80, 25, 30) for z in (100, 500)]
    old = DrilledHole(0.0, 14.0, 25.0)
    taken = [dataclasses.replace(cw, holes=(old,)) for cw in free]
    task = {"drills_mm": [10, 12], "tolerance_gmm": [60, 60]}
    before = plan([900, 600], PLANES, counterweights=free, **task)
    after = plan([900, 600], PLANES, counterweights=taken, **task)
    assert {hole.degrees for hole in before.holes} == {0.0}
    assert all(abs(hole.degrees) > 10 for hole in after.holes)
    verify(after, [900, 600], taken, drills=[10, 12], tolerance=[60, 60])


def test_an_existing_hole_is_deepened_only_when_asked():
    old = DrilledHole(0.0, 12.0, 10.0)
    webs = [Counterweight(z, 0, 10, 80, 25, 30, holes=(old,)) for z in PLANES]
    task = {"counterweights": webs, "drills_mm": [12], "tolerance_gmm": [60, 60]}
    refused = plan([500, 300], PLANES, **task)
    assert refused.feasible is False
    assert "no drill and depth fits any counterweight" in refused.reason
    made = plan([500, 300], PLANES, **task, deepen=True)
    assert made.optimal
    assert [hole.deepens for hole in made.holes] == [0, 0]
    for hole, wanted in zip(made.holes, (500, 300), strict=True):
        more = moments(12, hole.depth_mm, 80)[1] - moments(12, 10.0, 80)[1]
        assert hole.unbalance_gmm == pytest.approx(more, rel=1e-7)
        assert abs(wanted - more) <= 30
        assert hole.depth_mm > old.depth_mm
    assert made.removed_g == pytest.approx(sum(hole.mass_g for hole in made.holes))


def test_holes_that_do_not_fit_are_proven_not_to():
    webs = [Counterweight(z, 0, 20, 80, 25, 12) for z in PLANES]
    task = {"counterweights": webs, "drills_mm": [10], "tolerance_gmm": [60, 60]}
    made = plan([6000, 6000], PLANES, **task)
    assert made.feasible is False
    assert "the holes do not fit" in made.reason
    # by hand: web of 4 mm at the tips, 65 mm out: at least 14 mm or 12 degrees apart, so at most
    # 4 holes in 40 degrees, each of no more than the deepest one's unbalance
    assert 4 * moments(10, 12, 80)[1] < 6000 - 30


def test_several_holes_on_one_counterweight_keep_their_webs():
    webs = [Counterweight(z, 0, 60, 80, 25, 25) for z in PLANES]
    made = plan(
        [2600, 2000 + 300j], PLANES, counterweights=webs, drills_mm=[10, 12], tolerance_gmm=[60, 60]
    )
    assert made.feasible
    assert len(made.holes) >= 3
    verify(made, [2600, 2000 + 300j], webs, drills=[10, 12], tolerance=[60, 60])
    assert made.removed_g <= 1.02 * made.bound_g


def reachable(unbalance, webs, limit):
    """Ask scipy's linear programming whether any amounts in the sectors reach the limit."""
    columns = []
    for cw in webs:
        share = np.linalg.solve(np.array([[1, 1], PLANES]), np.array([1, cw.z_mm]))
        steps = np.arange(0, int(2 * cw.half_span_degrees + 1e-9) + 1)
        turn = np.exp(1j * np.radians(cw.centre_degrees - cw.half_span_degrees + steps))
        columns.append(turn[:, None] * share)
    taken = np.concatenate(columns)
    faces = np.exp(1j * np.linspace(0, 2 * np.pi, 256, endpoint=False))  # limit + 1e-4 of it
    rows, right = [], []
    for plane in (0, 1):
        rows.append(-np.real(np.conj(faces)[:, None] * taken[:, plane]))
        right.append(limit - np.real(np.conj(faces) * unbalance[plane]))
    found = linprog(np.ones(len(taken)), A_ub=np.vstack(rows), b_ub=np.concatenate(right))
    return found.status == 0


@pytest.mark.parametrize("seed", range(10))
def test_out_of_reach_is_what_linear_programming_says(seed):
    rng = np.random.default_rng(seed)
    webs = crank(seed, 2 + seed % 4, half=(15, 50))
    unbalance = rng.normal(0, 400, 2) + 1j * rng.normal(0, 400, 2)
    made = plan(
        unbalance,
        PLANES,
        counterweights=webs,
        drills_mm=[8, 10, 12],
        tolerance_gmm=[60, 60],
        time_limit_s=2,
    )
    proven = "no number of holes can do it" in made.reason
    assert proven == (not reachable(unbalance, webs, 30.0))
    if proven:
        assert made.feasible is False


def test_out_of_time_is_neither_feasible_nor_refused():
    webs = crank(5, 6)
    made = plan(
        heavy(5, webs, 6) * 3,
        PLANES,
        counterweights=webs,
        drills_mm=[8, 10, 12, 16],
        tolerance_gmm=[4, 4],
        time_limit_s=1e-6,
    )
    assert made.feasible is None
    assert not made.optimal
    assert "time limit" in made.reason


def test_slugs_come_in_when_holes_alone_cannot_do_it():
    webs = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 300, 500)]
    choice = SlugChoice(19.0, 20.0, bore_depth_mm=25.0)
    task = {"counterweights": webs, "drills_mm": [8, 10, 12], "tolerance_gmm": [60, 60]}
    unbalance = np.array([-900.0, -600.0])
    assert plan(unbalance, PLANES, **task).feasible is False
    made = plan(unbalance, PLANES, **task, slugs=[choice])
    assert made.feasible
    left = unbalance.astype(complex)
    _, u = moments(19.0, 25.0, 80)
    net = 18e-3 * math.pi * 9.5**2 * 20 * (80 - 25 + 10) - u  # slug at its centre, bore lost
    for piece, gone in [
        *((slug, -net) for slug in made.slugs),
        *((hole, moments(hole.diameter_mm, hole.depth_mm, 80)[1]) for hole in made.holes),
    ]:
        force = gone * np.exp(1j * math.radians(piece.degrees))
        z = webs[piece.counterweight].z_mm
        left -= np.linalg.solve(np.array([[1, 1], PLANES]), np.array([force, force * z]))
    np.testing.assert_allclose(made.residual, left, atol=1e-4)
    assert (np.abs(left) <= 30 + 1e-4).all()
    for slug, hole in itertools.product(made.slugs, made.holes):
        if slug.counterweight == hole.counterweight:
            assert web(DrilledHole(slug.degrees, 19.0, 25.0), hole, 80) >= 4.0 - 1e-3
    holes_do = plan(-unbalance, PLANES, **task, slugs=[choice])
    assert holes_do.slugs == ()


def test_turning_the_crank_turns_the_plan():
    webs = crank(11, 3)
    unbalance = heavy(11, webs, 2)
    turned = [dataclasses.replace(cw, centre_degrees=cw.centre_degrees + 90) for cw in webs]
    task = {"drills_mm": [8, 12], "tolerance_gmm": [60, 60]}
    one = plan(unbalance, PLANES, counterweights=webs, **task)
    two = plan(unbalance * 1j, PLANES, counterweights=turned, **task)
    swapped = plan(unbalance[::-1], PLANES[::-1], counterweights=webs[::-1], **task)
    assert one.removed_g == pytest.approx(two.removed_g, rel=1e-12)
    assert one.removed_g == pytest.approx(swapped.removed_g, rel=1e-12)
    assert [h.degrees + 90 for h in one.holes] == [h.degrees for h in two.holes]


def test_alternatives_differ_in_kind_and_keep_every_rule():
    webs = crank(21, 5)
    unbalance = heavy(21, webs, 3)
    made = plan(
        unbalance, PLANES, counterweights=webs, drills_mm=[8, 10, 12, 16], tolerance_gmm=[60, 60]
    )
    others = alternatives(made, time_limit_s=LONG_S)
    assert others
    for other in others:
        verify(other.plan, unbalance, webs, drills=[8, 10, 12, 16], tolerance=[60, 60])
        assert other.plan.holes != made.holes
        if "one drill" in other.kind:
            assert len({hole.diameter_mm for hole in other.plan.holes}) == 1
        if "deeper" in other.kind:
            deepest = max(hole.depth_mm for hole in made.holes)
            assert max(hole.depth_mm for hole in other.plan.holes) < deepest


def test_holes_near_one_end_stay_there_and_keep_every_rule():
    discs = [Counterweight(z, 0, 180, 80, 25, 30) for z in (150, 270, 330, 450)]
    unbalance = np.array([500, -300 + 300j])
    how = {"drills_mm": [12], "tolerance_gmm": [160, 160]}
    steps = {"depth_step_mm": 1.0, "angle_step_degrees": 5.0}
    made = plan(unbalance, PLANES, counterweights=discs, **how, **steps)
    assert {hole.counterweight < 2 for hole in made.holes} == {True, False}  # both ends
    others = {other.kind: other.plan for other in alternatives(made)}
    near = next(found for kind, found in others.items() if "near the end of the nose only" in kind)
    verify(near, unbalance, discs, drills=[12], tolerance=[160, 160])
    assert all(hole.counterweight < 2 for hole in near.holes)
    # a plan that drills at one end already has no such alternative
    one = plan([400, 400], PLANES, counterweights=discs, **how, **steps)
    assert len(one.holes) == 1
    assert not any("near the end" in other.kind for other in alternatives(one))


def test_a_counterweight_that_may_be_drilled_at_one_angle_only():
    webs = [Counterweight(z, 30.0, 0.0, 80, 25, 35) for z in PLANES]
    pull = 900 * np.exp(1j * math.radians(30))
    made = plan(
        [pull, 0.6 * pull], PLANES, counterweights=webs, drills_mm=[12], tolerance_gmm=[60, 60]
    )
    verify(made, [pull, 0.6 * pull], webs, drills=[12], tolerance=[60, 60])
    assert [hole.degrees for hole in made.holes] == [30.0, 30.0]


def _first_met(queue, _):
    """Take any placing of a pattern that still waits, and look no further."""
    for _, n, _ in queue._heap:
        pattern = queue._pattern(n)
        queue.found = queue.found or pattern.glance(pattern.most_g)


@pytest.mark.parametrize("seed", [1, 2, 5])
def test_a_search_that_may_hold_little_claims_no_more_than_it_proved(seed, monkeypatch):
    webs = crank(30 + seed, 3)
    unbalance = heavy(30 + seed, webs, 3)
    how = {"counterweights": webs, "drills_mm": [8, 12], "tolerance_gmm": [60, 60]}
    best = plan(unbalance, PLANES, **how, time_limit_s=LONG_S)
    assert best.optimal
    for most in (4_000, 400, 40, 0):
        monkeypatch.setattr(_search, "_MOST", most)
        monkeypatch.setattr(_search, "_MOST_TRIED", 10 * most)
        if not most:  # the first placing met is taken
            monkeypatch.undo()
            monkeypatch.setattr(_solve._Queue, "run", _first_met)
        made = plan(unbalance, PLANES, **how)
        assert made.feasible is not False
        assert made.bound_holes <= len(best.holes)
        if made.feasible is None:
            continue
        verify(made, unbalance, webs, drills=[8, 12], tolerance=[60, 60])
        assert len(made.holes) >= len(best.holes)
        if len(made.holes) == len(best.holes):
            assert made.removed_g >= best.removed_g - 1e-6
            assert made.bound_g <= best.removed_g + 1e-6
        met = made.bound_g >= made.removed_g - 1e-6 and made.bound_holes == len(made.holes)
        assert made.optimal == met
        if made.optimal:
            assert len(made.holes) == len(best.holes)
            assert made.removed_g == pytest.approx(best.removed_g, abs=1e-6)
