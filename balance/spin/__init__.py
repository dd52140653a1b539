"""Readings of a balancing machine to unbalance in the crank's own frame."""

from balance._lazy import front_door

__getattr__, __all__ = front_door("balance.spin", {})
