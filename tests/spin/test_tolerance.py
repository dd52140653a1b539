"""Limits, their allocation to the bearings, and the verdict with a guard band."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.spin.grades import EDITIONS, STEPS, grade_rows
from balance.spin.load_limits import four_w_over_n, navy_limit
from balance.spin.tolerance import (
    GUARD,
    allocate,
    grade_number,
    grade_of,
    in_words,
    judge,
    permissible,
)

POSITIVE = st.floats(0.1, 1e4)
PLACE = st.floats(-2000, 2000)


# grade -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["G 6.3", "G6.3", "g 6,3", " 6.3 ", 6.3, np.float64(6.3), "G06.3"])
def test_grade_is_read_as_people_write_it(text):
    assert grade_number(text) == 6.3


@pytest.mark.parametrize("text", ["", "G", "H 6.3", "6.3 mm/s", "-6.3", "G 6.3.1", "nan"])
def test_grade_text_that_is_none_is_refused(text):
    with pytest.raises(InputError, match=r"grade must look like 'G 6\.3' or 6\.3, got"):
        grade_number(text)


@pytest.mark.parametrize(
    ("value", "message"),
    [
        (0, "grade must be greater than zero, got 0"),
        ("G 0", "grade must be greater than zero"),
        (-1.0, "grade must be greater than zero, got -1.0"),
        (np.nan, "grade must be finite"),
        ([1, 2], "grade must be one number"),
        (1 + 1j, "grade must be real"),
    ],
)
def test_grade_number_that_cannot_be_is_refused(value, message):
    with pytest.raises(InputError, match=message):
        grade_number(value)


@settings(max_examples=40, deadline=None)
@given(POSITIVE, POSITIVE, POSITIVE)
def test_grade_of_is_the_inverse_of_permissible(mass, speed, grade):
    limit = permissible(rotor_mass_kg=mass, speed_rpm=speed, grade=grade)
    assert grade_of(limit, rotor_mass_kg=mass, speed_rpm=speed) == pytest.approx(grade, rel=1e-12)


def test_permissible_is_the_speed_of_the_centre_of_mass():
    # definition: U/m is the eccentricity in mm; times w it is the grade in mm/s
    limit = permissible(rotor_mass_kg=12, speed_rpm=4500, grade=16)
    eccentricity_mm = limit / 12_000
    assert eccentricity_mm * 4500 * 2 * np.pi / 60 == pytest.approx(16, rel=1e-14)


def test_permissible_takes_arrays():
    masses = np.array([10.0, 20.0])
    limits = permissible(rotor_mass_kg=masses, speed_rpm=6000, grade="G 16")
    assert limits == pytest.approx(
        [permissible(rotor_mass_kg=m, speed_rpm=6000, grade=16) for m in masses]
    )


@pytest.mark.parametrize("bad", [0, -3, np.nan, np.inf, "ten"])
@pytest.mark.parametrize("name", ["rotor_mass_kg", "speed_rpm"])
def test_permissible_refuses(name, bad):
    values = {"rotor_mass_kg": 10.0, "speed_rpm": 6000.0, name: bad}
    with pytest.raises(InputError, match=f"{name} must be"):
        permissible(grade=16, **values)


def test_grade_of_nothing_is_zero_and_of_less_is_refused():
    assert grade_of(0, rotor_mass_kg=1, speed_rpm=1) == 0
    with pytest.raises(InputError, match="permissible_gmm must not be negative, got -1"):
        grade_of(-1, rotor_mass_kg=1, speed_rpm=1)


def test_standard_grades_are_the_rows_of_the_tables():
    assert {row.grade for row in grade_rows()} <= set(STEPS)
    assert {row.edition for row in grade_rows()} == set(EDITIONS)
    assert all(row.entries for row in grade_rows())
    ratios = np.diff(np.log10(STEPS))
    # steps of about 2.5 (ISO 21940-11, from memory): log10 is 0.4, printed to two figures
    assert ratios == pytest.approx([0.4] * len(ratios), abs=0.01)


def test_grade_rows_of_one_edition():
    rows = grade_rows(edition="ISO 21940-11:2016")
    assert [row.grade for row in rows] == [4000, 1600, 630, 250, 100, 40, 16]
    with pytest.raises(InputError, match=r"edition must be one of .* got 'ISO 1940'"):
        grade_rows(edition="ISO 1940")


@pytest.mark.parametrize(
    ("mass", "speed", "per_plane"),
    [
        (15, 6000, {40: 477, 16: 191, 6.3: 75, 2.5: 30}),
        (25, 6000, {40: 796, 16: 318, 6.3: 125, 2.5: 50}),
        (25, 7000, {40: 682, 16: 273, 6.3: 107, 2.5: 43}),
        (25, 9000, {40: 531, 16: 212, 6.3: 84, 2.5: 33}),
        (35, 5500, {40: 1215, 16: 486, 6.3: 191, 2.5: 76}),
        (45, 4000, {40: 2149, 16: 859, 6.3: 338, 2.5: 134}),
    ],
)
def test_shop_numbers_worked_by_hand(mass, speed, per_plane):
    # half of 9549.3 G m / n, rounded to 1 g mm
    for grade, half in per_plane.items():
        limit = permissible(rotor_mass_kg=mass, speed_rpm=speed, grade=grade) / 2
        assert limit == pytest.approx(half, abs=0.51)


# 4 W / N ---------------------------------------------------------------------------------------


def test_four_w_over_n_in_its_own_units():
    # 4 W[lb]/N oz in by its definition, converted with 0.45359237 kg/lb and 28.349523125 g/oz
    pounds, speed = 30.0, 5000.0
    expected = 4 * pounds / speed * 28.349523125 * 25.4
    assert four_w_over_n(load_kg=pounds * 0.45359237, speed_rpm=speed) == pytest.approx(expected)


def test_navy_rule_by_speed():
    ounce_inches_per_pound = [
        navy_limit(rotor_mass_kg=0.45359237, speed_rpm=n) / (28.349523125 * 25.4)
        for n in (149, 150, 1000, 1001, 4000)
    ]
    assert ounce_inches_per_pound == pytest.approx(
        [0.177, 4000 / 150**2, 0.004, 4 / 1001, 0.001], rel=1e-12
    )


def test_load_rules_refuse():
    with pytest.raises(InputError, match="load_kg must be greater than zero"):
        four_w_over_n(load_kg=0, speed_rpm=1)
    with pytest.raises(InputError, match="speed_rpm must be one number"):
        navy_limit(rotor_mass_kg=1, speed_rpm=[1, 2])


# allocation ------------------------------------------------------------------------------------


@settings(max_examples=60, deadline=None)
@given(POSITIVE, st.floats(0, 1), PLACE, st.floats(1, 2000))
def test_between_the_bearings_the_shares_make_the_total(total, part, start, span):
    bearings = (start, start + span)
    limits = allocate(total, centre_of_mass_mm=start + part * span * 0.999, bearings_mm=bearings)
    assert limits.sum() == pytest.approx(total, rel=1e-9)
    assert limits.min() >= 0.3 * total * (1 - 1e-12)
    assert limits.max() <= 0.7 * total * (1 + 1e-12)


@settings(max_examples=60, deadline=None)
@given(POSITIVE, PLACE, PLACE, st.floats(1, 2000))
def test_bearings_in_either_order(total, centre, start, span):
    there = allocate(total, centre_of_mass_mm=centre, bearings_mm=(start, start + span))
    back = allocate(total, centre_of_mass_mm=centre, bearings_mm=(start + span, start))
    assert there == pytest.approx(back[::-1])
    assert np.all(there >= 0.3 * total * (1 - 1e-12))
    assert np.all(there <= 1.3 * total * (1 + 1e-12))


@pytest.mark.parametrize(
    ("centre", "expected"),
    [
        (250, [50, 50]),
        (200, [60, 40]),  # the nearer bearing takes more
        (150, [70, 30]),
        (100, [70, 30]),  # 80/20 is held to 70/30
        (0, [70, 30]),  # at a bearing still counts as between
        (500, [30, 70]),
        (550, [30, 110]),  # overhung by 0.1 span: 10 is lifted to 30, 110 is allowed
        (700, [40, 130]),  # by 0.4 span: 40 stands, 140 is held to 130
        (-50, [110, 30]),
        (1250, [130, 130]),  # absurdly far: both held
    ],
)
def test_allocation_by_hand(centre, expected):
    limits = allocate(100, centre_of_mass_mm=centre, bearings_mm=(0, 500))
    assert limits == pytest.approx(expected)


def test_overhung_rotor_on_an_ordinary_bearing():
    limits = allocate(100, centre_of_mass_mm=550, bearings_mm=(0, 500), overhung_support=False)
    assert limits == pytest.approx([30, 70])


def test_allocation_refuses():
    with pytest.raises(InputError, match="permissible_gmm must be greater than zero, got 0"):
        allocate(0, centre_of_mass_mm=0, bearings_mm=(0, 1))
    with pytest.raises(InputError, match="permissible_gmm must be one number"):
        allocate([1, 2], centre_of_mass_mm=0, bearings_mm=(0, 1))
    with pytest.raises(InputError, match="bearings_mm must be two different places"):
        allocate(1, centre_of_mass_mm=0, bearings_mm=(3, 3))
    with pytest.raises(InputError, match="centre_of_mass_mm must be one number"):
        allocate(1, centre_of_mass_mm=[0, 1], bearings_mm=(0, 1))
    with pytest.raises(InputError, match="centre_of_mass_mm must be finite"):
        allocate(1, centre_of_mass_mm=np.nan, bearings_mm=(0, 1))


# verdict ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("reading", "verdict"),
    [
        (0, "pass"),
        (75.24, "pass"),  # 100 - 1.65 * 15 = 75.25
        (75.26, "not proven"),
        (100, "not proven"),
        (124.74, "not proven"),
        (124.76, "fail"),
        (1e6, "fail"),
    ],
)
def test_guard_band(reading, verdict):
    assert GUARD == 1.65
    assert judge(reading, permissible_gmm=100, u_gmm=15) == verdict


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 300), st.floats(0, 360), st.floats(0, 60))
def test_angle_does_not_matter(size, angle, u):
    vector = size * np.exp(1j * np.radians(angle))
    size = abs(vector)
    assert judge(vector, permissible_gmm=100, u_gmm=u) == judge(size, permissible_gmm=100, u_gmm=u)


def test_without_doubt_the_limit_itself_passes():
    assert judge(100j, permissible_gmm=100, u_gmm=0) == "pass"
    assert judge(100.001, permissible_gmm=100, u_gmm=0) == "fail"


def test_several_planes_get_one_verdict():
    def verdict(*residual):
        return judge(residual, permissible_gmm=(100, 200), u_gmm=(15, 10))

    assert verdict(70, 180j) == "pass"
    assert verdict(70, 200) == "not proven"
    assert verdict(100, 230) == "fail"
    assert judge((100, 90), permissible_gmm=100, u_gmm=0) == "pass"
    assert judge((100, 90), permissible_gmm=100, u_gmm=(0, 15)) == "not proven"


def test_machine_too_coarse_for_the_limit_can_never_pass():
    assert judge(0, permissible_gmm=10, u_gmm=7) == "not proven"


@pytest.mark.parametrize(
    ("residual", "limit", "u", "message"),
    [
        (1, 0, 1, "permissible_gmm must be greater than zero"),
        (1, 1, -1, "u_gmm must not be negative"),
        (np.nan, 1, 1, "unbalance must be finite"),
        ([], 1, 1, "unbalance must hold at least one plane"),
        ([1, 2], [1, 2, 3], 1, "permissible_gmm must be one value or one for each plane"),
        (1, [1, 2], 1, "permissible_gmm must be one value or one for each plane"),
        ([1, 2], 1, [1], "u_gmm must be one value or one for each plane"),
    ],
)
def test_judge_refuses(residual, limit, u, message):
    with pytest.raises(InputError, match=message):
        judge(residual, permissible_gmm=limit, u_gmm=u)


# words -----------------------------------------------------------------------------------------


def test_limit_in_words():
    words = in_words(144.0156, rotor_mass_kg=25, speed_rpm=7000, radius_mm=72, share=1)
    assert words.oz_in == pytest.approx(0.2, rel=1e-6)
    assert words.grams_at_radius == pytest.approx(144.0156 / 72)
    assert words.grade == pytest.approx(grade_of(144.0156, rotor_mass_kg=25, speed_rpm=7000))
    assert str(words) == "144 g mm = 0.200 oz in = 2.00 g at 72.00 mm = G 4.22"


def test_the_limit_of_a_turbocharger_is_not_nothing_in_words():
    # 0.06 g mm / 20 mm = 0.003 g; G = 0.12 x 12566 / 300 = 5.03
    words = in_words(0.06, rotor_mass_kg=0.3, speed_rpm=120000, radius_mm=20)
    assert str(words).startswith("0.060 g mm = 0.000083 oz in = 0.0030 g at 20.00 mm = G 5.03")


def test_limit_in_words_of_an_allocated_plane_gives_the_grade_back():
    total = permissible(rotor_mass_kg=30, speed_rpm=5500, grade=16)
    shares = allocate(total, centre_of_mass_mm=200, bearings_mm=(0, 500)) / total
    for share in shares:
        words = in_words(
            share * total, rotor_mass_kg=30, speed_rpm=5500, radius_mm=80, share=float(share)
        )
        assert words.grade == pytest.approx(16)
        assert f"{share:.0%} of the total" in str(words)


@pytest.mark.parametrize("name", ["permissible_gmm", "radius_mm", "share"])
def test_limit_in_words_refuses(name):
    values = {"permissible_gmm": 1.0, "radius_mm": 70.0, "share": 0.5, name: 0}
    with pytest.raises(InputError, match=f"{name} must be greater than zero, got 0"):
        in_words(rotor_mass_kg=1, speed_rpm=1, **values)


@pytest.mark.parametrize("angle", range(0, 360, 7))
def test_no_verdict_hangs_on_the_last_digit_of_a_turned_vector(angle: int) -> None:
    from balance.vectors import vector

    guard = 1.65 * 12.0
    assert judge(vector(100 - guard, angle), permissible_gmm=100, u_gmm=12) == "pass"
    assert judge(vector(100 + guard, angle), permissible_gmm=100, u_gmm=12) == "fail"
    assert judge(vector(100, angle), permissible_gmm=100, u_gmm=0) == "pass"
