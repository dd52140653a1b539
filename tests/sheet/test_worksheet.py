"""The work sheet, read as the person at the bench reads it: parts, cuts, what is missing."""

import re
from dataclasses import replace

import pytest

from balance.errors import InputError
from balance.parts.doubts import Doubt
from balance.sheet.blocks import Notice, Paper, Picture, Side, Text, clean
from balance.sheet.pdf import set_pdf
from balance.sheet.record import record_paper
from balance.sheet.results import Results
from balance.sheet.sections_metal import cautions_section
from balance.sheet.worksheet import work_paper, work_sheet


def test_cuts_end_at_the_finished_weights(look, flat_four: Results) -> None:
    rows = look.as_dicts(look.table_with(work_paper(flat_four), "take off, g"))
    cuts = [
        cut
        for entry in flat_four.card.sets
        for cut in (entry.piston_cut_g, entry.small_end_cut_g, entry.big_end_cut_g)
        if cut
    ]
    assert len(rows) == len(cuts)
    # three numbers rounded to a hundredth each
    for row in rows:
        now, off, stop = (float(row[k]) for k in ("weighed, g", "take off, g", "stop at, g"))
        assert now - off == pytest.approx(stop, abs=0.0151)
        assert row["weighed after the cut, g"] is None
    assert sum(float(row["take off, g"]) for row in rows) == pytest.approx(
        flat_four.matched.match.removed_g, abs=0.03
    )


def test_bobweight_card_counts_add_up(look, v_twin: Results) -> None:
    (row,) = look.as_dicts(look.table_with(work_paper(v_twin), "make up, g"))
    total = 0.0
    for what in ("rotating, g", "reciprocating, g", "oil, g"):
        count, each = (float(x) for x in row[what].split(" × "))
        total += count * each
    assert float(row["make up, g"]) == pytest.approx(total, abs=0.06)


def test_no_bobweights_says_why(look, flat_four: Results) -> None:
    assert "No bobweights. The four pins cancel" in look.words_of(work_paper(flat_four))


def test_limits_stand_in_both_units(look, flat_four: Results) -> None:
    for row in look.as_dicts(look.table_with(work_paper(flat_four), "limit, oz in")):
        # 1 oz in = 720.078 g mm; three decimals of an ounce inch are 0.36 g mm, and whole g mm
        metric, trade = float(row["limit, g mm"]), float(row["limit, oz in"])
        assert trade * 720.078 == pytest.approx(metric, abs=0.9)


def test_cautions_say_that_they_have_no_source(flat_four: Results) -> None:
    (side,) = cautions_section(flat_four)
    assert isinstance(side, Side)
    said = [b.text for group in side.groups for b in group if isinstance(b, Text)]
    assert said == ["Common practice, no source."]


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_bench_drill_press_and_machine_have_a_page_each(
    look, flat_four: Results, paper: str
) -> None:
    made = work_sheet(flat_four, paper=paper)
    assert made.startswith(b"%PDF-")
    assert look.pages(made) == 3
    begun = [b.text for b in work_paper(flat_four).blocks if getattr(b, "new_page", False)]
    assert begun[1] == "6  What the next spin should show"


def test_the_same_job_gives_the_same_bytes(v_twin: Results) -> None:
    assert work_sheet(v_twin) == work_sheet(v_twin)


def test_paper_must_be_known(flat_four: Results) -> None:
    with pytest.raises(InputError, match="paper must be one of a4, us-letter, got 'a5'"):
        work_sheet(flat_four, paper="a5")


def test_says_that_it_is_invented_and_who_decides(flat_four: Results, edited) -> None:
    paper = work_paper(flat_four)
    assert paper.banner.startswith("INVENTED")
    assert "the person who signs the job decides" in paper.aid
    real = edited(("invented = true", "invented = false"))
    assert work_paper(real).banner == ""


def test_every_picture_has_a_text_alternative(look, flat_four: Results) -> None:
    pictures = [b for b in look.flat(work_paper(flat_four).blocks) if isinstance(b, Picture)]
    assert len(pictures) == 6  # angles, side, two counterweights, flywheel, clutch cover
    assert all(len(picture.alt) > 40 for picture in pictures)
    made = work_sheet(flat_four)
    assert made.count(b"/Alt") >= 6


def test_the_paper_is_accessible(flat_four: Results) -> None:
    """ISO 14289-1: the typesetter checks it; the file says so in its metadata."""
    assert b"<pdfuaid:part>1</pdfuaid:part>" in work_sheet(flat_four)


def test_every_everyday_letter_can_be_printed() -> None:
    ranges = [(0x20, 0x250), (0x370, 0x530), (0x2010, 0x2028), (0x2190, 0x219A)]
    letters = "".join(chr(n) for first, last in ranges for n in range(first, last))
    blocks = tuple(Text(clean(word)) for word in re.findall(".{1,40}", letters))
    made = set_pdf(Paper("Letters", "all", blocks, foot="☐"))
    assert b"pdfuaid" in made


@pytest.mark.parametrize("name", ["日本", "😀\ue000", "한국어 עברית"])
def test_letters_that_no_font_has_do_not_stop_a_job(name: str) -> None:
    assert set_pdf(Paper("Work sheet", name, (Text(name),), foot=name)).startswith(b"%PDF-")


HOSTILE = '$x_1$ #let a=1 * <b>& \\"q\\" \\\\ 日本 ελ @x [y] `z` =h -l //c'


def test_any_name_is_printed_as_it_is(look, edited) -> None:
    results = edited(
        ('"Flat-four for a hill-climb car"', f'"{HOSTILE}"'),
        ('"P1"', f'"{"P" * 78}"'),
        ('"W3"', '"<script>alert(1)</script> #W_3 $"'),
        ('"flywheel"', '"fly$wheel#<i>"'),
    )
    said = look.words_of(work_paper(results))
    assert "<script>alert(1)</script> #W_3 $" in said
    assert "P" * 78 in said
    assert (
        work_paper(results).subtitle == '$x_1$ #let a=1 * <b>& "q" \\ 日本 ελ @x [y] `z` =h -l //c'
    )
    assert work_sheet(results).startswith(b"%PDF-")


def _only_parts(text: str) -> str:
    return text[: text.index("# --- the crank")]


def _only_crank(text: str) -> str:
    return text[: text.index("# --- the parts")] + text[text.index("# --- the crank") :]


def _no_spins(text: str) -> str:
    return text[: text.index("[[spins]]")]


def test_only_parts(look, edited) -> None:
    said = look.words_of(work_paper(edited(keep=_only_parts)))
    assert "1-S1" in said
    assert "Not in this job yet: a [crank] table with mass and bearings" in said
    assert "What should remain" not in said


def test_only_the_crank(look, edited) -> None:
    said = look.words_of(work_paper(edited(keep=_only_crank)))
    assert "Not in this job yet: the pistons: a [[parts.pistons]] table" in said
    assert "Weigh the parts" not in said
    assert "What to cut" not in said
    assert "tape, mm" in said


def test_not_spun_yet(look, edited) -> None:
    said = look.words_of(work_paper(edited(keep=_no_spins)))
    assert "Spin the crank and write the readings into the job file" in said
    assert 'a [[spins]] entry of the crank alone, on = ["crank"]' in said


def test_sets_that_cannot_be_made_are_not_cut(look, edited) -> None:
    results = edited(('piston_can_lose = "4 g"', 'piston_can_lose = "0 g"'),
                     ('small_end_can_lose = "3 g"', 'small_end_can_lose = "0 g"'))  # fmt: skip
    said = look.words_of(work_paper(results))
    assert "NO SETS" in said
    assert "NO CUTS" in said
    assert "stop at" not in said
    assert "pistons_g" not in said
    assert "piston P2 with pin N4 and rod R3 small end must lose" in said
    assert "stamp and cut nothing before that is cleared up" in said


def _rod_open(text: str) -> str:
    return text.replace('total = "', 'total = "1', 1)  # a kilogram too much


def test_weighings_that_contradict_each_other_order_no_cut(look, edited) -> None:
    paper = work_paper(edited(keep=_rod_open))
    assert isinstance(paper.blocks[0], Notice)
    assert "Rod R1: big end + small end come to 1000" in paper.blocks[0].text
    said = look.words_of(paper)
    assert "NO CUTS: weigh R1 again" in said
    assert "stop at" not in said
    assert "stamp and cut nothing before" in said
    kept = look.words_of(record_paper(edited(keep=_rod_open)))
    assert "NOT KNOWN: the weighings of R1 contradict each other" in kept
    assert "stamp nothing" in kept


def test_no_bobweight_is_made_up_by_weighings_that_contradict(look, v_twin: Results) -> None:
    results = Results(v_twin.job)
    doubt = Doubt("R1", "rod R1 does not close", "weigh again")
    results.__dict__["matched"] = replace(v_twin.matched, doubts=(doubt,))
    said = look.words_of(work_paper(results))
    assert "NO BOBWEIGHTS YET: weigh R1 again." in said
    assert "make up" not in said


def _unweighed(text: str) -> str:
    keys = ("weight =", "total =", "big_end =", "small_end =")
    return "\n".join(line for line in text.splitlines() if not line.startswith(keys))


def test_what_is_missing_is_said_in_one_line(look, edited) -> None:
    said = look.words_of(work_paper(edited(keep=_unweighed)))
    assert "Not in this job yet: 12 weighings (heavyspot check lists them)" in said
    assert "the weight of piston P1" not in said
    assert "Weigh the parts (heavyspot weigh)" in said


def test_what_was_weighed_after_the_cut_stands_beside_its_stop(look, edited) -> None:
    more = '\n[[weighings]]\npart = "P1"\nvalue = "389.2 g"\nfinished = true\n'
    rows = look.as_dicts(
        look.table_with(work_paper(edited(keep=lambda text: text + more)), "take off, g")
    )
    (row,) = (row for row in rows if row["part"] == "piston P1")
    before = {row["part"]: row for row in look.as_dicts(
        look.table_with(work_paper(edited()), "take off, g"))}["piston P1"]  # fmt: skip
    assert row["weighed after the cut, g"] == "389.20"
    assert row["weighed, g"] == before["weighed, g"]
    assert row["stop at, g"] == before["stop at, g"]


FINISHED = '\n[[weighings]]\npart = "{}"\nwhat = "{}"\nvalue = "{} g"\nfinished = true\n'


def test_a_part_above_its_stop_is_not_done(look, edited) -> None:
    more = FINISHED.format("R4", "big_end", "402.0")
    paper = work_paper(edited(keep=lambda text: text + more))
    rows = look.as_dicts(look.table_with(paper, "take off, g"))
    (row,) = (row for row in rows if row["part"] == "big end R4")
    assert (row["weighed after the cut, g"], row["done"]) == ("402.00", "cut on")


def test_a_part_cut_too_far_gives_new_stops_and_says_so(look, edited) -> None:
    more = FINISHED.format("R4", "small_end", "155.0") * 2
    results = edited(keep=lambda text: text + more)
    paper = work_paper(results)
    said = look.words_of(paper)
    assert "R4 small end is" in said
    assert "It was cut too far. The same sets are cut on from what they weigh now" in said
    assert "(the sets are kept)" in said
    for row in look.as_dicts(look.table_with(paper, "take off, g")):
        now, off, stop = (float(row[k]) for k in ("weighed, g", "take off, g", "stop at, g"))
        assert now - off == pytest.approx(stop, abs=0.011)
    kept = look.words_of(record_paper(results))
    assert re.search(r"15\d\.\d\d → 155\.00", kept)  # first weighed, and what it weighs now


def test_swapped_ends_order_no_cut(look, edited) -> None:
    def swap(text: str) -> str:
        return (
            text.replace("big_end =", "x =")
            .replace("small_end =", "big_end =")
            .replace("x =", "small_end =")
        )

    said = look.words_of(work_paper(edited(keep=swap)))
    assert "weighs more than its big end" in said
    assert "NO CUTS: weigh R1, R2, R3, R4 again" in said
    assert "stop at" not in said


def test_cylinders_are_stamped_with_their_own_names(look, edited) -> None:
    results = edited(
        ('layout = "flat-4"', 'layout = "flat-4"\ncylinder_names = ["A", "3", "B", "1"]')
    )
    rows = look.as_dicts(look.table_with(work_paper(results), "stamp"))
    assert [row["stamp"].split("-")[0] for row in rows] == ["A", "3", "B", "1"]
