"""heavyspot explain: 80 columns, exit codes, one page of HTML, JSON."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest


@pytest.mark.parametrize("name", ["flat-four", "v-twin"])
def test_everything_is_explained_within_80_columns(
    heavyspot: Callable, example: Callable, name: str
) -> None:
    said = heavyspot("explain", example(name))
    assert said.code == 0
    assert said.err == ""
    assert "everything in this job is invented" in said.out
    assert max(map(len, said.out.splitlines())) <= 80
    assert "\n\n\n" not in said.out
    assert said.out.rstrip().rpartition("\nNext: ")[1], "the next action comes last"


def test_one_part_by_itself(heavyspot: Callable, example: Callable) -> None:
    said = heavyspot("explain", example("flat-four"), "P1")
    assert "  m = (x1 + ... + xn) / n\n    = (390 + 390.1) / 2\n    = 390.050 g\n" in said.out
    assert "from: JCGM 100:2008 (GUM), 4.2.3; from memory" in said.out
    assert "Weight of P2" not in said.out


def test_arrows_stay_on_one_line(heavyspot: Callable, example: Callable) -> None:
    said = heavyspot("explain", example("flat-four"), "shake")
    for line in said.out.splitlines():
        assert line.count("(") - line.count(")") < 5
        assert not line.rstrip().endswith(" at")


def test_an_unknown_name_says_what_may_be_meant_and_exit_code_2(
    heavyspot: Callable, example: Callable
) -> None:
    said = heavyspot("explain", example("flat-four"), "P9")
    assert (said.code, said.out) == (2, "")
    assert said.err == "heavyspot: nothing is called 'P9'; did you mean P1, P2, P3, P4?\n"


def test_an_unknown_word_of_the_trade_is_explained_or_sent_to_the_glossary(
    heavyspot: Callable, example: Callable
) -> None:
    path = example("flat-four")
    said = heavyspot("explain", path, "recipocrating")
    assert said.code == 2
    assert "the word 'reciprocating' is what goes up and down" in said.err
    said = heavyspot("explain", path, "xylophone")
    assert said.code == 2
    assert "ask for a step (" in said.err
    assert "words are explained in notebooks/GLOSSARY.md" in said.err


def test_what_is_not_worked_out_yet_says_what_it_needs(
    heavyspot: Callable, example: Callable
) -> None:
    path = example("flat-four")
    path.write_text(path.read_text().partition("[crank]")[0])
    for word in ("limit", "hole 1", "plane 0 mm"):
        said = heavyspot("explain", path, word)
        assert (said.code, said.out) == (2, "")
        assert f"'{word}' is not in this job yet" in said.err
        assert "needs a [crank] table with mass and bearings" in said.err


def test_a_fresh_job_is_sent_to_what_it_lacks(heavyspot: Callable, tmp_path: Path) -> None:
    heavyspot("new", "inline-4", tmp_path / "new.toml")
    said = heavyspot("explain", tmp_path / "new.toml")
    assert (said.code, said.out.count("Not worked out yet")) == (0, 5)
    assert said.out.endswith("Next: heavyspot check JOB says what is to be filled in.\n")


def test_words_need_no_quotes(heavyspot: Callable, example: Callable) -> None:
    said = heavyspot("explain", example("flat-four"), "0.568", "oz", "in")
    assert "409.1 g mm at 309.1 deg" in said.out
    assert said.out.count("\n  U = ") == 1


@pytest.mark.parametrize(
    "words", [["-2776"], ["-2776", "g", "mm"], ["-2776 g mm", "--json"], ["--json", "--", "-2776"]]
)
def test_a_negative_number_is_no_option(
    heavyspot: Callable, example: Callable, words: list[str]
) -> None:
    said = heavyspot("explain", example("v8"), *words)
    assert (said.code, said.err) == (0, "")
    assert "-2776" in said.out


@pytest.mark.parametrize(
    ("word", "message"),
    [
        ("--jsn", "no option '--jsn': did you mean --json?"),
        ("--htm=x.html", "no option '--htm=x.html': did you mean --html?"),
        ("-x", "no option '-x': there are --html, --json, --help;"),
        ("-", "no option '-': there are"),
    ],
)
def test_a_mistyped_option_is_still_caught(
    heavyspot: Callable, example: Callable, word: str, message: str
) -> None:
    said = heavyspot("explain", example("flat-four"), "P1", word)
    assert (said.code, said.out) == (2, "")
    assert message in said.err
    assert "Only a number may begin with a hyphen\n" in said.err


def test_arrows_are_told_only_where_there_are_any(heavyspot: Callable, example: Callable) -> None:
    path = example("flat-four")
    assert "An arrow is written" not in heavyspot("explain", path, "P1").out
    assert "An arrow is written" in heavyspot("explain", path, "hole 1").out


def test_a_step_without_its_input(heavyspot: Callable, example: Callable) -> None:
    path = example("flat-four")
    path.write_text(path.read_text().partition("[crank]")[0])
    said = heavyspot("explain", path, "spin")
    assert said.code == 2
    assert "a [crank] table with mass and bearings" in said.err
    whole = heavyspot("explain", path)
    assert whole.code == 0
    assert "needs a [crank] table with mass and bearings" in whole.out.replace("\n  ", " ")


def test_a_page_of_html(heavyspot: Callable, example: Callable, tmp_path: Path) -> None:
    page = tmp_path / "new" / "working.html"
    said = heavyspot("explain", example("v-twin"), "--html", page)
    assert said.code == 0
    assert "Next: open" in said.out
    assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_the_same_for_programs(heavyspot: Callable, example: Callable) -> None:
    lines = json.loads(heavyspot("explain", example("v-twin"), "bobweight", "--json").out)
    assert {line["topic"] for line in lines} == {"bobweight"}
    assert set(lines[0]) >= {"symbol", "formula", "numbers", "result", "source"}
