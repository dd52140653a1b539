"""Where every job of a folder stands, a line each."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from balance.errors import HeavyspotError, InputError, JobFileError, MissingInputError
from cli.printing import next_step, print_json, say, table

if TYPE_CHECKING:
    from balance.sheet.results import Results
    from cli.watching import Watch

_STEP_OF = {"stop": "spin", "spin": "spin", "bolt up": "spin", "correct": "correct"}
_MANY = 20  # jobs that are worth the start of more processes


@dataclass(frozen=True)
class JobLine:
    """One job of a folder: its file, name and engine, the step it has reached, and in words."""

    file: str
    name: str
    engine: str
    step: str
    state: str


def job_files(folder: Path) -> list[Path]:
    """Return the job files of a folder in the order of their names."""
    paths = sorted(path for path in folder.glob("*.toml") if not path.name.startswith("."))
    if not paths:
        raise InputError(f"{folder}: has no job files (*.toml); heavyspot new makes one")
    return paths


def check_folder(folder: Path, *, as_json: bool) -> int:
    """Print where each job stands; 1 when any needs something or is outside its limits."""
    from cli.interrupts import STOPPED
    from cli.watching import watched

    paths = job_files(folder)
    with watched("jobs", quiet=as_json) as watch:
        lines = _lines(paths, watch)
    if as_json:
        print_json(lines)
    else:
        stopped = f"Stopped after {len(lines)} of " if watch.asked else ""
        say(f"{stopped}{len(paths)} files in {folder}")
        rows = [[line.file, line.name[:24], line.step, line.state] for line in lines]
        table(["file", "job", "at step", "state"], rows, left=4)
        next_step("heavyspot check with one of them says everything it needs.")
    if watch.asked:
        return STOPPED
    return 0 if all(line.step == "done" for line in lines) else 1


def _lines(paths: list[Path], watch: Watch) -> list[JobLine]:
    """Return the lines in the order of the files, made on all cores where there are many."""
    from cli.pool import Broken, each, here
    from cli.watching import cores

    if len(paths) < _MANY:
        found = here(_line, paths, stop=watch.stop)
    else:
        found = each(_line, paths, workers=cores(), stop=watch.stop, look=lambda: None)
    made: dict[int, JobLine] = {}
    for place, line in found:
        made[place] = broken_line(paths[place], line.why) if isinstance(line, Broken) else line
        watch.progress(len(made), len(paths))
    return [made[place] for place in sorted(made)]


def _line(path: Path) -> JobLine:
    from balance.job.load import read_job
    from balance.sheet.results import Results

    try:
        return line_of(path, Results(read_job(path)))
    except JobFileError as wrong:
        return wrong_line(path, wrong)


def wrong_line(path: Path, wrong: JobFileError) -> JobLine:
    """Return the line of a file that is no job."""
    place = f"line {wrong.line}: " if wrong.line else ""
    key = f"{wrong.key}: " if wrong.key else ""
    return JobLine(path.name, "", "", "file", f"{place}{key}{wrong.message}")


def broken_line(path: Path, why: str) -> JobLine:
    """Return the line of a job that the program itself could not do."""
    return JobLine(path.name, "", "", "program", f"heavyspot itself went wrong: {why}")


def line_of(path: Path, results: Results) -> JobLine:
    """Return the line of a job."""
    job = results.job
    engine = job.engine.layout or f"{job.engine.cylinder_count} cylinders"
    return JobLine(path.name, job.job.name, engine, *_state(results))


def _state(results: Results) -> tuple[str, str]:
    """Return the first step that cannot be done and why, else what the last spin says."""
    from balance.sheet.still_open import still_open

    step = "match"
    try:
        _ = results.matched
        step = "bobweight"
        _ = results.card if results.need.needed else None
        step = "spin"
        found = still_open(results)
    except MissingInputError as missing:
        more = f" (and {len(missing.needed) - 1} more)" if len(missing.needed) > 1 else ""
        return step, f"needs {missing.needed[0]}{more}"
    except HeavyspotError as wrong:
        return step, str(wrong)
    if found is None:
        return "done", "every part inside its limit"
    return _STEP_OF[found.kind], found.why
