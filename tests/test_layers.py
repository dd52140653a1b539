"""The rooms stand in a row and data goes one way: who may import whom."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
ROOMS = ["job", "parts", "engine", "spin", "metal", "sheet"]
SOURCES = sorted([*ROOT.glob("balance/**/*.py"), *ROOT.glob("cli/*.py")])


def imported(path: Path) -> set[str]:
    """Every module that a file imports anywhere, also inside functions."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return found


def rooms_in(names: set[str]) -> set[str]:
    parts = [name.split(".") for name in names if name.startswith("balance.")]
    return {part[1] for part in parts if part[1] in ROOMS}


def test_there_are_sources() -> None:
    assert len(SOURCES) > 20


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(ROOT)))
def test_imports_point_one_way(path: Path) -> None:
    names, place = imported(path), path.relative_to(ROOT).parts
    if place[0] == "cli":
        return
    assert not any(name.split(".")[0] == "cli" for name in names), "the library imports the command"
    if len(place) == 2:  # balance/errors.py and its neighbours know nothing above them
        assert not rooms_in(names)
        return
    allowed = set(ROOMS[: ROOMS.index(place[1]) + 1])
    assert rooms_in(names) <= allowed


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(ROOT)))
def test_only_the_sheet_draws(path: Path) -> None:
    place = path.relative_to(ROOT).parts
    if place[:2] == ("balance", "sheet") or place[0] == "cli":
        return
    assert not any(name.split(".")[0] in ("matplotlib", "typst") for name in imported(path))


def test_no_module_shares_its_name_with_a_public_name() -> None:
    import importlib

    for room in ["balance", *(f"balance.{room}" for room in ROOMS)]:
        package = importlib.import_module(room)
        folder = Path(package.__file__ or "").parent
        modules = {p.stem for p in folder.iterdir() if p.suffix == ".py" or p.is_dir()}
        assert not modules & set(package.__all__)
