"""A machine as declared, held against what spins with known masses say of it.

Before metal is drilled on the word of a machine, its declared convention is compared with the one
that was found; or the one that was found is used as it is.
"""

from collections.abc import Sequence

import numpy as np

from balance.errors import InputError, instance_of, one_not_negative
from balance.spin.conventions import Identified
from balance.spin.machine import Machine
from balance.vectors import fold, turn

__all__ = ["differences", "identified_machine"]


def identified_machine(
    identified: Identified, *, planes_mm: Sequence[float], name: str = ""
) -> Machine:
    """Return the machine that was found, ready for :func:`balance.spin.machine.to_crank`.

    Its unit is grams at a radius that gives the scale found in each plane.

    Parameters
    ----------
    identified : Identified
        A certain result.
    planes_mm : sequence of float [mm]
        Positions of the planes from nose to flywheel.
    name : str
        What the shop calls the machine.

    Raises
    ------
    InputError
        When the result is not certain or a plane's scale was not found.

    Examples
    --------
    >>> from balance.spin.conventions import identify
    >>> spins = [([(100, 0)], [0]), ([(600, 0)], [500]), ([(510, 281.3)], [500j])]
    >>> identified_machine(identify(spins), planes_mm=[0]).counts
    'clockwise'

    Source: none needed, a rewording of the result.
    """
    best = instance_of("identified", identified, Identified).best
    instance_of("name", name, str)
    if not identified.certain:
        raise InputError(
            f"identified must be certain, got a probability of {best.probability:.2f} and a "
            f"misfit of {best.misfit:.2f}: make the further spin it names"
        )
    if np.any(best.gmm_per_unit <= 0):
        raise InputError("identified must hold the scale of each plane: move a mass in each plane")
    light = identified.points_to == "light"
    return Machine(
        planes_mm=planes_mm,
        first_plane="nose" if best.nose_first else "flywheel",
        unit="g",
        radii_mm=tuple(best.gmm_per_unit.tolist()),
        counts="counter-clockwise" if best.sense > 0 else "clockwise",
        seen_from="flywheel",
        zero_degrees=float(fold(best.direction_degrees + (180.0 if light else 0.0))),
        points_to="light" if light else "heavy",
        name=name,
    )


def differences(
    machine: Machine, identified: Identified, *, degrees: float = 5.0, part: float = 0.1
) -> tuple[str, ...]:
    """Return in words where a machine as declared differs from what the spins say; none is good.

    Parameters
    ----------
    machine : Machine
        As declared.
    identified : Identified
        From spins on it.
    degrees : float [degree]
        Difference of the zero that is let pass.
    part : float [1]
        Difference of the scale that is let pass, as a part.

    Raises
    ------
    InputError
        When the number of planes differs.

    Examples
    --------
    >>> from balance.spin.conventions import identify
    >>> declared = Machine(planes_mm=[0], first_plane="nose", unit="g mm", zero_degrees=0,
    ...                    counts="clockwise", seen_from="flywheel", points_to="light")
    >>> spins = [([(100, 0)], [0]), ([(600, 0)], [500]), ([(510, 281.3)], [500j])]
    >>> print(*differences(declared, identify(spins)))
    points_to or zero_degrees: the machine points the other way, 180 degrees round

    Source: none needed, a comparison; what is let pass is our own choice: an angle and a scale that
    leave about a tenth of the unbalance, which one more spin takes out.
    """
    best = instance_of("identified", identified, Identified).best
    sizes = instance_of("machine", machine, Machine).gmm_per_unit
    one_not_negative("degrees", degrees)
    one_not_negative("part", part)
    if len(sizes) != len(best.gmm_per_unit):
        raise InputError(
            f"machine must have the {len(best.gmm_per_unit)} plane(s) of the spins, "
            f"got {len(sizes)}"
        )
    found = [] if identified.certain else ["the spins do not prove the convention"]
    if machine.sense != best.sense:
        found.append("counts: the numbers run the other way round the crank")
    if machine.nose_first != best.nose_first:
        found.append("first_plane: the planes are shown the other way about")
    declared = np.degrees(np.angle(machine.direction))
    away = float(turn(best.direction_degrees - declared))
    if abs(away) > degrees and abs(abs(away) - 180) <= degrees:
        found.append(
            "points_to or zero_degrees: the machine points the other way, 180 degrees round"
        )
    elif abs(away) > degrees:
        found.append(f"zero_degrees: the zero is {away:+.1f} degrees from where it was declared")
    known = best.gmm_per_unit > 0
    ratio = best.gmm_per_unit[known] / sizes[known]
    if np.any(np.abs(ratio - 1) > part):
        shown = ", ".join(f"{r:.3f}" for r in ratio)
        found.append(f"unit or radii_mm: the true unbalance is {shown} times what is declared")
    return tuple(found)
