"""heavyspot export: every table of a job as CSV."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli.arguments import JobFile

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.job.model import Job
    from balance.sheet.results import Results


def export(
    job: JobFile,
    out: Annotated[
        Path | None, typer.Option(help="Folder to write into; by default beside the job file.")
    ] = None,
) -> int:
    """Write every table of a job as CSV, in g, mm, degrees and rpm."""
    from balance.job.export import as_csv, job_tables
    from balance.job.load import read_job
    from cli.papers import keep
    from cli.printing import bullets, heading, next_step, title

    read = read_job(job)
    folder = out or job.parent / f"{job.stem}-tables"
    results, lacking = _results(read)
    tables = {**job_tables(read), **results}
    written = [
        keep(folder / f"{name}.csv", as_csv(rows).encode("utf-8-sig"))
        for name, rows in tables.items()
    ]
    title("Export", read)
    heading("Written")
    bullets(str(path) for path in written)
    if lacking:
        heading("Could not be made yet")
        bullets(lacking)
    next_step("open them in a spreadsheet; heavyspot import takes such a list back.")
    return 0


def _results(job: "Job") -> tuple[dict[str, list[dict[str, object]]], list[str]]:
    """Return the result tables that the job allows, and what the others lack."""
    from balance.errors import HeavyspotError
    from balance.sheet.results import Results

    results = Results(job)
    found: dict[str, list[dict[str, object]]] = {}
    lacking: list[str] = []
    for name, make in (("sets", _sets), ("cuts", _cuts), ("unbalance", _unbalance)):
        try:
            found[name] = list(make(results))
        except HeavyspotError as wrong:
            lacking.append(f"{name}: {wrong}")
    return found, lacking


def _sets(results: "Results") -> "Iterator[dict[str, object]]":
    from dataclasses import fields

    for number, made in enumerate(results.matched.sets, 1):
        names = (field.name for field in fields(made) if field.name != "cut_parts")
        yield {"set": number, **{name: _milligrams(getattr(made, name)) for name in names}}


def _cuts(results: "Results") -> "Iterator[dict[str, object]]":
    for number, made in enumerate(results.matched.sets, 1):
        for part in made.cut_parts:
            yield {
                "set": number,
                "part": part.mark,
                "what": part.what,
                "before_g": _milligrams(part.before_g),
                "cut_g": _milligrams(part.cut_g),
                "stop_g": _milligrams(part.stop_g),
                "finished_g": _milligrams(part.finished_g),
            }


def _milligrams(value: object) -> object:
    """Return grams to the milligram, finer than any scale of the trade; text as it is."""
    return round(value, 3) if isinstance(value, float) else value


def _unbalance(results: "Results") -> "Iterator[dict[str, object]]":
    from balance.vectors import amount, degrees

    for part in results.spun.parts:
        planes = zip(part.planes_mm, part.unbalance, part.u_gmm, part.permissible_gmm, strict=True)
        for z_mm, unbalance, u_gmm, permissible_gmm in planes:
            yield {
                "part": part.name,
                "plane_mm": float(z_mm),
                "unbalance_gmm": float(amount(unbalance)),
                "heavy_side_degrees": float(degrees(unbalance)),
                "u_gmm": float(u_gmm),
                "permissible_gmm": float(permissible_gmm),
                "verdict": part.verdict,
            }
