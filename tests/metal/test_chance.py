"""Chances against other roads to the same number: scipy's distributions, and drillings written out.

Rice distribution of an amount with an error in both axes: JCGM 101:2008 names the Monte Carlo
method; scipy.stats.rice and norm are the independent figures here.
"""

import dataclasses
import math

import numpy as np
import pytest
from scipy import stats

from balance.errors import InputError
from balance.metal.chance import Errors, chance_of, chances_at, plan_for_chance
from balance.metal.planning import Counterweight, DrilledHole, SlugChoice, plan
from balance.metal.radial import radial_hole
from balance.metal.staging import stage

WEBS = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
PLANES = [100, 500]
TASK = {"counterweights": WEBS, "drills_mm": [10, 12], "tolerance_gmm": [60, 60]}
EXACT = Errors(0, 0, 0, 0, 0)


def made(unbalance=(900, 600), **change):
    return plan(unbalance, PLANES, **(TASK | change))


def test_without_errors_the_plan_ends_where_it_was_planned():
    chance = chance_of(made(), errors=EXACT, draws=10)
    assert (chance.inside, chance.overshoot) == (1.0, 0.0)
    np.testing.assert_allclose(chance.bias, 0, atol=1e-9)


def test_the_empty_plan_is_judged_by_the_reading_alone():
    # reading 50 of 60 with 20 % (2 sigma) on the amount: inside when 50 (1 + 0.1 g) <= 60
    chance = chance_of(
        made((50, 0), margin=0.9), errors=Errors(20, 0, 0, 0, 0), draws=400_000, seed=3
    )
    assert chance.inside == pytest.approx(stats.norm.cdf(2.0), abs=4 * chance.inside_u)


def test_one_error_at_a_time_matches_the_normal_distribution():
    # depth only: the residual of each plane moves by dU/dh, nearly constant over 0.1 mm
    whole = made()
    errors = Errors(0, 0, 2.0, 0, 0)
    chance = chance_of(whole, errors=errors, draws=200_000)
    expected = 1.0
    for hole, left in zip(whole.holes, whole.residual, strict=True):
        q = hole.surface_radius_mm - hole.depth_mm
        a = hole.diameter_mm / 2
        t = a / math.tan(math.radians(59))
        slope = 7.85e-3 * math.pi * a * a * (q - t / 3)  # d(moment)/d(depth)
        away = np.array([-60, 60]) - left.real
        expected *= np.ptp(stats.norm.cdf(np.sort(away) / slope))
    # the slope falls by 1 % over one standard deviation of 1 mm
    assert chance.inside == pytest.approx(expected, abs=0.01)


def test_a_million_drillings_written_out_agree():
    whole, errors = made((900, 600 + 200j)), Errors(4, 2, 0.4, 2, 0.3)
    random = np.random.default_rng(11)
    n = 200_000
    left = []
    for reading in whole.task.unbalance:
        swing = 1j * random.normal(0, math.radians(1), n)
        left.append(reading * random.normal(1, 0.02, n) * np.exp(swing))
    for hole in whole.holes:
        a = (hole.diameter_mm + random.uniform(0, 0.3, n)) / 2
        h = hole.depth_mm + random.normal(0, 0.2, n)
        t, R = a / math.tan(math.radians(59)), 80
        body = math.pi * a**2 * (h * (R - h / 2) - a**2 / 8)
        point = math.pi * a**2 * t / 3 * (R - h - t / 4)
        angle = np.radians(hole.degrees + random.normal(0, 1, n))
        gone = 7.85e-3 * (body + point) * np.exp(1j * angle)
        left[0] = left[0] - gone * (500 - hole.z_mm) / 400
        left[1] = left[1] - gone * (hole.z_mm - 100) / 400
    inside = ((np.abs(left[0]) <= 60) & (np.abs(left[1]) <= 60)).mean()
    chance = chance_of(whole, errors=errors, draws=n)
    assert chance.inside == pytest.approx(inside, abs=6 * chance.inside_u)


def test_the_same_seed_gives_the_same_chance():
    one, same, other = (chance_of(made(), draws=1000, seed=seed) for seed in (5, 5, 6))
    np.testing.assert_array_equal(one.bias, same.bias)
    assert (one.bias != other.bias).all()


def test_wide_drills_take_more_than_planned():
    chance = chance_of(made(), errors=Errors(0, 0, 0, 0, 0.5))
    assert (chance.bias.real > 0).all()


def test_the_wanted_chance_is_reached_on_fresh_drillings():
    aimed = plan_for_chance((900, 600), PLANES, **TASK, chance=0.95)
    assert aimed.reached
    fresh = chance_of(aimed.plan, seed=123)
    assert fresh.inside > 0.95 - 0.01  # the plan was chosen on other draws
    assert aimed.plan.removed_g < 1.04 * (aimed.plan.removed_g - aimed.extra_g)
    left = np.array([900, 600], dtype=complex)
    for hole in aimed.plan.holes:
        left[hole.counterweight] -= hole.unbalance_gmm * np.exp(1j * math.radians(hole.degrees))
    np.testing.assert_allclose(aimed.plan.residual, left, atol=1e-9)


def test_a_chance_out_of_reach_is_said_to_be():
    aimed = plan_for_chance(
        (900, 600), PLANES, **TASK, errors=Errors(30, 10, 1, 3, 0.5), draws=5000
    )
    assert not aimed.reached
    assert aimed.chance.inside < 0.95


def test_an_impossible_wish_gives_the_reason():
    with pytest.raises(InputError, match="unbalance cannot be planned away: no number of holes"):
        plan_for_chance((-900, -600), PLANES, **TASK)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: chance_of(made((-900, -600))), "plan must be one that can be drilled"),
        (lambda: chance_of(made(), draws=0), "draws must be a whole number of at least 1, got 0"),
        (lambda: plan_for_chance((9, 6), PLANES, **TASK, chance=1.0), "chance must be between 0"),
        (lambda: plan_for_chance((9, 6), PLANES, **TASK, margin=0.5), "margin must not be given"),
        (lambda: Errors(reading_percent=-1), "errors.reading_percent must not be negative"),
        (lambda: Errors(depth_mm=math.nan), "errors.depth_mm must be finite"),
        (lambda: Errors(depth_mm=[1, 2]), "errors.depth_mm must be one number"),
        (lambda: chances_at(made(), [5, 5]), "depths_mm must be rows of 2 depths, one for each"),
        (lambda: chances_at(made(), [[5]]), "depths_mm must be rows of 2 depths, one for each"),
        (lambda: chances_at(made(), [[5, -1]]), "depths_mm must not be negative"),
        (lambda: stage(made(), overshoot=0), "overshoot must be between 0 and 1, got 0"),
        (lambda: stage(made((5, 5))), "plan must hold at least one hole to stage"),
    ],
)
def test_bad_input_is_named(call, words):
    with pytest.raises(InputError, match=words):
        call()


def test_the_first_cut_is_shallower_and_overshoots_less():
    whole = made((3000, 2500), tolerance_gmm=[60, 60], drills_mm=[12, 16, 20])
    first = stage(whole, overshoot=0.02, draws=5000)
    assert first.first_overshoot <= 0.02
    assert first.first_overshoot <= first.chance_overshoot
    for cut in first.first_cut:
        assert 0.6 <= cut.share <= 1.0
        assert cut.depth_mm <= cut.hole.depth_mm
        point = cut.hole.diameter_mm / 2 / math.tan(math.radians(59))
        assert cut.tip_depth_mm == pytest.approx(cut.depth_mm + point)


def test_a_rare_overshoot_costs_spins():
    whole = made((3000, 2500), drills_mm=[12, 16, 20])
    careful, bold = (stage(whole, overshoot=wanted, draws=5000) for wanted in (0.001, 0.3))
    assert careful.expected_spins >= bold.expected_spins - 0.006  # equal within the tie rule
    assert sum(c.share for c in careful.first_cut) <= sum(c.share for c in bold.first_cut)


def test_without_errors_the_smallest_sufficient_cut_is_taken():
    whole = made((900, 600))
    first = stage(whole, errors=EXACT, draws=1)
    assert (first.first_inside, first.expected_spins) == (1.0, 1.0)
    taken = np.array([cut.share * cut.hole.unbalance_gmm for cut in first.first_cut])
    left = np.array([900, 600]) - taken
    assert (left <= 60).all()
    step = 0.5 * np.array([cut.hole.unbalance_gmm / cut.hole.depth_mm for cut in first.first_cut])
    assert (left + 1.2 * step > 60).any()  # one step of the press less would not do, with a tip


@pytest.mark.parametrize("step", [0.5, 1.0, 2.0])
def test_a_first_cut_is_what_the_press_can_be_set_to(step):
    rules = {"depth_step_mm": step, "min_depth_mm": 6.0, "drills_mm": [12, 16, 20]}
    whole = made((3000, 2500), **rules)
    shallower = 0
    for cut in stage(whole, overshoot=0.001, draws=2000).first_cut:
        steps = (cut.hole.depth_mm - cut.depth_mm) / step
        assert steps == pytest.approx(round(steps), abs=1e-9)
        assert 6.0 <= cut.depth_mm <= cut.hole.depth_mm
        gone = radial_hole(cut.hole.diameter_mm, cut.depth_mm, surface_radius_mm=80.0)
        assert cut.share == pytest.approx(float(gone.unbalance_gmm) / cut.hole.unbalance_gmm)
        shallower += steps > 0.5
    assert shallower


@pytest.mark.parametrize(
    ("before", "heavy"),
    [(10.0, 300), (0.1, 600)],  # at 0.1 mm the drill's edge is not all in yet
)
def test_a_deepened_hole_counts_what_it_takes_more(before, heavy):
    old = DrilledHole(0.0, 12, before)
    webs = [dataclasses.replace(web, holes=(old,)) for web in WEBS]
    deep = plan(
        (heavy, heavy), PLANES, **(TASK | {"counterweights": webs, "min_web_mm": 60.0}), deepen=True
    )
    assert [hole.deepens for hole in deep.holes] == [0, 0]
    chance = chance_of(deep, errors=EXACT, draws=5)
    np.testing.assert_allclose(chance.bias, 0, atol=1e-9)
    first = stage(deep, draws=2000)
    assert all(old.depth_mm < cut.depth_mm <= cut.hole.depth_mm for cut in first.first_cut)


def test_slugs_count_in_the_chance() -> None:
    """Two webs point the wrong way: only slugs help, and what they put on is not forgotten."""
    webs = [Counterweight(z, 180, 40, 84, 24, 30) for z in (100, 500)]
    made = plan(
        [3500, 3500],
        [100, 500],
        counterweights=webs,
        drills_mm=[10, 12],
        tolerance_gmm=[400, 400],
        slugs=[SlugChoice(16, 24)],
    )
    assert made.slugs
    # The slugs bring the crank within half the limit; 2 % of 3500 g mm is 70 g mm (two sigma).
    assert chance_of(made, draws=20_000).inside > 0.99


def test_the_number_of_workers_changes_nothing():
    one, two, many = (chance_of(made(), draws=130_000, workers=w) for w in (1, 2, 5))
    for other in (two, many):
        assert (one.inside, one.overshoot) == (other.inside, other.overshoot)
        assert one.bias.tolist() == other.bias.tolist()


def test_all_rows_of_depths_meet_the_same_luck():
    whole = made()
    depths = [hole.depth_mm for hole in whole.holes]
    same, shallow, again = chances_at(whole, [depths, [2, 2], depths], draws=50_000, seed=3)
    assert same.inside == again.inside == chance_of(whole, draws=50_000, seed=3).inside
    assert shallow.inside == 0.0


def test_progress_tells_every_lot_and_ends_at_the_whole():
    told = []
    chance = chance_of(made(), draws=70_000, progress=lambda *said: told.append(said))
    assert told == [(n, 70_000) for n in (20_000, 40_000, 60_000, 70_000)]
    assert chance.draws == 70_000


@pytest.mark.parametrize("workers", [1, 2])
def test_a_stopped_chance_is_that_of_the_drillings_made(workers):
    told = []
    chance = chance_of(
        made(),
        draws=10_000_000,
        workers=workers,
        progress=lambda *said: told.append(said),
        stop=lambda: len(told) >= 3,
    )
    assert 60_000 <= chance.draws <= 60_000 + 2 * workers * 20_000
    same = chance_of(made(), draws=chance.draws)
    assert (chance.inside, chance.bias.tolist()) == (same.inside, same.bias.tolist())


def test_a_stopped_first_cut_comes_from_rounds_that_were_finished():
    whole = made((3000, 2500), drills_mm=[12, 16, 20])
    told = []
    first = stage(
        whole,
        draws=40_000,
        progress=lambda *said: told.append(said),
        stop=lambda: len(told) >= 5,  # in the third round
    )
    full = stage(whole, draws=40_000, workers=2)
    assert told[-1] == (100_000, 160_000)
    assert first.draws == full.draws == 40_000
    assert first.first_overshoot <= 0.05
    one, two = (cut.share for cut in first.first_cut)
    assert one == pytest.approx(two, abs=0.05)  # planes were not told apart, but for a press step


def test_where_no_cut_keeps_overshooting_rare_the_one_that_overshoots_least_is_taken():
    wild = Errors(reading_percent=80.0, reading_degrees=40.0)
    whole = made()
    first = stage(whole, errors=wild, overshoot=0.001, draws=4000)
    assert first.first_overshoot > 0.001
    # it is least where least is cut
    pairs = zip(first.first_cut, whole.holes, strict=True)
    assert all(cut.depth_mm < 0.75 * hole.depth_mm for cut, hole in pairs)
    assert first.first_overshoot < 0.7 * first.chance_overshoot


def test_progress_of_a_first_cut_never_goes_back_and_ends_at_the_whole():
    told = []
    stage(made(), draws=70_000, progress=lambda *said: told.append(said))
    done = [part / whole for part, whole in told]
    assert done == sorted(done)
    assert done[0] > 0
    assert done[-1] == 1
    assert len({whole for _, whole in told}) == 1
