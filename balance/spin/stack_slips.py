"""Slips in the spin of a stack that show in what its uppermost part seems to add.

A bolted part stands at one place along the crank. What it adds to the two bearing planes has the
shares of that place, but for a couple of its own: it is thin, and its face may wobble. A reading
that was mistyped seems to add something that no mass at that place can.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from balance.job.model import BoltedPage
from balance.spin.check_spin import REACH
from balance.spin.machine import Machine
from balance.spin.planes import transfer
from balance.spin.slips import MISREAD, Slip, as_meant
from balance.spin.spun import StackReading
from balance.units import show

__all__ = ["amount_asked", "stack_slip"]

Complex = NDArray[np.complex128]

# Own choices, of what a bolted part in order may add beside a force at its place: its heavy spot
# so far along the crank from the place that is written, and of every gram so much couple. A disc
# of 260 mm whose face wobbles by 0.1 mm makes (130 mm)^2 / 4 * 0.1 / 260 = 1.6 g mm2 of a gram.
_ALONG_MM, _WOBBLE_MM2 = 40.0, 3.0
_FAR_OFF_MM = 0.5  # own choice: a flywheel as it comes stands 0.02 to 0.15 mm off
_SEEN = 2.0  # own choice, in standard uncertainties: what adds less cannot be told from nothing


def stack_slip(
    upper: StackReading,
    lower: StackReading,
    part: BoltedPage,
    *,
    machine: Machine,
    bearings_mm: tuple[float, float],
) -> str:
    """Return what is wrong when no mass at a part's place adds what it seems to add; or nothing.

        d = upper - lower,   f = d1 + d2,   c = s2 d1 - s1 d2

    with the shares s of its place: f is the force, c the couple over the span that is left.

    Parameters
    ----------
    upper, lower : StackReading
        The stack with the part and without, in the same state.
    part : BoltedPage
        With its place and mass.
    machine : Machine
        That showed them.
    bearings_mm : (float, float) [mm]
        The bearing planes.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.spin.steps import spin_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> spun = spin_job(job)
    >>> two = {"machine": spun.machine, "bearings_mm": spun.bearings_mm}
    >>> stack_slip(spun.stacks[1], spun.stacks[0], job.bolted[0], **two)
    ''

    Source: statics; what a part in order may do: own choice.
    """
    pair = _Pair(upper, lower, part, machine, bearings_mm)
    added = upper.unbalance - lower.unbalance
    if pair.may_add(added):
        return ""
    amounts = " and ".join(show(float(abs(u)), "unbalance", "g mm") for u in added)
    return (
        f"{part.name} seems to add {amounts} in the bearing planes, which no mass at its place "
        f"(z {part.z:g} mm) does: {_likely(pair)}"
    )


def amount_asked(upper: StackReading, lower: StackReading, part: BoltedPage) -> str:
    """Return what is odd about how much a part adds: nothing at all, or what no part in order does.

    ``e = U / m``

    Parameters
    ----------
    upper, lower, part
        As for :func:`stack_slip`.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.spin.steps import spin_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> crank = spin_job(job).stacks[0]
    >>> print(amount_asked(crank, crank, job.bolted[0]))
    flywheel adds nothing that the machine can see (0 g mm): was it on in the spin of crank?

    Source: common practice, no source.
    """
    force = float(abs(np.sum(upper.unbalance - lower.unbalance)))
    u = np.linalg.norm([*upper.u_shown_gmm, *lower.u_shown_gmm])
    told, spin = show(force, "unbalance", "g mm"), " + ".join(upper.on)
    if force <= _SEEN * u:
        return (
            f"{part.name} adds nothing that the machine can see ({told}): was it on in the spin "
            f"of {spin}?"
        )
    if force > _FAR_OFF_MM * part.mass:
        return (
            f"{part.name} adds {told}, as if it stood {force / part.mass:.2f} mm off centre: is "
            f"the reading of {spin} right, and its unit (oz in for g mm, ten times too large)? Or "
            "does it carry part of the crank's balance?"
        )
    return ""


@dataclass(frozen=True)
class _Pair:
    """Two stacks that differ by one part, the place of the part, and the machine."""

    upper: StackReading
    lower: StackReading
    part: BoltedPage
    machine: Machine
    bearings_mm: tuple[float, float]

    def may_add(self, added: Complex) -> bool:
        """Whether a mass at the part's place may add this to the bearing planes, to its doubt."""
        one, two = np.real(transfer(1.0, self.part.z, self.bearings_mm))
        span = abs(self.bearings_mm[1] - self.bearings_mm[0])
        own = (abs(added.sum()) * _ALONG_MM + self.part.mass * _WOBBLE_MM2) / span
        u = np.hypot(self.upper.u_machine_gmm, self.lower.u_machine_gmm)
        reach = own + REACH * np.hypot(two * u[0], one * u[1])
        return bool(abs(two * added[0] - one * added[1]) <= reach)

    def without(self, slip: Slip, stack: StackReading) -> Complex:
        """Return a stack in the bearing planes as it reads once a slip is undone."""
        back = as_meant(stack.shown, slip, self.machine)
        onto = transfer(back, self.machine.planes_mm, self.bearings_mm)
        return np.asarray(onto + stack.bobweight_error)


def _likely(pair: _Pair) -> str:
    """Say which slips, in which of the two spins, leave what the part may add."""
    found = list(_fitting(pair))
    if found:
        return f"it would {'; or '.join(found[:3])}"
    upper, lower = (" + ".join(stack.on) for stack in (pair.upper, pair.lower))
    return (
        f"in the spin of {upper} or of {lower} a reading was mistyped, or something moved between "
        "the two"
    )


def _fitting(pair: _Pair) -> Iterator[str]:
    upper, lower = pair.upper, pair.lower
    for text, slip in MISREAD.items():
        fits = {
            upper.on: pair.may_add(pair.without(slip, upper) - lower.unbalance),
            lower.on: pair.may_add(upper.unbalance - pair.without(slip, lower)),
        }
        if spins := " or of ".join(" + ".join(on) for on, fit in fits.items() if fit):
            yield f"if in the spin of {spins} {text}"
