"""Both ways side by side, and which part is worth replacing."""

import math

import numpy as np
import pytest

from balance.errors import InputError
from balance.parts.advice import compare_ways, worth_replacing
from balance.parts.matching import match_each, match_sets

DUST = 1e-9  # binary fractions of decimal grams


def bench(n, seed):
    rng = np.random.default_rng(seed)
    kinds = ((420, 3), (110, 1.5), (180, 2.5), (420, 4))
    return [np.round(rng.normal(c, h, n), 2) for c, h in kinds]


@pytest.mark.parametrize("seed", range(5))
def test_the_price_of_each_way_is_that_of_its_function(seed):
    *three, big = bench(6, seed)
    prices = compare_ways(*three, tolerance_g=0.2, big_ends_g=big, big_end_tolerance_g=0.4)
    sets = match_sets(*three, tolerance_g=0.2, big_ends_g=big, big_end_tolerance_g=0.4)
    each = [match_each(x, tolerance_g=0.2).removed_g for x in (three[0], three[2])]
    each.append(match_each(big, tolerance_g=0.4).removed_g)
    assert prices.sets == sets
    assert prices.sets_g == sets.removed_g < prices.interchangeable_g
    assert prices.interchangeable_g == pytest.approx(sum(each), abs=DUST)
    assert prices.shop_g == pytest.approx(
        sum(float((x - x.min()).sum()) for x in (three[0], three[2], big)), abs=1e-8
    )
    assert prices.pin_spread_g == pytest.approx(np.ptp(three[1]), abs=DUST)
    assert not prices.any_spare_fits


def test_any_spare_fits_when_the_pins_agree():
    prices = compare_ways(
        [420.0, 423.0], [110.0, 110.1], [180.0, 181.0], tolerance_g=0.2, piston_limits_g=5.0
    )
    assert prices.any_spare_fits
    assert prices.big_ends is None


def test_the_odd_piston_comes_first():
    pistons = [420.0, 420.3, 409.0, 420.1, 419.9, 420.2]
    best = worth_replacing(pistons, [110.0] * 6, [180.0] * 6, tolerance_g=0.2)[0]
    assert (best.kind, best.index, best.off_g) == ("piston", 2, -11.1)
    replaced = [*pistons[:2], 420.1, *pistons[3:]]
    then = match_sets(replaced, [110.0] * 6, [180.0] * 6, tolerance_g=0.2)
    assert best.removed_then_g == then.removed_g
    assert best.saved_g == pytest.approx(best.removed_now_g - best.removed_then_g, abs=DUST)


def test_a_rod_is_replaced_at_both_ends_and_told_once():
    found = worth_replacing(
        [420.0] * 4,
        [110.0] * 4,
        [180.0, 180.0, 177.0, 180.0],
        tolerance_g=0.0,
        big_ends_g=[420.0, 420.0, 415.0, 420.0],
    )
    assert [(r.kind, r.index) for r in found] == [("rod", 2)]
    assert found[0].removed_then_g == 0
    assert found[0].saved_g == pytest.approx(3 * 3 + 3 * 5, abs=DUST)
    assert found[0].text.startswith("big_ends_g[2] is 5.00 g light: with 420.00 g in its place")


def test_a_replacement_that_makes_the_limits_hold():
    found = worth_replacing(
        [420.0, 420.0, 431.0],
        [110.0] * 3,
        [180.0] * 3,
        tolerance_g=0.5,
        piston_limits_g=1.0,
        small_end_limits_g=1.0,
    )
    assert found[0].saved_g == math.inf
    assert found[0].text == (
        "pistons_g[2] is 11.00 g heavy: with 420.00 g in its place the limits can be kept and "
        "0.00 g come off"
    )


def test_nothing_to_advise():
    assert worth_replacing([420.0], [110.0], [180.0], tolerance_g=0.0) == []
    assert worth_replacing([420.0] * 3, [110.0] * 3, [180.0] * 3, tolerance_g=0.0) == []


def test_bad_input_is_told_as_in_matching():
    with pytest.raises(InputError, match="pins_g must be finite"):
        worth_replacing([420.0], [math.nan], [180.0], tolerance_g=0.0)
    with pytest.raises(InputError, match="tolerance_g must not be negative"):
        compare_ways([420.0], [110.0], [180.0], tolerance_g=-1.0)
