"""The engine as the balancer needs it: throws, cylinders and where they are.

Angles are in the one frame of the package: positive counter-clockwise seen from the flywheel,
throws counted from the centre line of crankpin 1, banks in the engine's fixed frame. Cylinders
are numbered as the user writes them: cylinder 1 is ``cylinders[0]``; throw indexes start at 0.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from balance.errors import InputError, instance_of, is_whole, items_of, one_positive, one_real

__all__ = ["Cylinder", "Engine", "Link", "Throw", "layout", "middle_mm", "radius_mm"]


@dataclass(frozen=True)
class Throw:
    """One crankpin: its angle in the crank's frame [degree] and its place along the crank [mm].

    Examples
    --------
    >>> Throw(degrees=90.0, z_mm=110.0)
    Throw(degrees=90.0, z_mm=110.0)
    """

    degrees: float
    z_mm: float

    def __post_init__(self) -> None:
        one_real("throw degrees", self.degrees)
        one_real("throw z_mm", self.z_mm)


@dataclass(frozen=True)
class Link:
    """How an articulated rod hangs on the master rod of its throw (radial engines).

    Parameters
    ----------
    master : int
        Index of the cylinder whose rod is the master.
    knuckle_radius_mm : float [mm]
        Distance from the centre of the crankpin to the knuckle pin.
    knuckle_degrees : float [degree]
        Direction of the knuckle pin seen from the crankpin, counted from the master rod's own
        centre line (crankpin to piston pin), same sense as every other angle.
    length_mm : float [mm]
        Length of the articulated rod, knuckle pin to piston pin.

    Examples
    --------
    >>> Link(master=0, knuckle_radius_mm=50.0, knuckle_degrees=72.0, length_mm=200.0).length_mm
    200.0
    """

    master: int
    knuckle_radius_mm: float
    knuckle_degrees: float
    length_mm: float

    def __post_init__(self) -> None:
        _index("link master", self.master)
        one_real("link knuckle_degrees", self.knuckle_degrees)
        one_positive("link knuckle_radius_mm", self.knuckle_radius_mm)
        one_positive("link length_mm", self.length_mm)


@dataclass(frozen=True)
class Cylinder:
    """One cylinder: index of its throw, direction of its axis [degree], place along the crank [mm].

    ``pin_offset_mm`` overrides the engine's for this cylinder; ``link`` makes its rod articulated.

    Examples
    --------
    >>> Cylinder(throw=0, bank_degrees=-45.0, z_mm=0.0).bank_degrees
    -45.0
    """

    throw: int
    bank_degrees: float
    z_mm: float
    pin_offset_mm: float | None = None
    link: Link | None = None

    def __post_init__(self) -> None:
        _index("cylinder throw", self.throw)
        one_real("cylinder bank_degrees", self.bank_degrees)
        one_real("cylinder z_mm", self.z_mm)
        if self.pin_offset_mm is not None:
            one_real("cylinder pin_offset_mm", self.pin_offset_mm)
        if self.link is not None:
            instance_of("cylinder link", self.link, Link)


@dataclass(frozen=True)
class Engine:
    """Crank and cylinders; lengths in mm.

    Parameters
    ----------
    stroke_mm, rod_length_mm, bore_spacing_mm : float [mm]
        Stroke as twice the crank radius (with an offset pin the piston travels a little more),
        rod length centre to centre, distance from one cylinder of a bank to the next.
    throws : sequence of Throw
        The crankpins, nose to flywheel. Splayed pins are two throws.
    cylinders : sequence of Cylinder
        Numbered as the user writes them.
    pin_offset_mm : float [mm]
        Distance from the crank's axis to the line on which the piston pin travels (offset pin,
        offset bore or both), positive towards the side where the crankpin stands 90 degrees
        after the bank direction. Kept the same in every cylinder that has none of its own.

    Raises
    ------
    InputError
        When a length is not positive, a throw or a master is not there, or the rod cannot pass
        the crank: it must be longer than crank radius + offset.

    Examples
    --------
    >>> engine = Engine(80.0, 130.0, 90.0, (Throw(0.0, 0.0),), (Cylinder(0, 0.0, 0.0),))
    >>> len(engine.throws), engine.pin_offset_mm
    (1, 0.0)
    """

    stroke_mm: float
    rod_length_mm: float
    bore_spacing_mm: float
    throws: tuple[Throw, ...]
    cylinders: tuple[Cylinder, ...]
    pin_offset_mm: float = 0.0

    def __post_init__(self) -> None:
        for name in ("stroke_mm", "rod_length_mm", "bore_spacing_mm"):
            one_positive(name, getattr(self, name))
        one_real("pin_offset_mm", self.pin_offset_mm)
        object.__setattr__(self, "throws", _all_of("throws", self.throws, Throw))
        object.__setattr__(self, "cylinders", _all_of("cylinders", self.cylinders, Cylinder))
        for number, cylinder in enumerate(self.cylinders, start=1):
            _check_throw(self, number, cylinder)
            _check_rod(self, number, cylinder)
            if cylinder.link is not None:
                _check_link(self, number, cylinder, cylinder.link)


def radius_mm(engine: Engine) -> float:
    """Return the crank radius [mm]: half the stroke.

    Examples
    --------
    >>> radius_mm(layout("single", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90))
    40.0
    """
    return instance_of("engine", engine, Engine).stroke_mm / 2.0


def middle_mm(engine: Engine) -> float:
    """Return the middle of the throws [mm]: half-way between the first and the last crankpin.

    Examples
    --------
    >>> middle_mm(layout("inline-4", stroke_mm=80, rod_length_mm=130, bore_spacing_mm=90))
    135.0
    """
    places = [throw.z_mm for throw in instance_of("engine", engine, Engine).throws]
    return (min(places) + max(places)) / 2.0


def layout(
    name: str,
    *,
    stroke_mm: float,
    rod_length_mm: float,
    bore_spacing_mm: float,
    pin_offset_mm: float = 0.0,
    **options: Any,
) -> Engine:
    """Return a usual engine by its name; throw 1 stands at 0 degrees, its place is z = 0.

    ============  =================================================================================
    name          options (all may be left out)
    ============  =================================================================================
    single
    twin          ``crank_degrees=360`` from pin 1 to pin 2; inline-2 is another name for it
    inline-n      n = 2 to 8; ``crank="flat"`` or ``"cross"`` for the four;
                  ``throw_degrees=(...)`` for any other crank
    flat-n        n = 2, 4, 6, boxer: opposed pistons on pins of their own, 180 degrees apart;
                  ``bore_spacing_mm`` is the distance from one throw to the next;
                  ``throw_degrees=(...)``, ``bank_degrees=180``
    V-n           n = 2, 4, 6, 8, 10, 12; ``bank_degrees`` between the banks (bisector at 0;
                  left out: 60 for 6 and 12, 72 for 10, else 90; the six then with 60 splay);
                  ``splay_degrees=0``: the second bank's pins stand this much behind the first's,
                  so that the pistons of a pair are bank + splay apart (0: one pin carries both);
                  ``bank_offset_mm=0``: the second bank this much further along the crank,
                  half each way from the throw's place (splayed pins go with it);
                  ``crank="cross"`` or ``"flat"`` for the eight; ``throw_degrees=(...)`` of bank 1;
                  ``numbering="pairs"`` (1 and 2 share throw 1) or ``"banks"``
    narrow-V-n    n = 2, 4, 5, 6, 8; a throw for every cylinder, banks alternate, fires evenly;
                  ``bank_degrees=15``; the bank axes meet below the crank where ``pin_offset_mm``
                  is positive (both banks lean outwards from it)
    W-n           n = 3, 12, 18; three banks (broad arrow) on one, four or six throws;
                  ``bank_degrees=60`` (40 for 18) from bank to bank; ``bank_offset_mm``, ``crank``,
                  ``numbering``, ``throw_degrees`` as in a V
    radial-n      n of 3 and more; ``knuckle_radius_mm`` for articulated rods on the first rod
                  (left out: all rods on the pin itself), ``link_length_mm``
    any family    ``cylinders=n`` in place of the number: ``layout("radial", cylinders=9)``
    ============  =================================================================================

    Parameters
    ----------
    name : str
        One of the table; capitals, blanks and the hyphen do not matter.
    stroke_mm, rod_length_mm, bore_spacing_mm, pin_offset_mm : float [mm]
        See `Engine`.
    options
        The options of that name in the table.

    Raises
    ------
    InputError
        When the name or an option is not in the table, or the lengths cannot be.

    Examples
    --------
    >>> v8 = layout("V-8", stroke_mm=88.9, rod_length_mm=145, bore_spacing_mm=111.8)
    >>> [throw.degrees for throw in v8.throws], v8.cylinders[1].bank_degrees
    ([0.0, 90.0, 270.0, 180.0], 45.0)

    Source: C. F. Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 2, ch. 8
    (crank arrangements, from memory); firing orders are common practice, no source.
    """
    from balance.engine.arrangements import arrange  # it builds what this module defines

    throws, cylinders = arrange(
        name,
        spacing_mm=one_positive("bore_spacing_mm", bore_spacing_mm),
        rod_length_mm=one_positive("rod_length_mm", rod_length_mm),
        pin_offset_mm=one_real("pin_offset_mm", pin_offset_mm),
        options=options,
    )
    return Engine(stroke_mm, rod_length_mm, bore_spacing_mm, throws, cylinders, pin_offset_mm)


def _index(name: str, value: Any) -> None:
    if not is_whole(value) or value < 0:
        raise InputError(f"{name} must be a whole number counted from 0, got {value!r}")


def _all_of(name: str, items: Iterable[Any], kind: type) -> tuple[Any, ...]:
    found = items_of(name, items)
    if not found:
        raise InputError(f"{name} must hold at least one {kind.__name__}, got none")
    for item in found:
        if not isinstance(item, kind):
            raise InputError(f"{name} must hold {kind.__name__} objects, got {item!r}")
    return found


def _check_throw(engine: Engine, number: int, cylinder: Cylinder) -> None:
    if cylinder.throw >= len(engine.throws):
        raise InputError(
            f"cylinder {number}: throw {cylinder.throw} is not there; the crank has "
            f"{len(engine.throws)} throws, counted from 0"
        )


def offset_of(engine: Engine, cylinder: Cylinder) -> float:
    """Return the pin offset that holds for this cylinder [mm]."""
    return engine.pin_offset_mm if cylinder.pin_offset_mm is None else cylinder.pin_offset_mm


def _check_rod(engine: Engine, number: int, cylinder: Cylinder) -> None:
    reach = radius_mm(engine) + abs(offset_of(engine, cylinder))
    if cylinder.link is None and engine.rod_length_mm <= reach:
        raise InputError(
            f"cylinder {number}: rod_length_mm must be greater than crank radius + pin offset "
            f"({reach:g} mm), got {engine.rod_length_mm!r}; is the stroke given as the radius?"
        )


def _check_link(engine: Engine, number: int, cylinder: Cylinder, link: Link) -> None:
    if link.master >= len(engine.cylinders):
        raise InputError(f"cylinder {number}: master {link.master} is not there")
    master = engine.cylinders[link.master]
    if master.link is not None or master.throw != cylinder.throw:
        raise InputError(
            f"cylinder {number}: master {link.master} must have a plain rod on the same throw"
        )
    reach = radius_mm(engine) + link.knuckle_radius_mm + abs(offset_of(engine, cylinder))
    if link.length_mm <= reach:
        raise InputError(
            f"cylinder {number}: link length_mm must be greater than crank radius + knuckle radius "
            f"+ pin offset ({reach:g} mm) to pass in every position, got {link.length_mm!r}"
        )
