"""Readings that are not yet unbalance: influence coefficients from trial weights.

A sensor shows amount and angle of vibration. A trial weight at a known place changes it; the
change per unit of trial weight is the influence coefficient::

    run 0: as found          V0        (sensors)
    run j: trial T_j on      V_j       coefficient  a_j = (V_j - V0) / T_j
    wanted: V0 + a w = 0     w is what to ADD; take off the same on the opposite side

Vibration and trial weights are complex, their angles counted in one and the same sense; the
result is in the frame and the unit of the trial weights.

Caution: a trial weight that comes loose is a projectile. Fix it mechanically, keep the guard
shut, and stand out of the plane of rotation.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import (
    InputError,
    finite,
    not_negative,
    one_not_negative,
    one_positive,
    positive,
    yes_or_no,
)
from balance.spin._circles import apart, meeting_points, misfit_rms

__all__ = [
    "Conditioning",
    "NoPhase",
    "coefficients",
    "conditioning",
    "correction",
    "from_amplitudes",
]

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]


@dataclass(frozen=True)
class Conditioning:
    """How far a correction can be trusted.

    Parameters
    ----------
    condition : float [1]
        Condition number of the coefficients, each plane scaled to its own strength: 1 is best;
        a reading error can grow by up to this factor.
    u_correction : array (planes,) [unit of the trial weights]
        Standard uncertainty of the correction along each axis.
    residual : array (sensors,), complex [unit of the vibration]
        What the least-squares correction is expected to leave at each sensor.
    residual_rms : float [unit of the vibration]
        Root mean square of its amounts.
    """

    condition: float
    u_correction: Real
    residual: Complex
    residual_rms: float


@dataclass(frozen=True)
class NoPhase:
    """A correction found from amplitudes alone.

    Parameters
    ----------
    correction : complex [unit of the trial weights]
        What to ADD, in the frame of the trial weights.
    closure : float [1]
        Root mean square misfit of the trial amplitudes, as a part of the initial amplitude. 0
        when the circles meet in one point, or when there are only two trial runs: two circles
        nearly always meet.
    misfit : array (runs,) [unit of the amplitudes]
        Measured less computed, per trial run.
    other : complex or None
        A second answer that fits as well: the runs cannot tell the two apart. Try one; when it
        makes things worse it was the other. A further run off the line of the trials decides.
    """

    correction: complex
    closure: float
    misfit: Real
    other: complex | None

    @property
    def ambiguous(self) -> bool:
        """Whether a second answer fits as well."""
        return self.other is not None


def coefficients(
    initial: ArrayLike, responses: ArrayLike, trials: ArrayLike, *, left_on: bool = False
) -> Complex:
    """Return the influence coefficients of trial runs, by least squares.

        responses[run] - initial = sum over planes of coefficient[:, plane] * trials[run, plane]

    Parameters
    ----------
    initial : array (sensors,), complex [any unit]
        Vibration as found. Further speeds are further sensors.
    responses : array (runs, sensors), complex [same unit]
        Vibration of each trial run.
    trials : array (planes,) or (runs, planes), complex [g mm, or g at one radius]
        One dimension: one run a plane, the trial weight of that plane alone. Two dimensions:
        all weights that were on in each run.
    left_on : bool
        Trial weights were left on when the next was put on; with one-dimensional trials only.

    Returns
    -------
    array (sensors, planes), complex [vibration / trial weight]

    Raises
    ------
    InputError
        When shapes disagree, a trial is zero, or the runs cannot tell the planes apart.

    Examples
    --------
    >>> coefficients([1 + 1j], [[3 + 1j]], [2])
    array([[1.+0.j]])

    Source: S. S. Rao, Mechanical Vibrations, ch. 9, two-plane balancing; from memory.
    """
    start = np.atleast_1d(finite("initial", initial)).astype(complex)
    pattern = _pattern(trials, left_on=left_on)
    shown = _responses(responses, len(pattern), start)
    solved, _, rank, _ = np.linalg.lstsq(pattern, shown - start, rcond=None)
    if rank < pattern.shape[1]:
        raise InputError(
            f"trials cannot tell {pattern.shape[1]} planes apart, got {trials!r}: "
            "put a weight other than zero in each plane in a run of its own"
        )
    return np.asarray(solved.T, dtype=complex)


def correction(
    coefficients: ArrayLike, vibration: ArrayLike, *, u_vibration: ArrayLike = 1.0
) -> Complex:
    """Return what to ADD in each plane to cancel the vibration.

        minimise sum over sensors of |vibration + coefficients @ w|^2 / u_vibration^2

    Exact when there are as many sensors (times speeds) as planes, least squares when more.

    Parameters
    ----------
    coefficients : array (sensors, planes), complex
        From :func:`coefficients`.
    vibration : array (sensors,), complex
        What is to be cancelled, same sensors.
    u_vibration : float or array (sensors,) [unit of the vibration]
        How well each sensor is known: sensors in different units, or better and worse ones, count
        by it. One figure for all, any, leaves them equal.

    Returns
    -------
    array (planes,), complex [unit of the trial weights]
        To add; to take metal off instead, take the same on the opposite side.

    Raises
    ------
    InputError
        When shapes disagree, there are fewer sensors than planes, or the planes act alike.

    Examples
    --------
    >>> correction([[2.0]], [4 + 4j])
    array([-2.-2.j])

    Source: S. S. Rao, Mechanical Vibrations, ch. 9; least squares over more readings than planes:
    T. P. Goodman, A least-squares method for computing balance corrections, ASME Journal of
    Engineering for Industry, 1964; both from memory.
    """
    matrix, shown = _matrix(coefficients, vibration)
    weight = 1 / _spread(u_vibration, shown)
    solved = np.linalg.lstsq(matrix * weight[:, None], -shown * weight, rcond=None)[0]
    return np.asarray(solved, dtype=complex)


def conditioning(
    coefficients: ArrayLike,
    vibration: ArrayLike,
    *,
    u_vibration: ArrayLike,
    trials: ArrayLike | None = None,
    left_on: bool = False,
) -> Conditioning:
    """Return how far the correction of the same coefficients, vibration and u can be trusted.

    With A the coefficients, A+ their pseudo-inverse and w the correction, reading errors reach
    the correction as

        dw = -A+ (dV0 (1 - sum q) + sum q_run dV_run),    q = w pinv(trials)

    so a correction much larger than the trial weights is worth much less than the readings.

    Parameters
    ----------
    coefficients : array (sensors, planes), complex
        As for :func:`correction`.
    vibration : array (sensors,), complex
        As for :func:`correction`.
    u_vibration : float or array (sensors,) [unit of the vibration]
        Standard uncertainty of a reading along each axis, e.g. from
        :func:`balance.spin.trials.repeatability`.
    trials : array (planes,) or (runs, planes), complex, optional
        As for :func:`coefficients`: then the errors of the trial runs are counted too, the
        vibration being the initial run. Without it the coefficients are taken as exact.
    left_on : bool
        As for :func:`coefficients`.

    Raises
    ------
    InputError
        As for :func:`correction`, and when an uncertainty is not greater than zero.

    Examples
    --------
    >>> conditioning([[2.0]], [4j], u_vibration=0.1).u_correction
    array([0.05])

    Source: first-order propagation, JCGM 100:2008 clause 5; from memory. The neglect of the
    second order holds while errors are small beside the change that the trial weights make.
    """
    matrix, shown = _matrix(coefficients, vibration)
    spread = _spread(u_vibration, shown)
    added = correction(matrix, shown, u_vibration=spread)
    left = shown + matrix @ added
    factor = 1.0
    yes_or_no("left_on", left_on)
    if trials is not None:
        part = np.linalg.pinv(_pattern(trials, left_on=left_on)).T @ added
        factor = float(np.sqrt(abs(1 - part.sum()) ** 2 + np.sum(np.abs(part) ** 2)))
    weighted = matrix / spread[:, None]
    return Conditioning(
        condition=float(np.linalg.cond(_scaled(weighted))),
        u_correction=factor * np.linalg.norm(np.linalg.pinv(weighted), axis=1),
        residual=left,
        residual_rms=float(np.sqrt(np.mean(np.abs(left) ** 2))),
    )


def from_amplitudes(
    initial: float,
    trials: ArrayLike,
    amplitudes: ArrayLike,
    *,
    u_amplitude: float | None = None,
) -> NoPhase:
    """Return what to ADD, found from amplitudes alone: balancing without phase.

    With c the unknown influence as a part of the initial vibration, each trial run says

        |1 + c T_run| * initial = amplitude_run

    a circle for c; the least-squares point of the circles is taken, and w = -1/c.

    Parameters
    ----------
    initial : float [any unit]
        Amplitude as found.
    trials : array (runs,), complex [g mm, or g at one radius]
        Trial weight of each run, taken off before the next. Three runs at 0, 120 and 240
        degrees are the usual choice; two runs leave two answers.
    amplitudes : array (runs,) [unit of initial]
        Amplitude of each trial run.
    u_amplitude : float, optional [unit of initial]
        How well an amplitude repeats. A second answer that fits within twice this is reported.
        Default 2 % of the initial amplitude (common practice, no source).

    Raises
    ------
    InputError
        When there are fewer than two different trials, shapes disagree, an amplitude is
        negative, or the trial weights changed nothing.

    Examples
    --------
    >>> found = from_amplitudes(1.0, [1, -1, 1j], [2.0, 0.0, 2**0.5])
    >>> abs(found.correction + 1) < 1e-6, found.ambiguous
    (True, False)

    Source: the four-circle construction as in D. Shreve, Balancing Without Phase, steps 1 to 6;
    least squares instead of a drawing.
    """
    start = one_positive("initial", initial)
    weights, sizes = _amplitude_runs(trials, amplitudes)
    unit = float(np.mean(np.abs(weights)))
    weights, sizes = weights / unit, sizes / start
    bar = 0.02 if u_amplitude is None else one_not_negative("u_amplitude", u_amplitude) / start
    answers = meeting_points(weights, sizes, bar)
    misfit = -start * apart(answers[0], weights, sizes)
    return NoPhase(
        correction=-unit / answers[0],
        closure=misfit_rms(answers[0], weights, sizes),
        misfit=misfit,
        other=-unit / answers[1] if len(answers) > 1 else None,
    )


def _pattern(trials: ArrayLike, *, left_on: bool) -> Complex:
    """Return the weights that were on, (runs, planes)."""
    weights = np.atleast_1d(finite("trials", trials)).astype(complex)
    if weights.ndim > 2 or weights.size == 0:
        raise InputError(f"trials must be (planes,) or (runs, planes), got {trials!r}")
    stays = yes_or_no("left_on", left_on)
    if weights.ndim == 2:
        if stays:
            raise InputError("left_on goes with one trial a plane; (runs, planes) says it already")
        return weights
    if np.any(weights == 0):
        raise InputError(f"trials must not be zero, got {trials!r}")
    return np.tril(np.tile(weights, (len(weights), 1))) if stays else np.diag(weights)


def _responses(responses: ArrayLike, runs: int, start: Complex) -> Complex:
    shown = finite("responses", responses).astype(complex)
    if start.ndim != 1:
        raise InputError(f"initial must be one value a sensor, got shape {start.shape}")
    if shown.ndim < 2 and 1 in (runs, len(start)) and shown.size == runs * len(start):
        shown = shown.reshape(runs, len(start))
    if shown.shape != (runs, len(start)):
        raise InputError(
            f"responses must be one row a trial run ({runs}) and one column a sensor "
            f"({len(start)}), got shape {shown.shape}"
        )
    return shown


def _matrix(coefficients: ArrayLike, vibration: ArrayLike) -> tuple[Complex, Complex]:
    shown = np.atleast_1d(finite("vibration", vibration)).astype(complex)
    matrix = finite("coefficients", coefficients).astype(complex)
    if matrix.ndim < 2:
        matrix = matrix.reshape(-1, 1)
    if matrix.ndim != 2 or shown.shape != (matrix.shape[0],):
        raise InputError(
            f"vibration must hold one value for each of the {matrix.shape[0]} sensors of the "
            f"coefficients, got shape {shown.shape}"
        )
    sensors, planes = matrix.shape
    if sensors < planes:
        raise InputError(
            f"coefficients must have at least as many sensors (times speeds) as planes, got "
            f"{sensors} for {planes}: measure at another place or speed, or correct fewer planes"
        )
    if np.any(np.all(matrix == 0, axis=0)) or np.linalg.matrix_rank(_scaled(matrix)) < planes:
        raise InputError(
            "coefficients must tell the planes apart, but planes act alike on every sensor, or "
            "not at all: use planes further apart, other sensors or fewer planes"
        )
    return matrix, shown


def _spread(u_vibration: ArrayLike, shown: Complex) -> Real:
    spread = positive("u_vibration", u_vibration)
    if spread.shape not in ((), shown.shape):
        raise InputError(
            f"u_vibration must be one figure, or one for each of {shown.size} sensors, got "
            f"{u_vibration!r}"
        )
    return np.asarray(np.broadcast_to(spread, shown.shape))


def _scaled(matrix: Complex) -> Complex:
    return np.asarray(matrix / np.linalg.norm(matrix, axis=0))


def _amplitude_runs(trials: ArrayLike, amplitudes: ArrayLike) -> tuple[Complex, Real]:
    weights = np.atleast_1d(finite("trials", trials)).astype(complex)
    sizes = np.atleast_1d(not_negative("amplitudes", amplitudes))
    if weights.ndim != 1 or weights.shape != sizes.shape:
        raise InputError(
            f"trials and amplitudes must be one a run, got {weights.size} and {sizes.size}"
        )
    if weights.size == 0:
        raise InputError(f"trials must hold at least two runs, got {trials!r}")
    if np.any(weights == 0):
        raise InputError(f"trials must not be zero, got {trials!r}")
    return weights, sizes
