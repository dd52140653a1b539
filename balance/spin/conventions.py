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
from dataclasses import dataclass, replace
from itertools import product
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.errors import InputError, finite, not_negative
from balance.spin.machine import Reading
from balance.units import read, unit_names
from balance.vectors import fold, turn, vector

__all__ = [
    "Candidate",
    "Identified",
    "KnownSpin",
    "NextSpin",
    "identify",
]

_FLOOR = 0.02  # a machine answers a mass no truer than 2 %: common practice, no source
_SURE = 0.99
_POOR = 0.35  # wrong hypotheses leave about 0.7; 20 % of cross-talk leaves about 0.2
_STEP_DEGREES = 15

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
class Candidate:
    """One convention and how badly it explains the spins.

    Parameters
    ----------
    sense : int
        +1 when the numbers run counter-clockwise seen from the flywheel, else -1.
    nose_first : bool
        Whether the plane nearest the nose is shown first.
    direction_degrees : float [degree, crank's frame]
        Where the heavy side is when the machine shows 0.
    gmm_per_unit : array (planes,) [g mm]
        Unbalance of one displayed unit, nose to flywheel; 0 where this candidate finds that a
        plane does not answer.
    misfit : float
        Part of the change on the display that stays unexplained: 0 all is explained, 1 nothing.
    probability : float
        Of all candidates, equal before the spins, for a reading error of unknown size.
    """

    sense: int
    nose_first: bool
    direction_degrees: float
    gmm_per_unit: Real
    misfit: float
    probability: float


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
    best, runner_up : Candidate
        The two conventions that explain the spins best.
    certain : bool
        Whether the best is proven: probability at least 0.99 and a misfit that cross-talk and
        noise can account for.
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


@dataclass(frozen=True)
class _Spins:
    """Validated spins: what was shown (display order, angles as printed) and what was added."""

    shown: Complex
    added: Complex
    u_reading: float

    def seen(self, sense: int, nose_first: bool) -> Complex:
        """Return what was shown, nose to flywheel, angles in the candidate's sense."""
        ordered = self.shown if nose_first else self.shown[:, ::-1]
        return ordered if sense > 0 else ordered.conj()


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
    candidates = _candidates(spins)
    certain = candidates[0].probability >= _SURE and candidates[0].misfit <= _POOR
    best = _refined(spins, candidates[0])
    answer, noise = _answer(spins, best)
    points_to, zero_note = _points_to(best, zero_degrees)
    return Identified(
        best=best,
        runner_up=candidates[1],
        certain=certain,
        u_direction_degrees=_u_direction(spins, best),
        points_to=points_to,
        unit=_unit(_sizes(best)),
        answer=answer,
        own_gmm=_own(spins, best, answer),
        noise=noise,
        warnings=(*_warnings(spins, candidates, answer), *zero_note),
        next_spin=None if certain else _next_spin(spins, candidates),
    )


def _spins(test_spins: Sequence[Any], u_reading: float) -> _Spins:
    spins = [s if isinstance(s, KnownSpin) else KnownSpin(*s) for s in test_spins]
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
    return _Spins(np.array(shown), np.array(added), float(not_negative("u_reading", u_reading)))


def _shown(readings: Sequence[Any]) -> Complex:
    pairs = [(r.amount, r.degrees) if isinstance(r, Reading) else r for r in readings]
    array = finite("readings", pairs)
    if array.ndim != 2 or array.shape[1] != 2 or array.dtype.kind == "c":
        raise InputError(f"readings must be pairs of amount and angle, got {readings!r}")
    return np.asarray(vector(array[:, 0], array[:, 1]))


def _moved(values: Complex) -> Complex:
    """Return the values less their mean over the spins: what the known masses changed."""
    return np.asarray(values - values.mean(axis=0))


def _candidates(spins: _Spins) -> list[Candidate]:
    """Return all conventions, best first, with their probabilities.

    Equal before the spins, normal errors of unknown size: chance ~ misfit^-(data - parameters).
    """
    runs, planes = spins.shown.shape
    energy = float(np.sum(np.abs(_moved(spins.shown)) ** 2))
    if energy == 0:
        raise InputError(
            "test_spins must change what the machine shows, but all readings are equal"
        )
    orders = (True, False) if planes > 1 else (True,)
    found = [_fit(spins, sense, order) for sense, order in product((1, -1), orders)]
    data = 2 * planes * (runs - 1)
    moved = int(np.count_nonzero(np.any(_moved(spins.added) != 0, axis=0)))
    floor = _FLOOR**2 + spins.u_reading**2 * data / energy
    power = max(data - moved - 1, 0) / 2
    logs = np.array([-power * np.log(c.misfit**2 + floor) for c in found])
    chances = np.exp(logs - logs.max())
    chances /= chances.sum()
    rated = [replace(c, probability=float(p)) for c, p in zip(found, chances, strict=True)]
    return sorted(rated, key=lambda c: c.misfit)


def _fit(spins: _Spins, sense: int, nose_first: bool) -> Candidate:
    """Fit one zero for all planes and one positive scale for each, by least squares.

    With h = sum conj(u) y and W = sum |u|^2 per plane, the part explained by the direction D is
    the sum of max(0, Re(h exp(i D)))^2 / W: its greatest value lies where one set of planes
    answers, so every set is tried.
    """
    seen, added = _moved(spins.seen(sense, nose_first)), _moved(spins.added)
    power = np.sum(np.abs(added) ** 2, axis=0)
    used = power > 0
    pull = np.sum(added.conj() * seen, axis=0)[used]
    weight = power[used]
    best, explained = 1.0 + 0j, 0.0
    for chosen in product((False, True), repeat=len(pull)):
        square = np.sum(pull[list(chosen)] ** 2 / weight[list(chosen)])
        for turned in (1, -1):
            way = turned * np.exp(-0.5j * np.angle(square))
            part = float(np.sum(np.maximum(0, (pull * way).real) ** 2 / weight))
            if part > explained:
                best, explained = complex(way), part
    gain = np.zeros(len(power))
    gain[used] = np.maximum(0, (pull * best).real) / weight
    return Candidate(
        sense=sense,
        nose_first=nose_first,
        direction_degrees=float(fold(np.degrees(np.angle(best)))),
        gmm_per_unit=np.divide(1.0, gain, out=np.zeros_like(gain), where=gain > 0),
        misfit=float(np.sqrt(max(0.0, 1 - explained / np.sum(np.abs(seen) ** 2)))),
        probability=0.0,
    )


def _sizes(best: Candidate) -> Real:
    """Return g mm per unit of each plane; a plane where no mass was moved is like the others."""
    known = best.gmm_per_unit > 0
    if not np.any(known):
        raise InputError(
            "test_spins must show the known masses, but the readings do not follow them at all"
        )
    return np.where(known, best.gmm_per_unit, best.gmm_per_unit[known].mean())


def _influence(spins: _Spins, best: Candidate) -> Complex | None:
    """Return shown per g mm added between all planes, or None when the masses do not settle it."""
    seen, added = _moved(spins.seen(best.sense, best.nose_first)), _moved(spins.added)
    solved, _, rank, _ = np.linalg.lstsq(added, seen, rcond=1e-9)
    settled = rank == seen.shape[1] and bool(np.all(best.gmm_per_unit > 0))
    return np.asarray(solved.T) if settled else None


def _refined(spins: _Spins, best: Candidate) -> Candidate:
    """Return the candidate with direction and scales freed of cross-talk, where that is known."""
    influence = _influence(spins, best)
    if influence is None:
        return best
    own = np.diag(influence)
    direction = np.exp(-0.5j * np.angle(np.sum(own**2)))
    if np.sum((own * direction).real) < 0:
        direction = -direction
    gain = (own * direction).real
    if np.any(gain <= 0):
        return best
    degrees = float(fold(np.degrees(np.angle(direction))))
    return replace(best, direction_degrees=degrees, gmm_per_unit=1 / gain)


def _u_direction(spins: _Spins, best: Candidate) -> float:
    """Return the standard uncertainty of the direction [degree].

    Two planes freed of cross-talk: how far they disagree on the direction, and the stated reading
    error. Otherwise the part unexplained over the part explained, per spare datum.
    """
    runs, planes = spins.shown.shape
    influence = _influence(spins, best)
    if influence is not None and planes > 1:
        apart = np.angle(np.diag(influence) * vector(1.0, best.direction_degrees))
        reach = np.sum(np.abs(_moved(spins.added)) ** 2, axis=0) / best.gmm_per_unit**2
        blur = spins.u_reading**2 * np.mean(1 / reach) / planes
        return float(np.degrees(np.sqrt(np.mean(apart**2) + blur + _FLOOR**2)))
    spare = max(2 * planes * (runs - 1) - planes - 1, 1)
    ratio = best.misfit**2 / max(1 - best.misfit**2, _FLOOR)
    return float(np.degrees(np.sqrt(ratio / spare + _FLOOR**2)))


def _answer(spins: _Spins, best: Candidate) -> tuple[Complex | None, float | None]:
    """Return g mm shown per g mm added between all planes, and the noise of a reading."""
    influence = _influence(spins, best)
    if influence is None:
        return None, None
    seen, added = _moved(spins.seen(best.sense, best.nose_first)), _moved(spins.added)
    runs, planes = seen.shape
    spare = 2 * planes * (runs - 1 - planes)
    left = np.sum(np.abs(seen - added @ influence.T) ** 2)
    noise = float(np.sqrt(left / spare)) if spare > 0 else None
    scale = best.gmm_per_unit * vector(1.0, best.direction_degrees)
    return np.asarray(scale[:, None] * influence), noise


def _own(spins: _Spins, best: Candidate, answer: Complex | None) -> Complex:
    """Return the unbalance that the crank has without the known masses [g mm]."""
    scale = _sizes(best) * vector(1.0, best.direction_degrees)
    seen = scale * spins.seen(best.sense, best.nose_first).mean(axis=0)
    whole = seen if answer is None else np.linalg.solve(answer, seen)
    return np.asarray(whole - spins.added.mean(axis=0))


def _unit(sizes: Real) -> str | None:
    """Return the unit of unbalance within 5 % of every plane's scale."""
    for name in unit_names("unbalance"):
        if np.all(np.abs(sizes / read(1.0, "unbalance", unit=name) - 1) < 0.05):
            return name
    return None


def _points_to(
    best: Candidate, zero_degrees: float | None
) -> tuple[Literal["heavy", "light"] | None, tuple[str, ...]]:
    if zero_degrees is None:
        return None, ()
    away = float(turn(best.direction_degrees - float(finite("zero_degrees", zero_degrees))))
    if abs(away) <= 10:
        return "heavy", ()
    if abs(away) >= 170:
        return "light", ()
    note = f"the machine's 0 is {away:+.0f} degrees from where it was said to be, or 180 more"
    return None, (note,)


def _warnings(spins: _Spins, candidates: list[Candidate], answer: Complex | None) -> list[str]:
    best, rival = candidates[:2]
    found = []
    if best.misfit > _POOR:
        found.append(
            f"no convention explains the spins ({best.misfit:.0%} of the change is unexplained): "
            "check where each mass was and that none moved"
        )
    elif best.probability < _SURE:
        found.append(
            f"the spins cannot tell two conventions apart: {_words(best)} "
            f"(misfit {best.misfit:.0%}) or {_words(rival)} (misfit {rival.misfit:.0%})"
        )
    for k in np.flatnonzero(~np.any(_moved(spins.added) != 0, axis=0)):
        found.append(
            f"no mass was moved in plane {k + 1} from the nose: its scale is taken from the "
            "other plane and its cross-talk is unknown"
        )
    beside = np.abs(answer[~np.eye(len(answer), dtype=bool)]) if answer is not None else np.zeros(1)
    if np.max(beside, initial=0.0) > 0.1:
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
        f"heavy side at {candidate.direction_degrees:.0f} degrees when 0 is shown"
    )


def _next_spin(spins: _Spins, candidates: list[Candidate]) -> NextSpin:
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


def _rival_misfit(spins: _Spins, true: Candidate, other: Candidate, added: Complex) -> float:
    """Return what another candidate could not explain if one were true and a mass were added."""
    seen = spins.seen(true.sense, true.nose_first).mean(axis=0)
    change = (added - spins.added.mean(axis=0)) / _sizes(true)
    seen = seen + change / vector(1.0, true.direction_degrees)
    shown = seen if true.sense > 0 else seen.conj()
    shown = shown if true.nose_first else shown[::-1]
    more = _Spins(np.vstack([spins.shown, shown]), np.vstack([spins.added, added]), 0.0)
    return _fit(more, other.sense, other.nose_first).misfit
