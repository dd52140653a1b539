"""Readings, spins and holes entered at the bench: each on disk before the next question."""

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from balance.job.load import read_job
from balance.job.readings import find_wanted


def readings(path: Path, part: str, what: str | None = None) -> tuple[float, ...]:
    return find_wanted(read_job(path), part, what).readings_g


def test_readings_from_one_command_line(heavyspot: Callable, example: Callable) -> None:
    path = example("v-twin")
    before = path.read_bytes()
    said = heavyspot("weigh", path, "P1", "494,6", "494.8 g", "--instrument", "bench scale")
    assert said.code == 0
    assert "piston P1: 494,6 g, 494.8 g kept" in said.out
    assert path.read_bytes().startswith(before)
    assert readings(path, "P1")[-2:] == (494.6, 494.8)
    entry = read_job(path).weighings[-1]
    assert entry.instrument == "bench scale"
    assert entry.time is not None
    assert entry.time.tzinfo is not None


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["P9", "1"], "'P9' is no part of this job; its marks are P1, P2, N1, N2, R1, R2"),
        (["R1", "640.9"], "R1 is a rod: add --what total, --what big_end or --what small_end\n"),
        (
            ["P1", "494.7", "--what", "total"],
            "P1 is a piston, which is weighed whole: leave --what out, got 'total'",
        ),
        (["P1", "49A.7"], "'49A.7' is not a mass: 'A' stands inside the number"),
        (["P1", "0"], "'0' must be greater than 0"),
        (["P1", "1,234"], "can be read two ways"),
        (["P1", "494.7", "947.4"], "piston P1: 947.40 g is 452.70 g heavier than its other"),
        (["P1", "449.7"], "(did you mean 494.7 g?). Nothing was written: --sure writes it"),
        (["R1", "469.8", "--what", "big_end"], "rod R1: big end + small end come to 0.95 g more"),
        (["R1", "big", "end", "469.8"], "rod R1: big end + small end come to 0.95 g more than"),
        (["R1", "middle", "9"], "R1 is a rod: add --what total"),
        (["P1", "-4"], "'-4' must be greater than 0"),
        (["P1", "4", "-sure"], "no option '-sure': did you mean --sure?"),
        (["P1", "-x"], "no option '-x': there are --what, --finished"),
        (["--undo"], "has no appended weighing to take back"),
        (["P1", "--undo"], "piston P1: nothing left to take back; edit "),
        (["R1", "--undo"], "rod R1: nothing left to take back; edit "),
        (["P1", "--undo", "--finished"], "piston P1: nothing left to take back\n"),
        (["R1", "9", "--what", "middle"], "or --what small_end, got 'middle'"),
        (["rings", "38.2", "--finished"], "rings are not cut: weigh them without --finished"),
        (
            ["rings", "38.2", "--what", "big"],
            "rings are weighed whole: leave --what out, got 'big'",
        ),
        (["locks", "--undo"], "locks of one piston: nothing left to take back\n"),
        (
            ["P1", "17.5", "oz"],
            "17.5 oz is known to 2.8 g only, the scale shows 0.1 g: write every",
        ),
    ],
)
def test_what_cannot_be_right_changes_nothing(
    heavyspot: Callable, example: Callable, words: list[str], message: str
) -> None:
    path = example("v-twin")
    before = path.read_bytes()
    said = heavyspot("weigh", path, *words)
    assert said.code == 2
    assert message in said.err + " ".join(said.out.split())
    assert said.err.count("\n") == 1
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("words", "what", "value_g"),
    [
        (("total", "640.8"), "total", 640.8),
        (("big", "end", "467.9"), "big_end", 467.9),
        (("Small-End", "172.9 g"), "small_end", 172.9),
    ],
)
def test_which_weighing_of_a_rod_may_stand_before_its_readings(
    heavyspot: Callable, example: Callable, words: tuple[str, ...], what: str, value_g: float
) -> None:
    path = example("v-twin")
    said = heavyspot("weigh", path, "R1", *words)
    assert said.code == 0, said.err + said.out
    assert "It has 2 readings now." in " ".join(said.out.split())
    assert readings(path, "R1", what)[-1] == value_g


def test_a_reading_in_another_unit_is_said_in_grams(heavyspot: Callable, example: Callable) -> None:
    said = heavyspot("weigh", example("v-twin"), "P1", "17.450", "oz")
    assert "piston P1: 17.450 oz (494.70 g) kept in" in said.out  # NIST: 1 oz = 28.349523125 g


@pytest.mark.parametrize("words", [("421.9", "g"), ("421.9 g",), ("421.9",)])
def test_a_lone_unit_belongs_to_the_number_before_it(
    heavyspot: Callable, bare: Path, words: tuple[str, ...]
) -> None:
    assert heavyspot("weigh", bare, "P1", *words).code == 0
    assert readings(bare, "P1") == (421.9,)


@pytest.mark.parametrize("what", ["big_end", "big end", "Big", "big-end"])
def test_an_end_may_be_named_as_people_say_it(heavyspot: Callable, bare: Path, what: str) -> None:
    assert heavyspot("weigh", bare, "R1", "--what", what, "430.2", "430.3").code == 0
    assert readings(bare, "R1", what) == (430.2, 430.3)


def test_the_same_doubt_of_two_readings_is_said_once(
    heavyspot: Callable, example: Callable
) -> None:
    said = heavyspot("weigh", example("v-twin"), "P1", "449.7", "449.7")
    assert said.code == 2
    assert said.err.count("449.70 g is") == 1


def test_ring_sets_are_no_repeats_that_the_scale_is_judged_by(
    heavyspot: Callable, example: Callable
) -> None:
    path = example("flat-four")
    scale = heavyspot("match", path).out.splitlines()[2]
    assert heavyspot("weigh", path, "rings", "38.2", "38.9", "38.5", "38.0").code == 0
    assert heavyspot("match", path).out.splitlines()[2] == scale
    asked = heavyspot("explain", path, "rings").out
    assert "(38.2 + 38.9 + 38.5 + 38) / 4" in asked
    assert "far apart" not in asked


def test_rings_locks_and_shells_are_weighed_without_marks(
    heavyspot: Callable, example: Callable
) -> None:
    path = example("v-twin")
    was = read_job(path).parts
    said = heavyspot("weigh", path, "rings", "38.2", "38.4")
    assert said.code == 0
    assert "rings of one piston: 38.2 g, 38.4 g kept in" in said.out
    assert heavyspot("weigh", path, "Bearing shells", "60.1").code == 0
    parts = read_job(path).parts
    assert parts.ring_set == pytest.approx(38.3)
    assert parts.bearing_shells == 60.1
    assert parts.locks == was.locks
    doubted = heavyspot("weigh", path, "ring set", "48.2")
    assert "rings of one piston: 48.20 g is 9.90 g heavier than its other readings" in doubted.err
    undone = heavyspot("weigh", path, "rings", "--undo")
    assert "rings of one piston: the latest reading (first weighing), 38.4 g, is" in undone.out
    heavyspot("weigh", path, "rings", "--undo")
    assert read_job(path).parts.ring_set == was.ring_set
    assert heavyspot("match", path).code == 0


def test_swapped_ends_are_asked_about_at_once(heavyspot: Callable, bare: Path) -> None:
    assert heavyspot("weigh", bare, "R1", "--what", "big", "157.0").code == 0
    said = heavyspot("weigh", bare, "R1", "--what", "small", "401.1")
    assert said.code == 2
    assert said.err == (
        "heavyspot: rod R1: its small end (401.1 g) weighs more than its big end (157.0 g): are "
        "the two swapped? Nothing was written: --sure writes it all the same\n"
    )
    assert heavyspot("weigh", bare, "R1", "--what", "small", "401.1", "--sure").code == 0
    said = heavyspot("check", bare)
    assert "rod R1: its small end (401.1 g) weighs more" in " ".join(said.out.split())
    bare.write_text(
        bare.read_text().replace("# small_end_heavier = false", "small_end_heavier = true")
    )
    assert "small end (401.1 g)" not in heavyspot("check", bare).out


def test_a_doubtful_reading_can_be_kept(
    heavyspot: Callable, example: Callable, types: Callable
) -> None:
    path = example("v-twin")
    assert heavyspot("weigh", path, "P1", "449.7", "--sure").code == 0
    types("y")
    assert heavyspot("weigh", path, "P2", "469.3").code == 0
    types("n")
    assert heavyspot("weigh", path, "P2", "469.3").code == 1
    assert len(read_job(path).weighings) == 2


def test_undo_is_a_new_entry(heavyspot: Callable, example: Callable) -> None:
    path = example("v-twin")
    was = readings(path, "P1")
    heavyspot("weigh", path, "P1", "494.7")
    heavyspot("weigh", path, "R1", "640.9", "--what", "total")
    said = heavyspot("weigh", path, "--undo").out
    assert "rod R1 total: the latest reading (first weighing), 640.9 g, is taken back." in said
    assert "494.7 g, is taken back" in heavyspot("weigh", path, "p1", "--undo").out
    assert readings(path, "P1") == was
    assert len(read_job(path).weighings) == 4


def test_parts_after_cutting_are_kept_apart(heavyspot: Callable, example: Callable) -> None:
    path = example("v-twin")
    was = readings(path, "P1")
    assert heavyspot("weigh", path, "P1", "493.1", "--finished", "--sure").code == 0
    assert readings(path, "P1") == was
    assert find_wanted(read_job(path), "P1", None, finished=True).readings_g == (493.1,)


def test_the_whole_bench_is_led_part_by_part(
    heavyspot: Callable, bare: Path, types: Callable
) -> None:
    types("420.3", "110,2", "601", "430.2", "170.8")
    said = heavyspot("weigh", bare, "--repeats", "1")
    assert said.code == 0
    asked = [line for line in said.out.splitlines() if " (1 of 1, in g) > " in line]
    assert [line.partition(" (")[0] for line in asked] == [
        "piston P1",
        "pin N1",
        "rod R1 total",
        "rod R1 big end",
        "rod R1 small end",
    ]
    assert "Next: heavyspot match" in said.out
    assert readings(bare, "R1", "small_end") == (170.8,)


def test_stop_and_go_on_later(heavyspot: Callable, bare: Path, types: Callable) -> None:
    types("420.3", "q")
    assert heavyspot("weigh", bare).code == 1
    types("n", "110.2")  # the input ends: what was typed is kept all the same
    said = heavyspot("weigh", bare)
    assert said.code == 130
    assert "piston P1 (2 of 2, in g)" in said.out
    assert "5 still to weigh, piston P1 first" in said.out
    assert readings(bare, "P1") == (420.3,)


def test_undo_goes_back_to_the_part(heavyspot: Callable, bare: Path, types: Callable) -> None:
    types("u", "420.3", "420.5", "u", "420.4", "q")
    said = heavyspot("weigh", bare)
    assert "there is no appended reading to take back" in said.out
    assert "  piston P1: the latest reading (first weighing), 420.5 g, is taken back\n" in said.out
    assert readings(bare, "P1") == (420.3, 420.4)
    assert len(read_job(bare).weighings) == 4


def test_a_rod_that_does_not_close_is_asked_about(
    heavyspot: Callable, bare: Path, types: Callable
) -> None:
    types("601.0", "432.0", "618.0", "what?", "n", "168.0", "y")
    said = heavyspot("weigh", bare, "R1", "--repeats", "1")
    assert said.code == 0
    assert "rod R1: " in said.out  # an end as heavy as the whole
    assert "come to 1.00 g less than the total" in " ".join(said.out.split())
    assert readings(bare, "R1", "small_end") == (168.0,)


def test_a_doubted_reading_is_put_right_at_once(
    heavyspot: Callable, bare: Path, types: Callable
) -> None:
    types("420.3", "402.3", "?", "402.4", "420.4", "110.2", "101.2", "q", "9")
    said = heavyspot("weigh", bare)
    assert said.code == 1
    assert "Keep it all the same? y, n, u, q or the right reading > " in said.out
    explained = "y keeps it, n does not, the right reading takes its place; u takes back the "
    assert f"{explained}reading before it; q stops" in " ".join(said.out.split())
    assert readings(bare, "P1") == (420.3, 420.4)
    assert readings(bare, "N1") == (110.2,)  # q at the doubt stops, and nothing is kept of it
    assert len(read_job(bare).weighings) == 3


def test_a_question_mark_explains(heavyspot: Callable, bare: Path, types: Callable) -> None:
    types("?", "q")
    assert (
        heavyspot("weigh", bare).out.count("Type the reading, in g unless you write its unit.") == 2
    )


def test_capitals_of_a_mark_do_not_matter(heavyspot: Callable, bare: Path, types: Callable) -> None:
    assert "piston P1: 420.3 g kept" in heavyspot("weigh", bare, "p1", "420.3").out
    types("601")
    assert "rod R1 total (1 of 2, in g) > " in heavyspot("weigh", bare, "r1").out
    entries = [(entry.part, entry.what, entry.value) for entry in read_job(bare).weighings]
    assert entries == [("P1", "weight", 420.3), ("R1", "total", 601.0)]


def test_each_reading_is_on_disk_before_the_next_question(
    heavyspot: Callable, bare: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[int] = []
    answers = iter(["420.1", "420.2", "110.2"])

    def answer(question: str) -> str:
        seen.append(len(read_job(bare).weighings))
        word = next(answers, None)
        if word is None:
            raise KeyboardInterrupt
        return word

    monkeypatch.setattr("builtins.input", answer)
    said = heavyspot("weigh", bare)
    assert said.code == 130  # Ctrl-C
    assert "Every reading you kept is in" in said.out
    assert seen == [0, 1, 2, 3]


def test_a_part_that_is_weighed_is_said_to_be_with_what_more_can_be_done(
    heavyspot: Callable, bare: Path, types: Callable
) -> None:
    heavyspot("weigh", bare, "P1", "420.3", "420.2")
    types()
    said = heavyspot("weigh", bare, "p1")
    words = " ".join(said.out.split())
    assert said.code == 0
    assert "piston P1 is weighed: 420.3, 420.2 g. Nothing is asked." in words
    unwrapped = "".join(said.out.split())  # a long path is folded within itself
    assert f"Onemorereading:heavyspotweigh{bare}P1VALUE." in unwrapped
    assert f"Thelatesttakenback:heavyspotweigh{bare}P1--undo." in unwrapped
    assert "Every reading you kept" not in words
    heavyspot("weigh", bare, "P1", "420.1", "420.0", "--finished", "--sure")
    cut = "".join(heavyspot("weigh", bare, "P1", "--finished").out.split())
    assert "pistonP1isweighed:420.1,420g.Nothingisasked." in cut
    assert f"heavyspotweigh{bare}P1--finished--undo." in cut


def test_what_cannot_be_read_is_asked_again(
    heavyspot: Callable, bare: Path, types: Callable
) -> None:
    types("", "abc", "1,234", "-4", "420.3", "q")
    said = heavyspot("weigh", bare)
    assert "Type the reading, in g unless" in said.out
    assert "'abc' is not a mass" in said.out
    assert "can be read two ways" in said.out
    assert "'-4' must be greater than 0" in said.out
    assert readings(bare, "P1") == (420.3,)


def test_a_scale_on_a_port_and_the_keyboard_beside_it(
    heavyspot: Callable, bare: Path, types: Callable
) -> None:
    import os
    import pty
    import threading
    import tty

    scale, ours = pty.openpty()
    tty.setraw(ours)
    over = threading.Event()

    def play() -> None:
        while not over.wait(0.01):
            os.write(scale, b"S  420.30 g\r\n")

    thread = threading.Thread(target=play)
    thread.start()
    types("", "420.4", "q")
    said = heavyspot("weigh", bare, "--port", os.ttyname(ours))
    over.set()
    thread.join()
    os.close(scale)
    os.close(ours)
    assert "Enter takes the scale's reading." in said.out
    assert readings(bare, "P1") == (420.3, 420.4)
    assert "scale on /dev/" in read_job(bare).weighings[0].instrument


def test_a_scale_that_is_not_plugged_in(heavyspot: Callable, bare: Path) -> None:
    said = heavyspot("weigh", bare, "--port", "/dev/no-such-port")
    assert said.code == 2
    assert "port /dev/no-such-port cannot be opened: is the scale plugged in" in said.err


def test_a_reading_that_the_disk_refuses_is_asked_for_again(
    heavyspot: Callable, bare: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import os

    answers = iter(["420.1", "420.1", "q"])
    real, calls = os.replace, []

    def full_once(*words: object) -> None:
        calls.append(words)
        if len(calls) == 1:
            raise OSError(28, "No space left on device")
        real(*words)  # type: ignore[arg-type]

    monkeypatch.setattr(os, "replace", full_once)
    monkeypatch.setattr("builtins.input", lambda _: next(answers))
    said = heavyspot("weigh", bare)
    assert "cannot be written: No space left on device; nothing was changed" in said.out
    assert readings(bare, "P1") == (420.1,)


def test_bytes_that_are_no_text_are_asked_for_again(bare: Path) -> None:
    import subprocess

    done = subprocess.run(
        [sys.executable, "-c", "from cli.main import run; run()", "weigh", str(bare)],
        input=b"42\xff0.3\n420.3\nq\n",
        capture_output=True,
        check=False,
    )
    assert done.returncode == 1, done.stderr
    assert b"Traceback" not in done.stderr
    assert readings(bare, "P1") == (420.3,)


def test_a_terminal_of_plain_letters_gets_numbers_for_the_others(bare: Path) -> None:
    import os
    import subprocess

    bare.write_text(bare.read_text().replace('"P1"', '"Pé1"', 1), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-c", "from cli.main import run; run()", "weigh", str(bare)],
        input=b"420.3\nq\n",
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONIOENCODING": "ascii:strict"},
    )
    assert b"piston P\\xe91" in done.stdout
    assert done.returncode == 1, done.stderr


@pytest.fixture
def weighed(example: Callable) -> Path:
    """The flat-four, of which the piston P1 and the big end of R1 are cut among others."""
    return example("flat-four")


def test_after_the_cut_those_that_were_cut_come_first_and_the_rest_is_optional(
    heavyspot: Callable, weighed: Path, types: Callable
) -> None:
    cut = ["389.2", "389.4", "400.6", "400.6", "400.6", "q"]
    types("u", *cut)
    said = heavyspot("weigh", weighed, "--finished", "--repeats", "1")
    assert said.code == 0, said.out
    asked = [line.partition(" (")[0] for line in said.out.splitlines() if " of 1, in g) > " in line]
    assert asked[0] == "piston P1"
    assert "there is no appended reading to take back" in said.out  # first weighings stay
    rest = said.out.partition("Every part that the plan cuts is done. The rest is optional")[2]
    assert rest
    assert "Next: heavyspot check" in said.out


def test_at_a_doubt_the_wrong_earlier_reading_can_be_taken_back(
    heavyspot: Callable, bare: Path, types: Callable
) -> None:
    types("402.3", "420.3", "u", "420.3", "q")
    said = heavyspot("weigh", bare)
    shown = " ".join(said.out.split())
    assert "(did you mean" in shown or "a wrong earlier reading? u takes it back" in shown
    assert "piston P1: the latest reading (first weighing), 402.3 g, is taken back" in shown
    assert "--finished" not in said.out
    assert all(len(line) <= 80 for line in said.out.splitlines() if " > " not in line)
    assert readings(bare, "P1") == (420.3, 420.3)
