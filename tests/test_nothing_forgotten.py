"""What must be registered is: a rule, a doubt or a room that nobody asks fails silently."""

import ast
import importlib
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
SOURCES = sorted([*ROOT.glob("balance/**/*.py"), *ROOT.glob("cli/**/*.py")])
ROOMS = {path.parent.name for path in ROOT.glob("balance/*/__init__.py")}


def made(tree: ast.Module) -> Iterator[str]:
    """The functions and constants of a module; a decorator registers what it stands on."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.decorator_list:
            yield node.name
        elif isinstance(node, ast.Assign):
            yield from (name.id for name in node.targets if isinstance(name, ast.Name))


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_private_name_is_used(path: Path) -> None:
    """A rule of a job file, a doubt or a warning that nothing calls would never be asked."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    names = (node for node in ast.walk(tree) if isinstance(node, ast.Name))
    used = {name.id for name in names if isinstance(name.ctx, ast.Load)}
    private = {name for name in made(tree) if name.startswith("_") and not name.startswith("__")}
    assert private - used == set()


def listed(path: str, name: str) -> set[str]:
    """A list of names in the source of a test."""
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    for node in tree.body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == name:
            words = (each.value for each in ast.walk(node.value) if isinstance(each, ast.Constant))
            return {word for word in words if isinstance(word, str)}
    raise LookupError(f"{path} has no {name}")


def test_a_room_stands_in_every_list() -> None:
    assert listed("tests/test_layers.py", "ROOMS") == ROOMS
    assert listed("tests/test_public.py", "ROOMS") == ROOMS
    assert listed("tests/test_public.py", "RELIED_ON") >= ROOMS
    assert listed("tests/notebooks/test_notebooks.py", "DOORS") >= ROOMS
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert set(re.findall(r"^\| `(\w+)` \|", page, re.MULTILINE)) >= ROOMS
    balance = importlib.import_module("balance")
    assert all(balance.__getattr__(room) for room in ROOMS)


def test_an_installed_copy_has_every_package() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    tools = project["tool"]["setuptools"]
    folders = tools["package-dir"]
    packages = {folders.get(name, name.replace(".", "/")) for name in tools["packages"]}
    found = [*ROOT.glob("balance/**/*.py"), *ROOT.glob("cli/**/*.py"), *ROOT.glob("examples/*.py")]
    assert packages == {path.parent.relative_to(ROOT).as_posix() for path in found}
