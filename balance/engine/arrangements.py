"""The usual engines: firing orders, crank angles and banks behind `layouts.layout`."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from balance.engine.layouts import Cylinder, Link, Throw
from balance.errors import InputError, one_positive, one_real, real

__all__ = ["FIRING", "arrange", "family_of", "usual_name"]

# Common practice, no source (from memory): one usual firing order of a four-stroke in-line engine.
FIRING: Mapping[int, tuple[int, ...]] = {
    2: (1, 2),
    3: (1, 3, 2),
    4: (1, 3, 4, 2),
    5: (1, 2, 4, 5, 3),
    6: (1, 5, 3, 6, 2, 4),
    7: (1, 2, 4, 6, 7, 5, 3),
    8: (1, 6, 2, 5, 8, 3, 7, 4),
}
ALSO_CALLED = {"straight": "inline", "boxer": "flat", "opposed": "flat"}
CROSS_PLANE = (0.0, 90.0, 270.0, 180.0)
FLAT_PLANE = (0.0, 180.0, 180.0, 0.0)
# Usual bank angles [degree] by cylinders or banks: common practice, no source.
V_BANK = {2: 90.0, 4: 90.0, 6: 60.0, 8: 90.0, 10: 72.0, 12: 60.0}
W_BANK = {3: 60.0, 12: 60.0, 18: 40.0}
W_THROWS = {3: 1, 12: 4, 18: 6}


@dataclass(frozen=True)
class Request:
    """What `arrange` was asked for; ``take`` hands out the options and keeps count of them."""

    name: str
    size: int
    spacing_mm: float
    rod_length_mm: float
    pin_offset_mm: float
    options: dict[str, Any]

    def take(self, option: str, usual: Any) -> Any:
        value = self.options.pop(option, None)
        return usual if value is None else value

    def number(self, option: str, usual: float) -> float:
        return one_real(option, self.take(option, usual))

    def choice(self, option: str, *allowed: str) -> str:
        value = self.take(option, allowed[0])
        if not isinstance(value, str) or value not in allowed:
            raise InputError(f"{option} must be one of {', '.join(allowed)}, got {value!r}")
        return str(value)


Arrangement = tuple[tuple[Throw, ...], tuple[Cylinder, ...]]


def arrange(
    name: str,
    *,
    spacing_mm: float,
    rod_length_mm: float,
    pin_offset_mm: float,
    options: Mapping[str, Any],
) -> Arrangement:
    """Return the throws and cylinders of a named layout; see `balance.engine.layouts.layout`.

    Parameters
    ----------
    name : str
        Name and number of cylinders, such as ``"V-8"``.
    spacing_mm, rod_length_mm, pin_offset_mm : float [mm]
        Distance from cylinder to cylinder, rod, pin offset.
    options : mapping
        The options of that name; every one must be used.

    Raises
    ------
    InputError
        When the name or an option is unknown.

    Examples
    --------
    >>> throws, cylinders = arrange("V-2", spacing_mm=100, rod_length_mm=150, pin_offset_mm=0,
    ...                             options={"bank_degrees": 45})
    >>> [cylinder.bank_degrees for cylinder in cylinders]
    [-22.5, 22.5]
    """
    options = dict(options)
    if "cylinders" in options:  # "radial" with cylinders=9 is radial-9
        name = f"{name}-{options.pop('cylinders')}"
    family, size = _parse(name)
    build, sizes = FAMILIES[family]
    if size not in sizes:
        raise InputError(f"layout {name!r}: {family} exists with {_span(sizes)} cylinders here")
    request = Request(name, size, spacing_mm, rod_length_mm, pin_offset_mm, options)
    arrangement = build(request)
    if request.options:
        raise InputError(
            f"layout {name!r} has no option {sorted(request.options)[0]!r} "
            "(or not together with the others)"
        )
    return arrangement


def _parse(name: str) -> tuple[str, int]:
    plain = re.sub(r"[\s_-]+", "", str(name)).lower()
    match = re.fullmatch(r"([a-z]+?)(\d*)", plain)
    family, digits = (match.group(1), match.group(2)) if match else ("", "")
    family = ALSO_CALLED.get(family, family)
    if family in ("single", "twin") and not digits:
        return family, 1 if family == "single" else 2
    if family not in FAMILIES or family in ("single", "twin") or not digits:
        raise InputError(
            f"layout {name!r} is not known: write single, twin, inline-4, flat-6, V-8, "
            "narrow-V-6, W-12 or radial-9, or give every throw and cylinder"
        )
    return family, int(digits)


def family_of(name: str) -> tuple[str, int]:
    """Return the family of a layout and its number of cylinders.

    Examples
    --------
    >>> family_of("V-8"), family_of("boxer 4"), family_of("Single")
    (('v', 8), ('flat', 4), ('single', 1))
    """
    return _parse(name)


def usual_name(name: str) -> str:
    """Return the name of a layout as this house writes it.

    Examples
    --------
    >>> usual_name("straight 4"), usual_name("boxer6"), usual_name("v 8"), usual_name("Single")
    ('inline-4', 'flat-6', 'V-8', 'single')
    """
    family, size = _parse(name)
    written = {"v": "V", "w": "W", "narrowv": "narrow-V"}.get(family, family)
    return family if family in ("single", "twin") else f"{written}-{size}"


def _span(sizes: Sequence[int]) -> str:
    if isinstance(sizes, range):
        return f"{sizes[0]} to {sizes[-1]}"
    return ", ".join(str(size) for size in sizes)


def _single(_: Request) -> Arrangement:
    return (Throw(0.0, 0.0),), (Cylinder(0, 0.0, 0.0),)


def _twin(request: Request) -> Arrangement:
    return _row(request, (0.0, request.number("crank_degrees", 360.0) % 360.0))


def _inline(request: Request) -> Arrangement:
    if request.size == 2 and request.options.get("throw_degrees") is None:
        return _twin(request)
    return _row(request, _crank(request, request.size, {4: ("flat", "cross")}))


def _row(request: Request, angles: Sequence[float]) -> Arrangement:
    throws = tuple(Throw(angle, k * request.spacing_mm) for k, angle in enumerate(angles))
    return throws, tuple(Cylinder(k, 0.0, throw.z_mm) for k, throw in enumerate(throws))


def _flat(request: Request) -> Arrangement:
    """Boxer: pin of the opposed piston 180 degrees on; pair k fires 720/n after the one before."""
    half = request.number("bank_degrees", 180.0) / 2.0
    pairs = {2: (0.0,), 4: (0.0, 180.0), 6: (0.0, 120.0, 240.0)}[request.size]
    usual = tuple(angle + turn for angle in pairs for turn in (0.0, 180.0))
    angles = _angles(request, usual)
    throws = tuple(Throw(angle % 360.0, k * request.spacing_mm) for k, angle in enumerate(angles))
    sides = (-half, half)
    return throws, tuple(Cylinder(k, sides[k % 2], throw.z_mm) for k, throw in enumerate(throws))


def _vee(request: Request) -> Arrangement:
    even_fire_six = request.size == 6 and request.options.get("bank_degrees") is None
    bank = request.number("bank_degrees", V_BANK[request.size])
    splay = request.number("splay_degrees", 60.0 if even_fire_six else 0.0)
    angles = _crank(request, request.size // 2, {4: ("cross", "flat")})
    return _banked(request, angles, banks=(-bank / 2.0, bank / 2.0), splay=splay)


def _double_vee(request: Request) -> Arrangement:
    bank = request.number("bank_degrees", W_BANK[request.size])
    angles = _crank(request, W_THROWS[request.size], {4: ("flat", "cross")})
    return _banked(request, angles, banks=(-bank, 0.0, bank), splay=0.0)


def _banked(
    request: Request, angles: Sequence[float], *, banks: Sequence[float], splay: float
) -> Arrangement:
    """Return every throw with one cylinder of each bank, or with a splayed pin for each bank."""
    shift = request.number("bank_offset_mm", 0.0)
    middle = (len(banks) - 1) / 2.0
    throws, cylinders = [], []
    for k, angle in enumerate(angles):
        for b, bank in enumerate(banks):
            z = k * request.spacing_mm + (b - middle) * shift
            if splay:
                throws.append(Throw((angle - b * splay) % 360.0, z))
            elif b == 0:
                throws.append(Throw(angle, k * request.spacing_mm))
            cylinders.append(Cylinder(len(throws) - 1, bank, z))
    if request.choice("numbering", "pairs", "banks") == "banks":
        cylinders = [c for b in range(len(banks)) for c in cylinders[b :: len(banks)]]
    return tuple(throws), tuple(cylinders)


def _narrow(request: Request) -> Arrangement:
    """One throw a cylinder; pin angle = bank direction - firing angle, turned to pin 1 at 0."""
    half = request.number("bank_degrees", 15.0) / 2.0
    sides = [(-half, half)[k % 2] for k in range(request.size)]
    fired = _fired(request.size)
    angles = [(side - sides[0] - turn) % 360.0 for side, turn in zip(sides, fired, strict=True)]
    throws, _ = _row(request, angles)
    return throws, tuple(
        Cylinder(k, side, throws[k].z_mm, pin_offset_mm=_outwards(request.pin_offset_mm, side))
        for k, side in enumerate(sides)
    )


def _outwards(offset_mm: float, side: float) -> float:
    return offset_mm if side > 0 else -offset_mm


def _radial(request: Request) -> Arrangement:
    knuckle = request.take("knuckle_radius_mm", None)
    banks = [360.0 * k / request.size for k in range(request.size)]
    if knuckle is None:
        return (Throw(0.0, 0.0),), tuple(Cylinder(0, bank, 0.0) for bank in banks)
    radius = one_positive("knuckle_radius_mm", knuckle)
    length = request.number("link_length_mm", request.rod_length_mm - radius)
    links = [None, *(Link(0, radius, bank, length) for bank in banks[1:])]
    cylinders = (Cylinder(0, bank, 0.0, link=k) for bank, k in zip(banks, links, strict=True))
    return (Throw(0.0, 0.0),), tuple(cylinders)


def _crank(
    request: Request, count: int, planes: Mapping[int, tuple[str, str]]
) -> tuple[float, ...]:
    """Return the angles of a row of throws, as asked for or as usual for that many."""
    if count in planes and request.options.get("throw_degrees") is None:
        plane = request.choice("crank", *planes[count])
        return CROSS_PLANE if plane == "cross" else FLAT_PLANE
    if count == 1:
        return _angles(request, (0.0,))
    if count == 2 and request.size == 4:
        return _angles(request, (0.0, 180.0))  # a V four carries two pistons on each pin
    return _angles(request, tuple(-turn % 360.0 for turn in _fired(count)))


def _angles(request: Request, usual: tuple[float, ...]) -> tuple[float, ...]:
    given = request.take("throw_degrees", usual)
    angles = real("throw_degrees", given)
    if angles.shape != (len(usual),):
        raise InputError(
            f"throw_degrees must hold {len(usual)} angles for {request.name!r}, got {given!r}"
        )
    return tuple(float(angle) for angle in angles)


def _fired(count: int) -> list[float]:
    """Return the crank angle at which each cylinder of a row fires, in cylinder order."""
    order = FIRING[count]
    return [720.0 / count * order.index(number) for number in range(1, count + 1)]


FAMILIES: dict[str, tuple[Callable[[Request], Arrangement], Sequence[int]]] = {
    "single": (_single, (1,)),
    "twin": (_twin, (2,)),
    "inline": (_inline, range(2, 9)),
    "flat": (_flat, (2, 4, 6)),
    "v": (_vee, tuple(V_BANK)),
    "narrowv": (_narrow, (2, 4, 5, 6, 8)),
    "w": (_double_vee, tuple(W_THROWS)),
    "radial": (_radial, range(3, 29)),
}
