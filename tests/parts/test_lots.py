import math

import numpy as np
import pytest

from balance.errors import InputError
from balance.parts.lots import weigh_all
from balance.parts.weighing import average, pooled_repeatability

LOT = [[420.3, 420.4], [418.0, 418.0, 418.1], [421.1, 421.0]]


def test_each_part_is_averaged_with_the_pooled_scatter():
    s = pooled_repeatability(LOT).s_g
    for weight, part in zip(weigh_all(LOT, resolution_g=0.1), LOT, strict=True):
        assert weight.mass_g == pytest.approx(np.mean(part), rel=1e-12)
        assert weight.u_g == pytest.approx(math.sqrt(s**2 / len(part) + 0.01 / 12), rel=1e-12)
        assert weight.outliers == ()


def test_a_known_repeatability_is_used_as_it_is():
    found = weigh_all(LOT, resolution_g=0.1, repeatability_g=0.05)
    assert found == tuple(average(p, resolution_g=0.1, repeatability_g=0.05) for p in LOT)


def test_single_readings_stand_alone():
    found = weigh_all([[420.3], [418.0]], resolution_g=0.1)
    assert [w.u_g for w in found] == pytest.approx([0.1 / math.sqrt(12)] * 2)
    assert weigh_all([], resolution_g=0.1) == ()


def test_the_one_bad_reading_of_three_is_named_and_kept():
    lot = [*LOT, [419.2, 423.2, 419.3]]
    found = weigh_all(lot, resolution_g=0.1)[3]
    assert found.outliers == (1,)
    assert found.mass_g == pytest.approx(np.mean(lot[3]), rel=1e-12)


def test_two_bad_parts_in_a_large_lot():
    lot = [[420.0 + i, 420.1 + i] for i in range(10)]
    lot[2][1] += 2.0
    lot[7][0] -= 5.0
    flagged = [i for i, w in enumerate(weigh_all(lot, resolution_g=0.1)) if w.outliers]
    assert 7 in flagged
    assert set(flagged) <= {2, 7}


def test_the_only_repeated_part_is_judged_by_itself():
    lot = [[420.3], [418.0, 418.0, 418.1, 425.0]]
    assert [w.outliers for w in weigh_all(lot, resolution_g=0.1)] == [(), (3,)]


@pytest.mark.parametrize(("parts", "repeats"), [(4, 2), (8, 3), (16, 2)])
def test_false_alarms_are_one_lot_in_twenty(parts, repeats):
    rng = np.random.default_rng(parts)
    lots = rng.normal(420, 0.5, (200, parts, repeats))
    alarms = sum(any(w.outliers for w in weigh_all(list(lot), resolution_g=0.01)) for lot in lots)
    # Standard error of a share of 0.05 in 200 is 0.0154; four of them.
    assert alarms / 200 <= 0.05 + 0.062


def test_a_bad_part_is_refused():
    with pytest.raises(InputError, match="readings_g must be finite"):
        weigh_all([[420.3], [math.nan]], resolution_g=0.1)
    with pytest.raises(InputError, match="readings_g must be a list of at least one reading"):
        weigh_all([[420.3], []], resolution_g=0.1)
    with pytest.raises(InputError, match="resolution_g must be greater than zero"):
        weigh_all([[420.3]], resolution_g=0.0)
