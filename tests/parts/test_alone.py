"""Four pistons and nothing else: to the lightest plus the tolerance, worked out by hand."""

import pytest

from balance.job.load import read_text
from balance.parts.alone import pistons_alone

JOB = """format = 1
job = {name = "pistons"}
engine = {layout = "inline-4", stroke = "?", rod_length = "?", bore_spacing = "?"}
targets = {match_tolerance = 0.5}
scale = {resolution = 0.1}
[parts]
"""
# By hand: the lightest weighs 419.55 g, so none may be above 420.05 g.
GRAMS = {"P1": 420.35, "P2": 422.05, "P3": 420.10, "P4": 419.55}


def _pistons(more: str = "") -> str:
    return "".join(
        f'[[parts.pistons]]\nmark = "{mark}"\nweight = {grams}\n{more}'
        for mark, grams in GRAMS.items()
    )


def test_each_is_cut_to_the_lightest_plus_the_tolerance() -> None:
    found = pistons_alone(read_text(JOB + _pistons()))
    assert found is not None
    assert [each.cut_g for each in found.pistons] == [0.3, 2.0, 0.1, 0.0]  # 0.05 g is no cut
    assert [each.stop_g for each in found.pistons] == [420.05, 420.05, 420.0, 419.55]
    assert (found.removed_g, found.short_g) == (2.4, 0.0)


def test_rings_beside_them_change_nothing() -> None:
    alone = pistons_alone(read_text(JOB + _pistons()))
    rings = '[[weighings]]\npart = "rings"\nvalue = "38.2 g"\n'
    assert pistons_alone(read_text(JOB + _pistons() + rings)) == alone


def test_what_a_piston_may_lose_holds() -> None:
    found = pistons_alone(read_text(JOB + _pistons("can_lose = 1.5\n")))
    assert found is not None
    assert found.pistons[1].cut_g == 1.5
    assert found.short_g == pytest.approx(0.5)


@pytest.mark.parametrize(
    "more",
    ['[[parts.pins]]\nmark = "N1"\nweight = 118.2\n', '[[parts.pistons]]\nmark = "P5"\n'],
)
def test_other_weighings_or_a_piston_to_come_are_for_the_sets(more: str) -> None:
    assert pistons_alone(read_text(JOB + _pistons() + more)) is None
