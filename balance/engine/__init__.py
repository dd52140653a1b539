"""Layout, motion, shaking forces, bobweights."""

from balance._lazy import front_door

__getattr__, __all__ = front_door("balance.engine", {})
