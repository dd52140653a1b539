"""Score files: one a learner, added to, never half written, never outside the folder."""

import json
import os
from pathlib import Path

import pytest

from balance.errors import InputError, JobFileError
from balance.sheet.scores import Score, Scored, keep_score, read_scores, score_file

GOOD = Scored("rod", 1, 1, "150 g", True)
BAD = Scored("hole", 2, 5, "900 g mm", False, "forgot the point")


def test_answers_add_up(tmp_path: Path) -> None:
    keep_score(tmp_path, "Ada", GOOD)
    keep_score(tmp_path, "Bo", BAD)
    score = keep_score(tmp_path, "Ada", BAD)
    assert score == read_scores(tmp_path, "Ada") == Score("Ada", (GOOD, BAD))
    assert score.right == 1
    assert score.by_topic() == {"rod": (1, 1), "hole": (0, 1)}
    assert read_scores(tmp_path, "Bo").answers == (BAD,)
    assert read_scores(tmp_path, "Cy").answers == ()


def test_blanks_around_a_name_do_not_make_another_learner(tmp_path: Path) -> None:
    keep_score(tmp_path, " Ada  Ny ", GOOD)
    assert read_scores(tmp_path, "Ada Ny").answers == (GOOD,)


@pytest.mark.parametrize(
    "name", ["", "  ", "../Ada", "a/b", "a\\b", ".", "..", "C:x", "a\0b", "x" * 41, "a.json"]
)
def test_no_name_leads_out_of_the_folder(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match="learner must be 1 to 40 letters, digits"):
        keep_score(tmp_path / "scores", name, GOOD)
    assert not list(tmp_path.iterdir())


def test_names_of_all_scripts_are_names(tmp_path: Path) -> None:
    assert score_file(tmp_path, "Åse 王").parent == tmp_path


def test_a_write_that_fails_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    keep_score(tmp_path, "Ada", GOOD)

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(JobFileError, match="cannot be written: No space left"):
        keep_score(tmp_path, "Ada", BAD)
    assert read_scores(tmp_path, "Ada").answers == (GOOD,)


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"answers": [{"x": 1}]}', '{"answers": 3}'])
def test_what_is_no_score_file_is_left_alone(tmp_path: Path, text: str) -> None:
    path = score_file(tmp_path, "Ada")
    path.write_text(text)
    with pytest.raises(JobFileError, match="is not a score file: move it away"):
        keep_score(tmp_path, "Ada", GOOD)
    assert path.read_text() == text


def test_a_folder_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    score_file(tmp_path, "Ada").mkdir()
    with pytest.raises(JobFileError, match="cannot be read"):
        read_scores(tmp_path, "Ada")


def test_the_file_is_plain_json(tmp_path: Path) -> None:
    keep_score(tmp_path, "Ada", GOOD)
    page = json.loads((tmp_path / "score-Ada.json").read_text(encoding="utf-8"))
    assert (page["format"], page["learner"], page["answers"][0]["topic"]) == (1, "Ada", "rod")
    assert not list(tmp_path.glob(".*.new"))
