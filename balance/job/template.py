"""A commented job file to begin with: every key there is, and what is needed marked by "?".

Lines with one ``#`` are keys to take into use, lines with ``##`` are for people.
"""

import re

from balance.errors import InputError, instance_of, whole
from balance.job._starter_texts import BY_HAND, CRANK, HEAD, MACHINE, PARTS, TAIL, WANTED

__all__ = ["starter"]

_OPTIONS = {
    "bank_angle": '"90 deg"       # left out: 90; 60 for V-6, V-12 and W; 72 for V-10; 40 for W-18',
    "narrow_angle": '"15 deg"       # between the banks',
    "bank_offset": '"0 mm"        # the second bank so much further towards the flywheel',
    "pin_splay": '"0 deg"         # of bank 2 behind 1; an even V-6: "30 deg" at 90, 60 at 60',
    "crank": '"{crank}"            # or "{other}"',
    "crank_angle": '"360 deg"     # from pin 1 to pin 2: 360, 180, 270 ...',
    "numbering": '"pairs"         # 1 and 2 share throw 1; or "banks": bank 1 first',
    "knuckle_radius": '"50 mm"    # articulated rods on the first; left out: all on the pin',
    "link_length": '"150 mm"      # of an articulated rod, knuckle pin to piston pin',
}
_FAMILIES = {
    "twin": ("crank_angle",),
    "v": ("bank_angle", "pin_splay", "bank_offset", "numbering"),
    "narrowv": ("narrow_angle",),
    "w": ("bank_angle", "bank_offset", "numbering"),
    "radial": ("knuckle_radius", "link_length"),
}
_PLANES = {"inline4": ("flat", "cross"), "v8": ("cross", "flat"), "w12": ("flat", "cross")}
_PER_THROW = {"inline": 1, "flat": 1, "v": 2, "w": 3}  # cylinders on a throw


def starter(layout: str, *, cylinders: int, name: str) -> str:
    """Return the text of a new job file for an engine layout.

    Parameters
    ----------
    layout : str
        Name of the layout, as `balance.engine.layouts.layout` knows it.
    cylinders : int
        How many sets of parts to make room for.
    name : str
        What the job is called.

    Raises
    ------
    InputError
        When the name has a quote, a backslash or a control character, or there is no cylinder.

    Examples
    --------
    >>> 'name = "My four"' in starter("inline-4", cylinders=4, name="My four").splitlines()
    True
    """
    whole("cylinders", cylinders, least=1)
    texts = instance_of("name", name, str) + instance_of("layout", layout, str)
    if any(letter in '"\\' or not letter.isprintable() for letter in texts):
        raise InputError(f"{name!r} must be plain text without quotes or backslashes")
    names = ", ".join(f'"{number}"' for number in range(1, cylinders + 1))
    options = "".join(f"{line}\n" for line in _options(layout, cylinders))
    head = HEAD.format(name=name, layout=layout, names=names, options=options)
    body = WANTED + PARTS + _parts(cylinders)
    return head + BY_HAND + body + CRANK + MACHINE + TAIL


def _options(layout: str, cylinders: int) -> list[str]:
    """Return the lines of the keys that this layout knows; capitals and hyphens do not matter."""
    plain = re.sub(r"[\s_-]+", "", layout).lower()
    family = "twin" if plain == "inline2" else plain.rstrip("0123456789")
    lines = []
    for option in _FAMILIES.get(family, ()):
        key = option.replace("narrow", "bank")
        lines.append(f"# {key} = {_OPTIONS[option]}")
    if plain in _PLANES:
        crank, other = _PLANES[plain]
        lines.append(f"# crank = {_OPTIONS['crank'].format(crank=crank, other=other)}")
    if family in _PER_THROW:
        throws = cylinders // _PER_THROW[family]
        angles = ", ".join(f'"{360 * k / throws:g} deg"' for k in range(throws))
        lines += [
            "## For any other crank, the angle of every throw:",
            f"## throw_angles = [{angles}]",
        ]
    return lines


def _parts(cylinders: int) -> str:
    lines: list[str] = []
    for kind, letter in (("pistons", "P"), ("pins", "N")):
        for number in range(1, cylinders + 1):
            lines += [f"[[parts.{kind}]]", f'mark = "{letter}{number}"', "weight = []"]
            if (kind, number) == ("pistons", 1):
                lines.append('# can_lose = "2 g"            # of this one alone')
            if number == 1:
                lines.append("# scrapped = false            # true: replaced by one of a new mark")
            lines.append("")
    for number in range(1, cylinders + 1):
        lines += ["[[parts.rods]]", f'mark = "R{number}"']
        lines += ["total = []", "big_end = []", "small_end = []"]
        if number == 1:
            lines.append('# big_end_can_lose = "5 g"    # of this one alone')
            lines.append('# small_end_can_lose = "2 g"')
            lines.append("# scrapped = false            # true: replaced by one of a new mark")
            lines.append("# small_end_heavier = false   # true: the two ends are not swapped")
        lines.append("")
    return "\n".join(lines)
