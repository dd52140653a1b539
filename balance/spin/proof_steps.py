"""The machine of a job: as declared, or as found from spins with known masses."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from balance.errors import JobFileError, MissingInputError
from balance.job.appended import ProofPage
from balance.job.model import Job, MachinePage
from balance.spin.check_spin_steps import last_check
from balance.spin.conventions import Identified, KnownSpin, identify
from balance.spin.declared import differences, identified_machine
from balance.spin.machine import Machine, statement
from balance.spin.machine_page import declared_machine, displayed
from balance.vectors import vector

__all__ = [
    "Proved",
    "is_proven",
    "machine_in_words",
    "machine_job",
    "machine_rests_on",
    "prove_job",
]


_SCALE_APART = 1.2  # own choice: no machine is used that reads a fifth too much or too little


@dataclass(frozen=True)
class Proved:
    """What the proof spins say of the machine, and where that differs from what was declared.

    ``machine`` is the one the job uses: as declared, else as found. ``found`` is None when the
    spins are not certain.
    """

    identified: Identified
    machine: Machine | None
    found: Machine | None
    differences: tuple[str, ...]

    @property
    def proven(self) -> bool:
        """Whether one convention is certain and nothing that was declared contradicts it."""
        return self.identified.certain and not self.differences


def machine_job(job: Job) -> Machine:
    """Return the machine of a job: as declared, or as its proof spins have found it.

    Parameters
    ----------
    job : Job
        As read from its file.

    Raises
    ------
    MissingInputError
        When neither says how the machine counts; it names what to write or which spin to make.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> machine_job(read_job(files("cli.examples") / "v8.toml")).nose_first
    False
    """
    if job.machine is None:
        raise MissingInputError("spin", ["a [machine] table that says how the machine counts"])
    machine = declared_machine(job.machine)
    if len(job.proofs) > 1:
        _contradiction(job, prove_job(job))
    if machine is not None:
        return machine
    if len(job.proofs) < 2:
        need = "counts, zero and points_to under [machine], or [[proofs]]: three spins, one as it "
        need += "is and one with a known mass near each end, fixed mechanically, guard closed"
        raise MissingInputError("spin", [need])
    found = prove_job(job)
    if found.machine is None:
        raise MissingInputError("spin", list(found.identified.warnings))
    return found.machine


def prove_job(job: Job) -> Proved:
    """Return what a job's proof spins say of its machine.

    Parameters
    ----------
    job : Job
        As read from its file.

    Raises
    ------
    MissingInputError
        When there are fewer than two proof spins.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> prove_job(read_job(files("cli.examples") / "v-twin.toml")).proven
    True

    Source: as for :func:`balance.spin.conventions.identify`.
    """
    page = job.machine
    if page is None or len(job.proofs) < 2:
        need = "[[proofs]]: three spins, one with nothing stuck on, one with a known mass in each "
        need += "plane, a quarter turn apart; fix it mechanically, close the guard and stand out "
        raise MissingInputError("prove", [need + "of the plane of rotation"])
    found = identify([_known(page, proof) for proof in job.proofs], zero_degrees=page.zero)
    declared, seen = declared_machine(page), _found(page, found)
    if declared is not None:
        return Proved(found, declared, seen, differences(declared, found))
    return Proved(found, seen, seen, (*_planes(page, seen), *_scales(page, seen)))


def machine_in_words(page: MachinePage, machine: Machine) -> str:
    """Return what a reading means, for a machine as declared or as its spins showed it.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "v-twin.toml")
    >>> machine_in_words(job.machine, machine_job(job)).split(". ")[-1]
    'One unit shown is 720.078 g mm.'
    >>> machine_in_words(job.machine, prove_job(job).found).split(". ")[-1]
    'One unit shown is 716.649 or 713.633 g mm.'
    """
    return statement(machine, unit="" if declared_machine(page) else page.unit)


def _contradiction(job: Job, proved: Proved) -> None:
    """Refuse to go on when certain proof spins contradict what the job says of its machine."""
    if not (proved.identified.certain and proved.differences):
        return
    said = "; ".join(proved.differences)
    message = f"the proof spins contradict it: {said}; nothing is judged until one is mended"
    raise JobFileError(f"{message} (heavyspot prove)", path=job.source, key="machine")


def _planes(page: MachinePage, found: Machine | None) -> tuple[str, ...]:
    """Return what is odd when a mass stuck in one plane was read in the other."""
    if found is None or len(page.planes) == 1:
        return ()
    if found.nose_first == (page.planes[0].z < page.planes[1].z):
        return ()
    one, other = sorted(page.planes, key=lambda plane: plane.z)
    return (
        f"planes: a mass stuck in plane {one.name!r} shows in plane {other.name!r}. Stick one on "
        f"the nose end and spin: where it shows is the plane nearest the nose. Is that not "
        f"{one.name!r} (z {one.z:g} mm)? Then exchange the places z of the two under [machine]. "
        "If it is, a proof spin is written down wrongly: take them out and make them anew",
    )


def _scales(page: MachinePage, found: Machine | None) -> tuple[str, ...]:
    """Return what is odd about the scales found, where the unit alone was declared."""
    if found is None:
        return ()
    planes = sorted(page.planes, key=lambda plane: plane.z)
    return tuple(
        f"plane {plane.name!r}: one {page.unit} shown stands for {size:.3g} of it; check the mass "
        "and the radius of the proof spins, and the unit"
        for plane, size in zip(planes, found.gmm_per_unit, strict=True)
        if not 1 / _SCALE_APART <= size <= _SCALE_APART
    )


def is_proven(job: Job) -> bool:
    """Return whether a known mass has proven the machine: a check spin, this job's spins, a date.

    Parameters
    ----------
    job : Job
        As read from its file.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> is_proven(read_job(files("cli.examples") / "v8.toml"))
    True
    """
    if job.machine is None:
        return False
    checked = _checked(job)
    if checked is not None:
        return checked
    if len(job.proofs) > 1:
        return prove_job(job).proven
    return job.machine.proven is not None


def _checked(job: Job) -> bool | None:
    """Return whether the last check spin proves the machine or refutes it; None without either."""
    if not job.check_spins:
        return None
    try:
        last = last_check(job, machine_job(job))
    except (MissingInputError, JobFileError):  # nobody knows the machine, or its proofs contradict
        return None
    return True if last and last.agrees else False if last and last.contradicts else None


def machine_rests_on(job: Job) -> Literal["declared", "proofs", "nothing"]:
    """Return what says how the machine counts: somebody's word that was proven, proofs, or nothing.

    Proof spins that find what was declared bear it out: the two are independent. Proof spins by
    themselves are as good as the places where their masses were said to be.

    Parameters
    ----------
    job : Job
        As read from its file.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> machine_rests_on(read_job(files("cli.examples") / "v8.toml"))
    'declared'
    """
    declared = job.machine is not None and declared_machine(job.machine) is not None
    if declared and len(job.proofs) > 1:
        return "declared" if prove_job(job).proven else "nothing"
    if len(job.proofs) > 1:
        return "proofs"
    dated = job.machine is not None and job.machine.proven is not None
    return "declared" if declared and dated else "nothing"


def _found(page: MachinePage, found: Identified) -> Machine | None:
    """Return the machine that was found; None when not certain or a plane had no mass."""
    if not found.certain or np.any(found.best.gmm_per_unit <= 0):
        return None
    places = sorted(plane.z for plane in page.planes)
    return identified_machine(found, planes_mm=places, name=page.name)


def _known(page: MachinePage, proof: ProofPage) -> KnownSpin:
    order = {plane.name: k for k, plane in enumerate(sorted(page.planes, key=lambda p: p.z))}
    added: NDArray[np.complex128] = np.zeros(len(order), complex)
    for stuck in proof.stuck:
        added[order[stuck.plane]] += vector(stuck.mass * stuck.radius, stuck.angle)
    return KnownSpin(displayed(page, proof.readings), added)
