"""Ctrl-C and Ctrl-D at a question, on a terminal of its own: one rule for every led command."""

import os
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

if sys.platform == "win32":
    pytest.skip("needs a pseudo terminal", allow_module_level=True)

import pty
import select

CTRL_C, CTRL_D = b"\x03", b"\x04"
_RUN = "import sys; sys.argv[0] = 'heavyspot'; from cli.main import run; run()"
_DEADLINE_S = 120.0  # a slow machine under load


def led(words: list[str], answers: list[bytes]) -> tuple[int, str]:
    """Return exit code and screen of a command; each answer is typed at the next ``> ``."""
    child, terminal = pty.fork()
    if child == 0:
        os.environ.update(COLUMNS="80", TERM="dumb")
        os.execv(sys.executable, [sys.executable, "-c", _RUN, *words])
    heard, asked, end = b"", 0, time.monotonic() + _DEADLINE_S
    while time.monotonic() < end:
        if not select.select([terminal], [], [], 2.0)[0]:
            if asked == len(answers):  # Python was not listening yet: a person presses it again
                os.write(terminal, answers[-1])
            continue
        try:
            more = os.read(terminal, 4096)
        except OSError:  # the child has gone
            more = b""
        if not more:
            break
        heard += more
        if heard.endswith(b"> ") and asked < len(answers):
            time.sleep(0.1)
            os.write(terminal, answers[asked])
            asked += 1
    else:
        os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    os.close(terminal)
    return os.waitstatus_to_exitcode(status), heard.decode().replace("\r", "")


@pytest.mark.parametrize("key", [CTRL_C, CTRL_D], ids=["Ctrl-C", "Ctrl-D"])
@pytest.mark.parametrize(
    ("words", "answers"),
    [
        (["spin", "v-twin.toml", "--add"], []),
        (["spin", "v-twin.toml", "--add"], [b"\n", b"\n", b"\n", b"\n", b"1.2\n"]),
        (["drilled", "v-twin.toml"], [b"W1\n", b"180\n"]),
        (["drilled", "v-twin.toml", "W1", "20 deg", "30 mm", "60 mm"], []),
        (["weigh", "v-twin.toml", "P1", "999"], []),
    ],
    ids=["spin", "spin half told", "drilled", "drilled, doubted", "weigh, doubted"],
)
def test_nothing_is_written_and_the_exit_code_is_130(
    example: Callable[[str], Path], words: list[str], answers: list[bytes], key: bytes
) -> None:
    path = example("v-twin")
    before = path.read_bytes()
    code, screen = led(words, [*answers, key])
    assert code == 130, screen
    assert screen.rstrip().endswith("Nothing was written.")
    assert "Traceback" not in screen
    assert path.read_bytes() == before


@pytest.mark.parametrize("key", [CTRL_C, CTRL_D], ids=["Ctrl-C", "Ctrl-D"])
def test_weighing_keeps_what_was_typed_and_goes_on_later(bare: Path, key: bytes) -> None:
    code, screen = led(["weigh", str(bare)], [b"420.3\n", key])
    assert code == 130, screen
    assert "Every reading you kept is in" in screen
    assert "still to weigh" in screen
    assert '"420.3 g"' in bare.read_text()


def test_q_is_an_answer_and_no_interruption(example: Callable[[str], Path]) -> None:
    example("v-twin")
    code, screen = led(["spin", "v-twin.toml", "--add"], [b"q\n"])
    assert (code, "Nothing was written." in screen) == (1, True)
