"""One bobweight of another job on its pin: asked about where it shows nearly all of a crank.

Every crank is invented; what a machine would show of it is statics (force and moment), worked out
here without the package.
"""

import re

import numpy as np
import pytest
from cli.examples import make_examples
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from balance.job.load import read_text
from balance.sheet.results import Results
from balance.spin.slips import bobweight_slip_doubt

Complex = NDArray[np.complex128]
SPAN_MM, RADIUS_MM, HUNG_G = 298.0, 41.0, 1631.0
PINS = ((44.0, 0.0), (149.0, 120.0), (254.0, 240.0))  # z, angle: a V-6 with three pins
LIMITS = np.array([79.0, 79.0])


def at_bearings(gmm: complex, z_mm: float) -> Complex:
    """Return what an unbalance at one place puts on bearings at 0 and at the span."""
    return np.array([gmm * (SPAN_MM - z_mm), gmm * z_mm]) / SPAN_MM


GRAMS = np.array([at_bearings(RADIUS_MM * np.exp(1j * np.radians(a)), z) for z, a in PINS])


def asked(unbalance: Complex) -> str:
    return bobweight_slip_doubt(unbalance, GRAMS, [HUNG_G] * 3, limits_gmm=LIMITS)


def random_crank(rng: np.random.Generator, low_gmm: float, high_gmm: float) -> Complex:
    return rng.uniform(low_gmm, high_gmm, 2) * np.exp(2j * np.pi * rng.uniform(size=2))


@given(st.integers(0, 2), st.sampled_from([-1, 1]), st.floats(120, 400), st.integers(0, 10**6))
def test_a_bobweight_far_off_is_named_beside_any_usual_crank(
    pin: int, sign: int, grams: float, seed: int
) -> None:
    """A crank of 200 to 600 g mm at each bearing, hung with one bobweight wrong by over 120 g."""
    crank = random_crank(np.random.default_rng(seed), 200, 600)
    said = asked(crank + sign * grams * GRAMS[pin])
    found = re.search(r"about (\d+) g too (\w+) on crankpin (\d)", said)
    assert found is not None
    assert found[2] == ("heavy" if sign > 0 else "light")
    assert int(found[3]) == pin + 1
    # at most what the crank itself, as two planes at once, may add along the pin
    own = np.linalg.norm(crank) / np.linalg.norm(GRAMS[pin])
    assert float(found[1]) == pytest.approx(grams, abs=own + 0.5)


@pytest.mark.parametrize(("low", "high", "share"), [(200, 600, 0.0), (100, 1700, 0.02)])
def test_cranks_in_order_are_hardly_ever_asked_about(low: float, high: float, share: float) -> None:
    """Of 3000 random cranks; 200 to 600 g mm is less than a bobweight wrong by 2 % would do."""
    rng = np.random.default_rng(20251125)
    speaks = sum(bool(asked(random_crank(rng, low, high))) for _ in range(3000))
    assert speaks / 3000 <= share


def test_a_bobweight_a_hundred_grams_off_is_nearly_always_named() -> None:
    rng = np.random.default_rng(20251126)
    cranks = [random_crank(rng, 200, 600) for _ in range(1000)]
    named = sum(bool(asked(crank - 100 * GRAMS[k % 3])) for k, crank in enumerate(cranks))
    assert named / 1000 >= 0.95


def test_the_text_says_what_is_left_and_what_to_do() -> None:
    said = asked(np.array([100.0, 150j]) - 92 * GRAMS[0])
    assert re.search("a bobweight about (8|9)[0-9] g too light on crankpin 1 would show", said)
    assert re.search("without that [0-9]+ and [0-9]+ g mm would be left", said)
    assert "Weigh what hung, bobweight by bobweight, before anything is cut" in said


def test_parts_heavier_than_the_crank_was_made_for_are_not_asked_about() -> None:
    """Every pin wrong by the same mass is a couple here; new pistons do just that."""
    assert asked(100 * GRAMS.sum(axis=0)) == ""


def test_a_crank_with_one_pin_is_not_asked_about() -> None:
    one = bobweight_slip_doubt(100 * GRAMS[0], GRAMS[:1], [HUNG_G], limits_gmm=LIMITS)
    assert one == ""


def test_what_no_bobweight_can_be_wrong_by_is_not_asked_about() -> None:
    assert asked(0.5 * HUNG_G * GRAMS[1]) == ""
    assert asked(0.01 * HUNG_G * GRAMS[1]) == ""


def test_within_thrice_the_limit_nothing_is_asked() -> None:
    high = np.array([5000.0, 5000.0])
    assert bobweight_slip_doubt(90 * GRAMS[0], GRAMS, [HUNG_G] * 3, limits_gmm=high) == ""


def test_a_job_says_it_before_the_first_hole_and_as_long_as_the_first_spin_counts() -> None:
    """What is written to hang on the last pin did not: 450 g less did."""
    job = make_examples.v8()[0]
    assert job.count('bobweights = ["2184 g"]') == 1
    four = 'bobweights = ["2184 g", "2184 g", "2184 g", "2634 g"]'
    wrong = job.replace('bobweights = ["2184 g"]', four)
    doubts = Results(read_text(wrong)).spun.doubts
    assert sum("too light on crankpin 4 would show" in doubt for doubt in doubts) == 1
    assert not any("crankpin" in doubt for doubt in Results(read_text(job)).spun.doubts)
