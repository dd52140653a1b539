"""heavyspot: the computations of a shop that balances rotating assemblies.

The rooms stand in the order of the work: :mod:`balance.job`, :mod:`balance.parts`,
:mod:`balance.engine`, :mod:`balance.spin`, :mod:`balance.metal`, :mod:`balance.sheet`.
"""

from balance._lazy import front_door

__version__ = "0.1.0"

__getattr__, __all__ = front_door(
    "balance",
    {
        "vectors": ("amount", "degrees", "fold", "turn", "vector"),
    },
)
