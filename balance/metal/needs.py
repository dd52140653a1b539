"""What a job must hold before its holes can be planned; asking this plans nothing."""

from collections.abc import Iterator

from balance.job.model import Job

__all__ = ["lacks_for_correct"]


def lacks_for_correct(job: Job) -> Iterator[str]:
    """Yield what must be written in a job before its holes can be planned, spins aside.

    Parameters
    ----------
    job : Job
        As read from its file.

    Examples
    --------
    >>> from balance.job.load import read_job
    >>> from importlib.resources import files
    >>> list(lacks_for_correct(read_job(files("cli.examples") / "flat-four.toml")))
    []
    """
    if job.crank is None or not job.crank.counterweights:
        yield "a [[crank.counterweights]] table for each counterweight that may be drilled"
    if not job.drills.sizes:
        yield "the drills in the drawer: sizes under [drills]"
    spun = {name for spin in job.standing_spins for name in spin.on}
    for part in job.bolted:
        places = (part.hole_radius, part.max_depth, part.hole_spacing)
        if part.name in spun and None in places and not part.left_as_it_is:
            yield f"hole_radius, max_depth and hole_spacing of {part.name} under [[bolted]]"
