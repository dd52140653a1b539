"""What the [machine] table of a job says of a reading: its convention, its unit, its doubt."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from balance.job.amounts import amount_gmm
from balance.job.appended import ReadingPage
from balance.job.model import MachinePage
from balance.spin.machine import Machine, Reading, from_crank

__all__ = ["declared_machine", "displayed", "readings_of", "told_unit", "u_of_mean", "u_shown"]


def declared_machine(page: MachinePage) -> Machine | None:
    """Return the machine as declared, its planes shown in the page's order; None if undeclared.

    Parameters
    ----------
    page : MachinePage
        The job file's [machine] table.

    Examples
    --------
    >>> page = MachinePage(planes=[{"name": "A", "z": 0.0}], unit="g mm", counts="clockwise",
    ...                    seen_from="nose", zero=0.0, points_to="heavy")
    >>> declared_machine(page).sense
    1
    """
    if page.counts is None or page.zero is None or page.points_to is None:
        return None
    planes = sorted(page.planes, key=lambda plane: plane.z)
    radii = [plane.radius for plane in planes if plane.radius is not None]
    return Machine(
        name=page.name,
        planes_mm=[plane.z for plane in planes],
        first_plane="nose" if page.planes[0] is planes[0] else "flywheel",
        unit=page.unit,
        counts=page.counts,
        zero_degrees=page.zero,
        points_to=page.points_to,
        radii_mm=radii if page.unit in ("g", "oz") and radii else None,
        seen_from=page.seen_from,
        nose=page.nose,
        turns=page.turns,
        engine_turns=page.engine_turns,
    )


def displayed(page: MachinePage, readings: Sequence[ReadingPage]) -> list[tuple[float, float]]:
    """Return readings as pairs in the page's order of planes, in the machine's displayed unit.

    Of a machine that is not declared the amounts are taken in g mm.

    Parameters
    ----------
    page : MachinePage
        The job file's [machine] table.
    readings : sequence of ReadingPage
        One for each plane, in any order.

    Examples
    --------
    >>> page = MachinePage(planes=[{"name": "A", "z": 0.0, "radius": 50.0}], unit="g",
    ...                    counts="clockwise", seen_from="nose", zero=0.0, points_to="heavy")
    >>> displayed(page, [ReadingPage(plane="A", amount="3 g", angle=20.0)])
    [(3.0, 20.0)]
    """
    shown = {reading.plane: reading for reading in readings}
    return [
        (
            amount_gmm(shown[plane.name].amount, unit=page.unit, radius_mm=plane.radius)
            / _size(page, plane.radius),
            shown[plane.name].angle,
        )
        for plane in page.planes
    ]


def readings_of(
    page: MachinePage, machine: Machine, unbalance: NDArray[np.complex128]
) -> tuple[Reading, ...]:
    """Return what the screen shows of an unbalance, in the page's order of planes and its unit.

    Parameters
    ----------
    page : MachinePage
        The job file's [machine] table.
    machine : Machine
        As declared, or as found from the job's proof spins.
    unbalance : array (planes,), complex [g mm]
        In the crank's frame, from nose to flywheel.

    Examples
    --------
    >>> page = MachinePage(planes=[{"name": "A", "z": 0.0}], unit="oz in", counts="clockwise",
    ...                    seen_from="nose", zero=10.0, points_to="heavy")
    >>> (shown,) = readings_of(page, declared_machine(page), [720.078j])
    >>> round(shown.amount, 3), round(shown.degrees, 3)
    (1.0, 80.0)
    """
    return tuple(
        Reading(shown.amount / told_unit(page, plane.radius), shown.degrees)
        for plane, shown in zip(page.planes, from_crank(unbalance, machine), strict=True)
    )


def told_unit(page: MachinePage, radius_mm: float | None) -> float:
    """Return the page's unit in the amounts of a :class:`Machine`: 1, or g mm where it was found.

    A machine that was found from its spins was told their amounts in g mm.

    Parameters
    ----------
    page : MachinePage
        The job file's [machine] table.
    radius_mm : float [mm] or None
        Where the amounts of a plane stand, if they are grams.

    Examples
    --------
    >>> round(told_unit(MachinePage(planes=[{"name": "A", "z": 0.0}], unit="oz in"), None), 3)
    720.078
    """
    unit_gmm = amount_gmm(1.0, unit=page.unit, radius_mm=radius_mm)
    return unit_gmm / _size(page, radius_mm)


def _size(page: MachinePage, radius_mm: float | None) -> float:
    """Return what one unit in the amounts of a machine stands for [g mm]."""
    declared = declared_machine(page)
    return amount_gmm(1.0, unit=page.unit, radius_mm=radius_mm) if declared else 1.0


def u_shown(page: MachinePage, shown: NDArray[np.complex128]) -> NDArray[np.float64]:
    """Return the standard uncertainty per plane: of the amount, of the angle, and the floor [g mm].

    ``u^2 = (U percent / 100)^2 + (U angle)^2 + least^2``

    Examples
    --------
    >>> page = MachinePage(planes=[{"name": "A", "z": 0.0}], unit="g mm", amount_error=3.0,
    ...                    angle_error=0.0, least="4 g mm")
    >>> float(u_shown(page, [100.0])[0])
    5.0
    """
    size = np.abs(shown)
    turned = np.radians(page.angle_error)
    along, across = size * page.amount_error / 100, size * turned
    return np.asarray(np.sqrt(along**2 + across**2 + page.least**2))


def u_of_mean(page: MachinePage, each: NDArray[np.complex128]) -> NDArray[np.float64]:
    """Return the standard uncertainty of the mean of like spins: as stated, or as they scatter.

    ``u^2 = max(u_stated^2, sum |U - mean|^2 / (2 (n - 1))) / n``

    Parameters
    ----------
    page : MachinePage
        The job file's [machine] table.
    each : array (spins, planes), complex [g mm]
        What they showed.

    Examples
    --------
    >>> page = MachinePage(planes=[{"name": "A", "z": 0.0}], unit="g mm", amount_error=0.0,
    ...                    angle_error=0.0, least="4 g mm")
    >>> one, two = ([[100.0]], [[90.0], [110.0]])
    >>> [round(float(u_of_mean(page, np.array(each))[0]), 2) for each in (one, two)]
    [4.0, 7.07]
    """
    shown, count = each.mean(axis=0), len(each)
    stated = u_shown(page, shown)
    if count == 1:
        return stated
    scatter = np.sqrt((np.abs(each - shown) ** 2).sum(axis=0) / (2 * (count - 1)))
    return np.asarray(np.maximum(stated, scatter) / np.sqrt(count))
