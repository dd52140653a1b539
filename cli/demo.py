"""heavyspot demo: the whole job on a shipped example."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class Example(StrEnum):
    """The shipped examples, all invented."""

    flat_four = "flat-four"
    v8 = "v8"
    v_twin = "v-twin"


def demo(
    example: Annotated[Example, typer.Argument(help="Which invented job.")] = Example.flat_four,
    out: Annotated[Path, typer.Option(help="Folder to write into.")] = Path("heavyspot-demo"),
) -> int:
    """Do a whole job on a shipped, invented example and leave its papers in a folder."""
    from importlib.resources import files

    from balance.job.load import read_job
    from balance.sheet.results import Results
    from cli.papers import FEW, keep, write_papers
    from cli.printing import bullets, heading, next_step
    from cli.show_engine import show_bobweights, show_shake
    from cli.show_metal import show_correction
    from cli.show_parts import show_match
    from cli.show_spin import show_spin

    text = (files("cli.examples") / f"{example}.toml").read_bytes()
    job = keep(out / f"{example}.toml", text)
    results = Results(read_job(job))
    for step in (show_match, show_bobweights, show_shake, show_spin, show_correction):
        step(results)
        print()
    written, _ = write_papers(results, out, only=FEW)
    heading("Written")
    bullets(str(path) for path in (job, *written))
    next_step(f"open {out / 'work-sheet.pdf'}; then heavyspot new inline-4 my-job.toml.")
    return 0 if results.corrected.feasible else 1
