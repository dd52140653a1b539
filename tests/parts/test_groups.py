import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.parts.groups import KINDS, pin_group, rod_group, rod_item

EXACT_G = 1e-9
masses = st.floats(0.5, 900.0)


def test_locks_are_two_and_shells_a_pair():
    assert rod_item("lock", 2.4).per_rod_g == pytest.approx(4.8)
    assert rod_item("lock", 4.8, pieces_weighed=2).per_rod_g == pytest.approx(4.8)
    assert rod_item("bearing shell", 22.5).per_rod_g == pytest.approx(45.0)


def test_eight_lots_of_a_set_can_be_weighed_at_once():
    line = rod_item("lock", 38.4, pieces_weighed=16, u_g=0.08)
    assert line.per_rod_g == pytest.approx(4.8)
    assert line.u_g == pytest.approx(0.01)


def test_other_parts_bring_their_group():
    tab = rod_item("crank gear tab", 3.0, group="rotating")
    assert rod_group([tab]).rotating_g == 3.0
    assert (tab.pieces_fitted, tab.group) == (1, "rotating")


@settings(max_examples=60, deadline=None)
@given(st.dictionaries(st.sampled_from(sorted(KINDS)), masses, min_size=1))
def test_every_gram_is_counted_once(weights):
    rod = rod_group([rod_item(kind, mass) for kind, mass in weights.items()])
    whole = sum(mass * KINDS[kind][1] for kind, mass in weights.items())
    assert rod.reciprocating_g + rod.rotating_g == pytest.approx(whole, abs=EXACT_G)
    assert set(rod.missing).isdisjoint(weights)


@settings(max_examples=60, deadline=None)
@given(st.permutations(sorted(KINDS)))
def test_order_does_not_matter(kinds):
    rod = rod_group([rod_item(kind, 10.0 + len(kind)) for kind in kinds])
    again = rod_group([rod_item(kind, 10.0 + len(kind)) for kind in sorted(KINDS)])
    assert rod.reciprocating_g == pytest.approx(again.reciprocating_g, abs=EXACT_G)
    assert rod.rotating_g == pytest.approx(again.rotating_g, abs=EXACT_G)


def test_doubt_adds_as_squares_and_the_offset_as_counts():
    rod = rod_group(
        [rod_item("big end", 400.0, u_g=0.03), rod_item("bearing shell", 22.5, u_g=0.02)],
        offset_u_g=0.1,
    )
    # Shells: one weighed, two fitted: 0.04 g. The offset counts 1 + 2 times.
    assert rod.u_rotating_g == pytest.approx(math.sqrt(0.05**2 + 0.3**2))
    assert rod.u_reciprocating_g == 0.0


def test_pin_counts_oil_once():
    rod = rod_group([rod_item("big end", 400.0, u_g=0.06)])
    pin = pin_group([rod, rod], oil_g=5.0, u_oil_g=1.0)
    assert pin.rotating_g == pytest.approx(805.0)
    assert pin.u_rotating_g == pytest.approx(math.sqrt(2 * 0.06**2 + 1.0))
    assert (pin.reciprocating_g, len(pin.rods), pin.oil_g) == (0.0, 2, 5.0)


@pytest.mark.parametrize(
    ("args", "kwargs", "message"),
    [
        (("pistn", 400.0), {}, "kind must be one of piston, pin, .* got 'pistn' with group None"),
        (("oil", 4.0), {"group": "turning"}, "got 'oil' with group 'turning'"),
        (("piston", 400.0), {"group": "rotating"}, "group of 'piston' must be 'reciprocating'"),
        (("piston", 0.0), {}, r"weighed_g must be greater than zero, got 0\.0"),
        (("piston", math.nan), {}, "weighed_g must be finite"),
        (("lock", 4.8), {"pieces_weighed": 0}, "pieces_weighed must be greater than zero"),
        (("lock", 4.8), {"pieces_weighed": 1.5}, "pieces_weighed must be a whole number of pi"),
        (("lock", 4.8), {"pieces_fitted": True}, "pieces_fitted must be a"),
        (("lock", 4.8), {"u_g": -0.1}, "u_g must not be negative"),
    ],
)
def test_items_refuse(args, kwargs, message):
    with pytest.raises(InputError, match=message):
        rod_item(*args, **kwargs)


def test_groups_refuse():
    big = rod_item("big end", 400.0)
    with pytest.raises(InputError, match="items must hold at least one weighed part"):
        rod_group([])
    with pytest.raises(InputError, match="name each kind once, got big end more than once"):
        rod_group([big, big])
    with pytest.raises(InputError, match="rods must hold at least one rod"):
        pin_group([])
    with pytest.raises(InputError, match="oil_g must not be negative"):
        pin_group([rod_group([big])], oil_g=-1.0)
    with pytest.raises(InputError, match="offset_u_g must not be negative"):
        rod_group([big], offset_u_g=-0.1)
