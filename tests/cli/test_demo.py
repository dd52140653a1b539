"""The demo does the whole job and leaves its papers in a folder."""

import subprocess
import sys
from pathlib import Path


def test_the_demo_leaves_job_sheet_record_and_pictures(tmp_path: Path) -> None:
    """In a process of its own, since it starts a second one for the pictures."""
    words = [sys.executable, "-c", "from cli.main import run; run()", "demo"]
    done = subprocess.run(words, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    for title in ("Matching:", "Bobweights:", "Shake:", "Spin:", "Correction:"):
        assert f"{title} Flat-four for a hill-climb car" in done.stdout
    left = {path.name for path in (tmp_path / "heavyspot-demo").iterdir() if path.stat().st_size}
    assert left == {
        "flat-four.toml",
        "work-sheet.pdf",
        "record.html",
        "weights.png",
        "counterweights.png",
        "polar-crank.png",
    }
