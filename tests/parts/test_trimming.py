import math

import manifold3d
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from balance.errors import InputError
from balance.parts.trimming import (
    DENSITIES_G_CM3,
    BoreTaper,
    Chamfer,
    RectangularPad,
    RoundPad,
    depth_of_cut,
    mass_of_cut,
)

TAPER = BoreTaper(bore_mm=13.0, outer_mm=22.0, pin_mm=60.0, half_angle_degrees=5.0)
SHAPES = (
    RoundPad(20.0),
    RoundPad(24.0, hole_mm=8.0),
    RectangularPad(22.0, 15.0),
    RectangularPad(22.0, 15.0, corner_mm=3.0),
    Chamfer(80.0),
    Chamfer(80.0, degrees=30.0, arc_degrees=120.0),
    Chamfer(30.0, outside=True),
    TAPER,
    BoreTaper(bore_mm=13.0, outer_mm=22.0, pin_mm=60.0, half_angle_degrees=20.0, ends=1),
)
shapes = st.sampled_from(SHAPES)


@settings(max_examples=60, deadline=None)
@given(shapes, st.floats(0, 1), st.sampled_from(sorted(DENSITIES_G_CM3.values())))
def test_depth_is_the_inverse_of_mass(shape, share, density):
    depth = share * min(shape.deepest_mm, 10.0)
    mass = mass_of_cut(shape, depth, density_g_cm3=density)
    back = depth_of_cut(shape, mass, density_g_cm3=density)
    # Near depth 0 a bevel's mass grows with the square: compare masses, to double precision.
    assert mass_of_cut(shape, back, density_g_cm3=density) == pytest.approx(mass, rel=1e-12)
    assert back == pytest.approx(depth, rel=1e-9, abs=1e-12)


@settings(max_examples=60, deadline=None)
@given(shapes, st.floats(0.01, 0.99), st.floats(0.01, 0.99))
def test_deeper_takes_more(shape, a, b):
    reach = min(shape.deepest_mm, 10.0)
    low, high = sorted((a, b))
    assert shape.volume_mm3(low * reach) <= shape.volume_mm3(high * reach)


def ring(inner, outer, width):
    """Volume between two radii along an axis by quadrature (scipy)."""
    return quad(lambda z: math.pi * (outer(z) ** 2 - inner(z) ** 2), 0, width)[0]


@pytest.mark.parametrize("degrees", [20.0, 45.0, 60.0])
def test_chamfer_by_quadrature(degrees):
    c, r, slope = 3.0, 40.0, math.tan(math.radians(degrees))
    inside = ring(lambda z: r, lambda z: r + c - z * slope, c / slope)
    outside = ring(lambda z: r - c + z * slope, lambda z: r, c / slope)
    # Quadrature of a square is exact but for rounding.
    assert Chamfer(80.0, degrees=degrees).volume_mm3(c) == pytest.approx(inside, rel=1e-12)
    assert Chamfer(80.0, degrees=degrees, outside=True).volume_mm3(c) == pytest.approx(
        outside, rel=1e-12
    )


def test_taper_by_quadrature():
    slope = math.tan(math.radians(5.0))
    one = ring(lambda z: 6.5, lambda z: 6.5 + (20 - z) * slope, 20.0)
    assert TAPER.volume_mm3(20.0) == pytest.approx(2 * one, rel=1e-12)


def test_taper_against_an_exact_mesh():
    # Cone less bore as solids (manifold3d), both as 2000-gons inscribed in their circles.
    n = 2000
    mouth = 6.5 + 20 * math.tan(math.radians(5.0))
    cone = manifold3d.Manifold.cylinder(20.0, mouth, 6.5, n)
    bore = manifold3d.Manifold.cylinder(20.0, 6.5, 6.5, n)
    # A 2000-gon is smaller than its circle by 2 pi^2 / (3 n^2) = 1.6e-6; meshes are float32.
    assert 2 * (cone - bore).volume() == pytest.approx(TAPER.volume_mm3(20.0), rel=2e-5)


def test_a_corner_radius_of_half_the_width_is_a_circle():
    square = RectangularPad(20.0, 20.0, corner_mm=10.0)
    assert square.volume_mm3(1.0) == pytest.approx(RoundPad(20.0).volume_mm3(1.0), rel=1e-12)


def test_steel_round_of_20_mm_is_2_466_g_a_millimetre():
    # Table of bar weights, carbon steel 7.85 g/cm3: 2.466 kg/m at 20 mm (DIN 1013, from memory).
    assert mass_of_cut(RoundPad(20.0), 1.0, density_g_cm3=7.85) == pytest.approx(2.466, abs=5e-4)


def test_wall_left_at_the_mouth():
    assert TAPER.wall_mm(0.0) == pytest.approx(4.5)
    thin = BoreTaper(bore_mm=13.0, outer_mm=22.0, pin_mm=60.0, half_angle_degrees=20.0)
    assert thin.wall_mm(thin.deepest_mm) == pytest.approx(0.0, abs=1e-12)


def test_tapers_end_where_they_meet():
    assert TAPER.deepest_mm == 30.0
    with pytest.raises(InputError, match=r"depth_mm must be at most 30, where .* got 31\.0"):
        mass_of_cut(TAPER, 31.0, density_g_cm3=7.85)
    # 2 pi (6.5 * 900 * 0.087489 + 27000 * 0.0076543 / 3) mm3 of steel = 28.64 g, by hand.
    with pytest.raises(InputError, match=r"mass_g must be at most 28\.64 g on .* got 80\.0"):
        depth_of_cut(TAPER, 80.0, density_g_cm3=7.85)


def test_a_pad_of_known_height_runs_out():
    pad = RoundPad(20.0, deepest_mm=2.0)
    full = mass_of_cut(pad, 2.0, density_g_cm3=2.72)
    assert depth_of_cut(pad, full, density_g_cm3=2.72) == pytest.approx(2.0, rel=1e-12)
    with pytest.raises(InputError, match="mass_g must be at most"):
        depth_of_cut(pad, full * 1.001, density_g_cm3=2.72)


@pytest.mark.parametrize(
    ("build", "message"),
    [
        (lambda: RoundPad(0.0), "diameter_mm must be greater than zero"),
        (lambda: RoundPad(20.0, hole_mm=20.0), r"hole_mm must be less than diameter_mm, got 20\.0"),
        (lambda: RoundPad(20.0, deepest_mm=0.0), "deepest_mm must be greater than zero"),
        (lambda: RoundPad(20.0, deepest_mm=math.nan), "deepest_mm must be finite"),
        (lambda: RectangularPad(-1.0, 15.0), "length_mm must be greater than zero"),
        (lambda: RectangularPad(22.0, math.nan), "width_mm must be finite"),
        (lambda: RectangularPad(22.0, 15.0, corner_mm=8.0), "corner_mm must be at most half"),
        (lambda: Chamfer(80.0, degrees=90.0), "degrees must be less than 90"),
        (lambda: Chamfer(80.0, arc_degrees=400.0), "arc_degrees must be at most 360"),
        (lambda: Chamfer(0.0), "edge_diameter_mm must be greater than zero"),
        (lambda: BoreTaper(0.0, 13.0, 60.0, 5.0), "bore_mm must be greater than zero, got 0.0"),
        (lambda: BoreTaper(13.0, 22.0, 0.0, 5.0), "pin_mm must be greater than zero, got 0.0"),
        (lambda: BoreTaper(22.0, 13.0, 60.0, 5.0), "outer_mm must be more than bore_mm, got 13"),
        (lambda: BoreTaper(13.0, 22.0, 60.0, 90.0), "half_angle_degrees must be less than 90"),
        (lambda: BoreTaper(13.0, 22.0, 60.0, 95.0), "half_angle_degrees must be less than 90"),
        (lambda: BoreTaper(13.0, 22.0, 60.0, 5.0, ends=3), "ends must be 1 or 2, got 3"),
    ],
)
def test_shapes_refuse(build, message):
    with pytest.raises(InputError, match=message):
        build()


@pytest.mark.parametrize("bad", [-1.0, math.nan])
def test_cuts_refuse(bad):
    with pytest.raises(InputError, match="depth_mm must"):
        mass_of_cut(RoundPad(20.0), bad, density_g_cm3=7.85)
    with pytest.raises(InputError, match="mass_g must"):
        depth_of_cut(RoundPad(20.0), bad, density_g_cm3=7.85)
    with pytest.raises(InputError, match="density_g_cm3 must"):
        mass_of_cut(RoundPad(20.0), 1.0, density_g_cm3=bad)
    with pytest.raises(InputError, match="density_g_cm3 must"):
        depth_of_cut(RoundPad(20.0), 1.0, density_g_cm3=bad)


def test_nothing_and_a_cubic_millimetre():
    pad = RectangularPad(20.0, 10.0)
    assert depth_of_cut(pad, 0.0, density_g_cm3=7.85) == 0.0
    thin = RoundPad(20.0, deepest_mm=0.5)
    assert depth_of_cut(thin, 0.2, density_g_cm3=2.72) == pytest.approx(
        0.2 / (0.00272 * math.pi * 100)
    )
    assert depth_of_cut(pad, 0.00785, density_g_cm3=7.85) == pytest.approx(1 / 200)


def test_the_flattest_taper_that_can_be_turned_faces_the_pin_off():
    # at a wall nearly square to the axis the depth is nothing and the mouth opens at once
    flat = BoreTaper(13.0, 22.0, 60.0, 89.5)
    assert flat.deepest_mm == pytest.approx(4.5 / math.tan(math.radians(89.5)))
    assert flat.wall_mm(flat.deepest_mm) == pytest.approx(0.0, abs=1e-12)
