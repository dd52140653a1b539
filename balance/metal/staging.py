"""The first cut: how much of a plan to drill before the crank is spun again."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from balance._work import Progress, Stop
from balance.errors import InputError, called, instance_of, one_real
from balance.metal._drilling import Errors, gone_before
from balance.metal.chance import Chance, chances_at
from balance.metal.holes import depth_for, radial_hole
from balance.metal.planning import Plan, PlannedHole
from balance.metal.shapes import tip_depth_mm

__all__ = ["FirstCut", "Stage", "stage"]

_SHARES = np.round(np.arange(1.0, 0.595, -0.01), 2)
PRESS_MM = 0.05  # half of the tenth of a millimetre that a depth is told to
_HAIR = 1e-9  # of a step: a depth on a step must not fall to the next by rounding
_NO_WORSE = 0.005  # spins: shares this close to the best count as equal; the smaller is taken


@dataclass(frozen=True)
class FirstCut:
    """One hole's first cut: ``share`` [1] of its unbalance, ``depth_mm`` at full diameter.

    ``depth_mm`` and ``tip_depth_mm`` [mm] are from the surface on the hole's axis.
    """

    hole: PlannedHole
    share: float
    depth_mm: float
    tip_depth_mm: float

    @property
    def stops_short(self) -> bool:
        """Whether it stops short of the hole's depth by what a drill press can hold."""
        return self.depth_mm < self.hole.depth_mm - PRESS_MM


@dataclass(frozen=True, eq=False)
class Stage:
    """Chances of drilling a plan at once, and of its first cut.

    ``chance_inside``, ``chance_overshoot`` [1] if the plan is drilled at once; ``first_inside``,
    ``first_overshoot`` [1] after the first cut; ``expected_spins`` [1] re-spins until done, where
    a crank inside needs one, one still heavy two, and one overshot three (it needs a new plan).
    ``draws`` is how many virtual drillings the first cut's chances come from.
    """

    chance_inside: float
    chance_overshoot: float
    first_cut: tuple[FirstCut, ...]
    first_inside: float
    first_overshoot: float
    expected_spins: float
    draws: int

    @property
    def held_back(self) -> bool:
        """Whether any first cut stops short of its hole's full depth."""
        return any(cut.stops_short for cut in self.first_cut)


def stage(
    plan: Plan,
    *,
    errors: Errors | None = None,
    overshoot: float = 0.05,
    draws: int = 20_000,
    seed: int = 1,
    workers: int = 1,
    progress: Progress | None = None,
    stop: Stop | None = None,
) -> Stage:
    """Return the first cut that keeps overshooting rare at the least expected number of spins.

    Holes nearer the first plane take one share of their unbalance, holes nearer the second
    another; of the shares with ``overshoot`` no more likely than wanted the one of fewest
    expected re-spins is taken, and among equals the smaller: metal cannot be put back. Depths lie
    whole steps above the planned ones, as the press is set. After the re-spin make a new plan from
    what was measured (``deepen=True``).

    Parameters
    ----------
    plan : Plan
        A plan that can be drilled.
    errors : Errors, optional
        What may be off.
    overshoot : float [1]
        Wanted upper limit of the chance of overshooting with the first cut.
    draws, seed, workers : int
        Virtual drillings, their seed, and the threads that share the work.
    progress, stop : callable, optional
        As for :func:`balance.metal.chance.chances_at`, over all rounds of the search; when stopped
        the best first cut of the rounds that were finished is returned.

    Raises
    ------
    InputError
        When the plan has no holes or an argument cannot be right.

    Examples
    --------
    >>> from balance.metal.planning import Counterweight, plan
    >>> weights = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
    >>> made = plan([900, 600], [100, 500], counterweights=weights, drills_mm=[10, 12],
    ...             tolerance_gmm=[60, 60])
    >>> first = stage(made)
    >>> first.first_overshoot <= 0.05, all(cut.share <= 1 for cut in first.first_cut)
    (True, True)

    Source: JCGM 101:2008, from memory, for the chances; the rule of the smaller share is common
    practice, no source.
    """
    if not 0 < one_real("overshoot", overshoot) < 1:
        raise InputError(f"overshoot must be between 0 and 1, got {overshoot!r}")
    if not instance_of("plan", plan, Plan).holes:
        raise InputError(f"plan must hold at least one hole to stage, got none: {plan.reason}")
    called("progress", progress)
    how = {
        "errors": Errors() if errors is None else errors,
        "draws": draws,
        "seed": seed,
        "workers": workers,
    }
    trial = _Trial(plan, how, progress=progress, stop=stop)
    whole, best = trial.at_once(), trial.search(overshoot)
    return Stage(
        chance_inside=whole.inside,
        chance_overshoot=whole.overshoot,
        first_cut=tuple(trial.cut(n, best.shares) for n in range(len(plan.holes))),
        first_inside=best.chance.inside,
        first_overshoot=best.chance.overshoot,
        expected_spins=best.spins,
        draws=best.chance.draws,
    )


@dataclass(frozen=True)
class _Shares:
    """Shares for the holes of either plane, and what virtual drillings say of them."""

    shares: tuple[float, float]
    chance: Chance

    @property
    def spins(self) -> float:
        """Return the expected number of re-spins: 1 inside, 2 still heavy, 3 overshot."""
        return 2.0 - self.chance.inside + self.chance.overshoot


class _Trial:
    """First cuts of one plan, tried on the same virtual drillings."""

    def __init__(
        self, plan: Plan, how: Mapping[str, Any], *, progress: Progress | None, stop: Stop | None
    ) -> None:
        self.plan, self._how, self.progress, self.stop = plan, how, progress, stop
        middle = sum(plan.task.rules.planes_mm) / 2
        first = plan.task.rules.planes_mm[0] < plan.task.rules.planes_mm[1]
        self.plane = [int((hole.z_mm > middle) == first) for hole in plan.holes]
        self._rounds, self._round = 2 + len(set(self.plane)), 0

    def at_once(self) -> Chance:
        """Return the chance of the plan drilled to its full depth."""
        return self._chances([(1.0, 1.0)])[0].chance

    def search(self, wanted: float) -> _Shares:
        """Return the best shares: one for both planes first, then each for itself."""
        best = self._pick(self._chances([(share, share) for share in _SHARES]), wanted)
        for plane in sorted(set(self.plane)):
            if self.stop is not None and self.stop():
                break
            around = best.shares[plane] + np.round(np.arange(-0.05, 0.055, 0.01), 2)
            tried = [float(s) for s in around if _SHARES[-1] <= s <= 1.0]
            options = self._chances([_put(best.shares, plane, s) for s in tried])
            if options[0].chance.draws == best.chance.draws:  # stopped on the way: not comparable
                best = self._pick([*options, best], wanted)
        return best

    def _pick(self, options: Sequence[_Shares], wanted: float) -> _Shares:
        """Return the option of fewest spins that keeps overshooting rare; the smaller of equals."""
        rare = [o for o in options if o.chance.overshoot <= wanted]
        if not rare:
            return min(options, key=lambda o: o.chance.overshoot)
        fewest = min(o.spins for o in rare)
        return min((o for o in rare if o.spins <= fewest + _NO_WORSE), key=lambda o: sum(o.shares))

    def _chances(self, options: Sequence[tuple[float, float]]) -> list[_Shares]:
        """Return what one round of drillings says of some shares."""
        depths = [[self._depth(n, shares) for n in range(len(self.plane))] for shares in options]
        found = chances_at(
            self.plan,
            depths,
            progress=self._said if self.progress else None,
            stop=self.stop,
            **self._how,
        )
        self._round += 1
        return [_Shares(*pair) for pair in zip(options, found, strict=True)]

    def _said(self, done: int, draws: int) -> None:
        if self.progress is not None:
            self.progress(self._round * draws + done, self._rounds * draws)

    def _depth(self, n: int, shares: tuple[float, float]) -> float:
        """Return the depth of a hole's first cut: what the press can be set to, never deeper."""
        hole, share = self.plan.holes[n], shares[self.plane[n]]
        if share == 1.0:
            return hole.depth_mm
        before = gone_before(self.plan.task, hole)
        exact = depth_for(
            before + share * hole.unbalance_gmm, diameter_mm=hole.diameter_mm, **self._metal(hole)
        )
        return self._settable(hole, float(exact))

    def _settable(self, hole: PlannedHole, depth_mm: float) -> float:
        """Return the next depth at or above one by whole steps, but one that may be drilled."""
        task = self.plan.task
        step, least = task.rules.depth_step_mm, task.rules.min_depth_mm
        if hole.deepens is not None:
            least = task.counterweights[hole.counterweight].holes[hole.deepens].depth_mm + step
        left_out = math.ceil((hole.depth_mm - depth_mm) / step - _HAIR)
        most = max(0, math.floor((hole.depth_mm - least) / step + _HAIR))
        return hole.depth_mm - step * min(left_out, most)

    def _metal(self, hole: PlannedHole) -> dict[str, float]:
        """Return what its formulas ask for beside the drill and the depth."""
        return {
            "surface_radius_mm": self.plan.task.counterweights[hole.counterweight].radius_mm,
            "point_degrees": self.plan.task.rules.point_degrees,
            "density_g_cm3": self.plan.task.rules.density_g_cm3,
        }

    def cut(self, n: int, shares: tuple[float, float]) -> FirstCut:
        """Return the first cut of one hole."""
        hole, depth = self.plan.holes[n], self._depth(n, shares)
        metal = self._metal(hole)
        gone = radial_hole(hole.diameter_mm, depth, **metal).unbalance_gmm
        share = (float(gone) - gone_before(self.plan.task, hole)) / hole.unbalance_gmm
        tip = tip_depth_mm(depth, hole.diameter_mm, point_degrees=metal["point_degrees"])
        return FirstCut(hole, share, depth, float(tip))


def _put(shares: tuple[float, float], plane: int, share: float) -> tuple[float, float]:
    return (share, shares[1]) if plane == 0 else (shares[0], share)
