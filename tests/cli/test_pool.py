"""Processes that do many things: one that breaks stops no other, and none is left behind."""

import math
import multiprocessing
import os
import time

import pytest

from cli import pool
from cli.pool import Broken, each, here


def never():
    return False


def nothing():
    return None


def done(work, things, *, workers=2, stop=never, look=nothing):
    return dict(each(work, things, workers=workers, stop=stop, look=look))


def test_every_thing_is_done_and_a_fault_stays_alone():
    found = done(math.sqrt, [4.0, -1.0, 9.0, 16.0])
    assert [found[place] for place in (0, 2, 3)] == [2.0, 3.0, 4.0]
    assert isinstance(found[1], Broken)
    assert found[1].why.startswith("ValueError: ")
    assert "pool.py:" in found[1].why


def test_a_process_that_ends_is_replaced():
    found = done(os._exit, [3, 4, 5], workers=1)
    assert [found[place].why for place in range(3)] == [
        f"its process ended with {code}: out of memory?" for code in (3, 4, 5)
    ]


def test_a_process_is_replaced_before_it_grows(monkeypatch):
    monkeypatch.setattr(pool, "LASTS", 2)
    found = done(eval, ["__import__('os').getpid()"] * 5, workers=1)
    first, second, third, fourth, fifth = (found[place] for place in range(5))
    assert first == second
    assert third == fourth
    assert len({first, third, fifth}) == 3


def test_nothing_is_begun_after_stop():
    found = {}
    for place, made in each(
        math.sqrt, [1.0] * 50, workers=1, stop=lambda: len(found) >= 2, look=nothing
    ):
        found[place] = made
    assert sorted(found) == [0, 1, 2]  # the third was at work already
    assert done(math.sqrt, [1.0], stop=lambda: True) == {}


def test_no_process_outlives_a_caller_that_leaves():
    running = each(time.sleep, [0.0, 60.0], workers=2, stop=never, look=nothing)
    assert next(running) == (0, None)
    start = time.monotonic()
    running.close()
    assert time.monotonic() - start < 30  # of the 60 s that the other would have slept
    assert not multiprocessing.active_children()


def test_a_few_things_are_done_here():
    assert dict(here(math.sqrt, [4.0, 9.0], stop=never)) == {0: 2.0, 1: 3.0}
    assert dict(here(math.sqrt, [4.0, 9.0], stop=lambda: True)) == {}
    with pytest.raises(ValueError, match=r"math domain error|expected a nonnegative"):
        dict(here(math.sqrt, [-1.0], stop=never))
