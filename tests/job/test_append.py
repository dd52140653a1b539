"""Appending: nothing that stands in the file is touched, nothing is half written."""

import datetime as dt
import os
import stat
import threading
from pathlib import Path

import pytest

from balance.errors import JobFileError
from balance.job.append import append_entry
from balance.job.load import read_job

WEIGHING = {"part": "P1", "value": "420.5 g", "time": dt.datetime(2026, 1, 2, 3, 4, 5)}


@pytest.fixture
def path(tmp_path: Path, small: str) -> Path:
    path = tmp_path / "job.toml"
    path.write_text("# a comment that must stay\n" + small, encoding="utf-8")
    return path


def test_the_old_text_stays_byte_for_byte(path: Path) -> None:
    before = path.read_bytes()
    job = append_entry(path, "weighings", WEIGHING)
    assert path.read_bytes().startswith(before)
    assert job == read_job(path)
    assert job.weighings[0].value == 420.5
    assert job.weighings[0].time == WEIGHING["time"]


def test_a_spin_with_its_readings(path: Path) -> None:
    readings = [{"plane": "L", "amount": 1.5, "angle": 2}, {"plane": "R", "amount": 3, "angle": 4}]
    job = append_entry(path, "spins", {"name": 'a "b" \\ é', "on": ["crank"], "readings": readings})
    assert job.spins[-1].name == 'a "b" \\ é'
    assert job.spins[-1].readings[1].amount == 3


def test_an_entry_that_does_not_fit_changes_nothing(path: Path) -> None:
    before = path.read_bytes()
    with pytest.raises(JobFileError, match="'P9' is no part of this job"):
        append_entry(path, "weighings", {**WEIGHING, "part": "P9"})
    assert path.read_bytes() == before
    assert [p.name for p in path.parent.iterdir() if p.suffix == ".toml"] == ["job.toml"]


def test_no_final_newline_and_crlf(path: Path) -> None:
    path.write_bytes(path.read_bytes().rstrip(b"\n").replace(b"\n", b"\r\n"))
    append_entry(path, "weighings", WEIGHING)
    assert len(read_job(path).weighings) == 1
    assert b"\n" not in path.read_bytes().replace(b"\r\n", b"")


def test_a_symbolic_link_stays_a_link(path: Path, tmp_path: Path) -> None:
    link = tmp_path / "link.toml"
    link.symlink_to(path)
    append_entry(link, "weighings", WEIGHING)
    assert link.is_symlink()
    assert len(read_job(path).weighings) == 1


def test_the_mode_is_kept(path: Path) -> None:
    path.chmod(0o640)
    append_entry(path, "weighings", WEIGHING)
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_many_at_once_lose_nothing(path: Path) -> None:
    def work() -> None:
        for _ in range(5):
            append_entry(path, "weighings", WEIGHING)

    threads = [threading.Thread(target=work) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(read_job(path).weighings) == 20


def test_a_full_disk_leaves_the_old_file(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = path.read_bytes()

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(
        JobFileError, match="cannot be written: No space left on device; nothing was"
    ):
        append_entry(path, "weighings", WEIGHING)
    assert path.read_bytes() == before


def test_a_file_replaced_meanwhile_is_read_again(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, calls = os.fsync, []

    def meddle(handle: int) -> None:
        calls.append(handle)
        if len(calls) == 1:
            path.write_text(path.read_text() + "# changed in an editor\n")
        real(handle)

    monkeypatch.setattr(os, "fsync", meddle)
    append_entry(path, "weighings", WEIGHING)
    assert "# changed in an editor" in path.read_text()
    assert len(read_job(path).weighings) == 1


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(
        JobFileError, match=r"gone.toml: cannot be read: No such file.*heavyspot new"
    ):
        append_entry(tmp_path / "gone.toml", "weighings", WEIGHING)
