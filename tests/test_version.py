"""One version: what is cited, installed and printed is the same."""

import tomllib
from pathlib import Path

import balance

ROOT = Path(__file__).parents[1]


def test_what_is_cited_is_what_is_installed() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["version"] == balance.__version__
    cited = (ROOT / "CITATION.cff").read_text(encoding="utf-8")
    assert f"\nversion: {balance.__version__}\n" in cited
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert f"version\n> {balance.__version__}, " in readme
