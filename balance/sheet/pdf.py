"""A paper as PDF, set by Typst: texts go in as data, the same paper gives the same bytes."""

import datetime as dt
import importlib.util
import json
import re
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from balance.errors import InputError
from balance.sheet.blocks import Paper, as_data

__all__ = ["PAPERS", "set_pdf"]

PAPERS = ("a4", "us-letter")
# Latin, Greek, Cyrillic and the signs that the papers use: all of it is in DejaVu Sans
_EVERYDAY = re.compile(r"[ -\u024f\u0370-\u052f\u200b\u2010-\u2027\u2190-\u2199☐]*")
_LONG = re.compile(r"[^\s-]{20,}")


def set_pdf(paper: Paper, *, size: str = "a4") -> bytes:
    """Return a paper as PDF, accessible by PDF/UA-1 when it is written in everyday letters.

    Parameters
    ----------
    paper : Paper
        What to set.
    size : {"a4", "us-letter"}
        The sheets it will be printed on.

    Raises
    ------
    InputError
        When the size is not known.

    Examples
    --------
    >>> from balance.sheet.blocks import Text
    >>> set_pdf(Paper("Note", "one", (Text("$ # * <all> as written"),), foot=""))[:5]
    b'%PDF-'

    Source: ISO 14289-1 (PDF/UA-1), kept by the typesetter.
    """
    if size not in PAPERS:
        raise InputError(f"paper must be one of {', '.join(PAPERS)}, got {size!r}")
    import typst

    data = json.dumps(_breakable(as_data(paper)), ensure_ascii=False)
    everyday = _EVERYDAY.fullmatch(data) is not None
    made = typst.compile(
        files("balance.sheet").joinpath("templates/paper.typ").read_bytes(),
        font_paths=_fonts(system=not everyday),
        sys_inputs={"paper": data, "size": size},
        format="pdf",
        # the standard refuses letters that no font here can draw: a name must not stop a job
        pdf_standards="ua-1" if everyday else [],
        timestamp=dt.datetime(2000, 1, 1, tzinfo=dt.UTC),
    )
    return bytes(made)


@cache
def _fonts(*, system: bool) -> Any:
    """Return DejaVu Sans as it comes with matplotlib; the system's fonts take long to look at."""
    import typst

    found = importlib.util.find_spec("matplotlib")  # finds it, does not load it
    folders = found.submodule_search_locations if found else None
    paths = [Path(folder) / "mpl-data" / "fonts" / "ttf" for folder in folders or ()]
    return typst.Fonts(include_system_fonts=system, font_paths=paths)


def _breakable(value: Any) -> Any:
    """Let long unbroken words break: a name of 80 letters must not run out of its cell."""
    if isinstance(value, dict):
        return {k: v if k in ("svg", "kind") else _breakable(v) for k, v in value.items()}
    if isinstance(value, list):
        return [_breakable(item) for item in value]
    if isinstance(value, str):
        return _LONG.sub(lambda word: "\u200b".join(re.findall(".{1,8}", word[0])), value)
    return value
