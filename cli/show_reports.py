"""What became of the jobs of a folder, for people and for programs."""

from collections.abc import Iterable, Iterator
from pathlib import Path

from cli.kept_report import Report
from cli.papers import Lacking
from cli.printing import bullets, heading, next_step, print_json, say, table
from cli.report_folder import Done, as_data

_NAMED = 3  # jobs that lack the same, by name; the table has them all


def print_reports(_folder: Path, done: list[Done], count: int) -> None:
    """Print all as JSON."""
    stopped = len(done) < count
    print_json({"jobs": [as_data(each) for each in done], "of": count, "stopped": stopped})


def show_reports(folder: Path, done: list[Done], count: int) -> None:
    """Print where each job stands, what could not be made and why, and how to go on."""
    made = [each for each in done if each.report]
    say(f"Reports of {len(made)} of {count} jobs in {folder}{_kept(made)}")
    rows = [[each.line.file, each.line.engine, each.line.step, each.line.state] for each in done]
    table(["file", "engine", "at step", "state"], rows, left=4)
    for name, lines in (
        ("Could not be made", [each.wrong for each in done if each.wrong]),
        ("Papers that lack something", [*_lacking(made)]),
        ("Papers of an earlier report", [*_earlier(made)]),
    ):
        if lines:
            heading(name)
            bullets(lines)
    next_step(_next(done, count))


def _kept(made: list[Done]) -> str:
    kept = sum(each.kept for each in made)
    if not kept:
        return ""
    return (
        f": {len(made) - kept} made now, {kept} up to date and left as they were (--again makes "
        "them anew)"
    )


def _lacking(made: list[Done]) -> Iterator[str]:
    """Yield which papers were not made, each reason once with the jobs that it is true of."""
    files: dict[tuple[str, str], list[str]] = {}
    for each in made:
        for why, names in held_up(each.report.lacking if each.report else ()):
            stems = ", ".join(Path(name).stem for name in names)
            files.setdefault((stems, why), []).append(each.line.file)
    for (papers, why), of in files.items():
        more = f" and {len(of) - _NAMED} more" if len(of) > _NAMED else ""
        yield f"{', '.join(of[:_NAMED])}{more}: {papers}: {why}"


def held_up(lacking: Iterable[Lacking]) -> Iterator[tuple[str, list[str]]]:
    """Yield each reason once, with the names of the papers that cannot be made for it."""
    names: dict[str, list[str]] = {}
    for paper in lacking:
        names.setdefault(paper.why, []).append(paper.name)
    yield from names.items()


def _earlier(made: list[Done]) -> Iterator[str]:
    for each in made:
        if each.report:
            yield from (f"{each.line.file}: {text}" for text in earlier(each.report))


def earlier(report: Report) -> Iterator[str]:
    """Yield what became of papers of an earlier report that the job no longer has."""
    if report.removed:
        yield f"taken away, of no use any more: {', '.join(report.removed)}"
    if report.foreign:
        yield f"left, but NOT of this job as it is now: {', '.join(report.foreign)}"


def _next(done: list[Done], count: int) -> str:
    if len(done) < count:
        return (
            f"stopped with {len(done)} of {count} jobs done, each of them whole; the same command "
            f"goes on with the other {count - len(done)}."
        )
    if any(each.wrong for each in done):
        return "put right what is wrong above; the same command then makes what is missing."
    return "print the work sheets; heavyspot check with a job says what it needs."
