"""What keeps a job from being done is one rule: the screens, the papers and the folder agree."""

import re

import pytest
from cli.examples import make_examples

from balance.job.load import read_text
from balance.sheet.record import record_paper
from balance.sheet.results import Results
from balance.sheet.standing import standing
from balance.sheet.still_open import bolt_up, still_open
from balance.spin.first_states import first_measured

TEXT, TRUTH = make_examples.flat_four()
ALONE = TEXT[: TEXT.index('[[spins]]\nname = "with flywheel')]
FINE = ALONE.replace("492 g mm", "12 g mm").replace("365 g mm", "9 g mm")
ONE_PART = FINE[: FINE.index("[[bolted]]")] + FINE[FINE.index("[machine]") :]
HOLE = '\n[[drilled]]\npart = "W3"\nangle = 313\ndiameter = "9 mm"\ndepth = "12 mm"\n'
SPIN = ONE_PART[ONE_PART.index("[[spins]]") :]
AGAIN = SPIN.replace('on = ["crank"]', 'on = ["crank"]\ndrilled = 1')


@pytest.mark.parametrize(
    ("text", "kind", "why"),
    [
        (ONE_PART, None, ""),
        (FINE, "bolt up", "flywheel, clutch cover not spun yet"),
        (ALONE, "correct", "crank: outside the limit"),
        (ONE_PART + HOLE, "spin", "crank got 1 hole after its last spin: not proven yet"),
        (ONE_PART + HOLE + AGAIN, "stop", "reading and prediction differ by"),
    ],
)
def test_what_keeps_a_job_from_being_done(text: str, kind: str | None, why: str) -> None:
    found = still_open(Results(read_text(text)))
    assert (found.kind if found else None) == kind
    assert why in (found.why if found else "")


def test_who_stands_by_the_holes_is_not_stopped(look) -> None:
    text = ONE_PART + HOLE + AGAIN
    said = look.words_of(record_paper(Results(read_text(text))))
    assert "NOT FINISHED. Reading and prediction differ by" in said
    assert "Nothing is proven, and nothing to be drilled, before that is cleared up." in said
    assert "WITHIN THE LIMITS" not in said
    sure = Results(read_text(text), sure=True)
    assert still_open(sure) is None
    said = look.words_of(record_paper(sure))
    assert "ON THE WORD OF THE BENCH every part is within its limit as last measured" in said
    assert "LOOK: The last spins say otherwise: reading and prediction differ by" in said
    assert "WITHIN THE LIMITS" not in said


def test_check_says_what_comes_next_in_every_state() -> None:
    wanted = {
        ONE_PART: "heavyspot report job.toml writes the record: keep it, sign it, hand it over.",
        FINE: "bolt up flywheel and spin: heavyspot spin job.toml --add --on crank --on flywheel.",
        ONE_PART + HOLE: "heavyspot spin job.toml --add: 1 hole was drilled since the last spin",
        ONE_PART + HOLE + AGAIN: "drill nothing before it is cleared up",
    }
    for text, said in wanted.items():
        assert said in standing(read_text(text)).next


def test_a_part_named_with_a_blank_is_quoted_in_the_command_to_copy() -> None:
    text = TEXT[: TEXT.index('[[spins]]\nname = "with flywheel and clutch')]
    assert bolt_up(Results(read_text(text))).endswith("--on flywheel --on 'clutch cover'.")


def test_a_part_that_is_drilled_since_is_not_within_its_limit_in_the_table(look) -> None:
    paper = record_paper(Results(read_text(ONE_PART + HOLE)))
    (row, _) = look.as_dicts(look.table_with(paper, "limit, g mm"))
    assert row["verdict, last measured"] == "drilled since, not spun"


def test_first_measured_is_known_of_every_part_though_the_crank_was_drilled_before_it_was_bolted(
    look,
) -> None:
    """Crank, hole, crank again, then with the flywheel: no part was first spun with another."""
    start = TEXT.index('[[spins]]\nname = "with flywheel')
    later = TEXT[start:].replace("speed =", "drilled = 1\nspeed =")
    crank = AGAIN.replace("12 g mm", "480 g mm").replace("9 g mm", "350 g mm")
    job = read_text(ALONE + HOLE + crank + later)
    first = first_measured(job)
    assert sorted(first) == ["clutch cover", "crank", "flywheel"]
    alone = first_measured(read_text(ALONE))
    assert first["crank"].tolist() == alone["crank"].tolist()
    rows = look.as_dicts(look.table_with(record_paper(Results(job, sure=True)), "limit, g mm"))
    assert all(re.match(r"[\d.]+ g mm at", row["first measured"]) for row in rows)
