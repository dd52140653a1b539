"""Where a part may be cut, where never, and how deep its maker lets it go.

A calculation aid: cast, forged and coated parts differ, and the part's maker has the last word.

Sources of `PLACES` and `ORDER_OF_WORK`, read in excerpts: piston pads, a vehicle maker's workshop
manual, section 3.8.7, Checking the mass of the pistons (in a transcription; edition not checked);
skirt chamfer, pin taper and swapping first, the magazine NZ Performance Car, October 2019; rod
pads, an amateur builder's report on balancing rods (author and year not noted). The rest is marked
where it stands.
"""

from dataclasses import dataclass

from balance.errors import (
    InputError,
    MissingInputError,
    instance_of,
    one_not_negative,
    one_positive,
)
from balance.parts.trimming import CutShape, depth_of_cut, mass_of_cut

__all__ = ["ORDER_OF_WORK", "PLACES", "Cut", "CutPlace", "cut_place", "plan_cut"]

ALLOWED = "with the maker's limit"
NEVER = "never"
SAME_DEPTH_MM = 1e-6  # far below any mill; keeps a cut of exactly the limit inside it

ORDER_OF_WORK = (
    "Finish every other machining first (pin bushes, resizing, bolts), clean, and weigh all parts.",
    "Set aside the part that does not belong: one odd part costs metal on all the others.",
    "Swap before cutting: pair pins and pistons, and rods to both, so that the sums come together.",
    "Only then cut, the pads first, and never below the lightest sum.",
    "Stop short, weigh again, then finish: metal does not go back on.",
    "Round the edges, leave no cross scratches, wash, weigh, and mark.",
)


@dataclass(frozen=True)
class CutPlace:
    """A place on a part: whether it may be cut, and why."""

    part: str
    place: str
    rule: str
    why: str

    @property
    def allowed(self) -> bool:
        """Whether the place may be cut at all."""
        return self.rule == ALLOWED


@dataclass(frozen=True)
class Cut:
    """One cut to make: ``mass_g`` off at ``depth_mm``.

    ``limit_mm`` is what the maker's limit still leaves and ``available_g`` what may come off
    there; when ``within_limit`` is False the cut must not be made.
    """

    place: CutPlace
    depth_mm: float
    mass_g: float
    within_limit: bool
    limit_mm: float
    available_g: float
    caution: str


PLACES = (
    CutPlace(
        "piston",
        "pin boss pad",
        ALLOWED,
        "underside of the pin bosses, made to be cut; a vehicle maker's manual allows a few "
        "millimetres from the nominal height and only inside a given diameter",
    ),
    CutPlace(
        "piston",
        "skirt lower edge",
        ALLOWED,
        "a chamfer inside, small amounts, equally on both sides",
    ),
    CutPlace(
        "piston",
        "crown underside",
        NEVER,
        "it carries the gas load and the heat (common practice, no source)",
    ),
    CutPlace(
        "piston",
        "ring lands",
        NEVER,
        "thin walls that carry the rings; nor the back of the grooves (common practice, no source)",
    ),
    CutPlace(
        "piston",
        "pin bore walls",
        NEVER,
        "they carry the pin and the lock grooves; nor the struts (common practice, no source)",
    ),
    CutPlace(
        "pin",
        "bore",
        ALLOWED,
        "a taper inside from both ends alike, larger amounts; pin makers set limits",
    ),
    CutPlace(
        "pin", "outside", NEVER, "it is the bearing surface, hardened (common practice, no source)"
    ),
    CutPlace("pin", "ends", NEVER, "the locks bear on them (common practice, no source)"),
    CutPlace(
        "rod",
        "small-end pad",
        ALLOWED,
        "blend along the beam, round corners, no scratches across",
    ),
    CutPlace(
        "rod",
        "cap pad",
        ALLOWED,
        "when the pad runs out, stop: the cap would be weakened",
    ),
    CutPlace(
        "rod",
        "beam",
        NEVER,
        "a scratch across it starts the crack that breaks the rod (common practice, no source)",
    ),
    CutPlace(
        "rod",
        "bolts",
        NEVER,
        "they hold the cap; nor nuts and their seats (common practice, no source)",
    ),
    CutPlace("rod", "oil hole", NEVER, "stress gathers at its edge (common practice, no source)"),
)


def cut_place(part: str, place: str) -> CutPlace:
    """Return the rule for a place on a part.

    Parameters
    ----------
    part, place : str
        As in `PLACES`: "piston", "pin" or "rod", and the place's name.

    Raises
    ------
    InputError
        When the place is not in the list: what is not known is not cut.

    Examples
    --------
    >>> cut_place("rod", "beam").rule
    'never'

    Source: beside each entry of `PLACES`.
    """
    instance_of("part", part, str)
    instance_of("place", place, str)
    for entry in PLACES:
        if (entry.part, entry.place) == (part, place):
            return entry
    known = ", ".join(f"{entry.part} {entry.place}" for entry in PLACES)
    raise InputError(f"part and place must be one of {known}, got {part!r} and {place!r}")


def plan_cut(
    mass_g: float,
    *,
    part: str,
    place: str,
    shape: CutShape,
    density_g_cm3: float,
    maker_limit_mm: float | None = None,
    already_cut_mm: float = 0.0,
) -> Cut:
    """Turn grams into a depth at a place that may be cut, held against the maker's limit.

    Parameters
    ----------
    mass_g : float [g]
        To be removed.
    part, place : str
        As in `PLACES`.
    shape : CutShape
        Form of the cut, from `balance.parts.trimming`.
    density_g_cm3 : float [g/cm3]
        Of the part's material.
    maker_limit_mm : float [mm]
        Deepest cut that the maker allows there, from the part as new. Ask him: without it no
        depth is given.
    already_cut_mm : float [mm]
        What earlier work has taken of it.

    Raises
    ------
    InputError
        When the place must never be cut, is unknown, or a number is bad.
    MissingInputError
        When the maker's limit is not given.

    Examples
    --------
    >>> from balance.parts.trimming import RectangularPad
    >>> cut = plan_cut(
    ...     3.0, part="rod", place="cap pad", shape=RectangularPad(22.0, 15.0),
    ...     density_g_cm3=7.85, maker_limit_mm=2.0,
    ... )
    >>> round(cut.depth_mm, 2), cut.within_limit, round(cut.available_g, 2)
    (1.16, True, 5.18)

    Source: geometry; the rule beside each entry of `PLACES`.
    """
    entry = cut_place(part, place)
    if not entry.allowed:
        allowed = [p.place for p in PLACES if p.part == part and p.allowed]
        raise InputError(
            f"place must never be cut, got {part} {place!r}: {entry.why}. "
            f"Cut the {' or the '.join(allowed)} instead"
        )
    if maker_limit_mm is None:
        raise MissingInputError(
            "plan_cut", [f"maker_limit_mm: how deep the maker allows the {part} {place} to be cut"]
        )
    left = _left(maker_limit_mm, already_cut_mm)
    depth = depth_of_cut(shape, mass_g, density_g_cm3=density_g_cm3)
    usable = min(left, shape.deepest_mm)
    available = mass_of_cut(shape, usable, density_g_cm3=density_g_cm3)
    fits = depth <= left + SAME_DEPTH_MM
    return Cut(entry, depth, float(mass_g), fits, left, available, _caution(entry, fits, left))


def _left(maker_limit_mm: float, already_cut_mm: float) -> float:
    """Return how much of the maker's limit is left."""
    limit = one_positive("maker_limit_mm", maker_limit_mm)
    gone = one_not_negative("already_cut_mm", already_cut_mm)
    if gone > limit:
        raise InputError(
            f"already_cut_mm must be at most maker_limit_mm {limit!r}, got {gone!r}: "
            "this part is cut too deep already, do not use it without its maker's word"
        )
    return limit - gone


def _caution(entry: CutPlace, fits: bool, left: float) -> str:
    """Say what to mind."""
    if not fits:
        return (
            f"do not make this cut: only {left:.3g} mm are left on the {entry.part} {entry.place}; "
            "use another place or another part"
        )
    return f"{entry.part} {entry.place}: {entry.why}"
