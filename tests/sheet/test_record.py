"""The balance record: the same on paper and on the web, true to the job, readable by all."""

import re
from html.parser import HTMLParser
from importlib.resources import files

import pytest

from balance.sheet.record import balance_record, record_paper
from balance.sheet.record_html import balance_record_html
from balance.sheet.results import Results
from balance.sheet.wording import at_text, both_units

VOID = {"meta", "br", "hr", "img", "link", "input"}

DRILLED = """
[[drilled]]
part = "W3"
angle = "-47 deg"
diameter = "9 mm"
depth = "17.5 mm"
time = 2026-03-14T10:00:00

[[drilled]]
part = "W8"
angle = "165 deg"
diameter = "9 mm"
depth = "12.5 mm"

[[spins]]
name = "crank alone"
"""
RESPUN = """
[[spins]]
name = "after drilling"
on = ["crank"]
drilled = 2
time = 2026-03-14T11:00:00
readings = [
  { plane = "left", amount = "20 g mm", angle = "276 deg" },
  { plane = "right", amount = "18 g mm", angle = "140 deg" },
]
"""


class Page(HTMLParser):
    """Reads a page: its tags must close, its words and attributes are kept."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.words: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def _respun(edited) -> Results:
    return edited(('[[spins]]\nname = "crank alone"\n', DRILLED), keep=lambda text: text + RESPUN)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_record_on_two_pages(look, flat_four: Results, paper: str) -> None:
    made = balance_record(flat_four, paper=paper)
    assert made.startswith(b"%PDF-")
    assert look.pages(made) == 2


def test_before_any_work_it_is_not_finished(look, flat_four: Results) -> None:
    said = look.words_of(record_paper(flat_four))
    assert "NOT FINISHED. As last measured: crank: outside the limit" in said
    assert "only a spin proves it" in said
    row = look.as_dicts(look.table_with(record_paper(flat_four), "expected after the plan"))[0]
    assert row["measured"] == at_text(flat_four.spun.parts[0].unbalance[0])


def test_a_respin_stands_beside_the_first_spin(look, edited, flat_four: Results) -> None:
    results = _respun(edited)
    paper = record_paper(results)
    crank = look.as_dicts(look.table_with(paper, "last measured"))[0]
    assert crank["first measured"] == at_text(flat_four.spun.parts[0].unbalance[0])
    assert crank["last measured"] == at_text(results.spun.parts[0].unbalance[0])
    assert crank["last measured"] != crank["first measured"]
    assert crank["verdict, last measured"] == "within the limit"
    drilled = look.as_dicts(look.table_with(paper, "drilled in"))
    assert [row["angle"] for row in drilled] == ["313°", "165°"]  # folded
    assert drilled[0]["when"] == "2026-03-14 10:00"
    assert "There already, dashed: 313°." in look.words_of(paper)
    assert look.as_dicts(look.table_with(paper, "when"))


def test_all_inside_is_said_first(look, edited) -> None:
    def alone(text: str) -> str:
        first = text.index("[[spins]]")
        second = text.index("[[spins]]", first + 1)
        return text[:second].replace("492 g mm", "12 g mm").replace("365 g mm", "9 g mm")

    def without_bolted(text: str) -> str:
        text = alone(text)
        return text[: text.index("[[bolted]]")] + text[text.index("[machine]") :]

    said = look.words_of(record_paper(edited(keep=alone)))
    assert "WITHIN THE LIMITS, AS FAR AS SPUN. Every part that was spun is within its limit" in said
    assert "flywheel, clutch cover not spun yet." in said
    said = look.words_of(record_paper(edited(keep=without_bolted)))
    assert "WITHIN THE LIMITS. Every part is within its limit as last measured" in said
    assert "No hole was drilled and none is planned." in said


def test_holes_without_a_spin_prove_nothing(look, edited) -> None:
    results = edited(('[[spins]]\nname = "crank alone"\n', DRILLED))
    assert "Crank got 2 holes after its last spin: not proven yet" in look.words_of(
        record_paper(results)
    )


def test_limits_uncertainty_marks_and_origin_are_there(look, flat_four: Results) -> None:
    said = look.words_of(record_paper(flat_four))
    for words in ("balance quality grade G 6.3 at 7800 rpm (ISO 21940-11)", "ISO 14253-1",
                  "punch dot against dowel 1", "paint stroke across cover and flywheel",
                  "a job file of format 1", flat_four.job.digest,
                  "Measured by example on bench machine, proven with known masses, last on "
                  "2026-03-02"):  # fmt: skip
        assert words in said


def test_the_record_tells_how_it_was_measured(look, v_twin: Results) -> None:
    paper = record_paper(v_twin)
    said = look.words_of(paper)
    for words in ("Measured by example on soft-bearing machine, proven with known masses",
                  "Crank of 13.80 kg, steel wheels; bearings at z 0 and 104 mm (z from: timing-",
                  "W1 30, 104, 180°; W2 74, 104, 180°", "Its planes: timing side z 30 mm",
                  "1 oz in is 720.08 g mm", "Scale: 0.1 g a division"):  # fmt: skip
        assert words in said
    (spin, _) = look.as_dicts(look.table_with(paper, "what turned"))
    assert (spin["bobweights, g"], spin["when"], spin["rpm"]) == ("1948", "not written", "480")
    assert (spin["amount"], spin["angle"]) == ("1.52 oz in", "348°")
    proofs = look.as_dicts(look.table_with(paper, "known mass stuck on"))
    assert proofs[0]["known mass stuck on"] == "nothing"
    assert proofs[2]["known mass stuck on"] == (
        "30 g at radius 98 mm, 0° of the crank, plane timing side"
    )
    assert (proofs[2]["amount"], proofs[2]["angle"]) == ("2.82 oz in", "209°")


def test_planned_holes_have_the_numbers_of_the_plan(look, flat_four: Results) -> None:
    said = look.words_of(record_paper(flat_four))
    assert "W8, hole 2: 165°" in said
    assert "flywheel, hole 3: 64°" in said


def test_a_refit_may_change_only_what_the_clearance_lets(look, edited) -> None:
    # e = TIR / 2 + clearance / 2 and U = m e, by hand: Bloch & Geitner, Machinery Component
    # Maintenance and Repair, p. 300
    results = edited(
        ('run_out = "0.008 mm"', 'run_out = "0.010 mm"'),
        ('clearance = "0.004 mm"', 'clearance = "0.02 mm"'),
    )
    wheel, made = look.as_dicts(look.table_with(record_paper(results), "mass, kg"))
    stays, changes = (value for head, value in made.items() if "run-out" in head or "may" in head)
    assert stays == f"0.01 mm: {both_units(3800 * 0.010 / 2)}"
    assert changes == both_units(3800 * 0.02 / 2)
    assert "clearance not known" in wheel.values()


def test_weighings_after_cutting_are_kept(look, edited) -> None:
    entry = '\n[[weighings]]\npart = "P1"\nvalue = "389.2 g"\nfinished = true\n'
    results = edited(keep=lambda text: text + entry)
    paper = record_paper(results)
    assert "Weighed after cutting: P1 weight 389.20 g." in look.words_of(paper)
    (first,) = (row for row in look.table_with(paper, "rotating, g").rows if "389.20" in row[1])
    assert first[1] == "390.05 → 389.20"  # the mean of its first readings, 390.0 and 390.1 g
    assert re.fullmatch(r"[\d.]+ → \([\d.]+\)", first[4])


@pytest.mark.parametrize("name", ["flat_four", "v_twin"])
def test_the_page_closes_its_tags_and_needs_no_network(
    name: str, request: pytest.FixtureRequest
) -> None:
    text = balance_record_html(request.getfixturevalue(name))
    page = Page(text)
    assert not page.open
    assert not any({"src", "href", "srcset"} & attrs.keys() for _, attrs in page.tags)
    assert not re.search(r"url\(|@import|<script|https?://(?!www\.w3\.org/2000/svg)", text)
    pictures = [attrs for tag, attrs in page.tags if tag == "svg"]
    assert pictures
    assert all(a["role"] == "img" and len(a["aria-label"] or "") > 40 for a in pictures)
    assert dict(page.tags)["html"]["lang"] == "en"


def test_page_and_paper_say_the_same(look, flat_four: Results) -> None:
    page = "".join(Page(balance_record_html(flat_four)).words)
    for row in look.table_with(record_paper(flat_four), "expected after the plan").rows:
        assert all(cell in page for cell in row if cell)


def test_names_are_text_on_the_page(edited) -> None:
    results = edited(
        ('"W3"', '"<script>alert(1)</script>"'),
        ('"flywheel"', '"\\"><img src=x onerror=y>"'),
    )
    page = Page(balance_record_html(results))
    assert not {"script", "img"} & {tag for tag, _ in page.tags}
    assert "<script>alert(1)</script>" in "".join(page.words)


def _luminance(colour: str) -> float:
    """Relative luminance. Source: W3C, Web Content Accessibility Guidelines 2.1, definitions."""
    digits = colour.lstrip("#")
    digits = "".join(c * 2 for c in digits) if len(digits) == 3 else digits
    parts = [int(digits[n : n + 2], 16) / 255 for n in (0, 2, 4)]
    linear = [p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_every_text_colour_stands_out_on_white() -> None:
    """WCAG 2.1, success criterion 1.4.6 (enhanced): contrast of at least 7 to 1."""
    style = (files("balance.sheet") / "templates/paper.css").read_text(encoding="utf-8")
    colours = set(re.findall(r"[;{]\s*color:\s*(#\w+)", style))
    assert colours
    assert all(1.05 / (_luminance(c) + 0.05) >= 7 for c in colours)
