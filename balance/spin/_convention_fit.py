"""Every convention that a machine could use, fitted to spins with known masses and rated.

Seen in the sense and order of one convention, the changes between spins are

    seen_k = gain_k exp(-i direction) added_k,   one direction for all planes, gain_k >= 0

plus noise and cross-talk. The crank's own unbalance drops out: all is taken from the mean over the
spins. What stays unexplained is the misfit, and the misfits of all conventions give the chances.
"""

from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from balance.errors import InputError
from balance.vectors import fold, vector

__all__ = [
    "SURE",
    "Candidate",
    "Spins",
    "changes",
    "fit",
    "influence_of",
    "is_checked",
    "plane_sizes",
    "rate",
    "refined",
    "u_direction",
]

_FLOOR = 0.02  # a machine answers a mass no truer than 2 %: common practice, no source
SURE = 0.99  # own choice: metal is drilled on its word, so one wrong in a hundred is the most
# Own choice, half way: wrong conventions leave about 0.7; 20 % of cross-talk leaves about 0.2.
_POOR = 0.35

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]


@dataclass(frozen=True)
class Candidate:
    """One convention and how badly it explains the spins.

    Parameters
    ----------
    sense : int [1]
        +1 when the numbers run counter-clockwise seen from the flywheel, else -1.
    nose_first : bool
        Whether the plane nearest the nose is shown first.
    direction_degrees : float [degree, crank's frame]
        Where the heavy side is when the machine shows 0.
    gmm_per_unit : array (planes,) [g mm]
        Unbalance of one displayed unit, nose to flywheel; 0 where this candidate finds that a
        plane does not answer.
    misfit : float [1]
        Part of the change on the display that stays unexplained: 0 all is explained, 1 nothing.
        Cross-talk between planes counts as unexplained.
    misfit_with_cross_talk : float or None [1]
        The same when cross-talk is fitted too; None when there are no spins to spare for that,
        or when more of a mass shows in the wrong planes than in its own.
    probability : float [1]
        Of all candidates, equal before the spins, for a reading error of unknown size.
    """

    sense: int
    nose_first: bool
    direction_degrees: float
    gmm_per_unit: Real
    misfit: float
    misfit_with_cross_talk: float | None
    probability: float

    @property
    def explains(self) -> bool:
        """Whether noise and cross-talk can account for what it leaves unexplained."""
        freed = self.misfit_with_cross_talk
        return self.misfit <= _POOR or (freed is not None and freed <= _POOR / 2)

    @property
    def certain(self) -> bool:
        """Whether it is proven by the spins."""
        return self.probability >= SURE and self.explains


@dataclass(frozen=True)
class Spins:
    """Validated spins: what was shown (display order, angles as printed) and what was added."""

    shown: Complex
    added: Complex
    u_reading: float

    def seen(self, sense: int, nose_first: bool) -> Complex:
        """Return what was shown, nose to flywheel, angles in the candidate's sense."""
        ordered = self.shown if nose_first else self.shown[:, ::-1]
        return ordered if sense > 0 else ordered.conj()


def changes(values: Complex) -> Complex:
    """Return the values less their mean over the spins: what the known masses changed."""
    return np.asarray(values - values.mean(axis=0))


def rate(spins: Spins) -> list[Candidate]:
    """Return all conventions, best first, with their probabilities.

    Equal before the spins, normal errors of unknown size: chance ~ misfit^-(data - parameters),
    added up over the two models, without and with cross-talk.
    """
    runs, planes = spins.shown.shape
    energy = float(np.sum(np.abs(changes(spins.shown)) ** 2))
    if energy == 0:
        raise InputError(
            "test_spins must change what the machine shows, but all readings are equal"
        )
    orders = (True, False) if planes > 1 else (True,)
    found = [_freed(spins, fit(spins, *way)) for way in product((1, -1), orders)]
    data = 2 * planes * (runs - 1)
    moved = int(np.count_nonzero(np.any(changes(spins.added) != 0, axis=0)))
    floor = _FLOOR**2 + spins.u_reading**2 * data / energy
    logs = np.array([_log_chance(c, floor, data, moved) for c in found])
    chances = np.exp(logs - logs.max())
    chances /= chances.sum()
    rated = [replace(c, probability=float(p)) for c, p in zip(found, chances, strict=True)]
    return sorted(rated, key=lambda c: (-round(c.probability, 9), c.misfit))


def is_checked(spins: Spins, best: Candidate) -> bool:
    """Return whether the best is certain again with each spin left out in turn."""
    for k in range(len(spins.shown)):
        rest = Spins(np.delete(spins.shown, k, 0), np.delete(spins.added, k, 0), spins.u_reading)
        if not np.any(changes(rest.shown)):  # all rests on the spin left out
            return False
        again = rate(rest)[0]
        if not again.certain or (again.sense, again.nose_first) != (best.sense, best.nose_first):
            return False
    return True


def _log_chance(candidate: Candidate, floor: float, data: int, moved: int) -> float:
    """Return the log of a candidate's chance over that of one that explains nothing.

    Readings that are all error then speak for none, however many numbers a model may choose.
    """
    nothing = 1 + floor
    plain = -max(data - moved - 1, 0) / 2 * float(np.log((candidate.misfit**2 + floor) / nothing))
    freed = candidate.misfit_with_cross_talk
    if freed is None:
        return plain
    spare = data - 2 * len(candidate.gmm_per_unit) ** 2
    return float(np.logaddexp(plain, -spare / 2 * np.log((freed**2 + floor) / nothing)))


def _freed(spins: Spins, candidate: Candidate) -> Candidate:
    """Return the candidate with its misfit when cross-talk is fitted, where spins can tell."""
    influence = influence_of(spins, candidate)
    runs, planes = spins.shown.shape
    if influence is None or planes == 1 or runs - 1 <= planes:
        return candidate
    size = np.abs(influence) ** 2
    # own choice: with a third or more of the answer in the wrong planes the order is in doubt
    if 3 * np.trace(size) < 2 * size.sum():
        return candidate
    seen, added = changes(spins.seen(candidate.sense, candidate.nose_first)), changes(spins.added)
    left = np.sum(np.abs(seen - added @ influence.T) ** 2) / np.sum(np.abs(seen) ** 2)
    return replace(candidate, misfit_with_cross_talk=float(np.sqrt(left)))


def fit(spins: Spins, sense: int, nose_first: bool) -> Candidate:
    """Fit one zero for all planes and one positive scale for each, by least squares.

    With h = sum conj(u) y and W = sum |u|^2 per plane, the part explained by the direction D is
    the sum of max(0, Re(h exp(i D)))^2 / W: its greatest value lies where one set of planes
    answers, so every set is tried.
    """
    seen, added = changes(spins.seen(sense, nose_first)), changes(spins.added)
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
        misfit_with_cross_talk=None,
        probability=0.0,
    )


def plane_sizes(best: Candidate) -> Real:
    """Return g mm per unit of each plane; a plane where no mass was moved is like the others."""
    known = best.gmm_per_unit > 0
    if not np.any(known):
        raise InputError(
            "test_spins must show the known masses, but the readings do not follow them at all"
        )
    return np.where(known, best.gmm_per_unit, best.gmm_per_unit[known].mean())


def influence_of(spins: Spins, best: Candidate) -> Complex | None:
    """Return shown per g mm added between all planes, or None when the masses do not settle it."""
    seen, added = changes(spins.seen(best.sense, best.nose_first)), changes(spins.added)
    solved, _, rank, _ = np.linalg.lstsq(added, seen, rcond=1e-9)
    settled = rank == seen.shape[1] and bool(np.all(best.gmm_per_unit > 0))
    return np.asarray(solved.T) if settled else None


def refined(spins: Spins, best: Candidate) -> Candidate:
    """Return the candidate with direction and scales freed of cross-talk, where that is known."""
    influence = influence_of(spins, best)
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


def u_direction(spins: Spins, best: Candidate) -> float:
    """Return the standard uncertainty of the direction [degree].

    Two planes freed of cross-talk: how far they disagree on the direction, and the stated reading
    error. Otherwise the part unexplained over the part explained, per spare datum.
    """
    runs, planes = spins.shown.shape
    influence = influence_of(spins, best)
    if influence is not None and planes > 1:
        apart = np.angle(np.diag(influence) * vector(1.0, best.direction_degrees))
        reach = np.sum(np.abs(changes(spins.added)) ** 2, axis=0) / best.gmm_per_unit**2
        blur = spins.u_reading**2 * np.mean(1 / reach) / planes
        return float(np.degrees(np.sqrt(np.mean(apart**2) + blur + _FLOOR**2)))
    spare = max(2 * planes * (runs - 1) - planes - 1, 1)
    ratio = best.misfit**2 / max(1 - best.misfit**2, _FLOOR)
    return float(np.degrees(np.sqrt(ratio / spare + _FLOOR**2)))
