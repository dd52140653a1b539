"""Inertia torque, main-bearing loads and loci: closed forms, balances of force and moment."""

import math

import numpy as np
import pytest

from balance.engine.layouts import layout
from balance.engine.loci import beyond_crank_work, ellipse, locus
from balance.engine.motion import harmonics, piston
from balance.engine.paths import big_end, piston_pin
from balance.engine.shaking import shake
from balance.engine.torque import bearing_loads, inertia_defect, inertia_torque
from balance.errors import InputError

LENGTHS = {"stroke_mm": 80.0, "rod_length_mm": 160.0, "bore_spacing_mm": 100.0}
THETA = np.linspace(0, 360, 37)
FOUR = layout("inline-4", **LENGTHS)
SINGLE = layout("single", **LENGTHS)
W = 3000 * math.pi / 30


def test_torque_of_a_single_is_the_textbook_series():
    """1/2 m r^2 w^2 (L/2 sin t - sin 2t - 3L/2 sin 3t - L^2/2 sin 4t): Den Hartog, ch. 5."""
    t, ratio = np.radians(THETA), 0.01
    engine = layout("single", **{**LENGTHS, "rod_length_mm": 4000.0})
    ours = inertia_torque(engine, THETA, reciprocating_g=500, speed_rpm=3000).torque_nm
    unit = 0.5 * 0.5 * 0.04**2 * W**2
    series = (
        ratio / 2 * np.sin(t)
        - np.sin(2 * t)
        - 3 * ratio / 2 * np.sin(3 * t)
        - ratio**2 / 2 * np.sin(4 * t)
    )
    # The series drops L^3: 1e-6 of the unit.
    np.testing.assert_allclose(ours, unit * series, atol=2e-6 * unit)


def test_torque_is_the_power_of_the_moving_parts():
    """-dE/dt / w, energy of the pistons and of the rods' defect, differentiated numerically."""
    masses = {"reciprocating_g": [500, 510, 490, 505], "speed_rpm": 3000.0}
    step = 1e-3
    t = inertia_torque(FOUR, THETA, **masses, defect_gmm2=[3e5, -2e5, 1e5, 0])

    def energy(degrees):
        total = 0.0
        for throw, m, defect in zip(
            FOUR.throws, masses["reciprocating_g"], [3e5, -2e5, 1e5, 0], strict=True
        ):
            p = piston(degrees + throw.degrees, stroke_mm=80, rod_length_mm=160, speed_rpm=3000)
            total = total + 0.5e-3 * m * p.velocity_m_s**2
            total = total + 0.5e-9 * defect * p.rod_velocity_rad_s**2
        return total

    slope = (energy(THETA + step) - energy(THETA - step)) / np.radians(2 * step)
    # Central difference over 0.001 degree: 1e-9 of the energy from the step, 1e-8 from rounding.
    np.testing.assert_allclose(t.torque_nm, -slope, atol=1e-4)
    np.testing.assert_allclose(t.torque_nm, t.two_mass_nm + t.defect_nm, rtol=1e-15)


def test_torque_does_no_work_over_a_turn_and_turns_round_with_the_roll():
    theta = np.arange(0.0, 360.0, 1.0)
    t = inertia_torque(
        layout("V-6", **LENGTHS, pin_offset_mm=3), theta, reciprocating_g=500, speed_rpm=3000,
        defect_gmm2=2e5,
    )  # fmt: skip
    assert abs(np.mean(t.torque_nm)) < 1e-12  # N m, of 50
    plain = inertia_torque(FOUR, theta, reciprocating_g=500, speed_rpm=3000)
    # Without offset and defect no moment about the crank is left over: block against crank.
    np.testing.assert_allclose(plain.roll_nm, -plain.torque_nm, atol=1e-11)


def test_rotating_masses_give_no_torque_on_plain_rods():
    t = inertia_torque(FOUR, THETA, reciprocating_g=0, rotating_g=700, speed_rpm=3000)
    assert np.max(np.abs(t.torque_nm)) < 1e-11
    assert np.max(np.abs(t.roll_nm)) < 1e-11


def test_torque_of_articulated_rods_is_the_power_of_their_masses():
    """Energy from the places alone, differentiated twice numerically."""
    radial = layout("radial-5", **LENGTHS, knuckle_radius_mm=28)
    ours = inertia_torque(radial, THETA, reciprocating_g=500, rotating_g=700, speed_rpm=3000)

    def energy(degrees):
        step, total = 0.01, 0.0
        for cylinder in radial.cylinders:
            for mass, path in ((500, piston_pin), (700, big_end)):
                ahead, back = (path(radial, cylinder, degrees + s).place for s in (step, -step))
                speed = np.abs(ahead - back) / np.radians(2 * step) * W
                total = total + 0.5e-9 * mass * speed**2
        return total

    slope = (energy(THETA + 0.05) - energy(THETA - 0.05)) / np.radians(0.1)
    # Two central differences, steps of 2e-4 and 9e-4: 1e-6 of energies of 1000 N m.
    np.testing.assert_allclose(ours.torque_nm, -slope, atol=2e-3)
    assert np.max(np.abs(ours.torque_nm)) > 1.0


@pytest.mark.parametrize("name", ["single", "inline-4", "V-8"])
def test_bearing_loads_and_wall_thrusts_add_up_to_the_shaking(name):
    """All mains together carry the shaking force less what the cylinder walls carry, which acts
    across each bore; so along each single bore direction of an in-line engine they are equal.
    """
    engine = layout(name, **LENGTHS)
    masses = {"reciprocating_g": 500, "rotating_g": 600, "speed_rpm": 3000}
    weights = [(-5e3 + 2e3j, 10.0)]
    mains = np.arange(len(engine.throws) + 1) * 100.0 - 50.0
    loads = bearing_loads(engine, THETA, mains_mm=mains, **masses, counterweights=weights)
    s = shake(engine, **masses, counterweights=weights, reference_z_mm=0.0)
    total, moment = loads.force_n.sum(axis=-1), loads.force_n @ mains * 1e-3
    assert loads.force_n.shape == (37, mains.size)
    if name != "V-8":
        np.testing.assert_allclose(total.real, s.force_n(THETA).real, atol=1e-8)
        np.testing.assert_allclose(moment.real, s.couple_nm(THETA).real, atol=1e-8)
    else:
        difference = total - s.force_n(THETA)
        thrusts = np.zeros(THETA.size, dtype=complex)
        for cylinder in engine.cylinders:
            axis = np.exp(1j * np.radians(cylinder.bank_degrees))
            q = np.radians(THETA + engine.throws[cylinder.throw].degrees - cylinder.bank_degrees)
            a = harmonics(0.25, range(1, 40))
            along = 20.0 * W**2 * 1e-3 * np.cos(np.outer(q, range(1, 40))) @ a  # 0.5 kg at 40 mm
            thrusts += -1j * axis * along * np.tan(np.arcsin(0.25 * np.sin(q)))
        np.testing.assert_allclose(difference, thrusts, atol=1e-8)


def test_bearing_loads_turn_the_crank_with_the_inertia_torque():
    """Moment of the pin force about the crank's axis, from a single between two equal mains."""
    defect = 4e5
    loads = bearing_loads(
        SINGLE, THETA, mains_mm=[-50, 50], reciprocating_g=500, rotating_g=0, speed_rpm=3000,
        defect_gmm2=defect,
    ).force_n  # fmt: skip
    pin = 0.04 * np.exp(1j * np.radians(THETA))
    moment = np.imag(np.conj(pin) * loads.sum(axis=-1))
    torque = inertia_torque(SINGLE, THETA, reciprocating_g=500, speed_rpm=3000, defect_gmm2=defect)
    np.testing.assert_allclose(moment, torque.torque_nm, atol=1e-10)


def test_a_weight_outside_the_mains_lifts_the_far_one():
    loads = bearing_loads(
        SINGLE, 0.0, mains_mm=[50, 150, 250], reciprocating_g=0, rotating_g=0, speed_rpm=3000,
        counterweights=[(1e4, 0.0)],
    ).force_n  # fmt: skip
    force = 1e4 * W**2 * 1e-6
    assert loads == pytest.approx([1.5 * force, -0.5 * force, 0.0])


def test_ellipse_is_the_curve():
    ahead, back = 3.0 * np.exp(0.4j), 1.2 * np.exp(-1.1j)
    turn = np.exp(1j * np.linspace(0, 2 * np.pi, 100001))
    curve = ahead * turn + back / turn
    e = ellipse(ahead, back)
    assert np.max(np.abs(curve)) == pytest.approx(e.major, rel=1e-8)
    assert np.min(np.abs(curve)) == pytest.approx(e.minor, rel=1e-8)
    far = curve[np.argmax(np.abs(curve))]
    assert np.degrees(np.angle(far)) % 180 == pytest.approx(float(e.degrees), abs=0.01)
    assert ellipse([1, 1, 1], [0, 1, 2]).sense.tolist() == [1, 0, -1]
    assert ellipse(1.0, np.exp(1j) * (1 + 1e-15)).sense == 0  # equal but for rounding: a line


def test_locus_closes():
    s = shake(FOUR, reciprocating_g=500, rotating_g=600, speed_rpm=3000)
    loop = locus(s, points=90)
    assert loop.force_n.shape == loop.couple_nm.shape == (91,)
    assert loop.force_n[0] == pytest.approx(complex(loop.force_n[-1]), abs=1e-8)
    assert loop.force_n[30] == pytest.approx(complex(s.force_n(120.0)), abs=1e-8)


@pytest.mark.parametrize(
    ("name", "options", "found"),
    [
        ("V-12", {}, ()),
        ("V-8", {}, ()),
        ("inline-4", {}, ("order 2 force",)),
        ("inline-3", {}, ("order 1 couple against the crank", "order 2 couple")),
        ("single", {}, ("order 1 force against the crank", "order 2 force")),
    ],
)
def test_what_crank_work_cannot_touch_is_named(name, options, found):
    s = shake(
        layout(name, **LENGTHS, **options),
        reciprocating_g=500,
        rotating_g=600,
        speed_rpm=3000,
        orders=(1, 2),
    )
    said = beyond_crank_work(s)
    assert len(said) == len(found)
    assert all(line.startswith(start) for line, start in zip(said, found, strict=True))
    assert all("stays whatever is done to the crank" in line for line in said)


ROD = {
    "rod_mass_g": 600.0,
    "rod_length_mm": 150.0,
    "centre_of_mass_from_big_end_mm": 50.0,
    "inertia_gmm2": 2.7e6,
}


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"rod_mass_g": 0}, "rod_mass_g must be greater than zero, got 0"),
        ({"inertia_gmm2": -1}, "inertia_gmm2 must be greater than zero"),
        (
            {"centre_of_mass_from_big_end_mm": 150},
            r"between the pin centres \(below 150.0\), got 150",
        ),
        ({"rod_length_mm": float("nan")}, "rod_length_mm must be finite"),
    ],
)
def test_impossible_rods_are_refused(change, message):
    with pytest.raises(InputError, match=message):
        inertia_defect(**{**ROD, **change})


LOADS = {"mains_mm": [0, 100], "reciprocating_g": 1, "rotating_g": 1, "speed_rpm": 1}


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"mains_mm": [0]}, "mains_mm must be two or more places, rising"),
        ({"mains_mm": [100, 0]}, "mains_mm must be two or more places, rising"),
        ({"mains_mm": [0, float("nan")]}, "mains_mm must be finite"),
        ({"defect_gmm2": [1, 2]}, "defect_gmm2 must be one value or one for each of the 1"),
        ({"speed_rpm": -1}, "speed_rpm must not be negative"),
        ({"reciprocating_g": -1}, "reciprocating_g must not be negative"),
    ],
)
def test_impossible_loads_are_refused(change, message):
    with pytest.raises(InputError, match=message):
        bearing_loads(SINGLE, 0.0, **{**LOADS, **change})


def test_bearing_loads_refuse_articulated_rods():
    radial = layout("radial-5", **LENGTHS, knuckle_radius_mm=28)
    with pytest.raises(InputError, match="bearing_loads knows plain rods only"):
        bearing_loads(radial, 0.0, **LOADS)


def test_locus_and_ellipse_refuse_nonsense():
    s = shake(FOUR, reciprocating_g=500, rotating_g=600, speed_rpm=3000)
    with pytest.raises(InputError, match="points must be 4 or more to go round a turn, got 3"):
        locus(s, points=3)
    with pytest.raises(InputError, match="backward must be finite"):
        ellipse(1.0, float("nan"))
