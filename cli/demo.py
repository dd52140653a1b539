"""heavyspot demo: the whole job on a shipped example."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from balance.sheet.results import Results


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
    from concurrent.futures import ProcessPoolExecutor
    from importlib.resources import files
    from multiprocessing import get_context

    from cli.papers import SHEETS, draw, keep, load_drawing, write_papers

    # Drawing goes to a second process: its imports and pictures take as long as all the rest.
    with ProcessPoolExecutor(1, get_context("spawn"), initializer=load_drawing) as artist:
        artist.submit(load_drawing)
        from balance.job.load import read_job
        from balance.sheet.results import Results
        from cli.printing import bullets, heading, next_step

        text = (files("cli.examples") / f"{example}.toml").read_bytes()
        job = keep(out / f"{example}.toml", text)
        results = Results(read_job(job))
        _ = results.card
        weights = artist.submit(draw, results, out, ("weights",))
        _ = results.corrected
        metal = artist.submit(draw, results, out, ("counterweights", "polar-crank"))
        _print_all(results)
        written, _lacking = write_papers(results, out, only=SHEETS)
        pictures = [*weights.result(), *metal.result()]
    heading("Written")
    bullets(str(path) for path in (job, *written, *pictures))
    next_step(f"open {out / 'work-sheet.pdf'}; then heavyspot new inline-4 my-job.toml.")
    return 0 if results.corrected.feasible else 1


def _print_all(results: "Results") -> None:
    from cli.show_engine import show_bobweights, show_shake
    from cli.show_metal import show_correction
    from cli.show_parts import show_match
    from cli.show_spin import show_spin

    for step in (show_match, show_bobweights, show_shake, show_spin, show_correction):
        step(results)
        print()
