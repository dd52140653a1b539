"""Write pictures and sheets into a folder; what lacks its input is named, not left out silently."""

import functools
from collections.abc import Callable, Iterator
from pathlib import Path

from balance.errors import HeavyspotError, JobFileError, MissingInputError
from balance.sheet.results import Results

Made = Callable[[], bytes]


def write_papers(
    results: Results, folder: Path, *, picture: str = "png", paper: str = "a4"
) -> tuple[list[Path], list[str]]:
    """Write every picture and sheet of a job; return the files and what could not be made."""
    written: list[Path] = []
    lacking: list[str] = []
    for name, make in _papers(results, picture, paper):
        try:
            data = make()
        except MissingInputError as missing:
            lacking.append(f"{name}: {missing}")
            continue
        written.append(keep(folder / name, data))
    return written, lacking


def keep(path: Path, data: bytes) -> Path:
    """Write one file and return its path; its folder is made when it is not there."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    except OSError as wrong:
        raise JobFileError(f"cannot be written: {wrong.strerror}", path=str(path)) from None
    return path


def _papers(results: Results, picture: str, paper: str) -> Iterator[tuple[str, Made]]:
    from balance.sheet.record import balance_record
    from balance.sheet.record_html import balance_record_html
    from balance.sheet.worksheet import work_sheet

    yield "work-sheet.pdf", lambda: work_sheet(results, paper=paper)
    yield "record.pdf", lambda: balance_record(results, paper=paper)
    yield "record.html", lambda: balance_record_html(results).encode("utf-8")
    yield from _pictures(results, picture)


def _pictures(results: Results, picture: str) -> Iterator[tuple[str, Made]]:
    from balance.sheet.plots_metal import counterweight_view
    from balance.sheet.plots_parts import weights_before_after
    from balance.sheet.plots_polar import polar_chart

    names = {diameter: label for label, diameter in results.job.drills.sizes}

    def drawn(make: Callable[[], object]) -> Made:
        return lambda: _save(make(), picture)

    yield f"weights.{picture}", drawn(lambda: weights_before_after(results.matched))
    yield (
        f"counterweights.{picture}",
        drawn(lambda: counterweight_view(results.corrected.crank, drill_names=names)),
    )
    for index, part in enumerate(_spun_parts(results)):
        corrections = (results.corrected.crank, *results.corrected.discs)
        chart = functools.partial(
            polar_chart, results.spun.parts[index], correction=corrections[index]
        )
        yield f"polar-{part.replace(' ', '-')}.{picture}", drawn(chart)


def _spun_parts(results: Results) -> list[str]:
    try:
        _ = results.corrected
    except HeavyspotError:
        return []
    return [part.name for part in results.spun.parts]


def _save(figure: object, picture: str) -> bytes:
    import io

    out = io.BytesIO()
    figure.savefig(out, format=picture, dpi=110)  # type: ignore[attr-defined]
    return out.getvalue()
