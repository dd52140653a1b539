"""Run the command line in this process and look at what it says."""

import sys
from collections.abc import Callable
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
def example(tmp_path: Path) -> Callable[[str], Path]:
    def copy(name: str) -> Path:
        path = tmp_path / f"{name}.toml"
        path.write_bytes((files("cli.examples") / path.name).read_bytes())
        return path

    return copy
