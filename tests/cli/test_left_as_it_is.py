"""A bought-in part that is not to be drilled: all else is planned, and what it adds is said."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

DRILLABLE = ("hole_radius =", "max_depth =", "hole_spacing =")


@pytest.fixture
def bought_in(example: Callable) -> Path:
    path: Path = example("flat-four")
    text = path.read_text()
    start, end = text.index('name = "clutch cover"'), text.index("[machine]")
    cover = "\n".join(
        line for line in text[start:end].splitlines() if not line.startswith(DRILLABLE)
    )
    path.write_text(f"{text[:start]}{cover}\n{text[end:]}")
    return path


def flat(text: str) -> str:
    return " ".join(text.split())


def test_the_crank_and_the_other_parts_are_planned(heavyspot: Callable, bought_in: Path) -> None:
    said = heavyspot("correct", bought_in)
    assert said.code == 1  # the cover stays outside
    out = flat(said.out)
    assert re.search(r"1 W3 313 9 mm \S+ 17.5 9.2", out)
    assert out.endswith(
        "Next: drill; heavyspot drilled for each hole; spin again; heavyspot spin --add."
    )
    assert "3 64 112 8 mm 6.0 2.7" in out
    cover = out.partition("Clutch cover")[2]
    assert cover.startswith(" The job says nowhere that it may be drilled (hole_radius, max_depth")
    assert "bolt it up in another of its positions (heavyspot stack), exchange it" in cover
    assert "Now 229 g mm, left 229 g mm, limit 29 g mm." in cover
    assert "Expected" not in cover.partition("limit 29 g mm.")[2].partition("Before")[0]


def test_a_cover_that_is_good_enough_passes(heavyspot: Callable, bought_in: Path) -> None:
    text = bought_in.read_text()
    bought_in.write_text(text.replace("positions = 3", 'limit = "260 g mm"\npositions = 3'))
    assert heavyspot("correct", bought_in).code == 0


def test_a_hole_in_it_is_refused(heavyspot: Callable, bought_in: Path) -> None:
    before = bought_in.read_bytes()
    said = heavyspot("drilled", bought_in, "clutch cover", "283 deg", "8 mm", "6 mm", "--sure")
    assert said.code == 2
    assert "clutch cover is written as a part that is not drilled" in said.err
    assert "Write hole_radius, max_depth and hole_spacing of it under [[bolted]] first" in said.err
    assert bought_in.read_bytes() == before


def test_what_is_written_by_halves_is_asked_for(heavyspot: Callable, bought_in: Path) -> None:
    text = bought_in.read_text()
    bought_in.write_text(text.replace("positions = 3", 'max_depth = "5 mm"\npositions = 3'))
    said = heavyspot("correct", bought_in)
    assert said.code == 2
    assert "hole_radius, max_depth and hole_spacing of clutch cover" in said.err


def test_all_its_papers_are_made(heavyspot: Callable, bought_in: Path, tmp_path: Path) -> None:
    said = heavyspot("report", bought_in, "--out", tmp_path / "papers")
    assert said.code == 0
    assert "Could not be made" not in said.out
    made = {path.name for path in (tmp_path / "papers").iterdir()}
    assert "disc-flywheel.png" in made
    assert not any(name.startswith("disc-clutch") for name in made)
    for word in ("clutch cover", "verdict"):
        assert heavyspot("explain", bought_in, word).code == 0
