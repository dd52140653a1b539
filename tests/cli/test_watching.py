"""What long work says while it goes on, and how Ctrl-C reaches it."""

import os
import signal
import subprocess
import sys

import pytest

from cli import watching
from cli.watching import Watch, watched


@pytest.fixture
def clock(monkeypatch):
    """A clock that the test turns by hand."""
    now = [100.0]
    monkeypatch.setattr(watching.time, "monotonic", lambda: now[0])
    return now


def terminal(monkeypatch, is_one):
    monkeypatch.setattr(sys.stderr, "isatty", lambda: is_one, raising=False)


def test_a_terminal_has_one_line_that_changes(monkeypatch, capsys, clock):
    terminal(monkeypatch, True)
    watch = Watch("jobs")
    for seconds, done in ((0.5, 1), (1.5, 2), (1.6, 3), (61.5, 40)):
        clock[0] = 100.0 + seconds
        watch.progress(done, 1000)
    watch.clear()
    said = capsys.readouterr().err.split("\r\x1b[K")
    assert said == [
        "",
        "2 of 1 000 jobs, 0:02 so far, about 12:28 left",
        "40 of 1 000 jobs, 1:02 so far, about 24:36 left",
        "",
    ]


def test_elsewhere_a_line_comes_now_and_then(monkeypatch, capsys, clock):
    terminal(monkeypatch, False)
    watch = Watch("drillings")
    for seconds in range(40):
        clock[0] = 100.0 + seconds
        watch.progress(seconds, 10_000)
    watch.clear()
    said = capsys.readouterr().err
    assert [line.partition(",")[0] for line in said.splitlines()] == [
        "15 of 10 000 drillings", "30 of 10 000 drillings",
    ]  # fmt: skip
    assert "\r" not in said


def test_programs_hear_nothing_and_their_person_at_the_terminal_does(monkeypatch, capsys, clock):
    for is_one in (False, True):
        terminal(monkeypatch, is_one)
        watch = Watch("jobs", quiet=True)
        clock[0] += 60.0
        watch.progress(1, 2)
        assert ("1 of 2 jobs" in capsys.readouterr().err) is is_one


def press():
    os.kill(os.getpid(), signal.SIGINT)


def test_ctrl_c_is_a_wish_and_the_second_an_order(capsys):
    before = signal.getsignal(signal.SIGINT)
    with watched("jobs") as watch:
        assert not watch.stop()
        press()
        assert watch.stop()
        assert "Ctrl-C again stops at once" in capsys.readouterr().err
        with pytest.raises(KeyboardInterrupt):
            press()
    assert signal.getsignal(signal.SIGINT) is before


def test_ctrl_c_in_the_midst_of_a_line_is_heard_all_the_same(monkeypatch, capfd):
    """Python refuses to write to a stream from within a write to it."""

    class Writing:
        def isatty(self) -> bool:
            return False

        def write(self, _text: str) -> int:
            raise RuntimeError("reentrant call inside <_io.BufferedWriter name='<stderr>'>")

        def flush(self) -> None: ...

    monkeypatch.setattr(sys, "stderr", Writing())
    watch = Watch("jobs")
    watch.wish()
    assert watch.stop()
    assert "Ctrl-C again stops at once" in capfd.readouterr().err


AT_IMPORT = """
import os, signal, sys
signal.signal(signal.SIGINT, signal.{at_start})  # a shell in the background holds it back
class CtrlC:
    def find_spec(self, name, *_):
        if name.endswith({module!r}):
            os.write(1, b"pressed")
            os.kill(os.getpid(), signal.SIGINT)
sys.meta_path.insert(0, CtrlC())
sys.argv = ["heavyspot", *{words!r}]
from cli.main import run
run()
"""


def pressed_at_import(module, words, *, at_start):
    program = AT_IMPORT.format(module=module, words=words, at_start=at_start)
    return subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False, timeout=120
    )


@pytest.mark.skipif(sys.platform == "win32", reason="needs signals")
@pytest.mark.parametrize(
    ("module", "words"),
    [
        ("cli.app", ["schema"]),
        ("typer", ["--help"]),
        ("cli.weigh", ["schema"]),
        ("click.formatting", ["--help"]),  # while the words are read; newer typers bring their own
        ("pydantic", ["schema"]),  # inside the command
    ],
)
def test_ctrl_c_while_the_program_starts_is_one_line(module, words):
    done = pressed_at_import(module, words, at_start="default_int_handler")
    assert (done.returncode, done.stdout, done.stderr) == (130, "pressed", "heavyspot: stopped\n")


@pytest.mark.skipif(sys.platform == "win32", reason="needs signals")
def test_ctrl_c_that_is_held_back_stays_so():
    done = pressed_at_import("cli.app", ["--version"], at_start="SIG_IGN")
    assert (done.returncode, done.stdout[:7], done.stderr) == (0, "pressed", "")
