"""heavyspot drilled: record a hole that was drilled."""

from typing import Annotated

import typer

from cli.arguments import JobFile


def drilled(
    job: JobFile,
    part: Annotated[str | None, typer.Argument(help="Counterweight or bolted part.")] = None,
    angle: Annotated[str | None, typer.Argument(help='In the crank\'s frame: "171 deg".')] = None,
    diameter: Annotated[str | None, typer.Argument(help='The drill: "12 mm", "1/2 in".')] = None,
    depth: Annotated[str | None, typer.Argument(help="Depth at full diameter.")] = None,
    *,
    sure: Annotated[bool, typer.Option("--sure", help="Keep a hole that looks wrong.")] = False,
) -> int:
    """Record a hole as drilled: in which part, where, which drill, how deep."""
    from cli.add_hole import add_hole

    return add_hole(job, [part, angle, diameter, depth], sure=sure)
