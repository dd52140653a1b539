"""What the planner is asked, checked once and kept with the plan."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import (
    InputError,
    all_of,
    finite,
    instance_of,
    items_of,
    one_not_negative,
    one_positive,
    one_real,
    positive,
    real,
    yes_or_no,
)
from balance.metal._sites import Rules
from balance.metal._slugs import SlugChoice
from balance.metal.shapes import DrilledHole, point_mm

__all__ = ["Counterweight", "Task", "checked_task"]


@dataclass(frozen=True)
class Counterweight:
    """One counterweight, as far as drilling it needs.

    ``z_mm`` [mm] where its middle stands along the crank; ``centre_degrees`` and
    ``half_span_degrees`` [degree] the sector that may be drilled; ``radius_mm`` [mm] of its rim;
    ``width_mm`` [mm] along the crank; ``max_depth_mm`` [mm] the deepest full-diameter hole;
    ``holes`` what is drilled in it already, at mid-width.
    """

    z_mm: float
    centre_degrees: float
    half_span_degrees: float
    radius_mm: float
    width_mm: float
    max_depth_mm: float
    holes: tuple[DrilledHole, ...] = ()


@dataclass(frozen=True, eq=False)
class Task:
    """Everything a plan was made from, so that it can be judged, staged and made again."""

    unbalance: NDArray[np.complex128]
    tolerance_gmm: NDArray[np.float64]
    counterweights: tuple[Counterweight, ...]
    rules: Rules
    margin: float
    slugs: tuple[SlugChoice, ...] | None
    time_limit_s: float

    @property
    def limit_gmm(self) -> NDArray[np.float64]:
        """Return the residual amount that the plan aims at, (2,) in the planes."""
        return self.margin * self.tolerance_gmm


def checked_task(
    unbalance: ArrayLike,
    planes_mm: ArrayLike,
    *,
    counterweights: Sequence[Counterweight],
    drills_mm: ArrayLike,
    tolerance_gmm: ArrayLike,
    margin: float,
    slugs: Sequence[SlugChoice] | None,
    time_limit_s: float,
    deepen: bool,
    **rules: float,
) -> Task:
    """Return the task, or raise an InputError that says which argument cannot be right."""
    planes = _pair("planes_mm", real("planes_mm", planes_mm))
    if planes[0] == planes[1]:
        raise InputError(f"planes_mm must be two different places, got {planes_mm!r}")
    if not 0 < one_real("margin", margin) <= 1:
        raise InputError(
            f"margin must be over 0 and at most 1 (a share of the tolerance), got {margin!r}"
        )
    checked = Rules(
        planes_mm=(float(planes[0]), float(planes[1])),
        drills_mm=_drills(drills_mm, rules["point_degrees"]),
        deepen=yes_or_no("deepen", deepen),
        **_numbers(rules),
    )
    task = Task(
        unbalance=_pair("unbalance", finite("unbalance", unbalance).astype(complex)),
        tolerance_gmm=_pair("tolerance_gmm", positive("tolerance_gmm", tolerance_gmm)),
        counterweights=items_of("counterweights", counterweights),
        rules=checked,
        margin=float(margin),
        slugs=None if slugs is None else _choices(slugs),
        time_limit_s=one_positive("time_limit_s", time_limit_s),
    )
    if not task.counterweights:
        raise InputError("counterweights must name at least one counterweight, got none")
    for index, counterweight in enumerate(task.counterweights):
        _check_counterweight(f"counterweights[{index}]", counterweight, checked)
    return task


def _pair(name: str, value: NDArray[Any]) -> NDArray[Any]:
    if value.shape != (2,):
        raise InputError(f"{name} must hold two values, one a plane, got shape {value.shape}")
    return value


def _choices(slugs: Sequence[SlugChoice]) -> tuple[SlugChoice, ...]:
    """Return the slugs that the shop can fit."""
    return all_of("slugs", slugs, SlugChoice)


def _drills(drills_mm: ArrayLike, point_degrees: float) -> tuple[float, ...]:
    """Return the drills in rising order, each once."""
    drills = np.atleast_1d(positive("drills_mm", drills_mm))
    if not drills.size:
        raise InputError("drills_mm must name at least one drill, got none")
    if drills.ndim != 1:
        raise InputError(f"drills_mm must be a plain list of drills, got {drills_mm!r}")
    point_mm(drills, point_degrees)  # raises when the point angle is impossible
    return tuple(float(d) for d in np.unique(drills))


def _numbers(rules: dict[str, float]) -> dict[str, float]:
    """Check the shop's rules: steps and densities above zero, distances not negative."""
    above_zero = ("point_degrees", "density_g_cm3", "depth_step_mm", "angle_step_degrees")
    return {
        name: (one_positive if name in above_zero else one_not_negative)(name, value)
        for name, value in rules.items()
    }


def _check_counterweight(name: str, cw: Counterweight, rules: Rules) -> None:
    instance_of(name, cw, Counterweight)
    for part in ("radius_mm", "width_mm", "max_depth_mm"):
        one_positive(f"{name}.{part}", getattr(cw, part))
    for part in ("z_mm", "centre_degrees"):
        one_real(f"{name}.{part}", getattr(cw, part))
    if not 0 <= one_real(f"{name}.half_span_degrees", cw.half_span_degrees) <= 180:
        raise InputError(
            f"{name}.half_span_degrees must be from 0 to 180, got {cw.half_span_degrees!r}"
        )
    fitting = [d for d in rules.drills_mm if d <= cw.width_mm]
    point = float(point_mm(max(fitting), rules.point_degrees)) if fitting else 0.0
    if cw.max_depth_mm + point >= cw.radius_mm:
        raise InputError(
            f"{name}.max_depth_mm must leave the drill point short of the crank's axis, got "
            f"{cw.max_depth_mm!r} with a point of {point:.1f} mm at radius {cw.radius_mm!r}"
        )
    for n, hole in enumerate(items_of(f"{name}.holes", cw.holes)):
        _check_old_hole(f"{name}.holes[{n}]", hole, cw, rules)


def _check_old_hole(name: str, hole: DrilledHole, cw: Counterweight, rules: Rules) -> None:
    """A hole that cannot be there is mistyped: planned around, it would spoil the plan unseen."""
    instance_of(name, hole, DrilledHole)
    one_real(f"{name}.degrees", hole.degrees)
    one_positive(f"{name}.diameter_mm", hole.diameter_mm)
    one_not_negative(f"{name}.depth_mm", hole.depth_mm)
    if hole.diameter_mm >= 2 * cw.radius_mm:
        raise InputError(
            f"{name}.diameter_mm must be less than the rim's diameter, got {hole.diameter_mm!r} "
            f"at radius {cw.radius_mm!r}"
        )
    angle = rules.point_degrees if hole.point_degrees is None else hole.point_degrees
    point = float(point_mm(hole.diameter_mm, angle))
    if hole.depth_mm + point >= cw.radius_mm:
        raise InputError(
            f"{name}.depth_mm must end short of the crank's axis, got {hole.depth_mm!r} with a "
            f"point of {point:.1f} mm at radius {cw.radius_mm!r}"
        )
