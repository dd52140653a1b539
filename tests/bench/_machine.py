"""The machine that a bench ran on, as data and in words."""

import importlib.metadata
import os
import platform
from pathlib import Path
from typing import Any

LIBRARIES = ("numpy", "scipy", "ortools", "highspy", "trimesh", "manifold3d", "mujoco", "mpmath")


def machine() -> dict[str, Any]:
    """Return processor, cores, versions and how busy the machine is now."""
    return {
        "processor": _processor(),
        "cores": os.cpu_count(),
        "system": f"{platform.system()} {platform.machine()}",
        "python": platform.python_version(),
        "libraries": {name: _version(name) for name in LIBRARIES},
        "load_average": [round(load, 2) for load in os.getloadavg()],
    }


def in_words(here: dict[str, Any]) -> str:
    """Return the machine as a paragraph."""
    versions = ", ".join(f"{name} {version}" for name, version in here["libraries"].items())
    one, five, fifteen = here["load_average"]
    return (
        f"{here['processor']}, {here['cores']} cores, {here['system']}; Python {here['python']}, "
        f"{versions}. Load average at the start {one}, {five}, {fifteen} (1, 5, 15 minutes)."
    )


def _processor() -> str:
    """Return the processor's model where the system tells it."""
    info = Path("/proc/cpuinfo")
    names = [
        line.partition(":")[2].strip()
        for line in (info.read_text().splitlines() if info.exists() else ())
        if line.startswith("model name")
    ]
    return names[0] if names else platform.processor() or "unknown processor"


def _version(name: str) -> str:
    try:
        return importlib.metadata.version(name)
    except importlib.metadata.PackageNotFoundError:
        return "not installed"
