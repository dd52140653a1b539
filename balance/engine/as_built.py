"""The crank as it was built: its factor, its target bobweight, and what its end pieces carry."""

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.engine.layouts import Engine, radius_mm
from balance.engine.pins import ZERO, Pins, per_pin, pins_of, plane_shares
from balance.engine.shaking import per_cylinder
from balance.errors import (
    InputError,
    finite,
    not_negative,
    one_not_negative,
    one_positive,
    one_real,
    positive,
)

__all__ = [
    "ExternalShare",
    "TargetCheck",
    "check_target",
    "existing_factor",
    "external_share",
    "overbalance_cost",
]

Vectors = NDArray[np.complex128]


@dataclass(frozen=True)
class ExternalShare:
    """Share of the counterweight that sits at nose and flywheel, and what the pins ask for there.

    ``share`` is (nose, flywheel): 0 for an internally balanced end. ``asked_gmm`` is the vector
    that cancels the pins at each end; ``across_gmm`` is what the piece adds at right angles to it.
    """

    share: tuple[float, float]
    asked_gmm: tuple[complex, complex]
    across_gmm: tuple[float, float]


@dataclass(frozen=True)
class TargetCheck:
    """Whether a bought crank can be brought to one's own bobweight.

    ``low_g`` to ``high_g`` is what a crank sold for the target may really be made for, each end
    for itself; ``verdict`` says what has to be done over that whole range; ``change_gmm`` is the
    least and the most to be changed in each plane, positive where metal comes off.
    """

    low_g: float
    high_g: float
    verdict: Literal["metal comes off", "metal must be added", "either may happen"]
    change_gmm: tuple[tuple[float, float], tuple[float, float]]


def existing_factor(
    engine: Engine,
    *,
    hung_g: ArrayLike,
    rotating_g: ArrayLike,
    reciprocating_g: ArrayLike,
    hung_radius_mm: ArrayLike | None = None,
) -> float:
    """Return the factor an old crank was built to, from a static test on knife edges or rollers.

    ``factor = (sum hung * radius / r - |sum rotating e^(ia)|) / |sum reciprocating e^(ia)|``

    Hang masses on the crankpin's side until the crank stays where it is put.

    Parameters
    ----------
    engine : Engine
        Layout. Only the force of the pins is seen: a static test is blind to the couple.
    hung_g : float or array (k,) [g]
        The masses that held the crank still.
    rotating_g : float or array (cylinders,) [g]
        Big ends and bearings that were NOT on the crank in the test; 0 when the rods hung on it
        (and then count the small ends that hung with them among ``hung_g``).
    reciprocating_g : float or array (cylinders,) [g]
        Whole reciprocating mass of each cylinder.
    hung_radius_mm : float or array (k,), optional [mm]
        Radius at which each mass hung; left out: at the crankpin.

    Returns
    -------
    float
        May lie outside 0 to 1: then look at the weights again, or the crank is not as built.

    Raises
    ------
    InputError
        When the pins cancel as a force, there is no reciprocating mass, or a number cannot be.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> one = layout("single", stroke_mm=84, rod_length_mm=160, bore_spacing_mm=100)
    >>> existing_factor(one, hung_g=750, rotating_g=450, reciprocating_g=500)
    0.6

    Source: moments about the crank's axis; worked case in the tests.
    """
    pins = pins_of(engine)
    if abs(pins.force) <= ZERO * float(pins.rods.sum()):
        raise InputError(
            "the pins cancel as a force: a static test cannot see the factor of this crank; "
            "spin it and read two planes"
        )
    hung = _hung_gmm(hung_g, radius_mm(engine) if hung_radius_mm is None else hung_radius_mm)
    turning = _pin_sums(pins, per_cylinder("rotating_g", rotating_g, engine)).sum()
    moving = _pin_sums(pins, per_cylinder("reciprocating_g", reciprocating_g, engine)).sum()
    if not abs(moving) > 0.0:
        raise InputError(f"reciprocating_g must not all be zero, got {reciprocating_g!r}")
    return float((hung / radius_mm(engine) - abs(turning)) / abs(moving))


def _hung_gmm(hung_g: ArrayLike, hung_radius_mm: ArrayLike) -> float:
    masses, radii = not_negative("hung_g", hung_g), positive("hung_radius_mm", hung_radius_mm)
    if masses.size == 0 or masses.ndim > 1:
        raise InputError(f"hung_g must be one mass or a list of masses, got {hung_g!r}")
    if radii.shape not in ((), masses.shape):
        raise InputError(
            f"hung_radius_mm must be one radius or one for each of hung_g, got {hung_radius_mm!r}"
        )
    return float(np.sum(masses * radii))


def overbalance_cost(
    engine: Engine, *, reciprocating_g: ArrayLike, planes_mm: ArrayLike, change: float = 0.01
) -> tuple[float, float]:
    """Return the unbalance per plane [g mm] that a change of the factor leaves in the crank.

    ``|change * r * sum reciprocating exp(i a) * share of the plane|``

    Parameters
    ----------
    engine : Engine
        Layout.
    reciprocating_g : float or array (cylinders,) [g]
        Reciprocating mass of each cylinder.
    planes_mm : array (2,) [mm]
        The planes, from the same datum as the throws.
    change : float [1]
        Factor minus one half: 0.01 for 51 percent. Rigid-body physics knows no speed at which
        this helps; over- and underbalancing are common practice, no source.

    Raises
    ------
    InputError
        When a mass is negative, the planes are not two, or the change is no number.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> v8 = layout("V-8", stroke_mm=88.9, rod_length_mm=145, bore_spacing_mm=111.8)
    >>> [round(u) for u in overbalance_cost(v8, reciprocating_g=800, planes_mm=[-32.3, 367.7])]
    [629, 629]

    Source: force and moment kept; worked figures in the tests.
    """
    pins = pins_of(engine)
    moving = _pin_sums(pins, per_cylinder("reciprocating_g", reciprocating_g, engine))
    step = one_real("change", change) * radius_mm(engine)
    first, second = np.abs(step * (moving @ plane_shares(pins.z_mm, planes_mm)))
    return float(first), float(second)


def external_share(
    engine: Engine,
    *,
    bobweight_g: ArrayLike,
    pieces_gmm: ArrayLike,
    pieces_z_mm: ArrayLike,
) -> ExternalShare:
    """Return what share of the counterweight sits on damper and flywheel.

    The pins with their bobweights, moved onto the two pieces, ask there for ``-sum U share``;
    a piece's share is its component along that vector over the vector's length.

    Parameters
    ----------
    engine : Engine
        Layout.
    bobweight_g : float or array (pins,) [g]
        Bobweights of the finished engine.
    pieces_gmm : array (2,) of complex [g mm]
        Unbalance made into the damper (nose) and the flywheel, heavy side, in the crank's frame;
        0 for a neutral piece. A neutral piece on an engine built for external balance, or the
        reverse, is a gross error: the crank must be spun with both pieces on.
    pieces_z_mm : array (2,) [mm]
        Where they sit, nose first, from the same datum as the throws.

    Raises
    ------
    InputError
        When the pins ask for nothing at one of the ends, or the lists do not fit.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> v8 = layout("V-8", stroke_mm=88.9, rod_length_mm=145, bore_spacing_mm=111.8)
    >>> found = external_share(v8, bobweight_g=1800, pieces_gmm=[0, 0], pieces_z_mm=[-150, 450])
    >>> found.share, round(abs(found.asked_gmm[0]))
    ((0.0, 0.0), 47145)

    Source: force and moment kept; the practice itself is common practice, no source.
    """
    pins = pins_of(engine)
    pieces = finite("pieces_gmm", pieces_gmm).astype(np.complex128)
    if pieces.shape != (2,):
        raise InputError(f"pieces_gmm must be two vectors, nose and flywheel, got {pieces_gmm!r}")
    asked = -_at_planes(engine, pins, per_pin("bobweight_g", bobweight_g, pins), pieces_z_mm)
    if np.any(np.abs(asked) == 0.0):
        raise InputError(
            "the pins ask for no counterweight at nose or flywheel, so a share has no meaning: "
            "neutral pieces belong on this crank"
        )
    along = pieces * np.conj(asked) / np.abs(asked)
    share = along.real / np.abs(asked)
    return ExternalShare(
        share=(float(share[0]), float(share[1])),
        asked_gmm=(complex(asked[0]), complex(asked[1])),
        across_gmm=(float(along[0].imag), float(along[1].imag)),
    )


def check_target(
    engine: Engine,
    *,
    target_g: float,
    bobweight_g: float,
    planes_mm: ArrayLike,
    spread: float = 0.02,
) -> TargetCheck:
    """Return whether a crank sold for a target bobweight suits one's own.

    ``low, high = target * (1 -+ spread)``; change in a plane = ``(target - own) * |sum r e^(ia)
    share|``, positive where the counterweights are too heavy

    Parameters
    ----------
    engine : Engine
        Layout.
    target_g : float [g]
        Bobweight the maker names.
    bobweight_g : float [g]
        One's own, the same on every pin.
    planes_mm : array (2,) [mm]
        The correction planes, from the same datum as the throws.
    spread : float [1]
        How far the maker lets a crank be off, as a share: 0.02 for 2 percent (common practice,
        no source; the two ends may differ).

    Raises
    ------
    InputError
        When a mass is not positive, the spread no share, or the planes are not two.

    Examples
    --------
    >>> from balance.engine.layouts import layout
    >>> v8 = layout("V-8", stroke_mm=88.9, rod_length_mm=145, bore_spacing_mm=111.8)
    >>> found = check_target(v8, target_g=1800, bobweight_g=1750, planes_mm=[-32.3, 367.7])
    >>> found.low_g, found.high_g, found.verdict
    (1764.0, 1836.0, 'metal comes off')

    Source: common practice, no source.
    """
    target = one_positive("target_g", target_g)
    own = one_positive("bobweight_g", bobweight_g)
    share = one_not_negative("spread", spread)
    if share >= 1.0:
        raise InputError(f"spread must be a share below 1 (0.02 for 2 percent), got {spread!r}")
    low, high = target * (1.0 - share), target * (1.0 + share)
    pins = pins_of(engine)
    each = np.abs(_at_planes(engine, pins, np.ones(len(pins.throws)), planes_mm))
    first, second = (((low - own) * float(u), (high - own) * float(u)) for u in each)
    return TargetCheck(low, high, _verdict(low, high, own), (first, second))


def _verdict(
    low: float, high: float, own: float
) -> Literal["metal comes off", "metal must be added", "either may happen"]:
    if own <= low:
        return "metal comes off"
    return "metal must be added" if own >= high else "either may happen"


def _pin_sums(pins: Pins, masses_g: NDArray[np.float64]) -> Vectors:
    """Return mass times direction of each pin [g]."""
    return np.array([masses_g[list(own)].sum() for own in pins.cylinders]) * pins.direction


def _at_planes(
    engine: Engine, pins: Pins, masses_g: NDArray[np.float64], planes_mm: ArrayLike
) -> Any:
    """Return the unbalance of masses on the pins, moved onto two planes [g mm]; cancelling is 0."""
    each = (
        radius_mm(engine)
        * (masses_g * pins.direction)[:, None]
        * plane_shares(pins.z_mm, planes_mm)
    )
    total = each.sum(axis=0)
    return np.where(np.abs(total) <= ZERO * np.abs(each).sum(axis=0), 0.0, total)
