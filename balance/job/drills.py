"""Drill sizes as the drawer names them."""

from balance.units import read


def drill_mm(value: str | float, *, unit: str | None = None) -> float:
    return read(value, "length", unit=unit)
