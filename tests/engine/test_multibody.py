"""Shaking, torque and roll against a general-purpose multibody engine with real rods.

MuJoCo (E. Todorov, T. Erez, Y. Tassa, "MuJoCo: A physics engine for model-based control",
IROS 2012) computes the inverse dynamics of the open tree base - crank - rod - piston. The base has
six degrees of freedom held at rest, so the forces on them are all that the moving parts ask of
the ground. A rod is one rigid body with its own mass, centre of mass and inertia; only our side
splits it into two masses. The rod's angle and its derivatives come from sympy.
"""

import math

import mujoco
import numpy as np
import pytest
import sympy

from balance.engine.layouts import Cylinder, Engine, layout, middle_mm
from balance.engine.shaking import shake
from balance.engine.torque import inertia_defect, inertia_torque

ROD_G, TO_CENTRE_MM, ROD_GMM2, PISTON_G = 612.0, 41.0, 2.9e6, 538.0
SPEED_RPM = 4200.0
W = SPEED_RPM * math.pi / 30.0
ANGLES = np.arange(0.0, 360.0, 24.0) + 7.0
LENGTHS = {"stroke_mm": 88.9, "rod_length_mm": 145.0, "bore_spacing_mm": 111.8}
WEIGHT = (5200.0 * np.exp(1j * 2.2), -31.0)  # one counterweight: unbalance [g mm], place [mm]

ENGINES = {
    "single": layout("single", **LENGTHS),
    "single, offset pin": layout("single", **LENGTHS, pin_offset_mm=6.5),
    "inline-4": layout("inline-4", **LENGTHS),
    "flat-4": layout("flat-4", **LENGTHS),
    "V-8 at 90 degrees": layout("V-8", **LENGTHS, bank_offset_mm=24.0),
    "radial-5, articulated": layout(
        "radial-5", **{**LENGTHS, "rod_length_mm": 190.0}, knuckle_radius_mm=33.0
    ),
}
NEGLIGIBLE = 'diaginertia="1e-12 1e-12 1e-12"'


def body(name, place_m, mass_g, inside, *, centre_m=(0, 0, 0), inertia=NEGLIGIBLE):
    """One rigid body in MuJoCo's model language, metres and kilograms."""
    pos, com = (" ".join(repr(float(v)) for v in triple) for triple in (place_m, centre_m))
    return (
        f'<body name="{name}" pos="{pos}"><inertial pos="{com}" mass="{mass_g / 1e3!r}" {inertia}/>'
        f"{inside}</body>"
    )


HINGE = '<joint type="hinge" axis="0 0 1"/>'
ROD_INERTIA = f'diaginertia="1e-9 {ROD_GMM2 * 1e-9!r} {ROD_GMM2 * 1e-9!r}"'


def length_mm(engine: Engine, cylinder: Cylinder) -> float:
    return engine.rod_length_mm if cylinder.link is None else cylinder.link.length_mm


def rod(engine: Engine, k: int, place_m) -> str:
    """A rod with its piston, and with the articulated rods that hang on it."""
    cylinder = engine.cylinders[k]
    end = (length_mm(engine, cylinder) / 1e3, 0, 0)
    inside = HINGE + body(f"piston{k}", end, PISTON_G, HINGE)
    for other, slave in enumerate(engine.cylinders):
        if slave.link is not None and slave.link.master == k:
            arm = slave.link.knuckle_radius_mm / 1e3
            angle = math.radians(slave.link.knuckle_degrees)
            inside += rod(engine, other, (arm * math.cos(angle), arm * math.sin(angle), 0))
    centre = (TO_CENTRE_MM / 1e3, 0, 0)
    return body(f"rod{k}", place_m, ROD_G, inside, centre_m=centre, inertia=ROD_INERTIA)


def tree(engine: Engine, reference_mm: float) -> mujoco.MjModel:
    r = engine.stroke_mm / 2e3
    weight = WEIGHT[0] / 1e6  # one kilogram stands at this many metres
    parts = [
        body("weight", (weight.real, weight.imag, (WEIGHT[1] - reference_mm) / 1e3), 1000.0, "")
    ]
    for k, cylinder in enumerate(engine.cylinders):
        if cylinder.link is None:
            pin = r * np.exp(1j * math.radians(engine.throws[cylinder.throw].degrees))
            parts.append(rod(engine, k, (pin.real, pin.imag, (cylinder.z_mm - reference_mm) / 1e3)))
    crank = body("crank", (0, 0, 0), 20000.0, HINGE + "".join(parts))
    free = "".join(
        f'<joint type="{kind}" axis="{axis}"/>'
        for kind in ("slide", "hinge")
        for axis in ("1 0 0", "0 1 0", "0 0 1")
    )
    base = body("base", (0, 0, 0), 1000.0, free + crank)
    return mujoco.MjModel.from_xml_string(
        '<mujoco><compiler angle="radian" boundmass="0" boundinertia="0"/>'
        f'<option gravity="0 0 0"/><worldbody>{base}</worldbody></mujoco>'
    )


def leans():
    """Lean of a plain rod and of one on a knuckle pin, with their derivatives, by sympy."""
    q, ratio, offset, arm, turn, bank = sympy.symbols("q ratio offset arm turn bank")
    plain = sympy.asin(ratio * sympy.sin(q) - offset)
    # The knuckle pin across the slave's bore; q from the master's bore, lengths over the link's.
    radius, rod_length = sympy.symbols("radius rod_length")
    master = plain.subs({ratio: radius / rod_length, offset: 0})
    linked = sympy.asin(radius * sympy.sin(q - bank) + arm * sympy.sin(turn - master - bank))
    return [
        sympy.lambdify(symbols, [lean, lean.diff(q), lean.diff(q, 2)])
        for symbols, lean in (
            ((q, ratio, offset), plain),
            ((q, radius, rod_length, arm, turn, bank), linked),
        )
    ]


PLAIN, LINKED = leans()


def lean_of(engine: Engine, cylinder: Cylinder, theta: float):
    r, length = engine.stroke_mm / 2, length_mm(engine, cylinder)
    pin = theta + math.radians(engine.throws[cylinder.throw].degrees)
    bank, link = math.radians(cylinder.bank_degrees), cylinder.link
    if link is None:
        return PLAIN(pin - bank, r / length, engine.pin_offset_mm / length)
    zero = math.radians(engine.cylinders[link.master].bank_degrees)
    return LINKED(
        pin - zero,
        r / length,
        engine.rod_length_mm / length,
        link.knuckle_radius_mm / length,
        math.radians(link.knuckle_degrees),
        bank - zero,
    )


def ask(engine: Engine, model: mujoco.MjModel, degrees: float):
    """Return force, couple (complex), moment about the crank's axis and driving torque."""
    data, theta = mujoco.MjData(model), math.radians(degrees)
    joints, rods = [np.array([theta, 1.0, 0.0])], []
    for cylinder in engine.cylinders:
        lean = np.array(lean_of(engine, cylinder, theta))
        rods.append(np.array([math.radians(cylinder.bank_degrees), 0.0, 0.0]) - lean)
        hangs_on = joints[0] if cylinder.link is None else rods[cylinder.link.master]
        joints += [rods[-1] - hangs_on, lean]
    place, slope, bend = np.transpose(joints)
    data.qpos[6:], data.qvel[6:], data.qacc[6:] = place, W * slope, W**2 * bend
    mujoco.mj_inverse(model, data)
    f = data.qfrc_inverse
    return f[0] + 1j * f[1], f[4] - 1j * f[3], f[5], float(f[6:] @ slope)


@pytest.fixture(scope="module", params=ENGINES)
def both(request):
    engine = ENGINES[request.param]
    reference = middle_mm(engine) + 17.0
    model = tree(engine, reference)
    answers = np.array([ask(engine, model, angle) for angle in ANGLES])
    small = ROD_G * TO_CENTRE_MM / np.array([length_mm(engine, c) for c in engine.cylinders])
    masses = {"reciprocating_g": PISTON_G + small, "rotating_g": ROD_G - small}
    return engine, reference, masses, answers


def close(ours, theirs, scale):
    """1e-10 of the largest single part: two double-precision programs, some 30 bodies."""
    assert np.max(np.abs(ours - theirs)) < 1e-10 * scale


def test_force_and_couple_agree(both):
    engine, reference, masses, answers = both
    ours = shake(
        engine, **masses, speed_rpm=SPEED_RPM, counterweights=[WEIGHT], reference_z_mm=reference
    )
    one_part = (PISTON_G + ROD_G) * engine.stroke_mm / 2 * W**2 * 1e-6
    close(ours.force_n(ANGLES), -answers[:, 0], one_part)
    close(ours.couple_nm(ANGLES), -answers[:, 1], one_part * engine.bore_spacing_mm * 1e-3)


def test_orders_add_up_to_the_same_force_and_couple(both):
    engine, reference, masses, answers = both
    orders = range(1, 25)  # a_24 is below 1e-12 at this rod ratio
    ours = shake(
        engine,
        **masses,
        speed_rpm=SPEED_RPM,
        counterweights=[WEIGHT],
        reference_z_mm=reference,
        orders=orders,
    )
    spin = np.exp(1j * np.radians(np.outer(ANGLES, orders)))
    one_part = (PISTON_G + ROD_G) * engine.stroke_mm / 2 * W**2 * 1e-6
    force = spin @ ours.forward_force_n + np.conj(spin) @ ours.backward_force_n
    couple = spin @ ours.forward_couple_nm + np.conj(spin) @ ours.backward_couple_nm
    close(force, -answers[:, 0], one_part)
    close(couple, -answers[:, 1], one_part * engine.bore_spacing_mm * 1e-3)


def test_torque_and_roll_need_the_inertia_defect(both):
    engine, _, masses, answers = both
    defect = [
        inertia_defect(
            rod_mass_g=ROD_G,
            rod_length_mm=length_mm(engine, cylinder),
            centre_of_mass_from_big_end_mm=TO_CENTRE_MM,
            inertia_gmm2=ROD_GMM2,
        )
        for cylinder in engine.cylinders
    ]
    ours = inertia_torque(engine, ANGLES, **masses, speed_rpm=SPEED_RPM, defect_gmm2=defect)
    moment, drive = np.real(answers[:, 2]), np.real(answers[:, 3])
    one_part = (PISTON_G + ROD_G) * (engine.stroke_mm / 2) ** 2 * W**2 * 1e-9
    close(ours.torque_nm, -drive, one_part)
    close(ours.roll_nm, drive - moment, one_part)
    # Left out, the defect is missed by ten million times the agreement above.
    assert np.max(np.abs(ours.two_mass_nm + drive)) > 1e-3 * one_part


def test_closed_loop_stepped_through_time_to_one_percent():
    """Piston in its bore, rod closed by a (slightly soft) constraint, heavy flywheel, 1.2 turns."""
    engine, speed_rpm, step_s = ENGINES["single"], 600.0, 2e-5
    w = speed_rpm * math.pi / 30.0
    r, length = engine.stroke_mm / 2e3, engine.rod_length_mm / 1e3
    centre = (TO_CENTRE_MM / 1e3, 0, 0)
    rod_body = body("rod", (r, 0, 0), ROD_G, HINGE, centre_m=centre, inertia=ROD_INERTIA)
    flywheel = 'diaginertia="100 100 100"'  # a thousandth of a percent of speed over one turn
    crank = body("crank", (0, 0, 0), 1e4, HINGE + rod_body, inertia=flywheel)
    piston = body("piston", (r + length, 0, 0), PISTON_G, '<joint type="slide" axis="1 0 0"/>')
    model = mujoco.MjModel.from_xml_string(
        '<mujoco><compiler angle="radian" boundmass="0" boundinertia="0"/>'
        f'<option gravity="0 0 0" timestep="{step_s}" integrator="RK4"/>'
        f"<worldbody>{crank}{piston}</worldbody><equality>"
        f'<connect body1="rod" body2="piston" anchor="{length!r} 0 0" '
        f'solref="{2 * step_s!r} 1" solimp="0.9999 0.9999 0.001"/></equality></mujoco>'
    )
    data = mujoco.MjData(model)
    data.qvel[:] = [w, -w * (1.0 + r / length), 0.0]
    angles, momenta = [], []
    for _ in range(round(1.2 * 60.0 / speed_rpm / step_s)):
        mujoco.mj_step(model, data)
        mujoco.mj_subtreeVel(model, data)
        angles.append(data.qpos[0])
        momenta.append(total_momentum(model, data))
    keep = slice(2000, None, 50)  # the constraint settles first
    force = -np.gradient(np.array(momenta), step_s)[keep]
    small = ROD_G * TO_CENTRE_MM / engine.rod_length_mm
    ours = shake(
        engine, reciprocating_g=PISTON_G + small, rotating_g=ROD_G - small, speed_rpm=speed_rpm
    ).force_n(np.degrees(np.array(angles)[keep]))
    assert np.max(np.abs(force - ours)) < 0.01 * np.max(np.abs(ours))


def total_momentum(model, data):
    """Momentum of the whole engine [N s], complex: the world's subtree."""
    velocity = data.subtree_linvel[0]
    return float(model.body_subtreemass[0]) * (velocity[0] + 1j * velocity[1])
