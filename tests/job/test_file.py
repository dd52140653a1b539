"""The file under the hands of several people, a full disk, a kill: nothing accepted is lost."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from balance.errors import JobFileError
from balance.job.append import append_entries, append_entry
from balance.job.load import read_job, read_text

WEIGHING = {"part": "P1", "value": "420.5 g"}
WRITER = """\
import sys
from balance.job.append import append_entry
for number in range(20):
    append_entry(sys.argv[1], "weighings", {"part": sys.argv[2], "value": number + 1})
"""


@pytest.fixture
def path(tmp_path: Path, small: str) -> Path:
    path = tmp_path / "job.toml"
    path.write_text(small, encoding="utf-8")
    return path


def test_two_terminals_at_once_lose_nothing(path: Path) -> None:
    writers = [
        subprocess.Popen([sys.executable, "-c", WRITER, str(path), part]) for part in ("P1", "P2")
    ]
    assert [writer.wait() for writer in writers] == [0, 0]
    entries = read_job(path).weighings
    for part in ("P1", "P2"):
        assert [entry.value for entry in entries if entry.part == part] == [*range(1, 21)]


FULL_DISK = """
import resource, signal, sys
from balance.errors import JobFileError
from balance.job.append import append_entry
path, room = sys.argv[1], int(sys.argv[2])
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))
try:
    append_entry(path, "weighings", {"part": "P1", "value": "420.5 g"})
except JobFileError as wrong:
    sys.exit(str(wrong))
"""


def test_no_room_for_another_reading(path: Path) -> None:
    """In a process of its own: the limit would hold for the tests' own output too."""
    before = path.read_bytes()
    done = subprocess.run(
        [sys.executable, "-c", FULL_DISK, str(path), str(len(before) + 10)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert "cannot be written: File too large; nothing was changed" in done.stderr
    assert path.read_bytes() == before
    assert [p.name for p in path.parent.iterdir() if p.suffix == ".new"] == []


def test_all_entries_or_none(path: Path) -> None:
    before = path.read_bytes()
    with pytest.raises(
        JobFileError, match=r"weighings\[2\].part: 'P9' is no part.*nothing was written"
    ):
        append_entries(path, "weighings", [WEIGHING, {**WEIGHING, "part": "P9"}])
    assert path.read_bytes() == before
    job = append_entries(path, "weighings", [WEIGHING] * 3)
    assert len(job.weighings) == 3


def test_a_fault_of_the_file_itself_has_its_line(path: Path) -> None:
    path.write_text(path.read_text().replace('"420.4 g"', '"42O.4 g"'))
    with pytest.raises(JobFileError, match=re.escape("job.toml:14: parts.pistons[1].weight[2]")):
        append_entry(path, "weighings", WEIGHING)


def test_a_read_only_file_stays_as_it_is(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path.chmod(0o444)
    if os.access(path, os.W_OK):  # the superuser may write everything
        monkeypatch.setattr(os, "access", lambda *_: False)
    before = path.read_bytes()
    with pytest.raises(JobFileError, match="is read-only; nothing was changed"):
        append_entry(path, "weighings", WEIGHING)
    assert path.read_bytes() == before


def test_a_folder_that_takes_no_new_file(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", refuse)  # where the lock is made
    with pytest.raises(JobFileError, match="cannot be written: Permission denied; nothing was"):
        append_entry(path, "weighings", WEIGHING)


def test_a_file_replaced_by_an_editor_between_two_readings(path: Path, small: str) -> None:
    append_entry(path, "weighings", WEIGHING)
    other = path.with_name("editor.tmp")
    other.write_text(path.read_text() + "# a remark\n")
    os.replace(other, path)
    append_entry(path, "weighings", WEIGHING)
    assert "# a remark" in path.read_text()
    assert len(read_job(path).weighings) == 2


def test_what_a_killed_writer_left_is_cleared_away(path: Path) -> None:
    path.with_name(".job.toml.new").write_text("half of a fi")
    append_entry(path, "weighings", WEIGHING)
    assert not path.with_name(".job.toml.new").exists()
    assert len(read_job(path).weighings) == 1


def test_a_hostile_link_in_the_place_of_the_new_file_is_not_followed(path: Path) -> None:
    precious = path.with_name("precious")
    precious.write_text("keep")
    path.with_name(".job.toml.new").symlink_to(precious)
    append_entry(path, "weighings", WEIGHING)
    assert precious.read_text() == "keep"


@pytest.mark.parametrize("target", ["/dev/zero", "."])
def test_only_files_are_added_to(target: str) -> None:
    with pytest.raises(JobFileError, match="is not a file that can be added to"):
        append_entry(target, "weighings", WEIGHING)


def test_a_file_that_is_not_utf8_is_not_added_to(path: Path) -> None:
    path.write_bytes(path.read_bytes().replace(b"small", b"sm\xe4ll"))
    with pytest.raises(JobFileError, match=r"job.toml:3: is not UTF-8 text"):
        append_entry(path, "weighings", WEIGHING)


def test_a_byte_order_mark_is_kept(path: Path) -> None:
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes())
    append_entry(path, "weighings", WEIGHING)
    assert path.read_bytes().startswith(b"\xef\xbb\xbf")
    assert len(read_job(path).weighings) == 1


ENTRY = '\n[[weighings]]\npart = "P1"\nvalue = "42{}.4 g"\ntime = 2026-01-01T00:00:00Z\n'


def test_ten_thousand_readings(path: Path, small: str) -> None:
    text = small + "".join(ENTRY.format(i % 10) for i in range(10_000))
    path.write_text(text)
    job = append_entry(path, "weighings", WEIGHING)
    assert len(job.weighings) == 10_001
    assert path.read_text().startswith(text)


def test_a_fault_in_each_of_ten_thousand_readings_is_one_line(small: str) -> None:
    text = small + "".join(ENTRY.format("x") for _ in range(10_000))
    with pytest.raises(
        JobFileError, match=r"weighings\[1\].value: '42x.4 g' .*\[2\].value.*, and 9994 more$"
    ):
        read_text(text)


def test_every_mistake_in_a_file_is_named_with_its_line(small: str) -> None:
    text = re.sub(r'stroke = ".*"', 'stroke = "8O mm"', small)
    text = re.sub(r'rod_length = ".*"', 'rod_length = "14O mm"', text)
    lines = [n for n, line in enumerate(text.splitlines(), 1) if "O mm" in line]
    place = f"job.toml:{lines[0]}: engine.stroke: '8O mm' is not a length"
    with pytest.raises(JobFileError, match=f"{place}.*: engine.rod_length in line {lines[1]}$"):
        read_text(text)
