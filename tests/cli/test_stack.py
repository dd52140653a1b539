"""The stack on the screen: what each part adds, and what to do after a part is bolted up anew."""

import cmath
import json
import math
from collections.abc import Callable
from pathlib import Path

from cli.examples import make_examples

from balance.job.load import read_job

COVER = ("crank", "flywheel", "clutch cover")


def spin_of_cover(turned: float) -> list[tuple[float, float]]:
    """Return what the machine of the example shows with its cover turned by so much."""
    _, truth = make_examples.flat_four()
    turn = cmath.rect(1, math.radians(turned))
    cover = [(u * turn, z) for u, z in truth.unbalance["clutch cover"]]
    pieces = [*truth.unbalance["crank"], *truth.unbalance["flywheel"], *cover]
    seen = make_examples.in_planes(pieces, 30.0, 240.0)
    return [(abs(u), (math.degrees(cmath.phase(u)) - 37) % 360) for u in seen]


def entered(heavyspot: Callable, path: Path, shown: list[tuple[float, float]]) -> int:
    words = [word for part in COVER for word in ("--on", part)]
    for plane, (amount, angle) in zip(("left", "right"), shown, strict=True):
        words += ["--reading", f"{plane}={amount:.1f} g mm@{angle:.0f} deg"]
    return int(heavyspot("spin", path, "--add", *words).code)


def test_a_cover_that_is_better_turned_is_bolted_up_so_and_spun_again(
    heavyspot: Callable, example: Callable
) -> None:
    """What the screen says to type is typed: the old spin is taken back, the new one counts."""
    path = example("flat-four")
    text = path.read_text()
    start = text.index("[[spins]]", text.index('name = "with flywheel"'))
    path.write_text(text[:start])
    assert entered(heavyspot, path, spin_of_cover(-120)) in (0, 1)
    said = heavyspot("stack", path)
    assert said.code == 0
    assert max(len(line) for line in said.out.splitlines() if str(path) not in line) <= 80
    assert "turn by 120 deg" in said.out
    told = said.out.partition("\nNext: ")[2]
    assert told.startswith("bolt up so and mark it; take back what was spun as it was")
    undo = "--undo --on crank --on flywheel --on 'clutch cover'"
    assert told.splitlines()[-1] == f"  heavyspot spin {path} {undo}"
    back = [word for part in COVER for word in ("--on", part)]
    assert heavyspot("spin", path, "--undo", *back).code == 0
    assert entered(heavyspot, path, spin_of_cover(0)) in (0, 1)
    assert len([spin for spin in read_job(path).standing_spins if spin.on == COVER]) == 1
    again = heavyspot("stack", path).out
    assert "as it is" in again
    assert again.rstrip().endswith("Next: heavyspot correct.")


def test_planes_exchanged_in_the_spin_of_a_stack_stop_the_drill(
    heavyspot: Callable, example: Callable
) -> None:
    path = example("flat-four")
    text = path.read_text()
    start = text.index('name = "with flywheel"')
    end = text.index("[[spins]]", start)
    spin = text[start:end]
    swapped = spin.replace('"left"', '"?"').replace('"right"', '"left"').replace('"?"', '"right"')
    path.write_text(text[:start] + swapped + text[end:])
    said = heavyspot("correct", path)
    assert said.code == 1
    out = " ".join(said.out.split())
    assert "STOP: flywheel seems to add " in out
    assert "which no mass at its place (z 316 mm) does: it would if in the spin of" in out
    assert "the two planes were exchanged" in out
    assert "full depth" not in out
    assert out.endswith("Next: clear up what the last spin says; drill nothing before that.")
    assert heavyspot("correct", path, "--sure").code == 0
    spun = " ".join(heavyspot("spin", path).out.split())
    assert "flywheel seems to add " in spun
    assert "flywheel seems to add " in " ".join(heavyspot("check", path).out.split())


def test_a_finished_job_is_handed_over(heavyspot: Callable, example: Callable) -> None:
    """Report and check say the same: nothing comes after the record."""
    path = example("flat-four")
    text = path.read_text()
    text = text[: text.index("[[bolted]]")] + text[text.index("[machine]") :]
    text = text[: text.index('[[spins]]\nname = "with flywheel')]
    path.write_text(text.replace("492 g mm", "12 g mm").replace("365 g mm", "9 g mm"))
    assert "Next: print the record, sign it and hand it over" in heavyspot("report", path).out
    spun = heavyspot("spin", path)
    assert spun.code == 0
    assert "the record is what is kept and signed." in spun.out
    heavyspot("drilled", path, "W5", "0 deg", "9 mm", "10 mm", "--sure")
    spun = heavyspot("spin", path)
    assert spun.code == 1
    assert "SPIN FIRST" in spun.out
    assert "PASS" not in spun.out
    assert f"Next: spin again and enter it: heavyspot spin {path} --add." in spun.out


def test_what_is_contradicted_is_not_passed(heavyspot: Callable, example: Callable) -> None:
    """Inside its limit before the hole and after, by the same reading: one of the two is wrong."""
    path = example("flat-four")
    text = path.read_text()
    text = text[: text.index('[[spins]]\nname = "with flywheel')]
    text = text.replace("492 g mm", "12 g mm").replace("365 g mm", "9 g mm")
    spin = text[text.index("[[spins]]") :].replace('on = ["crank"]', 'on = ["crank"]\ndrilled = 1')
    hole = '[[drilled]]\npart = "W3"\nangle = 313\ndiameter = "9 mm"\ndepth = "12 mm"\n'
    path.write_text(f"{text}\n{hole}\n{spin}")
    said = heavyspot("spin", path)
    assert said.code == 1
    assert "PASS" not in said.out
    assert "NOT PROVEN" in said.out
    assert json.loads(heavyspot("spin", path, "--json").out)["still_open"]["kind"] == "stop"
