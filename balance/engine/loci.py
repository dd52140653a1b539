"""The shape of the shaking: polar loci as arrays, and the ellipse of two rotating vectors."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from balance.engine.layouts import radius_mm
from balance.engine.motion import rad_s
from balance.engine.shaking import Shaking
from balance.errors import InputError, finite, instance_of, is_whole
from balance.vectors import fold

__all__ = ["Ellipse", "Locus", "beyond_crank_work", "ellipse", "locus"]

NOTHING = 1e-9  # of all parts pulling one way: rounding, not force
ROUNDING = 1e-12  # of both lengths: two vectors so nearly equal draw a straight line


@dataclass(frozen=True, eq=False)
class Ellipse:
    """The closed curve of a forward and a backward vector.

    ``major`` and ``minor`` are the half axes in the unit of the vectors, ``degrees`` the
    direction of the long one in [0, 180), ``sense`` +1 when the point runs round with the
    crank, -1 against it, 0 when the ellipse is a straight line.
    """

    major: Any
    minor: Any
    degrees: Any
    sense: Any


@dataclass(frozen=True, eq=False)
class Locus:
    """One turn of the shaking vectors: complex arrays over ``crank_degrees``, last = first."""

    crank_degrees: Any
    force_n: Any
    couple_nm: Any


def ellipse(forward: ArrayLike, backward: ArrayLike) -> Ellipse:
    """Return the ellipse of ``A exp(i n theta) + B exp(-i n theta)``.

    Half axes ``|A| + |B|`` and ``||A| - |B||``, long axis at ``(arg A + arg B) / 2``.

    Parameters
    ----------
    forward, backward : complex or array [any one unit]
        The two rotating vectors A and B.

    Raises
    ------
    InputError
        When a vector is not finite.

    Examples
    --------
    >>> e = ellipse(3.0, 1j)
    >>> float(e.major), float(e.minor), float(e.degrees.round(6)), int(e.sense)
    (4.0, 2.0, 45.0, 1)

    Source: sum of two counter-rotating vectors, J. P. Den Hartog, Mechanical Vibrations, ch. 1;
    from memory.
    """
    ahead, back = finite("forward", forward), finite("backward", backward)
    a, b = np.abs(ahead), np.abs(back)
    direction = fold(np.degrees(np.angle(ahead) + np.angle(back))) / 2.0
    sense = np.where(np.abs(a - b) > ROUNDING * (a + b), np.sign(a - b), 0.0).astype(int)
    return Ellipse(a + b, np.abs(a - b), direction, sense[()])


def locus(shaking: Shaking, *, points: int = 360) -> Locus:
    """Return the polar loci of the whole force and couple over one turn.

    Parameters
    ----------
    shaking : Shaking
        Result of `balance.engine.shaking.shake`.
    points : int [1]
        Steps in the turn, 4 or more.

    Raises
    ------
    InputError
        When there are fewer than 4 points.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> from balance.engine.shaking import shake
    >>> one = layout("single", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
    >>> loop = locus(shake(one, reciprocating_g=500, rotating_g=0, speed_rpm=3000), points=4)
    >>> loop.crank_degrees.tolist()
    [0.0, 90.0, 180.0, 270.0, 360.0]
    """
    instance_of("shaking", shaking, Shaking)
    if not is_whole(points) or points < 4:
        raise InputError(f"points must be 4 or more to go round a turn, got {points!r}")
    theta = np.linspace(0.0, 360.0, points + 1)
    return Locus(theta, shaking.force_n(theta), shaking.couple_nm(theta))


def beyond_crank_work(shaking: Shaking) -> tuple[str, ...]:
    """Return in words what no work on the crank can cancel, order by order; empty when nothing.

    Parameters
    ----------
    shaking : Shaking
        Result of `balance.engine.shaking.shake`.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> from balance.engine.shaking import shake
    >>> four = layout("inline-4", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90)
    >>> s = shake(four, reciprocating_g=500, rotating_g=400, speed_rpm=3000, orders=(1, 2))
    >>> beyond_crank_work(s)
    ('order 2 force: up to 2489.6 N stays whatever is done to the crank',)
    """
    engine, w = instance_of("shaking", shaking, Shaking).engine, rad_s(shaking.speed_rpm)
    masses = float(np.sum(shaking.reciprocating_g + shaking.rotating_g))
    scale = 1e-6 * masses * radius_mm(engine) * float(w) ** 2
    span = 1e-3 * (abs(shaking.reference_z_mm) + max(abs(c.z_mm) for c in engine.cylinders))
    force = (shaking.forward_force_n, shaking.backward_force_n)
    couple = (shaking.forward_couple_nm, shaking.backward_couple_nm)
    found = []
    for k, order in enumerate(shaking.orders):
        for name, unit, (ahead, back), whole in (
            ("force", "N", force, scale),
            ("couple", "N m", couple, scale * span),
        ):
            most = float(abs(back[k]) + (abs(ahead[k]) if order > 1 else 0.0))
            if most > NOTHING * whole:
                found.append(_sentence(order, name, unit, most))
    return tuple(found)


def _sentence(order: int, name: str, unit: str, most: float) -> str:
    if order == 1:
        return (
            f"order 1 {name} against the crank: {most:.1f} {unit} stays whatever is done to the "
            "crank; a shaft turning against it could cancel it"
        )
    return f"order {order} {name}: up to {most:.1f} {unit} stays whatever is done to the crank"
