"""Which convention a machine uses: found from invented machines, crank and masses."""

import itertools
import re

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from balance.errors import InputError
from balance.spin.conventions import KnownSpin, identify
from balance.spin.declared import differences, identified_machine
from balance.spin.machine import Machine, from_crank, to_crank
from balance.vectors import turn, vector

QUARTER = [[0, 0], [500, 0], [0, 500j]]  # the three spins that prove a two-plane machine
OWN = np.array([310 * np.exp(0.7j), 120 * np.exp(-2.1j)])
EVERY = list(
    itertools.product(
        ("clockwise", "counter-clockwise"), ("nose", "flywheel"), ("heavy", "light"), (0, 77, 213)
    )
)


def machine(counts="clockwise", first="nose", points_to="heavy", zero=30, **changes):
    plain = {
        "planes_mm": (40, 460),
        "first_plane": first,
        "unit": "oz in",
        "counts": counts,
        "seen_from": "nose",
        "zero_degrees": zero,
        "points_to": points_to,
    }
    return Machine(**(plain | changes))


def spun(m, masses, *, own=OWN, answer=None, noise=0.0, seed=0):
    """Return what machine `m` would show with each set of masses on the crank."""
    rng = np.random.default_rng(seed)
    planes = len(m.planes_mm)
    answer = np.eye(planes) if answer is None else np.asarray(answer)
    found = []
    for added in masses:
        blur = noise * (rng.normal(size=planes) + 1j * rng.normal(size=planes))
        found.append(KnownSpin(from_crank(answer @ (own + np.array(added)) + blur, m), added))
    return found


@pytest.mark.parametrize(("counts", "first", "points_to", "zero"), EVERY)
def test_three_spins_find_every_convention(counts, first, points_to, zero):
    m = machine(counts, first, points_to, zero)
    found = identify(spun(m, QUARTER), zero_degrees=zero)
    assert found.certain
    assert (found.best.sense, found.best.nose_first) == (m.sense, m.nose_first)
    assert found.points_to == points_to
    assert found.unit == "oz in"
    assert abs(turn(found.best.direction_degrees - np.degrees(np.angle(m.direction)))) < 1e-6
    np.testing.assert_allclose(found.own_gmm, OWN, atol=1e-6)
    np.testing.assert_allclose(found.answer, np.eye(2), atol=1e-9)
    assert found.runner_up.misfit > 0.5
    assert found.warnings == ()
    assert differences(m, found) == ()


@given(
    st.sampled_from(EVERY),
    st.floats(0, 360),
    st.floats(60, 120),
    st.tuples(st.floats(0, 0.2), st.floats(0, 360)),
    st.integers(0, 1000),
)
@settings(max_examples=40, deadline=None)
def test_found_machine_reads_another_crank_right(case, start, between, talk, seed):
    """With a fifth of cross-talk and 1 % of noise the answer matrix gives the truth back."""
    m = machine(*case)
    masses = [[0, 0], [vector(500, start), 0], [0, vector(500, start + between)]]
    beside = complex(vector(*talk))
    answer = [[1, beside], [beside.conjugate(), 1]]
    found = identify(spun(m, masses, answer=answer, noise=5, seed=seed))
    assert found.certain
    again = identified_machine(found, planes_mm=(40, 460))
    truth = np.array([200j, -150])
    shown = from_crank(np.array(answer) @ truth, m)
    read = np.linalg.solve(found.answer, to_crank(shown, again))
    # 5 g mm of noise on two readings of 500 g mm: 1.4 % per plane and axis; five times that
    np.testing.assert_allclose(read, truth, atol=0.07 * 500)


def test_right_sense_and_order_are_never_called_wrong():
    """The promise that matters: a false `certain` is worse than asking for one more spin."""
    rng = np.random.default_rng(5)
    sure = 0
    for seed in range(80):
        m = machine(*EVERY[rng.integers(len(EVERY))])
        talk = rng.uniform(0, 0.3, 2) * np.exp(1j * rng.uniform(0, 7, 2))
        answer = [[1, talk[0]], [talk[1], 1]]
        found = identify(spun(m, QUARTER, answer=answer, noise=40, seed=seed))
        right = (found.best.sense, found.best.nose_first) == (m.sense, m.nose_first)
        assert right or not found.certain
        sure += found.certain
    assert sure > 20


@pytest.mark.parametrize(
    "masses",
    [
        [[0, 0], [500, 0]],  # one mass, once: no sense
        [[0, 0], [500, 0], [0, -500]],  # opposite places: no sense
        [[0, 0], [500, 0], [0, 500]],  # the same angle in both planes: no sense
        [[0, 0], [500, 500j]],  # both at once: sense and order can trade places
    ],
)
def test_spins_that_cannot_tell_are_said_so_and_the_spin_named_does_tell(masses):
    for case in EVERY[::3]:
        m = machine(*case)
        found = identify(spun(m, masses))
        assert not found.certain
        assert found.best.probability == pytest.approx(0.5, abs=0.03)
        assert "cannot tell two conventions apart" in found.warnings[0]
        more = [0, 0]
        more[found.next_spin.plane] = vector(found.next_spin.unbalance_gmm, found.next_spin.degrees)
        decided = identify(spun(m, [*masses, more]))
        assert (decided.best.sense, decided.best.nose_first) == (m.sense, m.nose_first)
        assert decided.best.probability > 0.95
        assert decided.runner_up.misfit > 0.3


def test_a_quarter_turn_is_the_spin_that_decides_the_sense():
    found = identify(spun(machine(), [[0, 0], [500, 0], [0, 500]]))
    assert found.next_spin.degrees in (90.0, 270.0)


def test_single_plane_machine():
    m = machine(planes_mm=[0], unit="g", radii_mm=[80], zero=200)
    found = identify(spun(m, [[0], [400], [400j]], own=np.array([50j])), zero_degrees=200)
    assert found.certain
    assert found.best.sense == m.sense
    assert found.points_to == "heavy"
    assert found.unit is None
    assert found.best.gmm_per_unit == pytest.approx([80])
    assert found.cross_talk == 0
    assert differences(m, found) == ()


def test_cross_talk_is_measured_and_warned_of():
    answer = [[1, 0.2j], [0.1, 1]]
    found = identify(spun(machine(), QUARTER, answer=answer))
    np.testing.assert_allclose(found.answer, answer, atol=1e-9)
    assert found.cross_talk == pytest.approx(0.2)
    assert "20% of an unbalance in one plane shows in the other" in found.warnings[0]
    np.testing.assert_allclose(found.own_gmm, OWN, atol=1e-6)


def test_planes_with_scales_of_their_own():
    m = machine(unit="g", radii_mm=(40, 90))
    found = identify(spun(m, QUARTER))
    assert found.best.gmm_per_unit == pytest.approx([40, 90])
    assert differences(m, found) == ()


def test_planes_that_show_different_units_have_none_in_common():
    # set radii of 10 and 90 mm: one plane's grams stand for g cm, the other's for no known unit
    for radii in ((10, 90), (90, 10)):
        assert identify(spun(machine(unit="g", radii_mm=radii), QUARTER)).unit is None
    assert identify(spun(machine(unit="g", radii_mm=(10, 10)), QUARTER)).unit == "g cm"


def test_noise_comes_out_of_spins_to_spare():
    masses = [[0, 0], [500, 0], [0, 500j], [500j, 0], [0, 500], [-500, 500], [0, -500j]]
    m = machine(unit="g mm")
    found = [identify(spun(m, masses, noise=8, seed=s)).noise for s in range(20)]
    # 20 estimates of 16 data each: 4 % standard error
    assert np.mean(found) == pytest.approx(8, rel=0.12)


def test_a_mass_in_one_plane_only_leaves_the_other_unproven():
    found = identify(spun(machine(), [[0, 0], [500, 0], [500j, 0]]))
    assert found.certain
    assert found.answer is None
    assert found.cross_talk is None
    assert "no mass was moved in plane 2 from the nose" in found.warnings[0]
    with pytest.raises(InputError, match="must hold the scale of each plane"):
        identified_machine(found, planes_mm=(40, 460))


def test_a_mass_that_was_not_where_it_was_said_is_no_convention():
    spins = spun(machine(), [[0, 0], [500, 0], [0, 500j], [500j, 0]])
    wrong = [*spins[:3], KnownSpin(spins[3].readings, [-500j, 0])]
    found = identify(wrong)
    assert not found.certain
    assert "no convention explains the spins" in found.warnings[0]
    assert "a further spin shows it" in found.warnings[0]


STRONG = [[1, 0.45j], [-0.4, 1]]  # planes that influence each other by nearly half


def test_strong_cross_talk_needs_one_spin_more_and_the_named_one_will_do():
    for case in EVERY[::5]:
        m = machine(*case)
        three = identify(spun(m, QUARTER, answer=STRONG))
        assert not three.certain
        assert three.warnings
        more = [0, 0]
        more[three.next_spin.plane] = vector(three.next_spin.unbalance_gmm, three.next_spin.degrees)
        four = identify(spun(m, [*QUARTER, more], answer=STRONG))
        assert four.certain
        assert (four.best.sense, four.best.nose_first) == (m.sense, m.nose_first)
        np.testing.assert_allclose(four.answer, STRONG, atol=1e-9)


FIVE = [[0, 0], [500, 0], [500j, 0], [0, 500], [0, 500j]]


def test_a_mass_stuck_in_the_wrong_place_passes_no_check():
    """Three spins cannot show it (opposite places look like the other sense); five can."""
    wrong = 0
    for case, lie, turned in itertools.product(EVERY[::9], range(1, 5), (45, 90, 180)):
        m = machine(*case)
        real = np.array(FIVE, complex)
        real[lie] *= vector(1.0, turned)
        spins = [
            KnownSpin(spin.readings, told)
            for spin, told in zip(spun(m, real, noise=3), FIVE, strict=True)
        ]
        found = identify(spins)
        right = (found.best.sense, found.best.nose_first) == (m.sense, m.nose_first)
        assert right or not found.checked
        wrong += not found.certain
    assert wrong > 18  # of 36
    assert identify(spun(machine(), FIVE, noise=3)).checked
    assert not identify(spun(machine(), QUARTER, noise=3)).checked


def test_a_zero_that_is_not_where_it_was_said():
    found = identify(spun(machine(zero=30), QUARTER), zero_degrees=75)
    assert found.points_to is None
    assert "0 is -45 degrees from where it was said" in found.warnings[0]


def test_stated_reading_error_lowers_the_certainty():
    spins = spun(machine(unit="g mm"), QUARTER)
    assert identify(spins).certain
    vague = identify(spins, u_reading=300)
    assert not vague.certain
    assert vague.u_direction_degrees > identify(spins).u_direction_degrees


@pytest.mark.parametrize("masses", [QUARTER, FIVE])
def test_the_less_a_reading_is_worth_the_less_is_certain(masses):
    """Masses of 500 g mm under errors from nothing to twenty times as much."""
    spins = spun(machine(unit="g mm"), masses, noise=3)
    found = [identify(spins, u_reading=u) for u in (0, 30, 100, 200, 300, 500, 1000, 3000, 10_000)]
    chances = [each.best.probability for each in found]
    assert all(later <= sooner + 1e-9 for sooner, later in itertools.pairwise(chances))
    assert found[0].certain
    assert not any(each.certain or each.checked for each in found[4:])
    assert chances[-1] < 0.6  # four conventions, all but equal


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"counts": "counter-clockwise"}, "counts: the numbers run the other way"),
        ({"first": "flywheel"}, "first_plane: the planes are shown the other way"),
        ({"points_to": "light"}, "points_to or zero_degrees: .*180 degrees round"),
        ({"zero": 75}, "zero_degrees: the zero is -45.0 degrees from where it was declared"),
        ({"unit": "g mm"}, "unit or radii_mm: the true unbalance is 720.078, 720.078 times"),
    ],
)
def test_a_declared_machine_is_told_where_it_is_wrong(changes, message):
    told = differences(machine(**changes), identify(spun(machine(), QUARTER)))
    assert any(re.search(message, line) for line in told)


def test_an_unproven_convention_is_told_and_not_used():
    found = identify(spun(machine(), [[0, 0], [500, 0]]))
    assert "the spins do not prove the convention" in differences(machine(), found)
    with pytest.raises(InputError, match=r"identified must be certain, got a probability of 0.50"):
        identified_machine(found, planes_mm=(40, 460))
    with pytest.raises(InputError, match=r"machine must have the 2 plane\(s\) of the spins, got 1"):
        differences(machine(planes_mm=[0]), found)


@pytest.mark.parametrize(
    ("spins", "message"),
    [
        ([([(1, 0)], [0])], "at least two spins, got 1"),
        ([([(1, 0)], [0]), ([(2, 0)], [0])], "must differ in their known masses"),
        ([([(1, 0)], [0]), ([(1, 0)], [5])], "must change what the machine shows"),
        (
            [([(a, 0)], [b]) for a, b in ((1, 0), (1, 5), (2, 0), (2, 5))],
            "do not follow them at all",
        ),
        ([([(1, 0)], [0]), ([(2, 0)], [5, 0])], r"test_spins\[1\] must hold readings and added"),
        ([([(1, 0)], [0]), ([(2, 0), (1, 1)], [5, 0])], r"test_spins\[1\] must hold"),
        ([([(1, 0)], [0]), ([(-2, 0)], [5])], "amount must not be negative"),
        ([([(1, 0)], [0]), ([(2, 0, 1)], [5])], "readings must be pairs"),
        ([([(1, 0)], [0]), ([(2, 0)], [float("nan")])], "added must be finite"),
    ],
)
def test_spins_that_cannot_be_are_refused(spins, message):
    with pytest.raises(InputError, match=message):
        identify(spins)
    with pytest.raises(InputError, match="u_reading must not be negative"):
        identify([([(1, 0)], [0]), ([(2, 0)], [5])], u_reading=-1)
