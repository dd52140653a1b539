"""Write pictures and sheets into a folder; what lacks its input is named, not left out silently."""

from __future__ import annotations

import io
import os
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from balance.errors import InputError, JobFileError, MissingInputError

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from balance.parts.steps import Matched
    from balance.sheet.results import Results

Made = Callable[[], bytes]
Drawn = Callable[[], "Figure"]


@dataclass(frozen=True)
class Lacking:
    """A paper that was not made; ``missing``: its input is not in the job, else it cannot be."""

    name: str
    why: str
    missing: bool

    def __str__(self) -> str:
        return f"{self.name}: {self.why}"


SHEETS = ("work-sheet", "record")


def write_papers(
    results: Results,
    folder: Path,
    *,
    picture: str = "png",
    paper: str = "a4",
    only: tuple[str, ...] = (),
) -> tuple[list[Path], list[Lacking]]:
    """Write the pictures and sheets of a job; return the files and what could not be made."""
    written: list[Path] = []
    lacking: list[Lacking] = []
    for name, made in made_papers(results, picture=picture, paper=paper, only=only):
        if isinstance(made, Lacking):
            lacking.append(made)
        else:
            written.append(keep(folder / name, made))
    return written, lacking


def made_papers(
    results: Results, *, picture: str, paper: str, only: tuple[str, ...] = ()
) -> Iterator[tuple[str, bytes | Lacking]]:
    """Yield the name of each picture and sheet with what stands in it, or with why it is not."""
    from balance.sheet.sections_parts import not_yet

    for name, make in _papers(results, picture, paper):
        if only and Path(name).stem not in only:
            continue
        try:
            yield name, make()
        except MissingInputError as missing:
            yield name, Lacking(name, not_yet(missing), missing=True)
        except InputError as wrong:
            if isinstance(wrong, JobFileError):
                raise
            yield name, Lacking(name, str(wrong), missing=False)


def draw(results: Results, folder: Path, names: tuple[str, ...]) -> list[Path]:
    """Draw the named pictures as PNG and return their files."""
    made = dict(_pictures(results))
    return [keep(folder / f"{name}.png", _saved(made[name], "png")()) for name in names]


def load_drawing() -> None:
    """Import what drawing needs, so that it is ready when the first picture comes."""
    import balance.sheet.plots_metal
    import balance.sheet.plots_parts
    import balance.sheet.plots_polar  # noqa: F401


def keep(path: Path, data: bytes) -> Path:
    """Write one file, whole or not at all, and return its path; makes its folder if need be."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        target = Path(os.path.realpath(path))
        if target.exists() and not (target.is_file() and os.access(target, os.W_OK)):
            path.write_bytes(data)  # a pipe takes it; what may not be written says so
        else:
            _replace(target, data)
    except OSError as wrong:
        raise JobFileError(f"cannot be written: {wrong.strerror}", path=str(path)) from None
    return path


def _replace(target: Path, data: bytes) -> None:
    """Put ``data`` in a file's place in one step, so that no half of it is ever seen."""
    fresh = target.with_name(f".{target.name}.{os.getpid()}.new")
    try:
        fresh.write_bytes(data)
        os.replace(fresh, target)
    finally:
        fresh.unlink(missing_ok=True)


def _papers(results: Results, picture: str, paper: str) -> Iterator[tuple[str, Made]]:
    from balance.sheet.record import balance_record
    from balance.sheet.record_html import balance_record_html
    from balance.sheet.worksheet import work_sheet

    yield "work-sheet.pdf", lambda: work_sheet(results, paper=paper)
    yield "record.html", lambda: balance_record_html(results).encode("utf-8")
    yield "record-paper.pdf", lambda: balance_record(results, paper=paper)
    for name, draw in _pictures(results):
        yield f"{name}.{picture}", _saved(draw, picture)


def _saved(draw: Drawn, picture: str) -> Made:
    def save() -> bytes:
        out = io.BytesIO()
        draw().savefig(out, format=picture, dpi=110)
        return out.getvalue()

    return save


def _pictures(results: Results) -> Iterator[tuple[str, Drawn]]:
    from balance.sheet.plots_engine import force_against_speed, shake_ellipse_plot
    from balance.sheet.plots_parts import weights_before_after
    from balance.sheet.plots_rims import drill_map
    from balance.sheet.plots_stack import stack_vectors

    yield "weights", lambda: weights_before_after(_agreed(results))
    yield "shake", lambda: shake_ellipse_plot(results.shook)
    yield "force", lambda: force_against_speed(results.shook)
    yield "stack", lambda: stack_vectors(results.spun)
    yield "counterweights", lambda: _counterweights(results)
    yield "drill-map", lambda: drill_map(results.corrected.crank)
    yield "polar-crank", lambda: _polar(results, 0)
    for index, page in enumerate(_bolted(results), 1):
        stem = file_stem(page, index)
        yield f"polar-{stem}", lambda index=index: _polar(results, index)  # type: ignore[misc]
        if not _left_as_it_is(results, page):
            yield f"disc-{stem}", lambda index=index: _disc(results, index - 1)  # type: ignore[misc]


def _left_as_it_is(results: Results, name: str) -> bool:
    return any(page.name == name and page.left_as_it_is for page in results.job.bolted)


def file_stem(name: str, number: int) -> str:
    """Return a part's name as a file's: what could lead out of the folder becomes its number."""
    plain = name.replace(" ", "-")
    return plain if re.fullmatch(r"[\w-]+", plain) else f"part-{number}"


def _agreed(results: Results) -> Matched:
    """Return the sets of a job, unless no cut may be shown."""
    matched = results.matched
    if matched.weigh_again:
        raise InputError(f"no cuts: weigh {matched.weigh_again} again")
    if not matched.match.feasible:
        raise InputError(f"no sets: {matched.match.reason}")
    return matched


def _bolted(results: Results) -> list[str]:
    """Return the bolted parts that were spun, in the order of the stacks."""
    try:
        return [part.name for part in results.spun.parts[1:]]
    except MissingInputError:
        return []


def _names(results: Results) -> dict[float, str]:
    return {diameter: label for label, diameter in results.job.drills.sizes}


def _counterweights(results: Results) -> Figure:
    from balance.sheet.plots_metal import counterweight_view

    crank = results.corrected.crank
    first = crank.stage.first_cut if crank.stage else ()
    return counterweight_view(crank, drill_names=_names(results), first_cut=first)


def _polar(results: Results, index: int) -> Figure:
    from balance.sheet.plots_polar import polar_chart

    corrected = results.corrected
    correction = corrected.discs[index - 1] if index else corrected.crank
    return polar_chart(results.spun.parts[index], correction=correction)


def _disc(results: Results, index: int) -> Figure:
    from balance.metal.holes import DrilledHole
    from balance.sheet.plots_rims import disc_view

    disc = results.corrected.discs[index]
    page = next(part for part in results.job.bolted if part.name == disc.name)
    if page.hole_radius is None:
        raise MissingInputError("correct", [f"hole_radius of {disc.name}, if it is to be drilled"])
    drilled = [hole for hole in results.job.standing_holes() if hole.part == disc.name]
    return disc_view(
        disc,
        circle_mm=page.hole_radius,
        existing=[DrilledHole(h.angle, h.diameter, h.depth) for h in drilled],
        keep_clear=page.keep_clear,
        drill_names=_names(results),
        point_degrees=results.job.drills.point,
    )
