import math

import pytest

from balance.errors import InputError, MissingInputError
from balance.parts.places import ORDER_OF_WORK, PLACES, cut_place, plan_cut
from balance.parts.trimming import BoreTaper, RectangularPad, mass_of_cut

PAD = RectangularPad(22.0, 15.0)
STEEL = 7.85


def cut(mass_g=3.0, **change):
    kwargs = {
        "part": "rod",
        "place": "cap pad",
        "shape": PAD,
        "density_g_cm3": STEEL,
        "maker_limit_mm": 2.0,
    }
    return plan_cut(mass_g, **(kwargs | change))


@pytest.mark.parametrize(
    ("part", "place"),
    [
        ("piston", "crown underside"),
        ("piston", "ring lands"),
        ("piston", "pin bore walls"),
        ("pin", "outside"),
        ("pin", "ends"),
        ("rod", "beam"),
        ("rod", "bolts"),
        ("rod", "oil hole"),
    ],
)
def test_unsafe_places_are_refused_even_with_a_limit(part, place):
    with pytest.raises(InputError, match=f"place must never be cut, got {part} '{place}'.*instead"):
        cut(part=part, place=place)


def test_refusal_names_where_to_cut():
    with pytest.raises(InputError, match="Cut the small-end pad or the cap pad instead"):
        cut(place="beam")


def test_every_part_has_a_place_to_cut():
    for part in {entry.part for entry in PLACES}:
        assert any(entry.allowed for entry in PLACES if entry.part == part)
    assert len({(entry.part, entry.place) for entry in PLACES}) == len(PLACES)


def test_unknown_place_is_not_cut():
    with pytest.raises(
        InputError, match=r"part and place must be one of piston pin boss pad, .*got"
    ):
        cut_place("rod", "somewhere")


def test_the_makers_limit_is_asked_for():
    with pytest.raises(MissingInputError, match="how deep the maker allows the rod cap pad") as e:
        cut(maker_limit_mm=None)
    assert len(e.value.needed) == 1


def test_depth_of_a_cap_pad():
    # 3 g / (7.85 g/cm3 * 330 mm2) = 1.158 mm, by hand.
    planned = cut()
    assert planned.depth_mm == pytest.approx(1.158, abs=0.0005)
    assert planned.within_limit
    assert planned.available_g == pytest.approx(2 * 0.33 * 7.85, rel=1e-12)
    assert "when the pad runs out, stop" in planned.caution


def test_too_much_for_the_limit_is_said_and_not_clipped():
    planned = cut(6.0)
    assert not planned.within_limit
    assert planned.depth_mm == pytest.approx(2.316, abs=0.0005)
    assert planned.available_g < planned.mass_g
    assert "do not make this cut: only 2 mm are left" in planned.caution


def test_exactly_the_limit_is_within_it():
    for limit in (0.1, 0.3, 0.7, 1.1, 2.0):
        mass = mass_of_cut(PAD, limit, density_g_cm3=STEEL)
        assert cut(mass, maker_limit_mm=limit).within_limit


def test_earlier_cuts_count():
    planned = cut(already_cut_mm=1.5)
    assert planned.limit_mm == pytest.approx(0.5)
    assert not planned.within_limit
    with pytest.raises(InputError, match=r"already_cut_mm must be at most maker_limit_mm 2\.0"):
        cut(already_cut_mm=2.5)


def test_a_limit_beyond_the_shape_offers_what_the_shape_has():
    taper = BoreTaper(bore_mm=13.0, outer_mm=22.0, pin_mm=60.0, half_angle_degrees=5.0)
    planned = cut(5.0, part="pin", place="bore", shape=taper, maker_limit_mm=40.0)
    assert planned.available_g == pytest.approx(mass_of_cut(taper, 30.0, density_g_cm3=STEEL))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"mass_g": -1.0}, "mass_g must not be negative"),
        ({"mass_g": math.nan}, "mass_g must be finite"),
        ({"density_g_cm3": 0.0}, "density_g_cm3 must be greater than zero"),
        ({"maker_limit_mm": 0.0}, "maker_limit_mm must be greater than zero"),
        ({"already_cut_mm": -0.5}, "already_cut_mm must not be negative"),
    ],
)
def test_plan_cut_refuses(change, message):
    with pytest.raises(InputError, match=message):
        cut(**change)


def test_swapping_comes_before_cutting():
    swap = next(i for i, step in enumerate(ORDER_OF_WORK) if step.startswith("Swap"))
    first_cut = next(i for i, step in enumerate(ORDER_OF_WORK) if step.startswith("Only then cut"))
    assert swap < first_cut
