"""heavyspot spin: what the machine's readings say about every part, or enter a new spin."""

from typing import Annotated

import typer

from cli.arguments import AsJson, JobFile


def spin(
    job: JobFile,
    *,
    json: AsJson = False,
    add: Annotated[bool, typer.Option("--add", help="Enter a new spin, led by questions.")] = False,
    undo: Annotated[
        bool,
        typer.Option("--undo", help="Take back the latest spin of what turned, as a new entry."),
    ] = False,
    reading: Annotated[
        list[str] | None,
        typer.Option(help='With --add, for each plane: "left=412 g mm@137 deg"; asks nothing.'),
    ] = None,
    on: Annotated[
        list[str] | None, typer.Option(help="With --add: what turned, the crank first.")
    ] = None,
    name: Annotated[str, typer.Option(help="With --add: what the spin is called.")] = "",
    speed: Annotated[str | None, typer.Option(help='With --add: "500 rpm".')] = None,
    bobweight: Annotated[
        list[str] | None, typer.Option(help="With --add: mass of each bobweight as made up.")
    ] = None,
    stuck: Annotated[
        list[str] | None,
        typer.Option(
            help='With --add, a check spin with putty on: "W3=10 g@313 deg", on a counterweight.'
        ),
    ] = None,
    drilled: Annotated[
        int | None, typer.Option(min=0, help="With --add: holes in the metal [all recorded].")
    ] = None,
) -> int:
    """Turn the machine's readings into unbalance in the crank's frame, and judge it."""
    if undo:
        from cli.add_spin import undo_spin

        return undo_spin(job, on or ())
    if add or reading or stuck:
        from cli.add_spin import SpinSaid, add_spin

        said = SpinSaid(reading or (), name, on or (), speed, bobweight or (), drilled, stuck or ())
        return add_spin(job, said)
    from balance.job.load import read_job
    from balance.sheet.results import Results
    from balance.sheet.still_open import still_open
    from cli.printing import plain, print_json
    from cli.show_spin import show_spin

    results = Results(read_job(job))
    if json:
        print_json(plain(results.spun) | {"still_open": plain(still_open(results))})
    else:
        show_spin(results)
    found = still_open(results)
    return 0 if found is None or found.kind == "bolt up" else 1
