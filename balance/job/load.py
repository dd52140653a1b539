"""Read a job file; whatever is wrong is said with file, line and key, all of it at once."""

import difflib
import re
import tomllib
from collections.abc import Mapping
from os import PathLike
from pathlib import Path as FilePath
from typing import Any

from pydantic import BaseModel, ValidationError

from balance.errors import InputError, JobFileError, instance_of
from balance.job.crosscheck import contradictions
from balance.job.hung import with_hung
from balance.job.lines import Path, line_of, lines_of, nearest_line
from balance.job.model import Job
from balance.job.scrap import without_scrap

__all__ = ["FORMAT", "read_job", "read_text", "text_of"]

FORMAT = 1
_LARGEST = 20_000_000  # bytes; 10 000 readings take about 1 MB
_MOST_SHOWN = 5  # of further mistakes: a whole file of them would hide the first
_HINTS = {
    "missing": "is missing; it is needed here",
    "extra_forbidden": "is not a key of this table",
}


def read_job(path: str | FilePath) -> Job:
    """Return the job that a file holds, checked and in the inside units.

    Parameters
    ----------
    path : str or path
        A job file (TOML), as ``heavyspot new`` makes it.

    Raises
    ------
    JobFileError
        Naming the file, the line, the key, what was found and what is wanted.
    InputError
        When the path is none.

    Examples
    --------
    >>> from importlib.resources import files
    >>> read_job(files("cli.examples") / "flat-four.toml").engine.layout
    'flat-4'
    """
    if not isinstance(path, str | PathLike):
        raise InputError(f"path must be that of a job file, got {path!r}")
    return read_text(text_of(FilePath(path), name=str(path)), name=str(path))


def read_text(text: str, *, name: str = "job.toml") -> Job:
    """Return the job that a TOML text holds; ``name`` stands for the file in messages.

    Raises
    ------
    JobFileError
        As for :func:`read_job`.

    Examples
    --------
    >>> read_text("format = 2")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    balance.errors.JobFileError: job.toml:1: format: this file has format 2, ...
    """
    raw = _parse(instance_of("text", text, str), instance_of("name", name, str))
    _check_format(raw, text, name)
    units = raw.get("units", {})
    try:
        job = Job.model_validate(raw, context={"units": units if isinstance(units, dict) else {}})
    except ValidationError as wrong:
        raise _explain(wrong, raw, text, name) from None
    for path, message in contradictions(job):
        raise JobFileError(message, path=name, line=line_of(text, path), key=_key(path))
    return with_hung(without_scrap(job)).read_from(text, source=name)


def text_of(path: FilePath, *, name: str, keep_mark: bool = False) -> str:
    """Return the text of a job file, with its byte-order mark only where ``keep_mark`` says so.

    Raises
    ------
    JobFileError
        When the file cannot be read, is too large for a job, or is not UTF-8.

    Examples
    --------
    >>> text_of(FilePath("gone.toml"), name="gone.toml")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    balance.errors.JobFileError: gone.toml: cannot be read: No such file or directory ...
    """
    try:
        with path.open("rb") as file:  # no more than the limit, whatever the file says of its size
            raw = file.read(_LARGEST + 1)
    except OSError as wrong:
        hint = " (heavyspot new makes one)" if isinstance(wrong, FileNotFoundError) else ""
        reason = wrong.strerror or str(wrong)
        raise JobFileError(f"cannot be read: {reason}{hint}", path=name) from None
    if len(raw) > _LARGEST:
        raise JobFileError("is larger than 20 MB: this is no job file", path=name)
    try:
        return raw.decode("utf-8" if keep_mark else "utf-8-sig")
    except UnicodeDecodeError as wrong:
        line = raw[: wrong.start].count(b"\n") + 1
        message = "is not UTF-8 text: save the file as UTF-8"
        raise JobFileError(message, path=name, line=line) from None


def _parse(text: str, name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as wrong:
        place = re.search(r"\(at line (\d+), column \d+\)", str(wrong))
        line = int(place[1]) if place else text.count("\n") + 1
        what = re.sub(r"\s*\(at .*\)", "", str(wrong))
        hint = "; is the text in quotes and every bracket closed?"
        raise JobFileError(f"is not valid TOML: {what}{hint}", path=name, line=line) from None
    except ValueError:  # Python reads no whole number of more than 4300 digits
        message = "has a whole number of thousands of digits: this is no job file"
        raise JobFileError(message, path=name) from None
    except RecursionError:
        raise JobFileError("is nested too deeply: this is no job file", path=name) from None


def _check_format(raw: dict[str, Any], text: str, name: str) -> None:
    found = raw.get("format")
    if found == FORMAT and not isinstance(found, bool):
        return
    if isinstance(found, int) and found > FORMAT:
        what = f"this file has format {found}, this heavyspot reads format {FORMAT}: update it"
    else:
        what = f"the file must say which format it has: write format = {FORMAT} at the top"
    raise JobFileError(what, path=name, line=line_of(text, ("format",)) or 1, key="format")


def _explain(wrong: ValidationError, raw: Any, text: str, name: str) -> JobFileError:
    """Return the first error of the file, in the order of its lines, and where the others are."""
    places = lines_of(text)
    found = [_one(error, raw, places) for error in wrong.errors(include_url=False)]
    (line, path, message), *others = sorted(found, key=lambda item: item[0])
    return JobFileError(message + _more(others), path=name, line=line, key=_key(path))


def _more(others: list[tuple[int, Path, str]]) -> str:
    """Return where else something is wrong, so that one reading of the file mends it all."""
    if not others:
        return ""
    shown = dict.fromkeys(f"{_key(path)} in line {line}" for line, path, _ in others)
    rest = [f"and {len(shown) - _MOST_SHOWN} more"] if len(shown) > _MOST_SHOWN else []
    return "; to mend as well: " + ", ".join([*list(shown)[:_MOST_SHOWN], *rest])


def _one(error: Any, raw: Any, places: Mapping[Path, int]) -> tuple[int, Path, str]:
    path = _written(tuple(error["loc"]), raw)
    line = nearest_line(places, path) or 1
    kind = error["type"]
    if kind == "extra_forbidden":
        return line, path, f"{_HINTS[kind]}{_nearest(path)}"
    if kind == "missing":
        return line, path, _HINTS[kind]
    cause = error.get("ctx", {}).get("error")
    return line, path, str(cause) if cause else _plain(error)


def _plain(error: Any) -> str:
    message: str = error["msg"][0].lower() + error["msg"][1:]
    found = error["input"]
    shown = f", found {found!r}" if isinstance(found, str | int | float) else ""
    return message.replace("input should be", "must be") + shown


def _written(path: Path, raw: Any) -> Path:
    """Return the part of an error's place that stands in the file, and the key that is at fault."""
    kept: list[str | int] = []
    for step in path:
        kept.append(step)
        try:
            raw = raw[step]
        except (KeyError, IndexError, TypeError):
            return tuple(kept if isinstance(step, str) else kept[:-1])
    return tuple(kept)


def _nearest(path: Path) -> str:
    """Return the known keys of the table that an unknown key stands in, the likeliest first."""
    model = _model_at(path[:-1])
    known = list(model.model_fields) if model else []
    close = difflib.get_close_matches(str(path[-1]), known, n=1)
    if close:
        return f" (did you mean {close[0]}?)"
    return f"; known here: {', '.join(known)}"


def _model_at(path: Path) -> type[BaseModel] | None:
    model: type[BaseModel] | None = Job
    for step in path:
        if isinstance(step, str) and model is not None and step in model.model_fields:
            model = _page_in(model.model_fields[step].annotation)
    return model


def _page_in(annotation: Any) -> type[BaseModel] | None:
    """Return the page class inside ``Page``, ``Page | None`` or ``tuple[Page, ...]``."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    inside = (_page_in(part) for part in getattr(annotation, "__args__", ()))
    return next((page for page in inside if page is not None), None)


def _key(path: Path) -> str:
    """Return a path as people write it; items are counted from 1: ``parts.pistons[2].weight``."""
    text = ""
    for step in path:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if text else step
    return text
