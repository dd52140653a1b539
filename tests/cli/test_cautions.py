"""Whoever is sent to spin with masses on the crank is told first what can hurt."""

import io
import sys
from collections.abc import Callable

import pytest

from cli.cautions import CUTTING, DRILLING, SPINNING

LAST_PROOF = '[[proofs]]\nstuck = [{ plane = "drive side"'


def _words(text: str) -> str:
    return " ".join(text.split())


def test_bobweights_come_with_the_caution(heavyspot: Callable, example: Callable) -> None:
    said = heavyspot("bobweight", example("v-twin")).out
    assert all(item in _words(said) for item in SPINNING)
    assert "common practice, no source" in said
    assert said.index("Eye protection") < said.index("Next: make them up")
    assert max(map(len, said.splitlines())) <= 80


def test_a_bare_crank_is_spun_with_the_rest_of_the_caution(
    heavyspot: Callable, example: Callable
) -> None:
    said = _words(heavyspot("bobweight", example("flat-four")).out)
    assert all(item in said for item in SPINNING[1:])
    assert SPINNING[0] not in said


def test_cuts_come_with_the_caution(heavyspot: Callable, example: Callable) -> None:
    said = _words(heavyspot("match", example("flat-four")).out)
    assert all(item in said for item in CUTTING)
    assert said.index(CUTTING[0]) < said.index("Next:")


def test_one_more_proof_spin_comes_with_the_caution(heavyspot: Callable, example: Callable) -> None:
    path = example("v-twin")
    text = path.read_text()
    start = text.index(LAST_PROOF)
    path.write_text(text[:start] + text[text.index("[drills]") :])
    said = _words(heavyspot("prove", path).out)
    assert "Next: one more spin" in said
    assert all(item in said for item in SPINNING)


def test_the_first_proof_spins_are_asked_for_with_the_caution(
    heavyspot: Callable, example: Callable
) -> None:
    path = example("v-twin")
    text = path.read_text()
    path.write_text(text[: text.index("[[proofs]]")] + text[text.index("[drills]") :])
    said = heavyspot("prove", path)
    assert "fix it mechanically, close the guard and stand out of the plane of" in said.err
    assert said.out == ""


def test_entering_a_spin_begins_with_the_caution(
    heavyspot: Callable, example: Callable, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("q\n"))
    said = _words(heavyspot("spin", example("v-twin"), "--add").out)
    assert all(item in said for item in SPINNING)
    assert said.index(SPINNING[0]) < said.index("Type what the screen shows")


def test_drilling_asks_the_maker_of_a_hardened_crank() -> None:
    said = " ".join(DRILLING)
    for word in ("Eye protection", "Clamp", "Swarf", "ask the maker"):
        assert word in said
