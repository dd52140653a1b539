"""The plan of a job is the same on a busy machine as on an idle one: its limits count steps."""

import itertools
import time

import pytest
from cli.examples import make_examples

from balance.job.load import read_text
from balance.metal import _clock, chance
from balance.metal._clock import by_steps, now, spend
from balance.metal.planning import Counterweight, plan
from balance.metal.variants import other_ways
from balance.sheet.results import Results

# An invented crank whose plan nobody proves in the time that a job gives it.
WEBS = [
    Counterweight(50 + 90 * k, (0, 180, 180, 0, 0, 180)[k], 50, 80 + k, 20, 22) for k in range(6)
]
HARD = {"counterweights": WEBS, "drills_mm": [8, 9, 10, 11, 12], "tolerance_gmm": [75, 75]}
UNBALANCE = [1500 + 900j, 1200 - 1100j]


def test_a_job_is_planned_alike_however_slow_the_machine_is(monkeypatch):
    text, _ = make_examples.flat_four()
    text = text.replace("492 g mm", "1250 g mm").replace("365 g mm", "930 g mm")
    quick = Results(read_text(text)).planned.crank
    assert len(quick.plan.holes) > 2
    monkeypatch.setattr(time, "monotonic", itertools.count(0.0, 60.0).__next__)  # a minute a look
    slow = Results(read_text(text)).planned.crank
    assert slow.plan.holes == quick.plan.holes
    assert slow.chance.inside == quick.chance.inside


def test_a_search_that_ends_at_its_limit_ends_at_the_same_place(monkeypatch):
    def hurried():
        with by_steps():
            made = plan(UNBALANCE, [0, 550], **HARD, time_limit_s=0.3)
            return made, now()

    first, gone = hurried()
    assert not first.optimal  # the limit was felt
    # a look may come late by one lot of placings, 0.02 s of pairs at most
    assert 0.3 <= gone < 0.5
    monkeypatch.setattr(time, "monotonic", itertools.count(0.0, 1e-9).__next__)
    again, same = hurried()
    assert (again.holes, again.bound_g, again.reason, same) == (
        first.holes, first.bound_g, first.reason, gone,
    )  # fmt: skip


def test_outside_a_job_a_limit_is_of_the_wall(monkeypatch):
    monkeypatch.setattr(time, "monotonic", lambda: 12.0)
    spend("pair", 1e12)
    assert now() == 12.0
    with by_steps():
        assert now() == 0.0
        spend("pair", 1e6)
        with by_steps():  # each has its own
            assert now() == 0.0
        assert 0 < now() < 1
    assert now() == 12.0


def test_other_ways_are_the_same_whenever_they_are_asked_for(monkeypatch):
    webs = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
    task = {"counterweights": webs, "drills_mm": [8, 16], "tolerance_gmm": [60, 60]}
    made = plan([1500, 200], [100, 500], **task)
    quick = [(other.kind, other.plan.holes) for other in other_ways(made)]
    assert len(quick) == 2
    monkeypatch.setattr(time, "monotonic", itertools.count(0.0, 60.0).__next__)
    assert [(other.kind, other.plan.holes) for other in other_ways(made)] == quick


def test_virtual_drillings_are_counted(monkeypatch):
    spent = []
    monkeypatch.setattr(chance, "spend", lambda kind, count: spent.append((kind, count)))
    webs = [Counterweight(z, 0, 60, 80, 25, 35) for z in (100, 500)]
    task = {"counterweights": webs, "drills_mm": [10, 12], "tolerance_gmm": [60, 60]}
    chance.plan_for_chance([900, 600], [100, 500], **task, draws=1000)
    assert ("drilling", 2000) in spent


@pytest.mark.parametrize("kind", sorted(_clock._SECONDS))
def test_every_kind_of_step_takes_time(kind):
    with by_steps():
        spend(kind)
        assert now() > 0
