"""What published practice allows, and what to say before metal is cut or put in.

A rule marked ``common practice, no source`` is a default to edit, never a hard limit.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from balance.errors import all_of, instance_of, one_not_negative, one_positive, one_real
from balance.metal.shapes import DrilledHole

__all__ = [
    "CUTTING_CAUTIONS",
    "PRACTICE",
    "RETENTION_CHECKLIST",
    "TUNGSTEN_CAUTIONS",
    "Practice",
    "crowding_warnings",
    "hole_warnings",
    "practice_warnings",
]

MANUAL = (
    "US Army TM 9-6115-604-34 / NAVFAC P-8-633-34, generator set with a V-12 diesel engine, "
    "crankshaft, paragraph h, Balance"
)
COMMON = "common practice, no source"


@dataclass(frozen=True)
class Practice:
    """Limits of published practice for one counterweight bay, with their source.

    A bay is the two counterweights of one throw, between two main bearings. The source speaks of
    one large diesel crank: for any other engine its maker's limits come first.
    """

    holes_per_bay: int = 6
    diameter_mm: float = 19.05
    depth_mm: float = 50.8
    wall_mm: float = 3.175
    ground_g: float = 56.7
    source: str = MANUAL


PRACTICE = Practice()

CUTTING_CAUTIONS = (
    "Nitrided, induction-hardened or case-hardened cranks, billet race cranks: ask the maker "
    f"before cutting. ({COMMON})",
    f"Never drill into a fillet, an oil way, a journal or the crank web beside a pin. ({COMMON})",
    f"Clamp the crank, pilot, peck; deburr and chamfer every mouth. ({COMMON})",
    f"Keep swarf out of the oil ways; wash and look again. ({COMMON})",
    "Certified aircraft engines, pendulum counterweights, cracked parts: do not cut; send the work "
    f"to those approved for it. ({COMMON})",
)

# Federal Carbide Company (publisher), Tungsten heavy alloy, material safety data sheet; year not
# noted
TUNGSTEN_CAUTIONS = (
    "Tungsten alloy holds nickel and sometimes cobalt: dust from drilling, turning or grinding it "
    "harms the lungs and can make the skin and lungs allergic. Cut wet, with extraction, and read "
    "the maker's safety data sheet. (a supplier's safety data sheet)",
    "Fine tungsten dust can catch fire: keep a class D extinguisher or dry sand at hand, never "
    "water. (a supplier's safety data sheet)",
)

RETENTION_CHECKLIST = (
    "Measure bore and slug, roundness and finish too: the press for a 25 mm slug is 0.05 to "
    "0.10 mm (0.002 to 0.004 in). (D. Boes, Installation procedures for placing heavy metal into "
    "crankshaft counterweights, Engine Builder, November 1998)",
    "Prefer a bore parallel to the crank: the rim then carries the slug's pull and the press only "
    f"stops it drifting endways. ({COMMON})",
    f"Stop both ends by stakes or a weld on the slug's outer edge, if the maker allows. ({COMMON})",
    "Radial slugs hang on their thread or press alone and can undo: lock them twice. "
    "(High Power Media, Methods of fitting heavy metal to counterweights, part 2)",
    "Bolted-on blocks give the most moment and are the riskiest. "
    "(High Power Media, Methods of fitting heavy metal to counterweights, part 3)",
    "Mark slug and counterweight across the joint; a slug has been found turned about 5 mm in its "
    "bore without sliding. (D. Boes, as above)",
    "Reckon the pull at the highest speed in service and have an engineer judge seat and rim for "
    f"racing: cracks and fatigue decide, not the mean stress. ({COMMON})",
    f"Write down press, depth, force and the date of the next look. ({COMMON})",
)


def practice_warnings(
    holes: Sequence[DrilledHole],
    *,
    thinnest_wall_mm: float | None = None,
    ground_g: float = 0.0,
    practice: Practice = PRACTICE,
) -> tuple[str, ...]:
    """Return a warning for each way the metal taken from one bay goes beyond published practice.

    Parameters
    ----------
    holes : sequence of DrilledHole
        All holes of the bay, old and new.
    thinnest_wall_mm : float [mm], optional
        Thinnest metal between any of them and a face.
    ground_g : float [g]
        Metal ground off the rim.
    practice : Practice
        The limits to hold against.

    Raises
    ------
    InputError
        When the mass ground off or the wall is negative, or a hole has no size.

    Examples
    --------
    >>> practice_warnings([DrilledHole(0.0, 12.7, 20.0)], thinnest_wall_mm=3.65)
    ()

    Source: US Army TM 9-6115-604-34, crankshaft, paragraph h, Balance.
    """
    all_of("holes", holes, DrilledHole)
    instance_of("practice", practice, Practice)
    said = (
        *crowding_warnings(len(holes), practice=practice),
        *hole_warnings(holes, thinnest_wall_mm=thinnest_wall_mm, practice=practice),
    )
    ground = one_not_negative("ground_g", ground_g)
    if ground <= practice.ground_g:
        return said
    text = f"{ground:.4g} g ground off, practice is {practice.ground_g:g} g at most"
    return (*said, f"{text} ({practice.source})")


def crowding_warnings(count: int, *, practice: Practice = PRACTICE) -> tuple[str, ...]:
    """Return the warning that one bay, its two counterweights together, has too many holes.

    Examples
    --------
    >>> crowding_warnings(6)
    ()

    Source: as for :func:`practice_warnings`.
    """
    if count <= practice.holes_per_bay:
        return ()
    said = f"{count} holes in one bay, practice is {practice.holes_per_bay} at most"
    return (f"{said} ({practice.source})",)


def hole_warnings(
    holes: Sequence[DrilledHole],
    *,
    thinnest_wall_mm: float | None = None,
    practice: Practice = PRACTICE,
) -> tuple[str, ...]:
    """Return a warning for each hole that is too large, and for a wall that is too thin.

    Parameters
    ----------
    holes, thinnest_wall_mm, practice
        As for :func:`practice_warnings`.

    Raises
    ------
    InputError
        When the wall is negative.

    Examples
    --------
    >>> hole_warnings([DrilledHole(0.0, 19.05, 50.8)], thinnest_wall_mm=3.175)
    ()

    Source: as for :func:`practice_warnings`.
    """
    said = []
    for k, hole in enumerate(holes):
        one_real(f"holes[{k}].degrees", hole.degrees)
        one_positive(f"holes[{k}].diameter_mm", hole.diameter_mm)
        one_positive(f"holes[{k}].depth_mm", hole.depth_mm)
        if hole.diameter_mm > practice.diameter_mm or hole.depth_mm > practice.depth_mm:
            said.append(
                f"the hole at {hole.degrees:g} degrees is {hole.diameter_mm:g} mm x "
                f"{hole.depth_mm:g} mm deep, practice is {practice.diameter_mm:g} mm x "
                f"{practice.depth_mm:g} mm at most"
            )
    if thinnest_wall_mm is not None:
        wall = one_not_negative("thinnest_wall_mm", thinnest_wall_mm)
        if wall < practice.wall_mm:
            said.append(f"a wall of {wall:.3g} mm, practice is {practice.wall_mm:g} mm at least")
    return tuple(f"{each} ({practice.source})" for each in said)
