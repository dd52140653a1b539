"""The README's outputs are real: each block is run again and compared.

``python tests/test_readme.py`` writes the outputs into the README and draws its pictures anew.
"""

import contextlib
import io
import os
import re
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
BLOCK = re.compile(r"```console\n\$ heavyspot ([^\n]*)\n(.*?)```", re.DOTALL)
PICTURES = {"weights.png", "polar-crank.png", "counterweights.png"}


def output_of(words: str) -> str:
    """Return what a command prints, run from the top of the repository."""
    from cli.main import run

    out, before, argv = io.StringIO(), Path.cwd(), sys.argv
    os.chdir(ROOT)
    sys.argv = ["heavyspot", *words.split()]
    try:
        with contextlib.redirect_stdout(out), contextlib.suppress(SystemExit):
            run()
    finally:
        os.chdir(before)
        sys.argv = argv
    return "\n".join(line.rstrip() for line in out.getvalue().strip("\n").splitlines()) + "\n"


BLOCKS = BLOCK.findall(README.read_text(encoding="utf-8"))


def test_there_are_blocks() -> None:
    assert len(BLOCKS) > 5


@pytest.mark.parametrize(("words", "shown"), BLOCKS, ids=[words for words, _ in BLOCKS])
def test_the_readme_shows_what_the_command_prints(
    words: str, shown: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    assert output_of(words) == shown


def test_every_command_is_in_the_readme_and_no_other() -> None:
    from cli.commands import COMMANDS

    named = set(
        re.findall(r"^\| `heavyspot ([\w-]+)", README.read_text(encoding="utf-8"), re.MULTILINE)
    )
    assert named == {name for name, _ in COMMANDS}


def test_the_pictures_are_there() -> None:
    linked = set(re.findall(r"\]\(examples/pictures/([^)]+)\)", README.read_text(encoding="utf-8")))
    assert linked == PICTURES
    assert all((ROOT / "examples" / "pictures" / name).stat().st_size for name in linked)


def rewrite() -> None:
    """Put the real outputs into the README and draw its pictures."""
    from balance.job.load import read_job
    from balance.sheet.results import Results
    from cli.papers import write_papers

    os.environ["COLUMNS"] = "80"
    text = README.read_text(encoding="utf-8")
    filled = BLOCK.sub(lambda m: f"```console\n$ heavyspot {m[1]}\n{output_of(m[1])}```", text)
    README.write_text(filled, encoding="utf-8")
    folder = ROOT / "examples" / "pictures"
    write_papers(Results(read_job(ROOT / "examples" / "flat-four.toml")), folder)
    for path in folder.iterdir():
        if path.name not in PICTURES:
            path.unlink()


if __name__ == "__main__":
    rewrite()
