"""Slugs that a plan asks for: where they may go, what they gain, what is left between them."""

import math

import numpy as np
import pytest

from balance.errors import InputError
from balance.metal.holes import DrilledHole, axial_slug, slug, web_mm
from balance.metal.planning import Counterweight, SlugChoice, plan

PLANES = (60.0, 540.0)
RIM = 80.0
THROUGH = SlugChoice(20.0, 25.0, wall_mm=5.0)
NO_DRILL = 24.0  # too near the faces of every counterweight here: slugs have to do it alone
RADIAL = SlugChoice(19.0, 20.0, bore_depth_mm=25.0)


def one_web(unbalance, choice, *, centre=0.0, half_span=20.0, width=25.0, **task):
    """Return the plan for one counterweight over plane 1 that must be made heavier."""
    web = Counterweight(PLANES[0], centre, half_span, RIM, width, 35)
    rules = {"drills_mm": [NO_DRILL], "tolerance_gmm": [200, 200], "slugs": [choice], **task}
    return plan([unbalance, 0], PLANES, counterweights=[web], **rules)


def gain_of(choice, **metal):
    """Return what a slug gains by the exact geometry of its bore [g mm]."""
    if choice.bore_depth_mm is None:
        radius = RIM - choice.wall_mm - choice.diameter_mm / 2
        return axial_slug(choice.diameter_mm, choice.length_mm, radius_mm=radius, **metal)
    return slug(
        choice.diameter_mm,
        choice.length_mm,
        surface_radius_mm=RIM,
        bore_depth_mm=choice.bore_depth_mm,
        **metal,
    )


def test_a_slug_knows_its_mass_and_where_its_middle_sits():
    # by hand: pi / 4 x 2 cm x 2 cm x 2.5 cm = 7.854 cm3
    assert SlugChoice(20.0, 25.0, 18.0).mass_g == pytest.approx(7.854 * 18.0, abs=0.01)
    # along the crank half of it stands inside the wall; in a bore it lies at the bottom
    assert THROUGH.middle_mm(80.0) == 80.0 - 5.0 - 10.0
    assert RADIAL.middle_mm(80.0) == 80.0 - 25.0 + 10.0


@pytest.mark.parametrize("choice", [THROUGH, RADIAL])
def test_a_planned_slug_gains_what_its_bore_and_its_metal_give(choice):
    gain = float(gain_of(choice).net_unbalance_gmm)
    made = one_web(-gain, choice)
    assert [piece.net_unbalance_gmm for piece in made.slugs] == pytest.approx([gain])
    assert made.slugs[0].degrees == pytest.approx(0.0)
    assert made.holes == ()
    assert abs(made.residual[0]) < 1e-6 * gain
    assert made.removed_g == 0
    # the proof counts the metal of the slug itself: a cylinder of tungsten
    metal = 0.018 * math.pi / 4 * choice.diameter_mm**2 * choice.length_mm
    assert made.bound_g == pytest.approx(metal)
    assert made.optimal


def test_a_through_slug_leaves_a_wall_of_four_millimetres_when_none_is_said():
    wall = SlugChoice(20.0, 25.0)
    gain = float(axial_slug(20.0, 25.0, radius_mm=RIM - 4.0 - 10.0).net_unbalance_gmm)
    assert one_web(-gain, wall).slugs[0].net_unbalance_gmm == pytest.approx(gain)


@pytest.mark.parametrize("choice", [THROUGH, RADIAL])
def test_slugs_stay_inside_the_sector(choice):
    gain = float(gain_of(choice).net_unbalance_gmm)
    # wanted at 30 degrees, metal up to 20: what is left is the chord of ten degrees
    at_30 = np.exp(1j * math.radians(30))
    chord = 2 * gain * math.sin(math.radians(5))
    made = one_web(-gain * at_30, choice, tolerance_gmm=[2 * chord + 2, 10])
    assert [piece.degrees for piece in made.slugs] == pytest.approx([20.0])
    assert abs(made.residual[0]) == pytest.approx(chord)
    beyond = one_web(-gain * at_30, choice, tolerance_gmm=[2 * chord - 2, 10])
    assert beyond.feasible is not True


def test_a_disc_takes_a_slug_anywhere_round_it():
    gain = float(gain_of(RADIAL).net_unbalance_gmm)
    for degrees in (-180, -1, 0, 137, 179):
        there = gain * np.exp(1j * math.radians(degrees))
        made = one_web(-there, RADIAL, half_span=180.0, tolerance_gmm=[4, 4])
        assert len(made.slugs) == 1
        assert (made.slugs[0].degrees - degrees) % 360 == pytest.approx(0)


@pytest.mark.parametrize(("half_span", "both_fit"), [(12.0, True), (11.5, False)])
def test_two_slugs_stand_as_near_as_the_web_between_their_bores_allows(half_span, both_fit):
    gain = float(gain_of(RADIAL).net_unbalance_gmm)
    bores = [DrilledHole(d, 19.0, 25.0, RIM) for d in (-half_span, half_span)]
    assert (web_mm(*bores) >= 4.0) is both_fit
    pull = 2 * gain * math.cos(math.radians(half_span))
    made = one_web(-pull, RADIAL, half_span=half_span, tolerance_gmm=[100, 100])
    assert (made.feasible is True) is both_fit
    if both_fit:
        assert [s.degrees for s in made.slugs] == pytest.approx([-half_span, half_span])


@pytest.mark.parametrize(("width", "fits"), [(25.0, True), (24.9, False)])
def test_a_radial_bore_keeps_the_edge_and_a_through_slug_does_not_stand_out(width, fits):
    # 19 mm bore and 3 mm to either face; a 25 mm long slug
    for choice in (RADIAL, SlugChoice(20.0, 25.0)):
        gain = float(gain_of(choice).net_unbalance_gmm)
        made = one_web(-gain, choice, width=width)
        assert (made.feasible is True) is fits
        assert ("none of the slugs offered fits" in made.reason) is not fits


def test_a_through_slug_that_reaches_past_the_crank_axis_fits_nowhere():
    made = one_web(-9000, SlugChoice(60.0, 25.0, wall_mm=25.0))
    assert made.feasible is False
    assert "none of the slugs offered fits" in made.reason


@pytest.mark.parametrize(
    "choice",
    [
        SlugChoice(math.inf, 25.0, wall_mm=25.0),
        SlugChoice(150.0, 20.0, density_g_cm3=0.0),
        SlugChoice(150.0, -20.0),
    ],
)
def test_a_slug_without_a_size_is_refused_even_where_it_could_not_fit(choice):
    with pytest.raises(InputError, match="slugs must have a size and a density above zero, got"):
        one_web(-9000, choice)
