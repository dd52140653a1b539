"""Run the command line, in this process or on a terminal of its own, and look at what it says."""

import io
import os
import select
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

import pytest

from cli.main import run


@dataclass(frozen=True)
class Said:
    code: int
    out: str
    err: str


@pytest.fixture
def heavyspot(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., Said]:
    def call(*words: object) -> Said:
        monkeypatch.setattr(sys, "argv", ["heavyspot", *map(str, words)])
        monkeypatch.setenv("COLUMNS", "80")
        with pytest.raises(SystemExit) as stop:
            run()
        captured = capsys.readouterr()
        return Said(int(stop.value.code or 0), captured.out, captured.err)

    return call


@pytest.fixture
def example(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], Path]:
    """Copy an example into a folder of its own and work there: a path as short as at the bench."""
    monkeypatch.chdir(tmp_path)

    def copy(name: str) -> Path:
        path = Path(f"{name}.toml")
        path.write_bytes((files("cli.examples") / path.name).read_bytes())
        return path

    return copy


_RUN = "import sys; sys.argv[0] = 'heavyspot'; from cli.main import run; run()"
_DEADLINE_S = 120.0  # a slow machine under load


def _interrupted(
    words: Sequence[object], *, at: str, folder: Path, times: int = 1, before: str = ""
) -> Said:
    """Start a command, send SIGINT once its standard error (a terminal) says ``at``."""
    here, there = os.openpty()
    with (folder / "out.txt").open("w+", encoding="utf-8") as out:
        process = subprocess.Popen(
            [sys.executable, "-c", before + _RUN, *map(str, words)],
            stdout=out,
            stderr=there,
            cwd=folder,
            env=os.environ | {"COLUMNS": "80"},
            start_new_session=True,
        )
        os.close(there)
        try:
            err = _heard(here, until=at)
            for number in range(times):
                if number:  # once the first one was heard: two at once would be one
                    err += _heard(here, until="Ctrl-C again stops at once")
                os.killpg(process.pid, signal.SIGINT)  # as a terminal does: to all of the group
            err += _heard(here, until=None)
            code = process.wait(timeout=_DEADLINE_S)
        finally:
            process.kill()
            os.close(here)
        out.seek(0)
        return Said(code, out.read(), err)


def _heard(terminal: int, *, until: str | None) -> str:
    """Return what a terminal says until it says something, or until nobody writes any more."""
    heard, end = "", time.monotonic() + _DEADLINE_S
    while until is None or until not in heard:
        ready, _, _ = select.select([terminal], [], [], max(0.0, end - time.monotonic()))
        if not ready:
            raise TimeoutError(f"{until!r} was not said in time; heard: {heard}")
        try:
            more = os.read(terminal, 65536)
        except OSError:  # the last writer is gone
            more = b""
        if not more:
            if until is None:
                return heard
            raise EOFError(f"{until!r} was never said; heard: {heard}")
        heard += more.decode("utf-8", errors="replace")
    return heard


@pytest.fixture
def interrupted() -> Callable[..., Said]:
    if sys.platform == "win32":
        pytest.skip("needs a pseudo terminal and signals")
    return _interrupted


class Keyboard(io.StringIO):
    """What a person types, at a terminal unless said otherwise."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def types(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    def lines(*words: str) -> None:
        monkeypatch.setattr(sys, "stdin", Keyboard("".join(f"{word}\n" for word in words)))

    return lines


@pytest.fixture
def bare(heavyspot: Callable, tmp_path: Path) -> Path:
    """A new job of a single, measured but not weighed."""
    path = tmp_path / "single.toml"
    heavyspot("new", "single", path)
    text = path.read_text()
    path.write_text(
        text.replace('= "?"', '= "84 mm"').replace('rod_length = "84', 'rod_length = "140')
    )
    return path
