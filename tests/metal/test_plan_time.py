"""A time limit holds for the whole of what was asked: a clock that only slow parts move."""

import dataclasses
import itertools
import time

import numpy as np
import pytest

from balance.errors import InputError
from balance.metal import chance, planning, variants
from balance.metal._solve import Outcome
from balance.metal.chance import plan_for_chance
from balance.metal.planning import Counterweight, SlugChoice, plan
from balance.metal.variants import alternatives

PLANES = [100, 500]
WEBS = [Counterweight(z, 0, 60, 80, 25, 35) for z in PLANES]
TASK = {"counterweights": WEBS, "drills_mm": [8, 12, 16], "tolerance_gmm": [60, 60]}
LIMIT = 8.0


class Clock:
    """Stands still but where it is moved."""

    def __init__(self, monkeypatch):
        self.now, self.moved = 1000.0, 0
        monkeypatch.setattr(time, "monotonic", lambda: self.now)

    def move(self, seconds):
        assert seconds > 0
        self.now += seconds
        self.moved += 1

    @property
    def gone(self):
        return self.now - 1000.0


@pytest.fixture
def clock(monkeypatch):
    return Clock(monkeypatch)


def test_all_trials_for_a_chance_share_one_limit(clock, monkeypatch):
    real_plan, real_make = chance.plan, chance.make

    def slow_plan(*args, **task):
        clock.move(task["time_limit_s"])
        return real_plan(*args, **task)

    def slow_make(task, **how):
        clock.move(task.time_limit_s)
        return real_make(task, **how)

    monkeypatch.setattr(chance, "plan", slow_plan)
    monkeypatch.setattr(chance, "make", slow_make)
    aimed = plan_for_chance((900, 600), PLANES, **TASK, time_limit_s=LIMIT, draws=2000)
    assert clock.moved > 3
    assert clock.gone <= LIMIT
    assert aimed.plan.task.time_limit_s == LIMIT
    # a plan that is known already is not made again
    whole = real_plan((900, 600), PLANES, **TASK, margin=1.0)
    before, clock.moved = clock.gone, 0
    again = plan_for_chance((900, 600), PLANES, **TASK, time_limit_s=LIMIT, draws=2000, start=whole)
    assert again.extra_g == aimed.extra_g
    assert clock.gone - before <= LIMIT


def test_a_plan_known_before_stands_in_where_none_is_found_in_time(monkeypatch):
    half = plan((900, 600), PLANES, **TASK)
    with monkeypatch.context() as hurried:
        hurried.setattr(time, "monotonic", itertools.count(1000.0).__next__)  # a second a look
        none = plan((900, 600), PLANES, **TASK, margin=1.0, time_limit_s=0.5)
    assert none.feasible is None
    monkeypatch.setattr(chance, "plan", lambda *_, **__: none)
    monkeypatch.setattr(chance, "make", lambda *_, **__: none)
    aimed = plan_for_chance((900, 600), PLANES, **TASK, start=half, draws=2000)
    assert (aimed.plan.holes, aimed.margin, aimed.extra_g) == (half.holes, 0.5, None)
    with pytest.raises(InputError, match="unbalance cannot be planned away: no plan found within"):
        plan_for_chance((900, 600), PLANES, **TASK)


def test_all_alternatives_share_one_limit(clock, monkeypatch):
    made = plan((1500, 200), PLANES, **TASK, slugs=[SlugChoice(16, 24)], time_limit_s=LIMIT)

    def in_vain(task, **_):
        clock.move(task.time_limit_s)
        assert task.slugs is None  # holes alone do it: no alternative needs slugs
        return dataclasses.replace(made, feasible=None)

    monkeypatch.setattr(variants, "make", in_vain)
    assert alternatives(made) == ()
    assert clock.moved > 3
    assert clock.gone <= LIMIT
    with pytest.raises(InputError, match="time_limit_s must be greater than zero"):
        alternatives(made, time_limit_s=0)


def test_holes_and_slugs_share_one_limit(clock, monkeypatch):
    def slow(*_, deadline, **__):
        clock.move(deadline - clock.now)
        return Outcome(None, 1, np.inf, None, False)

    monkeypatch.setattr(planning, "solve", slow)
    task = TASK | {"slugs": [SlugChoice(16, 24)], "time_limit_s": LIMIT}
    made = plan((900, 600), PLANES, **task)
    assert made.feasible is None
    assert clock.moved == 5  # holes alone, then one to four slugs
    assert clock.gone == pytest.approx(LIMIT)
