"""Many virtual drillings at the command line: the chances, progress, and Ctrl-C."""

import json

import pytest

from balance.job.load import read_job
from balance.metal.chance import chances_at
from balance.metal.steps import errors_of
from balance.sheet.results import Results


def test_the_chances_are_those_of_the_library(heavyspot, example):
    path = example("flat-four")
    said = heavyspot("correct", path, "--drillings", 50_000, "--json")
    assert (said.code, said.err) == (0, "")
    found = json.loads(said.out)
    results = Results(read_job(path))
    crank = results.corrected.crank
    depths = [[hole.depth_mm for hole in crank.plan.holes]]
    (chance,) = chances_at(crank.plan, depths, errors=errors_of(results.job), draws=50_000)
    assert found["stopped"] is False
    assert found["drillings"]["at_once"]["inside"] == chance.inside
    assert found["drillings"]["draws"] == chance.draws == 50_000


def test_people_read_from_how_many_drillings_the_chance_comes(heavyspot, example):
    said = heavyspot("correct", example("flat-four"), "--drillings", 30_000)
    assert "From 30 000 virtual drillings of the crank's 2 holes (seed 1):" in said.out
    assert "to the first cut" in said.out
    assert said.out.rstrip().rpartition("\nNext: ")[1], "the next action comes last"
    assert max(map(len, said.out.splitlines())) <= 80


def test_two_questions_at_once_are_refused(heavyspot, example):
    said = heavyspot("correct", example("flat-four"), "--drillings", 10, "--others")
    assert (said.code, said.out) == (2, "")
    assert "--others and --drillings are two questions: ask one at a time" in said.err


def test_no_drilling_is_no_number(heavyspot, example):
    assert heavyspot("correct", example("flat-four"), "--drillings", 0).code == 2


def test_ctrl_c_keeps_the_drillings_made(interrupted, example):
    path = example("flat-four")
    ended = interrupted(
        ["correct", path, "--drillings", 10**12, "--json"], at=" drillings, ", folder=path.parent
    )
    assert ended.code == 130
    assert "stopping when the pieces at work are done" in ended.err
    found = json.loads(ended.out)
    assert found["stopped"] is True
    draws = found["drillings"]["draws"]
    assert 0 < draws < 10**12
    assert draws % 20_000 == 0
    assert found["drillings"]["at_once"]["inside"] == pytest.approx(0.98, abs=0.01)
