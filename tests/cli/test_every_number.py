"""Every number that a screen prints can be asked as printed: all of them are asked here.

Left out, because they are no number of the job: whole numbers below ten that stand alone (marks,
pins, orders, counts, crankpin 1), the number of a standard, and the cautions with their own sources
that end a screen. What is left must be explained; so many screens are read that a number without
a line of its own shows up here.
"""

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from functools import cache
from importlib.resources import files

import pytest

import cli
from balance.errors import InputError
from balance.job.load import read_text
from balance.parts.alone import pistons_alone
from balance.sheet import steps_of_working
from balance.sheet.results import Results
from balance.sheet.steps_of_working import answer
from balance.sheet.working_line import Line
from cli.show_parts import show_alone

JOBS = ("flat-four", "v8", "v-twin", "flat-four, a part cut too far")
# Screens that are shown with more than the results of a job: looked at one by one elsewhere.
WITH_MORE = {
    "show_alone", "show_drillings", "show_proof", "show_recorded_check", "show_reports",
    "show_stack", "show_working",
}  # fmt: skip
_UNITS = "%|g mm|oz in|mm|deg|kN|Nm|N|rpm|in|g"
_PRINTED = re.compile(
    rf"(?<![\w.,\-/])(?:G )?[-+]?\d+(?:\.\d+)?(?:/\d+)?(?:\s?(?:{_UNITS})(?![\w/]))?"
)
_STANDARD = re.compile(r"ISO [\d:-]+")
EXPLAINED = 0.99  # of the numbers asked: one in a hundred may be new on a screen


def screens() -> dict[str, Callable[[Results], None]]:
    """Every screen there is, by its name; those that want more than results must be known."""
    found, more = {}, set()
    for module in pkgutil.iter_modules(cli.__path__):
        if module.name.startswith("show_"):
            functions = vars(importlib.import_module(f"cli.{module.name}"))
            for name, show in functions.items():
                if name.startswith("show_") and callable(show):
                    wanted = inspect.signature(show).parameters.values()
                    alone = [each.name for each in wanted if each.default is each.empty]
                    if alone == ["results"]:
                        found[name] = show
                    else:
                        more.add(name)
    assert more == WITH_MORE
    return found


_TOO_FAR = """
[[weighings]]
part = "R4"
what = "small_end"
value = "155.0 g"
finished = true
"""


@cache
def results_of(job: str) -> Results:
    text = (files("cli.examples") / f"{job.partition(',')[0]}.toml").read_text()
    return Results(read_text(text + _TOO_FAR * 2 * ("cut too far" in job)))


@pytest.fixture
def once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Work each step out once a job: hundreds of numbers are asked."""

    def kept(topic: str) -> Callable[[Results], Iterator[Line]]:
        make = steps_of_working.TOPICS[topic]
        return lambda results: iter(lines(make, results))

    @cache
    def lines(make: Callable[[Results], Iterator[Line]], results: Results) -> tuple[Line, ...]:
        return tuple(make(results))

    for topic in tuple(steps_of_working.TOPICS):
        monkeypatch.setitem(steps_of_working.TOPICS, topic, kept(topic))


def printed_numbers(text: str) -> list[str]:
    """The numbers of a screen with the unit that is printed behind them, lines rejoined."""
    said = _STANDARD.sub("", text.partition("\nMind your hands")[0])
    rejoined = re.sub(r" \n| \Z|(?<=[a-z])\n(?=mm|in)", " ", said)
    found = (" ".join(number.split()) for number in _PRINTED.findall(rejoined))
    return [number for number in found if not re.fullmatch(r"\d", number)]


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.usefixtures("once")
def test_every_printed_number_can_be_asked(
    job: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    results = results_of(job)
    asked = []
    for screen in screens().values():
        screen(results)
        asked += printed_numbers(capsys.readouterr().out)
    missed = [number for number in dict.fromkeys(asked) if not explained(results, number)]
    assert len(asked) > 75
    assert sum(number not in missed for number in asked) / len(asked) >= EXPLAINED, missed


@pytest.mark.parametrize("lose", ["", 'can_lose = "0.3 g"'])
def test_pistons_by_themselves_can_be_asked(
    lose: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    weights = {"P1": "420.31", "P2": "422.04", "P3": "420.84", "P4": "420.6"}
    pistons = "".join(
        f'[[parts.pistons]]\nmark = "{mark}"\nweight = "{grams} g"\n{lose}\n'
        for mark, grams in weights.items()
    )
    results = Results(
        read_text(
            'format = 1\njob = {name = "pistons"}\nscale = {resolution = "0.1 g"}\n'
            'targets = {match_tolerance = "0.5 g"}\n'
            'engine = {layout = "inline-4", stroke = "?", rod_length = "?", bore_spacing = "?"}\n'
            + pistons
        )
    )
    alone = pistons_alone(results.job)
    assert alone is not None
    show_alone(results.job, alone)
    said = capsys.readouterr().out
    assert ("NOT ENOUGH" in said) == bool(lose)
    asked = printed_numbers(said)
    assert len(asked) > 10
    assert [number for number in asked if not explained(results, number)] == []


def explained(results: Results, number: str) -> bool:
    try:
        return bool(answer(results, number).lines)
    except InputError:
        return False


@pytest.mark.parametrize(
    ("job", "asked", "symbol"),
    [
        ("flat-four", "409", "U"),
        ("flat-four", "409 g mm", "U"),
        ("flat-four", "409 g mm at 309 deg", "U"),
        ("flat-four", "309 deg", "U"),
        ("flat-four", "0.568", "U"),
        ("flat-four", "0.568 oz in", "U"),
        ("flat-four", "0.568 oz-in", "U"),
        ("flat-four", "453", "U"),
        ("flat-four", "48 g mm", "U_lim"),
        ("flat-four", "0.61 g", "m_lim"),
        ("flat-four", "0.61 g at 78 mm", "U_lim"),
        ("flat-four", "17.5", "depth"),
        ("flat-four", "0.88", "margin"),
        ("flat-four", "98%", "P"),
        ("flat-four", "98 %", "P"),
        ("flat-four", "9.2 g", "m"),
        ("flat-four", "0.05 g", "u"),
        ("flat-four", "127.0 deg", "angle"),
        ("flat-four", "50%", "share"),
        ("flat-four", "8 g mm", "U_refit"),
        ("flat-four", "7.0 g", "removed_then"),
        ("flat-four", "G 6.3", "grade"),
        ("flat-four", "rings", "ring_set"),
        ("flat-four", "R3 big end", "B'"),
        ("flat-four", "plane 0 mm", "U"),
        ("flat-four", "set", "target"),
        ("flat-four", "cut", "cut"),
        ("flat-four", "stop", "stop"),
        ("flat-four", "verdict", "verdict"),
        ("flat-four", "1-S1", "stamp"),
        ("flat-four", "flywheel 304 g mm", "U"),
        ("flat-four", "heavy spot", "U"),
        ("flat-four", "9 mm", "drill"),
        ("flat-four, a part cut too far", "647.85", "target"),
        ("flat-four, a part cut too far", "155.0 g", "m"),
        ("v8", "2107", "W_sold"),
        ("v8", "-2776", "dU"),
        ("v8", "1.4 kN", "F"),
        ("v8", "581.98", "each"),
        ("v8", "80 g mm", "one"),
        ("v8", "71", "r"),
        ("v8", "G 11.2", "G"),
        ("v-twin", "1007.14 g", "W_rec"),
        ("v-twin", "0.57", "f_built"),
        ("v-twin", "1.043", "left"),
        ("v-twin", "1/2 in", "sizes"),
        ("v-twin", "factor 0.3", "left"),
    ],
)
@pytest.mark.usefixtures("once")
def test_the_right_line_answers(job: str, asked: str, symbol: str) -> None:
    assert symbol in {line.symbol for line in answer(results_of(job), asked).lines}


@pytest.mark.usefixtures("once")
def test_what_is_most_likely_meant_comes_first_and_five_at_most() -> None:
    first = answer(results_of("v-twin"), "0.6").lines[0]
    assert (first.topic, first.symbol) == ("given", "factor")
    many = answer(results_of("v8"), "520.23 g")
    assert len(many.lines) == 5
    assert many.left_out > 0
