"""Where no counterweight may be drilled: told as stretches of angle, held against every angle."""

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.metal._certificate import closed_angles
from balance.metal.planning import Counterweight, plan

sectors = st.lists(st.tuples(st.integers(-400, 400), st.integers(0, 180)), min_size=1, max_size=4)


def task_of(pairs):
    webs = [Counterweight(100.0, centre, half, 80, 25, 30) for centre, half in pairs]
    nothing_to_do = plan(
        [1, 1], (60.0, 540.0), counterweights=webs, drills_mm=[10], tolerance_gmm=[60, 60]
    )
    return nothing_to_do.task


@settings(max_examples=80)
@given(sectors)
def test_an_angle_is_closed_exactly_where_no_sector_reaches(pairs):
    closed = closed_angles(task_of(pairs))
    every = np.arange(0.5, 360.0)  # sectors begin and end at whole degrees: none is at an edge
    reached = np.zeros(360, dtype=bool)
    for centre, half in pairs:
        reached |= np.abs((every - centre + 180.0) % 360.0 - 180.0) < half
    told = np.zeros(360, dtype=int)
    for start, end in closed:
        assert end > start
        told += ((every - start) % 360.0) < end - start
    assert (told == ~reached).all()  # and each gap is told once


@pytest.mark.parametrize(
    ("pairs", "words"),
    [
        ([(0, 85)], "nothing can be taken at 85 to 275 degrees"),
        ([(350, 30)], "nothing can be taken at 20 to 320 degrees"),
        ([(0, 40), (180, 60)], "nothing can be taken at 40 to 120, 240 to 320 degrees"),
    ],
)
def test_a_refusal_tells_the_closed_angles(pairs, words):
    webs = [Counterweight(z, c, h, 80, 25, 30) for z in (100, 500) for c, h in pairs]
    made = plan(
        [900j, 600j], (60.0, 540.0), counterweights=webs, drills_mm=[10], tolerance_gmm=[60, 60]
    )
    if made.feasible is False:
        assert words in made.reason
    else:  # two sectors can pull across their gap
        assert len(pairs) > 1


def test_all_round_but_not_at_every_place_is_told_so():
    discs = [Counterweight(60.0, 0, 180, 80, 25, 30)]
    made = plan(
        [0, 900], (60.0, 540.0), counterweights=discs, drills_mm=[10], tolerance_gmm=[60, 60]
    )
    assert made.feasible is False
    assert (
        "metal can be taken at every angle, but not at every place along the crank" in made.reason
    )
    # metal in the one plane does nothing in the other, where 900 are; the aim is half of 60
    assert "in the plane at 540 mm, and no allowed hole works that way" in made.reason
    told = float(re.search(r"at least (\d+) g mm more than the limit", made.reason)[1])
    assert 0 < told <= 870
