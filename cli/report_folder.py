"""The papers of every job of a folder, on all cores; goes on where it was stopped."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from balance.errors import InputError, JobFileError
from cli.check_folder import JobLine, broken_line, job_files, wrong_line
from cli.kept_report import Order, Report, kept_report, made_by, make_report, read_for_report

if TYPE_CHECKING:
    from cli.watching import Watch


@dataclass(frozen=True)
class Done:
    """What became of one job: its report, or what is wrong; ``kept``: it was there already."""

    folder: str
    report: Report | None
    line: JobLine
    wrong: str = ""
    kept: bool = False

    @property
    def code(self) -> int:
        """The exit code that this job alone would give: 2 wrong, 1 not good yet, 0 done."""
        if self.report is None:
            return 2
        return 0 if self.line.step == "done" and not self.report.lacking else 1


def report_folder(
    folder: Path, out: Path | None, *, picture: str, paper: str, again: bool, as_json: bool
) -> int:
    """Make the reports of a folder's jobs that are not up to date; return the worst exit code."""
    from cli.interrupts import STOPPED
    from cli.show_reports import print_reports, show_reports
    from cli.watching import watched

    paths = job_files(folder)
    order = Order(picture, paper, made_by())
    with watched("jobs", quiet=as_json) as watch:
        done = _all(paths, out or folder, order, watch, again=again)
    (print_reports if as_json else show_reports)(folder, done, len(paths))
    if len(done) < len(paths):
        return STOPPED
    return max(each.code for each in done)


def _all(paths: list[Path], out: Path, order: Order, watch: Watch, *, again: bool) -> list[Done]:
    """Return what became of the jobs in the order of the files; those not reached are left out."""
    found: dict[int, Done] = {}
    for place, path in enumerate(paths):
        if watch.stop():
            break
        folder = folder_of(path, out)
        kept = None if again else kept_report(path, folder, order)
        if kept is not None:
            found[place] = Done(str(folder), kept, kept.line, kept=True)
    left = [place for place in range(len(paths)) if place not in found]
    found |= _make([(place, paths[place]) for place in left], out, order, watch)
    return [found[place] for place in sorted(found)]


def _make(jobs: list[tuple[int, Path]], out: Path, order: Order, watch: Watch) -> dict[int, Done]:
    from cli.pool import Broken, each
    from cli.watching import cores

    found: dict[int, Done] = {}
    tasks = [(path, folder_of(path, out), order) for _, path in jobs]

    def look() -> None:
        watch.progress(len(found), len(jobs))

    try:
        for number, made in each(make_one, tasks, workers=cores(), stop=watch.stop, look=look):
            place = jobs[number][0]
            found[place] = _broken(tasks[number], made.why) if isinstance(made, Broken) else made
    except KeyboardInterrupt:  # the second Ctrl-C: what is finished is still said
        watch.asked = True
    return found


def _broken(task: tuple[Path, Path, Order], why: str) -> Done:
    path = task[0]
    line = broken_line(path, why)
    return _wrong(task, line, f"{path}: {line.state}")


def make_one(task: tuple[Path, Path, Order]) -> Done:
    """Make one report; what is wrong with the job is part of the result."""
    path, folder, order = task
    try:
        report = make_report(read_for_report(path), folder, order)
    except JobFileError as wrong:
        return _wrong(task, wrong_line(path, wrong), str(wrong))
    except InputError as wrong:
        return _wrong(task, JobLine(path.name, "", "", "file", str(wrong)), f"{path}: {wrong}")
    return Done(str(folder), report, report.line)


def _wrong(task: tuple[Path, Path, Order], line: JobLine, why: str) -> Done:
    """Return what is wrong with a job, and warn of papers that were made of it before."""
    _, folder, _ = task
    if folder.is_dir():
        why += f"; what stands in {folder} is NOT of this job as it is now"
    return Done(str(folder), None, line, why)


def folder_of(job: Path, out: Path) -> Path:
    """Return the folder of one job's report."""
    return out / f"{job.stem}-report"


def as_data(done: Done) -> dict[str, Any]:
    """Return what became of a job for programs."""
    report = done.report
    made = "no" if report is None else "before" if done.kept else "now"
    return {
        "file": done.line.file,
        "engine": done.line.engine,
        "step": done.line.step,
        "state": done.line.state,
        "made": made,
        "written": [str(Path(done.folder) / name) for name in report.written] if report else [],
        "lacking": [str(paper) for paper in report.lacking] if report else [],
        "removed": list(report.removed) if report else [],
        "foreign": list(report.foreign) if report else [],
        "wrong": done.wrong,
    }
