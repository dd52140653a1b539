"""What putty must show, and which slips show something else; all numbers by hand or by statics."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from balance.errors import InputError
from balance.spin.check_spin import (
    CheckSpin,
    Putty,
    judge_check_spin,
    predict_check_spin,
    putty_gmm,
)
from balance.spin.machine import Machine, to_crank
from balance.vectors import vector

Complex = NDArray[np.complex128]
HEAVY = Machine(
    planes_mm=(0, 400),
    first_plane="nose",
    unit="g mm",
    counts="counter-clockwise",
    seen_from="flywheel",
    zero_degrees=0,
    points_to="heavy",
)
BEFORE = np.array([300j, 100 + 0j])
LUMP = Putty(z_mm=0, radius_mm=80, mass_g=10, degrees=40)
CHANGE = np.array([complex(vector(800, 40)), 0j])


def planned(*putty: Putty, declared: bool = False, u: float = 5.0) -> CheckSpin:
    return predict_check_spin(BEFORE, putty or (LUMP,), HEAVY, u_reading_gmm=u, declared=declared)


def judged(after: Complex, *putty: Putty, u: float = 5.0) -> tuple[str, tuple[str, ...]]:
    found = judge_check_spin(planned(*putty, u=u), after, u_reading_gmm=u)
    return found.verdict, found.fits


def test_putty_is_shared_between_the_planes_by_force_and_moment() -> None:
    # 10 g at 80 mm is 800 g mm; a quarter of the way along, three quarters of it stay near
    put = putty_gmm([Putty(100, 80, 10, 0), Putty(400, 80, 5, 90)], (0, 400))
    assert put == pytest.approx([600, 200 + 400j])
    assert putty_gmm([Putty(100, 80, 10, 0)], (0,)) == pytest.approx([800])


def test_what_must_be_shown_is_told_in_the_machines_own_words() -> None:
    machine = Machine(
        planes_mm=(0, 400),
        first_plane="flywheel",
        unit="g",
        radii_mm=(80, 100),
        counts="clockwise",
        seen_from="flywheel",
        zero_degrees=10,
        points_to="light",
    )
    check = predict_check_spin([0, 500j], [Putty(0, 80, 10, 130)], machine, u_reading_gmm=5)
    far, near = check.readings
    # 500 g mm at 90 of the crank: light side at 270, counted backwards from 10: -260; 5 g at 100 mm
    assert (far.amount, far.degrees) == pytest.approx((5, 100))
    # 10 g at 130: light side at 310, 300 backwards from 10
    assert (near.amount, near.degrees) == pytest.approx((10, 60))


@given(
    zero=st.floats(0, 360),
    counts=st.sampled_from(["clockwise", "counter-clockwise"]),
    points=st.sampled_from(["heavy", "light"]),
    first=st.sampled_from(["nose", "flywheel"]),
    angle=st.floats(30, 60),
)
@settings(max_examples=60, deadline=None)
def test_a_machine_in_order_shows_what_it_must(
    zero: float, counts: str, points: str, first: str, angle: float
) -> None:
    machine = Machine(
        planes_mm=(0, 400), first_plane=first, unit="oz in", counts=counts, seen_from="nose",
        zero_degrees=zero, points_to=points,
    )  # fmt: skip
    check = predict_check_spin(BEFORE, [Putty(0, 80, 10, angle)], machine, u_reading_gmm=5)
    found = judge_check_spin(check, to_crank(check.readings, machine), u_reading_gmm=5)
    assert found.verdict == "agrees"
    assert np.abs(found.difference).max() < 1e-6


@pytest.mark.parametrize(
    ("slip", "said"),
    [
        (lambda u: -u, "the angles are half a turn off (light side for heavy)"),
        (lambda u: u.conj(), "the angles were counted the other way"),
        (lambda u: u[::-1], "the two planes were exchanged"),
        (
            lambda u: -u[::-1],
            "the two planes were exchanged and the angles are half a turn off (light side for "
            "heavy)",
        ),
        (lambda u: u * vector(1, -110), "it shows -110 degrees round"),
        (lambda u: u * 1.6, "it shows 1.6 times as large"),
        (lambda u: u * 0, "nothing was stuck on, or the old reading was written again"),
    ],
)
def test_a_slip_in_the_understanding_is_named(slip: Callable, said: str) -> None:
    verdict, fits = judged(BEFORE + slip(CHANGE))
    assert verdict == "contradicts"
    assert fits[0].startswith(said)


def test_the_doubt_of_a_lump_grows_with_it() -> None:
    # 3 x 800 g mm, 12 degrees beside 40: 2400 sin 12 = 499 g mm off the line through 40 degrees,
    # more than the 286 g mm that a lump of 800 may be off, less than three times that
    verdict, fits = judged(BEFORE + 3 * CHANGE * vector(1, 12))
    assert verdict == "contradicts"
    assert fits == ("it shows 2.9 times as large: a mass, a radius or a unit",)  # 3 cos 12 = 2.93
    # 30 degrees beside: 1200 g mm are too much for any size
    assert judged(BEFORE + 3 * CHANGE * vector(1, 30)) == ("contradicts", ())


def test_a_slip_in_the_check_spin_alone_is_told_from_one_in_the_machine() -> None:
    verdict, fits = judged((BEFORE + CHANGE)[::-1])
    assert verdict == "contradicts"
    assert fits == ("in this one spin the two planes were exchanged",)


def test_what_no_slip_explains_is_left_unexplained() -> None:
    assert judged(BEFORE + np.array([0, 500j]) + 1000) == ("contradicts", ())


def test_lumps_that_cancel_each_other_have_no_size_to_be_told_by() -> None:
    # half a turn apart nothing must show; 900 g mm that nobody put there are not so many times it
    lumps = Putty(0, 80, 10, 30), Putty(0, 80, 10, 210)
    assert np.abs(putty_gmm(lumps, (0, 400))).max() < 1e-9
    assert judged(BEFORE + np.array([900, 0]), *lumps) == ("contradicts", ())
    assert judged(BEFORE, *lumps)[0] == "too little"


def test_a_lump_in_line_with_crankpin_1_cannot_tell_the_way_of_counting() -> None:
    in_line = Putty(0, 80, 10, 175)
    verdict, fits = judged(BEFORE + putty_gmm([in_line], (0, 400)), in_line)
    assert (verdict, fits) == ("too little", ("the angles were counted the other way",))


def test_a_lump_lost_in_the_noise_tells_nothing() -> None:
    verdict, fits = judged(BEFORE + CHANGE, u=400.0)
    assert verdict == "too little"
    assert len(fits) == 3


def test_a_declared_machine_may_count_the_other_way_from_its_own_zero() -> None:
    # zero at 90: 40 degrees on the crank is -50 shown; counted the other way it lies at 140
    machine = Machine(
        planes_mm=(0,), first_plane="nose", unit="g mm", counts="counter-clockwise",
        seen_from="flywheel", zero_degrees=90, points_to="heavy",
    )  # fmt: skip
    for declared in (True, False):
        check = predict_check_spin([0], [LUMP], machine, u_reading_gmm=5, declared=declared)
        found = judge_check_spin(check, [vector(800, 140)], u_reading_gmm=5)
        assert found.verdict == "contradicts"
        assert ("other way round (counts)" in found.fits[0]) == declared
        assert not any("planes" in slip.text for slip in check.slips)


def test_the_reach_grows_with_every_doubt_and_holds_what_shops_do() -> None:
    check = planned()
    # 0.2 g of 10, 3 mm of 80, 3 degrees and 5 % of the machine, times 3.72: a third of 800 g mm
    part = math.hypot(0.02, 3 / 80, math.radians(3), 0.05)
    along = 800 * 3 / 400
    assert check.reach_gmm[0] == pytest.approx(3.72 * math.hypot(800 * part, 5, along))
    # a tenth of the lump may show in the other plane
    assert check.reach_gmm[1] == pytest.approx(3.72 * math.hypot(80, 5, along))
    assert np.all(planned(u=50.0).reach_gmm > check.reach_gmm)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (lambda: putty_gmm([], (0, 400)), "putty must hold at least one mass"),
        (lambda: Putty(0, 0, 10, 0), "radius_mm must be greater than zero, got 0"),
        (lambda: Putty(0, 80, -1, 0), "mass_g must be greater than zero, got -1"),
        (lambda: Putty(math.nan, 80, 1, 0), "z_mm must be"),
        (
            lambda: predict_check_spin([1], [LUMP], HEAVY, u_reading_gmm=1),
            r"before must hold a value for each of 2 plane\(s\)",
        ),
        (
            lambda: predict_check_spin(BEFORE, [LUMP], HEAVY, u_reading_gmm=-1),
            "u_reading_gmm must not be negative",
        ),
        (
            lambda: judge_check_spin(planned(), [1], u_reading_gmm=1),
            r"after must hold a value for each of 2 plane\(s\)",
        ),
    ],
)
def test_what_cannot_be_right_is_refused(wrong: Callable[[], object], message: str) -> None:
    with pytest.raises(InputError, match=message):
        wrong()
