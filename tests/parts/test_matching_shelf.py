"""Sets chosen from a shelf where a quick search goes astray: the least is known beforehand.

The parts are invented, drawn from fixed seeds. The truths were found with CP-SAT, the solver of the
general-purpose package ortools 9.15, which proved each of them optimal: each rod takes one piston
and one pin or stays on the shelf, the floors of sums and big ends are free, cuts are the excess
(the formulation of ``cp_sat`` in tests/bench/bench_matching.py, with the limits as bounds of cuts).
"""

import math

import numpy as np
import pytest

from balance.errors import InputError
from balance.parts.matching import match_sets

DUST = 1e-9  # binary fractions of decimal grams

SHELVES = {
    "tight limits, tolerance 0.1": (
        33.62,
        [577.01, 571.56, 581.84, 581.72, 576.31, 578.27, 580.41, 576.05, 584.14, 582.91],
        [149.48, 150.92, 150.07, 150.1, 151.61, 151.25, 151.07, 149.91, 150.35, 149.35],
        [167.96, 166.84, 164.76, 165.91, 164.32, 164.42, 166.59, 169.08, 166.42, 165.32],
        [432.78, 431.55, 431.67, 424.81, 430.46, 427.28, 431.35, 425.91, 433.34, 428.99],
        {
            "choose": 8,
            "tolerance_g": 0.1,
            "big_end_tolerance_g": 0.1,
            "piston_limits_g": 1.5,
            "small_end_limits_g": 0.5,
        },
    ),
    "no limits, tolerance 0.1": (
        2.98,
        [580.0, 580.06, 579.79, 579.25, 580.14, 579.67, 579.08, 579.24, 579.82, 579.66, 580.32],
        [150.06, 150.02, 149.74, 150.13, 149.79, 150.19, 149.89, 150.01, 149.95, 149.82, 150.03],
        [165.11, 164.45, 163.28, 165.13, 165.08, 165.39, 166.25, 164.41, 165.55, 165.5, 165.48],
        [429.47, 430.86, 429.98, 429.6, 430.3, 429.54, 430.43, 429.58, 430.83, 429.35, 430.12],
        {"choose": 8, "tolerance_g": 0.1, "big_end_tolerance_g": 0.1},
    ),
    "no limits, tolerance 0.5": (
        9.91,
        [581.1, 582.02, 580.79, 580.72, 580.46, 580.56, 579.69, 577.41, 581.38, 581.03, 578.91],
        [150.52, 150.24, 149.42, 150.51, 150.5, 150.19, 149.75, 149.8, 149.59, 149.95, 149.87],
        [166.24, 163.35, 164.26, 165.1, 165.81, 167.08, 162.3, 165.01, 166.76, 164.0, 164.02],
        [427.27, 431.17, 430.46, 427.52, 429.38, 430.43, 430.42, 427.99, 428.23, 431.41, 430.04],
        {"choose": 8, "tolerance_g": 0.5, "big_end_tolerance_g": 0.5},
    ),
    "tight limits, pistons far apart": (
        25.06,
        [582.24, 578.31, 586.26, 583.75, 576.48, 572.79, 582.09, 580.27, 575.52, 579.2],
        [150.43, 150.77, 150.43, 149.69, 150.04, 150.26, 149.43, 150.9, 149.24, 150.3],
        [165.2, 165.59, 164.98, 162.95, 162.08, 165.08, 165.73, 170.19, 166.1, 164.87],
        [429.92, 432.06, 426.86, 428.37, 426.11, 426.26, 430.18, 431.53, 430.63, 426.08],
        {
            "choose": 8,
            "tolerance_g": 0.1,
            "big_end_tolerance_g": 0.1,
            "piston_limits_g": 1.5,
            "small_end_limits_g": 0.5,
        },
    ),
    "wide limits, nothing to cut": (
        0.0,
        [580.7, 580.1, 579.68, 580.37, 579.55, 580.69, 579.0, 579.51, 580.5, 579.31, 580.17],
        [149.97, 150.08, 150.01, 149.94, 150.1, 149.91, 149.96, 149.74, 150.03, 150.15, 150.22],
        [163.27, 165.07, 163.81, 165.23, 164.36, 165.38, 165.16, 165.63, 165.0, 165.5, 165.03],
        [429.96, 430.37, 430.27, 430.29, 430.17, 429.55, 429.83, 430.33, 430.6, 430.15, 429.93],
        {
            "choose": 8,
            "tolerance_g": 0.5,
            "big_end_tolerance_g": 0.5,
            "piston_limits_g": 3.0,
            "small_end_limits_g": 2.0,
        },
    ),
    "no limits, big ends far apart": (
        17.32,
        [576.19, 580.17, 579.35, 578.66, 578.42, 581.98, 581.62, 578.44, 577.22, 583.85, 581.01],
        [148.6, 149.83, 150.03, 150.92, 150.37, 149.82, 149.42, 151.09, 150.24, 150.65, 151.18],
        [164.09, 165.32, 164.88, 164.41, 161.82, 165.65, 167.36, 166.76, 163.13, 173.18, 165.22],
        [429.94, 433.97, 431.47, 426.08, 436.92, 424.07, 431.52, 429.59, 430.93, 431.27, 428.62],
        {"choose": 8, "tolerance_g": 0.3, "big_end_tolerance_g": 0.3},
    ),
    "twelve of sixteen": (
        0.0,
        [
            578.7,
            579.65,
            583.33,
            581.32,
            576.72,
            579.99,
            578.75,
            580.3,
            576.78,
            580.48,
            580.47,
            583.15,
            580.63,
            581.02,
            577.01,
            584.51,
        ],
        [
            149.23,
            150.44,
            149.87,
            149.65,
            149.74,
            149.73,
            150.15,
            149.96,
            150.59,
            149.27,
            150.0,
            149.64,
            150.31,
            149.15,
            149.86,
            150.08,
        ],
        [
            162.77,
            166.48,
            165.27,
            166.51,
            166.44,
            163.53,
            163.8,
            164.7,
            166.12,
            166.28,
            163.94,
            164.09,
            163.8,
            164.12,
            164.64,
            164.8,
        ],
        None,
        {"choose": 12, "tolerance_g": 0.5},
    ),
}


@pytest.mark.parametrize("name", SHELVES)
def test_the_least_is_reached_and_never_claimed_impossible(name):
    least, pistons, pins, smalls, bigs, asked = SHELVES[name]
    match = match_sets(pistons, pins, smalls, big_ends_g=bigs, **asked)
    assert match.feasible is True
    assert match.removed_g == pytest.approx(least, abs=DUST)
    assert match.bound_g <= least + DUST
    assert match.optimal == (match.bound_g == pytest.approx(match.removed_g, abs=DUST))
    left = np.array(
        [
            (
                pistons[s.piston] - c.piston_g + pins[s.pin] + smalls[s.rod] - c.small_end_g,
                0.0 if bigs is None else bigs[s.rod] - c.big_end_g,
            )
            for s, c in zip(match.sets, match.cuts, strict=True)
        ]
    )
    assert np.ptp(left, axis=0).max() <= asked["tolerance_g"] + DUST
    assert max(c.piston_g for c in match.cuts) <= asked.get("piston_limits_g", math.inf)
    assert max(c.small_end_g for c in match.cuts) <= asked.get("small_end_limits_g", math.inf)


def test_the_same_shelf_gives_the_same_answer():
    _, pistons, pins, smalls, bigs, asked = SHELVES["wide limits, nothing to cut"]
    answers = [match_sets(pistons, pins, smalls, big_ends_g=bigs, **asked) for _ in range(2)]
    assert answers[0] == answers[1]


def test_without_time_neither_possible_nor_impossible_is_said():
    """Limits that the truth above keeps, but no time to find out."""
    _, pistons, pins, smalls, bigs, asked = SHELVES["tight limits, pistons far apart"]
    match = match_sets(pistons, pins, smalls, big_ends_g=bigs, time_limit_s=1e-9, **asked)
    assert match.feasible is None
    assert not match.optimal
    assert match.bound_g <= 25.06
    assert match.reason.startswith("no pairing found within the limits, and none ruled out; ")


@pytest.mark.parametrize("limit", [np.int64(2), np.array(2), np.array(2.0), 2, [2, 2, 2]])
def test_a_limit_may_be_any_one_number(limit):
    kinds = [420.0, 421.0, 422.0], [110.0] * 3, [180.0] * 3
    match = match_sets(*kinds, tolerance_g=0.0, piston_limits_g=limit)
    assert [c.piston_g for c in match.cuts] == [0.0, 1.0, 2.0]


@pytest.mark.parametrize("limit", [math.inf, np.inf, np.array(np.inf), [None, math.inf, None]])
def test_an_infinite_limit_is_none(limit):
    kinds = [420.0, 421.0, 422.0], [110.0] * 3, [180.0] * 3
    assert match_sets(*kinds, tolerance_g=0.0, piston_limits_g=limit) == match_sets(
        *kinds, tolerance_g=0.0
    )


@pytest.mark.parametrize(
    ("limit", "message"),
    [
        (-math.inf, "piston_limits_g must be finite"),
        (np.int64(-2), "piston_limits_g must not be negative, got -2"),
        ([[1.0], [2.0], [3.0]], "piston_limits_g must be a plain list of limits"),
    ],
)
def test_bad_limits(limit, message):
    kinds = [420.0, 421.0, 422.0], [110.0] * 3, [180.0] * 3
    with pytest.raises(InputError, match=message):
        match_sets(*kinds, tolerance_g=0.0, piston_limits_g=limit)
