import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.special import ellipk

from balance.errors import InputError
from balance.parts.pendulum import (
    STANDARD_GRAVITY_M_S2,
    equivalent_points,
    inertia_from_swing,
    inertia_from_wires,
)
from balance.parts.swing import rod_from_swing

LENGTH, CENTRE, K2, MASS = 150.0, 42.0, 4300.0, 600.0
BORES = {"big_end_pivot_mm": 28.0, "small_end_pivot_mm": 11.0}


def period(h_mm: float, k2_mm2: float = K2) -> float:
    """Small swing of a compound pendulum, textbook formula."""
    return math.tau * math.sqrt((k2_mm2 + h_mm**2) / (1000 * STANDARD_GRAVITY_M_S2 * h_mm))


def test_two_pivots_give_centre_and_inertia():
    rod = rod_from_swing(
        MASS,
        length_mm=LENGTH,
        period_big_end_s=period(CENTRE + 28),
        period_small_end_s=period(LENGTH - CENTRE + 11),
        **BORES,
    )
    assert rod.centre_of_mass_from_big_end_mm == pytest.approx(CENTRE, rel=1e-9)
    assert rod.inertia_gmm2 == pytest.approx(MASS * K2, rel=1e-9)
    assert rod.radius_of_gyration_mm == pytest.approx(math.sqrt(K2), rel=1e-9)
    assert (rod.big_end_g, rod.small_end_g) == pytest.approx((432.0, 168.0), rel=1e-9)
    assert rod.inertia_defect_gmm2 == pytest.approx(MASS * (42 * 108 - K2), rel=1e-8)
    assert (rod.u_g, rod.closure_g, rod.consistent) == (0.0, None, None)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(80, 300),
    st.floats(0.15, 0.45),
    st.floats(0.7, 0.97),
    st.floats(5, 40),
    st.floats(5, 20),
)
def test_round_trip_of_any_rod(length, share, k_share, beyond_big, beyond_small):
    a = share * length
    k2 = k_share * a * (length - a)
    pivots = {"big_end_pivot_mm": beyond_big, "small_end_pivot_mm": beyond_small}
    t_big, t_small = period(a + beyond_big, k2), period(length - a + beyond_small, k2)
    kwargs = {"length_mm": length, **pivots}
    both = rod_from_swing(MASS, period_big_end_s=t_big, period_small_end_s=t_small, **kwargs)
    kwargs["centre_of_mass_from_big_end_mm"] = a
    by_big = rod_from_swing(MASS, period_big_end_s=t_big, **kwargs)
    by_small = rod_from_swing(MASS, period_small_end_s=t_small, **kwargs)
    for rod in (both, by_big, by_small):
        # Periods are exact to 1e-16; two pivots lose a few digits to a difference.
        assert rod.centre_of_mass_from_big_end_mm == pytest.approx(a, rel=1e-8)
        assert rod.inertia_gmm2 == pytest.approx(MASS * k2, rel=1e-8)
        assert rod.small_end_g == pytest.approx(MASS * share, rel=1e-8)


def test_inertia_of_a_real_solid_from_its_points():
    # Independent: a lopsided bar as 2000 point masses, its inertia summed about its own centre.
    x = (np.arange(2000) + 0.5) / 2000 * 190 - 20
    m = 1.0 + 4.0 * np.exp(-((x / 25) ** 2))
    centre = (m * x).sum() / m.sum()
    about_big = (m * x**2).sum()
    about_centre = (m * (x - centre) ** 2).sum()
    t = math.tau * math.sqrt(about_big / (1000 * STANDARD_GRAVITY_M_S2 * m.sum() * centre))
    rod = rod_from_swing(
        m.sum(), length_mm=150.0, period_big_end_s=t, centre_of_mass_from_big_end_mm=centre
    )
    assert rod.inertia_gmm2 == pytest.approx(about_centre, rel=1e-9)


def test_large_swing_against_the_integrated_motion():
    # theta'' = -(g / e) sin(theta), from rest at 40 degrees: a quarter period to zero.
    e_mm = (K2 + CENTRE**2) / CENTRE

    def crosses(_t, y):
        return y[0]

    crosses.terminal = True
    motion = solve_ivp(
        lambda _t, y: [y[1], -1000 * STANDARD_GRAVITY_M_S2 / e_mm * math.sin(y[0])],
        (0, 2),
        [math.radians(40), 0],
        events=crosses,
        rtol=1e-11,
        atol=1e-12,
    )
    rod = rod_from_swing(
        MASS,
        length_mm=LENGTH,
        period_big_end_s=4 * motion.t_events[0][0],
        centre_of_mass_from_big_end_mm=CENTRE,
        amplitude_degrees=40.0,
    )
    # The integrator keeps about 1e-10; the inertia takes it twice and loses a factor.
    assert rod.inertia_gmm2 == pytest.approx(MASS * K2, rel=1e-7)


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 89))
def test_amplitude_is_the_elliptic_integral(amplitude):
    # scipy: T / T0 = 2 K(sin^2(amplitude / 2)) / pi.
    stretch = 2 / math.pi * ellipk(math.sin(math.radians(amplitude / 2)) ** 2)
    swung = inertia_from_swing(
        MASS,
        period_s=period(CENTRE) * stretch,
        pivot_to_centre_mm=CENTRE,
        amplitude_degrees=amplitude,
    )
    assert swung == pytest.approx(MASS * K2, rel=1e-10)


@pytest.mark.parametrize(("beyond_big", "beyond_small"), [(0.0, 3.0), (8.0, 11.0), (28.0, 11.0)])
def test_doubt_of_two_pivots_agrees_with_a_simulation(beyond_big, beyond_small):
    u = 1e-5  # small enough that the formula is linear over it
    t_big, t_small = period(CENTRE + beyond_big), period(LENGTH - CENTRE + beyond_small)
    kwargs = {
        "length_mm": LENGTH,
        "big_end_pivot_mm": beyond_big,
        "small_end_pivot_mm": beyond_small,
    }
    rng = np.random.default_rng(11)
    rods = [
        rod_from_swing(
            MASS,
            period_big_end_s=t_big + rng.normal(0, u),
            period_small_end_s=t_small + rng.normal(0, u),
            **kwargs,
        )
        for _ in range(500)
    ]
    rod = rod_from_swing(
        MASS, period_big_end_s=t_big, period_small_end_s=t_small, u_period_s=u, **kwargs
    )
    # Standard error of a standard deviation from 500 draws is 3.2 %; five of them.
    centres = np.std([r.centre_of_mass_from_big_end_mm for r in rods])
    assert rod.u_centre_mm == pytest.approx(centres, rel=0.16)
    assert rod.u_inertia_gmm2 == pytest.approx(np.std([r.inertia_gmm2 for r in rods]), rel=0.16)
    assert rod.u_g == pytest.approx(MASS / LENGTH * centres, rel=0.16)


def test_pins_through_the_bores_tell_less_than_a_knife_edge():
    def doubt(**pivots):
        return rod_from_swing(
            MASS,
            length_mm=LENGTH,
            period_big_end_s=period(CENTRE + pivots.get("big_end_pivot_mm", 0)),
            period_small_end_s=period(LENGTH - CENTRE + pivots.get("small_end_pivot_mm", 0)),
            u_period_s=1e-4,
            **pivots,
        ).u_centre_mm

    assert doubt() > 3 * doubt(**BORES)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"period_big_end_s": None}, "give period_big_end_s, period_small_end_s or both, got"),
        (
            {"centre_of_mass_from_big_end_mm": None},
            "must be given with one period, got None: weigh the ends first",
        ),
        (
            {"period_small_end_s": 0.79},
            "must be left out with two periods, got 42.0: it is found",
        ),
        ({"period_big_end_s": 0.36}, "period_big_end_s is too short.*half a swing"),
        ({"period_big_end_s": -0.7}, "period_big_end_s must be greater than zero"),
        ({"period_big_end_s": math.nan}, "period_big_end_s must be finite"),
        ({"centre_of_mass_from_big_end_mm": 151.0}, "must lie between the two centres, got 151"),
        ({"centre_of_mass_from_big_end_mm": -1.0}, "centre_of_mass_from_big_end_mm must be"),
        ({"length_mm": 0.0}, "length_mm must be greater than zero"),
        ({"big_end_pivot_mm": -28.0}, "big_end_pivot_mm must not be negative"),
        ({"amplitude_degrees": 90.0}, "amplitude_degrees must be less than 90, got 90.0"),
        ({"u_period_s": -1.0}, "u_period_s must not be negative"),
        ({"gravity_m_s2": 0.0}, "gravity_m_s2 must be greater than zero"),
    ],
)
def test_rod_from_swing_refuses(change, message):
    good = {
        "length_mm": LENGTH,
        "period_big_end_s": 0.7274,
        "centre_of_mass_from_big_end_mm": CENTRE,
        "big_end_pivot_mm": 28.0,
    }
    with pytest.raises(InputError, match=message):
        rod_from_swing(MASS, **(good | change))


def test_two_masses_at_the_pivots_leave_the_centre_open():
    t = period(CENTRE, CENTRE * (LENGTH - CENTRE))
    with pytest.raises(InputError, match=r"fit any centre of mass.*Weigh its ends"):
        rod_from_swing(MASS, length_mm=LENGTH, period_big_end_s=t, period_small_end_s=t)


@pytest.mark.parametrize("periods", [(1.5, 0.79), (0.36, 0.39), (0.79, 1.5)])
def test_periods_of_no_rod(periods):
    with pytest.raises(InputError, match=r"belong to no rod|must lie between the two centres"):
        rod_from_swing(
            MASS,
            length_mm=LENGTH,
            period_big_end_s=periods[0],
            period_small_end_s=periods[1],
            **BORES,
        )


@settings(max_examples=60, deadline=None)
@given(st.floats(100, 5000), st.floats(1e5, 1e8), st.floats(20, 300))
def test_equivalent_points_keep_mass_centre_and_inertia(mass, inertia, first):
    points = equivalent_points(mass, inertia_gmm2=inertia, first_from_centre_mm=first)
    assert points.first_g + points.second_g == pytest.approx(mass, rel=1e-12)
    # The smaller mass comes from a difference of up to 1e4 times its size.
    assert points.first_g * points.first_mm == pytest.approx(
        points.second_g * points.second_mm, rel=1e-7
    )
    moment = points.first_g * points.first_mm**2 + points.second_g * points.second_mm**2
    assert moment == pytest.approx(inertia, rel=1e-7)


def test_wires_of_one_radius_are_two_equal_distances():
    kwargs = {"period_s": 2.0, "wire_length_mm": 1250.0}
    one = inertia_from_wires(1500.0, wire_to_centre_mm=120.0, **kwargs)
    assert one == inertia_from_wires(1500.0, wire_to_centre_mm=(120.0, 120.0), **kwargs)


def test_wires_refuse_three_distances_and_nothing():
    with pytest.raises(InputError, match="wire_to_centre_mm must be one radius or two distances"):
        inertia_from_wires(
            1500.0, period_s=2.0, wire_length_mm=1250.0, wire_to_centre_mm=[120.0] * 3
        )
    with pytest.raises(InputError, match="wire_length_mm must be greater than zero"):
        inertia_from_wires(1500.0, period_s=2.0, wire_length_mm=0.0, wire_to_centre_mm=120.0)


def test_body_swing_and_points_refuse():
    with pytest.raises(InputError, match="pivot_to_centre_mm must be greater than zero"):
        inertia_from_swing(1800.0, period_s=1.2, pivot_to_centre_mm=0.0)
    with pytest.raises(InputError, match="period_s is too short"):
        inertia_from_swing(1800.0, period_s=0.6, pivot_to_centre_mm=200.0)
    with pytest.raises(InputError, match="inertia_gmm2 must be greater than zero"):
        equivalent_points(2000.0, inertia_gmm2=0.0, first_from_centre_mm=100.0)
