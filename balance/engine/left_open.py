"""What a layout's name leaves open and this house then takes as usual: said, not kept silent."""

from collections.abc import Callable, Collection, Iterator, Mapping

from balance.engine.arrangements import V_BANK, W_BANK, W_THROWS, family_of, usual_name

__all__ = ["assumed", "assumed_text"]

Written = Collection[str]


def assumed(name: str, written: Written) -> tuple[str, ...]:
    """Return what is taken as usual for a layout where engines of that name differ.

    Parameters
    ----------
    name : str
        Name of the layout, as `balance.engine.layouts.layout` knows it.
    written : collection of str
        The keys under [engine] that are written.

    Raises
    ------
    InputError
        When the layout is not known.

    Examples
    --------
    >>> for taken in assumed("V-6", ["numbering"]):
    ...     print(taken)
    60 deg between the banks (bank_angle)
    the two pins of a pair 60 deg apart, six pins in all (pin_splay)
    >>> assumed("V-6", ["numbering", "bank_angle"])
    ('both rods of a pair on one pin, three pins in all (pin_splay)',)
    >>> assumed("inline-4", [])
    ()

    Source: which kinds there are, common practice, no source.
    """
    family, size = family_of(name)
    left_open = _LEFT_OPEN.get(family)
    return tuple(left_open(size, written)) if left_open else ()


def assumed_text(name: str, written: Written) -> str:
    """Return in one sentence what is taken as usual, and how to say that it is so, or other.

    Parameters
    ----------
    name, written
        As for :func:`assumed`.

    Examples
    --------
    >>> print(assumed_text("V-8", ["bank_angle", "crank"]))
    written nowhere, so taken as usual for a V-8: cylinders 1 and 2 on throw 1 (numbering). Is that
    this engine? Write it under [engine] as it is
    >>> assumed_text("flat-4", [])
    ''
    """
    taken = assumed(name, written)
    if not taken:
        return ""
    them = "it" if len(taken) == 1 else "them"
    they = "it is" if len(taken) == 1 else "they are"
    return (
        f"written nowhere, so taken as usual for a {usual_name(name)}: {'; '.join(taken)}. Is that "
        f"this engine? Write {them} under [engine] as {they}"
    )


def _vee(size: int, written: Written) -> Iterator[str]:
    if "bank_angle" not in written:
        yield f"{V_BANK[size]:g} deg between the banks (bank_angle)"
    if size == 6 and "pin_splay" not in written:
        if "bank_angle" in written:
            yield "both rods of a pair on one pin, three pins in all (pin_splay)"
        else:
            yield "the two pins of a pair 60 deg apart, six pins in all (pin_splay)"
    if size == 8 and not {"crank", "throw_angles"} & set(written):
        yield "a cross-plane crank (crank)"
    if size > 2 and "numbering" not in written:
        yield "cylinders 1 and 2 on throw 1 (numbering)"


def _double_vee(size: int, written: Written) -> Iterator[str]:
    if "bank_angle" not in written:
        yield f"{W_BANK[size]:g} deg from bank to bank (bank_angle)"
    if W_THROWS[size] == 4 and not {"crank", "throw_angles"} & set(written):
        yield "a flat crank (crank)"
    if size > 3 and "numbering" not in written:
        yield "cylinders 1, 2 and 3 on throw 1 (numbering)"


def _narrow(_: int, written: Written) -> Iterator[str]:
    if "bank_angle" not in written:
        yield "15 deg between the banks (bank_angle)"


def _twin(_: int, written: Written) -> Iterator[str]:
    if not {"crank_angle", "throw_angles"} & set(written):
        yield "both pins at the same angle, 360 deg (crank_angle)"


def _inline(size: int, written: Written) -> Iterator[str]:
    if size == 2:
        yield from _twin(size, written)


def _radial(_: int, written: Written) -> Iterator[str]:
    if "knuckle_radius" not in written:
        yield "every rod on the crankpin itself, none on a master rod (knuckle_radius)"


_LEFT_OPEN: Mapping[str, Callable[[int, Written], Iterator[str]]] = {
    "v": _vee,
    "w": _double_vee,
    "narrowv": _narrow,
    "twin": _twin,
    "inline": _inline,
    "radial": _radial,
}
