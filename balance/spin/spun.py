"""What the spins of a job come to: every stack as read, every part by itself, the verdicts."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from balance.spin.doubt import BobweightDoubt
from balance.spin.machine import Machine

__all__ = ["PartUnbalance", "Spun", "StackReading"]

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]


@dataclass(frozen=True)
class StackReading:
    """The latest spin of one stack of parts, in the planes of the bearings.

    Parameters
    ----------
    on : tuple of str
        What turned.
    shown : array (planes,), complex [g mm]
        In the machine's planes, nose to flywheel, in the crank's frame.
    unbalance : array (2,), complex [g mm]
        In the bearing planes, after the bobweights' own error is taken out.
    u_shown_gmm : array (planes,) [g mm]
        Standard uncertainty of what the machine showed.
    u_machine_gmm : array (2,) [g mm]
        The same, carried to the bearing planes.
    u_gmm : array (2,) [g mm]
        Standard uncertainty of each amount, bobweights included.
    spins : int
        How many spins of this state were averaged.
    drilled : int
        How many of the job's drilled holes were in the metal.
    """

    on: tuple[str, ...]
    shown: Complex
    unbalance: Complex
    u_gmm: Real
    spins: int
    drilled: int
    bobweight_error: Complex
    u_shown_gmm: Real
    u_machine_gmm: Real
    bobweight_doubt: BobweightDoubt | None


@dataclass(frozen=True)
class PartUnbalance:
    """What one part adds: vectors in its own planes, its limit and the verdict.

    The crank alone is judged in the two bearing planes; a bolted part in the one plane where it
    is. ``mounting_gmm`` is what run-out and clearance of its seat amount to, ``refit_gmm`` the part
    of it that may change at a refit. ``drilled`` counts the drilled holes the reading knows of.
    """

    name: str
    planes_mm: tuple[float, ...]
    unbalance: Complex
    u_gmm: Real
    permissible_gmm: Real
    verdict: str
    mounting_gmm: float
    refit_gmm: float
    drilled: int


@dataclass(frozen=True)
class Spun:
    """Every stack as read and every part by itself; ``doubts`` say what looks mistyped.

    ``contradiction`` says why two stacks, or a spin and the proof, cannot both be as read.
    """

    machine: Machine
    proven: bool
    bearings_mm: tuple[float, float]
    stacks: tuple[StackReading, ...]
    parts: tuple[PartUnbalance, ...]
    total_permissible_gmm: Real
    total_verdict: str
    speed_rpm: float | None
    grade: float | None
    doubts: tuple[str, ...] = ()
    contradiction: str = ""

    def read_once(self, part: str) -> bool:
        """Return whether what a part adds rests on a single spin: a misread one shows in no other.

        Examples
        --------
        >>> from importlib.resources import files
        >>> from balance.job.load import read_job
        >>> from balance.spin.steps import spin_job
        >>> spun = spin_job(read_job(files("cli.examples") / "flat-four.toml"))
        >>> spun.read_once("flywheel")
        True
        """
        return any(stack.on[-1] == part and stack.spins == 1 for stack in self.stacks)
