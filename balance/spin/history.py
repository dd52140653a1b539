"""What each correction was meant to do, and what the next spin said it did.

Every spin is kept. Between two spins stands one correction, planned in the crank's frame::

    before ----- correction planned -----> predicted
       \\
        `------- change that was read ---> after          change = after - before

From many of these the machine and the drill of a shop are learned: by how much the change comes
out larger than planned, and by which angle it is turned. From a single one it is seen at once
when something went wrong, and what kind of mistake would look like it.

Caution: when nothing explains a change, something may have come loose. Stop, lock out, and look
at bobweights, trial weights and slugs before the next spin.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import (
    InputError,
    all_of,
    finite,
    instance_of,
    one_not_negative,
    one_positive,
    one_real,
)
from balance.units import show
from balance.vectors import vector

__all__ = [
    "Check",
    "CorrectionStep",
    "Explanation",
    "Learned",
    "check_step",
    "correction_steps",
    "learn",
]

# Own choice: a change further than half the correction from it is a mistake, not a scale error. No
# drill or machine in order is half out.
_GROSS = 0.5
# Own choice: nearer than this to half a turn, or to nothing, a correction is the opposite side, or
# was not made: those mistakes have words of their own.
_NEARLY_OPPOSITE_DEGREES, _NEARLY_NOTHING = 170, 0.1

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]


@dataclass(frozen=True)
class CorrectionStep:
    """One correction between two spins.

    Parameters
    ----------
    before : array (planes,), complex [g mm]
        Reading in the crank's frame, heavy side.
    correction : array (planes,), complex [g mm]
        Change that was planned: metal removed at angle a is -m r exp(i a).
    after : array (planes,), complex [g mm]
        Reading of the next spin.
    """

    before: Complex
    correction: Complex
    after: Complex

    def __post_init__(self) -> None:
        for name in ("before", "correction", "after"):
            value = np.atleast_1d(finite(name, getattr(self, name))).astype(complex)
            object.__setattr__(self, name, value)
        shapes = [v.shape for v in (self.before, self.correction, self.after)]
        if len(set(shapes)) > 1 or self.before.ndim != 1:
            raise InputError(
                f"before, correction and after must be one value a plane, got {shapes}"
            )

    @property
    def change(self) -> Complex:
        """What the readings say was changed [g mm]."""
        return np.asarray(self.after - self.before)


@dataclass(frozen=True)
class Learned:
    """What a shop's machine and drill do together to a planned correction.

    Parameters
    ----------
    scale : float [1]
        Change read over change planned. Above 1: holes come out too large or the machine reads
        high; the two look alike here, known masses on the machine tell them apart.
    degrees : float [degree, crank's frame]
        Angle by which the change is turned, counter-clockwise seen from the flywheel.
    u_scale : float [1]
        Standard uncertainty of the scale.
    u_degrees : float [degree]
        Standard uncertainty of the angle.
    used : int
        Corrections (step and plane) learned from.
    set_aside : tuple of (step, plane)
        Corrections too far off to be a matter of scale: mistakes are not learned from.
    """

    scale: float
    degrees: float
    u_scale: float
    u_degrees: float
    used: int
    set_aside: tuple[tuple[int, int], ...]

    @property
    def factor(self) -> complex:
        """Scale and angle as one complex factor."""
        return complex(vector(self.scale, self.degrees))

    @property
    def proven(self) -> bool:
        """Whether scale or angle differ from a perfect shop by more than twice their doubt."""
        off_scale = abs(self.scale - 1) > 2 * self.u_scale
        return off_scale or abs(self.degrees) > 2 * self.u_degrees


@dataclass(frozen=True)
class Explanation:
    """A mistake that would look like the change that was read.

    Parameters
    ----------
    text : str
        The mistake, in words.
    misfit : float [1]
        Root mean square of what it leaves, in standard uncertainties per axis.
    fitted : int
        How many numbers were fitted to the reading for it: the fewer, the simpler.
    """

    text: str
    misfit: float
    fitted: int = 0


@dataclass(frozen=True)
class Check:
    """Prediction and reading after one correction.

    Parameters
    ----------
    predicted : array (planes,), complex [g mm]
        Before, plus the correction as this shop makes it.
    difference : array (planes,), complex [g mm]
        Reading after, less predicted.
    u_gmm : array (planes,) [g mm]
        Standard uncertainty of the difference along each axis.
    agrees : tuple of bool
        Per plane, whether the difference lies within 95 % of its uncertainty.
    explanations : tuple of Explanation
        Mistakes that fit the change, simplest first; empty when all planes agree, or when
        nothing fits.
    message : str
        What to tell the operator.
    """

    predicted: Complex
    difference: Complex
    u_gmm: Real
    agrees: tuple[bool, ...]
    explanations: tuple[Explanation, ...]
    message: str


def correction_steps(readings: ArrayLike, corrections: ArrayLike) -> list[CorrectionStep]:
    """Return the steps of a job: n + 1 spins with a correction between each two.

    Parameters
    ----------
    readings : array (n + 1, planes), complex [g mm]
        In the crank's frame, in the order of the spins.
    corrections : array (n, planes), complex [g mm]
        Change planned after each spin but the last.

    Raises
    ------
    InputError
        When the numbers of spins, corrections and planes do not go together.

    Examples
    --------
    >>> correction_steps([[100], [8 + 2j]], [[-90]])[0].change
    array([-92.+2.j])
    """
    read = finite("readings", readings).astype(complex)
    planned = finite("corrections", corrections).astype(complex)
    if read.ndim != 2 or planned.shape != (len(read) - 1, read.shape[1]):
        raise InputError(
            "corrections must be one fewer than readings, each with one value a plane, got "
            f"shapes {planned.shape} and {read.shape}"
        )
    return [CorrectionStep(read[k], planned[k], read[k + 1]) for k in range(len(planned))]


def learn(
    history: Sequence[CorrectionStep],
    *,
    u_reading_gmm: float,
    u_part: float = 0.05,
    u_degrees: float = 2.0,
) -> Learned:
    """Return scale and angle error of this machine and drill, by weighted least squares.

        change = k correction,   k = sum conj(c) d / u^2 / sum |c|^2 / u^2,   scale = |k|

    The uncertainty is that of the data as stated, or as they scatter when they scatter more; that
    two neighbouring steps share a reading is left out.

    Parameters
    ----------
    history : sequence of CorrectionStep
        Steps made on one machine with one way of drilling; crank and plane may differ.
    u_reading_gmm : float [g mm]
        Standard uncertainty of a reading along each axis.
    u_part : float [1]
        Standard uncertainty of the amount of one correction, as a part.
    u_degrees : float [degree]
        Standard uncertainty of the angle of one correction.

    Raises
    ------
    InputError
        When no step holds a usable correction or an uncertainty is out of range.

    Examples
    --------
    >>> job = correction_steps([[500], [100 + 1j], [19]], [[-380], [-77]])
    >>> learned = learn(job, u_reading_gmm=2)
    >>> round(learned.scale, 3), learned.used
    (1.052, 2)

    Source: weighted least squares, JCGM 100:2008 clause 5 and H.3; from memory. Default
    uncertainties of a hole: common practice, no source.
    """
    planned, change, weight, aside = [], [], [], []
    steps = all_of("history", history, CorrectionStep)
    for k, step in enumerate(steps):
        spread = _spread(step.correction, u_reading_gmm, u_part, u_degrees, 0.0)
        for p, (c, d, u) in enumerate(zip(step.correction, step.change, spread, strict=True)):
            if abs(d - c) > max(_GROSS * abs(c), 3 * u):
                aside.append((k, p))
            elif abs(c) > 2 * u:
                planned.append(c)
                change.append(d)
                weight.append(1 / u**2)
    if not planned:
        raise InputError(
            "history must hold at least one correction that is larger than twice its "
            f"uncertainty and went about as planned, got {len(steps)} step(s): if all are "
            "far off, prove the machine with known masses first"
        )
    c, d, w = np.array(planned), np.array(change), np.array(weight)
    power = float(np.sum(w * np.abs(c) ** 2))
    factor = complex(np.sum(w * c.conj() * d) / power)
    spare = 2 * len(c) - 2
    scatter = math.sqrt(np.sum(w * np.abs(d - factor * c) ** 2) / spare) if spare else 1.0
    u_factor = max(scatter, 1.0) / math.sqrt(power)
    return Learned(
        scale=abs(factor),
        degrees=math.degrees(np.angle(factor)),
        u_scale=u_factor,
        u_degrees=math.degrees(u_factor / abs(factor)),
        used=len(c),
        set_aside=tuple(aside),
    )


def check_step(
    step: CorrectionStep,
    *,
    u_reading_gmm: float,
    u_part: float = 0.05,
    u_degrees: float = 2.0,
    cross_talk: float = 0.0,
    learned: Learned | None = None,
    zero_degrees: float = 0.0,
    alternatives: Mapping[str, ArrayLike] | None = None,
    fitted: Mapping[str, ArrayLike] | None = None,
    planes: Sequence[str] | None = None,
) -> Check:
    """Return whether a spin after a correction reads as predicted, and if not, what would fit.

        u^2 = 2 u_reading^2 + |c|^2 (u_part^2 + u_angle^2) / 2 + (cross_talk |c of other planes|)^2

    Parameters
    ----------
    step : CorrectionStep
        Readings before and after, and what was planned between.
    u_reading_gmm : float [g mm]
        As for :func:`learn`.
    u_part : float [1]
        As for :func:`learn`.
    u_degrees : float [degree]
        As for :func:`learn`.
    cross_talk : float [1]
        Part of a correction in one plane that may show in another.
    learned : Learned, optional
        Scale and angle of this machine and drill, to predict with.
    zero_degrees : float [degree, crank's frame]
        Where the degree wheel's zero was, for the mistake of counting the wrong way from it.
    alternatives : mapping of str to array (planes,), complex [g mm], optional
        Further changes that may have been made instead, by name: the hole of another plan, the
        same hole on the next counterweight.
    fitted : mapping of str to array (planes,), complex [g mm], optional
        The same with an amount and an angle that were fitted to this reading, such as a hole that
        is not recorded; what fits without fitting comes before it.
    planes : sequence of str, optional
        What the planes are called in the message; counted from the nose when left out.

    Raises
    ------
    InputError
        When an alternative has another number of planes or an uncertainty is out of range.

    Examples
    --------
    >>> done = CorrectionStep([400], [-380], [770 + 5j])
    >>> check_step(done, u_reading_gmm=5).explanations[0].text
    'the correction went to the opposite side, or metal was added where it was to come off'

    Source: two-dimensional normal region of 95 % (chi-square 5.99); from memory. Which mistakes
    to think of: common practice, no source.
    """
    instance_of("step", step, CorrectionStep)
    one_real("zero_degrees", zero_degrees)
    factor = 1.0 if learned is None else instance_of("learned", learned, Learned).factor
    planned = factor * step.correction
    if planes is not None and len(all_of("planes", planes, str)) != len(planned):
        raise InputError(f"planes must name each of the {len(planned)} plane(s), got {planes!r}")
    spread = _spread(planned, u_reading_gmm, u_part, u_degrees, cross_talk)
    predicted = step.before + planned
    difference = np.asarray(step.after - predicted)
    agrees = tuple(bool(x) for x in np.abs(difference) ** 2 <= _bound(2) * spread**2)
    mistakes = [
        *((text, other, 0) for text, other in _mirrors(planned, zero_degrees).items()),
        *((text, other, 0) for text, other in _named(planned, alternatives, "alternatives")),
        *_one_number(step.change, planned, spread),
        *((text, other, 2) for text, other in _named(planned, fitted, "fitted")),
    ]
    fitting = () if all(agrees) else _fitting(step.change, spread, mistakes)
    return Check(
        predicted=predicted,
        difference=difference,
        u_gmm=spread,
        agrees=agrees,
        explanations=fitting,
        message=_message(agrees, difference, fitting, planes),
    )


def _spread(
    planned: Complex, u_reading_gmm: float, u_part: float, u_degrees: float, cross_talk: float
) -> Real:
    """Return the standard uncertainty along each axis of reading less prediction, per plane."""
    reading = one_positive("u_reading_gmm", u_reading_gmm)
    part = one_not_negative("u_part", u_part)
    angle = math.radians(one_not_negative("u_degrees", u_degrees))
    size = np.abs(planned) ** 2
    beside = one_not_negative("cross_talk", cross_talk) ** 2 * (size.sum() - size)
    return np.asarray(np.sqrt(2 * reading**2 + size * (part**2 + angle**2) / 2 + beside))


def _bound(count: int) -> float:
    """Return the 95 % point of chi-square (Wilson and Hilferty, within 2.5 %; exact for 2)."""
    if count == 2:
        return -2 * math.log(0.05)
    part = 2 / (9 * count)
    return float(count * (1 - part + 1.6449 * math.sqrt(part)) ** 3)


def _mirrors(planned: Complex, zero_degrees: float) -> dict[str, Complex]:
    """Return the changes that known mistakes would have made, by name."""
    axis = vector(1.0, zero_degrees)
    found = {
        "nothing was changed: the hole was not drilled, or the old reading was read again": 0
        * planned,
        "the correction went to the opposite side, or metal was added where it was to come off": (
            -planned
        ),
        "the angle was counted the wrong way round from zero": (planned / axis).conj() * axis,
    }
    if len(planned) > 1:
        found["the corrections went to each other's planes"] = planned[::-1]
    return found


def _named(
    planned: Complex, named: Mapping[str, ArrayLike] | None, argument: str
) -> Iterator[tuple[str, Complex]]:
    """Yield the changes that a caller names, checked."""
    if named is None:
        return
    for name, change in instance_of(argument, named, Mapping).items():  # type: ignore[type-abstract]
        other = np.atleast_1d(finite(f"{argument}[{name!r}]", change)).astype(complex)
        if other.shape != planned.shape:
            raise InputError(
                f"{argument}[{name!r}] must hold one value for each of {len(planned)} plane(s), "
                f"got {other.size}"
            )
        yield name, other


def _fitting(
    change: Complex, spread: Real, mistakes: Sequence[tuple[str, Complex, int]]
) -> tuple[Explanation, ...]:
    """Return the explanations that fit, those with the fewest fitted numbers first."""
    found = []
    for text, other, free in mistakes:
        count = 2 * len(change) - free
        if count <= 0:  # as many numbers fitted as read: anything would fit
            continue
        square = float(np.sum(np.abs(change - other) ** 2 / spread**2))
        if square <= _bound(count):
            found.append((free, Explanation(text, math.sqrt(square / count), free)))
    found.sort(key=lambda item: (item[0], item[1].misfit))
    return tuple(explanation for _, explanation in found)


def _one_number(change: Complex, planned: Complex, spread: Real) -> list[tuple[str, Complex, int]]:
    """Return the mistakes with one number to fit: all turned, or all too large or too small.

    Turned by 180 is the opposite side, of size 0 is nothing changed: those have their own words.
    """
    power = float(np.sum(np.abs(planned) ** 2 / spread**2))
    if power == 0:
        return []
    factor = complex(np.sum(planned.conj() * change / spread**2) / power)
    angle, size = math.degrees(np.angle(factor)), factor.real
    found = []
    if abs(angle) < _NEARLY_OPPOSITE_DEGREES:
        turned = f"the whole correction is turned by {angle:+.0f} degrees: zero or pointer moved"
        found.append((turned, planned * vector(1.0, angle), 1))
    if size > _NEARLY_NOTHING:
        scaled = f"the whole correction came out {size:.2f} times as large: drill, depth or radius"
        found.append((scaled, planned * size, 1))
    return found


def _message(
    agrees: tuple[bool, ...],
    difference: Complex,
    fitting: tuple[Explanation, ...],
    planes: Sequence[str] | None,
) -> str:
    if all(agrees):
        return "reading and prediction agree"
    worst = int(np.argmax(np.abs(difference)))
    apart = show(float(abs(difference[worst])), "unbalance", "g mm")
    plane = planes[worst] if planes else f"plane {worst + 1} from the nose"
    start = f"reading and prediction differ by {apart} in {plane}, more than their uncertainty"
    if fitting:
        # what needs two numbers more than the simplest is no likely story beside it
        simple = [each.text for each in fitting if each.fitted <= fitting[0].fitted + 1]
        likely = "; or ".join(simple[:3])
        return f"{start}. This would look like it: {likely}"
    return (
        f"{start}, and no single mistake explains it: look for something that moved (a loose "
        "bobweight, a part refitted turned, dirt on a seat) and spin again before drilling"
    )
