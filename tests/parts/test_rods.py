import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.parts.rods import rod_ends, rod_from_centre, rod_from_one_end
from balance.parts.suspects import wrong_weighings

# Rounding of double precision in masses below 2 kg.
EXACT_G = 1e-9
doubts = st.floats(0.01, 1.0)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(300, 600), st.floats(100, 250), st.floats(-2, 2), st.tuples(doubts, doubts, doubts)
)
def test_ends_are_the_weighted_least_squares_answer(big, small, error, u):
    rod = rod_ends(total_g=big + small + error, big_end_g=big, small_end_g=small, u_g=u)
    # Outside check: numpy's least squares on the three weighings, each divided by its doubt.
    weight = 1 / np.array(u)
    design = np.array([[1.0, 1.0], [1.0, 0.0], [0.0, 1.0]]) * weight[:, None]
    seen = np.array([big + small + error, big, small]) * weight
    expected = np.linalg.lstsq(design, seen, rcond=None)[0]
    covariance = np.linalg.inv(design.T @ design)
    assert (rod.big_end_g, rod.small_end_g) == pytest.approx(tuple(expected), abs=1e-8)
    assert (rod.u_big_end_g, rod.u_small_end_g) == pytest.approx(
        tuple(np.sqrt(np.diag(covariance))), rel=1e-6
    )
    assert rod.u_g == max(rod.u_big_end_g, rod.u_small_end_g)
    assert rod.total_g == pytest.approx(rod.big_end_g + rod.small_end_g, abs=EXACT_G)


def test_equal_doubt_shares_the_closure_in_three():
    rod = rod_ends(total_g=600.3, big_end_g=432.0, small_end_g=168.0, u_g=0.06)
    assert rod.closure_g == pytest.approx(-0.3, abs=EXACT_G)
    assert rod.big_end_g == pytest.approx(432.1, abs=EXACT_G)
    assert rod.u_g == pytest.approx(0.06 * math.sqrt(2 / 3), rel=1e-12)


def test_closure_limit_of_a_tenth_gram_scale():
    # 3 sqrt(3) 0.058 = 0.30 g, by hand.
    weighed = {"big_end_g": 432.0, "small_end_g": 168.0, "u_g": 0.0577}
    assert rod_ends(total_g=600.29, **weighed).consistent
    assert not rod_ends(total_g=600.31, **weighed).consistent
    assert rod_ends(total_g=600.0, **weighed).closure_limit_g == pytest.approx(0.30, abs=0.001)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"total_g": math.nan}, "total_g must be finite, got nan"),
        ({"total_g": 0.0}, "total_g must be greater than zero, got 0.0"),
        ({"big_end_g": -1.0}, "big_end_g must be greater than zero, got -1.0"),
        ({"big_end_g": 600.0}, "big_end_g must be less than total_g, got 600.0 of 600.0 g"),
        ({"small_end_g": 700.0}, "small_end_g must be less than total_g, got 700.0 of"),
        ({"total_g": [600.0, 601.0]}, r"total_g must be one number, got \[600\.0, 601\.0\]"),
        ({"small_end_g": "168"}, "small_end_g must be a number, got '168'"),
        ({"u_g": 0.0}, "u_g must be greater than zero"),
        ({"u_g": [0.1, 0.1]}, r"u_g must be one number or three \(total, big, small\)"),
    ],
)
def test_rod_ends_refuses(change, message):
    good = {"total_g": 600.0, "big_end_g": 432.0, "small_end_g": 168.0, "u_g": 0.06}
    with pytest.raises(InputError, match=message):
        rod_ends(**(good | change))


def test_one_end_from_either_side():
    from_big = rod_from_one_end(total_g=600.0, big_end_g=432.0, u_g=[0.03, 0.04])
    from_small = rod_from_one_end(total_g=600.0, small_end_g=168.0, u_g=[0.03, 0.04])
    assert (from_big.big_end_g, from_big.small_end_g) == (432.0, 168.0)
    assert (from_small.big_end_g, from_small.small_end_g) == (432.0, 168.0)
    assert (from_big.u_big_end_g, from_big.u_small_end_g) == pytest.approx((0.04, 0.05))
    assert (from_small.u_big_end_g, from_small.u_small_end_g) == pytest.approx((0.05, 0.04))


def test_one_end_claims_no_check():
    rod = rod_from_one_end(total_g=600.0, big_end_g=432.0, u_g=0.06)
    assert rod.closure_g is None
    assert rod.consistent is None


@pytest.mark.parametrize(
    ("given_ends", "message"),
    [
        ({}, "give exactly one of big_end_g and small_end_g, got None and None"),
        ({"big_end_g": 432.0, "small_end_g": 168.0}, "with both, use rod_ends"),
        ({"big_end_g": 601.0}, "big_end_g must be less than total_g"),
        ({"small_end_g": math.nan}, "small_end_g must be finite"),
    ],
)
def test_one_end_refuses(given_ends, message):
    with pytest.raises(InputError, match=message):
        rod_from_one_end(total_g=600.0, u_g=0.06, **given_ends)


def test_one_end_refuses_three_doubts():
    with pytest.raises(InputError, match=r"u_g must be one number or two \(total, end\)"):
        rod_from_one_end(total_g=600.0, big_end_g=432.0, u_g=[0.1, 0.1, 0.1])


@settings(max_examples=60, deadline=None)
@given(st.floats(100, 2000), st.floats(80, 300), st.floats(0.01, 0.99))
def test_centre_keeps_mass_and_first_moment(mass, length, share):
    a = share * length
    rod = rod_from_centre(mass, length_mm=length, centre_of_mass_from_big_end_mm=a)
    assert rod.big_end_g + rod.small_end_g == pytest.approx(mass, rel=1e-12)
    assert rod.small_end_g * length == pytest.approx(mass * a, rel=1e-12)
    assert (rod.u_g, rod.closure_g, rod.consistent) == (0.0, None, None)


def test_half_a_millimetre_in_the_length():
    # 168 g * 0.5 / 150 = 0.56 g, by hand.
    rod = rod_from_centre(
        600.0, length_mm=150.0, centre_of_mass_from_big_end_mm=42.0, u_length_mm=0.5
    )
    assert rod.u_g == pytest.approx(0.56, abs=0.005)


def test_doubts_of_the_centre_agree_with_a_simulation():
    rng = np.random.default_rng(7)
    n = 100_000
    mass = rng.normal(600, 0.5, n)
    length = rng.normal(150, 0.1, n)
    a = rng.normal(42, 0.1, n)
    rod = rod_from_centre(
        600.0,
        length_mm=150.0,
        centre_of_mass_from_big_end_mm=42.0,
        u_mass_g=0.5,
        u_length_mm=0.1,
        u_centre_mm=0.1,
    )
    # Standard error of a standard deviation from 100 000 draws is 0.22 %; five of them.
    assert rod.u_small_end_g == pytest.approx((mass * a / length).std(), rel=0.011)
    assert rod.u_big_end_g == pytest.approx((mass * (1 - a / length)).std(), rel=0.011)


@pytest.mark.parametrize("a", [150.0, 160.0])
def test_centre_of_mass_beyond_the_small_end(a):
    with pytest.raises(InputError, match=f"must lie between the two centres, got {a}"):
        rod_from_centre(600.0, length_mm=150.0, centre_of_mass_from_big_end_mm=a)


@pytest.mark.parametrize("a", [0.0, -5.0, math.nan])
def test_centre_of_mass_before_the_big_end(a):
    with pytest.raises(InputError, match="centre_of_mass_from_big_end_mm must be"):
        rod_from_centre(600.0, length_mm=150.0, centre_of_mass_from_big_end_mm=a)


def test_centre_refuses_bad_mass_length_and_doubt():
    with pytest.raises(InputError, match=r"mass_g must be greater than zero, got -600\.0"):
        rod_from_centre(-600.0, length_mm=150.0, centre_of_mass_from_big_end_mm=42.0)
    with pytest.raises(InputError, match="length_mm must be finite"):
        rod_from_centre(600.0, length_mm=math.inf, centre_of_mass_from_big_end_mm=42.0)
    with pytest.raises(InputError, match="u_centre_mm must not be negative"):
        rod_from_centre(600.0, length_mm=150.0, centre_of_mass_from_big_end_mm=42.0, u_centre_mm=-1)


BIG = np.array([432.0, 432.2, 431.9, 432.1, 432.3, 431.8])
SMALL = np.array([168.0, 168.1, 167.9, 168.2, 168.0, 168.1])


@pytest.mark.parametrize("error", [3.0, -3.0])
@pytest.mark.parametrize("which", ["total", "big end", "small end"])
@pytest.mark.parametrize("rod", range(6))
def test_a_gross_error_is_traced(rod, which, error):
    weighed = {"total": BIG + SMALL, "big end": BIG.copy(), "small end": SMALL.copy()}
    weighed[which][rod] += error
    (found,) = wrong_weighings(
        totals_g=weighed["total"],
        big_ends_g=weighed["big end"],
        small_ends_g=weighed["small end"],
        u_g=0.06,
    )
    assert (found.rod, found.weighing) == (rod, which)
    assert found.error_g == pytest.approx(error, abs=EXACT_G)


def test_rods_that_differ_more_than_the_error_accuse_nobody():
    big = BIG + np.array([-4.0, 3, -2, 4, 0, 2])
    totals = big + SMALL
    totals[4] += 0.5
    (found,) = wrong_weighings(totals_g=totals, big_ends_g=big, small_ends_g=SMALL, u_g=0.06)
    assert (found.weighing, found.error_g) == (None, None)
    assert found.closure_g == pytest.approx(-0.5, abs=EXACT_G)


def test_one_good_rod_accuses_nobody():
    totals = BIG[:2] + SMALL[:2] + np.array([3.0, 0])
    (found,) = wrong_weighings(
        totals_g=totals, big_ends_g=BIG[:2], small_ends_g=SMALL[:2], u_g=0.06
    )
    assert (found.rod, found.weighing, found.probability) == (0, None, None)


def test_equal_displays_do_not_make_equal_rods():
    # Spread taken as the doubt of 0.06 g: an error of one display step cannot be placed.
    totals, big, small = np.full(5, 600.0), np.full(5, 432.0), np.full(5, 168.0)
    totals[2] += 0.4
    (found,) = wrong_weighings(totals_g=totals, big_ends_g=big, small_ends_g=small, u_g=0.06)
    assert found.rod == 2
    assert 1 / 3 < found.probability < 1


def test_accusations_are_right_as_often_as_they_claim():
    rng = np.random.default_rng(20240601)
    names, claimed, right = ("total", "big end", "small end"), [], 0
    for _ in range(400):
        ends = rng.normal((432, 168), (1.5, 0.9), (6, 2)).T
        weighed = np.vstack([ends.sum(axis=0), ends]) + rng.normal(0, 0.06, (3, 6))
        wrong = rng.integers(3)
        weighed[wrong, 0] += rng.uniform(0.5, 8) * rng.choice((-1, 1))
        found = wrong_weighings(
            totals_g=weighed[0], big_ends_g=weighed[1], small_ends_g=weighed[2], u_g=0.06
        )
        for accused in (f for f in found if f.rod == 0 and f.weighing):
            claimed.append(accused.probability)
            right += accused.weighing == names[wrong]
    assert len(claimed) > 100
    # At least what was claimed, less three standard errors of a share near 0.97.
    assert right / len(claimed) >= np.mean(claimed) - 3 * math.sqrt(0.03 / len(claimed))


def test_good_rods_give_no_suspects():
    kwargs = {"totals_g": BIG + SMALL, "big_ends_g": BIG, "small_ends_g": SMALL}
    assert wrong_weighings(**kwargs, u_g=0.06) == ()
    assert wrong_weighings(totals_g=[], big_ends_g=[], small_ends_g=[], u_g=0.06) == ()


def test_suspects_need_lists_of_one_length():
    with pytest.raises(InputError, match="must be flat and as long as each other, got 6, 6, 5"):
        wrong_weighings(totals_g=BIG + SMALL, big_ends_g=BIG, small_ends_g=SMALL[:5], u_g=0.06)
