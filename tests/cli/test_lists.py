"""Lists in, tables out, and a folder of jobs."""

import csv
import json
import sys
from collections.abc import Callable
from io import StringIO
from pathlib import Path

import pytest

from balance.job.load import read_job

LIST = """\
Job of May (invented);;;;
Cyl;Piston [g];Pin (g);Big end;Small end
1;494,6;127,5;467,9;173,0
"""


class Keyboard(StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture
def listed(tmp_path: Path) -> Path:
    path = tmp_path / "may.csv"
    path.write_text(LIST)
    return path


def test_a_list_is_shown_before_it_is_written(
    heavyspot: Callable, example: Callable, listed: Path
) -> None:
    path = example("v-twin")
    before = path.read_bytes()
    said = heavyspot("import", path, listed)
    assert said.code == 1
    assert "- Big end: rod big end in g" in said.out
    assert "Above them, not read: row 1, Job of May (invented)." in said.out
    assert "not taken" not in said.out
    assert "4 readings taken" in said.out
    assert "Job of May (invented)" in said.out
    assert "the same command with --yes writes it" in said.out
    assert path.read_bytes() == before
    assert heavyspot("import", path, listed, "--yes").code == 0
    entries = read_job(path).weighings
    assert [(entry.part, entry.value) for entry in entries] == [
        ("P1", 494.6),
        ("N1", 127.5),
        ("R1", 467.9),
        ("R1", 173.0),
    ]
    assert {entry.instrument for entry in entries} == {"list may.csv"}
    again = heavyspot("import", path, listed, "--yes")
    assert again.code == 0
    assert "Nothing is new in this list; nothing was written." in again.out
    assert len(read_job(path).weighings) == 4
    strange = listed.with_name("strange.csv")
    strange.write_text("mark;weight\nP7;494.6\n")
    none = heavyspot("import", path, strange, "--yes")
    assert none.code == 2
    assert "no reading of the list can be taken; nothing was written" in none.err


@pytest.mark.parametrize(("answer", "count"), [("y", 4), ("n", 0), ("", 0)])
def test_at_a_terminal_it_asks(
    heavyspot: Callable, example: Callable, listed: Path, answer: str, count: int
) -> None:
    path = example("v-twin")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "stdin", Keyboard(f"{answer}\n"))
        assert heavyspot("import", path, listed).code == (0 if count else 1)
    assert len(read_job(path).weighings) == count


def test_what_is_left_out_is_exit_code_1(
    heavyspot: Callable, example: Callable, listed: Path
) -> None:
    path = example("v-twin")
    listed.write_text(LIST + "Average;494;127;467;173\n")
    said = heavyspot("import", path, listed, "--yes")
    assert said.code == 1
    assert "'Average' is no part of this job" in said.out
    assert heavyspot("import", path, listed, "--yes", "--except", 4).code == 0
    assert "4 readings kept" in said.out


def test_doubtful_readings_of_a_list(heavyspot: Callable, example: Callable, listed: Path) -> None:
    path = example("v-twin")
    listed.write_text("P1;494.6;469.4\n")
    before = path.read_bytes()
    said = heavyspot("import", path, listed, "--yes")
    assert said.code == 2
    assert "469.40 g is 25.25 g lighter than its other readings" in said.err
    assert path.read_bytes() == before
    assert heavyspot("import", path, listed, "--yes", "--sure").code == 0


FOUR = """\
mark;weight (g);total;big end;small end
n1;103.5
N2;105.1
N3;14.83
N4;104.2
R1;;560;397.3;180.4
R2;;560;397.3;162.8
R3;;561;397.9;163.2
"""


@pytest.fixture
def four(heavyspot: Callable, tmp_path: Path) -> Path:
    """A new job of a four, measured but not weighed."""
    path = tmp_path / "four.toml"
    heavyspot("new", "inline-4", path)
    path.write_text(path.read_text().replace('= "?"', '= "90 mm"'))
    path.write_text(path.read_text().replace('rod_length = "90', 'rod_length = "150'))
    return path


def test_readings_of_one_list_are_compared_with_each_other(
    heavyspot: Callable, four: Path, listed: Path
) -> None:
    listed.write_text(FOUR)
    before = four.read_bytes()
    said = heavyspot("import", four, listed, "--yes")
    assert said.code == 2
    words = " ".join(said.out.split())
    assert "- may.csv row 4: pin N3: 14.83 g is 89.37 g lighter than the other pins" in words
    assert (
        "row 6: rod R1: big end + small end come to 17.70 g more than the total; weighing" in words
    )
    assert words.count("may.csv row") == 3  # its small end is odd, too
    assert all(len(line) <= 80 for line in said.out.splitlines())
    assert said.err == (
        "heavyspot: 3 things look wrong, see above. Nothing was written: --except ROW leaves a row "
        "out, --sure writes it all the same\n"
    )
    assert four.read_bytes() == before
    said = heavyspot("import", four, listed, "--yes", "--except", 4, "--except", 6)
    assert said.code == 0, said.err
    assert "is left out as asked" in said.out
    assert [entry.part for entry in read_job(four).weighings] == [
        "N1",
        "N2",
        "N4",
        *["R2"] * 3,
        *["R3"] * 3,
    ]


def test_a_mass_out_of_reach_is_left_out(heavyspot: Callable, four: Path, listed: Path) -> None:
    listed.write_text("mark;weight (g)\nN1;103.5\nN2;1e20\n")
    said = heavyspot("import", four, listed, "--yes")
    assert said.code == 1
    assert "nothing here is so far out" in " ".join(said.out.split())
    assert [entry.part for entry in read_job(four).weighings] == ["N1"]


def test_only_a_row_with_a_reading_is_left_out(
    heavyspot: Callable, four: Path, listed: Path
) -> None:
    listed.write_text(FOUR)
    said = heavyspot("import", four, listed, "--except", 1)
    assert said.code == 2
    assert "row 1 gives nothing to leave out; rows that do: 2, 3, 4, 5, 6, 7, 8" in said.err


def test_every_table_comes_out_and_the_parts_go_in_again(
    heavyspot: Callable, example: Callable, tmp_path: Path
) -> None:
    path = example("flat-four")
    said = heavyspot("export", path, "--out", tmp_path / "out")
    assert said.code == 0
    made = {file.name for file in (tmp_path / "out").iterdir()}
    assert {
        "parts.csv",
        "spins.csv",
        "counterweights.csv",
        "sets.csv",
        "cuts.csv",
        "unbalance.csv",
    } <= made
    spins = (tmp_path / "out" / "spins.csv").read_text("utf-8-sig")
    rows = list(csv.DictReader(StringIO(spins)))
    spun = read_job(path).spins
    assert len(rows) == sum(len(spin.readings) for spin in spun)
    assert float(rows[0]["angle_degrees"]) == spun[0].readings[0].angle
    again = heavyspot("import", path, tmp_path / "out" / "parts.csv", "--yes")
    assert again.code == 0, again.err + again.out
    job = read_job(path)
    written = [grams for part in job.parts.pistons for grams in part.weight]
    entries = [e.value for e in job.weighings if e.part in {p.mark for p in job.parts.pistons}]
    assert entries == written


def test_what_cannot_be_made_yet_is_named(
    heavyspot: Callable, example: Callable, tmp_path: Path
) -> None:
    path = example("v-twin")
    path.write_text(path.read_text().partition("[machine]")[0])
    said = heavyspot("export", path)
    assert said.code == 0
    assert "unbalance: spin needs more" in said.out
    assert (tmp_path / "v-twin-tables" / "sets.csv").exists()


def test_names_that_are_formulas_are_made_harmless(
    heavyspot: Callable, example: Callable, tmp_path: Path
) -> None:
    path = example("v-twin")
    text = path.read_text().replace('"P1"', '"=HYPERLINK(1)"').replace('"W1"', '"@W1"')
    path.write_text(text)
    heavyspot("export", path)
    out = tmp_path / "v-twin-tables"
    assert "'=HYPERLINK(1)" in (out / "parts.csv").read_text()
    assert "\n'@W1," in (out / "counterweights.csv").read_text()
    cells = [c for f in out.iterdir() for row in csv.reader(StringIO(f.read_text())) for c in row]
    assert not [c for c in cells if c.startswith(("=", "@", "+"))]


def test_a_folder_lists_its_jobs_and_where_each_stands(
    heavyspot: Callable, example: Callable, tmp_path: Path
) -> None:
    twin = example("v-twin")
    half = tmp_path / "half.toml"
    half.write_text(twin.read_text().partition("[[parts.pins]]")[0])
    (tmp_path / "broken.toml").write_text(twin.read_text().replace('"98 mm"', '"98 kg"'))
    said = heavyspot("check", tmp_path)
    assert said.code == 1
    assert max(map(len, said.out.splitlines())) <= 80
    assert "3 files in" in said.out
    lines = json.loads(heavyspot("check", tmp_path, "--json").out)
    stands = {line["file"]: (line["step"], line["state"]) for line in lines}
    assert stands["v-twin.toml"] == ("correct", "crank: outside the limit")
    assert stands["half.toml"][0] == "match"
    assert stands["half.toml"][1].startswith("needs the pins: a [[parts.pins]] table")
    assert stands["broken.toml"][0] == "file"
    assert "engine.stroke: '98 kg' is not a length" in stands["broken.toml"][1]


def test_an_empty_folder(heavyspot: Callable, tmp_path: Path) -> None:
    said = heavyspot("check", tmp_path)
    assert said.code == 2
    assert "has no job files (*.toml); heavyspot new makes one" in said.err


def test_two_rows_that_disagree_are_named_together(
    heavyspot: Callable, four: Path, listed: Path
) -> None:
    listed.write_text("mark;weight\nP1;420.3\nP1;423.0\nP2;421.0\n")
    said = heavyspot("import", four, listed, "--yes")
    assert said.code == 2
    both = "may.csv rows 2, 3: piston P1: 420.30 g and 423.00 g lie 2.70 g apart: which is right?"
    assert said.err.startswith(f"heavyspot: {both} Nothing was written: --except ROW")


def test_an_unknown_unit_is_refused_at_once(heavyspot: Callable, four: Path, listed: Path) -> None:
    listed.write_text("mark;weight\nP1;420.3\n")
    said = heavyspot("import", four, listed, "--unit", "stone")
    assert (said.code, said.out) == (2, "")
    assert said.err == "heavyspot: 'stone' is no unit of mass; known: g, kg, mg, oz, lb\n"


def test_a_column_of_units_is_read(heavyspot: Callable, four: Path, listed: Path) -> None:
    listed.write_text("mark;weight;unit\nP1;14.824;oz\nP2;421.0;g\nP3;421.2;\nP4;421;stone\n")
    said = heavyspot("import", four, listed, "--yes")
    assert said.code == 1
    assert "- unit: the unit of each row" in said.out
    assert "'stone' is no unit of mass; known: g" in " ".join(said.out.split())
    found = [entry.value for entry in read_job(four).weighings]
    assert found == pytest.approx([14.824 * 28.349523125, 421.0, 421.2])


def test_too_few_figures_of_an_ounce_are_doubted(
    heavyspot: Callable, four: Path, listed: Path
) -> None:
    listed.write_text("mark;weight (oz)\nP1;14.8\nP2;14.82\n")
    said = heavyspot("import", four, listed, "--yes")
    assert said.code == 2
    assert "row 2: piston P1: 14.8 oz is known to 2.8 g only, the scale shows 0.1 g" in said.err
    assert "row 3" not in said.err


SUPPLIER = """"Invented supplier, weight list of May",,,,,,,
Cyl,Slug No.,Pist. wt (gms),Wrist pin wt,Rod #,S.E. wt,B.E. wt,Remarks
1,A17,420.3,104.1,R2,163.1,397.2,ok
2,A09,421.0,104.2,R1,162.8,397.3,scratched
3,A11,419.8,104.2,R4,163.3,397.4,
4,A12,420.5,104.0,R3,162.9,397.1,
,Avg,420.4,104.1,,163,397.3,
"""


def test_a_list_with_a_supplier_s_own_titles(heavyspot: Callable, four: Path, listed: Path) -> None:
    listed.write_text(SUPPLIER)
    said = heavyspot("import", four, listed, "--yes")
    assert said.code == 1, said.err  # the row of averages is left out
    assert "- Rod #: the marks of the rods" in said.out
    assert "16 readings kept" in said.out
    read = read_job(four)
    got = {(e.part, e.what): e.value for e in read.weighings}
    assert got["P2", "weight"] == 421.0
    assert got["N4", "weight"] == 104.0
    assert (got["R2", "small_end"], got["R2", "big_end"]) == (163.1, 397.2)  # as its own mark says
    assert (got["R1", "small_end"], got["R1", "big_end"]) == (162.8, 397.3)


def test_a_list_that_names_every_item(heavyspot: Callable, four: Path, listed: Path) -> None:
    listed.write_text(
        "ITEM;SERIAL;WEIGHT(OZ)\nPISTON;P1;14.826\nConrod B.E.;R1;14.011\nRod small end;R1;5.750\n"
        "Rod bolt;R1;1.100\n"
    )
    said = heavyspot("import", four, listed, "--yes")
    assert said.code == 1, said.err  # a bolt is left out
    assert "3 readings kept" in said.out
    got = {(e.part, e.what): e.value for e in read_job(four).weighings}
    assert got["R1", "big_end"] == pytest.approx(397.205, abs=0.001)  # NIST: 28.349523125 g
    assert "of 'R1' a list must say total or big_end or small_end, its" in said.out
