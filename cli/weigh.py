"""heavyspot weigh: readings of the scale, one part at a time, each on disk at once."""

from typing import Annotated

import typer

from cli.arguments import JobFile, refuse_options

_OPTIONS = (
    "--what", "--finished", "--undo", "--sure", "--instrument", "--repeats", "--port", "--rate",
    "--pattern", "--same", "--help",
)  # fmt: skip


def weigh(
    job: JobFile,
    part: Annotated[
        str | None,
        typer.Argument(
            help="Mark of the part, or rings, locks, shells; without it you are led part by part."
        ),
    ] = None,
    values: Annotated[
        list[str] | None,
        typer.Argument(metavar="VALUE...", help='"420.3", "14.824 oz"; of a rod: total 541.2'),
    ] = None,
    *,
    what: Annotated[
        str | None, typer.Option(help="Which weighing of a rod: total, big_end or small_end.")
    ] = None,
    finished: Annotated[bool, typer.Option("--finished", help="Weighed after cutting.")] = False,
    undo: Annotated[
        bool,
        typer.Option("--undo", help="Take back the latest reading [of PART, --what, --finished]."),
    ] = False,
    sure: Annotated[bool, typer.Option("--sure", help="Keep readings that look wrong.")] = False,
    instrument: Annotated[
        str, typer.Option(help="Which scale.", envvar="HEAVYSPOT_INSTRUMENT")
    ] = "",
    repeats: Annotated[int, typer.Option(min=1, max=20, help="Readings of each part.")] = 2,
    port: Annotated[
        str | None,
        typer.Option(help="Port of a scale that prints lines.", envvar="HEAVYSPOT_SCALE_PORT"),
    ] = None,
    rate: Annotated[
        int, typer.Option(min=50, help="Its rate in baud.", envvar="HEAVYSPOT_SCALE_RATE")
    ] = 9600,
    pattern: Annotated[
        str | None,
        typer.Option(
            help="Where number and unit stand in a line, as a regular expression.",
            envvar="HEAVYSPOT_SCALE_PATTERN",
        ),
    ] = None,
    same: Annotated[
        int,
        typer.Option(min=1, help="Equal lines in a row that count.", envvar="HEAVYSPOT_SCALE_SAME"),
    ] = 3,
) -> int:
    """Enter readings of the scale: led part by part, or one part with its readings."""
    from cli.weigh_steps import add_readings, take_back, weigh_all

    refuse_options((word for word in (part, *(values or ())) if word is not None), _OPTIONS)
    if undo:
        return take_back(job, part, what, finished=finished)
    if part is not None and values:
        return add_readings(
            job, part, values, what=what, finished=finished, sure=sure, instrument=instrument
        )
    if port is None:
        return weigh_all(job, part, finished=finished, instrument=instrument, repeats=repeats)
    from balance.job.scales import PATTERN, LineScale

    with LineScale(port, rate=rate, pattern=pattern or PATTERN, same=same) as scale:
        return weigh_all(
            job,
            part,
            finished=finished,
            instrument=instrument or f"scale on {port}",
            repeats=repeats,
            scale=lambda: scale.stable().text,
        )
