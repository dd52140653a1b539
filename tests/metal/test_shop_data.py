"""Drill names, materials, and the guards of published practice."""

from importlib.resources import files

import pytest

from balance.engine.layouts import Cylinder, Engine, Throw
from balance.engine.steps import engine_of
from balance.errors import InputError
from balance.job.drills import drill, drill_list
from balance.job.load import read_job
from balance.metal.bays import bays_of
from balance.metal.guards import (
    CUTTING_CAUTIONS,
    PRACTICE,
    RETENTION_CHECKLIST,
    TUNGSTEN_CAUTIONS,
    practice_warnings,
)
from balance.metal.materials import MATERIALS, material
from balance.metal.shapes import DrilledHole


@pytest.mark.parametrize(
    ("name", "diameter"),
    [
        ("1/2 in", 12.7),
        ("1/2", 12.7),
        ('1/2"', 12.7),
        ("1 1/4 in", 31.75),
        ("1-1/4 in", 31.75),
        ("31/64 inch", 12.303125),
        ("0.5 in", 12.7),
        (".5 in", 12.7),
        ("12.5 mm", 12.5),
        ("12,5mm", 12.5),
        ("#7", 5.1054),
        ("No. 7", 5.1054),
        ("number 7", 5.1054),
        ("letter F", 6.5278),
        ("f", 6.5278),
    ],
)
def test_names_of_drills(name: str, diameter: float) -> None:
    assert drill(name).diameter_mm == pytest.approx(diameter, abs=1e-12)


def test_the_list_is_in_order_and_every_name_reads_back() -> None:
    drills = drill_list()
    sizes = [each.diameter_mm for each in drills]
    assert sizes == sorted(sizes)
    assert all(drill(each.name) == each for each in drills)
    assert len({each.name for each in drills}) == len(drills) == 80 + 26 + 128 + 179


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("12.7", "name must be a drill such as .*, got '12.7'"),
        ("#81", "name must be a number drill from #1 to #80, got #81"),
        ("#0", "from #1 to #80, got #0"),
        ("1/3 in", "name must be a fraction in 64ths of an inch or coarser, got '1/3 in'"),
        ("1/0 in", "64ths"),
        ("0 mm", "name must be a size greater than zero, got '0 mm'"),
        ("half", "got 'half'"),
    ],
)
def test_drills_that_are_none(name: str, message: str) -> None:
    with pytest.raises(InputError, match=message):
        drill(name)


def test_every_material_lies_in_its_own_range_and_names_its_source() -> None:
    for each in MATERIALS:
        assert each.low_g_cm3 <= each.density_g_cm3 <= each.high_g_cm3
        assert each.source
        assert material(each.name.upper()) is each
    with pytest.raises(InputError, match=r"name must be one of: steel, .*; got 'cheese'"):
        material("cheese")


def test_practice_is_silent_inside_its_limits() -> None:
    holes = [DrilledHole(10.0 * k, 19.05, 50.8) for k in range(6)]
    assert practice_warnings(holes, thinnest_wall_mm=3.175, ground_g=56.7) == ()


def test_practice_speaks_once_for_each_limit_and_names_its_source() -> None:
    holes = [DrilledHole(10.0 * k, 12.7, 20.0) for k in range(6)]
    holes += [DrilledHole(90.0, 25.4, 20.0), DrilledHole(100.0, 12.7, 60.0)]
    said = practice_warnings(holes, thinnest_wall_mm=2.0, ground_g=80.0)
    assert len(said) == 5
    assert all(PRACTICE.source in each for each in said)
    assert said[0].startswith("8 holes in one bay, practice is 6 at most")
    assert said[1].startswith("the hole at 90 degrees is 25.4 mm x 20 mm deep")
    assert said[3].startswith("a wall of 2 mm, practice is 3.175 mm at least")
    assert said[4].startswith("80 g ground off, practice is 56.7 g at most")


BAYS = {
    "flat-four": ["W1 W2", "W3 W4", "W5 W6", "W7 W8"],
    "v-twin": ["W1 W2"],
    "v8": ["W1 W2", "W3", "W4", "W5 W6"],  # the inner throws carry one each
}


@pytest.mark.parametrize("name", BAYS)
def test_counterweights_of_one_throw_share_a_bay(name: str) -> None:
    job = read_job(files("cli.examples") / f"{name}.toml")
    weights = job.crank.counterweights if job.crank else ()
    bays = bays_of(engine_of(job), [weight.z for weight in weights])
    assert [" ".join(weights[i].mark for i in bay) for bay in bays] == BAYS[name]


def test_pins_with_no_main_bearing_between_them_share_a_bay() -> None:
    cylinders = (Cylinder(0, 0.0, 0.0), Cylinder(1, 0.0, 24.0), Cylinder(2, 0.0, 100.0))
    throws = (Throw(0.0, 0.0), Throw(30.0, 24.0), Throw(120.0, 100.0))
    splayed = Engine(80.0, 140.0, 100.0, throws, cylinders)
    assert bays_of(splayed, [-14, 38, 85, 115]) == ((0, 1), (2, 3))
    assert bays_of(splayed, []) == ()


@pytest.mark.parametrize(
    ("keywords", "message"),
    [
        ({"ground_g": -1.0}, "ground_g must not be negative, got -1.0"),
        ({"thinnest_wall_mm": -0.1}, "thinnest_wall_mm must not be negative, got -0.1"),
    ],
)
def test_practice_messages(keywords: dict[str, float], message: str) -> None:
    with pytest.raises(InputError, match=message):
        practice_warnings([], **keywords)


def test_every_caution_names_a_source_or_says_it_has_none() -> None:
    for text in (*CUTTING_CAUTIONS, *TUNGSTEN_CAUTIONS, *RETENTION_CHECKLIST):
        assert text.endswith(")")
