import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.parts.pads import end_change, pad_cuts

grams = st.floats(0.0, 20.0)
lengths = st.floats(80.0, 300.0)
outs = st.floats(0.0, 60.0)


@settings(max_examples=60, deadline=None)
@given(grams, outs, lengths)
def test_end_change_is_a_beam_on_two_supports(mass, beyond, length):
    change = end_change(mass, beyond_mm=beyond, length_mm=length)
    assert change.near_g + change.far_g == pytest.approx(mass, abs=1e-12)
    # Moment about the near support, clockwise and counter-clockwise.
    assert change.far_g * length == pytest.approx(-mass * beyond, abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(grams, grams, lengths, outs, outs)
def test_the_two_cuts_do_what_was_asked(big, small, length, out_big, out_small):
    cuts = pad_cuts(
        big_end_g=big,
        small_end_g=small,
        length_mm=length,
        cap_pad_mm=out_big,
        small_end_pad_mm=out_small,
    )
    # Outside check: numpy solves the two balances of moments.
    moments = np.array(
        [[1 + out_big / length, -out_small / length], [-out_big / length, 1 + out_small / length]]
    )
    expected = np.linalg.solve(moments, [big, small])
    assert (cuts.cap_pad_g, cuts.small_end_pad_g) == pytest.approx(tuple(expected), abs=1e-9)
    assert min(cuts.cap_pad_g, cuts.small_end_pad_g) >= 0


@pytest.mark.parametrize(
    ("kwargs", "message"),
    [
        ({"mass_g": -1.0}, "mass_g must not be negative"),
        ({"beyond_mm": math.nan}, "beyond_mm must be finite"),
        ({"length_mm": 0.0}, "length_mm must be greater than zero"),
    ],
)
def test_end_change_refuses(kwargs, message):
    with pytest.raises(InputError, match=message):
        end_change(**({"mass_g": 1.0, "beyond_mm": 30.0, "length_mm": 150.0} | kwargs))


@pytest.mark.parametrize(
    "name", ["big_end_g", "small_end_g", "cap_pad_mm", "small_end_pad_mm", "length_mm"]
)
def test_pad_cuts_refuse(name):
    good = {
        "big_end_g": 4.0,
        "small_end_g": 1.0,
        "length_mm": 150.0,
        "cap_pad_mm": 40.0,
        "small_end_pad_mm": 20.0,
    }
    with pytest.raises(InputError, match=f"{name} must"):
        pad_cuts(**(good | {name: -1.0}))
