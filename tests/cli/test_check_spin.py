"""The check spin at the bench: asked for, entered, and heeded before any metal is cut.

The twin of the examples without its declaration: only the proof spins say how its machine counts.
"""

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from balance.job.load import read_job
from balance.sheet.results import Results
from balance.sheet.steps_of_working import answer

NUMBER = re.compile(r"(?<![\w.\"=])\d+(?:\.\d+)?(?= |$)")


@pytest.fixture
def undeclared(example: Callable[[str], Path]) -> Path:
    path = example("v-twin")
    path.write_text(re.sub(r"(?m)^(counts|turns|zero|points_to) = .*\n", "", path.read_text()))
    return path


def shown(path: Path, *, off: float = 0.0) -> list[str]:
    """The words that enter what the planned check spin must show, ``off`` degrees beside it."""
    check = Results(read_job(path)).check_spin.planned
    assert check is not None
    words = ["--bobweight=1948 g"]
    for place in check.places:
        words += ["--stuck", f"{place.mark}={place.mass_g:g} g@{place.degrees:g} deg"]
    for row in check.rows:
        words += ["--reading", f"{row.plane}={row.must:.3f}@{(row.must_degrees + off) % 360:.1f}"]
    return words


def test_a_machine_that_rests_on_its_proofs_says_so_and_how_to_check(
    heavyspot: Callable, undeclared: Path
) -> None:
    resting = "Everything rests on where the proof masses were stuck; a check spin"
    for step in ("prove", "spin"):
        said = heavyspot(step, undeclared).out
        assert said.replace("\n", " ").count(resting) == 1
    said = heavyspot("correct", undeclared)
    assert said.code == 0
    assert all(len(line) <= 80 for line in said.out.splitlines())
    section = said.out[said.out.index("Before the first hole") :]
    assert "- Stick on 5 g on W1 at 126 deg, its middle at the rim." in section
    assert re.search(r"^plane +now oz in at deg must show oz in at deg", section, re.M)
    written = section.partition("Write it down: ")[2].split()
    assert written[:6] == ["heavyspot", "spin", str(undeclared), "--add", "--stuck", '"W1=5']
    assert "Next: make the check spin above, before anything is cut" in section


def test_a_first_spin_unlike_the_proof_stops_even_what_would_pass(
    heavyspot: Callable, example: Callable[[str], Path]
) -> None:
    """A crank that is true by its spin, and far from it by the bare proof."""
    path = example("v-twin")
    text = path.read_text()
    start = text.index("[[spins]]")
    true = re.sub(r'amount = "[\d.]+ oz in"', 'amount = "0.03 oz in"', text[start:])
    path.write_text(text[:start] + true)
    said = heavyspot("spin", path)
    assert said.code == 1
    assert "PASS" not in said.out
    assert "NOT PROVEN" in said.out
    assert "STOP: the first spin of the crank differs from the proof" in said.out
    assert said.out.rstrip().endswith("drill nothing before that.")
    corrected = heavyspot("correct", path)
    assert corrected.code == 1
    assert "full depth" not in corrected.out
    assert "Weigh every bobweight as it hung" in " ".join(corrected.out.split())
    assert heavyspot("correct", path, "--sure").code == 0


def test_bobweights_are_weighed_before_the_first_hole(
    heavyspot: Callable, example: Callable[[str], Path]
) -> None:
    """Asked for while nothing is drilled and one mass is written for all that hung."""
    path = example("v8")
    said = " ".join(heavyspot("correct", path).out.split())
    asked = "Before the first hole weigh every bobweight as it hung (2184 g is written for each)"
    assert said.count(asked) == 1
    text = path.read_text()
    four = 'bobweights = ["2184 g", "2184.5 g", "2183.6 g", "2184.1 g"]'
    path.write_text(text.replace('bobweights = ["2184 g"]', four))
    assert "weigh every bobweight" not in " ".join(heavyspot("correct", path).out.split())
    one = " ".join(heavyspot("correct", example("v-twin")).out.split())
    assert "Before the first hole weigh the bobweight as it hung (1948 g is written)" in one
    assert "hole weigh" not in " ".join(heavyspot("correct", example("flat-four")).out.split())
    hole = '\n[[drilled]]\npart = "W1"\nangle = 216\ndiameter = "12 mm"\ndepth = "10 mm"\n'
    path.write_text(text + hole)
    assert "Before the first hole weigh" not in " ".join(heavyspot("correct", path).out.split())


def test_without_a_plan_putty_comes_before_slugs(heavyspot: Callable, undeclared: Path) -> None:
    """Every proof mass sat half a turn from where it was said to be."""
    text = undeclared.read_text()
    turned = re.sub(
        r'(stuck = .*angle = "?)(\d+)', lambda m: f"{m[1]}{(int(m[2]) + 180) % 360}", text
    )
    undeclared.write_text(turned.replace('half_span = "105 deg"', 'half_span = "60 deg"'))
    said = heavyspot("correct", undeclared)
    assert said.code == 1
    assert all(len(line) <= 80 for line in said.out.splitlines())
    words = " ".join(said.out.split())
    assert "Ways out: heavy-metal slugs" in words
    section = words[words.index("Before slugs are bought: a check spin with putty") :]
    assert "No plan can be made, and that may be a slip: half a turn off" in section
    assert "- Stick on 5 g on W1 at" in section
    assert "Next: make the check spin above, before slugs are bought" in section
    assert heavyspot("spin", undeclared, "--add", *shown(undeclared)).code == 0
    agreed = " ".join(heavyspot("correct", undeclared).out.split())
    assert "The check spin agrees" in agreed
    assert "Before slugs are bought" not in agreed
    assert "Next: take one of the ways out named above" in agreed


def test_every_number_of_the_check_can_be_asked(heavyspot: Callable, undeclared: Path) -> None:
    results = Results(read_job(undeclared))
    said = heavyspot("correct", undeclared).out
    section = said[said.index("- Stick on") : said.index("Anything else shown")]
    numbers = NUMBER.findall(section)
    assert len(numbers) > 10
    for number in numbers:
        assert answer(results, number).lines
    assert any(line.about.startswith("Check spin") for line in answer(results, "check spin").lines)


def test_a_check_spin_that_agrees_is_one_line_from_then_on(
    heavyspot: Callable, undeclared: Path
) -> None:
    before = {step: heavyspot(step, undeclared, "--json") for step in ("spin", "correct")}
    said = heavyspot("spin", undeclared, "--add", *shown(undeclared))
    assert said.code == 0, said.err
    assert "The check spin of crank is kept in" in said.out
    assert "- stuck on W1: 5 g at 126 deg, radius the rim" in said.out
    assert "Take the putty off before anything else is spun." in said.out
    assert "The check spin agrees: the putty shows where it was stuck." in said.out
    for step in ("spin", "correct"):
        again = heavyspot(step, undeclared)
        assert again.out.count("The check spin agrees: the putty shows where it was stuck.") == 1
        assert "Before the first hole: a check spin" not in again.out
        assert "rests on" not in again.out
        after = heavyspot(step, undeclared, "--json")
        assert after == before[step]  # byte for byte


def test_a_check_spin_that_contradicts_stops_everything(
    heavyspot: Callable, undeclared: Path
) -> None:
    check = Results(read_job(undeclared)).check_spin.planned
    assert check is not None
    row, other = check.rows  # the lump lies in the first plane: half a turn off it shows across
    now = [(row.now, row.now_degrees), (other.now, other.now_degrees)]
    across = now[0][0] * 2, now[0][1]
    words = ["--stuck", "W1=20 g@126 deg", "--bobweight", "1948 g"]
    words += ["--reading", f"{row.plane}={across[0]:.3f}@{across[1]:.1f}"]
    words += ["--reading", f"{other.plane}={now[1][0]:.3f}@{now[1][1]:.1f}"]
    said = heavyspot("spin", undeclared, "--add", *words)
    assert said.code == 1
    assert "STOP: the check spin does not show the putty where it was stuck" in said.out
    stop = said.out[said.out.index("STOP: ") :].partition("\n\n")[0]
    assert "Next: clear up what the check spin says; drill nothing before that." in said.out
    for step in ("spin", "correct"):
        again = heavyspot(step, undeclared)
        assert again.code == 1
        assert stop in again.out
        assert again.out.rstrip().endswith("drill nothing before that.")
        assert "WARNING" not in again.out.partition("STOP")[0]
    assert "full depth" not in again.out  # no hole to drill by
    counted = heavyspot("correct", undeclared, "--drillings", "100")
    assert (counted.code, "drillings" in counted.out) == (1, False)
    as_json = heavyspot("correct", undeclared, "--json")
    found = json.loads(as_json.out)
    assert as_json.code == 1
    assert found["stop"].startswith("the check spin does not show the putty")
    assert found["crank"]["plan"] is None
    assert "the check spin does not show the putty" in heavyspot("check", undeclared).out
    gone = heavyspot("spin", undeclared, "--undo").out
    assert "Taken back: the latest check spin of crank, of" in gone
    assert "still count: 1" in gone


def test_a_declared_and_proven_machine_is_offered_one_sentence(
    heavyspot: Callable, example: Callable[[str], Path]
) -> None:
    said = heavyspot("correct", example("flat-four"))
    assert said.code == 0
    words = " ".join(said.out.split())
    assert "Before the first hole, check the machine with putty: stick 5 g on W3 at 313" in words
    assert "(where hole 2 goes), spin: it must show left 767 g mm at 276 deg, right" in words
    assert 'spin JOB --add --stuck "W3=5 g@313 deg" --stuck "W8=5 g@165 deg".' in words
    assert "Next: drill;" in said.out


def test_the_questions_ask_for_putty_where_the_same_metal_was_spun(
    heavyspot: Callable, undeclared: Path, types: Callable
) -> None:
    types("", "", "W9=5 g@126", "?", "w1=5 g@126; w2=5 g@200", "", "1.8", "10", "1.2", "44", "y")
    said = heavyspot("spin", undeclared, "--add")
    assert "putty stuck on for a check? [none] > " in said.out
    assert "'W9=5 g@126' is no mass stuck on a counterweight or in a plane (W1, W2," in (
        said.out.replace("\n  ", " ")
    )
    assert "with ; between them: W3=10 g@313 deg; Enter for none" in said.out.replace("\n  ", " ")
    assert "- stuck on W2: 5 g at 200 deg, radius the rim" in said.out
    (spin,) = read_job(undeclared).check_spins
    assert [putty.part for putty in spin.stuck] == ["W1", "W2"]
    types("q")
    assert heavyspot("spin", undeclared, "--add", "--stuck", "W2=5 g").code == 2
    types("", "", "", "1.8", "10", "1.2", "44", "y")
    assert "is kept in" in heavyspot("spin", undeclared, "--add", "--stuck", "W2=5 g@190").out
    assert len(read_job(undeclared).check_spins) == 2


def test_a_check_spin_of_a_machine_that_nobody_knows_is_kept(
    heavyspot: Callable, undeclared: Path
) -> None:
    text = undeclared.read_text()
    first, last = text.index("[[proofs]]"), text.index("[drills]")
    words = shown(undeclared)
    undeclared.write_text(text[:first] + text[last:])
    said = heavyspot("spin", undeclared, "--add", *words)
    assert said.code == 0, said.err
    assert "check spin agrees" not in said.out
    assert len(read_job(undeclared).check_spins) == 1
