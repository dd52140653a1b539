"""The chance of a bolted part, against closed forms where one doubt acts alone."""

import math

import pytest

from balance.errors import InputError
from balance.metal.chance import Errors
from balance.metal.disc_chance import disc_chance
from balance.metal.discs import DiscHole, DiscPlan
from balance.metal.holes import axial_hole

EXACT = Errors(0.0, 0.0, 0.0, 0.0, 0.0)
DRAWS = 40_000
BY_CHANCE = 4 * 0.5 / math.sqrt(DRAWS)  # four standard errors of a share, at most


def plan(left=0j):
    """One hole of 8 mm, 6 mm deep at 90 degrees, that leaves so much of what is returned too."""
    taken = float(axial_hole(8.0, 6.0, radius_mm=112.0).unbalance_gmm)
    hole = DiscHole(90.0, 8.0, 6.0, 112.0, taken / 112.0, taken)
    return DiscPlan((hole,), left, taken / 112.0, 1, True, ""), taken * 1j + left


@pytest.mark.parametrize("limit", [5.0, 10.0, 20.0])
def test_the_reading_alone_leaves_a_rayleigh_distribution(limit):
    """With the same doubt u in both directions: P(r <= limit) = 1 - exp(-limit^2 / (2 u^2)).

    Source: Papoulis, Probability, Random Variables and Stochastic Processes, the Rayleigh
    distribution; from memory.
    """
    made, before = plan()
    found = disc_chance(made, before, u_gmm=8.0, limit_gmm=limit, errors=EXACT)
    assert found.inside == pytest.approx(1 - math.exp(-(limit**2) / 128.0), abs=BY_CHANCE)
    assert found.draws == DRAWS
    assert found.inside_u == pytest.approx(
        math.sqrt(found.inside * (1 - found.inside) / DRAWS), rel=1e-6
    )


def test_of_what_ends_outside_half_is_light_where_the_plan_leaves_nothing():
    made, before = plan()
    found = disc_chance(made, before, u_gmm=8.0, limit_gmm=5.0, errors=EXACT)
    assert found.overshoot == pytest.approx((1 - found.inside) / 2, abs=BY_CHANCE)


def test_a_depth_that_is_off_takes_its_cylinder_more():
    """The error of the depth, rho pi a^2 r dh, alone: a normal distribution of known spread."""
    made, before = plan()
    per_mm = 7.85e-3 * math.pi * 16.0 * 112.0
    limit, spread = 20.0, 0.4 / 2 * per_mm
    deep = Errors(0.0, 0.0, 0.4, 0.0, 0.0)
    found = disc_chance(made, before, u_gmm=0.0, limit_gmm=limit, errors=deep)
    assert found.inside == pytest.approx(math.erf(limit / spread / math.sqrt(2)), abs=BY_CHANCE)


def test_a_drill_that_does_not_reach_the_metal_deepens_nothing():
    """A hole of half a millimetre, its depth off by half a millimetre (one deviation).

    What is missing or too much is linear in the depth, and no depth is less than none: all that
    lies up to twice the depth stays within the metal of half a millimetre, P(z <= 1) = 0.8413;
    within half of that lies P(|z| <= 0.5) = 0.3829. Source: tables of the normal distribution.
    """
    taken = float(axial_hole(8.0, 0.5, radius_mm=112.0).unbalance_gmm)
    made = DiscPlan((DiscHole(90.0, 8.0, 0.5, 112.0, taken / 112.0, taken),), 0j, 1.0, 1, True, "")
    half_mm = 7.85e-3 * math.pi * 16.0 * 112.0 * 0.5
    shallow = Errors(0.0, 0.0, 1.0, 0.0, 0.0)
    for part, inside, light in ((1.001, 0.8413, 0.1587), (0.5, 0.3829, 0.3085)):
        found = disc_chance(made, taken * 1j, u_gmm=0.0, limit_gmm=part * half_mm, errors=shallow)
        assert found.inside == pytest.approx(inside, abs=BY_CHANCE)
        assert found.overshoot == pytest.approx(light, abs=BY_CHANCE)


def test_one_drilling_ends_inside_or_it_does_not():
    made, before = plan()
    for limit, inside in ((1e6, 1.0), (1e-6, 0.0)):
        found = disc_chance(made, before, u_gmm=5.0, limit_gmm=limit, draws=1)
        assert (found.inside, found.inside_u, found.draws) == (inside, 0.0, 1)


def test_drills_that_cut_wide_go_too_far():
    made, before = plan()
    wide = Errors(0.0, 0.0, 0.0, 0.0, 0.8)
    found = disc_chance(made, before, u_gmm=0.0, limit_gmm=1.0, errors=wide)
    assert found.overshoot == pytest.approx(1 - found.inside)
    assert found.overshoot > 0.9


def test_the_same_seed_gives_the_same_answer_and_no_error_is_a_certainty():
    made, before = plan(left=3 + 4j)
    one, two = (disc_chance(made, before, u_gmm=4.0, limit_gmm=8.0) for _ in range(2))
    assert one == two
    for limit, inside in ((5.01, 1.0), (4.99, 0.0)):
        sure = disc_chance(made, before, u_gmm=0.0, limit_gmm=limit, errors=EXACT)
        assert sure.inside == inside


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"draws": 0}, "draws must be a whole number of at least 1, got 0"),
        ({"seed": 0.5}, "seed must be a whole number of at least 0, got 0.5"),
        ({"before": math.nan}, "before must be finite, got nan"),
        ({"errors": 0.1}, "errors must be of type Errors, got 0.1"),
        ({"u_gmm": -1.0}, "u_gmm must not be negative"),
        ({"limit_gmm": 0.0}, "limit_gmm must be greater than zero"),
        ({"plan": DiscPlan((), 0j, 0.0, 0, True, "nothing")}, "at least one hole, got none: noth"),
    ],
)
def test_what_cannot_be_is_refused(change, message):
    made, before = plan()
    given = {"plan": made, "before": before, "u_gmm": 1.0, "limit_gmm": 9.0} | change
    with pytest.raises(InputError, match=message):
        disc_chance(given.pop("plan"), given.pop("before"), **given)
