"""How finely parts were weighed, told from the readings: ounces, whole grams, no false alarm."""

import re

import numpy as np
import pytest
from cli.examples import make_examples

from balance.errors import InputError
from balance.job.load import read_text
from balance.parts.coarse_readings import told_step
from balance.parts.doubts import doubts_job

OUNCE_G = 28.349523125  # international yard and pound agreement of 1959, exact
EXAMPLES = [make_examples.flat_four()[0], make_examples.v_twin()[0], make_examples.v8()[0]]


@pytest.mark.parametrize(
    ("readings_g", "text"),
    [
        ([14.8 * OUNCE_G, 14.9 * OUNCE_G, 3.9 * OUNCE_G], "0.1 oz"),
        ([round(ounces * OUNCE_G, 1) for ounces in (14.8, 14.9, 3.9, 15.3)], "0.1 oz"),  # as grams
        ([14.8125 * OUNCE_G, 14.875 * OUNCE_G, 14.9375 * OUNCE_G, 15 * OUNCE_G], "0.0625 oz"),
        ([420, 421, 423, 428], "1 g"),
        ([420, 425, 430, 415], "5 g"),
        ([0.92 * 16 * OUNCE_G, 0.93 * 16 * OUNCE_G, 0.95 * 16 * OUNCE_G], "0.01 lb"),
    ],
)
def test_the_coarsest_step_is_told(readings_g: list[float], text: str) -> None:
    found = told_step(readings_g, resolution_g=0.1)
    assert found is not None
    assert found.text == text


@pytest.mark.parametrize(
    "division",
    [
        *("50 g", "20 g", "10 g", "5 g", "2 g", "1 g", "0.5 g"),
        *("1 oz", "0.5 oz", "0.25 oz", "0.2 oz", "0.125 oz", "0.1 oz", "0.0625 oz", "0.05 oz"),
        *("0.5 lb", "0.2 lb", "0.1 lb", "0.05 lb", "0.02 lb", "0.01 lb"),
    ],
)
def test_every_division_of_a_scale_is_told_by_its_name(division: str) -> None:
    """Seven neighbours differ by one division: no coarser one has them all as multiples."""
    size, unit = division.split()
    one = float(size) * {"g": 1.0, "oz": OUNCE_G, "lb": 16 * OUNCE_G}[unit]
    found = told_step([n * one for n in range(7, 14)], resolution_g=0.1)
    assert found is not None
    assert (found.text, found.step_g) == (division, pytest.approx(one))


def test_one_in_ten_thousand_is_the_chance_that_is_still_taken() -> None:
    # hundredths of a pound, 4.536 g, on a scale that is said to show grams: one in 4.536 by chance
    hundredths = [n * 0.16 * OUNCE_G for n in range(91, 98)]
    assert told_step(hundredths[:6], resolution_g=1.0) is None  # (1 / 4.536)^6 = 1.15 in 10 000
    found = told_step(hundredths, resolution_g=1.0)  # to the seventh: 0.25 in 10 000
    assert found is not None
    assert found.text == "0.01 lb"


@pytest.mark.parametrize(
    "readings_g",
    [
        [420.3, 421.0, 422.0, 428.0],
        [420.0, 421.0, 421.0, 420.0],  # two different ones may well end in 0
        [14.8 * OUNCE_G],
        [],
    ],
)
def test_what_chance_explains_is_no_step(readings_g: list[float]) -> None:
    assert told_step(readings_g, resolution_g=0.1) is None


def test_a_scale_of_whole_grams_is_not_held_against_itself() -> None:
    assert told_step([420, 421, 423, 428], resolution_g=1.0) is None


def test_random_readings_are_rarely_taken_for_coarse() -> None:
    rng, taken = np.random.default_rng(7), 0
    for _ in range(2000):
        readings = np.round(rng.uniform(90, 600, rng.integers(3, 12)), 1)
        taken += told_step(readings, resolution_g=0.1) is not None
    # 21 steps of which each is taken by chance once in 10 000 at most: 4.2 expected at the worst,
    # and more than 10 of them once in 250 such series
    assert taken <= 10


@pytest.mark.parametrize("wrong", [[0.0], [-1.0], [float("nan")]])
def test_what_is_no_weight_is_refused(wrong: list[float]) -> None:
    with pytest.raises(InputError, match="readings_g must be"):
        told_step(wrong, resolution_g=0.1)


def in_ounces(text: str, keys: str) -> str:
    """Write the weights of some keys of a job in tenths of an ounce."""

    def coarse(line: re.Match[str]) -> str:
        return re.sub(r"([\d.]+) g", lambda m: f"{float(m[1]) / OUNCE_G:.1f} oz", line[0])

    return re.sub(rf"^({keys}) = .*$", coarse, text, flags=re.MULTILINE)


def said(text: str) -> list[str]:
    return [doubt.text for doubt in doubts_job(read_text(text)) if doubt.kind == "scale"]


def test_ounces_in_the_tables_of_parts_are_doubted() -> None:
    (one,) = said(in_ounces(EXAMPLES[0], "weight|total|big_end|small_end"))
    assert "the weighings of all parts are all whole multiples of 0.1 oz (2.8 g)" in one
    assert "that cannot tell 0.5 g" in one
    (rods,) = said(in_ounces(EXAMPLES[2], "big_end"))
    assert "the weighings of the rods' big ends are all whole multiples of 0.1 oz" in rods


@pytest.mark.parametrize("text", EXAMPLES)
def test_the_examples_are_fine_enough(text: str) -> None:
    assert said(text) == []


def test_a_tolerance_that_the_step_can_tell_is_not_doubted() -> None:
    coarse = in_ounces(EXAMPLES[0], "weight|total|big_end|small_end")
    assert said(re.sub(r"match_tolerance = .*", 'match_tolerance = "5 g"', coarse)) == []
