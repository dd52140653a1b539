"""No name in a job leads a paper or a table out of its folder."""

from collections.abc import Callable
from pathlib import Path

import pytest

from cli.papers import file_stem


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("flywheel", "flywheel"),
        ("clutch cover", "clutch-cover"),
        ("Schwungrad-ä", "Schwungrad-ä"),
        ("../../etc/passwd", "part-2"),
        ("a/../../b", "part-2"),
        ("..", "part-2"),
        ("a\\b", "part-2"),
        ("nul:", "part-2"),
        ("<b>", "part-2"),
    ],
)
def test_names_of_parts_as_names_of_files(name: str, stem: str) -> None:
    assert file_stem(name, 2) == stem


def test_tables_stay_in_their_folder(
    heavyspot: Callable, example: Callable, tmp_path: Path
) -> None:
    path = example("flat-four")
    text = path.read_text()
    assert "flywheel" in text
    path.write_text(text.replace("flywheel", "../../flywheel"))
    assert heavyspot("export", path, "--out", tmp_path / "in" / "out").code == 0
    made = {file.relative_to(tmp_path).parts[:2] for file in (tmp_path / "in").rglob("*.csv")}
    assert made == {("in", "out")}
    assert not [file for file in tmp_path.iterdir() if "flywheel" in file.name]
