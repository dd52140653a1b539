"""Words of the trade: which step works each out, and what it is, for jobs that lack it so far.

The meanings are common practice, no source; those of the standard's words are ISO 21940-2's
(vocabulary of balancing), from memory.
"""

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["TERMS", "Term", "nearly_term", "term_of"]


@dataclass(frozen=True)
class Term:
    """A word: the step that works it out, what it means, and by which name its lines go."""

    topic: str
    meaning: str
    name: str = ""


TERMS: Mapping[str, Term] = {
    "set": Term("match", "a piston, a pin and a rod that go together", "sets"),
    "cut": Term("match", "what a part loses so that its set is not too heavy"),
    "stop": Term("match", "the weight at which to stop cutting a part"),
    "stamp": Term("match", "cylinder and set, struck into every part of the set"),
    "closure": Term("match", "what the two ends of a rod weigh more than the whole rod"),
    "target": Term("match", "the heaviest that a set or a big end may be"),
    "repeatability": Term("match", "how far one reading of the scale is off as a rule", "scale"),
    "bobweight": Term("bobweight", "a mass clamped on a crankpin that stands for rods and pistons"),
    "cylinder": Term("bobweight", "which set goes there, and what that loses"),
    "crankpin": Term("bobweight", "its bobweight"),
    "rotating": Term("bobweight", "what turns with the pin: big ends and shells", "rotating mass"),
    "reciprocating": Term("bobweight", "what goes up and down", "reciprocating mass"),
    "order": Term("shake", "how often a shake comes round in one turn of the crank"),
    "factor": Term("shake", "the share of the reciprocating mass that is counted as turning"),
    "shake": Term("shake", "forces and couples that the engine makes by itself"),
    "plane": Term("spin", "a place along the crank where an unbalance is told or corrected"),
    "unbalance": Term("spin", "mass times radius, and where the heavy side points"),
    "heavy spot": Term("spin", "where the heavy side of a part points", "unbalance"),
    "light spot": Term("spin", "across from the heavy spot", "unbalance"),
    "limit": Term("spin", "how much unbalance may stay, in each bearing plane"),
    "tolerance": Term("spin", "how much unbalance may stay, in each bearing plane", "limit"),
    "grade": Term("spin", "a limit that fits mass and speed, as in G 6.3", "grade"),
    "verdict": Term("spin", "pass, outside or not proven: amount against limit, doubt counted"),
    "doubt": Term("spin", "the standard uncertainty u: how far a number may be off", "uncertainty"),
    "guard": Term("spin", "1.65 u: so far inside the limit a reading proves something", "verdict"),
    "hole": Term("correct", "metal drilled out of a counterweight or a bolted part"),
    "check spin": Term("correct", "a spin with putty where holes go, before the first of them"),
    "putty": Term("correct", "what is stuck on for a check spin before the first hole"),
    "depth": Term("correct", "how deep a hole goes at full diameter"),
    "drill": Term("correct", "the drill of a hole"),
    "point": Term("correct", "the cone that a drill makes beyond the full diameter"),
    "slug": Term("correct", "heavy metal set into a counterweight where drilling is not enough"),
    "residual": Term("correct", "the unbalance that stays"),
    "left": Term("correct", "the unbalance that stays", "residual"),
    "margin": Term("correct", "the share of the limit that a plan uses, so that it ends inside"),
    "chance": Term("correct", "how often a plan ends inside when readings and drill are a bit off"),
    "first cut": Term("correct", "how deep to drill before the crank is spun again"),
    "metal": Term("correct", "what comes off in all"),
}  # fmt: skip

_NUMBERED = re.compile(r"(.*\S)\s+\S*\d\S*(?: mm)?")


def term_of(wanted: str) -> Term | None:
    """Return the term that a word means: alone, in the plural, or with a number behind it.

    Examples
    --------
    >>> term_of("hole 1").topic, term_of("plane 0 mm").topic, term_of("flange")
    ('correct', 'spin', None)
    """
    numbered = _NUMBERED.fullmatch(wanted)
    for word in (wanted, numbered[1] if numbered else wanted):
        for one in (word, word.removesuffix("s")):
            if one in TERMS:
                return TERMS[one]
    return None


def nearly_term(wanted: str) -> str | None:
    """Return the word that a misspelt one was probably meant for; None when none is near.

    Examples
    --------
    >>> nearly_term("bobwieght"), nearly_term("flange")
    ('bobweight', None)
    """
    near = difflib.get_close_matches(wanted.casefold(), TERMS, n=1, cutoff=0.8)
    return near[0] if near else None
