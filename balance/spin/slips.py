"""Slips of the pen at the machine that leave a trace in the numbers, named before metal is cut."""

from collections.abc import Callable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from balance.errors import JobFileError
from balance.job.appended import ReadingPage
from balance.job.model import Job, MachinePage
from balance.spin.machine import Machine, Reading, from_crank, to_crank
from balance.spin.machine_page import displayed
from balance.units import read, show
from balance.vectors import amount, degrees, vector

__all__ = [
    "EXCHANGED",
    "MISREAD",
    "SLIPS",
    "Slip",
    "amount_doubt",
    "as_meant",
    "bobweight_doubt_text",
    "bobweight_slip_doubt",
    "grade_doubt",
    "same_crank",
]

Complex = NDArray[np.complex128]

# Own choice: nearer than a tenth is the same reading, further than a quarter is another one. No
# machine in order repeats itself worse than that on an unbalance worth correcting.
_SAME, _OTHER = 0.1, 0.25
_OZ_IN = read("1 oz in", "unbalance")
Slip = Callable[[Complex], Complex]

EXCHANGED = "the two planes were exchanged"
SLIPS: Mapping[str, Slip] = {
    EXCHANGED: lambda u: u[::-1],
    "the angles were counted the other way": lambda u: u.conj(),
    "the angles are half a turn off (light side for heavy)": lambda u: -u,
}
"""What each slip makes of an unbalance in the machine's planes; done twice it is undone."""

_SLIPS: Mapping[str, Slip] = {
    **SLIPS,
    "oz in were entered as g mm": lambda u: u * _OZ_IN,
    "g mm were entered as oz in": lambda u: u / _OZ_IN,
}
MISREAD: Mapping[str, Slip] = {
    **SLIPS,
    "the amounts were entered ten times too large": lambda u: u / 10,
    "the amounts were entered ten times too small": lambda u: u * 10,
    "the amount of the first plane was entered ten times too large": lambda u: u * [0.1, 1],
    "the amount of the second plane was entered ten times too large": lambda u: u * [1, 0.1],
}
"""What undoes each slip that may happen in one spin alone."""

_USUAL_GRADES = (0.4, 40.0)  # ISO 21940-11, Table 1: crankshaft drives of road vehicles G 40
# Own choice: a raw crank stands 0.02 to 0.2 mm off; G 0.4 at 6000 rpm, the finest grade, is 0.6 um.
_FAR_OFF_MM, _TOO_FINE_MM = 0.5, 0.5e-3
_ODD_BOBWEIGHT = 0.01  # own choice: of the wanted mass; bobweights are made up to a gram or better
# Own choices: one wrong bobweight is asked about where it leaves a quarter of what is shown, where
# that is well over the limit, and where it would be wrong by what is forgotten or taken twice: from
# a bolt to a rod end. Cranks in order then raise it in under one of fifty (measured).
_LEFT_OF_SHOWN, _OVER_LIMIT, _SLIP_OF_BOBWEIGHT = 0.25, 3.0, (0.02, 0.3)


def as_meant(shown: Complex, slip: Slip, machine: Machine) -> Complex:
    """Return a reading once a slip at the machine is undone, in the crank's frame [g mm].

    Parameters
    ----------
    shown : array (planes,), complex [g mm]
        As it was read, in the crank's frame, nose to flywheel.
    slip : callable
        One of ``MISREAD``: it works on what the machine shows, in its own numbers.
    machine : Machine
        That showed it.

    Examples
    --------
    >>> machine = Machine(planes_mm=[0, 100], first_plane="nose", unit="g mm", counts="with",
    ...                   turns="with engine", zero_degrees=0, points_to="heavy")
    >>> as_meant(np.array([1.0, 2.0]), MISREAD[EXCHANGED], machine).real.round(9).tolist()
    [2.0, 1.0]
    """
    meant = slip(np.array([vector(one.amount, one.degrees) for one in from_crank(shown, machine)]))
    return to_crank([Reading(float(amount(u)), float(degrees(u))) for u in meant], machine)


def same_crank(job: Job, meant: Complex | None = None) -> str:
    """Return what contradicts when the first spin differs from the proof with nothing stuck on.

    Both show the same crank before anything was drilled. Where one slip in either explains the
    difference nothing can be made of the readings; else nothing is to be cut by them.

    Parameters
    ----------
    job : Job
        With its machine; without proofs or spins nothing is odd.
    meant : array (planes,), complex [machine's unit], optional
        What the first spin would have shown with the wanted bobweights, where others are written:
        the proof may have been made with those.

    Raises
    ------
    JobFileError
        When the two differ and one slip explains it; the message names it.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> same_crank(read_job(files("cli.examples") / "v-twin.toml"))
    ''

    Source: common practice, no source.
    """
    page = job.machine
    bare = [proof.readings for proof in job.proofs if not proof.stuck]
    alone = [spin for spin in job.standing_spins if spin.on == ("crank",)]
    first = [spin.readings for spin in alone if not job.standing_holes(last=spin.drilled)]
    if page is None or not bare or not first:
        return ""
    proof, spin = _mean(page, bare), _mean(page, first)
    if _apart(spin, proof) <= _OTHER or (meant is not None and _apart(meant, proof) <= _OTHER):
        return ""
    said = (
        "the first spin of the crank differs from the proof with nothing stuck on, though both "
        "show the same crank with nothing drilled"
    )
    fitting = [slip for slip, undone in _SLIPS.items() if _apart(undone(spin), proof) <= _SAME]
    if fitting:
        message = (
            f"{said}: in one of the two {fitting[0]}; nothing is judged until it is mended "
            "(heavyspot spin --undo). Was the crank changed in between? Then prove the machine anew"
        )
        raise JobFileError(message, path=job.source, key="spins")
    return (
        f"{said}: a bobweight was changed or moved in between, or a reading mistyped. Weigh every "
        "bobweight as it hung and put it down (bobweights of the spin); if that was not it, spin "
        "the bare crank again and take back what was wrong: the spin (heavyspot spin --undo) or "
        "the proof (under [[proofs]]). If the machine was proven with another crank or other "
        "bobweights, --sure goes on"
    )


def _mean(page: MachinePage, spins: Sequence[Sequence[ReadingPage]]) -> Complex:
    shown = [[vector(*pair) for pair in displayed(page, readings)] for readings in spins]
    return np.asarray(np.mean(shown, axis=0))


def _apart(one: Complex, other: Complex) -> float:
    """Return how far two readings are apart, as a share of the larger."""
    size = max(np.linalg.norm(one), np.linalg.norm(other))
    return float(np.linalg.norm(one - other) / size) if size else 0.0


def bobweight_doubt_text(
    name: str, made_g: Sequence[float], wanted_g: Sequence[float], moved_gmm: Complex
) -> str:
    """Return what is odd about the bobweights of a spin; nothing when they are nearly as wanted.

    Parameters
    ----------
    name : str
        The spin.
    made_g, wanted_g : sequence of float [g]
        What hung and what the card says, pin by pin.
    moved_gmm : array (2,), complex [g mm]
        What the difference is reckoned to do in the bearing planes.

    Examples
    --------
    >>> bobweight_doubt_text("first", [1825.2], [1825.0], [0j, 0j])
    ''
    >>> print(bobweight_doubt_text("first", [1875.0], [1825.0], [1770, 1770]))
    bobweights of the spin 'first': 1875 g hung where the card says 1825 g; is that what hung? It
    is reckoned as 1770 and 1770 g mm in the bearing planes

    Source: common practice, no source.
    """
    made, wanted = np.asarray(made_g, float), np.asarray(wanted_g, float)
    off = np.abs(made - wanted)
    if not (off > _ODD_BOBWEIGHT * wanted).any():
        return ""
    worst = int(off.argmax())
    moved = " and ".join(f"{abs(u):.0f}" for u in moved_gmm)
    return (
        f"bobweights of the spin {name!r}: {made[worst]:g} g hung where the card says "
        f"{wanted[worst]:g} g; is that what hung? It is reckoned as {moved} g mm in the bearing "
        "planes"
    )


def bobweight_slip_doubt(
    unbalance_gmm: Complex,
    one_gram_gmm: Complex,
    hung_g: Sequence[float],
    *,
    limits_gmm: NDArray[np.float64],
) -> str:
    """Return which one bobweight, hung too light or too heavy, would show nearly all of a crank.

    ``d = -Re(<b, U>) / <b, b>``, ``left = U + d b`` for each pin; ``b`` is one gram on it

    All pins wrong by the same mass are not asked about: parts heavier or lighter than those that
    a crank was made for show just that, and are the usual reason to balance it.

    Parameters
    ----------
    unbalance_gmm : array (2,), complex [g mm]
        Of the crank alone with nothing drilled, in the bearing planes.
    one_gram_gmm : array (pins, 2), complex [g mm]
        What one gram on each pin does there.
    hung_g : sequence of float [g]
        The bobweights as written, pin by pin.
    limits_gmm : array (2,) [g mm]
        The limits in the bearing planes.

    Examples
    --------
    >>> grams = [[34.4, 6.6], [-10 + 18j, -10 + 18j], [-3 - 5j, -17 - 30j]]
    >>> print(bobweight_slip_doubt([-3700, -300 + 150j], grams, [1631] * 3, limits_gmm=[79, 79]))
    nearly all that the crank shows, 3700 and 335 g mm at the bearings, is what a bobweight about
    105 g too light on crankpin 1 would show; without that 76 and 423 g mm would be left. Weigh
    what hung, bobweight by bobweight, before anything is cut
    >>> bobweight_slip_doubt([300, 500j], grams, [1631] * 3, limits_gmm=[79, 79])
    ''

    Source: statics; the limits are own choices. One spin alone cannot tell the two apart.
    """
    shown, grams = np.asarray(unbalance_gmm, complex), np.asarray(one_gram_gmm, complex)
    if len(grams) < 2 or np.all(np.abs(shown) <= _OVER_LIMIT * np.asarray(limits_gmm)):
        return ""  # of one pin alone the same holds as of all pins
    light = -np.real(grams.conj() @ shown) / np.sum(np.abs(grams) ** 2, axis=1)
    left = shown + light[:, None] * grams
    pin = int(np.linalg.norm(left, axis=1).argmin())
    least, most = (share * hung_g[pin] for share in _SLIP_OF_BOBWEIGHT)
    nearly_all = np.linalg.norm(left[pin]) <= _LEFT_OF_SHOWN * np.linalg.norm(shown)
    if not (nearly_all and least <= abs(light[pin]) <= most):
        return ""
    way = "light" if light[pin] > 0 else "heavy"
    return (
        f"nearly all that the crank shows, {_both_gmm(shown)} at the bearings, is what a bobweight "
        f"about {abs(light[pin]):.0f} g too {way} on crankpin {pin + 1} would show; without that "
        f"{_both_gmm(left[pin])} would be left. Weigh what hung, bobweight by bobweight, before "
        "anything is cut"
    )


def _both_gmm(unbalance: Complex) -> str:
    return " and ".join(f"{abs(u):.0f}" for u in unbalance) + " g mm"


def amount_doubt(unbalance_gmm: Complex, *, rotor_mass_kg: float, drilled: bool) -> str:
    """Return what is odd about the amounts of a crank, as far as its centre of mass goes.

    ``e = U / (m / 2)`` in each bearing plane

    Parameters
    ----------
    unbalance_gmm : array (2,), complex [g mm]
        Of the crank alone, in the bearing planes.
    rotor_mass_kg : float [kg]
        Its mass.
    drilled : bool
        Whether anything was drilled: before that no crank runs as true as the finest grade.

    Examples
    --------
    >>> amount_doubt([410, 290], rotor_mass_kg=12.4, drilled=False)
    ''
    >>> print(amount_doubt([4100, 290], rotor_mass_kg=12.4, drilled=False))
    the crank shows 4100 g mm at one bearing, as if the half of it there stood 0.66 mm off centre:
    is the reading right, and its unit (oz in for g mm, ten times too large)? Or is part of its
    balance in the damper or flywheel?

    Source: common practice, no source.
    """
    worst = float(np.abs(unbalance_gmm).max())
    off_mm = worst / (rotor_mass_kg * 500)
    told = show(worst, "unbalance", "g mm")
    if off_mm > _FAR_OFF_MM:
        return (
            f"the crank shows {told} at one bearing, as if the half of it there stood "
            f"{off_mm:.2f} mm off centre: is the reading right, and its unit (oz in for g mm, ten "
            "times too large)? Or is part of its balance in the damper or flywheel?"
        )
    if off_mm < _TOO_FINE_MM and not drilled:
        return (
            f"the crank shows no more than {told} before anything was drilled, finer than the "
            "finest grade asks: is the reading right, and its unit (g mm for oz in)?"
        )
    return ""


def grade_doubt(limits_gmm: Sequence[float], *, rotor_mass_kg: float, speed_rpm: float) -> str:
    """Return what is odd about a limit whose balance quality grade no engine's crank has.

    ``G = sum U_per n / (9549.3 m)``

    Parameters
    ----------
    limits_gmm : sequence of float [g mm]
        The limits in the bearing planes.
    rotor_mass_kg : float [kg]
        What turns.
    speed_rpm : float [rpm]
        Service speed.

    Examples
    --------
    >>> grade_doubt([114, 116], rotor_mass_kg=26, speed_rpm=6800)
    ''
    >>> print(grade_doubt([82809, 82809], rotor_mass_kg=26, speed_rpm=6800))
    the limit comes to G 4536: usual are G 0.4 to G 40; are its unit, the mass and the speed right?

    Source: ISO 21940-11:2016, Table 1; from memory.
    """
    grade = float(np.sum(limits_gmm)) * speed_rpm / (9549.3 * rotor_mass_kg)
    low, high = _USUAL_GRADES
    if low <= grade * 1.001 and grade <= high * 1.001:
        return ""
    digits = 0 if grade > high else 4
    return (
        f"the limit comes to G {grade:.{digits}f}: usual are G {low:g} to G {high:g}; are "
        "its unit, the mass and the speed right?"
    )
