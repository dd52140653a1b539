"""The amount of unbalance that a machine showed, as written in a job file."""

from balance.errors import InputError
from balance.job.quantities import in_reach
from balance.units import read

__all__ = ["amount_gmm"]


def amount_gmm(amount: float | str, *, unit: str, radius_mm: float | None) -> float:
    """Return a displayed amount in g mm.

    A bare number takes the machine's unit; a text may carry any unit of unbalance. A machine that
    shows grams (or ounces) means grams at the radius set for the plane: ``U = m r``.

    Parameters
    ----------
    amount : float or str
        As written: ``412``, ``"412 g mm"``, ``"5.2 g"``.
    unit : str
        The machine's unit.
    radius_mm : float or None [mm]
        The radius set for this plane; needed when the unit is a mass.

    Raises
    ------
    InputError
        When the text is no amount of unbalance, or a mass without its radius.

    Examples
    --------
    >>> amount_gmm("5 g", unit="g", radius_mm=80)
    400.0
    >>> amount_gmm("0.5 oz in", unit="g mm", radius_mm=None) == amount_gmm(0.5, unit="oz in",
    ...                                                                    radius_mm=None)
    True

    Source: amount of unbalance, ISO 21940-2; from memory.
    """
    if unit not in ("g", "oz"):
        return _not_negative(amount, read(amount, "unbalance", unit=unit))
    if radius_mm is None:
        raise InputError(f"{amount!r} is a mass: say at which radius the plane is set")
    try:
        mass = read(amount, "mass", unit=unit)
    except InputError:
        return _not_negative(amount, read(amount, "unbalance"))
    return _not_negative(amount, mass * radius_mm)


def _not_negative(amount: float | str, value: float) -> float:
    in_reach(amount, value)
    if value < 0:
        raise InputError(f"{amount!r} is negative: an amount is not, its angle says where")
    return value
