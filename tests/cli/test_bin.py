"""A bin of parts from lists at the command line: sets, the list that is written, Ctrl-C."""

import csv
import json

import numpy as np
import pytest

HEADS = {"pistons": "mark,piston (g)", "pins": "mark,pin (g)", "rods": "mark,small end,big end"}
LETTERS = {"pistons": "P", "pins": "N", "rods": "R"}
# each sort takes a moment, as it would of a bin of millions
SLOW = (
    "import time, balance.parts._bins as bins; sort = bins.order_of; "
    "bins.order_of = lambda values: (time.sleep(0.4), sort(values))[1]; "
)


@pytest.fixture
def lists(tmp_path):
    """Three lists of 400 invented parts."""
    rng = np.random.default_rng(11)
    columns = {
        "pistons": [rng.normal(420, 3, 400)],
        "pins": [rng.normal(110, 1, 400)],
        "rods": [rng.normal(180, 2, 400), rng.normal(400, 3, 400)],
    }
    paths = []
    for name, masses in columns.items():
        path = tmp_path / f"{name}.csv"
        rows = zip(*masses, strict=True)
        lines = [
            f"{LETTERS[name]}{number},{','.join(f'{mass:.2f}' for mass in row)}"
            for number, row in enumerate(rows, 1)
        ]
        path.write_text("\n".join([HEADS[name], *lines]) + "\n")
        paths.append(path)
    return paths


def words(job, lists):
    return ["match", job, *(word for path in lists for word in ("--bin", path))]


def check(path, lists, *, size=8, tolerance_g=0.5):
    """Read the written sets back and hold them against the lists; return how many they are."""
    masses = {}
    for listed in lists:
        with listed.open() as file:
            masses |= {row[0]: [*map(float, row[1:])] for row in [*csv.reader(file)][1:]}
    with path.open(encoding="utf-8-sig") as file:
        rows = [*csv.DictReader(file)]
    assert len({row["rod"] for row in rows}) == len({row["piston"] for row in rows}) == len(rows)
    sums = [masses[r["piston"]][0] + masses[r["pin"]][0] + masses[r["rod"]][0] for r in rows]
    big = [masses[row["rod"]][1] for row in rows]
    for values in (sums, big):
        sets = np.reshape(values, (-1, size))
        assert np.ptp(sets, axis=1).max() <= tolerance_g + 1e-9  # binary fractions of grams
    assert [int(row["set"]) for row in rows] == [i // size + 1 for i in range(len(rows))]
    return len(rows) // size


def test_the_sets_of_a_bin(heavyspot, example, lists):
    job = example("v8")
    said = heavyspot(*words(job, lists))
    assert said.code == 0
    count = check(job.with_name("v8-sets.csv"), lists)
    assert count > 40
    assert f"{count} sets of 8" in said.out
    assert said.out.rstrip().rpartition("\nNext: ")[1], "the next action comes last"
    assert max(map(len, said.out.splitlines())) <= 80


def test_the_units_of_a_bin_are_shown_and_may_be_said(heavyspot, example, lists):
    lists[0].write_text(lists[0].read_text().replace("piston (g)", "piston"))
    job = example("v8")
    said = " ".join(heavyspot(*words(job, lists)).out.split())
    assert "piston: piston weight in g" in said
    assert "big end: rod big end in g" in said
    grams = job.with_name("v8-sets.csv").read_text()
    other = heavyspot(*words(job, lists), "--unit", "oz")
    assert "piston: piston weight in oz" in " ".join(other.out.split())
    assert job.with_name("v8-sets.csv").read_text() != grams
    wrong = heavyspot(*words(job, lists), "--unit", "stone")
    assert wrong.code == 2
    assert "'stone' is no unit of mass; known: g" in wrong.err


def test_for_programs(heavyspot, example, lists, tmp_path):
    said = heavyspot(*words(example("v8"), lists), "--json", "--out", tmp_path / "sets.csv")
    found = json.loads(said.out)
    assert (said.code, said.err) == (0, "")
    assert found["finished"] is True
    assert found["count"] == check(tmp_path / "sets.csv", lists)
    assert found["left_pistons"] == 400 - 8 * found["count"]


def test_what_is_not_taken_is_said(heavyspot, example, lists):
    with lists[1].open("a") as file:
        file.write("N1,111\n,111.2\nX2,11O.3\n")
    said = heavyspot(*words(example("v8"), lists))
    assert said.code == 1
    assert "3 not taken" in said.out
    for reason in ("pin N1 is listed before: neither is taken", "'11O.3' is not a mass"):
        assert reason in " ".join(said.out.split())


def test_without_big_ends_they_are_said_not_to_match(heavyspot, example, lists):
    rods = [line.rsplit(",", 1)[0] for line in lists[2].read_text().splitlines()]
    lists[2].write_text("\n".join(rods))
    said = heavyspot(*words(example("v8"), lists))
    assert "no list has the big ends, so they are NOT matched" in " ".join(said.out.split())


def test_a_bin_of_pistons_alone(heavyspot, example, lists):
    job = example("v8")
    said = heavyspot("match", job, "--bin", lists[0])
    assert said.code == 0
    masses = dict(line.split(",") for line in lists[0].read_text().splitlines()[1:])
    with job.with_name("v8-sets.csv").open(encoding="utf-8-sig") as file:
        rows = [*csv.DictReader(file)]
    assert all(float(masses[row["piston"]]) == float(row["piston [g]"]) for row in rows)
    sets = np.reshape([float(row["piston [g]"]) for row in rows], (-1, 8))
    assert np.ptp(sets, axis=1).max() <= 0.5 + 1e-9  # binary fractions of grams
    assert len({row["piston"] for row in rows}) == len(rows)
    assert f"{len(sets)} sets of 8 out of 400 pistons" in " ".join(said.out.split())
    assert "Pins and rods are in no list: they are NOT matched" in " ".join(said.out.split())
    assert max(map(len, said.out.splitlines())) <= 80
    found = json.loads(heavyspot("match", job, "--bin", lists[0], "--json").out)
    assert (found["count"], found["left_pistons"]) == (len(sets), 400 - len(rows))


def test_a_bin_with_too_few_parts_gives_no_set(heavyspot, example, lists):
    for path, keep in zip(lists, (7, 6, 5), strict=True):
        path.write_text("\n".join(path.read_text().splitlines()[: keep + 1]))
    job = example("v8")
    said = heavyspot(*words(job, lists))
    assert said.code == 1
    assert "0 sets of 8 (no way of sorting gives more)" in said.out
    alone = heavyspot("match", job, "--bin", lists[0])
    assert alone.code == 1
    assert "0 sets of 8 out of 7 pistons" in alone.out
    assert "Next: more pistons, a wider match_tolerance, or metal off" in alone.out


@pytest.mark.parametrize(
    ("more", "message"),
    [
        (lambda job, lists: ["--out", lists[0]], "is read here: name another file with --out"),
        (lambda job, lists: ["--out", job], "is read here: name another file with --out"),
        (lambda job, lists: ["--bin", lists[0]], "a list is named twice"),
        (lambda job, lists: ["--bin", "gone.csv"], "gone.csv: cannot be read"),
    ],
)
def test_lists_that_cannot_be_meant_are_refused(heavyspot, example, lists, more, message):
    job = example("v8")
    said = heavyspot(*words(job, lists), *more(job, lists))
    assert (said.code, said.out) == (2, "")
    assert message in said.err


def test_out_without_a_bin_is_refused(heavyspot, example):
    said = heavyspot("match", example("v8"), "--out", "sets.csv")
    assert said.code == 2
    assert "--out is for a bin: name its lists with --bin" in said.err


def test_ctrl_c_keeps_the_sets_made_so_far(interrupted, example, lists):
    job = example("v8")
    ended = interrupted(words(job, lists), at=" steps of sorting", folder=job.parent, before=SLOW)
    assert ended.code == 130
    assert "Stopped before the end: the sets below hold" in " ".join(ended.out.split())
    count = check(job.with_name("v8-sets.csv"), lists)
    assert f"{count} sets of 8 (at most " in ended.out
    assert count > 0
    assert not [*job.parent.glob(".*.new")]
