"""Slugs: limits, signs, what the rule of thumb overstates, and every message."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.metal.holes import DrilledHole, axial_hole, axial_slug, radial_hole, slug
from balance.metal.slugs import slug_force_n, tear_out_mpa

SEAT = {"surface_radius_mm": 80.0, "bore_depth_mm": 30.0}


def test_a_slug_in_its_own_old_bore_counts_whole() -> None:
    ours = slug(19.0, 24.0, existing=DrilledHole(0.0, 19.0, 30.0, 80.0), **SEAT)
    assert ours.net_mass_g == pytest.approx(ours.slug_mass_g, rel=1e-12)
    assert ours.net_unbalance_gmm == pytest.approx(ours.slug_mass_g * 62.0, rel=1e-12)
    assert ours.slug_radius_mm == pytest.approx(80 - 30 + 12)


def test_a_new_bore_is_a_hole_and_a_slug() -> None:
    ours = slug(19.0, 24.0, slug_density_g_cm3=18.0, density_g_cm3=7.15, **SEAT)
    bore = radial_hole(19.0, 30.0, surface_radius_mm=80.0, density_g_cm3=7.15)
    assert ours.net_mass_g == pytest.approx(ours.slug_mass_g - bore.mass_g, rel=1e-12)


def test_points_of_the_bore_and_of_the_old_hole_are_their_own() -> None:
    drills = {"surface_radius_mm": 80.0}
    pointed, flat = (radial_hole(19.0, 30.0, point_degrees=p, **drills) for p in (90.0, 180.0))
    ours = slug(19.0, 24.0, point_degrees=90.0, **SEAT)
    assert ours.net_unbalance_gmm == pytest.approx(
        ours.slug_mass_g * 62.0 - pointed.unbalance_gmm, rel=1e-12
    )
    # a flat-bottomed hole of the same depth is there: only the new bore's cone is lost
    old = DrilledHole(0.0, 19.0, 30.0, 80.0, point_degrees=180.0)
    cone = pointed.unbalance_gmm - flat.unbalance_gmm
    refilled = slug(19.0, 24.0, point_degrees=90.0, existing=old, **SEAT)
    assert refilled.net_unbalance_gmm == pytest.approx(ours.slug_mass_g * 62.0 - cone, rel=1e-12)


def test_a_flat_hole_lies_inside_the_bore_up_to_where_its_corner_meets_the_cone() -> None:
    # 118 degrees on 19 mm, 30 deep: at 5 mm from the axis the cone is at 30 + 4.5 / tan(59)
    corner = 30.0 + 4.5 / np.tan(np.radians(59.0))
    old = DrilledHole(0.0, 10.0, corner - 0.001, 80.0, point_degrees=180.0)
    assert slug(19.0, 24.0, existing=old, **SEAT).net_mass_g > 0
    with pytest.raises(InputError, match="existing must lie inside the bore"):
        slug(19.0, 24.0, existing=replace(old, depth_mm=corner + 0.001), **SEAT)


def test_an_axial_slug_in_its_own_old_bore_counts_whole() -> None:
    ours = axial_slug(25.4, 25.4, radius_mm=70.0, existing_diameter_mm=25.4)
    assert ours.net_mass_g == pytest.approx(ours.slug_mass_g, rel=1e-12)


def test_a_light_slug_loses() -> None:
    assert slug(19.0, 24.0, slug_density_g_cm3=7.85, **SEAT).net_unbalance_gmm < 0


@settings(max_examples=40, deadline=None)
@given(d=st.floats(12.0, 26.0), length=st.floats(10.0, 30.0), above=st.floats(3.0, 12.0))
def test_density_difference_times_volume_overstates(d: float, length: float, above: float) -> None:
    ours = slug(d, length, surface_radius_mm=80.0, bore_depth_mm=length + above)
    radius = 80.0 - above - length / 2
    rule = (18.0 - 7.85) / 1000 * np.pi / 4 * d * d * length * radius
    assert ours.net_unbalance_gmm < rule


def test_arrays_are_their_elements() -> None:
    lengths = np.array([10.0, 20.0])
    whole = slug(19.0, lengths, **SEAT)
    for k, length in enumerate(lengths):
        one = slug(19.0, float(length), **SEAT)
        assert whole.net_unbalance_gmm[k] == pytest.approx(one.net_unbalance_gmm, rel=1e-14)


def test_every_field_has_one_shape() -> None:
    gains = [
        slug(19.0, 24.0, slug_density_g_cm3=np.array([17.0, 18.0]), **SEAT),
        axial_slug(25.4, 25.4, radius_mm=np.array([60.0, 70.0])),
    ]
    for gain in gains:
        assert {np.shape(part) for part in vars(gain).values()} == {(2,)}
    holes = [
        axial_hole(12.0, 10.0, radius_mm=[60.0, 70.0]),
        axial_hole(12.0, 10.0, radius_mm=70.0, rim_radius_mm=[72.0, 75.0]),
        radial_hole(12.0, 10.0, surface_radius_mm=[60.0, 70.0]),
        radial_hole(12.0, 10.0, surface_radius_mm=60.0, density_g_cm3=[7.15, 7.85]),
    ]
    for hole in holes:
        assert {np.shape(part) for part in vars(hole).values()} == {(2,)}


def test_axial_slug_is_slug_less_bore() -> None:
    ours = axial_slug(25.4, 20.0, radius_mm=70.0, thickness_mm=25.0, existing_diameter_mm=12.0)
    new, old = (axial_hole(d, 25.0, radius_mm=70.0, through=True).mass_g for d in (25.4, 12.0))
    assert ours.net_mass_g == pytest.approx(ours.slug_mass_g - (new - old), rel=1e-12)
    assert ours.net_unbalance_gmm == pytest.approx(70.0 * ours.net_mass_g, rel=1e-12)


def test_one_inch_of_class_3_worked_by_hand() -> None:
    steel = axial_slug(25.4, 25.4, radius_mm=70.0)
    ductile = axial_slug(25.4, 25.4, radius_mm=70.0, density_g_cm3=7.15)
    # pi / 4 x 25.4^3 mm3 = 12.870 cm3; x 18.0, x (18.0 - 7.85), x (18.0 - 7.15)
    assert steel.slug_mass_g == pytest.approx(231.7, abs=0.05)
    assert steel.net_mass_g == pytest.approx(130.6, abs=0.05)
    assert ductile.net_mass_g == pytest.approx(139.6, abs=0.05)
    smaller = axial_slug([19.05, 22.225], 25.4, radius_mm=70.0).net_mass_g
    assert smaller == pytest.approx([73.5, 100.0], abs=0.05)


def test_force_and_wall_worked_by_hand() -> None:
    # 0.2317 kg x 0.070 m x (7000 x 2 pi / 60)^2
    force = slug_force_n(231.7, radius_mm=70.0, speed_rpm=7000.0)
    assert force == pytest.approx(8715, abs=1)
    assert force / 4.4482216 == pytest.approx(1960, abs=1)  # lbf
    assert tear_out_mpa(force, wall_mm=3.2, length_mm=25.4) == pytest.approx(54, abs=0.5)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: slug(19.0, 0.0, **SEAT), "length_mm must be greater than zero, got 0.0"),
        (lambda: slug(19.0, 29.9, **SEAT), "length_mm must leave the slug below the rim all round"),
        (
            lambda: slug(19.0, 20.0, surface_radius_mm=80.0, bore_depth_mm=81.0),
            "bore_depth_mm must not pass the crank's axis",
        ),
        (
            lambda: slug(19.0, 20.0, surface_radius_mm=[80.0, 80.0], bore_depth_mm=[30.0, 81.0]),
            "bore_depth_mm must not pass the crank's axis",
        ),
        (
            lambda: slug(19.0, [20.0, 29.9], **SEAT),
            "length_mm must leave the slug below the rim all round",
        ),
        (
            lambda: slug(19.0, 20.0, existing=DrilledHole(0, 19.0, 31.0), **SEAT),
            "existing must lie inside the bore, got DrilledHole",
        ),
        (
            lambda: slug(19.0, 20.0, existing=DrilledHole(0, 20.0, 20.0), **SEAT),
            "existing must lie inside the bore",
        ),
        (
            lambda: slug(19.0, 20.0, existing=DrilledHole(0, 10.0, 20.0, 76.0), **SEAT),
            "existing must start from the same rim, got 76.0 mm",
        ),
        (
            lambda: slug(
                19.0,
                20.0,
                surface_radius_mm=[76.0, 80.0],
                bore_depth_mm=30.0,
                existing=DrilledHole(0, 10.0, 20.0, 76.0),
            ),
            "existing must start from the same rim, got 76.0 mm",
        ),
        (lambda: slug(19.0, 20.0, slug_density_g_cm3=-1.0, **SEAT), "slug_density_g_cm3 must be"),
        (
            lambda: axial_slug(25.0, 30.0, radius_mm=70.0, thickness_mm=20.0),
            "length_mm must not exceed thickness_mm, got 30.0 in 20.0",
        ),
        (
            lambda: axial_slug(25.0, 20.0, radius_mm=70.0, existing_diameter_mm=26.0),
            "existing_diameter_mm must not exceed diameter_mm, got 26.0",
        ),
        (
            lambda: axial_slug([25.0, 25.0], [20.0, 30.0], radius_mm=70.0, thickness_mm=25.0),
            r"length_mm must not exceed thickness_mm, got \[20.0, 30.0\] in 25.0",
        ),
        (
            lambda: slug_force_n(1.0, radius_mm=70.0, speed_rpm=-1.0),
            "speed_rpm must not be negative, got -1.0",
        ),
        (
            lambda: tear_out_mpa(1.0, wall_mm=0.0, length_mm=1.0),
            "wall_mm must be greater than zero",
        ),
    ],
)
def test_messages(call, message: str) -> None:
    with pytest.raises(InputError, match=message):
        call()
