"""Append entries to a job file: nothing there is touched, nothing is half written.

An entry is added as a table at the end of the text, so comments and order stay as they are. The
new text is read back before it replaces the old one: a file that cannot be read is never written.
"""

import datetime as dt
import json
import os
import stat
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path as FilePath
from typing import Any

from balance.errors import JobFileError
from balance.job.load import read_text, text_of
from balance.job.model import Job

__all__ = ["append_entries", "append_entry"]

_TRIES = 10
_WAIT_S = 10


def append_entry(path: str | FilePath, table: str, entry: Mapping[str, Any]) -> Job:
    """Append one ``[[table]]`` entry to a job file and return the job as it then stands.

    Parameters
    ----------
    path : str or path
        The job file; a symbolic link is followed and stays a link.
    table : str
        "weighings", "spins" or "drilled".
    entry : mapping
        The keys and values of the entry: text, numbers, true or false, times, lists, tables.

    Raises
    ------
    JobFileError
        As for :func:`append_entries`.

    Examples
    --------
    >>> append_entry("missing.toml", "spins", {})  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    balance.errors.JobFileError: missing.toml: cannot be read: No such file or directory ...
    """
    return append_entries(path, table, [entry])


def append_entries(path: str | FilePath, table: str, entries: Sequence[Mapping[str, Any]]) -> Job:
    """Append several ``[[table]]`` entries in one step, all of them or none.

    The text goes to a temporary file beside the job, is flushed to the disk, and takes the job's
    place in one step, under a lock that other heavyspot commands respect.

    Parameters
    ----------
    path, table
        As for :func:`append_entry`.
    entries : sequence of mappings
        The entries in their order.

    Raises
    ------
    JobFileError
        When the file cannot be read or written, or an entry does not fit; the file is untouched.

    Examples
    --------
    >>> append_entries("missing.toml", "weighings", [])  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    balance.errors.JobFileError: missing.toml: cannot be read: No such file or directory ...
    """
    from filelock import FileLock, Timeout

    real = FilePath(os.path.realpath(path))
    _stamp(real, str(path))
    try:
        with FileLock(_beside(real, "lock"), timeout=_WAIT_S):
            return _append(real, str(path), table, entries)
    except Timeout:
        message = f"is held by another heavyspot for more than {_WAIT_S} s; nothing was written"
        raise JobFileError(message, path=str(path)) from None
    except OSError as wrong:
        message = f"cannot be written: {wrong.strerror or wrong}; nothing was changed"
        raise JobFileError(message, path=str(path)) from None


def _beside(real: FilePath, ending: str) -> FilePath:
    return real.with_name(f".{real.name}.{ending}")


def _append(real: FilePath, name: str, table: str, entries: Sequence[Mapping[str, Any]]) -> Job:
    for _ in range(_TRIES):
        before = _stamp(real, name)
        text = text_of(real, name=name, keep_mark=True)
        added = text + "".join(_as_text(text, table, entries))
        job = _checked(added, name, written_lines=text.count("\n") + 1)
        if _replace(real, added.encode("utf-8"), before, name):
            return job
    raise JobFileError("keeps changing while it is being written; nothing was added", path=name)


def _checked(added: str, name: str, *, written_lines: int) -> Job:
    """Read the new text; a fault in the new entry has no line, since it is not written."""
    try:
        return read_text(added.removeprefix("\ufeff"), name=name)
    except JobFileError as wrong:
        if wrong.line is None or wrong.line <= written_lines:
            raise
        message = f"{wrong.message}; nothing was written"
        raise JobFileError(message, path=name, key=wrong.key) from None


def _stamp(real: FilePath, name: str) -> tuple[int, int, int]:
    try:
        found = real.stat()
    except OSError as wrong:
        reason = wrong.strerror or str(wrong)
        raise JobFileError(
            f"cannot be read: {reason} (heavyspot new makes one)", path=name
        ) from None
    if not stat.S_ISREG(found.st_mode):
        raise JobFileError("is not a file that can be added to; nothing was changed", path=name)
    return found.st_ino, found.st_mtime_ns, found.st_size


def _replace(real: FilePath, data: bytes, before: tuple[int, int, int], name: str) -> bool:
    """Put ``data`` in the file's place; False when somebody else changed the file meanwhile."""
    if not os.access(real, os.W_OK):
        raise JobFileError("is read-only; nothing was changed", path=name)
    temporary = _beside(real, "new")  # one name, under the lock: a killed writer leaves no heap
    temporary.unlink(missing_ok=True)
    try:
        with temporary.open("xb") as file:
            os.chmod(temporary, stat.S_IMODE(real.stat().st_mode))
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if _stamp(real, name) != before:
            return False
        os.replace(temporary, real)
        _sync_folder(real.parent)
        return True
    finally:
        temporary.unlink(missing_ok=True)


def _sync_folder(folder: FilePath) -> None:
    """Flush the rename itself, where the system lets a folder be opened."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _as_text(text: str, table: str, entries: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """Yield the entries as tables, with the line ends that the file has."""
    end = "\r\n" if "\r\n" in text else "\n"
    if text and not text.endswith("\n"):
        yield end
    for entry in entries:
        lines = [f"[[{table}]]", *(f"{key} = {_toml(value)}" for key, value in entry.items())]
        yield end + end.join(lines) + end


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, dt.datetime):
        return value.isoformat(timespec="seconds")
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key} = {_toml(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_toml(item) for item in value) + "]"
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007f")
