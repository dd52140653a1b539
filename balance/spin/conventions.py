"""Which convention a machine uses, found from spins with a known mass stuck at known places.

Each spin adds a known unbalance u (complex, in the crank's frame) to the crank's own, which is
unknown but common to all spins. The machine shows, plane by plane, an amount and an angle::

    spin 1  as it is                        u = [0,     0   ]
    spin 2  a mass near the nose, at 0      u = [500,   0   ]
    spin 3  the same near the flywheel,     u = [0,     500i]
            at 90: not at 0 or 180

Between spins only the known masses change, so the changes on the display tell the sense, the
direction of the zero, the order of the planes, the scale and the cross-talk. Every sense and
order is tried; each is fitted with one zero for all planes and one scale for each plane, and what
it leaves unexplained is its misfit.

A zero with "heavy" and the opposite zero with "light" are one and the same convention. Only who
knows where the machine's 0 lies on the crank can tell heavy from light, and the answer does not
change any correction.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, finite, items_of, one_not_negative, one_real
from balance.spin._convention_fit import (
    SURE,
    Candidate,
    Spins,
    changes,
    fit,
    influence_of,
    is_checked,
    plane_sizes,
    rate,
    refined,
    u_direction,
)
from balance.spin.readings import Reading
from balance.units import read, unit_names
from balance.vectors import turn, vector, whole_degrees

__all__ = [
    "Identified",
    "KnownSpin",
    "NextSpin",
    "identify",
]

_STEP_DEGREES = 30  # own choice: fine enough to tell two conventions apart, easy to mark
_NEAR_DEGREES = 10  # own choice: a zero looked for by eye is found this near, and 180 is far off
_SAME_UNIT = 0.05  # own choice: machines read truer than this, units lie much further apart
_MUCH_CROSS_TALK = 0.1  # own choice: what a tenth leaves, one more spin still takes out

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]


@dataclass(frozen=True)
class KnownSpin:
    """One spin with known masses on the crank.

    Parameters
    ----------
    readings : sequence of Reading or of (amount, degrees)
        As displayed, in the order of the display.
    added : array (planes,), complex [g mm]
        Unbalance of the known masses in the crank's frame, from nose to flywheel; zeros for the
        spin without masses.
    """

    readings: Sequence[Any]
    added: ArrayLike


@dataclass(frozen=True)
class NextSpin:
    """The further spin that would tell the best two candidates apart.

    Parameters
    ----------
    plane : int
        0 is nearest the nose.
    degrees : float [degree, crank's frame]
        Where to stick the mass.
    unbalance_gmm : float [g mm]
        How much.
    """

    plane: int
    degrees: float
    unbalance_gmm: float


@dataclass(frozen=True)
class Identified:
    """What the spins say of the machine.

    Parameters
    ----------
    best : Candidate
        The convention that explains the spins best.
    runner_up : Candidate
        The next best.
    certain : bool
        Whether the best is proven: probability at least 0.99 and a misfit that cross-talk and
        noise can account for.
    checked : bool
        Whether the same convention is certain whichever one spin is left out: then a single mass
        stuck in the wrong place would have shown. With the fewest spins it cannot be.
    u_direction_degrees : float [degree]
        Standard uncertainty of the direction of the best, from what it leaves unexplained.
    points_to : {"heavy", "light"} or None
        None when the place of the machine's zero was not given: then it cannot be known and
        does not matter.
    unit : str or None
        Name of the displayed unit when the scale is within 5 % of one that holds its radius.
    answer : array (planes, planes), complex, or None
        g mm shown in a plane for 1 g mm added in another, both nose to flywheel and in the
        crank's frame: 1 on the diagonal and 0 beside it for a perfect machine. None when masses
        were not moved in every plane.
    own_gmm : array (planes,), complex [g mm]
        The crank's own unbalance that comes out on the way.
    noise : float or None [displayed unit]
        Standard deviation of a reading along each axis; None without more spins than needed.
    warnings : tuple of str
        What is not proven, and what to do.
    next_spin : NextSpin or None
        Which further spin decides, when not certain.
    """

    best: Candidate
    runner_up: Candidate
    certain: bool
    checked: bool
    u_direction_degrees: float
    points_to: Literal["heavy", "light"] | None
    unit: str | None
    answer: Complex | None
    own_gmm: Complex
    noise: float | None
    warnings: tuple[str, ...]
    next_spin: NextSpin | None

    @property
    def cross_talk(self) -> float | None:
        """Largest part of an unbalance in one plane that shows in another; None if unknown."""
        if self.answer is None:
            return None
        beside = self.answer[~np.eye(len(self.answer), dtype=bool)]
        return float(np.max(np.abs(beside), initial=0.0))


def identify(
    test_spins: Sequence[Any],
    *,
    zero_degrees: float | None = None,
    u_reading: float = 0.0,
) -> Identified:
    """Return which convention a machine uses, from spins with known masses.

        seen_k = sum_l M_kl (own_l + added_l),   M_kl close to exp(-i direction) / size_k if k = l

    Parameters
    ----------
    test_spins : sequence of KnownSpin, or of (readings, added)
        Two or more spins that differ in their masses. Three prove a two-plane machine: none, a
        mass near the nose, a mass near the flywheel a quarter turn from the first.
    zero_degrees : float, optional [degree, crank's frame]
        Where the machine's 0 lies on the crank, if somebody looked.
    u_reading : float [displayed unit]
        Standard uncertainty of a reading along each axis, if known.

    Returns
    -------
    Identified
        Best and second-best candidate, how sure, and what else to spin.

    Raises
    ------
    InputError
        When there are fewer than two spins, the planes differ, or no mass was changed.

    Examples
    --------
    >>> spins = [KnownSpin([(100, 0), (50, 90)], [0, 0]),
    ...          KnownSpin([(600, 0), (50, 90)], [500, 0]),
    ...          KnownSpin([(100, 0), (450, 270)], [0, 500j])]
    >>> found = identify(spins)
    >>> found.certain, found.best.sense, found.best.nose_first, found.unit
    (True, -1, True, 'g mm')

    Source: derived; the closed loop of a known mass is the idea of the test-mass runs of
    ISO 21940-21 (from memory).
    """
    spins = _spins(test_spins, u_reading)
    candidates = rate(spins)
    certain = candidates[0].certain
    best = refined(spins, candidates[0])
    answer, noise = _answer(spins, best)
    points_to, zero_note = _points_to(best, zero_degrees)
    return Identified(
        best=best,
        runner_up=candidates[1],
        certain=certain,
        checked=certain and is_checked(spins, best),
        u_direction_degrees=u_direction(spins, best),
        points_to=points_to,
        unit=_unit(plane_sizes(best)),
        answer=answer,
        own_gmm=_own(spins, best, answer),
        noise=noise,
        warnings=(*_warnings(spins, candidates, answer), *zero_note),
        next_spin=None if certain else _next_spin(spins, candidates),
    )


def _spins(test_spins: Sequence[Any], u_reading: float) -> Spins:
    spins = [_known(k, spin) for k, spin in enumerate(items_of("test_spins", test_spins))]
    if len(spins) < 2:
        raise InputError(
            f"test_spins must hold at least two spins, got {len(spins)}: one without a mass and "
            "one with a known mass at a known place"
        )
    shown = [_shown(s.readings) for s in spins]
    added = [np.atleast_1d(finite("added", s.added)).astype(complex) for s in spins]
    for k, (s, a) in enumerate(zip(shown, added, strict=True)):
        if s.shape != shown[0].shape or a.shape != s.shape:
            raise InputError(
                f"test_spins[{k}] must hold readings and added masses for {shown[0].size} "
                f"plane(s), got {s.size} and {a.size}"
            )
    if np.allclose(added, added[0], rtol=1e-9, atol=1e-12):
        raise InputError("test_spins must differ in their known masses, but all are the same")
    return Spins(np.array(shown), np.array(added), one_not_negative("u_reading", u_reading))


def _known(k: int, spin: Any) -> KnownSpin:
    if isinstance(spin, KnownSpin):
        return spin
    pair = items_of(f"test_spins[{k}]", spin)
    if len(pair) != 2:
        raise InputError(
            f"test_spins[{k}] must be a KnownSpin or a pair (readings, added), got {spin!r}"
        )
    return KnownSpin(*pair)


def _shown(readings: Sequence[Any]) -> Complex:
    pairs = [
        (r.amount, r.degrees) if isinstance(r, Reading) else r
        for r in items_of("readings", readings)
    ]
    array = finite("readings", pairs)
    if array.ndim != 2 or array.shape[1] != 2 or array.dtype.kind == "c":
        raise InputError(f"readings must be pairs of amount and angle, got {readings!r}")
    return np.asarray(vector(array[:, 0], array[:, 1]))


def _answer(spins: Spins, best: Candidate) -> tuple[Complex | None, float | None]:
    """Return g mm shown per g mm added between all planes, and the noise of a reading."""
    influence = influence_of(spins, best)
    if influence is None:
        return None, None
    seen, added = changes(spins.seen(best.sense, best.nose_first)), changes(spins.added)
    runs, planes = seen.shape
    spare = 2 * planes * (runs - 1 - planes)
    left = np.sum(np.abs(seen - added @ influence.T) ** 2)
    noise = float(np.sqrt(left / spare)) if spare > 0 else None
    scale = best.gmm_per_unit * vector(1.0, best.direction_degrees)
    return np.asarray(scale[:, None] * influence), noise


def _own(spins: Spins, best: Candidate, answer: Complex | None) -> Complex:
    """Return the unbalance that the crank has without the known masses [g mm]."""
    scale = plane_sizes(best) * vector(1.0, best.direction_degrees)
    seen = scale * spins.seen(best.sense, best.nose_first).mean(axis=0)
    whole = seen if answer is None else np.linalg.solve(answer, seen)
    return np.asarray(whole - spins.added.mean(axis=0))


def _unit(sizes: Real) -> str | None:
    """Return the unit of unbalance that every plane's scale is near."""
    for name in unit_names("unbalance"):
        if np.all(np.abs(sizes / read(1.0, "unbalance", unit=name) - 1) < _SAME_UNIT):
            return name
    return None


def _points_to(
    best: Candidate, zero_degrees: float | None
) -> tuple[Literal["heavy", "light"] | None, tuple[str, ...]]:
    if zero_degrees is None:
        return None, ()
    away = float(turn(best.direction_degrees - one_real("zero_degrees", zero_degrees)))
    if abs(away) <= _NEAR_DEGREES:
        return "heavy", ()
    if abs(away) >= 180 - _NEAR_DEGREES:
        return "light", ()
    note = f"the machine's 0 is {away:+.0f} degrees from where it was said to be, or 180 more"
    return None, (note,)


def _warnings(spins: Spins, candidates: list[Candidate], answer: Complex | None) -> list[str]:
    best, rival = candidates[:2]
    found = []
    if not best.explains:
        found.append(
            f"no convention explains the spins ({best.misfit:.0%} of the change is unexplained): "
            "check where each mass was and that none moved; when the planes influence each other "
            "strongly, a further spin shows it"
        )
    elif best.probability < SURE:
        found.append(
            f"the spins cannot tell two conventions apart: {_words(best)} "
            f"(misfit {best.misfit:.0%}) or {_words(rival)} (misfit {rival.misfit:.0%})"
        )
    for k in np.flatnonzero(~np.any(changes(spins.added) != 0, axis=0)):
        found.append(
            f"no mass was moved in plane {k + 1} from the nose: its scale is taken from the "
            "other plane and its cross-talk is unknown"
        )
    beside = np.abs(answer[~np.eye(len(answer), dtype=bool)]) if answer is not None else np.zeros(1)
    if np.max(beside, initial=0.0) > _MUCH_CROSS_TALK:
        found.append(
            f"{np.max(beside):.0%} of an unbalance in one plane shows in the other: "
            "check the plane distances set on the machine"
        )
    return found


def _words(candidate: Candidate) -> str:
    way = "counter-clockwise" if candidate.sense > 0 else "clockwise"
    first = "nose" if candidate.nose_first else "flywheel"
    return (
        f"numbers {way} seen from the flywheel, {first} plane first, "
        f"heavy side at {whole_degrees(candidate.direction_degrees)} degrees when 0 is shown"
    )


def _next_spin(spins: Spins, candidates: list[Candidate]) -> NextSpin:
    """Return the single mass that leaves the worse of two rivals the most to explain.

    Either rival may be the true one, so the smaller of the two misfits counts.
    """
    amount = float(np.max(np.abs(spins.added)))
    planes = spins.added.shape[1]
    places = [(k, d) for k in range(planes) for d in range(0, 360, _STEP_DEGREES)]

    def worth(place: tuple[int, int]) -> float:
        added = np.zeros(planes, complex)
        added[place[0]] = vector(amount, place[1])
        pairs = (candidates[:2], candidates[1::-1])
        return round(min(_rival_misfit(spins, true, other, added) for true, other in pairs), 6)

    plane, degrees = max(places, key=worth)
    return NextSpin(plane=plane, degrees=float(degrees), unbalance_gmm=amount)


def _rival_misfit(spins: Spins, true: Candidate, other: Candidate, added: Complex) -> float:
    """Return what another candidate could not explain if one were true and a mass were added."""
    seen = spins.seen(true.sense, true.nose_first).mean(axis=0)
    change = (added - spins.added.mean(axis=0)) / plane_sizes(true)
    seen = seen + change / vector(1.0, true.direction_degrees)
    shown = seen if true.sense > 0 else seen.conj()
    shown = shown if true.nose_first else shown[::-1]
    more = Spins(np.vstack([spins.shown, shown]), np.vstack([spins.added, added]), 0.0)
    return fit(more, other.sense, other.nose_first).misfit
