"""How far a depth can be found: what one hole can take at most and at least, told in numbers."""

import re

import numpy as np
import pytest

from balance.errors import InputError
from balance.metal.holes import depth_for, point_mm, radial_hole


def told(call) -> float:
    """Return the limit that a refusal names."""
    with pytest.raises(InputError) as caught:
        call()
    return float(re.search(r"must be at (?:most|least) ([\d.e+]+)", str(caught.value))[1])


@pytest.mark.parametrize(
    ("d", "rim", "point"),
    [(12.7, 76.0, 118.0), (26.0, 50.0, 140.0), (20.0, 40.0, 180.0), (10.0, 40.0, 8.0)],
)
def test_the_most_that_is_told_is_the_most_of_any_depth(d, rim, point):
    place = {"surface_radius_mm": rim, "point_degrees": point}
    t = float(point_mm(d, point))
    end = min(2 * rim - t, rim + np.sqrt(rim**2 - (d / 2) ** 2))  # tip or shoulder at the far rim
    depths = np.linspace(0.0, end - 1e-9, 100_001)
    most = float(radial_hole(d, depths, **place).unbalance_gmm.max())
    # the number is printed with six digits; steps of a thousandth are lost on the flat top
    assert told(lambda: depth_for(1e7, diameter_mm=d, **place)) == pytest.approx(most, rel=1e-5)
    with pytest.raises(InputError, match="at most"):
        depth_for(most * 1.0001, diameter_mm=d, **place)
    assert depth_for(most * 0.9999, diameter_mm=d, **place) < end


def test_the_hole_that_misses_by_most_is_named():
    rims = np.array([60.0, 76.0])
    alone = [
        told(lambda r=rim: depth_for(9000.0, diameter_mm=12.7, surface_radius_mm=r)) for rim in rims
    ]
    assert alone[0] < alone[1]
    both = told(lambda: depth_for([9000.0, 9000.0], diameter_mm=12.7, surface_radius_mm=rims))
    assert both == alone[0]
    other = told(lambda: depth_for([2000.0, 9000.0], diameter_mm=12.7, surface_radius_mm=rims))
    assert other == alone[1]
    least = told(lambda: depth_for([650.0, 10.0], diameter_mm=[25.4, 12.7], surface_radius_mm=76.0))
    # the point alone at 12.7 mm: rho pi a^2 t / 3 (R - t / 4) less what the rim falls away
    touch = radial_hole(12.7, 0.0, surface_radius_mm=76.0).unbalance_gmm
    assert least == pytest.approx(float(touch), rel=1e-5)


@pytest.mark.parametrize("wrong", [[1377.0, 9000.0], [9000.0, 1377.0], [1377.0, 1.0]])
def test_one_impossible_hole_among_good_ones_is_refused(wrong):
    assert depth_for(1377.0, diameter_mm=12.7, surface_radius_mm=76.0) > 0
    with pytest.raises(InputError, match="unbalance_gmm must be at"):
        depth_for(wrong, diameter_mm=12.7, surface_radius_mm=76.0)
    with pytest.raises(InputError, match=r"too wide for the rim, got up to 151\.9 mm"):
        depth_for(1377.0, diameter_mm=[12.7, 151.9], surface_radius_mm=76.0)


def test_a_spot_below_the_point_alone_is_refused_among_spots_that_are_not():
    some = radial_hole(25.4, [0.0, 0.5], surface_radius_mm=76.0).unbalance_gmm
    assert depth_for(some, diameter_mm=25.4, surface_radius_mm=76.0) == pytest.approx([0, 0.5])
    with pytest.raises(InputError, match="what the drill's point alone takes"):
        depth_for([some[1], 0.9 * some[0]], diameter_mm=25.4, surface_radius_mm=76.0)


def test_a_drill_is_too_wide_where_its_point_reaches_a_third_below_the_rims_edge():
    # the unbalance rises until q = t / 3; the full diameter is in from q = sqrt(R^2 - a^2)
    rim, slope = 76.0, float(point_mm(2.0, 60.0))
    widest = 2 * rim / np.sqrt(1 + slope**2 / 9)
    place = {"surface_radius_mm": rim, "point_degrees": 60.0}
    d = 0.999 * widest
    full = rim - np.sqrt(rim**2 - (d / 2) ** 2)
    back = depth_for(radial_hole(d, full, **place).unbalance_gmm, diameter_mm=d, **place)
    # all but the flat top: half of the digits are left
    assert back == pytest.approx(full, abs=1e-3)
    with pytest.raises(InputError, match="diameter_mm is too wide for the rim"):
        depth_for(1000.0, diameter_mm=1.001 * widest, **place)


@pytest.mark.parametrize("depth", [0.05, 5.0, 30.0])
def test_depths_do_not_depend_on_the_unit_of_length(depth):
    # the same hole in metres: moments scale with the fourth power of the length
    unbalance = float(radial_hole(25.4, depth, surface_radius_mm=76.0).unbalance_gmm)
    small = depth_for(unbalance * 1e-12, diameter_mm=0.0254, surface_radius_mm=0.076)
    assert small == pytest.approx(depth / 1000, rel=1e-9)
