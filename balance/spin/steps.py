"""The step of the job in this room: from what the machine showed to a verdict on every part."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from balance.engine.bobweights import Bobweight
from balance.engine.bobweights import needed as _needed
from balance.engine.layouts import radius_mm
from balance.engine.steps import engine_of
from balance.errors import JobFileError, MissingInputError
from balance.job.appended import SpinPage
from balance.job.model import BoltedPage, CrankPage, Job, MachinePage
from balance.spin.doubt import BobweightDoubt, bobweight_doubt, doubt_onto
from balance.spin.machine import Machine, from_crank, to_crank
from balance.spin.machine_page import displayed, u_of_mean, u_shown
from balance.spin.planes import transfer
from balance.spin.proof_steps import is_proven, machine_job
from balance.spin.seats import refit_gmm, seat_of
from balance.spin.slips import (
    amount_doubt,
    bobweight_doubt_text,
    bobweight_slip_doubt,
    grade_doubt,
    same_crank,
)
from balance.spin.spun import PartUnbalance, Spun, StackReading
from balance.spin.stack_slips import amount_asked, stack_slip
from balance.spin.states import alike_spins, state_of
from balance.spin.tolerance import allocate, judge, permissible
from balance.units import show
from balance.vectors import vector

__all__ = [
    "spin_job",
    "stack_states",
]

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]

_APART = 4.0  # standard uncertainties from the mean: beyond that like spins contradict each other
_LEAST_APART_GMM = 5.0  # a machine whose errors were left at zero is not believed finer than this


def spin_job(job: Job, bobweights: Sequence[Bobweight] = ()) -> Spun:
    """Return what the spins of a job say about the crank and every part bolted to it.

    The latest spin of each stack counts; spins of the same stack and state are averaged. What a
    bolted part adds is the difference of two stacks in the same state. Bobweights made up a
    little heavy or light are taken into account: ``m_wanted - m_made`` at the crank radius.

    Parameters
    ----------
    job : Job
        With crank, machine, targets and at least one spin of the crank alone.
    bobweights : sequence of Bobweight
        The wanted bobweights, one a throw; left out where the engine needs none.

    Raises
    ------
    MissingInputError
        Listing what must be measured or written first.
    JobFileError
        When spins or proofs of the same crank contradict each other.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> spun = spin_job(read_job(files("cli.examples") / "flat-four.toml"))
    >>> [(part.name, part.verdict) for part in spun.parts]
    [('crank', 'fail'), ('flywheel', 'fail'), ('clutch cover', 'fail')]

    Source: ISO 21940-11 (limits in the bearing planes), ISO 14253-1 (verdict); from memory.
    """
    bench = _bench(job, bobweights)
    stacks = tuple(_stack(bench, on, _latest(job, on)) for on in _stacks(job))
    limit = _limit(bench, _mass_kg(bench, stacks[-1].on))
    return Spun(
        machine=bench.machine,
        proven=is_proven(job),
        bearings_mm=bench.bearings_mm,
        stacks=stacks,
        parts=tuple(_parts(bench, stacks)),
        total_permissible_gmm=limit,
        total_verdict=judge(stacks[-1].unbalance, permissible_gmm=limit, u_gmm=stacks[-1].u_gmm),
        speed_rpm=job.targets.service_speed,
        grade=job.targets.grade,
        doubts=tuple(filter(None, (*_doubts(bench, stacks, limit), *_odd_parts(bench, stacks)))),
        contradiction=same_crank(job, _meant(bench))
        or next(filter(None, _slips(bench, stacks)), ""),
    )


def stack_states(
    job: Job, on: tuple[str, ...], bobweights: Sequence[Bobweight] = ()
) -> tuple[StackReading, ...]:
    """Return every state in which a stack was spun, from before the first hole to now.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> [state.drilled for state in stack_states(job, ("crank",))]
    [0]
    """
    bench = _bench(job, bobweights)
    counts = sorted({spin.drilled for spin in job.standing_spins if spin.on == on})
    last = {state_of(job, on, count): count for count in counts}
    return tuple(_stack(bench, on, count) for count in sorted(last.values()))


@dataclass(frozen=True)
class _Bench:
    """What every part of this step needs, once it is known to be there."""

    job: Job
    crank: CrankPage
    page: MachinePage
    machine: Machine
    bobweights: tuple[Bobweight, ...]

    @property
    def bearings_mm(self) -> tuple[float, float]:
        return self.crank.bearings[0], self.crank.bearings[1]


def _doubts(bench: _Bench, stacks: Sequence[StackReading], limit: Real) -> Iterator[str]:
    """Yield what looks mistyped; nothing at all where nothing does."""
    job, wanted = bench.job, [weight.mass_g for weight in bench.bobweights]
    yield amount_doubt(
        stacks[0].unbalance,
        rotor_mass_kg=bench.crank.mass / 1000,
        drilled=state_of(job, ("crank",), stacks[0].drilled) > 0,
    )
    yield _bobweight_slip(bench)
    if wanted and (spins := [s for s in job.standing_spins if s.on == ("crank",)]):
        made = spins[-1].bobweights
        each = made if len(made) > 1 else made * len(wanted)
        name = spins[-1].name or "crank"
        yield bobweight_doubt_text(name, each, wanted, _bobweight_error(bench, spins[-1]))
    if job.targets.service_speed is not None:
        mass_kg = _mass_kg(bench, stacks[-1].on)
        speed = job.targets.service_speed
        yield grade_doubt(limit.tolist(), rotor_mass_kg=mass_kg, speed_rpm=speed)


def _meant(bench: _Bench) -> Complex | None:
    """Return what the first spin would show with the wanted bobweights; None without a first."""
    job, on = bench.job, ("crank",)
    first = min(spin.drilled for spin in job.standing_spins if spin.on == on)
    if state_of(job, on, first):
        return None
    stack = _stack(bench, on, first)
    hid = transfer(stack.bobweight_error, bench.bearings_mm, bench.machine.planes_mm)
    shown = from_crank(stack.shown + hid, bench.machine)
    return np.array([vector(reading.amount, reading.degrees) for reading in shown])


def _bobweight_slip(bench: _Bench) -> str:
    """Return which one wrong bobweight would show what the crank did before any hole."""
    job, engine = bench.job, engine_of(bench.job)
    on = ("crank",)
    first = min(spin.drilled for spin in job.standing_spins if spin.on == on)
    hung, pins = alike_spins(job, on, first)[-1].bobweights, engine.throws
    if len(hung) not in (1, len(pins)) or state_of(job, on, first):
        return ""
    gram = radius_mm(engine) * vector(1.0, [pin.degrees for pin in pins])
    places = [pin.z_mm for pin in pins]
    return bobweight_slip_doubt(
        _stack(bench, on, first).unbalance,
        np.array([transfer(u, z, bench.bearings_mm) for u, z in zip(gram, places, strict=True)]),
        hung if len(hung) > 1 else hung * len(pins),
        limits_gmm=_limit(bench, bench.crank.mass / 1000),
    )


def _bench(job: Job, bobweights: Sequence[Bobweight]) -> _Bench:
    needed = [*lacks_for_spin(job)]
    if job.crank is None or job.machine is None or needed:
        raise MissingInputError("spin", needed)
    bare = [s.name or "+".join(s.on) for s in job.standing_spins if not s.bobweights]
    if bare and _needed(engine_of(job)).needed:
        what = "this engine needs bobweights: write the masses that hung on the pins"
        raise MissingInputError("spin", [f"bobweights of the spin {bare[0]!r}; {what}"])
    return _Bench(job, job.crank, job.machine, machine_job(job), tuple(bobweights))


def lacks_for_spin(job: Job) -> Iterator[str]:
    """Yield what must be measured or written in a job before anything can be made of its spins.

    Parameters
    ----------
    job : Job
        As read from its file.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> list(lacks_for_spin(read_job(files("cli.examples") / "flat-four.toml")))
    []
    """
    targets = job.targets
    if job.crank is None:
        yield "a [crank] table with mass and bearings"
    if job.machine is None:
        yield "a [machine] table that says how the machine counts its angles"
    elif len(job.machine.planes) == 1:
        yield (
            "a second plane under [machine]: one shows the force of the crank, not its couple, "
            "and by it alone a crank that rocks would pass"
        )
    if not any(spin.on == ("crank",) for spin in job.standing_spins):
        yield 'a [[spins]] entry of the crank alone, on = ["crank"]'
    if targets.grade is None and targets.per_bearing is None:
        yield "a limit: grade or per_bearing under [targets]"
    if targets.grade is not None and targets.service_speed is None:
        yield "service_speed under [targets]: a grade means nothing without it"


def _stacks(job: Job) -> list[tuple[str, ...]]:
    """Return the stacks that were spun, smallest first, of equals the first in the file."""
    return sorted(dict.fromkeys(spin.on for spin in job.standing_spins), key=len)


def _latest(job: Job, on: tuple[str, ...]) -> int:
    return max(spin.drilled for spin in job.standing_spins if spin.on == on)


def _stack(bench: _Bench, on: tuple[str, ...], drilled: int) -> StackReading:
    """Average the spins of one stack in one state and carry them to the bearing planes."""
    alike = alike_spins(bench.job, on, drilled)
    each = np.array([_shown(bench, spin) for spin in alike])
    shown = each.mean(axis=0)
    astray = np.mean([_bobweight_error(bench, spin) for spin in alike], axis=0)
    u = _u_mean(bench, alike, each, shown)
    places, onto = bench.machine.planes_mm, bench.bearings_mm
    u_machine, doubt = doubt_onto(u, places, onto), _bobweight_doubt(bench)
    return StackReading(
        on=on,
        shown=shown,
        unbalance=transfer(shown, places, onto) + astray,
        u_gmm=u_machine if doubt is None else np.hypot(u_machine, doubt.u_gmm),
        spins=len(alike),
        drilled=drilled,
        bobweight_error=astray,
        u_shown_gmm=u,
        u_machine_gmm=u_machine,
        bobweight_doubt=doubt,
    )


def _u_mean(bench: _Bench, alike: list[SpinPage], each: Complex, shown: Complex) -> Real:
    """Return the uncertainty of the mean of like spins, stated or as they scatter.

    Spins of the same metal that contradict each other are not averaged: one of them is wrong.
    """
    apart = np.abs(each - shown)
    near = _APART * u_shown(bench.page, shown) + _LEAST_APART_GMM
    for page in bench.job.bolted:  # each may have been put on anew
        if page.name in alike[0].on:
            near = near + refit_gmm(page, bench.machine.planes_mm)
    if np.any(apart > near):
        message = _contradiction(bench.job, alike, apart.max(axis=1))
        raise JobFileError(message, path=bench.job.source, key="spins")
    return u_of_mean(bench.page, each)


def _contradiction(job: Job, alike: list[SpinPage], apart_gmm: Real) -> str:
    """Say which spins differ; of two neither is farther off, of more the odd one is named."""
    names = [_called(job, spin) for spin in alike]
    odd = f" ({names[int(apart_gmm.argmax())]} is farthest off)" if len(names) > 2 else ""
    apart = show(2 * float(apart_gmm.max()), "unbalance", "g mm")
    seat = "a bolted part put back on turned or not on its seat, " * (len(alike[0].on) > 1)
    return (
        f"the spins {', '.join(names[:-1])} and {names[-1]} are of the same metal but differ by "
        f"{apart}{odd}: a hole drilled and not recorded (heavyspot drilled), putty still on, "
        f"{seat}a bobweight moved, a reading mistyped, or one entered under the wrong stack "
        "(heavyspot spin --undo)"
    )


def _called(job: Job, spin: SpinPage) -> str:
    """Return the name of a spin; without one of its own, its place in the file and what turned."""
    if spin.name and sum(other.name == spin.name for other in job.standing_spins) == 1:
        return repr(spin.name)
    place = next(k for k, other in enumerate(job.spins, 1) if other is spin)
    return f"{spin.name or ' + '.join(spin.on)!r} (entry {place} under [[spins]])"


def _bobweight_doubt(bench: _Bench) -> BobweightDoubt | None:
    """Return what the making up and placing of the bobweights may add; None without any."""
    if not bench.bobweights:
        return None
    engine, page = engine_of(bench.job), bench.job.bobweights
    pins = [engine.throws[weight.throw] for weight in bench.bobweights]
    return bobweight_doubt(
        [weight.mass_g for weight in bench.bobweights],
        [pin.degrees for pin in pins],
        [pin.z_mm for pin in pins],
        radius_mm=radius_mm(engine),
        planes_mm=bench.bearings_mm,
        u_mass_g=page.mass_error,
        u_offset_mm=page.off_centre_error,
        u_axial_mm=page.along_error,
    )


def _shown(bench: _Bench, spin: SpinPage) -> Complex:
    """Return a spin's readings in the crank's frame, nose to flywheel."""
    return to_crank(displayed(bench.page, spin.readings), bench.machine)


def _bobweight_error(bench: _Bench, spin: SpinPage) -> Complex:
    """Return what to add because the bobweights on the crank were not the wanted ones."""
    wanted = bench.bobweights
    if not wanted:
        return np.zeros(2, complex)
    made = spin.bobweights if len(spin.bobweights) > 1 else spin.bobweights * len(wanted)
    if len(made) != len(wanted):
        message = f"spin {spin.name!r} has {len(made)} bobweights for {len(wanted)} pins"
        raise JobFileError(message, path=bench.job.source, key="spins")
    engine = engine_of(bench.job)
    pins = [engine.throws[weight.throw] for weight in wanted]
    short = np.array([weight.mass_g for weight in wanted]) - np.array(made)
    astray = short * radius_mm(engine) * vector(1.0, [pin.degrees for pin in pins])
    return transfer(astray, [pin.z_mm for pin in pins], bench.bearings_mm)


def _parts(bench: _Bench, stacks: Sequence[StackReading]) -> Iterator[PartUnbalance]:
    for stack in stacks:
        yield _crank_alone(bench, stack) if len(stack.on) == 1 else _bolted(bench, stack)


def _crank_alone(bench: _Bench, stack: StackReading) -> PartUnbalance:
    limit = _limit(bench, bench.crank.mass / 1000)
    return PartUnbalance(
        name="crank",
        planes_mm=bench.bearings_mm,
        unbalance=stack.unbalance,
        u_gmm=stack.u_gmm,
        permissible_gmm=limit,
        verdict=judge(stack.unbalance, permissible_gmm=limit, u_gmm=stack.u_gmm),
        mounting_gmm=0.0,
        refit_gmm=0.0,
        drilled=stack.drilled,
    )


def _bolted(bench: _Bench, stack: StackReading) -> PartUnbalance:
    """Return what the last part of a stack adds: this stack less the one below, same state."""
    page, base, name = _top(bench, stack), _below(bench, stack), stack.on[-1]
    force = np.array([np.sum(stack.unbalance - base.unbalance)])
    both = np.concatenate([stack.u_shown_gmm, base.u_shown_gmm])  # of a sum: places do not count
    u = np.array([np.linalg.norm(both)])
    limit = np.array([_disc_limit(bench, page)])
    seat = seat_of(page)
    return PartUnbalance(
        name=name,
        planes_mm=(page.z,),
        unbalance=force,
        u_gmm=u,
        permissible_gmm=limit,
        verdict=judge(force, permissible_gmm=limit, u_gmm=u),
        mounting_gmm=seat.unbalance_gmm,
        refit_gmm=seat.refit_gmm,
        drilled=stack.drilled,
    )


def _top(bench: _Bench, stack: StackReading) -> BoltedPage:
    return next(part for part in bench.job.bolted if part.name == stack.on[-1])


def _below(bench: _Bench, stack: StackReading) -> StackReading:
    """Return the stack without its uppermost part, as it was with the same holes."""
    below = stack.on[:-1]
    if not alike_spins(bench.job, below, stack.drilled):
        message = f"a spin of {' + '.join(below)} with the holes that it has now"
        raise MissingInputError(f"spin ({stack.on[-1]})", [message])
    return _stack(bench, below, stack.drilled)


def _slips(bench: _Bench, stacks: Sequence[StackReading]) -> Iterator[str]:
    """Yield what no bolted part can add, of each stack with one."""
    for stack in (each for each in stacks if len(each.on) > 1):
        yield stack_slip(
            stack,
            _below(bench, stack),
            _top(bench, stack),
            machine=bench.machine,
            bearings_mm=bench.bearings_mm,
        )


def _odd_parts(bench: _Bench, stacks: Sequence[StackReading]) -> Iterator[str]:
    """Yield which bolted parts add what they may not; what was drilled is meant to add nothing."""
    for stack in (each for each in stacks if len(each.on) > 1):
        if not any(hole.part == stack.on[-1] for hole in bench.job.standing_holes()):
            yield amount_asked(stack, _below(bench, stack), _top(bench, stack))


def _disc_limit(bench: _Bench, page: BoltedPage) -> float:
    """Return a bolted part's limit: its own, by the grade, or its mass's share of the crank's."""
    if page.limit is not None:
        return page.limit
    whole = _limit(bench, bench.crank.mass / 1000).sum()
    return float(whole * page.mass / bench.crank.mass)


def _mass_kg(bench: _Bench, on: Sequence[str]) -> float:
    bolted = sum(part.mass for part in bench.job.bolted if part.name in on)
    return (bench.crank.mass + bolted) / 1000


def _limit(bench: _Bench, mass_kg: float) -> Real:
    """Return the limit in each bearing plane for a rotor of this mass."""
    targets, crank = bench.job.targets, bench.crank
    if targets.grade is None or targets.service_speed is None:
        return np.array([targets.per_bearing, targets.per_bearing], float)
    total = permissible(rotor_mass_kg=mass_kg, speed_rpm=targets.service_speed, grade=targets.grade)
    middle = sum(crank.bearings) / 2 if crank.centre_of_mass is None else crank.centre_of_mass
    return allocate(float(total), centre_of_mass_mm=middle, bearings_mm=crank.bearings)
