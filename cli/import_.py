"""heavyspot import: weights from a list (CSV, XLSX, ODS), shown before anything is written."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from cli.arguments import JobFile


class Kind(StrEnum):
    """Kinds of parts."""

    piston = "piston"
    pin = "pin"
    rod = "rod"


class Delimiter(StrEnum):
    """What separates the cells of a text list."""

    comma = "comma"
    semicolon = "semicolon"
    tab = "tab"
    bar = "bar"


class Decimal(StrEnum):
    """The decimal mark of a text list."""

    point = "point"
    comma = "comma"


def import_(
    job: JobFile,
    file: Annotated[Path, typer.Argument(metavar="LIST", help="A CSV, XLSX or ODS file.")],
    *,
    to: Annotated[Kind | None, typer.Option(help="Whose weights, if the list is silent.")] = None,
    what: Annotated[
        str | None, typer.Option(help="Which weighing of the rods: total, big_end or small_end.")
    ] = None,
    unit: Annotated[str | None, typer.Option(help="Unit of bare numbers [the job's].")] = None,
    delimiter: Annotated[Delimiter | None, typer.Option(help="What separates cells.")] = None,
    decimal: Annotated[Decimal | None, typer.Option(help="The decimal mark.")] = None,
    sheet: Annotated[str | None, typer.Option(help="Which sheet of a spreadsheet.")] = None,
    finished: Annotated[bool, typer.Option("--finished", help="Weighed after cutting.")] = False,
    but: Annotated[
        list[int] | None,
        typer.Option("--except", metavar="ROW", help="Leave a row out; may be said again."),
    ] = None,
    yes: Annotated[bool, typer.Option("--yes", help="Write them without asking.")] = False,
    sure: Annotated[bool, typer.Option("--sure", help="Keep readings that look wrong.")] = False,
) -> int:
    """Take weights from a list: shows what is taken and what is not, then asks."""
    from balance.job.columns import as_what
    from balance.job.lists import leave_out, match_list
    from balance.job.load import read_job
    from balance.job.tables import read_table
    from balance.units import read as read_quantity
    from cli.import_steps import show_list, write_list

    _ = read_quantity("1", "mass", unit=unit)  # an unknown unit is refused before anything else
    read = read_job(job)
    table = read_table(file, delimiter=delimiter, decimal=decimal, sheet=sheet)
    instrument = f"list {file.name}"
    found = match_list(
        read,
        table,
        kind=to,
        what=what and as_what(what),
        unit=unit,
        finished=finished,
        instrument=instrument,
    )
    found = leave_out(found, but or ())
    show_list(read, found)
    return write_list(
        job, read, found, finished=finished, instrument=instrument, yes=yes, sure=sure
    )
