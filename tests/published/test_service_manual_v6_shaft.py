"""An engine maker's service manual of a 90-degree V6 diesel with split pins, p. 21 (excerpt).

Title as seen: VT 275 diesel engine service manual; publisher, edition and date not checked. The
manual: the couple that the counterweights leave is offset by a balance shaft that turns at crank
speed in the opposite direction. The splay of 30 degrees (even firing) is from memory.
"""

from balance.engine.bobweights import needed, per_throw, residual_primary
from balance.engine.layouts import layout


def test_what_is_left_turns_against_the_crank():
    engine = layout(
        "V-6",
        bank_degrees=90,
        splay_degrees=30,
        stroke_mm=105,
        rod_length_mm=176,
        bore_spacing_mm=120,
    )
    left = residual_primary(engine, 0.5)
    assert abs(left.forward_force) + abs(left.backward_force) < 1e-12  # no force at all
    assert abs(left.forward_couple) < 1e-12  # the counterweights have done their part
    assert abs(left.backward_couple) > 0.4  # left for the shaft
    assert needed(engine).needed
    assert len(per_throw(engine, rotating_g=1, reciprocating_g=1)) == 6  # one on each split pin
