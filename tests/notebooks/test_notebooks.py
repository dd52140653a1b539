"""The lessons run, are clean, import public names only, and have all their parts."""

import ast
import importlib
import json
import re
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from balance.sheet import TOPICS, exercise, mark_answer

FOLDER = Path(__file__).parents[2] / "notebooks"
LESSONS = sorted(FOLDER.glob("*.ipynb"))
DOORS = ["balance", *(f"balance.{name}" for name in (
    "errors", "units", "vectors", "job", "parts", "engine", "spin", "metal", "sheet",
))]  # fmt: skip
PARTS = {
    "hurts", "question", "how", "setup", "picture", "by-hand", "tool", "experiment", "change-me",
    "exercises", "solved", "exercise-1", "exercise-2", "exercise-3", "sources",
}  # fmt: skip
EXERCISE = re.compile(r"check\(exercise\((.*)\), my_answer\)")

every_lesson = pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)


def cells(path: Path, kind: str | None = None) -> list[dict[str, Any]]:
    page = json.loads(path.read_text(encoding="utf-8"))
    return [cell for cell in page["cells"] if kind in (None, cell["cell_type"])]


def source(cell: dict[str, Any]) -> str:
    return "".join(cell["source"])


def code(path: Path) -> str:
    lines = "\n".join(source(cell) for cell in cells(path, "code")).splitlines()
    return "\n".join(line for line in lines if not line.startswith("%"))


def test_there_are_eight_in_order() -> None:
    assert [path.name[:2] for path in LESSONS] == [f"{n}_" for n in range(1, 9)]


# What Jupyter's own packages warn of is theirs; our code runs in the kernel, another process.
@pytest.mark.filterwarnings("ignore::DeprecationWarning:(jupyter|nbclient|nbformat|traitlets|zmq)")
@every_lesson
def test_it_runs(path: Path) -> None:
    import nbformat
    from nbclient import NotebookClient

    lesson = nbformat.read(path, as_version=4)
    here = {"metadata": {"path": str(FOLDER)}}
    NotebookClient(lesson, timeout=300, kernel_name="python3", resources=here).execute()
    made = {cell.id: cell.get("outputs", []) for cell in lesson.cells}
    shown = [kind for out in made["picture"] for kind in out.get("data", {})]
    assert "image/png" in shown, "the picture is shown"
    assert not [out for outs in made.values() for out in outs if out.get("name") == "stdout"]
    assert all(made[name] for name in ("tool", "change-me", "exercise-1", "exercise-3"))


@every_lesson
def test_outputs_are_stripped(path: Path) -> None:
    page = json.loads(path.read_text(encoding="utf-8"))
    assert page["metadata"]["kernelspec"]["name"] == "python3"
    assert set(page["metadata"]) == {"kernelspec", "language_info"}
    for cell in page["cells"]:
        assert cell["metadata"] == {}
        assert cell.get("outputs", []) == []
        assert cell.get("execution_count") is None


@every_lesson
def test_only_public_names_are_imported(path: Path) -> None:
    for node in ast.walk(ast.parse(code(path))):
        if isinstance(node, ast.Import):
            assert not any(name.name.split(".")[0] in ("balance", "cli") for name in node.names)
        if isinstance(node, ast.ImportFrom) and node.module:
            room = node.module.split(".")[0]
            assert room != "cli"
            if room == "balance":
                assert node.module in DOORS
                public = importlib.import_module(node.module).__all__
                assert {name.name for name in node.names} <= set(public)


@every_lesson
def test_every_part_of_a_lesson_is_there(path: Path) -> None:
    names = [cell["id"] for cell in cells(path)]
    assert len(set(names)) == len(names)
    assert set(names) >= PARTS
    assert names[0] == "hurts"
    assert "**What can hurt.**" in source(cells(path)[0])
    assert names.index("question") == 1
    assert names[-1] == "sources"
    assert names.index("how") + 1 == names.index("setup")
    assert f"Lesson {path.name[0]} of 8" in source(cells(path)[names.index("how")])


def test_the_order_of_reading_is_written_down() -> None:
    text = (FOLDER / "README.md").read_text(encoding="utf-8")
    places = [text.index(f"]({path.name})") for path in LESSONS]
    assert places == sorted(places)


@every_lesson
def test_the_exercises_know_their_answers(path: Path) -> None:
    calls = EXERCISE.findall(code(path))
    assert len(set(calls)) == 3
    for call in calls:
        topic, level, seed = re.findall(r'"(\w+)", difficulty=(\d), seed=(\d+)', call)[0]
        one = exercise(topic, difficulty=int(level), seed=int(seed))
        assert mark_answer(one, one.answer).right


def test_every_topic_of_practice_but_none_else_is_taught() -> None:
    calls = [call for path in LESSONS for call in EXERCISE.findall(code(path))]
    taught = {call.split('"')[1] for call in calls}
    assert taught == set(TOPICS)


def test_the_glossary_shows_the_frame() -> None:
    text = (FOLDER / "GLOSSARY.md").read_text(encoding="utf-8")
    assert "](frame.svg)" in text
    assert ElementTree.parse(FOLDER / "frame.svg").getroot().tag.endswith("svg")
    rows = [line for line in text.splitlines() if line.startswith("|")]
    assert all(line.count("|") in (3, 4) for line in rows)
