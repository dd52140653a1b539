"""What a balancing machine shows, and the one door from there into the crank's own frame.

The crank's frame: z runs from the nose to the flywheel; angles turn with the crank, 0 at the
centre line of crankpin 1, counter-clockwise positive **seen from the flywheel end**::

       seen from the flywheel (z comes towards you)      the crank from the side

                  90                                      nose            flywheel
                   |                                       |  _   _   _   |
                   |                                      =|_| |_| |_| |__|=
          180 -----o-----  0  crankpin 1                   |              |
                   |                                       +---------------> z [mm]
                   |                                     datum
                  270

    seen from the nose the same crank has crankpin 1 at clock 9 and its 90 still at clock 12:
    there the numbers run clockwise.

A machine shows an amount and an angle per plane. Its angle is a scale printed round the crank:
numbers that start at the machine's zero and run one way. Four things settle it, and each is a
field of :class:`Machine`: where the zero lies, which way the numbers run, whether the angle
points to the heavy or to the light side, and which plane is shown first.

Where they are not known, :func:`identify` finds them from spins with known masses; it is
re-exported here, so that one module answers for the machine.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, finite, instance_of, one_real, positive
from balance.spin.conventions import identify
from balance.spin.readings import Reading
from balance.units import read, unit_names
from balance.vectors import fold, vector

__all__ = [
    "Machine",
    "Reading",
    "crank_degrees",
    "from_crank",
    "identify",
    "statement",
    "to_crank",
]

Counts = Literal["counter-clockwise", "clockwise", "with", "against"]
End = Literal["nose", "flywheel", "left", "right"]
PointsTo = Literal["heavy", "light", "remove", "add"]
Turns = Literal["with engine", "against engine", "counter-clockwise", "clockwise"]
Clock = Literal["counter-clockwise", "clockwise"]
Side = Literal["left", "right"]


@dataclass(frozen=True, kw_only=True)
class Machine:
    """The convention of one balancing machine with a crank lying in it, as data.

    A reading ``(amount, degrees)`` stands for the unbalance

        U = amount * size * exp(i (zero_degrees + sense * degrees [+ 180 if it points to light]))

    in the crank's frame. ``sense`` is +1 when the numbers run counter-clockwise seen from the
    flywheel. Nothing that the readings need is guessed: a field may be left out only when no
    other field needs it, and the error is the question to ask::

        nose="left":   operator        nose="right":   operator
          left          right            left          right
          nose ======= flywheel        flywheel ======= nose

    Parameters
    ----------
    planes_mm : sequence of float [mm]
        Positions of the planes along the crank, rising from nose to flywheel, whatever the
        order on the display.
    first_plane : {"nose", "flywheel", "left", "right"}
        Where the plane lies that the machine shows first.
    unit : str
        Unit of the amount: "g mm", "oz in", "g cm" ..., or a mass ("g", "oz") for a machine
        that shows grams at a set radius.
    counts : {"counter-clockwise", "clockwise", "with", "against"}
        Which way the printed numbers run round the crank, going from 0 to 90. Clockwise or
        counter-clockwise is seen from the end ``seen_from``. "with" runs the way the crank
        turns in the machine: turned by hand that way past a fixed pointer, the numbers under
        the pointer go down. "against": they go up.
    zero_degrees : float [degree, crank's frame]
        Where the machine's 0 lies on the crank.
    points_to : {"heavy", "light", "remove", "add"}
        What stands at the angle shown: the heavy side (remove there) or the light side
        (add there).
    radii_mm : sequence of float [mm], optional
        The set radius of each plane, ordered like ``planes_mm``; with a mass unit only.
    seen_from : {"nose", "flywheel", "left", "right"}, optional
        The end from which "clockwise" and "counter-clockwise" are seen.
    nose : {"left", "right"}, optional
        The side where the crank's nose lies, seen by the operator; needed when anything else
        says left or right.
    turns : {"with engine", "against engine", "counter-clockwise", "clockwise"}, optional
        How the machine turns the crank; needed when ``counts`` is "with" or "against".
        Clockwise and counter-clockwise are seen from ``seen_from``.
    engine_turns : {"counter-clockwise", "clockwise"}
        How the engine turns, seen from the flywheel. Nearly all turn counter-clockwise (SAE J824
        standard rotation; from memory).
    name : str
        What the shop calls the machine.

    Raises
    ------
    InputError
        When a field is missing that another needs, or cannot be right; a mass unit without
        radii is refused.

    Examples
    --------
    >>> machine = Machine(planes_mm=(40, 460), first_plane="left", nose="left", unit="g mm",
    ...                   counts="clockwise", seen_from="left", zero_degrees=30,
    ...                   points_to="heavy")
    >>> to_crank([Reading(100, 60), Reading(50, 0)], machine).round(3)
    array([ 0.   +100.j, 43.301 +25.j])

    Source: ISO 21940-2 for amount and angle of unbalance; from memory. That makers differ in
    every one of these choices: common practice, no source.
    """

    planes_mm: Sequence[float]
    first_plane: End
    unit: str
    counts: Counts
    zero_degrees: float
    points_to: PointsTo
    radii_mm: Sequence[float] | None = None
    seen_from: End | None = None
    nose: Side | None = None
    turns: Turns | None = None
    engine_turns: Clock = "counter-clockwise"
    name: str = ""

    def __post_init__(self) -> None:
        _check_words(self)
        instance_of("name", self.name, str)
        _check_needs(self)
        object.__setattr__(self, "planes_mm", _planes(self.planes_mm))
        object.__setattr__(self, "radii_mm", _radii(self))
        object.__setattr__(self, "zero_degrees", one_real("zero_degrees", self.zero_degrees))

    @property
    def sense(self) -> int:
        """+1 when the printed numbers run counter-clockwise seen from the flywheel, else -1."""
        if self.counts in get_args(Clock):
            return _clock(self.counts) * _end(self.seen_from, self.nose)
        return self.rotation * (1 if self.counts == "with" else -1)

    @property
    def rotation(self) -> int:
        """+1 when the machine turns the crank counter-clockwise seen from the flywheel, else -1."""
        if self.turns is None:
            raise InputError("turns must be known to say how the machine turns the crank")
        if self.turns in get_args(Clock):
            return _clock(self.turns) * _end(self.seen_from, self.nose)
        return _clock(self.engine_turns) * (1 if self.turns == "with engine" else -1)

    @property
    def nose_first(self) -> bool:
        """Whether the plane nearest the nose is the one shown first."""
        return _end(self.first_plane, self.nose) < 0

    @property
    def gmm_per_unit(self) -> NDArray[np.float64]:
        """Unbalance [g mm] that one displayed unit stands for, per plane from nose to flywheel."""
        if self.radii_mm is None:
            return np.full(len(self.planes_mm), read(1.0, "unbalance", unit=self.unit))
        return np.array(self.radii_mm) * read(1.0, "mass", unit=self.unit)

    @property
    def direction(self) -> complex:
        """Unit vector in the crank's frame at which a reading of 0 degrees puts the heavy side."""
        light = 180.0 if self.points_to in ("light", "add") else 0.0
        return complex(vector(1.0, self.zero_degrees + light))


def to_crank(readings: Sequence[Any] | ArrayLike, machine: Machine) -> NDArray[np.complex128]:
    """Return what the machine shows as unbalance in the crank's frame [g mm, heavy side].

        U_k = amount * size_k * direction * exp(i sense degrees)

    Parameters
    ----------
    readings : sequence of Reading, or array (..., planes, 2)
        Amount [machine's unit] and angle [degree] per plane, in the order of the display.
    machine : Machine
        The convention.

    Returns
    -------
    array (..., planes), complex [g mm]
        One value a plane, from nose to flywheel: they lie at ``machine.planes_mm``.

    Raises
    ------
    InputError
        When the number of planes differs, an amount is negative or anything is no number.

    Examples
    --------
    >>> single = Machine(planes_mm=[0], first_plane="nose", unit="oz in", counts="with",
    ...                  turns="with engine", zero_degrees=0, points_to="light")
    >>> to_crank([(1, 90)], single).round(2)
    array([-0.-720.08j])

    Source: ISO 21940-2, unbalance vector; from memory.
    """
    pairs = _pairs(readings, len(instance_of("machine", machine, Machine).planes_mm))
    shown = vector(pairs[..., 0], machine.sense * pairs[..., 1])
    ordered = shown if machine.nose_first else shown[..., ::-1]
    return np.asarray(ordered * machine.gmm_per_unit * machine.direction)


def from_crank(unbalance: ArrayLike, machine: Machine) -> tuple[Reading, ...]:
    """Return what the machine would show for an unbalance: the inverse of :func:`to_crank`.

    Parameters
    ----------
    unbalance : array (planes,), complex [g mm]
        In the crank's frame, from nose to flywheel at ``machine.planes_mm``.
    machine : Machine
        The convention.

    Returns
    -------
    tuple of Reading
        In the order of the display; angles in [0, 360).

    Raises
    ------
    InputError
        When the number of planes differs or anything is not finite.

    Examples
    --------
    >>> single = Machine(planes_mm=[0], first_plane="nose", unit="g", radii_mm=[50], counts="with",
    ...                  turns="against engine", zero_degrees=10, points_to="heavy")
    >>> shown = from_crank([500j], single)[0]
    >>> round(shown.amount, 6), round(shown.degrees, 6)
    (10.0, 280.0)

    Source: ISO 21940-2, unbalance vector; from memory.
    """
    values = np.atleast_1d(finite("unbalance", unbalance))
    instance_of("machine", machine, Machine)
    if values.shape != (len(machine.planes_mm),):
        raise InputError(_wrong_planes("unbalance", values.shape, len(machine.planes_mm)))
    shown = values / machine.gmm_per_unit / machine.direction
    angles = fold(machine.sense * np.degrees(np.angle(shown)))
    rows = [Reading(float(a), float(d)) for a, d in zip(np.abs(shown), angles, strict=True)]
    return tuple(rows if machine.nose_first else rows[::-1])


def crank_degrees(
    degrees: float, *, counts: Clock, seen_from: Literal["nose", "flywheel"], zero_degrees: float
) -> float:
    """Return in the crank's frame an angle that somebody counted off at one end of the crank.

        crank angle = zero +/- degrees, + for counter-clockwise seen from the flywheel

    Parameters
    ----------
    degrees : float [degree]
        Counted from ``zero_degrees``.
    counts : {"counter-clockwise", "clockwise"}
        Which way it was counted.
    seen_from : {"nose", "flywheel"}
        The end at which the person stood.
    zero_degrees : float [degree, crank's frame]
        Where the counting began; 0 for crankpin 1.

    Raises
    ------
    InputError
        When a word is not one of those or an angle is not finite.

    Examples
    --------
    >>> crank_degrees(30, counts="clockwise", seen_from="nose", zero_degrees=0)
    30.0

    Source: view and sense of SAE J824 and ISO 1204; from memory.
    """
    _word("counts", counts, get_args(Clock))
    _word("seen_from", seen_from, ("nose", "flywheel"))
    step = _clock(counts) * _end(seen_from, None) * one_real("degrees", degrees)
    return float(fold(one_real("zero_degrees", zero_degrees) + step))


def statement(machine: Machine, *, unit: str = "") -> str:
    """Return in words what a reading on this machine is taken to mean, to be read aloud.

    Parameters
    ----------
    machine : Machine
        The convention.
    unit : str
        For a machine found from its readings: the unit in which those were shown, which its scale
        is a share of.

    Examples
    --------
    >>> print(statement(Machine(planes_mm=(40, 460), first_plane="nose", unit="g mm",
    ...                         counts="clockwise", seen_from="nose", zero_degrees=30,
    ...                         points_to="remove")))
    The first plane shown is the one nearest the nose (40 mm), the last the one nearest the
    flywheel (460 mm). The machine's 0 lies at 30.0 deg of the crank, its 90 at 120.0 deg
    (counter-clockwise from crankpin 1, seen from the flywheel). The angle points to the heavy
    side: take metal off there. One unit shown is 1 g mm.

    Source: none needed, a rewording of the fields.
    """
    instance_of("machine", machine, Machine)
    instance_of("unit", unit, str)
    ends = [(machine.planes_mm[0], "nose"), (machine.planes_mm[-1], "flywheel")]
    (first, near), (last, far) = ends if machine.nose_first else ends[::-1]
    quarter = float(fold(machine.zero_degrees + 90 * machine.sense))
    heavy = machine.points_to in ("heavy", "remove")
    digits = 3 if unit else 6
    sizes = " or ".join(dict.fromkeys(f"{size:.{digits}g}" for size in machine.gmm_per_unit))
    worth = f"One {unit} shown stands for" if unit else "One unit shown is"
    side = "heavy side: take metal off there" if heavy else "light side: add metal there"
    lines = [
        f"The first plane shown is the one nearest the {near} ({first:g} mm),",
        f"the last the one nearest the {far} ({last:g} mm).",
        f"The machine's 0 lies at {fold(machine.zero_degrees):.1f} deg of the crank,",
        f"its 90 at {quarter:.1f} deg",
        "(counter-clockwise from crankpin 1, seen from the flywheel).",
        f"The angle points to the {side}.",
        f"{worth} {sizes} {unit or 'g mm'}.",
    ]
    return " ".join(lines if len(machine.planes_mm) > 1 else lines[2:])


def _clock(word: str) -> int:
    return 1 if word == "counter-clockwise" else -1


def _end(end: str | None, nose: str | None) -> int:
    """Return +1 for the flywheel end, -1 for the nose end; left and right need ``nose``."""
    if end in ("left", "right"):
        return -1 if end == nose else 1
    return 1 if end == "flywheel" else -1


def _word(name: str, value: object, known: Sequence[str]) -> None:
    if not isinstance(value, str) or value not in known:
        choices = ", ".join(repr(word) for word in known)
        raise InputError(f"{name} must be one of {choices}, got {value!r}")


def _check_words(machine: Machine) -> None:
    _word("first_plane", machine.first_plane, get_args(End))
    _word("counts", machine.counts, get_args(Counts))
    _word("points_to", machine.points_to, get_args(PointsTo))
    _word("engine_turns", machine.engine_turns, get_args(Clock))
    optional = (("seen_from", End), ("nose", Side), ("turns", Turns))
    for name, words in optional:
        if (value := getattr(machine, name)) is not None:
            _word(name, value, get_args(words))


def _check_needs(machine: Machine) -> None:
    """Raise with the question that settles what another field leaves open."""
    if machine.counts in ("with", "against") and machine.turns is None:
        raise InputError(
            f"counts={machine.counts!r} needs turns: does the machine turn the crank "
            "'with engine' or 'against engine' (or say 'clockwise' and seen_from which end)?"
        )
    for name in ("counts", "turns"):
        if getattr(machine, name) in get_args(Clock) and machine.seen_from is None:
            raise InputError(
                f"{name}={getattr(machine, name)!r} needs seen_from: from which end of the crank "
                "is that seen, 'nose' or 'flywheel' (or 'left' or 'right' of the machine)?"
            )
    for name in ("first_plane", "seen_from"):
        if getattr(machine, name) in get_args(Side) and machine.nose is None:
            raise InputError(
                f"{name}={getattr(machine, name)!r} needs nose: on which side of the machine, "
                "'left' or 'right', does the nose of the crank lie?"
            )


def _planes(planes_mm: Sequence[float]) -> tuple[float, ...]:
    array = finite("planes_mm", planes_mm)
    if array.ndim != 1 or array.size == 0 or array.dtype.kind == "c":
        raise InputError(f"planes_mm must list the position of each plane, got {planes_mm!r}")
    if not np.all(np.diff(array) > 0):
        raise InputError(
            f"planes_mm must rise from the nose to the flywheel, got {planes_mm!r}: "
            "say with first_plane which one the machine shows first"
        )
    return tuple(array.tolist())


def _radii(machine: Machine) -> tuple[float, ...] | None:
    mass = _is_mass(machine.unit)
    if mass and machine.radii_mm is None:
        ounces = machine.unit.lower().startswith(("oz", "ounce"))
        meant = "'oz in', as in a \"28 oz\" flywheel" if ounces else "'g mm'"
        raise InputError(
            f"unit {machine.unit!r} is a mass, not an unbalance: at which radius does the machine "
            f"show it (radii_mm, one a plane)? Or did you mean {meant}?"
        )
    if not mass and machine.radii_mm is not None:
        raise InputError(
            f"radii_mm goes with a mass such as g or oz; {machine.unit!r} holds its radius already"
        )
    if machine.radii_mm is None:
        return None
    radii = positive("radii_mm", machine.radii_mm)
    if radii.shape != (len(machine.planes_mm),):
        raise InputError(_wrong_planes("radii_mm", radii.shape, len(machine.planes_mm)))
    return tuple(radii.tolist())


def _is_mass(unit: str) -> bool:
    """Return whether a unit is one of mass; a unit of neither mass nor unbalance raises."""
    for kind in ("mass", "unbalance") if isinstance(unit, str) else ():
        try:
            read(1.0, kind, unit=unit)
        except InputError:
            continue
        return kind == "mass"
    known = ", ".join((*unit_names("unbalance"), *unit_names("mass")))
    raise InputError(f"unit must be one of {known}, got {unit!r}")


def _pairs(readings: Any, planes: int) -> NDArray[np.float64]:
    """Return readings as a float array (..., planes, 2)."""
    if isinstance(readings, Reading):
        readings = [readings]
    if isinstance(readings, Sequence):
        readings = [(r.amount, r.degrees) if isinstance(r, Reading) else r for r in readings]
    array = finite("readings", readings)
    if array.dtype.kind == "c" or array.ndim < 2 or array.shape[-1] != 2:
        raise InputError(f"readings must be pairs of amount and angle, got {readings!r}")
    if array.shape[-2] != planes:
        raise InputError(_wrong_planes("readings", array.shape[:-1], planes))
    return array


def _wrong_planes(name: str, shape: tuple[int, ...], planes: int) -> str:
    found = shape[-1] if shape else 1
    return f"{name} must hold one value for each of the machine's {planes} plane(s), got {found}"
