"""Bobweight cards printed in two magazines.

[1] FordMuscle, "Calculating Bob Weight", April 2008 (a V8 with weighed parts).
[2] Chevy High Performance, "0906 balanced rotating assembly", June 2009 (a big-block
    street engine).

Both read as stored excerpts; their authors were not noted. The magazines' weights are printed to
0.5 g and 0.1 g; what is added here is added without rounding.
"""

import pytest

from balance.engine.bobweights import per_throw
from balance.engine.layouts import layout

V8 = layout("V-8", stroke_mm=101.6, rod_length_mm=167.0, bore_spacing_mm=111.25)


def test_rotating_half_of_a_weighed_v8():
    """[1]: big end 621.5 + bearing 45 = 666.5 g, for two rods 1333 g; piston and pin 639.5 g."""
    big_end, bearing, piston_and_pin = 621.5, 45.0, 639.5
    [first, *_] = per_throw(V8, rotating_g=big_end + bearing, reciprocating_g=piston_and_pin)
    rotating, reciprocating, oil = first.items
    assert (rotating.count, rotating.each_g, rotating.mass_g) == (2, 666.5, 1333)
    assert (reciprocating.count, reciprocating.mass_g) == (1, 639.5)
    assert oil.mass_g == 0


def test_big_block_card():
    """[2]: the card counts reciprocating parts once and rotating parts twice, oil once.

    The printed "x2 47.4" for bearings is taken as both pairs of one pin.
    """
    reciprocating = 69.5 + 583.9 + 173.6 + 4.8 + 162.4
    both_big_ends, both_bearings, oil = 459.6, 47.4, 4.0
    found = per_throw(
        V8,
        rotating_g=(both_big_ends + both_bearings) / 2,
        reciprocating_g=reciprocating,
        oil_g=oil,
    )
    assert both_big_ends == pytest.approx(2 * 229.8)
    assert [b.mass_g for b in found] == pytest.approx(
        [both_big_ends + both_bearings + reciprocating + oil] * 4
    )
