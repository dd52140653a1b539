"""Good sets by many small swaps, in whole hundredths of a gram: an answer, never a proof.

Many chains of swaps run side by side. A swap exchanges two parts of one kind, between two sets or
between a set and the shelf; one that costs more is taken now and then, ever more rarely (simulated
annealing). The whole price is counted: what all sets lose and what all big ends lose, each from
its own lightest; what exceeds a limit is charged several times over.

The seed is fixed and the work is counted in swaps: the same parts give the same answer on any
machine, however busy.

Source: S. Kirkpatrick, C. D. Gelatt and M. P. Vecchi, "Optimization by simulated annealing",
Science 220 (1983) 671-680, from memory.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from balance.parts._task import FAR, Ints, Kind, Meter, Outcome

__all__ = ["Pool", "price", "swapped"]

CHAINS, FEWEST = 256, 32
WORK = 4_096  # sets in all chains
STEPS = 2_400
COLDEST = 0.5  # of a hundredth of a gram
CHARGES = (2, 4, 8, 16)  # for a hundredth beyond a limit, by chain
HEATS = (0.5, 0.25, 0.12, 0.06, 0.03)  # first heat over the spread of all kinds, by chain


@dataclass(frozen=True)
class Pool:
    """Rods, pistons and pins of which ``n`` sets are made; ``big`` ends in the rods' order."""

    rods: Kind
    pistons: Kind
    pins: Kind
    big: Kind | None
    n: int
    slack: int
    big_slack: int

    @property
    def kinds(self) -> tuple[Kind, Kind, Kind]:
        """The kinds in the order of picks."""
        return self.rods, self.pistons, self.pins

    @property
    def amounts(self) -> list[tuple[tuple[Kind, ...], int]]:
        """What must end alike: kinds that make it up, rods first, and its tolerance."""
        sets: list[tuple[tuple[Kind, ...], int]] = [(self.kinds, self.slack)]
        return sets if self.big is None else [*sets, ((self.big,), self.big_slack)]

    @property
    def chains(self) -> int:
        """How many chains run side by side: fewer when each is long."""
        return min(CHAINS, max(FEWEST, WORK // self.n))


@dataclass(frozen=True)
class _Amount:
    """What must end alike, per set (row) and chain (column); row ``n`` books what is on the shelf.

    ``room`` is what it may lose, or None where no limit can matter.
    """

    kinds: tuple[Kind, ...]
    slack: int
    have: Ints
    room: Ints | None

    def exchanged(self, kind: int, mine: Ints, yours: Ints, ends: tuple[Ints, Ints]) -> "_Amount":
        """Return the amount after one exchange in every chain."""
        if kind >= len(self.kinds):
            return self
        mass, limit = self.kinds[kind].mass, self.kinds[kind].limit
        have = _moved(self.have, mass[yours] - mass[mine], ends)
        room = self.room
        if room is not None:
            room = _moved(room, limit[yours] - limit[mine], ends)
        return _Amount(self.kinds, self.slack, have, room)

    def where(self, taken: NDArray[np.bool_], old: "_Amount") -> "_Amount":
        """Return this amount in the chains that took the exchange, the old one in the others."""
        if self is old:
            return old
        room = self.room
        if room is not None and old.room is not None:
            room = np.where(taken, room, old.room)
        return _Amount(self.kinds, self.slack, np.where(taken, self.have, old.have), room)

    def price(self) -> tuple[Ints, Ints]:
        """Return what is cut in each chain and by how much that exceeds the limits."""
        have = self.have[:-1]
        over = np.maximum(have - (have.min(axis=0) + self.slack), 0)
        cost: Ints = over.sum(axis=0)
        if self.room is None:
            return cost, np.zeros_like(cost)
        return cost, np.maximum(over - self.room[:-1], 0).sum(axis=0)


def _moved(rows: Ints, change: Ints, ends: tuple[Ints, Ints]) -> Ints:
    """Return rows with ``change`` brought to one end and taken from the other."""
    rows, across = rows.copy(), np.arange(change.size)
    rows[ends[0], across] += change
    rows[ends[1], across] -= change
    return rows


def _amount(kinds: tuple[Kind, ...], slack: int, places: list[Ints], n: int) -> _Amount:
    """Return the amounts of the sets in the first ``n`` rows of ``places``."""
    pairs = list(zip(kinds, places, strict=False))
    shelf = np.zeros((1, places[0].shape[1]), dtype=np.int64)
    have = np.concatenate((sum(k.mass[p[:n]] for k, p in pairs), shelf))
    spans = sum(int(np.ptp(k.mass)) for k in kinds)
    if sum(int(k.limit.min()) for k in kinds) >= spans - slack:
        return _Amount(kinds, slack, have, None)
    room = np.concatenate((sum(k.limit[p[:n]] for k, p in pairs), shelf))
    return _Amount(kinds, slack, have, room)


def _priced(amounts: list[_Amount]) -> tuple[Ints, Ints]:
    """Return what is cut in each chain, all amounts together, and what exceeds the limits."""
    cost, beyond = amounts[0].price()
    for amount in amounts[1:]:
        more, further = amount.price()
        cost, beyond = cost + more, beyond + further
    return cost, beyond


def price(pool: Pool, picks: Ints) -> int | None:
    """Return what sets of rods, pistons, pins lose, or None when that exceeds the limits."""
    places = [picks[:, k : k + 1] for k in range(3)]
    cost, beyond = _priced([_amount(*a, places, pool.n) for a in pool.amounts])
    return None if beyond[0] else int(cost[0])


@dataclass
class _State:
    """All chains: the parts' places (the first n rows are in sets) and what that costs."""

    n: int
    places: list[Ints]  # rods, pistons, pins: (parts, chains)
    amounts: list[_Amount]
    cost: Ints
    beyond: Ints

    @classmethod
    def start(cls, pool: Pool, rng: np.random.Generator) -> "_State":
        """Return where the chains begin."""
        places = _starts(pool, rng)
        amounts = [_amount(*a, places, pool.n) for a in pool.amounts]
        return cls(pool.n, places, amounts, *_priced(amounts))

    def picks(self, chain: int) -> Ints:
        """Return the sets of one chain."""
        return np.column_stack([p[: self.n, chain] for p in self.places])

    def swap(self, kind: int, row: Ints, other: Ints, charge: Ints, luck: Ints) -> None:
        """Try one exchange in every chain; keep it where it costs at most ``luck`` more."""
        place, across = self.places[kind], np.arange(row.size)
        mine, yours = place[row, across], place[other, across]
        ends = row, np.minimum(other, self.n)
        tried = [a.exchanged(kind, mine, yours, ends) for a in self.amounts]
        cost, beyond = _priced(tried)
        taken = cost - self.cost + charge * (beyond - self.beyond) <= luck
        self.amounts = [t.where(taken, a) for t, a in zip(tried, self.amounts, strict=True)]
        self.cost = np.where(taken, cost, self.cost)
        self.beyond = np.where(taken, beyond, self.beyond)
        place[row, across] = np.where(taken, yours, mine)
        place[other, across] = np.where(taken, mine, yours)


def swapped(pool: Pool, good_enough: int, meter: Meter, *, seed: int) -> Outcome:
    """Return the cheapest sets met within the limits; stop at once at ``good_enough``."""
    many = pool.chains
    if meter.candidates < many * STEPS:
        return Outcome()
    rng = np.random.default_rng(seed)
    state = _State.start(pool, rng)
    kinds, row, other = _drawn(pool, rng)
    charge = np.resize(np.array(CHARGES, dtype=np.int64), many)
    heat = np.resize(np.repeat(HEATS, len(CHARGES)), many) * _spread(pool)
    best, picks = FAR, None
    for step in range(STEPS):
        fits = np.where(state.beyond == 0, state.cost, FAR)
        at = int(fits.argmin())
        if fits[at] < best:
            best, picks = int(fits[at]), state.picks(at)
        if best <= good_enough or not meter.take(many):
            break
        cooled = heat * (1 - step / STEPS) ** 2 + COLDEST
        luck = np.floor(cooled * rng.standard_exponential(many)).astype(np.int64)
        state.swap(int(kinds[step]), row[step], other[step], charge, luck)
    return Outcome() if picks is None else Outcome(best, picks[np.argsort(picks[:, 0])])


def _drawn(pool: Pool, rng: np.random.Generator) -> tuple[Ints, Ints, Ints]:
    """Return the kind of each step, and the two rows exchanged in each chain."""
    sizes = np.array([k.mass.size for k in pool.kinds])
    kinds = rng.integers(3, size=STEPS)
    row = rng.integers(pool.n, size=(STEPS, pool.chains))
    return kinds, row, rng.integers(sizes[kinds][:, None], size=row.shape)


def _spread(pool: Pool) -> float:
    """Return how far apart sets are that nobody has sorted."""
    return float(np.sqrt(sum(np.var(k.mass) for k in pool.kinds)))


def _starts(pool: Pool, rng: np.random.Generator) -> list[Ints]:
    """Return rods as neighbours by big end, light pistons with heavy small ends, any pins."""
    size, many = pool.rods.mass.size, pool.chains
    big = pool.rods.mass if pool.big is None else pool.big.mass
    first = rng.integers(size - pool.n + 1, size=many)
    rods = np.argsort(big, kind="stable")[(np.arange(size)[:, None] + first) % size]
    used = np.argsort(pool.rods.mass[rods[: pool.n]], axis=0, kind="stable")
    rods[: pool.n] = np.take_along_axis(rods[: pool.n], used, axis=0)
    size = pool.pistons.mass.size
    pistons = (np.arange(size)[:, None] + rng.integers(size - pool.n + 1, size=many)) % size
    pistons[: pool.n] = pistons[: pool.n][::-1].copy()
    pins = rng.permuted(np.tile(np.arange(pool.pins.mass.size)[:, None], many), axis=0)
    return [rods, pistons, pins]
