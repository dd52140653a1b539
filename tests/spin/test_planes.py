"""Plane transfer: what statics keeps, whatever the planes; and what it does to errors."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.spin.planes import amplification, plane_pair, static_and_couple, transfer

SCALE = 1e4  # g mm, the size of the largest vector below
COORDINATE = st.floats(-SCALE, SCALE, allow_subnormal=False)
VECTOR = st.builds(complex, COORDINATE, COORDINATE)
PLACE = st.floats(-1000, 1000, allow_subnormal=False)
PLACED = st.lists(st.tuples(VECTOR, PLACE), min_size=1, max_size=6)
PAIR = st.tuples(PLACE, PLACE).filter(lambda p: abs(p[0] - p[1]) > 1)
# six vectors carried 2000 mm by planes 1 mm apart: 6 * SCALE * 2000 * 2e-16, and some room
CLOSE_GMM = 1e-10 * SCALE


def split(placed):
    return [u for u, _ in placed], [z for _, z in placed]


@settings(max_examples=60, deadline=None)
@given(PLACED, PAIR, PLACE)
def test_transfer_keeps_force_and_moment_about_any_place(placed, onto, about):
    vectors, places = split(placed)
    before = static_and_couple(vectors, places, at_mm=about)
    after = static_and_couple(transfer(vectors, places, onto), onto, at_mm=about)
    assert after.static == pytest.approx(before.static, abs=CLOSE_GMM)
    assert after.couple == pytest.approx(before.couple, abs=CLOSE_GMM * 1000)


@settings(max_examples=60, deadline=None)
@given(VECTOR, VECTOR, PAIR, PAIR)
def test_there_and_back_gives_the_same_vectors(first, second, start, away):
    moved = transfer([first, second], start, away)
    assert transfer(moved, away, start) == pytest.approx([first, second], abs=CLOSE_GMM * 1000)


@settings(max_examples=40, deadline=None)
@given(PLACED, PAIR, st.floats(-720, 720))
def test_turning_the_frame_turns_the_result(placed, onto, angle):
    vectors, places = split(placed)
    turn = np.exp(1j * np.radians(angle))
    turned = transfer(np.array(vectors) * turn, places, onto)
    assert turned == pytest.approx(transfer(vectors, places, onto) * turn, abs=CLOSE_GMM)


@settings(max_examples=40, deadline=None)
@given(PLACED, PAIR)
def test_order_of_parts_and_of_planes_does_not_matter(placed, onto):
    vectors, places = split(placed)
    result = transfer(vectors, places, onto)
    assert transfer(vectors[::-1], places[::-1], onto) == pytest.approx(result, abs=CLOSE_GMM)
    assert transfer(vectors, places, onto[::-1])[::-1] == pytest.approx(result, abs=CLOSE_GMM)


@settings(max_examples=40, deadline=None)
@given(PLACED, PAIR, st.floats(-500, 500))
def test_datum_of_the_places_does_not_matter(placed, onto, shift):
    vectors, places = split(placed)
    moved = transfer(vectors, np.array(places) + shift, np.array(onto) + shift)
    # the shifted places themselves are rounded, by 1e-13 of planes 1 mm apart
    assert moved == pytest.approx(transfer(vectors, places, onto), abs=CLOSE_GMM * 100)


def test_vector_in_a_wanted_plane_stays_there():
    assert transfer([5j], [40], (40, 90)).tolist() == [5j, 0]


def test_overhung_vector_turns_its_sign_in_the_far_plane():
    # 100 g mm one span outside plane B: B must hold 200, A -100
    assert transfer([100], [1000], (0, 500)).real.tolist() == [-100, 200]


def test_leading_dimensions_are_separate_cases():
    cases = np.array([[1, 2j, 3], [4, 5, 6j]])
    places, onto = [0, 50, 300], (20, 200)
    together = transfer(cases, places, onto)
    assert together.shape == (2, 2)
    for row, case in zip(together, cases, strict=True):
        assert row == pytest.approx(transfer(case, places, onto))


def test_scalar_is_one_vector():
    assert transfer(100, 250, (0, 500)) == pytest.approx([50, 50])


def test_nothing_is_no_unbalance():
    assert transfer([], [], (0, 500)).tolist() == [0, 0]


def test_couple_is_free_of_its_reference_when_the_resultant_is_zero():
    vectors, places = [3 + 1j, -3 - 1j], [0, 120]
    couples = [static_and_couple(vectors, places, at_mm=at).couple for at in (-70, 0, 500)]
    assert couples == pytest.approx([(-3 - 1j) * 120] * 3)


def test_pair_makes_the_couple_again():
    found = static_and_couple([10, 30j], [0, 400], at_mm=100)
    half = found.pair(80)
    again = static_and_couple([-half, half], [60, 140], at_mm=100)
    assert again.couple == pytest.approx(found.couple)
    assert again.static == 0


def test_pair_closer_than_a_millimetre_and_several_pairs_at_once():
    couple = static_and_couple([-3, 3], [0, 100], at_mm=50)
    assert couple.pair(0.5) == pytest.approx(600)
    assert couple.pair([100, 50]).tolist() == [3, 6]
    with pytest.raises(InputError, match="spacing_mm must be greater than zero"):
        couple.pair([100, -50])


def test_split_of_several_cases_is_the_split_of_each():
    cases = np.array([[1, 2j, 3], [4, 5, 6j]])
    together = static_and_couple(cases, [0, 50, 300], at_mm=20)
    alone = [static_and_couple(case, [0, 50, 300], at_mm=20) for case in cases]
    assert together.static.tolist() == [split.static for split in alone]
    assert together.couple == pytest.approx([split.couple for split in alone])


def test_amplification_is_the_transfer_of_unit_errors():
    grown = amplification((0, 500), (200, 300))
    # lever arms by hand: (300-0)/100, (300-500)/100; (0-200)/100, (500-200)/100
    assert grown.matrix.tolist() == [[3, -2], [-2, 3]]
    assert grown.independent == pytest.approx(np.sqrt([13, 13]))
    assert grown.worst.tolist() == [5, 5]


def test_errors_of_one_wanted_plane_come_from_its_own_row():
    # B half-way along: by hand U_A = U_1 - U_2 and U_B = 2 U_2
    grown = amplification((0, 500), (0, 250))
    assert grown.matrix.tolist() == [[1, -1], [0, 2]]
    assert grown.independent == pytest.approx([np.sqrt(2), 2])
    assert grown.worst.tolist() == [2, 2]


@settings(max_examples=30, deadline=None)
@given(PAIR, PAIR, VECTOR, VECTOR)
def test_matrix_moves_vectors_as_transfer_does(start, onto, first, second):
    moved = amplification(start, onto).matrix @ np.array([first, second])
    assert moved == pytest.approx(transfer([first, second], start, onto), abs=CLOSE_GMM * 1000)


def test_error_grows_as_the_correction_planes_close_in():
    spacings = (400, 200, 100, 50, 25)
    growth = [amplification((0, 500), (250 - s / 2, 250 + s / 2)).independent[0] for s in spacings]
    assert growth == sorted(growth)
    # very close planes: the growth goes as bearing span / (spacing sqrt 2)
    assert growth[-1] == pytest.approx(500 / 25 / np.sqrt(2), rel=0.01)


def test_error_grows_with_the_distance_from_the_bearings():
    near, far = (amplification((0, 500), (z, z + 100)).worst.max() for z in (500, 900))
    assert far > near


def test_remark_speaks_only_when_an_error_grows():
    assert amplification((0, 500), (50, 450)).remark == ""
    assert "can become 5.0 g mm in the first plane" in amplification((0, 500), (200, 300)).remark
    overhung = amplification((0, 500), (450, 650)).remark
    assert "in the first plane" in overhung


def test_remark_begins_at_threefold_and_names_the_worse_plane():
    # between the bearings an error grows by bearing span / spacing
    assert "3.0 g mm" in amplification((0, 300), (100, 200)).remark
    assert amplification((0, 290), (95, 196)).remark == ""  # 290 / 101
    assert "can become 3.1 g mm in the first plane" in amplification((0, 310), (105, 205)).remark
    # A overhangs: U_A = (300 U_1 - 100 U_2) / 200, U_B = (-100 U_1 + 500 U_2) / 200
    assert "3.0 g mm in the second plane" in amplification((0, 400), (-100, 100)).remark


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (([1, 2], [0], (0, 1)), "z_mm must give one place for each unbalance, got 1 places for 2"),
        (([1], [[0]], (0, 1)), "z_mm must give one place for each unbalance"),
        (([np.nan], [0], (0, 1)), "unbalance must be finite"),
        (([1], [np.inf], (0, 1)), "z_mm must be finite"),
        (([1], [1j], (0, 1)), "z_mm must be real"),
        ((["a"], [0], (0, 1)), "unbalance must be a number"),
        (([1], [0], (5, 5)), "onto_mm must be two different places, got \\(5, 5\\)"),
        (([1], [0], (5, 6, 7)), "onto_mm must be two places along the crank"),
        (([1], [0], 5), "onto_mm must be two places along the crank, got 5"),
        (([1], [0], (0, 1j)), "onto_mm must be real"),
    ],
)
def test_transfer_refuses(arguments, message):
    with pytest.raises(InputError, match=message):
        transfer(*arguments)


def test_other_refusals():
    with pytest.raises(InputError, match="at_mm must be one number"):
        static_and_couple([1], [0], at_mm=[0, 1])
    with pytest.raises(InputError, match="spacing_mm must be greater than zero, got 0"):
        static_and_couple([1], [0], at_mm=0).pair(0)
    with pytest.raises(InputError, match="from_mm must be two different places"):
        amplification((1, 1), (0, 1))
    with pytest.raises(InputError, match="bearings_mm must be finite"):
        plane_pair("bearings_mm", (0, np.nan))
