"""heavyspot drilled: record a hole that was drilled, held against the plan; or take one back."""

from typing import Annotated

import typer

from cli.arguments import JobFile, refuse_options

_OPTIONS = ("--sure", "--undo", "--help")


def drilled(
    job: JobFile,
    part: Annotated[str | None, typer.Argument(help="Counterweight or bolted part.")] = None,
    angle: Annotated[str | None, typer.Argument(help='In the crank\'s frame: "171 deg".')] = None,
    diameter: Annotated[str | None, typer.Argument(help='The drill: "12 mm", "1/2 in".')] = None,
    depth: Annotated[str | None, typer.Argument(help="Depth at full diameter.")] = None,
    *,
    sure: Annotated[
        bool, typer.Option("--sure", help="Keep a hole that looks wrong: it was drilled so.")
    ] = False,
    undo: Annotated[
        bool,
        typer.Option("--undo", help="Take back the latest hole (of a part), as a new entry."),
    ] = False,
) -> int:
    """Record a hole as drilled: in which part, where, which drill, how deep.

    It is held against the plan that the last spin led to.
    """
    from cli.add_hole import add_hole, undo_hole

    said = [part, angle, diameter, depth]
    refuse_options((word for word in said if word is not None), _OPTIONS)
    return undo_hole(job, said) if undo else add_hole(job, said, sure=sure)
