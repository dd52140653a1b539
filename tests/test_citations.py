"""Sources are cited as books are: author or publisher, title, edition, year; no web addresses."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
TEXTS = sorted(
    path
    for pattern in (
        "balance/**/*.py",
        "cli/*.py",
        "tests/published/*.py",
        "notebooks/*.ipynb",
        "*.md",
    )
    for path in ROOT.glob(pattern)
)
NAMES_A_FORMAT = re.compile(r"http://www\.w3\.org/2000/svg")  # of a picture, nothing to be opened


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_web_address(path: Path) -> None:
    text = NAMES_A_FORMAT.sub("", path.read_text(encoding="utf-8"))
    assert not re.search(r"(?:https?|ftp)://|\bwww\.", text)
