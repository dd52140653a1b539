"""Why a text is no quantity, in words: which part of it is broken, and what may have been meant.

Nothing here gives a value: a mend is a question, asked only when the mended text can be read.
"""

import re
import unicodedata
from collections.abc import Callable, Iterator

__all__ = ["broken", "with_plain_fractions"]

_LONGEST = 80  # letters of any quantity; the patterns below are not made for whole pages
_LETTERS = str.maketrans("OolISBZ", "0011582")
_SIGNS = str.maketrans(
    dict.fromkeys("\N{MINUS SIGN}\N{EN DASH}\N{EM DASH}\N{NON-BREAKING HYPHEN}", "-")
    | dict.fromkeys("\N{MIDDLE DOT}\N{BULLET}\N{DOT OPERATOR}", ".")
)
_FIGURE = r"[\dOolISBZ]"  # a digit, or a letter that is typed for one
_HEAD = re.compile(rf"[-+]?(?:{_FIGURE}|[.,/])*(?:\s+{_FIGURE}+/{_FIGURE}+)?")
_FIRST = re.compile(r"\s*[-+]?(?:\d+[\s-]\d+/\d+(?![/\d])|[\d.,/'’\\]+)")
_THOUSANDS = re.compile(r"\s*([-+]?\d{1,3}(?:([.,'’])\d{3})(?:\2\d{3})*|[-+]?\d{1,2}(?:\s\d{3})+)")
_REWRITES = (
    (r"(?<=\d)\s*([.,/])\s*(?=\d)", r"\1"),  # 420. 3 g, 14 13 / 16 oz
    (r"([.,])\1+(?=\d)", r"\1"),  # 420..3 g
    (r"[()\[\]=]", ""),  # 420.3 [g]
    (r"(/\d+)(?:ths?|nds?|rds?)\b", r"\1"),  # 5/64th in
    (r"''", '"'),
    (r"(?<=\d)\s*(lbs?)\s*(?=\d)", r" \1 "),  # 1lb2oz
)


def broken(text: str, reads: Callable[[str], bool]) -> str:
    """Return what is wrong with the number of a text, to stand behind it; empty if it is sound.

    Parameters
    ----------
    text : str
        As written.
    reads : callable
        Whether a mended text is a quantity of the kind that is wanted.

    Examples
    --------
    >>> broken("42O.3 g", lambda text: True)
    ' (did you mean 420.3 g?)'
    >>> broken("420,3,1 g", lambda text: False)
    ': 420,3,1 has more than one decimal mark'
    """
    if len(text) > _LONGEST:
        return ""
    for mended in _mends(text.strip()):
        if mended != text and reads(mended):
            return f" (did you mean {mended}?)"
    return next(_faults(_typed(text)), "")


def _mends(text: str) -> Iterator[str]:
    """Yield what may have been meant, the likeliest first."""
    typed = _typed(text)
    head = found[0] if (found := _HEAD.match(typed)) else ""
    to_last_digit = head.rstrip("OolISBZ.,/")  # the o of 0.5oz is none
    ends = (0, len(head), len(to_last_digit))
    ways = (typed[:end].translate(_LETTERS) + typed[end:] for end in ends)
    for way in dict.fromkeys(ways):
        yield way
        for pattern, instead in _REWRITES:
            yield re.sub(pattern, instead, way)
        if found := _THOUSANDS.match(way):
            yield re.sub(r"[^\d+-]", "", found[1]) + way[found.end() :]


def _typed(text: str) -> str:
    """Return a text with the signs of a keyboard for those of a printer: ``½``, ``−``, ``３``."""
    wide = (
        unicodedata.normalize("NFKC", letter)
        if unicodedata.decomposition(letter).startswith("<wide>")
        else letter
        for letter in text.translate(_SIGNS)
    )
    return with_plain_fractions("".join(wide))


def with_plain_fractions(text: str) -> str:
    """Return a text with ``½`` written out: it has one meaning only.

    Examples
    --------
    >>> with_plain_fractions("1½ in"), with_plain_fractions("⅝ oz")
    ('1 1/2 in', '5/8 oz')
    """
    letters: list[str] = []
    for letter in text:
        fraction = unicodedata.decomposition(letter).startswith("<fraction>")
        plain = unicodedata.normalize("NFKC", letter) if fraction else letter
        glued = fraction and letters and letters[-1][-1:].isdigit()
        letters.append(" " * bool(glued) + plain.replace("\N{FRACTION SLASH}", "/"))
    return "".join(letters)


def _faults(text: str) -> Iterator[str]:
    """Yield what is wrong with the number, the first of it the plainest."""
    if glued := re.match(r"\s*[-+]?[\d.,]*\d([^\W\d_]+)[.,]?\d", text):
        yield f": {glued[1]!r} stands inside the number"
    if (found := _FIRST.match(text)) is None or not re.search(r"\d", found[0]):
        return
    number, rest = found[0].strip(), text[found.end() :]
    if re.search(r"(?<![\w/^-])[-+]?\d", rest):
        yield ": it holds more than one number, or a blank within one"
    elif "/" in number or "\\" in number:
        if not re.fullmatch(r"[-+]?(\d+[\s-])?\d+/\d+", number):
            yield f": {number} is no fraction: write 13/16 or 1 1/4, or a decimal"
    elif len(re.findall(r"[.,'’]", number)) > 1:
        yield f": {number} has more than one decimal mark"
    elif number[-1] in ".,":
        yield f": no digit follows the decimal mark of {number}"
