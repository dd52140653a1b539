"""US Army TM 9-6115-604-34 / NAVFAC P-8-633-34, crankshaft of a V-12 diesel, "Balance", para. h.

Edition and date not checked. The manual: bobweights are not needed on a V-12 because the indexing
of the throws balances it.
"""

import pytest

from balance.engine.bobweights import needed, residual_primary
from balance.engine.layouts import layout


@pytest.mark.parametrize("bank", [45, 60, 90])
def test_bobweights_are_not_needed_on_a_v12(bank):
    engine = layout(
        "V-12", bank_degrees=bank, stroke_mm=130, rod_length_mm=250, bore_spacing_mm=160
    )
    assert not needed(engine).needed
    left = residual_primary(engine, 0.0)
    assert abs(left.forward_force) + abs(left.backward_force) < 1e-12
    assert abs(left.forward_couple) + abs(left.backward_couple) < 1e-12
