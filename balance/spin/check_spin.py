"""The check spin: putty where the holes are to go, and what the machine must then show.

A convention found from known masses is as good as the places where these were said to be. Noted
half a turn off, counted the other way or exchanged between the planes, they prove a machine that
does not exist, and nothing in the numbers shows it. Putty put down by counterweight and angle, as
the holes will be, does::

    must show = what it shows now + what the putty does        heavier there, or nothing is drilled
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import (
    InputError,
    all_of,
    finite,
    instance_of,
    items_of,
    not_negative,
    one_positive,
    one_real,
    real,
    yes_or_no,
)
from balance.spin.machine import Machine, Reading, from_crank
from balance.spin.planes import transfer
from balance.spin.slips import EXCHANGED, SLIPS, Slip
from balance.vectors import vector

__all__ = [
    "CheckSpin",
    "CheckVerdict",
    "Putty",
    "SlipShown",
    "is_told",
    "judge_check_spin",
    "predict_check_spin",
    "putty_gmm",
]

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]

# How well putty is known (standard uncertainties, own choice):
MASS_G = 0.2  # a shop's scale shows 0.1 g, and some stays on the fingers
RADIUS_MM = 3.0  # a lump stands some millimetres proud of the rim
ANGLE_DEGREES = 3.0  # laid on a mark by eye: 4 mm along a rim of 76 mm radius
ALONG_MM = 3.0  # beside the middle of the counterweight
# What an honest machine may do, as a part (own choice, the same that `differences` and `identify`
# let pass as good enough: a tenth in scale and 5 degrees as bounds, a tenth of cross-talk):
MACHINE = 0.05
CROSS_TALK = 0.1
# Standard uncertainties that one reading in a thousand exceeds in the plane: sqrt(-2 ln 0.001).
REACH = 3.72

_COUNTS = "the machine's numbers run the other way round (counts)"


@dataclass(frozen=True)
class Putty:
    """A known mass stuck on the crank: where along it, how far out, how much, at which angle.

    Parameters
    ----------
    z_mm : float [mm]
        Place along the crank.
    radius_mm : float [mm]
        Of its middle.
    mass_g : float [g]
        Of it.
    degrees : float [degree, crank's frame]
        Where it stands.
    """

    z_mm: float
    radius_mm: float
    mass_g: float
    degrees: float

    def __post_init__(self) -> None:
        one_positive("radius_mm", self.radius_mm)
        one_positive("mass_g", self.mass_g)
        one_real("z_mm", self.z_mm)
        one_real("degrees", self.degrees)


@dataclass(frozen=True)
class SlipShown:
    """A slip in how the machine is understood, what the putty then seems to do [g mm], how nearly.

    ``single`` is false for two slips at once.
    """

    text: str
    change: Complex
    reach_gmm: Real
    single: bool


@dataclass(frozen=True)
class CheckSpin:
    """What a spin with putty on must show.

    Parameters
    ----------
    before : array (planes,), complex [g mm]
        As the machine shows the crank without putty, in the crank's frame, from nose to flywheel.
    putty : tuple of Putty
        What is stuck on.
    machine : Machine
        As it is understood.
    declared : bool
        Whether somebody wrote how the machine counts.
    change : array (planes,), complex [g mm]
        What the putty does.
    readings : tuple of Reading
        What must be shown, in the order, unit and angle of the machine.
    reach_gmm : array (planes,) [g mm]
        How far beside it a good reading may lie.
    slips : tuple of SlipShown
        The known slips.
    left_open : tuple of str
        The single slips that this putty could not tell from a machine in order.
    """

    before: Complex
    putty: tuple[Putty, ...]
    machine: Machine
    declared: bool
    change: Complex
    readings: tuple[Reading, ...]
    reach_gmm: Real
    slips: tuple[SlipShown, ...]
    left_open: tuple[str, ...]

    @property
    def shown(self) -> Complex:
        """What must be shown, in the crank's frame [g mm]."""
        return np.asarray(self.before + self.change)


@dataclass(frozen=True)
class CheckVerdict:
    """What a check spin says of the machine.

    ``verdict`` is "agrees"; "contradicts", then ``fits`` holds the slips that would look like it,
    the simplest first, none when nothing known does; or "too little" when it agrees, but the
    slips in ``fits`` would have shown the same.
    """

    verdict: Literal["agrees", "contradicts", "too little"]
    fits: tuple[str, ...]
    difference: Complex
    reach_gmm: Real


def putty_gmm(putty: Sequence[Putty], planes_mm: Sequence[float]) -> Complex:
    """Return what putty does in the machine's planes [g mm].

    ``c = sum m r exp(i a)``, shared between two planes by force and moment

    Parameters
    ----------
    putty : sequence of Putty
        At least one.
    planes_mm : sequence of float [mm]
        The machine's planes, from nose to flywheel: one or two.

    Raises
    ------
    InputError
        When there is no putty.

    Examples
    --------
    >>> putty_gmm([Putty(100, 80, 10, 90)], [0, 400]).round(6).tolist()
    [600j, 200j]

    Source: mechanics, U = m r; statics for the shares.
    """
    masses = all_of("putty", putty, Putty)
    if not masses:
        raise InputError("putty must hold at least one mass, got none")
    each = np.array([vector(one.mass_g * one.radius_mm, one.degrees) for one in masses])
    if len(items_of("planes_mm", planes_mm)) == 1:
        real("planes_mm", planes_mm)  # the one place tells nothing, but it must be one
        return np.array([each.sum()])
    return transfer(each, [one.z_mm for one in masses], planes_mm)


def predict_check_spin(
    before: ArrayLike,
    putty: Sequence[Putty],
    machine: Machine,
    *,
    u_reading_gmm: ArrayLike,
    declared: bool = False,
) -> CheckSpin:
    """Return what the machine must show with putty on, how near, and what slips would show.

        shown = before + c
        u^2 = u_reading^2 + |c|^2 (u_mass^2 + u_radius^2 + u_angle^2 + u_machine^2)
              + (cross_talk |c of the other plane|)^2 + (m r u_along / plane distance)^2

    A good reading lies within 3.72 u of it.

    Parameters
    ----------
    before : array (planes,), complex [g mm]
        The latest reading of the same crank without putty, in the crank's frame.
    putty : sequence of Putty
        What is stuck on, each at a place that the crank itself names.
    machine : Machine
        As it is understood.
    u_reading_gmm : float or array (planes,) [g mm]
        Standard uncertainty of the difference of the two readings.
    declared : bool
        Whether somebody wrote how the machine counts: then its numbers may run the other way from
        its own zero. Found from known masses, only these can have been counted wrongly.

    Raises
    ------
    InputError
        When the number of planes differs or there is no putty.

    Examples
    --------
    >>> machine = Machine(planes_mm=(0, 400), first_plane="flywheel", unit="g mm",
    ...                   counts="clockwise", seen_from="flywheel", zero_degrees=0,
    ...                   points_to="heavy")
    >>> check = predict_check_spin([300j, 100], [Putty(0, 80, 10, 90)], machine, u_reading_gmm=5)
    >>> [(round(r.amount), round(r.degrees)) for r in check.readings]
    [(100, 0), (1100, 270)]
    >>> check.left_open
    ()

    Source: common practice, no source. Normal distribution in the plane, one in a thousand beyond
    3.72 u: chi-square with two degrees of freedom; from memory.
    """
    first = np.atleast_1d(finite("before", before)).astype(complex)
    planes = instance_of("machine", machine, Machine).planes_mm
    yes_or_no("declared", declared)
    if first.shape != (len(planes),):
        raise InputError(f"before must hold a value for each of {len(planes)} plane(s)")
    change, reach = putty_gmm(putty, planes), _reach(putty, planes, u_reading_gmm)
    slips = tuple(_slips(change, reach, machine, declared=declared))
    return CheckSpin(
        before=first,
        putty=tuple(putty),
        machine=machine,
        declared=declared,
        change=change,
        readings=from_crank(first + change, machine),
        reach_gmm=reach,
        slips=slips,
        left_open=tuple(
            slip.text for slip in slips if slip.single and not is_told(slip, change, reach)
        ),
    )


def judge_check_spin(
    check: CheckSpin, after: ArrayLike, *, u_reading_gmm: ArrayLike
) -> CheckVerdict:
    """Return whether a spin with putty on shows what it must, and if not, which slip would.

    Parameters
    ----------
    check : CheckSpin
        From :func:`predict_check_spin`.
    after : array (planes,), complex [g mm]
        What was read, as the machine is understood, in the crank's frame.
    u_reading_gmm : float or array (planes,) [g mm]
        Standard uncertainty of the difference of the two readings.

    Raises
    ------
    InputError
        When the number of planes differs.

    Examples
    --------
    >>> machine = Machine(planes_mm=(0, 400), first_plane="nose", unit="g mm", zero_degrees=0,
    ...                   counts="clockwise", seen_from="flywheel", points_to="heavy")
    >>> check = predict_check_spin([300j, 100], [Putty(0, 80, 10, 90)], machine, u_reading_gmm=5)
    >>> judge_check_spin(check, [1100j, 100], u_reading_gmm=5).verdict
    'agrees'
    >>> judge_check_spin(check, [300j, 100 + 800j], u_reading_gmm=5).fits
    ('the two planes were exchanged',)

    Source: as for :func:`predict_check_spin`.
    """
    instance_of("check", check, CheckSpin)
    read = np.atleast_1d(finite("after", after)).astype(complex)
    if read.shape != check.before.shape:
        raise InputError(f"after must hold a value for each of {check.before.size} plane(s)")
    met = predict_check_spin(
        check.before,
        check.putty,
        check.machine,
        u_reading_gmm=u_reading_gmm,
        declared=check.declared,
    )
    difference = np.asarray(read - met.shown)
    if np.all(np.abs(difference) <= met.reach_gmm):
        verdict: Literal["agrees", "too little"] = "too little" if met.left_open else "agrees"
        return CheckVerdict(verdict, met.left_open, difference, met.reach_gmm)
    change = np.asarray(read - met.before)
    fits = tuple(_fitting(met, read)) or tuple(_by_one_number(met, change))
    return CheckVerdict("contradicts", fits, difference, met.reach_gmm)


def _reach(putty: Sequence[Putty], planes_mm: Sequence[float], u_reading_gmm: ArrayLike) -> Real:
    """Return how far beside the prediction a good reading may lie, per plane."""
    u = not_negative("u_reading_gmm", u_reading_gmm)
    if u.shape not in {(), (1,), (len(planes_mm),)}:
        raise InputError(
            f"u_reading_gmm must be one number or one for each plane, got {u_reading_gmm!r}"
        )
    square = u**2 + np.zeros(len(planes_mm))
    turned = math.radians(ANGLE_DEGREES)
    for one in putty:
        part = (MASS_G / one.mass_g) ** 2 + (RADIUS_MM / one.radius_mm) ** 2 + turned**2
        square = square + part * np.abs(putty_gmm([one], planes_mm)) ** 2
        if len(planes_mm) > 1:
            span = planes_mm[-1] - planes_mm[0]
            square = square + (one.mass_g * one.radius_mm * ALONG_MM / span) ** 2
    size = np.abs(putty_gmm(putty, planes_mm)) ** 2
    square = square + MACHINE**2 * size + CROSS_TALK**2 * (size.sum() - size)
    return np.asarray(REACH * np.sqrt(square))


def _slips(
    change: Complex, reach: Real, machine: Machine, *, declared: bool
) -> Iterator[SlipShown]:
    """Yield every known slip by itself, then two of them at once."""
    single = {text: slip for text, slip in SLIPS.items() if text != EXCHANGED or change.size > 1}
    pairs = {f"{a} and {b}": _both(single[a], single[b]) for a, b in combinations(single, 2)}
    if declared:
        single[_COUNTS] = _mirror(machine.direction)
    for text, slip in (*single.items(), *pairs.items()):
        spread = np.abs(slip(reach.astype(complex)))
        yield SlipShown(text, np.asarray(slip(change)), spread, text in single)


def _mirror(direction: complex) -> Slip:
    """Return what numbers that run the other way from the machine's own zero make of a vector."""
    return lambda u: u.conj() * direction**2


def _both(one: Slip, other: Slip) -> Slip:
    return lambda u: one(other(u))


def is_told(slip: SlipShown, change: Complex, reach: Real) -> bool:
    """Return whether no reading could be good and look like a slip as well.

    Examples
    --------
    >>> import numpy as np
    >>> half = SlipShown("half a turn", np.array([-100.0 + 0j]), np.array([30.0]), True)
    >>> is_told(half, np.array([100.0 + 0j]), np.array([30.0]))
    True
    """
    return bool(np.any(np.abs(slip.change - change) > reach + slip.reach_gmm))


def _fitting(check: CheckSpin, read: Complex) -> Iterator[str]:
    """Yield what would show what was read: of the machine, then of this one spin."""
    change = np.asarray(read - check.before)
    for slip in check.slips:
        if np.all(np.abs(change - slip.change) <= slip.reach_gmm):
            yield slip.text
    if np.all(np.abs(change) <= check.reach_gmm):
        yield "nothing was stuck on, or the old reading was written again"
    for text, slipped in SLIPS.items():
        if np.all(np.abs(slipped(read) - check.shown) <= check.reach_gmm):
            yield f"in this one spin {text}"


def _by_one_number(check: CheckSpin, change: Complex) -> Iterator[str]:
    """Yield how far round, or how many times as large, the putty shows, where either is all.

    Lumps that nearly cancel each other, or are lost in the noise, have no size to be told by.
    """
    if np.all(np.abs(check.change) <= check.reach_gmm):
        return
    factor = complex(np.vdot(check.change, change) / np.vdot(check.change, check.change))
    angle = math.degrees(np.angle(factor))
    if np.all(np.abs(check.change * vector(1.0, angle) - change) <= check.reach_gmm):
        yield f"it shows {angle:+.0f} degrees round: a zero, or where the masses of the proof were"
    size = factor.real
    if size > 0 and np.all(np.abs(check.change * size - change) <= check.reach_gmm * max(size, 1)):
        yield f"it shows {size:.2g} times as large: a mass, a radius or a unit"
