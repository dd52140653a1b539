"""What a layout's name leaves open is said; what is taken is what the layout then has.

Which kinds of an engine there are: common practice, no source.
"""

import re

import pytest

from balance.engine.arrangements import FAMILIES, usual_name
from balance.engine.layouts import layout
from balance.engine.left_open import assumed, assumed_text
from balance.errors import InputError

SIZES = {"stroke_mm": 80, "rod_length_mm": 200, "bore_spacing_mm": 100}
EVERY = [f"{family}-{n}" for family, (_, sizes) in FAMILIES.items() for n in sizes]
NAMES = [{"single-1": "single", "twin-2": "twin"}.get(name, name) for name in EVERY]


@pytest.mark.parametrize("name", NAMES)
def test_what_is_taken_names_its_key_and_is_silent_once_that_is_written(name: str) -> None:
    taken = assumed(name, [])
    keys = [re.search(r"\((\w+)\)$", each) for each in taken]
    assert all(keys)
    every = {key[1] for key in keys if key}
    assert assumed(name, every | {"pin_splay"}) == ()
    assert bool(assumed_text(name, [])) == bool(taken)
    for key in every - {"bank_angle"}:  # each key silences its own and no other
        assert len(assumed(name, [key])) == len(taken) - 1


@pytest.mark.parametrize(("name", "said"), [("V-2", 90), ("V-6", 60), ("V-10", 72), ("V-12", 60)])
def test_the_bank_angle_that_is_told_is_the_one_that_is_taken(name: str, said: int) -> None:
    assert f"{said} deg between the banks" in assumed(name, [])[0]
    banks = {cylinder.bank_degrees for cylinder in layout(name, **SIZES).cylinders}
    assert max(banks) - min(banks) == said


def test_a_six_has_three_pins_or_six_as_it_is_told() -> None:
    """At 60 degrees the pins of a pair are splayed, at a bank angle of one's own they are not."""
    assert "six pins in all" in assumed_text("V-6", [])
    assert len(layout("V-6", **SIZES).throws) == 6
    assert "three pins in all" in assumed_text("V-6", ["bank_angle"])
    assert len(layout("V-6", **SIZES, bank_degrees=90).throws) == 3


def test_the_planes_and_pins_that_are_told_are_those_that_are_taken() -> None:
    assert "a cross-plane crank" in assumed_text("V-8", [])
    assert len({t.degrees % 180 for t in layout("V-8", **SIZES).throws}) == 2
    assert "a flat crank" in assumed_text("W-12", [])
    assert len({t.degrees % 180 for t in layout("W-12", **SIZES).throws}) == 1
    assert "both pins at the same angle" in assumed_text("inline-2", [])
    assert len({t.degrees for t in layout("twin", **SIZES).throws}) == 1
    assert "none on a master rod" in assumed_text("radial-9", [])
    assert all(cylinder.link is None for cylinder in layout("radial-9", **SIZES).cylinders)
    cylinders = layout("V-4", **SIZES).cylinders
    assert "cylinders 1 and 2 on throw 1" in assumed_text("V-4", [])
    assert cylinders[0].throw == cylinders[1].throw == 0


def test_engines_of_one_kind_are_not_asked_about() -> None:
    for name in ("single", "inline-4", "inline-6", "flat-4", "flat-6"):
        assert assumed_text(name, []) == ""


def test_the_sentence_asks_and_says_where_to_write() -> None:
    said = assumed_text("twin", [])
    assert said.startswith(f"written nowhere, so taken as usual for a {usual_name('twin')}: ")
    assert said.endswith("Is that this engine? Write it under [engine] as it is")
    assert "Write them under [engine] as they are" in assumed_text("V-8", [])


def test_an_unknown_layout_is_refused() -> None:
    with pytest.raises(InputError, match="layout 'Z-4' is not known"):
        assumed("Z-4", [])
