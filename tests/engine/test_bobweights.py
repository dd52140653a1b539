import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.engine.bobweight_errors import bobweight_tolerance, sensitivities
from balance.engine.bobweights import needed, per_throw
from balance.engine.layouts import Cylinder, Engine, Throw, layout
from balance.engine.pins import check_factor, pins_of, plane_shares
from balance.errors import InputError

SIZE = {"stroke_mm": 88.9, "rod_length_mm": 145.0, "bore_spacing_mm": 111.8}
V8 = layout("V-8", **SIZE)
MIDDLE = 1.5 * 111.8
PLANES = [MIDDLE - 200.0, MIDDLE + 200.0]
GMM_PER_OZ_IN = 28.349523125 * 25.4


def test_items_add_up_and_are_counted():
    [first, *_] = per_throw(V8, rotating_g=600, reciprocating_g=800, oil_g=5)
    lines = [(i.name, i.count, i.each_g, i.mass_g) for i in first.items]
    assert lines == [
        ("rotating", 2, 600, 1200),
        ("reciprocating", 1, 800, 800),
        ("oil", 1, 5, 5),
    ]
    assert first.mass_g == 2005
    assert first.cylinders == (0, 1)
    assert first.unbalance_gmm == pytest.approx(2005 * 44.45)


@settings(max_examples=50, deadline=None)
@given(
    st.lists(st.floats(0, 2000), min_size=8, max_size=8),
    st.lists(st.floats(0, 2000), min_size=8, max_size=8),
    st.floats(0, 20),
    st.floats(0, 1),
)
def test_unequal_parts_each_count_on_their_own_pin(rotating, moving, oil, factor):
    found = per_throw(V8, rotating_g=rotating, reciprocating_g=moving, oil_g=oil, factor=factor)
    for bobweight in found:
        own = sum(rotating[c] + factor * moving[c] for c in bobweight.cylinders)
        assert bobweight.mass_g == pytest.approx(own + oil, abs=1e-9)  # a nanogram is nothing
        assert sum(item.mass_g for item in bobweight.items) == bobweight.mass_g


def test_one_bobweight_a_pin_on_splayed_cranks():
    found = per_throw(layout("V-6", **SIZE), rotating_g=500, reciprocating_g=700)
    assert len(found) == 6  # six pins, 60 degrees apart within a pair
    assert {bobweight.mass_g for bobweight in found} == {850.0}
    assert [bobweight.cylinders for bobweight in found] == [(k,) for k in range(6)]


def test_shared_pins_of_a_broad_arrow_carry_three_rods():
    found = per_throw(layout("W-12", **SIZE), rotating_g=500, reciprocating_g=700, oil_g=3)
    assert [bobweight.mass_g for bobweight in found] == [3 * 850.0 + 3] * 4


def test_oil_may_differ_from_pin_to_pin_and_numbering_is_the_users():
    engine = layout("V-8", numbering="banks", **SIZE)
    found = per_throw(engine, rotating_g=0, reciprocating_g=0, oil_g=[1, 2, 3, 4])
    assert [b.mass_g for b in found] == [1, 2, 3, 4]
    assert found[1].cylinders == (1, 5)


def test_a_pin_without_rods_gets_no_bobweight():
    engine = Engine(80, 130, 90, [Throw(0, 0), Throw(180, 90)], [Cylinder(1, 0, 90)])
    assert [b.throw for b in per_throw(engine, rotating_g=1, reciprocating_g=1)] == [1]


@pytest.mark.parametrize(
    "name", ["inline-4", "inline-6", "inline-8", "flat-4", "flat-6", "V-12", "W-18"]
)
def test_cranks_that_cancel_need_none(name):
    found = needed(layout(name, **SIZE))
    assert not found.needed
    assert (found.force, found.couple) == (0, 0)
    assert "cancel as a force and as a couple: equal bobweights would change" in found.reason
    assert "match the masses instead" in found.reason


def test_flat_plane_eight_needs_none():
    assert not needed(layout("V-8", crank="flat", **SIZE)).needed


@pytest.mark.parametrize("name", ["inline-3", "inline-5", "flat-2", "V-4", "V-6", "V-8", "V-10"])
def test_cranks_with_a_couple_need_them(name):
    found = needed(layout(name, **SIZE))
    assert found.needed
    assert found.force == 0
    assert "cancel as a force but leave a couple of" in found.reason
    assert found.reason.endswith("pins")


def test_single_and_twins_say_why():
    assert needed(layout("single", **SIZE)).reason == (
        "the only pin leaves a force of 1 times one rod's and no couple: "
        "the counterweights answer for the rods, so hang one bobweight"
    )
    assert (
        "a force of 1.41 times one rod's and a couple of 0.707 times one rod's at one bore spacing"
        in needed(layout("twin", crank_degrees=270, **SIZE)).reason
    )
    assert "no couple" in needed(layout("twin", **SIZE)).reason
    # a force alone, or a couple alone, is reason enough
    assert needed(layout("single", **SIZE)).needed
    assert needed(layout("twin", **SIZE)).needed


def test_angles_written_to_a_hundredth_still_cancel():
    angles = [round(k * 360 / 7, 2) for k in (0, 1, 2, 3, 4, 5, 6)]
    mirrored = [*angles, *reversed(angles)]
    engine = Engine(
        80,
        130,
        90,
        [Throw(a, 90.0 * k) for k, a in enumerate(mirrored)],
        [Cylinder(k, 0, 90.0 * k) for k in range(14)],
    )
    assert abs(pins_of(engine).force) > 1e-6
    assert not needed(engine).needed
    assert "the 14 pins cancel" in needed(engine).reason


def test_half_a_degree_off_does_not_cancel():
    engine = layout("inline-4", throw_degrees=(0, 180.5, 180, 0), **SIZE)
    assert needed(engine).needed


@settings(max_examples=30, deadline=None)
@given(
    st.sampled_from(["inline-4", "inline-5", "V-6", "V-8"]),
    st.floats(-360, 360),
    st.floats(-2000, 2000),
    st.floats(0.2, 5),
)
def test_need_is_the_same_turned_moved_and_scaled(name, degrees, shift, scale):
    engine = layout(name, **SIZE)
    other = Engine(
        88.9,
        145,
        111.8 * scale,
        [Throw(t.degrees + degrees, t.z_mm * scale + shift) for t in engine.throws],
        engine.cylinders,
    )
    first, second = needed(engine), needed(other)
    assert first.needed == second.needed
    assert abs(second.couple) == pytest.approx(abs(first.couple), abs=1e-9)


def test_one_gram_on_all_four_of_a_ninety_degree_eight():
    # own computation: 1 g * 44.45 mm * sqrt(10) * 111.8 mm / 400 mm
    expected = 44.45 * math.sqrt(10) * 111.8 / 400
    found = sensitivities(V8, bobweight_g=1800, planes_mm=PLANES)
    assert found.together_gmm == pytest.approx([expected, expected])
    assert round(expected) == 39
    assert expected / GMM_PER_OZ_IN == pytest.approx(0.055, abs=0.0005)


def test_placement_beats_mass():
    [first, *_] = sensitivities(V8, bobweight_g=1800, planes_mm=PLANES).throws
    assert sum(first.off_centre_gmm) == pytest.approx(90)  # 1800 g * 0.05 mm
    assert sum(first.mass_gmm) == pytest.approx(44.45)  # 1 g at the crank radius
    assert first.along_gmm == pytest.approx([1800 * 44.45 / 400] * 2)
    assert min(first.along_gmm) > max(first.off_centre_gmm) > max(first.mass_gmm)


def test_sensitivities_take_own_errors_and_unequal_bobweights():
    found = sensitivities(
        V8,
        bobweight_g=[1000, 2000, 3000, 4000],
        planes_mm=PLANES[::-1],
        mass_error_g=2,
        off_centre_mm=0.1,
        along_mm=0,
    )
    assert sum(found.throws[3].off_centre_gmm) == pytest.approx(400)
    assert sum(found.throws[0].mass_gmm) == pytest.approx(88.9)
    assert found.throws[2].along_gmm == (0, 0)


def test_tolerance_is_the_inverse_of_the_sensitivity():
    found = bobweight_tolerance(V8, planes_mm=PLANES, tolerance_gmm=72)
    sensitive = sensitivities(V8, bobweight_g=1800, planes_mm=PLANES)
    largest = max(max(s.mass_gmm) for s in sensitive.throws)
    assert found.one_g == pytest.approx(72 / largest)
    assert found.together_g == pytest.approx(72 / max(sensitive.together_gmm))


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(["single", "twin", "inline-5", "V-6", "V-8", "V-10"]), st.floats(-300, 600))
def test_any_way_tolerance_is_the_worst_of_all_signs(name, first_plane):
    engine = layout(name, **SIZE)
    pins = pins_of(engine)
    planes = [first_plane, first_plane + 333]
    found = bobweight_tolerance(engine, planes_mm=planes, tolerance_gmm=[50, 80])
    gain = engine.stroke_mm / 2 * pins.direction[:, None] * plane_shares(pins.z_mm, planes)
    signs = np.array(list(itertools.product([1, -1], repeat=len(pins.throws))))
    worst = np.abs(signs @ gain).max(axis=0)
    # a pin right in one plane does nothing to the other, one beside it next to nothing
    with np.errstate(divide="ignore", over="ignore"):
        assert found.any_g == pytest.approx((np.array([50, 80]) / worst).min())
    assert found.any_g <= found.one_g * (1 + 1e-12)
    assert found.any_g <= found.together_g * (1 + 1e-12)


def test_alike_errors_of_cancelling_pins_do_nothing():
    found = bobweight_tolerance(layout("inline-4", **SIZE), planes_mm=PLANES, tolerance_gmm=72)
    assert found.together_g == math.inf
    assert found.one_g < 5


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"factor": 50}, "factor must be a share from 0 to 1 .0.5 for 50 percent., got 50"),
        ({"factor": -0.1}, "factor must be a share from 0 to 1"),
        ({"factor": math.nan}, "factor must be finite"),
        ({"factor": [0.5, 0.5]}, "factor must be one number"),
        ({"oil_g": [1, 2]}, "oil_g must be one mass or one for each of the 4 pins"),
        ({"oil_g": -1}, "oil_g must not be negative"),
        ({"rotating_g": [1, 2]}, "rotating_g must be one mass or one for each of the 8 cylinders"),
        ({"reciprocating_g": math.inf}, "reciprocating_g must be finite"),
    ],
)
def test_per_throw_refuses(change, message):
    with pytest.raises(InputError, match=message):
        per_throw(V8, **({"rotating_g": 600, "reciprocating_g": 800} | change))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"planes_mm": [0, 0]}, "planes_mm must be two different places"),
        ({"planes_mm": [0, 1, 2]}, "planes_mm must be two different places"),
        ({"planes_mm": [0, math.nan]}, "planes_mm must be finite"),
        ({"bobweight_g": [1, 2]}, "bobweight_g must be one mass or one for each of the 4 pins"),
        ({"along_mm": -1}, "along_mm must not be negative"),
        ({"off_centre_mm": [1, 2]}, "off_centre_mm must be one number"),
    ],
)
def test_sensitivities_refuse(change, message):
    with pytest.raises(InputError, match=message):
        sensitivities(V8, **({"bobweight_g": 1800, "planes_mm": PLANES} | change))


@pytest.mark.parametrize(
    ("tolerance", "message"),
    [
        (0, "tolerance_gmm must be greater than zero"),
        ([1, 2, 3], "tolerance_gmm must be one amount or one for each plane"),
    ],
)
def test_tolerance_refuses(tolerance, message):
    with pytest.raises(InputError, match=message):
        bobweight_tolerance(V8, planes_mm=PLANES, tolerance_gmm=tolerance)


def test_factor_as_a_share():
    assert check_factor(1) == 1.0
