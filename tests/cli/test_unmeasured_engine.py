"""Parts are on the scale before anyone has measured the engine: what can be done is done."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from balance.engine.steps import engine_of
from balance.errors import MissingInputError
from balance.job.load import read_job, read_text
from balance.sheet.results import Results

LENGTHS = ("stroke", "rod_length", "bore_spacing")
BY_HAND = """
format = 1
job.name = "by hand"
[engine]
stroke = "80 mm"
rod_length = "?"
bore_spacing = "100 mm"
throws = [{angle = 0, z = 0}]
cylinders = [{name = "1", throw = 1, bank = 0, z = 0}]
"""


@pytest.fixture
def unmeasured(heavyspot: Callable, tmp_path: Path) -> Path:
    """Return the file that `new` makes, with all parts weighed and nothing else filled in."""
    file = tmp_path / "parts-only.toml"
    heavyspot("new", "inline-2", file)
    text = file.read_text()
    for empty, grams in (
        ("weight = []", (410.1, 411.2, 120.1, 120.3)),
        ("total = []", (540.1, 540.4)),
        ("big_end = []", (390.1, 390.6)),
    ):
        for mass in grams:
            text = text.replace(empty, f"{empty[:-2]}[{mass}]", 1)
    file.write_text(text)
    return file


def test_parts_are_weighed_and_matched_before_the_engine_is_measured(
    unmeasured: Path, heavyspot: Callable
) -> None:
    assert "kept" in heavyspot("weigh", unmeasured, "P1", "410.2 g").out
    said = heavyspot("match", unmeasured)
    assert said.code in (0, 1)
    assert "once the lengths under [engine] are filled" in said.out
    assert "set_at_cylinder" not in json.loads(heavyspot("match", unmeasured, "--json").out)


def test_what_needs_the_engine_says_which_lengths(unmeasured: Path, heavyspot: Callable) -> None:
    said = heavyspot("shake", unmeasured)
    assert said.code == 2
    assert all(f"- {key} under [engine]" in said.err for key in LENGTHS)
    checked = heavyspot("check", unmeasured).out
    assert all(checked.count(f"{key} under [engine]") == 1 for key in LENGTHS)


def test_check_says_what_a_spin_needs_beside_the_lengths(
    unmeasured: Path, heavyspot: Callable
) -> None:
    steps = {
        s["name"]: s for s in json.loads(heavyspot("check", unmeasured, "--json").out)["steps"]
    }
    assert "a [crank] table with mass and bearings" in steps["spin"]["needed"]
    assert "stroke under [engine]" in steps["spin"]["needed"]
    assert any("counterweight" in item for item in steps["correct"]["needed"])


def test_the_work_sheet_shows_sets_without_cylinders(
    unmeasured: Path, heavyspot: Callable, tmp_path: Path
) -> None:
    heavyspot("report", unmeasured, "--out", tmp_path / "papers")
    assert (tmp_path / "papers" / "work-sheet.pdf").stat().st_size > 10_000
    results = Results(read_job(unmeasured))
    assert [cylinder for cylinder, _ in results.placed] == [""] * len(results.matched.sets)


def test_an_engine_by_hand_waits_for_its_lengths_too() -> None:
    with pytest.raises(MissingInputError, match=r"the engine needs more: rod_length under \[eng"):
        engine_of(read_text(BY_HAND))


def test_a_layout_by_another_name_gets_the_same_starter(
    heavyspot: Callable, tmp_path: Path
) -> None:
    one, other = tmp_path / "one.toml", tmp_path / "other.toml"
    heavyspot("new", "straight 4", one, "--name", "same")
    heavyspot("new", "inline-4", other, "--name", "same")
    assert one.read_text() == other.read_text()
    assert '# crank = "flat"' in one.read_text()
