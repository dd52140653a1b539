"""A small rotor's limit is a fraction of a gram millimetre: no screen shows it as nothing."""

from collections.abc import Callable
from pathlib import Path

import pytest

from cli.printing import gmm

GRADE = 'service_speed = "7800 rpm"\ngrade = "G 6.3"'


@pytest.mark.parametrize(
    ("unbalance", "figure"),
    [(0.41, "0.41"), (0.06, "0.060"), (1.37, "1.4"), (3.4, "3"), (38.2, "38"), (0.0, "0")],
)
def test_a_figure_says_how_much(unbalance: float, figure: str) -> None:
    assert gmm(unbalance) == figure


def test_a_limit_below_one_is_shown(heavyspot: Callable, example: Callable[[str], Path]) -> None:
    path = example("flat-four")
    text = path.read_text()
    assert GRADE in text
    path.write_text(text.replace(GRADE, 'per_bearing = "0.4 g mm"'))
    said = heavyspot("spin", path)
    assert "Limits: 0.40 g mm (0.00056 oz in) in each bearing plane, as ordered." in " ".join(
        said.out.split()
    )
    assert " 0.40 " in said.out  # in the table of the planes as well
