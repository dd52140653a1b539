"""What keeps a job from being done: one rule for the screens, the papers and the folder's lines."""

import shlex
from dataclasses import dataclass
from typing import Literal

from balance.metal.drilled_holes import holes_since
from balance.sheet.check_spin_words import stop_text
from balance.sheet.results import Results
from balance.sheet.wording import VERDICTS

__all__ = ["StillOpen", "bolt_up", "still_open"]


@dataclass(frozen=True)
class StillOpen:
    """What comes next and why.

    ``kind`` is "stop" where spins contradict what is recorded, "spin" where holes wait for a spin,
    "correct" where a part is not within its limit, "bolt up" where a part was not spun yet.
    """

    kind: Literal["stop", "spin", "correct", "bolt up"]
    why: str


def still_open(results: Results) -> StillOpen | None:
    """Return what keeps a job from being done; None when nothing does.

    Raises
    ------
    MissingInputError
        When the crank was not spun yet.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> found = still_open(Results(read_job(files("cli.examples") / "flat-four.toml")))
    >>> found.kind, found.why[:26]
    ('correct', 'crank: outside the limit, ')

    Source: common practice, no source.
    """
    job, spun = results.job, results.spun
    if refuted := stop_text(job, results.recorded_check) or results.stop:
        return StillOpen("stop", refuted)
    if late := holes_since(job, spun):
        said = ", ".join(f"{name} got {n} hole{'s' * (n > 1)}" for name, n in late.items())
        return StillOpen("spin", f"{said} after its last spin: not proven yet")
    outside = [part for part in spun.parts if part.verdict != "pass"]
    if outside:
        said = ", ".join(f"{part.name}: {VERDICTS[part.verdict]}" for part in outside)
        return StillOpen("correct", said)
    if names := _unspun(results):
        return StillOpen("bolt up", f"{', '.join(names)} not spun yet")
    return None


def bolt_up(results: Results) -> str:
    """Return what to bolt up next, and the command that enters its spin.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_text
    >>> text = (files("cli.examples") / "flat-four.toml").read_text()
    >>> job = read_text(text[: text.index("[[spins]]\\nname = \\"with flywheel")])
    >>> bolt_up(Results(job))
    'bolt up flywheel and spin: heavyspot spin job.toml --add --on crank --on flywheel.'
    """
    name = _unspun(results)[0]
    stack = max((stack.on for stack in results.spun.stacks), key=len)
    turned = " ".join(f"--on {shlex.quote(part)}" for part in (*stack, name))
    source = shlex.quote(str(results.job.source))
    return f"bolt up {name} and spin: heavyspot spin {source} --add {turned}."


def _unspun(results: Results) -> tuple[str, ...]:
    """Return the bolted parts of a job that no spin shows yet, in the order of the file."""
    spun = {part.name for part in results.spun.parts}
    return tuple(page.name for page in results.job.bolted if page.name not in spun)
