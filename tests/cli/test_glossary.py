"""Every word that a screen puts over a column, and every word that can be asked, is explained."""

import re
from collections.abc import Iterable, Sequence
from importlib.resources import files
from pathlib import Path

import pytest

from balance.job.load import read_job
from balance.sheet.results import Results
from balance.sheet.working_terms import TERMS
from cli import show_engine, show_metal, show_parts, show_spin

GLOSSARY = Path(__file__).parents[2] / "notebooks" / "GLOSSARY.md"
UNITS = {"g", "mm", "deg", "oz", "in", "n", "nm", "at", "x", "u"}


def explained() -> set[str]:
    """The words of the glossary's two or first columns, one by one, in the singular."""
    rows = [line for line in GLOSSARY.read_text(encoding="utf-8").splitlines() if line[:2] == "| "]
    return {word for row in rows for cell in row.split("|")[1:-1] for word in words(cell)}


def words(text: str) -> list[str]:
    return [word.casefold().removesuffix("s") for word in re.findall(r"[^\W\d_]+", text)]


def test_words_over_columns_are_in_the_glossary(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    titles: list[str] = []

    def keep(columns: Sequence[str], rows: Iterable[Sequence[str]], *, left: int = 1) -> None:
        titles.extend(columns)

    for module in (show_engine, show_metal, show_parts, show_spin):
        monkeypatch.setattr(module, "table", keep)
    for job in ("flat-four", "v8", "v-twin"):
        results = Results(read_job(files("cli.examples") / f"{job}.toml"))
        show_parts.show_match(results)
        show_engine.show_bobweights(results)
        show_engine.show_shake(results)
        show_spin.show_spin(results)
        show_metal.show_correction(results)
    capsys.readouterr()
    assert len(set(titles)) > 30
    lacking = {word for title in titles for word in words(title)} - explained() - UNITS
    assert not lacking


@pytest.mark.parametrize("term", TERMS)
def test_words_that_can_be_asked_are_in_the_glossary(term: str) -> None:
    assert set(words(term)) <= explained()
