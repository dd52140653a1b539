"""What the check spins of a job say of its machine."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from balance.job.appended import PuttyPage, SpinPage
from balance.job.model import Job, MachinePage
from balance.spin.check_spin import (
    CheckSpin,
    CheckVerdict,
    Putty,
    judge_check_spin,
    predict_check_spin,
)
from balance.spin.machine import Machine, to_crank
from balance.spin.machine_page import declared_machine, displayed, u_of_mean, u_shown
from balance.spin.slips import MISREAD, as_meant
from balance.spin.states import alike_spins

__all__ = ["RecordedCheck", "last_check", "putty_of"]

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]
_Judged = tuple[CheckSpin, CheckVerdict]


@dataclass(frozen=True)
class RecordedCheck:
    """The latest check spin of a job, what it had to show and what it says.

    ``check`` and ``verdict`` are None when no spin of the same crank without putty, with the same
    holes and bobweights, is there to compare it with. ``read`` is what the machine showed, in its
    planes from nose to flywheel and in the crank's frame [g mm]. ``misread`` is the slip in the
    spin that it is compared with that would explain it, where no slip in this one does.
    """

    spin: SpinPage
    read: Complex
    check: CheckSpin | None
    verdict: CheckVerdict | None
    misread: str = ""

    @property
    def agrees(self) -> bool:
        """Whether the machine counts as it is understood."""
        return self.verdict is not None and self.verdict.verdict == "agrees"

    @property
    def contradicts(self) -> bool:
        """Whether the machine does not count as it is understood, or the putty was elsewhere."""
        return self.verdict is not None and self.verdict.verdict == "contradicts"

    @property
    def message(self) -> str:
        """What to tell the operator."""
        if self.verdict is None:
            return (
                "the check spin has nothing to be compared with: it needs a spin of the same "
                "crank, with the same holes and bobweights, and nothing stuck on"
            )
        likely = ", or ".join(self.verdict.fits[:2])
        if self.verdict.verdict == "agrees":
            return "the check spin agrees: the putty shows where it was stuck"
        if self.verdict.verdict == "too little":
            return f"the check spin cannot tell enough: it would look the same if {likely}"
        likely = likely or self.misread
        said = f"this would look like it: {likely}" if likely else "no known slip explains it"
        return f"the check spin does not show the putty where it was stuck; {said}"


def last_check(job: Job, machine: Machine) -> RecordedCheck | None:
    """Return the latest check spin of a job and its verdict; None without one.

    One that has a spin to be compared with goes before a later one that has none.

    Parameters
    ----------
    job : Job
        As read from its file.
    machine : Machine
        As the job understands it.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.spin.proof_steps import machine_job
    >>> job = read_job(files("cli.examples") / "v8.toml")
    >>> last_check(job, machine_job(job)) is None
    True
    """
    page = job.machine
    if page is None or not job.check_spins:
        return None
    recorded = [_recorded(job, page, machine, spin) for spin in job.check_spins]
    return next((one for one in reversed(recorded) if one.verdict), recorded[-1])


def putty_of(job: Job, stuck: PuttyPage) -> Putty:
    """Return one stuck mass as the crank knows it: on a counterweight's rim, or in a plane.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> putty_of(job, PuttyPage(part="W1", mass="10 g", angle="90 deg")).radius_mm
    78.0
    """
    if stuck.part is None:
        planes = job.machine.planes if job.machine else ()
        plane = next(plane for plane in planes if plane.name == stuck.plane)
        return Putty(plane.z, stuck.radius or 0.0, stuck.mass, stuck.angle)
    weights = job.crank.counterweights if job.crank else ()
    weight = next(weight for weight in weights if weight.mark == stuck.part)
    return Putty(weight.z, stuck.radius or weight.radius, stuck.mass, stuck.angle)


def _recorded(job: Job, page: MachinePage, machine: Machine, spin: SpinPage) -> RecordedCheck:
    read = to_crank(displayed(page, spin.readings), machine)
    like = [s for s in alike_spins(job, spin.on, spin.drilled) if s.bobweights == spin.bobweights]
    if not like:
        return RecordedCheck(spin, read, None, None)
    each = np.array([to_crank(displayed(page, one.readings), machine) for one in like])
    putty = [putty_of(job, stuck) for stuck in spin.stuck]

    def judged(without: Complex, with_putty: Complex, u_without: Real) -> _Judged:
        u_reading = np.hypot(u_without, u_shown(page, with_putty))
        declared = declared_machine(page) is not None
        check = predict_check_spin(
            without, putty, machine, u_reading_gmm=u_reading, declared=declared
        )
        return check, judge_check_spin(check, with_putty, u_reading_gmm=u_reading)

    bare = each.mean(axis=0)
    check, verdict = judged(bare, read, u_of_mean(page, each))
    odd = verdict.verdict == "contradicts" and not verdict.fits
    means = {text: as_meant(bare, slip, machine) for text, slip in MISREAD.items() if odd}
    likely = (
        f"in the spin before it alone {text} (heavyspot spin --undo)"
        for text, meant in means.items()
        if judged(meant, read, u_shown(page, meant))[1].verdict == "agrees"
    )
    return RecordedCheck(spin, read, check, verdict, next(likely, ""))
