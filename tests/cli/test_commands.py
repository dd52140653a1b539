"""The commands on the shipped examples: what they say, their exit codes, 80 columns, JSON."""

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from cli.commands import COMMANDS

STEPS = ["check", "match", "bobweight", "shake", "spin", "correct"]
OTHERS = {
    "demo", "new", "schema", "practice",  # without a job
    "weigh", "import", "drilled", "report", "export",  # they write: tests of their own
    "prove", "stack", "explain",  # not for every example: tests of their own
}  # fmt: skip
OUTSIDE = {"spin"}  # the examples are out of balance as they come: exit code 1


def test_every_command_is_looked_at_here_or_elsewhere() -> None:
    assert sorted([*STEPS, *OTHERS]) == sorted(name for name, _ in COMMANDS)


@pytest.mark.parametrize("step", STEPS)
@pytest.mark.parametrize("name", ["flat-four", "v-twin"])
def test_every_step_speaks_within_80_columns(
    heavyspot: Callable, example: Callable, step: str, name: str
) -> None:
    said = heavyspot(step, example(name))
    assert said.code == (1 if step in OUTSIDE else 0)
    assert said.err == ""
    assert "everything in this job is invented" in said.out
    assert max(map(len, said.out.splitlines())) <= 80
    assert said.out.rstrip().rpartition("\nNext: ")[1], "the next action comes last"


@pytest.mark.parametrize("step", STEPS)
def test_every_step_has_the_same_result_for_programs(
    heavyspot: Callable, example: Callable, step: str
) -> None:
    said = heavyspot(step, example("v-twin"), "--json")
    assert said.code == (1 if step in OUTSIDE else 0)
    assert json.loads(said.out)


def test_other_ways_for_the_crank_are_shown_when_asked_for(
    heavyspot: Callable, example: Callable
) -> None:
    said = heavyspot("correct", example("flat-four"), "--others")
    assert said.code == 0
    assert "Other ways for the crank" in said.out
    assert "no hole deeper than" in said.out
    both = json.loads(heavyspot("correct", example("flat-four"), "--others", "--json").out)
    assert both["others"][0]["plan"]["holes"]


def test_json_vectors_have_amount_and_degrees(heavyspot: Callable, example: Callable) -> None:
    spun = json.loads(heavyspot("spin", example("v-twin"), "--json").out)
    vector = spun["parts"][0]["unbalance"][0]
    assert set(vector) == {"amount", "degrees"}
    assert 0 <= vector["degrees"] < 360


def test_the_boxer_is_told_why_it_needs_no_bobweights(
    heavyspot: Callable, example: Callable
) -> None:
    said = heavyspot("bobweight", example("flat-four"))
    assert "cancel as a force and as a couple" in said.out.replace("\n", " ")


def test_an_unproven_machine_is_warned_of(heavyspot: Callable, example: Callable) -> None:
    path = example("flat-four")
    path.write_text(path.read_text().replace("proven = 2026-03-02", ""))
    for step in ("spin", "correct", "check"):
        assert "not proven" in heavyspot(step, path).out.replace("\n", " ")


def test_new_writes_a_starter_that_says_what_to_fill_in(
    heavyspot: Callable, tmp_path: Path
) -> None:
    path = tmp_path / "mine.toml"
    said = heavyspot("new", "inline-4", path)
    assert said.code == 0
    assert "heavyspot check" in said.out
    checked = heavyspot("check", path)
    assert checked.code == 1
    assert "- stroke under [engine]" in checked.out
    text = path.read_text()
    for value in ("84 mm", "136 mm", "96 mm"):
        text = text.replace('= "?"', f'= "{value}"', 1)
    path.write_text(text)
    checked = heavyspot("check", path)
    assert checked.code == 1
    assert "the weight of piston P1" in checked.out
    assert "match     needs 12 things" in checked.out
    assert "- as for match" in checked.out
    assert checked.out.count("the weight of piston P1") == 2  # in the list, and what to do next
    assert f"Next: heavyspot weigh {path}" in checked.out.replace("\n", "")


def test_new_never_overwrites(heavyspot: Callable, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("precious")
    said = heavyspot("new", "inline-4", path)
    assert said.code == 2
    assert "is there already; nothing was written" in said.err
    assert path.read_text() == "precious"


def test_new_knows_no_such_layout(heavyspot: Callable, tmp_path: Path) -> None:
    said = heavyspot("new", "X-7", tmp_path / "mine.toml")
    assert said.code == 2
    assert "X-7" in said.err


def test_bad_input_is_one_line_and_exit_code_2(heavyspot: Callable, example: Callable) -> None:
    path = example("v-twin")
    path.write_text(path.read_text().replace('angle = "', 'angle = "9', 1))
    for step in [*STEPS, "report"]:
        said = heavyspot(step, path)
        assert said.code == 2
        assert said.out == ""
        assert said.err.count("\n") == 1
        assert said.err.startswith(f"heavyspot: {path}:")
        assert "is not an angle from -360 to 360 degrees" in said.err


def short_of_a_rod(path: Path) -> None:
    head, _, rest = path.read_text().partition('[[parts.rods]]\nmark = "R4"')
    path.write_text(head + "[crank]" + rest.partition("[crank]")[2])


def test_a_missing_rod_is_said_and_nothing_else(heavyspot: Callable, example: Callable) -> None:
    path = example("flat-four")
    short_of_a_rod(path)
    said = heavyspot("match", path)
    assert said.code == 2
    assert said.out == ""
    assert said.err == (
        "heavyspot: match needs more:\n"
        "  - 1 more rod under [[parts.rods]]: the engine has 4 cylinders\n"
    )


def test_check_of_a_job_short_of_a_rod_checks_everything_else(
    heavyspot: Callable, example: Callable
) -> None:
    path = example("flat-four")
    short_of_a_rod(path)
    text = path.read_text().replace("proven = 2026-03-02", "")
    path.write_text(text.replace('weight = ["390.0 g"', 'weight = ["300.0 g"', 1))
    said = heavyspot("check", path)
    assert (said.code, said.err) == (1, "")
    assert "match     needs 1 thing" in said.out
    assert "- 1 more rod under [[parts.rods]]: the engine has 4 cylinders" in said.out
    assert "spin      ready" in said.out
    assert "piston P1: its weighings lie" in said.out
    assert "the machine is not proven" in said.out


def test_check_goes_on_past_what_stops_a_step(heavyspot: Callable, example: Callable) -> None:
    path = example("flat-four")
    text = path.read_text().replace("proven = 2026-03-02", "")
    odd = """
[[spins]]
name = "odd"
on = ["crank"]
readings = [
  { plane = "left", amount = "452 g mm", angle = "96 deg" },
  { plane = "right", amount = "365 g mm", angle = "140 deg" },
]
"""
    path.write_text(text + odd)
    said = heavyspot("check", path)
    assert (said.code, said.err) == (1, "")
    assert "match     ready" in said.out
    assert "spin      cannot be done, see below" in said.out
    stops = " ".join(said.out.partition("Stops a step")[2].split())
    assert stops.count("are of the same metal but differ by") == 1
    assert "the machine is not proven" in said.out
    assert "Next: mend what stops a step above" in said.out
    assert max(map(len, said.out.splitlines())) <= 80


def test_a_step_that_lacks_its_input_lists_what_to_measure(
    heavyspot: Callable, example: Callable
) -> None:
    path = example("flat-four")
    head, _, _ = path.read_text().partition("[crank]")
    path.write_text(head)
    said = heavyspot("spin", path)
    assert said.code == 2
    assert "a [crank] table with mass and bearings" in said.err
    assert 'a [[spins]] entry of the crank alone, on = ["crank"]' in said.err


def test_a_spin_without_the_bobweights_it_needs_is_refused(
    heavyspot: Callable, example: Callable
) -> None:
    path = example("v-twin")
    lines = [line for line in path.read_text().splitlines() if not line.startswith("bobweights =")]
    path.write_text("\n".join(lines))
    said = heavyspot("spin", path)
    assert said.code == 2
    assert "this engine needs bobweights: write the masses that hung on the pins" in said.err


def test_the_schema_is_json_and_names_every_table(heavyspot: Callable) -> None:
    schema = json.loads(heavyspot("schema").out)
    assert {"engine", "parts", "crank", "machine", "spins", "targets"} <= set(schema["properties"])


HEAVY = ("scipy", "matplotlib")
BARE = (*HEAVY, "numpy", "pydantic", "rich")
LATER = ("balance.spin", "balance.metal.planning", "balance.sheet.drawings")
PLANNER = ("balance.metal.planning", "balance.metal.chance")


@pytest.mark.parametrize(
    ("words", "unwanted"),
    [
        (["--version"], BARE),
        (["--help"], BARE),
        (["match", "flat-four"], (*HEAVY, "numpy.ma", *LATER)),
        (["bobweight", "flat-four"], (*HEAVY, "numpy.ma", *LATER)),
        (["shake", "flat-four"], (*HEAVY, *LATER)),
        (["spin", "flat-four"], (*HEAVY, *PLANNER)),
        (["spin", "v-twin"], (*HEAVY, *PLANNER)),
        (["check", "flat-four"], (*HEAVY, *PLANNER)),
        (["correct", "flat-four"], HEAVY),
    ],
)
def test_a_command_loads_only_what_it_walks_through(
    words: list[str], unwanted: tuple[str, ...], example: Callable
) -> None:
    program = (
        "import sys; sys.argv[0] = 'heavyspot'\n"
        "from cli.main import run\n"
        "try: run()\n"
        "except SystemExit as stop: assert stop.code in (None, 0, 1)\n"
        "for name in sys.modules: print(name, file=sys.stderr)\n"
    )
    command, *jobs = words
    done = subprocess.run(
        [sys.executable, "-c", program, command, *(str(example(job)) for job in jobs)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    loaded = set(done.stderr.split())
    assert "cli.main" in loaded
    assert done.stdout
    assert not loaded & set(unwanted)


def test_a_complaint_is_folded_for_a_person_and_one_line_for_a_program(
    heavyspot: Callable, example: Callable, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = ("weigh", example("flat-four"), "no-such-part-" + "X" * 40, "1 g")
    line = heavyspot(*words).err
    assert len(line) > 80
    assert line.count("\n") == 1
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    folded = heavyspot(*words).err
    assert max(map(len, folded.splitlines())) <= 80
    assert folded.split() == line.split()
