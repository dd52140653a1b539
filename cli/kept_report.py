"""What a report folder says of itself: from which job file it was made, how, and by what.

It stands in ``report.json`` beside the papers, written last. A folder counts as up to date only
when the job file, every paper and the program are byte for byte what they were.
"""

from __future__ import annotations

import codecs
import hashlib
import json
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from balance.errors import JobFileError
from cli.check_folder import JobLine
from cli.papers import Lacking, keep, made_papers

if TYPE_CHECKING:
    from balance.sheet.results import Results

NAME = "report.json"
_FORMAT = 1


@dataclass(frozen=True)
class Order:
    """How a report is wanted: format of the pictures, size of the sheets, made by what.

    ``sure``: planned on although the last spin contradicts the holes, on the word of the bench.
    """

    picture: str
    paper: str
    made_by: str
    sure: bool = False


@dataclass(frozen=True)
class Report:
    """The report of one job: what was written and what not, and where the job stands.

    ``removed`` are papers of an earlier report that this job no longer has; ``foreign`` are files
    of such a name that are not known to be ours and were left.
    """

    line: JobLine
    written: tuple[str, ...]
    lacking: tuple[Lacking, ...]
    removed: tuple[str, ...] = ()
    foreign: tuple[str, ...] = ()

    @property
    def impossible(self) -> bool:
        """Whether a paper cannot be made although its input is there."""
        return not all(paper.missing for paper in self.lacking)


@dataclass(frozen=True)
class JobRead:
    """A job as it was read, and the digest of exactly the text that was read."""

    path: Path
    results: Results
    sha256: str


def read_for_report(path: Path, *, sure: bool = False) -> JobRead:
    """Read a job file; ``sure`` as in :class:`Order`."""
    from balance.job.load import read_text, text_of
    from balance.sheet.results import Results

    text = text_of(path, name=str(path))
    results = Results(read_text(text, name=str(path)), sure=sure)
    return JobRead(path, results, _digest(text.encode("utf-8")))


def make_report(job: JobRead, folder: Path, order: Order) -> Report:
    """Make all papers of a job, then write them with what they were made from.

    Raises
    ------
    JobFileError
        When the job contradicts itself or the folder cannot be written.
    """
    from cli.check_folder import line_of

    made = dict(made_papers(job.results, picture=order.picture, paper=order.paper))
    line = line_of(job.path, job.results)
    papers = {name: data for name, data in made.items() if isinstance(data, bytes)}
    lacking = tuple(data for data in made.values() if isinstance(data, Lacking))
    earlier = _read(folder)
    _forget(folder)
    for name, data in papers.items():
        keep(folder / name, data)
    removed, foreign = _clear(folder, earlier.get("files", {}), [*papers], lacking)
    report = Report(line, tuple(papers), lacking, removed, foreign)
    digests = {name: _digest(data) for name, data in papers.items()}
    keep(folder / NAME, _page(report, job.sha256, order, digests))
    return report


def kept_report(job: Path, folder: Path, order: Order) -> Report | None:
    """Return the report that stands in a folder if it is this job's, whole and up to date."""
    page = _read(folder)
    try:
        same = (
            page["format"] == _FORMAT
            and page["job_sha256"] == _digest(job.read_bytes().removeprefix(codecs.BOM_UTF8))
            and page["order"] == asdict(order)
            and all(
                _digest((folder / name).read_bytes()) == sha for name, sha in page["files"].items()
            )
        )
        lacking = tuple(Lacking(**paper) for paper in page["lacking"])
        line = replace(JobLine(**page["line"]), file=job.name)  # both may have been renamed
        return Report(line, tuple(page["files"]), lacking) if same else None
    except (OSError, KeyError, TypeError, AttributeError):
        return None  # nothing vouches for these papers: they are made anew


def made_by() -> str:
    """Return what a report depends on besides the job: our own code, the libraries, Python."""
    import platform
    from importlib.metadata import version

    import balance
    import cli

    code = hashlib.sha256()
    for package in (balance, cli):
        root = Path(package.__path__[0])
        for path in sorted(root.rglob("*")):
            if path.suffix in (".py", ".typ", ".css"):
                code.update(f"{path.relative_to(root)}".encode())
                code.update(path.read_bytes())
    libraries = (f"{name} {version(name)}" for name in ("numpy", "scipy", "matplotlib", "typst"))
    own = f"heavyspot {balance.__version__} {code.hexdigest()[:16]}"
    return ", ".join((own, *libraries, f"python {platform.python_version()}"))


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _page(report: Report, job_sha256: str, order: Order, digests: dict[str, str]) -> bytes:
    page = {
        "format": _FORMAT,
        "job_sha256": job_sha256,
        "order": asdict(order),
        "line": asdict(report.line),
        "lacking": [asdict(paper) for paper in report.lacking],
        "files": digests,
    }
    return (json.dumps(page, indent=1, ensure_ascii=False) + "\n").encode("utf-8")


def _read(folder: Path) -> dict[str, Any]:
    """Return what a folder says of itself; nothing when it says nothing that can be read."""
    try:
        page = json.loads((folder / NAME).read_bytes())
    except (OSError, ValueError):
        return {}
    return page if isinstance(page, dict) else {}


def _forget(folder: Path) -> None:
    """Take back what a folder says of itself, before the first of its papers is replaced."""
    try:
        (folder / NAME).unlink(missing_ok=True)
    except OSError as wrong:
        raise JobFileError(f"cannot be written: {wrong.strerror}", path=str(folder)) from None


def _clear(
    folder: Path, earlier: Any, papers: list[str], lacking: tuple[Lacking, ...]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Remove papers of the report before that are gone from the job; name what is not ours."""
    known = earlier if isinstance(earlier, dict) else {}
    removed, foreign = [], []
    for name in dict.fromkeys([*known, *(paper.name for paper in lacking)]):
        path = folder / name
        if name in papers or Path(name).name != name or not path.is_file():
            continue
        if _digest(path.read_bytes()) == known.get(name):
            path.unlink()
            removed.append(name)
        else:
            foreign.append(name)
    return tuple(removed), tuple(foreign)
