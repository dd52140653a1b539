"""Every table of a job as CSV, for spreadsheets and other programs."""

import csv
import io
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from balance.errors import all_of
from balance.job.appended import PuttyPage
from balance.job.model import Job
from balance.job.readings import wanted_weighings

__all__ = ["as_csv", "job_tables"]

Row = Mapping[str, Any]
_UNIT = {
    **dict.fromkeys(("mass", "value", "bobweights"), "_g"),
    **dict.fromkeys(("z", "radius", "width", "max_depth", "diameter", "depth"), "_mm"),
    **dict.fromkeys(("hole_radius", "hole_spacing", "run_out", "clearance"), "_mm"),
    **dict.fromkeys(("centre", "half_span", "angle"), "_degrees"),
    "speed": "_rpm",
    "density": "_g_cm3",
    "limit": "_gmm",
}


def job_tables(job: Job) -> dict[str, tuple[Row, ...]]:
    """Return the tables of a job by name, each a tuple of rows; empty tables are left out.

    Values are in the inside units, which the names of the columns say. ``parts`` has one row a
    reading that stands; ``weighings`` has every appended entry, also those taken back.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> tables = job_tables(read_job(files("cli.examples") / "v-twin.toml"))
    >>> tables["parts"][0]
    {'kind': 'piston', 'part': 'P1', 'what': 'weight', 'repeat': 1, 'weight_g': 494.7}
    >>> tables["spins"][0]["plane"]
    'timing side'
    """
    crank = job.crank
    made: dict[str, Iterable[Row]] = {
        "parts": _parts(job),
        "weighings": (_row(entry) for entry in job.weighings),
        "counterweights": (_row(c, "holes") for c in crank.counterweights) if crank else (),
        "holes": _holes(job),
        "bolted": (_row(part, "keep_clear") for part in job.bolted),
        "spins": _spins(job),
        "drilled": (_row(hole) for hole in job.drilled),
    }
    rows = {name: tuple(table) for name, table in made.items()}
    return {name: table for name, table in rows.items() if table}


def as_csv(rows: Iterable[Row]) -> str:
    """Return rows as CSV text (RFC 4180) with a header; the first row says which columns there are.

    A text that a spreadsheet would run as a formula gets an apostrophe in front; numbers stay
    numbers.

    Raises
    ------
    InputError
        When the rows are no list of mappings.

    Examples
    --------
    >>> print(as_csv([{"mark": "=1+2", "g": -0.5}]), end="")
    mark,g
    '=1+2,-0.5

    Source: RFC 4180; OWASP, "CSV Injection", for the letters that begin a formula; from memory.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    for number, row in enumerate(all_of("rows", rows, Mapping)):  # type: ignore[type-abstract]
        if number == 0:
            writer.writerow(row)
        writer.writerow([_cell(value) for value in row.values()])
    return out.getvalue()


def _cell(value: Any) -> Any:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return f"{value:.12g}"
    if isinstance(value, tuple):
        return _cell("; ".join(str(_cell(item)) for item in value))
    if isinstance(value, int):
        return value
    text = str(value)
    return f"'{text}" if text.lstrip().startswith(("=", "+", "-", "@")) else text


def _parts(job: Job) -> Iterator[Row]:
    for finished in (False, True):
        for wanted in wanted_weighings(job, finished=finished):
            for index, grams in enumerate(wanted.readings_g, 1):
                what = f"{wanted.what}, finished" if finished else wanted.what
                yield {
                    "kind": wanted.kind,
                    "part": wanted.part,
                    "what": what,
                    "repeat": index,
                    "weight_g": grams,
                }


def _row(page: Any, *but: str) -> Row:
    return {f"{name}{_UNIT.get(name, '')}": value for name, value in page if name not in but}


def _holes(job: Job) -> Iterator[Row]:
    for weight in job.crank.counterweights if job.crank else ():
        for hole in weight.holes:
            yield {"counterweight": weight.mark, **_row(hole)}


def _spins(job: Job) -> Iterator[Row]:
    for index, spin in enumerate(job.spins, 1):
        stuck = "; ".join(_stuck(each) for each in spin.stuck)
        for reading in spin.readings:
            turned = _row(spin, "readings", "stuck")
            yield {"spin": index, **turned, "stuck": stuck, **_row(reading)}


def _stuck(each: PuttyPage) -> str:
    radius = "" if each.radius is None else f" at {each.radius:g} mm"
    return f"{each.part or each.plane}={each.mass:g} g{radius}@{each.angle:g} deg"
