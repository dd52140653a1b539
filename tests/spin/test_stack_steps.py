"""What each part of a job's stack adds, and how it is best bolted up."""

import itertools

import numpy as np
from cli.examples import make_examples

from balance.job.load import read_text
from balance.sheet.results import Results
from balance.spin.planes import transfer
from balance.spin.stack_steps import stack_job

TEXT = make_examples.flat_four()[0]


def stacked(text: str):  # type: ignore[no-untyped-def]
    results = Results(read_text(text))
    return results, stack_job(results.job, results.spun)


def test_the_best_bolt_up_is_the_best_of_all_ways() -> None:
    text = TEXT.replace('mark = "punch dot', 'positions = 6\nmark = "punch dot')
    results, found = stacked(text)
    spun = results.spun
    pieces = [transfer(p.unbalance, p.planes_mm, spun.bearings_mm) for p in spun.parts[1:]]
    worst = min(
        max(
            np.abs(pieces[0] * np.exp(2j * np.pi * i / 6) + pieces[1] * np.exp(2j * np.pi * k / 3))
            / spun.total_permissible_gmm
        )
        for i, k in itertools.product(range(6), range(3))
    )
    assert found.movable == ("flywheel", "clutch cover")
    assert found.bolt_up.score == worst or abs(found.bolt_up.score - worst) < 1e-9 * worst
    assert not found.crank_counts


def test_parts_with_one_position_stay() -> None:
    _, found = stacked(TEXT.replace("positions = 3", "positions = 1"))
    assert found.bolt_up is None
    assert found.movable == ()
