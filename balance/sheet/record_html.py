"""The balance record as one web page."""

from balance.sheet.html import set_html
from balance.sheet.record import record_paper
from balance.sheet.results import Results

__all__ = ["balance_record_html"]


def balance_record_html(results: Results) -> str:
    """Return the balance record of a job as one web page that needs no network.

    Parameters
    ----------
    results : Results
        Of the job.

    Raises
    ------
    InputError
        When something in the job cannot be right.

    Examples
    --------
    >>> from balance.job.load import read_text
    >>> job = read_text('''format = 1
    ... job = {name = "one"}
    ... engine = {layout = "single", stroke = 80, rod_length = 130, bore_spacing = 90}
    ... ''')
    >>> balance_record_html(Results(job))[:15]
    '<!doctype html>'
    """
    return set_html(record_paper(results))
