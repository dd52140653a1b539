"""Motion and its series against mpmath and sympy, and what the functions refuse."""

import mpmath
import numpy as np
import pytest
import sympy
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.engine.motion import harmonics, offset_harmonics, piston, rad_s
from balance.errors import InputError

CASES = [(88.9, 145.0, 0.0), (88.9, 145.0, 6.5), (60.0, 200.0, -12.0), (100.0, 60.0, 5.0)]


def height(r, l, e, w, t):  # noqa: E741
    return r * mpmath.cos(w * t) + mpmath.sqrt(l**2 - (r * mpmath.sin(w * t) - e) ** 2)


@pytest.mark.parametrize(("stroke", "rod", "offset"), CASES)
@pytest.mark.parametrize("degrees", [0.0, 17.0, 90.0, 173.0, 200.0, 311.0])
def test_motion_is_that_of_mpmath_differentiation(stroke, rod, offset, degrees):
    m = piston(degrees, stroke_mm=stroke, rod_length_mm=rod, speed_rpm=3000, pin_offset_mm=offset)
    with mpmath.workdps(40):
        r, l, e = (mpmath.mpf(v) for v in (stroke / 2, rod, offset))  # noqa: E741
        w = 100 * mpmath.pi
        t = mpmath.radians(mpmath.mpf(degrees)) / w
        lean = lambda time: mpmath.asin((r * mpmath.sin(w * time) - e) / l)  # noqa: E731
        expected = [
            mpmath.sqrt((r + l) ** 2 - e**2) - height(r, l, e, w, t),
            -mpmath.diff(lambda time: height(r, l, e, w, time), t) / 1000,
            -mpmath.diff(lambda time: height(r, l, e, w, time), t, 2) / 1000,
            mpmath.degrees(lean(t)),
            mpmath.diff(lean, t),
            mpmath.diff(lean, t, 2),
        ]
    ours = [
        m.position_mm,
        m.velocity_m_s,
        m.acceleration_m_s2,
        m.rod_degrees,
        m.rod_velocity_rad_s,
        m.rod_acceleration_rad_s2,
    ]
    # Relative rounding, and the same of each quantity's own size where it passes through zero.
    sizes = [stroke, 15.0, 5e3, 30.0, 300.0, 1e5]
    for value, wanted, size in zip(ours, expected, sizes, strict=True):
        assert float(value) == pytest.approx(float(wanted), rel=1e-12, abs=1e-14 * size)


@pytest.mark.parametrize(("stroke", "rod", "offset"), CASES)
def test_coefficients_are_mpmath_fourier_integrals(stroke, rod, offset):
    ratio, side = stroke / 2 / rod, offset / rod
    orders = (1, 2, 3, 6)
    with mpmath.workdps(20):
        l, e = mpmath.mpf(ratio), mpmath.mpf(side)  # noqa: E741

        def root(q):
            return mpmath.sqrt(1 - (l * mpmath.sin(q) - e) ** 2)

        nodes = mpmath.linspace(0, 2 * mpmath.pi, 9)
        expected = []
        for n in orders:
            integral = mpmath.quad(lambda q, n=n: root(q) * mpmath.expj(-n * q), nodes)
            expected.append(complex((n == 1) + n**2 * integral / (mpmath.pi * l)))
    # Rounding of numbers of order one, times the n^2 of two differentiations.
    np.testing.assert_allclose(
        offset_harmonics(ratio, side, orders), expected, atol=1e-13, rtol=1e-11
    )


@pytest.mark.parametrize("n", [2, 4, 6, 8])
def test_series_in_powers_of_the_ratio_is_that_of_sympy(n):
    """Binomial series of the root, each power of the sine expanded in exp(iq), in exact numbers."""
    ratio, z = sympy.symbols("L z")
    sine = (z - 1 / z) / (2 * sympy.I)
    coefficient = sum(
        sympy.binomial(sympy.Rational(1, 2), k)
        * (-(ratio**2)) ** k
        * sympy.expand(sine ** (2 * k)).coeff(z, n)
        for k in range(1, 11)
    )
    truncated = sympy.expand(2 * n**2 * coefficient / ratio)
    if n == 2:
        terms = ratio + ratio**3 / 4 + 15 * ratio**5 / 128
        assert sympy.series(truncated, ratio, 0, 6).removeO().equals(terms)
    # Dropped: L^21 and above, which at L = 0.1 is far below rounding of the first term.
    wanted = float(truncated.subs(ratio, sympy.Rational(1, 10)))
    assert harmonics(0.1, n) == pytest.approx(wanted, rel=1e-11)


def test_known_first_terms():
    """a_2 = L + L^3/4 + 15 L^5/128, a_4 = -(L^3/4 + 3 L^5/16): Den Hartog, from memory."""
    ratio = 0.01
    second, fourth = harmonics(ratio, [2, 4])
    assert second == pytest.approx(ratio + ratio**3 / 4 + 15 * ratio**5 / 128, rel=1e-13)
    assert fourth == pytest.approx(-(ratio**3 / 4 + 3 * ratio**5 / 16), rel=1e-7)


@given(
    st.floats(0.01, 0.6),
    st.floats(-0.3, 0.3),
    st.lists(st.floats(-720, 720), min_size=1, max_size=4),
)
@settings(max_examples=60, deadline=None)
def test_series_adds_up_to_the_acceleration(ratio, side, degrees):
    orders = np.arange(1, 250)
    q = np.array(degrees)
    series = np.exp(1j * np.radians(np.outer(q, orders))) @ offset_harmonics(ratio, side, orders)
    m = piston(q, stroke_mm=2 * ratio, rod_length_mm=1.0, speed_rpm=30 / np.pi, pin_offset_mm=side)
    # Accelerations of order one; angles up to 720 degrees lose two digits at order 250.
    np.testing.assert_allclose(series.real * ratio, m.acceleration_m_s2 * 1e3, atol=1e-11)


def test_without_offset_odd_orders_are_exactly_zero_and_the_first_exactly_one():
    assert harmonics(0.3, [1, 3, 5, 101]).tolist() == [1.0, 0.0, 0.0, 0.0]


def test_shapes_follow_the_ratio_then_the_orders():
    both = harmonics([[0.2], [0.3]], [2, 4, 6])
    assert both.shape == (2, 1, 3)
    assert both[1, 0, 2] == pytest.approx(harmonics(0.3, 6), rel=1e-14)  # other order of adding
    assert np.ndim(harmonics(0.3, 2)) == 0


def test_scalar_equals_array_element_and_speed_scales():
    q = np.linspace(-400, 400, 12).reshape(3, 4)
    line = {"stroke_mm": 80, "rod_length_mm": 130, "pin_offset_mm": 2}
    many, one = piston(q, speed_rpm=2000, **line), piston(q[1, 2], speed_rpm=2000, **line)
    double = piston(q, speed_rpm=4000, **line)
    for name in ("position_mm", "velocity_m_s", "acceleration_m_s2", "rod_degrees"):
        assert getattr(many, name).shape == (3, 4)
        assert getattr(many, name)[1, 2] == getattr(one, name)
    np.testing.assert_array_equal(double.position_mm, many.position_mm)
    np.testing.assert_allclose(double.velocity_m_s, 2 * many.velocity_m_s, rtol=1e-14)
    np.testing.assert_allclose(double.acceleration_m_s2, 4 * many.acceleration_m_s2, rtol=1e-14)
    np.testing.assert_allclose(
        double.rod_acceleration_rad_s2, 4 * many.rod_acceleration_rad_s2, rtol=1e-14
    )


def test_ends_of_the_stroke():
    line = {"stroke_mm": 80, "rod_length_mm": 130, "speed_rpm": 3000}
    assert float(piston(0, **line).position_mm) == 0.0
    assert float(piston(180, **line).position_mm) == pytest.approx(80, abs=1e-12)
    top = np.degrees(np.arcsin(5 / 170))  # with offset, top is where crank and rod line up
    at_top = piston(top, pin_offset_mm=5, **line)
    assert float(at_top.position_mm) == pytest.approx(0, abs=1e-12)
    assert float(at_top.velocity_m_s) == pytest.approx(0, abs=1e-12)


def test_offset_mirrors_with_the_crank():
    line = {"stroke_mm": 80, "rod_length_mm": 130, "speed_rpm": 3000}
    ahead, back = piston(50, pin_offset_mm=4, **line), piston(-50, pin_offset_mm=-4, **line)
    assert ahead.position_mm == pytest.approx(back.position_mm, rel=1e-14)
    assert ahead.velocity_m_s == pytest.approx(-back.velocity_m_s, rel=1e-14)


GOOD = {"stroke_mm": 80.0, "rod_length_mm": 130.0, "speed_rpm": 3000.0}


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"stroke_mm": 0}, "stroke_mm must be greater than zero, got 0"),
        ({"stroke_mm": -80}, "stroke_mm must be greater than zero, got -80"),
        ({"rod_length_mm": float("nan")}, "rod_length_mm must be finite, got nan"),
        ({"rod_length_mm": 40}, "rod_length_mm must be greater than crank radius"),
        ({"rod_length_mm": 30}, "is the stroke given as the radius"),
        ({"pin_offset_mm": 90}, r"crank radius \+ pin offset"),
        ({"pin_offset_mm": -90}, r"crank radius \+ pin offset"),
        ({"speed_rpm": -1}, "speed_rpm must not be negative, got -1"),
        ({"speed_rpm": "fast"}, "speed_rpm must be a number, got 'fast'"),
    ],
)
def test_impossible_motion_is_refused(change, message):
    with pytest.raises(InputError, match=message):
        piston(10.0, **{**GOOD, **change})


def test_impossible_angle_is_refused():
    with pytest.raises(InputError, match="crank_degrees must be finite, got inf"):
        piston(float("inf"), **GOOD)


@pytest.mark.parametrize("orders", [0, -1, 1.5, [], [1, 0], float("nan")])
def test_impossible_orders_are_refused(orders):
    with pytest.raises(InputError, match="orders must be"):
        harmonics(0.3, orders)


@pytest.mark.parametrize("ratio", [1.0, 1.2, 0.0, -0.2, float("nan")])
def test_impossible_ratio_is_refused(ratio):
    with pytest.raises(InputError, match="ratio"):
        harmonics(ratio, 2)


def test_offset_counts_against_the_rod():
    with pytest.raises(InputError, match=r"longer than crank radius \+ pin offset"):
        offset_harmonics(0.6, 0.4, 2)


def test_rad_s_is_two_pi_a_turn():
    assert float(rad_s(60.0)) == pytest.approx(2 * np.pi, rel=1e-15)
    with pytest.raises(InputError, match="speed_rpm must not be negative"):
        rad_s(-1)
