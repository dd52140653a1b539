"""Re-export names from sub-modules without importing them until they are asked for.

A command typed at the bench should answer at once, so a package's front door must not load
every room behind it.
"""

import importlib
import sys
from collections.abc import Callable, Mapping
from typing import Any


def front_door(
    package: str, names: Mapping[str, tuple[str, ...]], *, modules: tuple[str, ...] = ()
) -> tuple[Callable[[str], Any], list[str]]:
    """Return the module-level ``__getattr__`` and ``__all__`` of a package.

    ``names`` maps a sub-module (relative to the package) to the public names that live in it;
    ``modules`` are sub-modules that can be reached as attributes without an import of their own.
    """
    owner = {name: module for module, group in names.items() for name in group}

    def getattribute(name: str) -> Any:
        if name in modules:
            return importlib.import_module(f"{package}.{name}")
        if name not in owner:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        value = getattr(importlib.import_module(f"{package}.{owner[name]}"), name)
        sys.modules[package].__dict__[name] = value
        return value

    return getattribute, sorted(owner)
