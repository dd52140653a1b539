"""An engine whose layout leaves its kind open: said when the file is new, and on the card."""

import re
from collections.abc import Callable
from pathlib import Path


def test_new_says_what_it_takes_for_a_six_in_v(heavyspot: Callable, tmp_path: Path) -> None:
    path = tmp_path / "six.toml"
    said = heavyspot("new", "V-6", path)
    words = " ".join(said.out.split())
    assert said.code == 0
    assert all(len(line) <= 80 for line in said.out.splitlines())
    assert "Written nowhere, so taken as usual for a V-6: 60 deg between the banks" in words
    assert "six pins in all (pin_splay)" in words
    asked = " ".join(heavyspot("check", path).out.split())
    assert "engine: written nowhere, so taken as usual for a V-6" in asked
    text = path.read_text().replace('# bank_angle = "90 deg"', 'bank_angle = "90 deg"')
    path.write_text(text)
    asked = " ".join(heavyspot("check", path).out.split())
    assert "both rods of a pair on one pin, three pins in all (pin_splay)" in asked
    for key in ("pin_splay", "numbering"):
        text = text.replace(f"# {key} = ", f"{key} = ")
    path.write_text(text)
    assert "written nowhere" not in heavyspot("check", path).out


def test_new_asks_nothing_of_an_engine_of_one_kind(heavyspot: Callable, tmp_path: Path) -> None:
    assert "nowhere" not in heavyspot("new", "inline-4", tmp_path / "four.toml").out


def test_the_bobweight_card_says_it_too(
    heavyspot: Callable, example: Callable[[str], Path]
) -> None:
    path = example("v8")
    assert "written nowhere" not in heavyspot("bobweight", path).out
    path.write_text(re.sub(r"(?m)^bank_angle = .*\n", "", path.read_text()))
    said = " ".join(heavyspot("bobweight", path).out.split())
    assert "WARNING engine: written nowhere, so taken as usual for a V-8: 90 deg between" in said
