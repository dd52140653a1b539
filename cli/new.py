"""heavyspot new: a commented job file to begin with."""

import re
from pathlib import Path
from typing import Annotated

import typer

from balance.errors import InputError, JobFileError

# What shops call an engine, beside what the house calls it: common practice, no source.
_NUMBERS = {
    "one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7",
    "eight": "8", "nine": "9", "ten": "10", "eleven": "11", "twelve": "12",
}  # fmt: skip
_CALLED = {
    "i": "inline", "l": "inline", "r": "inline", "slant": "inline", "in line": "inline",
    "parallel twin": "twin", "triple": "inline 3", "flat twin": "flat 2",
    "boxer twin": "flat 2", "v twin": "V 2", "thumper": "single",
}  # fmt: skip


def _as_the_house_says(said: str) -> str:
    """Return a shop's name of an engine as a layout's: ``straight six``, ``slant 4``, ``I4``.

    Examples
    --------
    >>> [_as_the_house_says(name) for name in ("Slant-4", "straight six", "I4", "V-8", "v twin")]
    ['inline 4', 'straight 6', 'inline 4', 'V-8', 'V 2']
    """
    words = [word for word in re.split(r"[\s_-]+|(?<=[a-z])(?=\d)", said.strip().lower()) if word]
    plain = " ".join(_NUMBERS.get(word, word) for word in words)
    name, _, number = plain.rpartition(" ")
    found = _CALLED.get(plain) or (f"{_CALLED[name]} {number}" if name in _CALLED else plain)
    return said if found == " ".join(words) else found


def _refuse_more(layout: str) -> None:
    """Refuse a name that says more than the layout, and say where the rest is written."""
    family = re.search(r"(?<!narrow[\s_-])\b(?:v|w|inline|flat)[\s_-]*\d+\b", layout.lower())
    if family is not None and family[0] != layout.lower().strip():
        plain = family[0].upper().replace(" ", "")
        raise InputError(
            f"layout {layout!r} says more than a layout: heavyspot new {plain} FILE, "
            "then bank_angle, pin_splay (split pins) or crank (flat, cross) under [engine]"
        )


def new(
    layout: Annotated[str, typer.Argument(help="Layout: inline-4, flat-4, V-8, single ...")],
    file: Annotated[Path, typer.Argument(help="The job file to write.")],
    name: Annotated[str, typer.Option(help="What the job is called.")] = "",
) -> int:
    """Write a commented job file for an engine layout; it never overwrites one."""
    from balance.engine.arrangements import usual_name
    from balance.engine.layouts import layout as layout_of
    from balance.engine.left_open import assumed_text
    from balance.job.template import starter
    from balance.sheet.wording import capital
    from cli.printing import next_step, say

    layout = _as_the_house_says(layout)
    _refuse_more(layout)
    engine = layout_of(layout, stroke_mm=80, rod_length_mm=140, bore_spacing_mm=100)
    layout = usual_name(layout)
    text = starter(layout, cylinders=len(engine.cylinders), name=name or file.stem)
    try:
        with file.open("x", encoding="utf-8", newline="\n") as out:
            out.write(text)
    except FileExistsError:
        message = "is there already; nothing was written. Choose another name"
        raise JobFileError(message, path=str(file)) from None
    except OSError as wrong:
        raise JobFileError(f"cannot be written: {wrong.strerror}", path=str(file)) from None
    sets = len(engine.cylinders)
    say(f"Wrote {file}: {layout} with {sets} set{'s' * (sets > 1)} of parts to weigh.")
    if usual := assumed_text(layout, ()):
        say(f"{capital(usual)}.")
    next_step(f'fill in every "?" and the weighings, then heavyspot check {file}')
    return 0
