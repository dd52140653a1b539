"""Where every job of a folder stands, a line each."""

from dataclasses import dataclass
from pathlib import Path

from balance.errors import HeavyspotError, InputError, JobFileError, MissingInputError
from balance.job.model import Job
from cli.printing import next_step, print_json, say, table


@dataclass(frozen=True)
class JobLine:
    """One job of a folder: its file, its name, the step it has reached, and in words."""

    file: str
    name: str
    step: str
    state: str


def check_folder(folder: Path, *, as_json: bool) -> int:
    """Print where each job stands; 1 when any needs something or is outside its limits."""
    paths = sorted(path for path in folder.glob("*.toml") if not path.name.startswith("."))
    if not paths:
        raise InputError(f"{folder}: has no job files (*.toml); heavyspot new makes one")
    lines = [_line(path) for path in paths]
    if as_json:
        print_json(lines)
    else:
        say(f"{len(lines)} files in {folder}")
        rows = [[line.file, line.name[:24], line.step, line.state] for line in lines]
        table(["file", "job", "at step", "state"], rows, left=4)
        next_step("heavyspot check with one of them says everything it needs.")
    return 0 if all(line.step == "done" for line in lines) else 1


def _line(path: Path) -> JobLine:
    from balance.job.load import read_job

    try:
        job = read_job(path)
    except JobFileError as wrong:
        place = f"line {wrong.line}: " if wrong.line else ""
        key = f"{wrong.key}: " if wrong.key else ""
        return JobLine(path.name, "", "file", f"{place}{key}{wrong.message}")
    return JobLine(path.name, job.job.name, *_state(job))


def _state(job: Job) -> tuple[str, str]:
    """Return the first step that cannot be done and why, else what the last spin says."""
    from balance.sheet.results import Results

    results = Results(job)
    step = "match"
    try:
        _ = results.matched
        step = "bobweight"
        _ = results.card if results.need.needed else None
        step = "spin"
        verdicts = {part.name: part.verdict for part in results.spun.parts}
    except MissingInputError as missing:
        more = f" (and {len(missing.needed) - 1} more)" if len(missing.needed) > 1 else ""
        return step, f"needs {missing.needed[0]}{more}"
    except HeavyspotError as wrong:
        return step, str(wrong)
    open_parts = [f"{name} {verdict}" for name, verdict in verdicts.items() if verdict != "pass"]
    if open_parts:
        return "correct", ", ".join(open_parts)
    return "done", "every part inside its limit"
