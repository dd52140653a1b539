"""Densities, each with where it comes from.

The same hole in ductile iron takes 9 % less than in steel: ask what the part is made of. Weighing
a known solid of the same metal beats any table.
"""

from dataclasses import dataclass

from balance.errors import InputError
from balance.parts.trimming import DENSITIES_G_CM3

__all__ = ["MATERIALS", "Material", "material"]

IRON_TABLE = "Matmake, Density of iron alloys, after ASM Metals Handbook, Desk Edition"
STEEL_TABLE = "Machine MFG, Density table of metals"
ALLOYS = "ASTM B777-15, Standard specification for tungsten base high-density metal, Table 1"
MEMORY = "from memory"


@dataclass(frozen=True)
class Material:
    """A metal: density to reckon with, the range met [g/cm3] and the source."""

    name: str
    density_g_cm3: float
    low_g_cm3: float
    high_g_cm3: float
    source: str


def _from_memory(name: str) -> Material:
    density = DENSITIES_G_CM3[name]
    return Material(name, density, density, density, MEMORY)


_STEEL, _DUCTILE = DENSITIES_G_CM3["carbon or low-alloy steel"], DENSITIES_G_CM3["ductile iron"]
MATERIALS = (
    Material("steel", _STEEL, 7.84, 7.86, f"carbon and low-alloy steel: {IRON_TABLE}"),
    Material("cast steel", 7.80, 7.80, 7.80, STEEL_TABLE),
    Material("ductile iron", _DUCTILE, 7.10, 7.20, f"{IRON_TABLE}; upper end {MEMORY}"),
    Material("grey iron", 7.15, 6.95, 7.35, f"middle of the range in {IRON_TABLE}"),
    Material("malleable iron", 7.27, 7.20, 7.34, f"middle of the range in {IRON_TABLE}"),
    _from_memory("aluminium 2618"),
    _from_memory("aluminium 4032"),
    _from_memory("aluminium 332 cast"),
    Material("aluminium 6061", 2.70, 2.70, 2.70, MEMORY),
    Material("tungsten alloy class 1", 17.0, 16.85, 17.30, f"{ALLOYS}; nominal {MEMORY}"),
    Material("tungsten alloy class 2", 17.5, 17.15, 17.85, f"{ALLOYS}; nominal {MEMORY}"),
    Material("tungsten alloy class 3", 18.0, 17.75, 18.35, f"{ALLOYS}; nominal {MEMORY}"),
    Material("tungsten alloy class 4", 18.5, 18.25, 18.85, f"{ALLOYS}; nominal {MEMORY}"),
    Material("lead", 11.34, 11.34, 11.34, f"old fillings: {MEMORY}"),
)


def material(name: str) -> Material:
    """Return a material by its name; capitals and spare blanks do not matter.

    Parameters
    ----------
    name : str
        One of the names in ``MATERIALS``.

    Raises
    ------
    InputError
        When the name is not in the list.

    Examples
    --------
    >>> material("Ductile iron").density_g_cm3
    7.15

    Source: the table's own, line by line.
    """
    wanted = " ".join(str(name).split()).lower()
    for each in MATERIALS:
        if each.name == wanted:
            return each
    names = ", ".join(each.name for each in MATERIALS)
    raise InputError(f"name must be one of: {names}; got {name!r} (or give the density itself)")
