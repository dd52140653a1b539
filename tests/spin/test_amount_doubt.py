"""An amount that no crank has is asked about: it is mostly a unit or a decimal point."""

import pytest

from balance.spin.slips import amount_doubt

# invented cranks as they come: mass [kg], larger amount at a bearing [g mm]
RAW = [(12.4, 410.0), (13.8, 1005.0), (31.0, 2500.0), (5.5, 60.0), (48.0, 4800.0), (9.0, 35.0)]


@pytest.mark.parametrize(("mass", "worst"), RAW)
def test_cranks_as_they_come_raise_no_doubt(mass: float, worst: float) -> None:
    for drilled in (False, True):
        assert amount_doubt([worst, worst / 2], rotor_mass_kg=mass, drilled=drilled) == ""


@pytest.mark.parametrize(("mass", "worst"), RAW)
def test_oz_in_and_g_mm_taken_for_one_another_are_asked_about(mass: float, worst: float) -> None:
    """1 oz in is 720.08 g mm (28.349523125 g of 25.4 mm, by definition)."""
    larger = amount_doubt([0, 720.08 * worst], rotor_mass_kg=mass, drilled=True)
    assert "is the reading right, and its unit (oz in for g mm, ten times too large)?" in larger
    assert "Or is part of its balance in the damper or flywheel?" in larger
    smaller = amount_doubt([worst / 720.08, 0], rotor_mass_kg=mass, drilled=False)
    if worst / 720.08 < 0.25 * mass:
        assert "before anything was drilled, finer than the finest grade asks" in smaller


def test_a_drilled_crank_may_be_as_fine_as_it_likes() -> None:
    assert amount_doubt([0.1, 0.2], rotor_mass_kg=12.4, drilled=True) == ""
    assert amount_doubt([0.1, 0.2], rotor_mass_kg=12.4, drilled=False)


def test_ten_times_too_large_is_asked_about_from_half_a_millimetre() -> None:
    assert "0.66 mm off centre" in amount_doubt([4100, 290], rotor_mass_kg=12.4, drilled=False)
    assert amount_doubt([3000, 290], rotor_mass_kg=12.4, drilled=False) == ""
