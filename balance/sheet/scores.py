"""Who has answered what: one file a learner, never half written."""

import json
import os
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from balance.errors import InputError, JobFileError

__all__ = ["Score", "Scored", "keep_score", "read_scores", "score_file"]

_LONGEST = 40
_WAIT_S = 10


@dataclass(frozen=True)
class Scored:
    """One answer that was given."""

    topic: str
    difficulty: int
    seed: int
    answer: str
    right: bool
    slip: str = ""


@dataclass(frozen=True)
class Score:
    """All answers of one learner, oldest first."""

    learner: str
    answers: tuple[Scored, ...]

    @property
    def right(self) -> int:
        """How many of the answers were right."""
        return sum(answer.right for answer in self.answers)

    def by_topic(self) -> dict[str, tuple[int, int]]:
        """Return how many answers were right, of how many, topic by topic."""
        topics = dict.fromkeys(answer.topic for answer in self.answers)
        given = {name: [a for a in self.answers if a.topic == name] for name in topics}
        return {name: (sum(a.right for a in all_), len(all_)) for name, all_ in given.items()}


def score_file(folder: str | Path, learner: str) -> Path:
    """Return the file of a learner's score; no name leads out of the folder.

    Raises
    ------
    InputError
        When the name is not made of letters, digits, blanks, hyphens and underscores.

    Examples
    --------
    >>> score_file("scores", "Ada 2").as_posix()
    'scores/score-Ada 2.json'
    """
    name = " ".join(learner.split())
    if not name or len(name) > _LONGEST or not all(c.isalnum() or c in " -_" for c in name):
        raise InputError(
            f"learner must be 1 to {_LONGEST} letters, digits, blanks, hyphens or underscores, "
            f"got {learner!r}"
        )
    return Path(folder) / f"score-{name}.json"


def read_scores(folder: str | Path, learner: str) -> Score:
    """Return what a learner has answered so far; nothing when there is no file yet.

    Raises
    ------
    InputError
        As for :func:`score_file`.
    JobFileError
        When the file is there and cannot be read as a score.

    Examples
    --------
    >>> read_scores("no such folder", "Ada").answers
    ()
    """
    path = score_file(folder, learner)
    try:
        page = json.loads(path.read_text(encoding="utf-8"))
        answers = tuple(Scored(**entry) for entry in page["answers"])
    except FileNotFoundError:
        answers = ()
    except OSError as wrong:
        raise JobFileError(f"cannot be read: {wrong.strerror}", path=str(path)) from None
    except (ValueError, TypeError, KeyError):
        raise JobFileError("is not a score file: move it away", path=str(path)) from None
    return Score(" ".join(learner.split()), answers)


def keep_score(folder: str | Path, learner: str, scored: Scored) -> Score:
    """Add one answer to a learner's file and return the score as it then stands.

    The new file takes the place of the old one in one step, under a lock.

    Raises
    ------
    InputError, JobFileError
        As for :func:`read_scores`; also when the file cannot be written.

    Examples
    --------
    >>> keep_score("scores", "../Ada", Scored("rod", 1, 1, "150 g", True))  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    balance.errors.InputError: learner must be ...
    """
    from filelock import FileLock, Timeout

    path = score_file(folder, learner)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with FileLock(path.with_name(f".{path.name}.lock"), timeout=_WAIT_S):
            before = read_scores(folder, learner)
            after = Score(before.learner, (*before.answers, scored))
            _replace(path, {"format": 1, **asdict(after)})
    except Timeout:
        message = f"is held by another heavyspot for more than {_WAIT_S} s; nothing was written"
        raise JobFileError(message, path=str(path)) from None
    except OSError as wrong:
        raise JobFileError(f"cannot be written: {wrong.strerror}", path=str(path)) from None
    return after


def _replace(path: Path, page: Mapping[str, Any]) -> None:
    temporary = path.with_name(f".{path.name}.new")
    with temporary.open("w", encoding="utf-8") as file:
        json.dump(page, file, indent=1, ensure_ascii=False)
        file.flush()
        os.fsync(file.fileno())
    os.replace(temporary, path)
