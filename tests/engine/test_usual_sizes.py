"""Speed and mass ten times wrong are doubted, engines from a moped to a boat are not.

Strokes, speeds, lengths and masses of the engines are invented, of the size that such engines have
(common practice, no source).
"""

import pytest

from balance.engine.motion import piston
from balance.engine.usual_sizes import (
    bolted_mass_doubt,
    crank_mass_doubt,
    mean_piston_speed_m_s,
    speed_doubt,
)
from balance.errors import InputError

STEEL = 7.85
# stroke [mm], service speed [rpm], between the outer bearings [mm], bare crank [kg]
ENGINES = {
    "moped": (39, 6500, 55, 1.1),
    "two-stroke trials single": (54.5, 9000, 70, 3.5),
    "motorcycle four": (42.5, 14000, 300, 6.5),
    "motorcycle thousand": (48.5, 13000, 330, 9),
    "vintage 500 single": (86, 5000, 90, 8),
    "V-twin": (98, 5200, 104, 13.8),
    "boxer four": (84, 7800, 270, 12.4),
    "in-line four": (86, 6500, 360, 14),
    "long-stroke vintage four": (120, 3500, 450, 20),
    "V8": (92, 4600, 456, 31),
    "sprint V8": (92, 10000, 456, 22),
    "V12": (78, 7000, 600, 26),
    "radial nine": (140, 2400, 250, 30),
    "marine diesel six": (130, 2000, 900, 90),
    "slow stationary single": (150, 700, 220, 40),
}


@pytest.mark.parametrize("engine", ENGINES)
def test_engines_of_every_size_are_believed(engine: str) -> None:
    stroke, speed, length, mass = ENGINES[engine]
    assert speed_doubt(stroke, speed) == ""
    size = {"stroke_mm": stroke, "length_mm": length, "density_g_cm3": STEEL}
    assert crank_mass_doubt(1000 * mass, **size) == ""


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize("wrong", [0.1, 10, 1000])
def test_ten_times_wrong_is_doubted(engine: str, wrong: float) -> None:
    stroke, speed, length, mass = ENGINES[engine]
    assert "is a figure too many, or missing?" in speed_doubt(stroke, wrong * speed)
    size = {"stroke_mm": stroke, "length_mm": length, "density_g_cm3": STEEL}
    assert "is a figure too many, or missing?" in crank_mass_doubt(1000 * wrong * mass, **size)


def test_what_is_usual_is_said() -> None:
    said = crank_mass_doubt(124_000, stroke_mm=84, length_mm=270, density_g_cm3=STEEL)
    assert said.startswith("a crank of 124 kg is odd for a stroke of 84 mm and 270 mm between its")
    assert "usual are 4.5 to 45 kg (common practice, no source)" in said
    assert "usual are 3.2 to 32 m/s (common practice, no source)" in speed_doubt(84, 78)


def test_the_limits_themselves_are_usual() -> None:
    # 100 mm x 100 mm x 100 mm of 1 g/cm3 is 1 kg: 0.3 and 3 of it
    box = {"stroke_mm": 100, "length_mm": 100, "density_g_cm3": 1}
    assert [crank_mass_doubt(m, **box) == "" for m in (299, 300, 3000, 3010)] == [
        False,
        True,
        True,
        False,
    ]
    assert "usual are 0.30 to 3.0 kg" in crank_mass_doubt(299, **box)
    # 2 x 100 mm x n / 60 000: 3.2 and 32 m/s at 960 and 9600 rpm
    assert [speed_doubt(100, n) == "" for n in (959, 960, 9600, 9601)] == [
        False,
        True,
        True,
        False,
    ]
    assert bolted_mass_doubt("flywheel", 4000, crank_mass_g=1000) == ""
    assert bolted_mass_doubt("flywheel", 4001, crank_mass_g=1000) != ""


def test_a_bolted_part_far_heavier_than_the_crank_is_doubted() -> None:
    assert bolted_mass_doubt("flywheel", 36_000, crank_mass_g=12_000) == ""  # of an old single
    assert "flywheel: 80 kg beside a crank of 12 kg" in bolted_mass_doubt(
        "flywheel", 80_000, crank_mass_g=12_000
    )


def test_the_mean_speed_is_that_of_the_motion() -> None:
    # half a turn carries the piston over its stroke: the mean of its speed there is the definition
    angles = [180 * (k + 0.5) / 2000 for k in range(2000)]
    moved = [
        abs(float(piston(a, stroke_mm=90, rod_length_mm=150, speed_rpm=6000).velocity_m_s))
        for a in angles
    ]
    # 2000 midpoints: the sum is off by (step)^2 / 24 of the slope at the ends, below 1e-6
    assert sum(moved) / len(moved) == pytest.approx(mean_piston_speed_m_s(90, 6000), rel=1e-5)


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: mean_piston_speed_m_s(0, 6000), "stroke_mm must be greater than zero"),
        (lambda: mean_piston_speed_m_s(90, -1), "speed_rpm must be greater than zero"),
        (lambda: bolted_mass_doubt("x", 0, crank_mass_g=1), "mass_g must be greater than zero"),
        (
            lambda: crank_mass_doubt(1, stroke_mm=1, length_mm=0, density_g_cm3=1),
            "length_mm must be greater than zero",
        ),
        (
            lambda: crank_mass_doubt(1, stroke_mm=1, length_mm=1, density_g_cm3=-7.85),
            "density_g_cm3 must be greater than zero",
        ),
    ],
)
def test_what_is_no_size_is_refused(call, match) -> None:
    with pytest.raises(InputError, match=match):
        call()
