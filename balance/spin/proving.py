"""Proving: what is really left in the rotor, and whether the machine can be believed.

A known trial or test mass is moved around the rotor; the readings then lie on a circle whose
radius is the mass and whose centre is what the rotor has of its own.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import (
    InputError,
    finite,
    not_negative,
    one_positive,
    one_vector,
    real,
    together,
)
from balance.vectors import degrees, vector, whole_degrees

__all__ = [
    "ReductionProof",
    "TrialCircle",
    "UmarProof",
    "prove_reduction",
    "prove_umar",
    "reduction_ratio",
    "trial_circle",
    "trial_circle_from_amounts",
]

_BAND = 0.12  # Bloch & Geitner, p. 316: one Umar of the ten, and 20 % more for placing the mass
_TEST_MASSES = 12
_RUNS = 11  # from memory of ISO 21940-21
_OUTSIDE_ALLOWED = 1  # in each plane; from memory of ISO 21940-21


@dataclass(frozen=True)
class TrialCircle:
    """What a trial weight at several positions tells about one plane.

    ``residual`` [g mm] is the rotor's own unbalance, ``scale`` what the machine shows for one
    g mm, ``angle_degrees`` how far it shows it turned. ``u_gmm`` is the standard uncertainty of
    the residual for each axis from the misfit, and ``misfit_gmm`` the largest distance of a
    reading from its place on the circle; three amounts without angles leave none ``spare``, then
    both are zero and prove nothing.
    """

    residual: complex
    scale: float
    angle_degrees: float
    misfit_gmm: float
    u_gmm: float
    spare: int


@dataclass(frozen=True)
class UmarProof:
    """Outcome of the Umar test in one plane.

    ``ratios`` are the readings over their mean, ``outside`` how many lie beyond 0.88 to 1.12.
    ``residual`` [g mm] is the rotor's own unbalance estimated from the wave in the readings, and
    ``wave_share`` the part of their scatter that the wave explains.
    """

    passed: bool
    ratios: NDArray[np.float64]
    outside: int
    residual: complex
    wave_share: float
    remark: str


@dataclass(frozen=True)
class ReductionProof:
    """Outcome of the unbalance reduction test in one plane.

    ``error_gmm`` is each reading's distance from the true total, ``limit_gmm`` the radius allowed,
    ``achieved_percent`` the reduction ratio that every run but the worst reached.
    """

    passed: bool
    error_gmm: NDArray[np.float64]
    limit_gmm: NDArray[np.float64]
    outside: int
    achieved_percent: float


def trial_circle(
    readings: ArrayLike, *, trial_gmm: float, position_degrees: ArrayLike | None = None
) -> TrialCircle:
    """Return the true residual from readings with a trial weight at several positions.

    ``R_k = g (residual + T exp(i a_k))`` by least squares; the complex factor g is the machine's
    scale and angle error.

    Parameters
    ----------
    readings : complex array (k,) [g mm]
        One plane's readings, amount and angle, in the order of the positions.
    trial_gmm : float [g mm]
        The trial weight times its radius: one to two times the permissible residual.
    position_degrees : array (k,), optional [degree]
        Where the trial weight was; by default k even steps from 0 in the frame's sense.

    Raises
    ------
    InputError
        When there are fewer than three positions, they do not differ, the trial weight is not
        greater than zero, or it left no trace in the readings.

    Examples
    --------
    >>> from balance.vectors import vector
    >>> found = trial_circle(1.1 * (30j + vector(150, [0, 60, 120, 180, 240, 300])),
    ...                      trial_gmm=150)
    >>> round(abs(found.residual), 3), round(found.scale, 3)
    (30.0, 1.1)

    Source: API Std 617 (2002) ch. 1 annex B.4 (six positions); the least squares is ours.
    """
    rows = finite("readings", readings).astype(complex)
    turned, trial = _positions(rows, position_degrees), one_positive("trial_gmm", trial_gmm)
    design = np.stack([np.ones_like(turned), turned], axis=1)
    inverse = np.linalg.pinv(design)
    centre, arm = inverse @ rows
    if abs(arm) < 1e-9 * np.abs(rows).max():
        raise InputError(
            "readings do not follow the trial weight at all: check that it was moved, and in "
            "which plane it was"
        )
    misfit = np.abs(rows - design @ [centre, arm])
    spare = rows.size - 2
    spread = np.sqrt(np.sum(misfit**2) / (2 * spare))
    shown = abs(arm) / trial  # what the machine shows for one g mm
    return TrialCircle(
        residual=complex(centre / arm * trial),
        scale=float(shown),
        angle_degrees=float(np.degrees(np.angle(arm))),
        misfit_gmm=float(misfit.max() / shown),
        u_gmm=float(spread * np.linalg.norm(inverse[0]) / shown),
        spare=spare,
    )


def trial_circle_from_amounts(
    amounts: ArrayLike, *, trial_gmm: float, position_degrees: ArrayLike | None = None
) -> TrialCircle:
    """Return the true residual from amounts alone, as drawn on polar paper.

    ``A_k^2 = s^2 (T^2 + U^2 + 2 T U cos(a_k - angle))``: linear in three unknowns. Amounts alone
    cannot tell U from T, so the trial weight must be the larger: it is taken to be.

    Parameters
    ----------
    amounts : array (k,) [g mm]
        One plane's readings without angle, in the order of the positions.
    trial_gmm : float [g mm]
        The trial weight times its radius, larger than the residual.
    position_degrees : array (k,), optional [degree]
        Where the trial weight was; by default k even steps from 0 in the frame's sense.

    Raises
    ------
    InputError
        When there are fewer than three positions, they do not differ, or no circle fits.

    Examples
    --------
    >>> from balance.vectors import vector
    >>> amounts = abs(30j + vector(150, [0, 60, 120, 180, 240, 300]))
    >>> trial_circle_from_amounts(amounts, trial_gmm=150).residual.imag.__round__(3)
    30.0

    Source: API Std 617 (2002) ch. 1 annex B.4; the squares instead of the drawing are ours.
    """
    rows = not_negative("amounts", amounts)
    turned, trial = _positions(rows, position_degrees), one_positive("trial_gmm", trial_gmm)
    design = np.stack([np.ones_like(turned.real), turned.real, turned.imag], axis=1)
    if np.linalg.matrix_rank(design, tol=1e-6) < 3:
        raise InputError("position_degrees must hold at least three different positions")
    inverse = np.linalg.pinv(design)
    mean, *wave = inverse @ rows**2
    swing = complex(*wave)
    root = mean**2 - abs(swing) ** 2
    if root < 0:
        raise InputError(
            "amounts do not fit a circle around any residual: read again, or read the angles too"
        )
    arm = np.sqrt((mean + np.sqrt(root)) / 2)  # the larger of the two is the trial weight
    centre = swing / (2 * arm)
    shown = arm / trial
    misfit = np.abs(rows - np.abs(centre + arm * turned))
    spare = rows.size - 3
    spread = np.sqrt(np.sum(misfit**2) / spare) if spare else 0.0
    # an amount near the arm T moves its square by 2 T, and the centre by that over 2 T
    factor = np.linalg.norm(inverse[1:], axis=1).max()
    return TrialCircle(
        residual=complex(centre / shown),
        scale=float(shown),
        angle_degrees=0.0,
        misfit_gmm=float(misfit.max() / shown),
        u_gmm=float(spread * factor / shown),
        spare=spare,
    )


def prove_umar(
    amounts: ArrayLike, *, claimed_umar_gmm: float, position_degrees: ArrayLike | None = None
) -> UmarProof:
    """Judge the Umar test of one plane: a test mass of ten Umar in twelve positions.

    Every reading lies within 12 % of their mean, one excursion allowed. A wave in the readings
    means that the rotor still has an unbalance of its own: take it out and repeat.

    Parameters
    ----------
    amounts : array (12,) [g mm]
        Readings of the plane, in the order of the positions.
    claimed_umar_gmm : float [g mm]
        Minimum achievable residual unbalance that the machine claims in this plane.
    position_degrees : array (12,), optional [degree]
        Where the test mass was; by default steps of 30 from 0.

    Raises
    ------
    InputError
        When there are not twelve readings, or they are negative or all zero.

    Examples
    --------
    >>> prove_umar([100, 104, 97, 99, 101, 100, 95, 103, 100, 98, 102, 101],
    ...            claimed_umar_gmm=10).passed
    True

    Source: ISO 21940-21 (formerly ISO 2953), not read; Bloch & Geitner, Machinery Component
    Maintenance and Repair, p. 316, figures 6-31 and 6-32 (ten Umar, twelve positions,
    12 %); one excursion from memory.
    """
    rows = not_negative("amounts", amounts)
    if rows.shape != (_TEST_MASSES,):
        raise InputError(
            f"amounts must be the {_TEST_MASSES} readings of one plane, got shape {rows.shape}"
        )
    turned = _positions(rows, position_degrees)
    umar, mean = one_positive("claimed_umar_gmm", claimed_umar_gmm), rows.mean()
    if mean == 0:
        raise InputError("amounts are all zero: the test mass was not seen")
    ratios = rows / mean
    outside = int(np.sum(np.abs(ratios - 1) > _BAND * (1 + 1e-12)))
    wave, share = _wave(rows - mean, turned)
    passed = outside <= _OUTSIDE_ALLOWED
    # the mean reading stands for the test mass of ten Umar, which settles the scale
    residual = complex(wave * 10 * umar / mean)
    return UmarProof(passed, ratios, outside, residual, share, _umar_remark(residual, share, umar))


def reduction_ratio(before: ArrayLike, after: ArrayLike) -> Any:
    """Return how much of the unbalance one correction took away.

    ``URR = 100 (U1 - U2) / U1``

    Parameters
    ----------
    before, after : complex or array [g mm]
        Unbalance before and after; negative result when it grew.

    Returns
    -------
    float or array [percent]

    Raises
    ------
    InputError
        When there was no unbalance to reduce.

    Examples
    --------
    >>> float(reduction_ratio(100, 5j))
    95.0

    Source: ISO 21940-2, unbalance reduction ratio, from memory; Bloch & Geitner,
    Machinery Component Maintenance and Repair, p. 309.
    """
    together(before=before, after=after)
    first, second = np.abs(finite("before", before)), np.abs(finite("after", after))
    if np.any(first == 0):
        raise InputError("before must not be zero: there is nothing to reduce")
    return 100 * (first - second) / first


def prove_reduction(
    readings: ArrayLike, *, stationary: complex, travelling: ArrayLike, claimed_percent: float
) -> ReductionProof:
    """Judge the unbalance reduction test of one plane: a stationary and a travelling test mass.

    Every reading lies within ``(1 - URR) |stationary + travelling|`` of their sum, one excursion
    allowed. Amount, angle and plane separation are proven together.

    Parameters
    ----------
    readings : complex array (n,) [g mm]
        Readings of the plane, one for each run, at least eleven.
    stationary : complex [g mm]
        Test mass that stays: 20 to 60 Umar.
    travelling : complex array (n,) [g mm]
        Test mass that moves, where it was in each run: five times the stationary one.
    claimed_percent : float [percent]
        Unbalance reduction ratio that the machine claims, for example 95.

    Raises
    ------
    InputError
        When there are fewer than eleven runs, the counts do not match, the masses cancel, or the
        claim is not between 0 and 100.

    Examples
    --------
    >>> import numpy as np
    >>> from balance.vectors import vector
    >>> travelling = vector(500, np.arange(11) * 30)
    >>> prove_reduction((100 + travelling) * 1.02, stationary=100, travelling=travelling,
    ...                 claimed_percent=95).passed
    True

    Source: ISO 21940-21 (formerly ISO 2953), URR test; run count, masses and limit circles from
    memory.
    """
    rows = finite("readings", readings).astype(complex)
    moved = finite("travelling", travelling).astype(complex)
    if rows.ndim != 1 or rows.size < _RUNS or rows.shape != moved.shape:
        raise InputError(
            f"readings and travelling must be at least {_RUNS} runs each and as many, got shapes "
            f"{rows.shape} and {moved.shape}"
        )
    claim = one_positive("claimed_percent", claimed_percent)
    if claim >= 100:
        raise InputError(f"claimed_percent must be below 100, got {claimed_percent!r}")
    total = moved + one_vector("stationary", stationary)
    if np.any(total == 0):
        raise InputError("stationary and travelling must not cancel: give the travelling one more")
    error = np.abs(rows - total)
    reached = reduction_ratio(total, error)
    limit = (1 - claim / 100) * np.abs(total)
    outside = int(np.sum(error > limit * (1 + 1e-12)))
    return ReductionProof(
        passed=outside <= _OUTSIDE_ALLOWED,
        error_gmm=error,
        limit_gmm=limit,
        outside=outside,
        achieved_percent=float(np.sort(reached)[_OUTSIDE_ALLOWED]),
    )


def _positions(rows: NDArray[Any], position_degrees: ArrayLike | None) -> NDArray[np.complex128]:
    """Return unit vectors of the positions, or raise when they do not belong to the readings."""
    if rows.ndim != 1 or rows.size < 3:
        raise InputError(f"readings must be at least three of one plane, got shape {rows.shape}")
    if position_degrees is None:
        position_degrees = np.arange(rows.size) * 360.0 / rows.size
    angles = real("position_degrees", position_degrees)
    if angles.shape != rows.shape:
        raise InputError(
            f"position_degrees must be one angle for each reading ({rows.size}), "
            f"got {position_degrees!r}"
        )
    turned: NDArray[np.complex128] = vector(1.0, angles)
    if not np.any(np.abs(turned - turned[0]) > 1e-6):
        raise InputError(f"position_degrees must differ, got {position_degrees!r}")
    return turned


def _wave(scatter: NDArray[np.float64], turned: NDArray[np.complex128]) -> tuple[complex, float]:
    """Return the wave once round that fits the scatter best, and the part that it explains."""
    design = np.stack([turned.real, turned.imag], axis=1)
    cosine, sine = np.linalg.pinv(design) @ scatter
    left = scatter - design @ [cosine, sine]
    whole = float(scatter @ scatter)
    return complex(cosine, sine), 1.0 - float(left @ left) / whole if whole else 0.0


def _umar_remark(residual: complex, wave_share: float, umar_gmm: float) -> str:
    """Say when the rotor, not the machine, makes the readings go up and down."""
    if wave_share < 0.5 or abs(residual) < 0.5 * umar_gmm:
        return ""
    return (
        f"the readings rise and fall once round: the rotor still has about {abs(residual):.3g} "
        f"g mm at {whole_degrees(degrees(residual))} degrees; take it out and repeat"
    )
