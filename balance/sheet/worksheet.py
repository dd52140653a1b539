"""The work sheet: what the person at the bench and at the drill press works from."""

from collections.abc import Callable, Iterator, Sequence

from balance import __version__
from balance.errors import MissingInputError
from balance.job.model import Job
from balance.sheet.blocks import (
    WRITE,
    Block,
    Bullets,
    Column,
    Heading,
    Paper,
    Table,
    clean,
)
from balance.sheet.pdf import set_pdf
from balance.sheet.results import Results
from balance.sheet.sections_drilling import drilling_page
from balance.sheet.sections_metal import seats_section
from balance.sheet.sections_parts import (
    bobweight_section,
    cuts_section,
    doubts_section,
    marks_section,
    section,
)
from balance.sheet.sections_spin import expected_section, respin_section
from balance.spin.proof_steps import is_proven

__all__ = ["work_sheet"]

AID = (
    "A calculation aid: the person who signs the job decides; local rules and licensed practice "
    "come first."
)
INVENTED = "INVENTED: demonstration data, no real engine. Cut no metal by this paper."


def work_sheet(results: Results, *, paper: str = "a4") -> bytes:
    """Return the work sheet of a job as PDF, for A4 or US Letter, readable in black and white.

    Steps that lack a measurement say what is still to be measured.

    Parameters
    ----------
    results : Results
        Of the job.
    paper : {"a4", "us-letter"}
        The sheets it will be printed on.

    Raises
    ------
    InputError
        When the paper is not known, or something in the job cannot be right.

    Examples
    --------
    >>> from balance.job.load import read_text
    >>> job = read_text('''format = 1
    ... job = {name = "one"}
    ... engine = {layout = "single", stroke = 80, rod_length = 130, bore_spacing = 90}
    ... ''')
    >>> work_sheet(Results(job))[:5]
    b'%PDF-'
    """
    return set_pdf(work_paper(results), size=paper)


def work_paper(results: Results) -> Paper:
    """Return the work sheet as blocks."""
    spins = () if _refuted(results) else results.job.standing_spins
    drilling = drilling_page(results)
    # a page for the bench, one for the drill press, one for the machine: unless the second of
    # them ran over, as it does with slugs
    begun = any(isinstance(block, Heading) and block.new_page for block in drilling)
    apart = begun and not seats_section(results)
    blocks = (
        *doubts_section(results),
        Heading("1  Order of work"),
        Bullets(tuple(order_of_work(results)), tick=True),
        *section("2  Which parts go together", lambda: marks_section(results)),
        *_if(
            results.job.parts.rods, "3  What to cut from the parts", lambda: cuts_section(results)
        ),
        *section("4  Bobweights", lambda: bobweight_section(results)),
        *drilling,
        *_if(spins, NEXT_SPIN, lambda: respin_section(results), new_page=apart),
        *_if(spins, "7  What should remain", lambda: expected_section(results)),
        SIGNATURE,
    )
    return headed(results, "Work sheet", blocks)


def _refuted(results: Results) -> bool:
    """Return whether a spin contradicts what every plan here rests on."""
    try:
        return bool(results.stop)
    except MissingInputError:
        return False


NEXT_SPIN = "6  What the next spin should show"
SIGNATURE = Table(
    (
        Column("job done by", width_mm=70),
        Column("date", width_mm=40),
        Column("signed", width_mm=70),
    ),
    ((WRITE, WRITE, WRITE),),
)


def _if(
    there: Sequence[object],
    title: str,
    made: Callable[[], tuple[Block, ...]],
    *,
    new_page: bool = False,
) -> tuple[Block, ...]:
    """Return a section when there is anything to say; another section says what is missing."""
    return section(title, made, new_page=new_page) if there else ()


def headed(results: Results, title: str, blocks: tuple[Block, ...]) -> Paper:
    """Return a paper with the job's name, facts and marks of origin around its blocks."""
    about = results.job.job
    facts = (
        ("engine", clean(about.engine)), ("for", clean(about.customer)),
        ("date", "" if about.date is None else about.date.isoformat()),
        ("by", clean(about.balancer)),
    )  # fmt: skip
    date = None if about.date is None else (about.date.year, about.date.month, about.date.day)
    return Paper(
        title=title,
        subtitle=clean(about.name),
        blocks=blocks,
        foot=f"{title} · {clean(about.name)} · heavyspot {__version__} · job file {_file(results)}",
        author=clean(about.balancer),
        date=date,
        banner=INVENTED if about.invented else "",
        aid=AID,
        facts=tuple((name, value) for name, value in facts if value),
    )


def _file(results: Results) -> str:
    """Return what tells this state of the job file from another: the record names it whole."""
    return results.job.digest[:8]


def order_of_work(results: Results) -> Iterator[str]:
    """Yield the steps of the work that this job has, in their order."""
    job = results.job
    yield (
        "Find crankpin 1 and mark its centre line as 0° at the flywheel end (section 5)."
        + (" Prove how the machine counts: a known mass at a known place." * _to_prove(job))
    )
    if job.parts.pistons or job.parts.rods:
        yield _parts_work(results)
    yield from _bobweight_work(results)
    if job.crank is not None:
        yield from _drilling(results)


def _parts_work(results: Results) -> str:
    try:
        matched = results.matched
    except MissingInputError:
        return "Weigh the parts (heavyspot weigh); then make this sheet again."
    if matched.weigh_again:
        return f"Weigh {clean(matched.weigh_again)} again; stamp and cut nothing before."
    if not matched.match.feasible:
        return "No sets can be made (2): stamp and cut nothing before that is cleared up."
    return "Stamp the parts (2), cut them (3), weigh each again (heavyspot weigh --finished)."


def _bobweight_work(results: Results) -> Iterator[str]:
    try:
        if results.need.needed:
            yield (
                "Make up and hang the bobweights (4); the same ones at every spin. Weigh each as "
                "it hung before the first hole: no spin shows that one is wrong."
            )
    except MissingInputError as missing:
        yield f"Measure the engine and write into the job file: {', '.join(missing.needed)}."


def _to_prove(job: Job) -> bool:
    return job.machine is not None and not is_proven(job)


def _drilling(results: Results) -> Iterator[str]:
    try:
        plan = results.corrected.crank.plan
    except MissingInputError:
        yield "Spin the crank and write the readings into the job file; then make this sheet again."
        return
    if results.stop:
        yield "Drill nothing: clear up what the last spin says (5); then make this sheet again."
        return
    if results.check_spin.due:
        yield "Make the check spin with putty (5), write it down; drill nothing before it agrees."
    if not plan.feasible:
        yield "There is no plan for the crank (5 says why): drill nothing in it."
    if plan.slugs:
        yield (
            "Bore for the slugs and fit them (5), spin (6), make this sheet again: the holes of "
            "the crank are planned anew."
        )
    elif plan.holes:
        stage = results.corrected.crank.stage
        staged = stage is not None and stage.held_back
        depth = "to its first cut" if staged else "to its depth"
        rest = "then plan the rest by that spin" if staged else "put the reading into the job file"
        yield (
            "Mark the holes of the crank (5), check each angle by a second way. Drill every hole "
            f"{depth}, clean, spin, write it down (6); {rest}."
        )
    if plan.holes or plan.slugs or results.corrected.waiting:
        yield "Deburr, wash the oil ways, spin again; heavyspot spin compares it with 7."
    if results.corrected.discs:
        names = ", then ".join(clean(disc.name) for disc in results.corrected.discs)
        yield f"Bolt up {names}: each in its marked position; spin, drill (5), spin again."
        if any(results.spun.read_once(disc.name) for disc in results.corrected.discs):
            yield "Before its first hole spin each once more: what was misread shows then."
    yield "All within the limits? Write the last spins into the job file and make the record."
