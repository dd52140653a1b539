"""heavyspot new: an engine by the name that a shop gives it."""

from collections.abc import Callable
from pathlib import Path

import pytest


@pytest.mark.parametrize(
    ("said", "layout"),
    [
        ("slant 4", "inline-4"),
        ("straight six", "inline-6"),
        ("I4", "inline-4"),
        ("flat-six", "flat-6"),
        ("boxer 6", "flat-6"),
        ("Parallel Twin", "twin"),
        ("V-twin", "V-2"),
        ("triple", "inline-3"),
        ("narrow V 6", "narrow-V-6"),
        ("V8", "V-8"),
    ],
)
def test_names_of_the_shop(heavyspot: Callable, tmp_path: Path, said: str, layout: str) -> None:
    path = tmp_path / "job.toml"
    assert heavyspot("new", said, path).code == 0
    assert f'layout = "{layout}"' in path.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("said", "plain"),
    [("90 degree V6 with split pins", "V6"), ("V-8 flat plane", "V-8"), ("split v six", "V6")],
)
def test_what_is_more_than_a_layout_is_written_into_the_file(
    heavyspot: Callable, tmp_path: Path, said: str, plain: str
) -> None:
    found = heavyspot("new", said, tmp_path / "job.toml")
    assert found.code == 2
    where = "then bank_angle, pin_splay (split pins) or crank (flat, cross) under [engine]"
    assert f"says more than a layout: heavyspot new {plain} FILE, {where}" in found.err
    assert not (tmp_path / "job.toml").exists()


def test_a_name_that_says_no_layout(heavyspot: Callable, tmp_path: Path) -> None:
    found = heavyspot("new", "small block", tmp_path / "job.toml")
    assert "layout 'small block' is not known: write single, twin, inline-4" in found.err
