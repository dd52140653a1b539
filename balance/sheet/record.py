"""The balance record: what the customer keeps."""

from balance.sheet.blocks import Block, Heading, Paper
from balance.sheet.pdf import set_pdf
from balance.sheet.results import Results
from balance.sheet.sections_kept import (
    measured_section,
    origin_section,
    refit_section,
    work_section,
)
from balance.sheet.sections_parts import bobweight_section, marks_section, section
from balance.sheet.sections_record import change_section, verdict_section
from balance.sheet.sections_spin import angles_section
from balance.sheet.sections_views import views_section
from balance.sheet.sections_weights import weights_section
from balance.sheet.worksheet import SIGNATURE, headed

__all__ = ["balance_record", "record_paper"]


def balance_record(results: Results, *, paper: str = "a4") -> bytes:
    """Return the balance record of a job as PDF.

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
    >>> balance_record(Results(job))[:5]
    b'%PDF-'
    """
    return set_pdf(record_paper(results), size=paper)


def record_paper(results: Results) -> Paper:
    """Return the balance record as blocks."""
    blocks = (
        *section("1  Verdict", lambda: verdict_section(results)),
        SIGNATURE,
        *section("2  Before and after", lambda: change_section(results)),
        *section("3  Holes and heavy metal", lambda: _work(results)),
        *section("4  Parts and marks", lambda: marks_section(results, to_do=False)),
        *section("5  Weights", lambda: weights_section(results)),
        *section("6  Bobweights", lambda: bobweight_section(results, to_do=False)),
        *section("7  What was measured", lambda: measured_section(results)),
        Heading("8  How angles count here"),
        *angles_section(results),
        Heading("9  Origin"),
        *origin_section(results),
        *_refit(results),
    )
    return headed(results, "Balance record", blocks)


def _work(results: Results) -> tuple[Block, ...]:
    return (*work_section(results), *views_section(results, done=True))


def _refit(results: Results) -> tuple[Block, ...]:
    if not results.job.bolted:
        return ()
    return section("10  How to refit the bolted parts", lambda: refit_section(results))
