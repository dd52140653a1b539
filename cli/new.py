"""heavyspot new: a commented job file to begin with."""

from pathlib import Path
from typing import Annotated

import typer


def new(
    layout: Annotated[str, typer.Argument(help="Layout: inline-4, flat-4, V-8, single ...")],
    file: Annotated[Path, typer.Argument(help="The job file to write.")],
    name: Annotated[str, typer.Option(help="What the job is called.")] = "",
) -> int:
    """Write a commented job file for an engine layout; it never overwrites one."""
    from balance.engine.arrangements import usual_name
    from balance.engine.layouts import layout as layout_of
    from balance.errors import JobFileError
    from balance.job.template import starter
    from cli.printing import next_step, say

    engine = layout_of(layout, stroke_mm=80, rod_length_mm=140, bore_spacing_mm=100)
    layout = usual_name(layout)
    text = starter(layout, cylinders=len(engine.cylinders), name=name or file.stem)
    try:
        with file.open("x", encoding="utf-8", newline="\n") as out:
            out.write(text)
    except FileExistsError:
        message = "is there already; nothing was written. Choose another name"
        raise JobFileError(message, path=str(file)) from None
    except OSError as wrong:
        raise JobFileError(f"cannot be written: {wrong.strerror}", path=str(file)) from None
    sets = len(engine.cylinders)
    say(f"Wrote {file}: {layout} with {sets} set{'s' * (sets > 1)} of parts to weigh.")
    next_step(f'fill in every "?" and the weighings, then heavyspot check {file}')
    return 0
