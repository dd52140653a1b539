"""Named layouts: the frame, even firing, numbering, and what is refused."""

import pytest

from balance.engine.arrangements import FAMILIES, FIRING
from balance.engine.layouts import Cylinder, Engine, Link, Throw, layout, middle_mm, radius_mm
from balance.errors import InputError

LENGTHS = {"stroke_mm": 80.0, "rod_length_mm": 160.0, "bore_spacing_mm": 100.0}
WRITTEN = {"v": "V", "narrowv": "narrow-V", "w": "W"}
ALL = [
    family if family in ("single", "twin") else f"{WRITTEN.get(family, family)}-{size}"
    for family, (_, sizes) in FAMILIES.items()
    for size in sizes
]


def count_of(name):
    return {"single": 1, "twin": 2}.get(name) or int(name.rsplit("-", 1)[1])


@pytest.mark.parametrize("name", ALL)
def test_crankpin_1_stands_at_zero_and_every_cylinder_is_there(name):
    engine = layout(name, **LENGTHS)
    assert engine.throws[0].degrees == 0.0
    assert engine.throws[0].z_mm == 0.0
    assert len(engine.cylinders) == count_of(name)
    assert {cylinder.throw for cylinder in engine.cylinders} == set(range(len(engine.throws)))


def tops(engine):
    """Crank angles at which each piston is at its top, sorted."""
    angles = [(c.bank_degrees - engine.throws[c.throw].degrees) % 360 for c in engine.cylinders]
    return sorted(round(angle, 9) % 360 for angle in angles)


EVEN = [
    ("twin", {}, 0),
    *((f"inline-{n}", {}, 720 / n) for n in range(3, 9)),
    *((f"flat-{n}", {}, 720 / n) for n in (4, 6)),
    ("V-6", {}, 120),
    ("V-6", {"bank_degrees": 90, "splay_degrees": 30}, 120),
    ("V-6", {"bank_degrees": 120}, 120),
    ("V-8", {}, 90),
    ("V-10", {}, 72),
    ("V-10", {"bank_degrees": 90, "splay_degrees": -18}, 72),
    ("V-12", {}, 60),
    ("narrow-V-6", {}, 120),
    ("narrow-V-5", {}, 144),
    ("W-12", {}, 60),
    ("W-18", {}, 40),
]


@pytest.mark.parametrize(("name", "options", "step"), EVEN)
def test_pistons_come_up_at_even_steps(name, options, step):
    """A four-stroke engine fires evenly when its tops repeat at 720 / n degrees."""
    found = tops(layout(name, **LENGTHS, **options))
    expected = {round((found[0] + k * step) % 360, 6) % 360 for k in range(len(found))}
    assert {round(angle, 6) % 360 for angle in found} == expected


def test_pistons_of_a_boxer_move_against_each_other():
    engine = layout("flat-6", **LENGTHS)
    for left, right in zip(engine.cylinders[::2], engine.cylinders[1::2], strict=True):
        turn = engine.throws[left.throw].degrees - engine.throws[right.throw].degrees
        assert (turn - 180) % 360 == 0
        assert (left.bank_degrees, right.bank_degrees) == (-90.0, 90.0)
        assert right.z_mm - left.z_mm == 100.0


def test_names_are_read_as_people_write_them():
    assert layout("v8", **LENGTHS) == layout("V-8", **LENGTHS) == layout("V 8", **LENGTHS)
    assert layout("Inline_4", **LENGTHS) == layout("inline-4", **LENGTHS)
    assert layout("narrow V6", **LENGTHS) == layout("narrow-V-6", **LENGTHS)


@pytest.mark.parametrize(
    ("said", "name"), [("straight 6", "inline-6"), ("Boxer 4", "flat-4"), ("opposed-2", "flat-2")]
)
def test_other_names_of_the_trade_are_understood(said, name):
    assert layout(said, **LENGTHS) == layout(name, **LENGTHS)


def test_numbering_by_pairs_or_by_banks():
    pairs = layout("V-8", **LENGTHS)
    banks = layout("V-8", **LENGTHS, numbering="banks")
    assert [c.throw for c in pairs.cylinders] == [0, 0, 1, 1, 2, 2, 3, 3]
    assert [c.throw for c in banks.cylinders] == [0, 1, 2, 3, 0, 1, 2, 3]
    assert [c.bank_degrees for c in banks.cylinders] == [-45.0] * 4 + [45.0] * 4


def test_splayed_pins_are_throws_of_their_own():
    engine = layout("V-6", **LENGTHS, bank_degrees=90, splay_degrees=30, bank_offset_mm=20)
    assert [t.degrees for t in engine.throws[:2]] == [0.0, 330.0]
    assert [t.z_mm for t in engine.throws[:4]] == [-10.0, 10.0, 90.0, 110.0]


def test_rods_side_by_side_on_one_pin():
    engine = layout("V-2", **LENGTHS, bank_offset_mm=24)
    assert [c.z_mm for c in engine.cylinders] == [-12.0, 12.0]
    assert [t.z_mm for t in engine.throws] == [0.0]


def test_crank_of_ones_own():
    engine = layout("inline-3", **LENGTHS, throw_degrees=[0, 180, 0])
    assert [t.degrees for t in engine.throws] == [0.0, 180.0, 0.0]


def test_a_twin_goes_by_two_names():
    assert layout("inline-2", **LENGTHS) == layout("twin", **LENGTHS)
    twin = layout("inline-2", **LENGTHS, crank_degrees=270)
    assert twin == layout("inline-2", **LENGTHS, throw_degrees=[0, 270])


def test_narrow_v_offsets_count_outwards():
    engine = layout("narrow-V-6", **LENGTHS, pin_offset_mm=12)
    assert [c.pin_offset_mm for c in engine.cylinders[:2]] == [-12.0, 12.0]
    assert [c.bank_degrees for c in engine.cylinders[:2]] == [-7.5, 7.5]


def test_radial_links_reach_the_same_top():
    engine = layout("radial-5", **LENGTHS, knuckle_radius_mm=30)
    assert engine.cylinders[0].link is None
    assert engine.cylinders[1].link == Link(0, 30.0, 72.0, 130.0)


def test_middle_and_radius():
    engine = layout("V-8", **LENGTHS)
    assert middle_mm(engine) == 150.0
    assert radius_mm(engine) == 40.0


def test_lists_are_taken_as_tuples():
    engine = Engine(80, 160, 100, [Throw(0, 0)], [Cylinder(0, 0, 0)])
    assert isinstance(engine.throws, tuple)
    assert hash(engine) == hash(Engine(80, 160, 100, (Throw(0, 0),), (Cylinder(0, 0, 0),)))


def test_firing_orders_name_every_cylinder_once():
    for count, order in FIRING.items():
        assert sorted(order) == list(range(1, count + 1))


@pytest.mark.parametrize(
    ("name", "options", "message"),
    [
        ("X-8", {}, "layout 'X-8' is not known"),
        ("V", {}, "layout 'V' is not known"),
        ("", {}, "layout '' is not known"),
        ("inline-9", {}, "inline exists with 2 to 8 cylinders here"),
        ("V-7", {}, "v exists with 2, 4, 6, 8, 10, 12 cylinders here"),
        ("V-8", {"colour": 3}, "layout 'V-8' has no option 'colour'"),
        ("inline-6", {"crank": "cross"}, "layout 'inline-6' has no option 'crank'"),
        ("single", {"bank_degrees": 3}, "layout 'single' has no option 'bank_degrees'"),
        ("V-8", {"crank": "round"}, "crank must be one of cross, flat, got 'round'"),
        ("V-8", {"numbering": "odd"}, "numbering must be one of pairs, banks, got 'odd'"),
        ("V-8", {"bank_degrees": float("nan")}, "bank_degrees must be finite, got nan"),
        ("V-8", {"bank_degrees": [90, 60]}, "bank_degrees must be one number"),
        ("V-8", {"throw_degrees": [0, 90]}, "throw_degrees must hold 4 angles for 'V-8'"),
        ("radial-5", {"knuckle_radius_mm": -3}, "knuckle_radius_mm must be greater than zero"),
        ("radial-5", {"knuckle_radius_mm": 99}, "link length_mm must be greater than crank radius"),
    ],
)
def test_impossible_layouts_are_refused(name, options, message):
    with pytest.raises(InputError, match=message):
        layout(name, **LENGTHS, **options)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"stroke_mm": -80}, "stroke_mm must be greater than zero, got -80"),
        ({"rod_length_mm": "long"}, "rod_length_mm must be a number, got 'long'"),
        ({"rod_length_mm": 40}, "rod_length_mm must be greater than crank radius"),
        ({"bore_spacing_mm": 0}, "bore_spacing_mm must be greater than zero, got 0"),
        ({"bore_spacing_mm": [1, 2]}, "bore_spacing_mm must be one number"),
        ({"pin_offset_mm": "left"}, "pin_offset_mm must be a number, got 'left'"),
        ({"pin_offset_mm": 130}, "rod_length_mm must be greater than crank radius . pin offset"),
    ],
)
def test_impossible_lengths_are_refused(change, message):
    with pytest.raises(InputError, match=message.replace(" . ", r" \+ ")):
        layout("radial-5", **{**LENGTHS, "knuckle_radius_mm": 20, **change})


PLAIN = {
    "stroke_mm": 80.0,
    "rod_length_mm": 160.0,
    "bore_spacing_mm": 100.0,
    "throws": (Throw(0.0, 0.0),),
    "cylinders": (Cylinder(0, 0.0, 0.0),),
}
KNUCKLE = {"knuckle_radius_mm": 20.0, "knuckle_degrees": 40.0, "length_mm": 140.0}


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"stroke_mm": 0.0}, "stroke_mm must be greater than zero, got 0.0"),
        ({"stroke_mm": [80.0]}, "stroke_mm must be one number"),
        ({"bore_spacing_mm": -1.0}, "bore_spacing_mm must be greater than zero"),
        ({"rod_length_mm": 40.0}, r"cylinder 1: rod_length_mm must be greater than crank radius"),
        ({"rod_length_mm": float("inf")}, "rod_length_mm must be finite, got inf"),
        ({"pin_offset_mm": -120.0}, r"pin offset \(160 mm\), got 160.0; is the stroke given"),
        ({"pin_offset_mm": float("nan")}, "pin_offset_mm must be finite, got nan"),
        ({"throws": ()}, "throws must hold at least one Throw, got none"),
        ({"cylinders": ()}, "cylinders must hold at least one Cylinder, got none"),
        ({"throws": (0.0,)}, "throws must hold Throw objects, got 0.0"),
        ({"cylinders": (Cylinder(1, 0, 0),)}, "cylinder 1: throw 1 is not there; the crank has 1"),
        (
            {"cylinders": (Cylinder(0, 0, 0, link=Link(3, **KNUCKLE)),)},
            "cylinder 1: master 3 is not there",
        ),
        (
            {"cylinders": (Cylinder(0, 0, 0, link=Link(0, **KNUCKLE)),)},
            "cylinder 1: master 0 must have a plain rod on the same throw",
        ),
    ],
)
def test_impossible_engines_are_refused(change, message):
    with pytest.raises(InputError, match=message):
        Engine(**{**PLAIN, **change})


@pytest.mark.parametrize(
    ("build", "message"),
    [
        (lambda: Throw(float("nan"), 0), "throw degrees must be finite, got nan"),
        (lambda: Throw(0, "end"), "throw z_mm must be a number, got 'end'"),
        (
            lambda: Cylinder(-1, 0, 0),
            "cylinder throw must be a whole number counted from 0, got -1",
        ),
        (lambda: Cylinder(0.5, 0, 0), "cylinder throw must be a whole number"),
        (lambda: Cylinder(True, 0, 0), "cylinder throw must be a whole number"),
        (lambda: Cylinder(0, 1j, 0), "cylinder bank_degrees must be real"),
        (lambda: Cylinder(0, 0, 0, pin_offset_mm=float("inf")), "cylinder pin_offset_mm must be"),
        (lambda: Link(0, 0, 0, 100), "link knuckle_radius_mm must be greater than zero"),
        (lambda: Link(0, 20, 0, -1), "link length_mm must be greater than zero"),
        (lambda: Link("a", 20, 0, 100), "link master must be a whole number"),
    ],
)
def test_impossible_parts_are_refused(build, message):
    with pytest.raises(InputError, match=message):
        build()


def test_who_writes_an_unknown_layout_is_told_every_family():
    with pytest.raises(InputError) as wrong:
        layout("X-8", **LENGTHS)
    for name in ALL:
        assert f"{name.rstrip('0123456789')}" in str(wrong.value)
