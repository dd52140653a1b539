"""The benches' own arithmetic: growth by known laws, rows within 80 columns, nothing left out."""

import importlib
import json
import math
import sys
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest

FOLDER = Path(__file__).parent / "bench"
HELPERS = ("_cases", "_machine", "_measure", "_table", "run")


@pytest.fixture(scope="module")
def bench() -> Iterator[SimpleNamespace]:
    """The modules of the benches, which are scripts beside each other."""
    sys.path.insert(0, str(FOLDER))
    try:
        yield SimpleNamespace(**{n.strip("_"): importlib.import_module(n) for n in HELPERS})
    finally:
        sys.path.remove(str(FOLDER))
        for name in HELPERS:
            sys.modules.pop(name, None)


@pytest.mark.parametrize("exponent", [0.0, 0.5, 1.0, 2.0, 3.0])
def test_a_power_is_found(bench, exponent):
    sizes = [10, 100, 1000, 10_000]
    found = bench.measure.growth(sizes, [3e-6 * n**exponent for n in sizes])
    assert found.shape == "power"
    assert found.rate == pytest.approx(exponent, abs=1e-9)
    assert found.residual == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("base", [0.8, 1.3, 2.0, 10.0])
def test_an_exponential_is_found(bench, base):
    sizes = [4, 6, 8, 12, 16]
    found = bench.measure.growth(sizes, [2e-4 * base**n for n in sizes])
    assert found.shape == "exponential"
    assert found.rate == pytest.approx(base, rel=1e-9)
    assert str(found) == f"{base:.2f}^n ±0%"


def test_the_residual_says_how_far_times_lie_off_the_line(bench):
    # Off by a factor of 1.1 up, down, down, up: no slope in the logarithms, sqrt(4 / 2) of each.
    times = [1.1, 10 / 1.1, 100 / 1.1, 1000 * 1.1]
    found = bench.measure.growth([1, 10, 100, 1000], times)
    assert found.rate == pytest.approx(1.0)
    assert found.residual == pytest.approx(math.expm1(math.log(1.1) * math.sqrt(2)))
    assert str(found) == "n^1.0 ±14%"


def test_a_law_that_is_none_is_not_printed_as_one(bench):
    assert str(bench.measure.growth([1, 2, 3, 4], [1, 100, 1, 100])).startswith("none ±")


def test_more_than_a_decade_is_no_exponential(bench):
    sizes = [1, 10, 20]
    assert bench.measure.growth(sizes, [1.5**n for n in sizes]).shape == "power"


def test_two_sizes_make_no_law(bench):
    assert bench.measure.growth([1, 2, 2], [1, 2, 2]) is None


def test_calls_are_timed_in_turn_and_the_median_taken(bench):
    now, order = [0.0], []

    def call(name, *seconds):
        times = iter(seconds)

        def run():
            order.append(name)
            now[0] += next(times)
            return name

        return run

    ours, theirs = bench.measure.side_by_side(
        call("ours", 1, 9, 2), call("theirs", 10, 30, 20), repeats=3, clock=lambda: now[0]
    )
    assert order == ["ours", "theirs"] * 3
    assert (ours.answer, ours.seconds, theirs.seconds) == ("ours", 2, 20)


def test_a_call_too_short_for_the_clock_is_repeated(bench):
    now = [0.0]

    def call():
        now[0] += 0.001

    timing = bench.measure.timed(call, clock=lambda: now[0])
    assert timing.seconds == pytest.approx(0.001)
    assert now[0] == pytest.approx(bench.measure.LEAST_S + 0.001)


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(2.34e-7, "0.23 us"), (0.00996, "10 ms"), (0.9996, "1 s"), (0.3, "300 ms"), (83.2, "83 s")],
)
def test_a_time_is_said_in_two_or_three_digits(bench, seconds, said):
    assert bench.table.span(seconds) == said


@pytest.mark.parametrize(
    ("value", "said"),
    [(8, "8"), (0.523, "0.52"), (668.4, "668"), (20_000, "2e4"), (13_824, "1.4e4")],
)
def test_a_count_has_at_most_five_places(bench, value, said):
    assert bench.table.count(value) == said


@pytest.fixture
def row(bench):
    """A row with every column in use, as wide as they come."""
    return bench.table.Row(
        room="parts",
        what="aimed plan, slowest 10",
        size=13_824,
        ours_s=0.31,
        baseline="scipy brentq",
        baseline_s=310.0,
        stopped=True,
        growth=bench.measure.Growth("exponential", 1.45, 0.21),
        aim="0.5 s",
        kept=False,
        note="proven 8 of 8; " * 10,
    )


def test_a_row_says_all_of_it_in_80_columns(bench, row):
    first, *notes = bench.table.lines(row)
    assert first == "aimed plan, slowest 10 1.4e4  310 ms scipy brentq >1000 1.45^n ±21% 0.5 s MISS"
    assert all(len(line) <= 80 for line in (first, *notes))
    assert list(bench.table.lines(row, notes=False)) == [first]


def test_a_baseline_that_is_faster_is_not_hidden(bench, row):
    fast = bench.table.Row(room="spin", what="x", ours_s=4.0, baseline="y", baseline_s=1.0)
    assert "1/4" in bench.table.line(fast)


def test_a_missed_aim_is_said_again_at_the_end(bench, row):
    kept = bench.table.Row(room="parts", what="kept", aim="1 s", kept=True)
    assert bench.table.missed([row, kept]) == [
        "parts: aimed plan, slowest 10, n = 1.4e4: 310 ms, aim 0.5 s"
    ]


def test_every_bench_is_run_and_says_what_it_is(bench):
    names = {path.stem.removeprefix("bench_") for path in FOLDER.glob("bench_*.py")}
    assert names == set(bench.run.BENCHES)
    for name in names:
        text = (FOLDER / f"bench_{name}.py").read_text(encoding="utf-8")
        for wanted in ("ROOM = ", "SEEDS = ", "def rows(*, short: bool) -> Iterator[Row]:"):
            assert wanted in text, f"bench_{name}.py has no {wanted}"
        assert text.endswith('if __name__ == "__main__":\n    alone(__doc__, rows)\n')


def invented(bench, monkeypatch, **benches):
    """Put benches of these rows in place of the real ones; a row that is an error is raised."""

    def rows_of(given):
        def rows(*, short):
            for row in given:
                if isinstance(row, BaseException):
                    raise row
                yield row

        return rows

    for name, given in benches.items():
        module = SimpleNamespace(ROOM="parts", SEEDS="1, 2", rows=rows_of(given))
        monkeypatch.setitem(sys.modules, f"bench_{name}", module)
    monkeypatch.setattr(bench.run, "BENCHES", tuple(benches))
    monkeypatch.setattr(bench.run.signal, "signal", lambda *_: None)


def test_a_bench_that_fails_is_a_row_and_the_others_run(bench, row, monkeypatch, tmp_path, capsys):
    invented(bench, monkeypatch, one=[row, ValueError("no such drill")], two=[row])
    file = tmp_path / "rows.json"
    assert bench.run.main(["--json", str(file)]) == 1
    said = capsys.readouterr().out
    assert "one                    FAILED\n    ValueError: no such drill\n" in said
    assert "parts: two (seeds: 1, 2)" in said
    rows = json.loads(file.read_text(encoding="utf-8"))["rows"]
    assert [(r["bench"], r["failed"]) for r in rows] == [
        ("one", ""),
        ("one", "ValueError: no such drill"),
        ("two", ""),
    ]


def test_ctrl_c_keeps_what_is_done(bench, row, monkeypatch, tmp_path, capsys):
    invented(bench, monkeypatch, one=[row, KeyboardInterrupt()], two=[row])
    file = tmp_path / "rows.json"
    assert bench.run.main(["--json", str(file)]) == 130
    assert "stopped before its end" in capsys.readouterr().out
    found = json.loads(file.read_text(encoding="utf-8"))
    assert found["stopped"] is True
    assert len(found["rows"]) == 1
    assert found["rows"][0]["ratio"] == pytest.approx(1000)
    assert found["rows"][0]["growth"] == {"shape": "exponential", "rate": 1.45, "residual": 0.21}
    assert {"processor", "cores", "python", "libraries", "load_average"} <= set(found["machine"])


def test_the_readme_gets_a_whole_full_run_between_its_marks(
    bench, row, monkeypatch, tmp_path, capsys
):
    small, large = (bench.table.Row(room="parts", what="series", size=n) for n in (7, 8))
    invented(bench, monkeypatch, one=[small, row, large])
    readme = tmp_path / "README.md"
    monkeypatch.setattr(bench.run, "README", readme)
    readme.write_text(
        f"before\n{bench.run.BEGIN}what was there\n{bench.run.END}\nafter\n", encoding="utf-8"
    )
    assert bench.run.main(["--readme"]) == 0
    text = readme.read_text(encoding="utf-8")
    assert text.startswith(f"before\n{bench.run.BEGIN}\n```text\n")
    assert text.endswith(f"\n```\n\n{bench.run.END}\nafter\n")
    assert "what was there" not in text
    assert "proven 8 of 8" not in text  # notes stay on the terminal, and smaller sizes too
    assert [line.split() for line in text.splitlines() if "series" in line] == [["series", "8"]]
    with pytest.raises(SystemExit):
        bench.run.main(["--readme", "--short"])
    assert "leave out --short" in capsys.readouterr().err
