"""What the columns of a shop's list hold, by their titles: marks, weights of what, in what unit."""

import re
from dataclasses import dataclass

from balance.errors import InputError
from balance.job.hung import hung_in_list
from balance.units import read

__all__ = ["KINDS", "WHATS", "Column", "as_what", "column_of", "is_number", "what_of_item"]

_MARK = ("mark", "part", "no", "no.", "nr", "number", "id", "#", "name", "cyl", "cylinder")
_NUMBERED = r"^(part|item|piston|pin|rod|conrod)s? (no|nr|num|number|id|#)\.?$"
WHATS = {
    "weight": "weight", "mass": "weight", "grams": "weight", "reading": "weight",
    "total": "total", "whole": "total", "big end": "big_end", "big": "big_end",
    "small end": "small_end", "small": "small_end", "little end": "small_end",
    "wt": "weight", "wgt": "weight", "average": "weight", "avg": "weight", "mean": "weight",
    "be": "big_end", "se": "small_end",
}  # fmt: skip
KINDS = {
    "piston": "piston", "pin": "pin", "rod": "rod", "wrist pin": "pin", "conrod": "rod",
    "gudgeon": "pin", "pist": "piston",
}  # fmt: skip


@dataclass(frozen=True)
class Column:
    """What a column holds: the marks, or readings of a kind of part in a unit."""

    title: str
    marks: bool = False
    says_what: bool = False
    says_unit: bool = False
    kind: str | None = None
    what: str | None = None
    unit: str | None = None


def as_what(said: str) -> str:
    """Return which weighing of a part is meant: ``big end``, ``Big-End`` and ``big`` are one.

    Examples
    --------
    >>> as_what("Big end"), as_what("small"), as_what("total"), as_what("middle")
    ('big_end', 'small_end', 'total', 'middle')
    """
    return WHATS.get(re.sub(r"[\s_-]+", " ", said).strip().lower(), said)


def what_of_item(said: str) -> str:
    """Return which weighing an item of a list is: the kind of part may stand in it.

    Examples
    --------
    >>> what_of_item("Conrod B.E."), what_of_item("Rod small end"), what_of_item("PISTON")
    ('big_end', 'small_end', 'weight')
    >>> what_of_item("big_end"), what_of_item("big end, finished"), what_of_item("bolt")
    ('big_end', 'big end, finished', 'bolt')
    """
    words = _ends_spelt(re.sub(r"[\s_-]+", " ", said).strip().lower()).split()
    left = [word for word in words if word.rstrip("s") not in KINDS and word != "wrist"]
    if not left:
        return "weight" if words else ""
    what = as_what(" ".join(left))
    return what if what in WHATS.values() else said


def _ends_spelt(words: str) -> str:
    return re.sub(r"\b([bs])\.\s*e\b\.?", r"\1e", words)  # B.E. is the big end


def column_of(title: str, kind: str | None, what: str | None) -> Column:
    """Understand one cell of a header: ``Big end (g)``, ``piston``, ``mark``, ``weight 2``."""
    unit = _unit_in(title)
    if hung := hung_in_list(title):
        return Column(title, kind=hung, what="weight", unit=unit)
    words = re.sub(r"[\[(].*?[\])]|\d+|_", " ", title.lower())
    words = " ".join(word for word in _ends_spelt(words).split() if word != (unit or "").lower())
    words = re.sub(r"\bpiston (?=pins?\b)", "", words)  # a piston pin is a pin
    whats = [found for word, found in WHATS.items() if re.search(rf"\b{word}\b", words)]
    whats.sort(key=lambda found: found == "weight")  # a "small end weight" is a small end
    kinds = [found for word, found in KINDS.items() if re.search(rf"\b{word}s?\b", words)]
    named = kinds[0] if kinds else None
    if words.strip(" .") in _MARK or (whats == [] and re.search(r"\bmark(s|ing)?\b", words)):
        return Column(title, marks=True)
    if whats == [] and re.search(_NUMBERED, words):
        return Column(title, marks=True, kind=named)
    says_what = words in ("what", "which", "end", "item", "component", "description")
    if says_what or words in ("unit", "units"):
        return Column(title, says_what=says_what, says_unit=not says_what)
    if not whats and not kinds and unit is None:
        return Column(title)
    of = whats[0] if whats else what
    rods = "rod" if of in ("total", "big_end", "small_end") else None
    return Column(title, kind=named or rods or kind, what=of, unit=unit)


def _unit_in(title: str) -> str | None:
    """Return the unit of mass that a header names, in brackets or as its last word."""
    bracket = re.search(r"[\[(]\s*([^\])]+?)\s*[\])]", title)
    last = title.replace("_", " ").split()[-1:] or [""]
    for candidate in (bracket[1] if bracket else "", last[0]):
        try:
            read(f"1 {candidate}" if candidate.isalpha() else "no", "mass")
        except InputError:
            continue
        return candidate
    return None


def is_number(cell: str) -> bool:
    """Return whether a cell is a bare number, whatever its decimal mark."""
    return bool(re.fullmatch(r"-?[\d.,]*\d[\d.,]*", cell))
