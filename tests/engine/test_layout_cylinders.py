"""A layout's number of cylinders may be an option of its own."""

import pytest

from balance.engine.layouts import layout
from balance.errors import InputError

SIZES = {"stroke_mm": 120, "rod_length_mm": 250, "bore_spacing_mm": 150}


def test_the_number_may_stand_apart() -> None:
    assert layout("radial", cylinders=9, **SIZES) == layout("radial-9", **SIZES)
    assert layout("inline", cylinders=4, **SIZES) == layout("inline-4", **SIZES)


def test_a_family_without_its_number_says_what_to_write() -> None:
    with pytest.raises(InputError, match="layout 'radial' is not known: write single, twin"):
        layout("radial", **SIZES)
