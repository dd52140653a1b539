"""R. S. Khurmi and J. K. Gupta, Theory of Machines, 14th ed., Eurasia 2009, ch. 21 and 22.

Questions, drawings' results and formulas are from memory; edition and example numbers not checked.
"""

import numpy as np
import pytest

from balance.engine.layouts import Cylinder, Engine, Throw, layout
from balance.engine.motion import harmonics
from balance.engine.shaking import shake
from balance.spin.planes import static_and_couple, transfer
from balance.vectors import amount, degrees, vector

THETA = np.radians(np.arange(0.0, 360.0, 1.0))


def _along(forward, backward, order):
    """Return the curve of one order at the angles of THETA."""
    return forward * np.exp(1j * order * THETA) + backward * np.exp(-1j * order * THETA)


def test_example_21_1_four_masses_in_one_plane():
    moments = vector(np.array([200 * 0.2, 300 * 0.15, 240 * 0.25, 260 * 0.3]), [0, 45, 120, 255])
    balance = -static_and_couple(moments, np.zeros(4), at_mm=0).static
    # Printed 116 kg at 201.48 degrees: sums carried to four figures.
    assert amount(balance) / 0.2 == pytest.approx(116, abs=0.2)
    assert degrees(balance) == pytest.approx(201.48, abs=0.3)


def test_example_21_2_four_masses_and_two_planes_to_balance_in():
    moments = vector([16, 21, 24, 16], [0, 45, 115, 235])
    balance = -transfer(moments, [0, 300, 400, 700], (100, 500))
    # Printed 355 kg and 182.5 kg at 0.1 m, 145 and 12 degrees clockwise of A: from drawings.
    assert amount(balance) / 0.1 == pytest.approx([355, 182.5], abs=2.5)
    assert degrees(balance) == pytest.approx([360 - 145, 360 - 12], abs=2)


def test_example_22_1_locomotive_with_two_thirds_of_the_reciprocating_mass_balanced():
    """Inside cylinders 0.7 m apart at right angles, wheels 1.5 m apart, 300 r/min."""
    crank = vector(np.array([1.0, 1.0]), [0, 90])
    wheels = (-400, 1100)
    balance = -transfer(crank * 300 * (150 + 180 * 2 / 3), [0, 700], wheels)
    # Printed 105 kg at 0.6 m, 199 and 250 degrees: from drawings.
    assert amount(balance) / 600 == pytest.approx([105, 105], abs=0.5)
    assert degrees(balance) == pytest.approx([199, 250], abs=1.5)
    # The book leaves the length of the rods out: long ones here.
    engine = Engine(
        600, 1e7, 700, (Throw(0, 0), Throw(90, 700)), (Cylinder(0, 0, 0), Cylinder(1, 0, 700))
    )
    s = shake(
        engine,
        reciprocating_g=180e3,
        rotating_g=150e3,
        speed_rpm=300,
        counterweights=[(1e3 * u, z) for u, z in zip(balance, wheels, strict=True)],
        orders=(1,),
    )
    tractive = _along(s.forward_force_n[0], s.backward_force_n[0], 1).real
    swaying = _along(s.forward_couple_nm[0], s.backward_couple_nm[0], 1).real
    # Printed 25 127 N and 8797 N m, with w = 31.42 rad/s.
    assert tractive.max() == pytest.approx(25127, rel=5e-4)
    assert swaying.max() == pytest.approx(8797, rel=5e-4)


@pytest.mark.parametrize(
    ("bank", "primary", "secondary"),
    [
        (60, 0.5 * np.sqrt(9 * np.cos(THETA) ** 2 + np.sin(THETA) ** 2), np.sqrt(3) / 2),
        (90, np.ones_like(THETA), np.sqrt(2) * abs(np.sin(2 * THETA))),
        (
            120,
            0.5 * np.sqrt(np.cos(THETA) ** 2 + 9 * np.sin(THETA) ** 2),
            0.5 * np.sqrt(np.cos(2 * THETA) ** 2 + 9 * np.sin(2 * THETA) ** 2),
        ),
    ],
)
def test_vee_twin_formulas_of_the_resultant_primary_and_secondary_force(bank, primary, secondary):
    """In units of m r w^2 and m r w^2 / n; the exact second order replaces the book's 1 / n."""
    engine = layout("V-2", bank_degrees=bank, stroke_mm=150, rod_length_mm=300, bore_spacing_mm=100)
    s = shake(engine, reciprocating_g=1000, rotating_g=0, speed_rpm=600, orders=(1, 2))
    unit = 0.075 * (600 * np.pi / 30) ** 2
    first, second = (
        abs(_along(s.forward_force_n[k], s.backward_force_n[k], k + 1)) / unit for k in (0, 1)
    )
    assert first == pytest.approx(primary, abs=1e-9)
    assert second / harmonics(0.25, 2) == pytest.approx(secondary * np.ones_like(THETA), abs=1e-9)
