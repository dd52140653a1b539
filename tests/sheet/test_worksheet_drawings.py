"""The drawings of the papers: to scale, the right way up, every text escaped."""

import math
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.job.model import DrillsPage
from balance.sheet.blocks import clean
from balance.sheet.drawings import (
    DrawnHole,
    DrawnSlug,
    Sector,
    chord_mm,
    counterweight_drawing,
    disc_drawing,
)
from balance.sheet.drawings_setup import Bar, angle_drawing, bars_drawing
from balance.sheet.drawings_side import SidePin, SideWeight, side_drawing
from balance.sheet.svg import common_scale
from balance.sheet.tape import along_rim, straight
from balance.sheet.wording import angle_text, at_text, drill_text, gmm_text, number

SVG = "{http://www.w3.org/2000/svg}"


def _polygons(svg: str) -> list[list[complex]]:
    """Return the polygons of a drawing as places: x to the right, y up."""
    found = []
    for polygon in ET.fromstring(svg).iter(f"{SVG}polygon"):
        pairs = (pair.split(",") for pair in polygon.attrib["points"].split())
        found.append([complex(float(x), -float(y)) for x, y in pairs])
    return found


@given(degrees=st.floats(0, 359), diameter=st.floats(5, 16), depth=st.floats(4, 30))
@settings(max_examples=40)
def test_a_hole_is_drawn_where_and_as_deep_as_it_is(
    degrees: float, diameter: float, depth: float
) -> None:
    view = counterweight_drawing(
        Sector(80, 0, 180, 35), [DrawnHole("1", degrees, diameter, depth)], scale=2
    )
    corners = _polygons(view.svg)[1]  # the first is the sector
    # 0 degrees up, counter-clockwise: a place is radius * i * exp(i angle)
    turned = [c / 1j * complex(math.cos(math.radians(degrees)), -math.sin(math.radians(degrees)))
              for c in corners]  # fmt: skip
    along, across = [c.real for c in turned], [c.imag for c in turned]
    cone = diameter / 2 / math.tan(math.radians(59))
    # two decimals of a millimetre are written
    assert min(along) == pytest.approx(80 - depth - cone, abs=0.02)
    assert sorted(along)[1] == pytest.approx(80 - depth, abs=0.02)
    assert max(across) - min(across) == pytest.approx(diameter, abs=0.03)
    assert max(abs(c) for c in corners) == pytest.approx(80, abs=0.02)


def test_an_old_hole_is_dashed_and_has_no_number() -> None:
    view = counterweight_drawing(Sector(80, 0, 60, 30), [DrawnHole("", 10, 12, 20)], scale=2)
    texts = [t.text for t in ET.fromstring(view.svg).iter(f"{SVG}text")]
    assert texts == ["0° pin 1"]  # no number; nor the mark's, where the hole is


def test_the_width_on_paper_is_to_scale() -> None:
    view = counterweight_drawing(Sector(80, 0, 90, 30), [], scale=4)
    box = [float(n) for n in ET.fromstring(view.svg).attrib["viewBox"].split()]
    assert view.width_mm * 4 == pytest.approx(box[2], abs=0.01)


def test_slugs_lie_along_the_crank_or_at_the_bottom_of_their_bore() -> None:
    along = counterweight_drawing(
        Sector(80, 0, 60, 30), [], [DrawnSlug("S1", 90, 20, 24, 65, True)], scale=2
    )
    circles = [c.attrib for c in ET.fromstring(along.svg).iter(f"{SVG}circle")]
    assert {"cx": "-65.00", "cy": "-0.00", "r": "10"}.items() <= circles[0].items()
    radial = counterweight_drawing(
        Sector(80, 0, 60, 30), [], [DrawnSlug("S1", 0, 20, 24, 65, False)], scale=2
    )
    heights = [c.imag for c in _polygons(radial.svg)[1]]
    assert (min(heights), max(heights)) == (53.0, 77.0)


@pytest.mark.parametrize(("centre", "half", "wanted"), [(0, 90, 160), (180, 30, 80), (0, 180, 160)])
def test_the_chord_of_a_sector(centre: float, half: float, wanted: float) -> None:
    assert chord_mm(Sector(80, centre, half, 30)) == pytest.approx(wanted, abs=1e-9)


def test_scales_are_round_and_fit() -> None:
    assert common_scale(160, 46) == 4
    assert common_scale(46, 46) == 1
    assert common_scale(1e6, 46) == 50


def test_a_disc_shows_its_holes_and_arcs() -> None:
    view = disc_drawing(100, [DrawnHole("1", 270, 8, 6)], [(350, 10)], scale=5)
    hole = [c.attrib for c in ET.fromstring(view.svg).iter(f"{SVG}circle")][1]
    assert float(hole["cx"]) == pytest.approx(100, abs=0.01)  # 270 lies on the right


@pytest.mark.parametrize(("sense", "x"), [(1, -1), (-1, 1)])
def test_machine_numbers_run_their_way(sense: int, x: int) -> None:
    """From the flywheel end, 90 of a machine with its 0 at pin 1 is left when it counts with us."""
    texts = {t.text: t.attrib for t in ET.fromstring(angle_drawing(sense).svg).iter(f"{SVG}text")}
    assert math.copysign(1, float(texts["M 90"]["x"])) == x
    assert float(texts["90°"]["x"]) < 0


def _weight_at(z_mm: float, mark: str, *work: str, centre: float = 180) -> SideWeight:
    return SideWeight(mark, z_mm, 15, 80, centre, 60, work)


def test_side_view_runs_from_nose_to_flywheel() -> None:
    weights = [_weight_at(32, "W1", "1", "12"), _weight_at(200, "<W2>")]
    view = side_drawing(
        [0, 270], weights, [SidePin("pin 1", 50, 0, 40)], [("A", 30)], [("disc", 316)]
    )
    texts = {t.text: float(t.attrib["x"]) for t in ET.fromstring(view.svg).iter(f"{SVG}text")}
    assert texts["W1"] < texts["pin 1"] < texts["<W2>"] < texts["disc"]
    assert texts["1"] == texts["12"] == texts["W1"]  # its holes, below it


def _boxes(view, kind: str) -> list[tuple[float, float]]:
    """Return top and bottom of the boxes of a kind, up positive, in the order of the drawing."""
    found = (r.attrib for r in ET.fromstring(view.svg).iter(f"{SVG}rect"))
    return [
        (-float(r["y"]), -float(r["y"]) - float(r["height"]))
        for r in found
        if r.get("class") == kind
    ]


def test_pins_and_counterweights_stand_on_their_sides_of_the_axis() -> None:
    """Crankpin 1 up: heights are radius times cosine, a sector reaches as far as its rim does."""
    pins = [SidePin(f"pin {n}", 50.0 * n, a, 40) for n, a in enumerate((0, 180, 90, 60), 1)]
    weights = [
        _weight_at(30, "W1"),
        _weight_at(110, "W2", centre=0),
        _weight_at(170, "W3", centre=90),
    ]
    view = side_drawing([0, 270], weights, pins)
    middles = [(top + bottom) / 2 for top, bottom in _boxes(view, "pin")]
    assert middles == pytest.approx([middles[0], -middles[0], 0, middles[0] / 2], abs=0.02)
    below, above, level = _boxes(view, "counterweight")
    assert below[0] == pytest.approx(0, abs=0.01)
    assert -below[1] == pytest.approx(above[0]) == pytest.approx(2 * middles[0], abs=0.02)
    # a sector of 60 degrees each side, turned level, reaches sin 60 of its rim up and down
    assert level[0] == pytest.approx(above[0] * math.sin(math.radians(60)), rel=2e-3)
    assert level[0] == pytest.approx(-level[1], abs=0.02)


def test_side_view_needs_a_length() -> None:
    with pytest.raises(InputError, match="bearings_mm must hold two different places"):
        side_drawing([5, 5], [])


def test_bars_are_as_long_as_the_amounts() -> None:
    view = bars_drawing([Bar("a", 400, 100, "expected", 50)])
    lengths = [float(r.attrib["width"]) for r in ET.fromstring(view.svg).iter(f"{SVG}rect")]
    assert lengths[0] / lengths[1] == pytest.approx(4, rel=1e-3)


@given(
    angle=st.floats(-1e4, 1e4),
    radius=st.floats(10, 300),
    centre=st.floats(0, 359),
    half=st.floats(5, 180),
)
@settings(max_examples=80)
def test_angles_and_tapes_name_the_same_place(
    angle: float, radius: float, centre: float, half: float
) -> None:
    told = float(angle_text(angle).rstrip("°"))
    assert 0 <= told < 360
    for tape in (
        along_rim(angle, radius_mm=radius, centre_degrees=centre, half_span_degrees=half),
        straight(angle, circle_mm=radius),
    ):
        side = (tape.towards_degrees - tape.mark_degrees + 180) % 360 - 180
        assert 29.99 <= abs(side) <= 120.01  # a side that nobody can take for the other one
        assert 0 <= tape.mm <= math.pi * radius + 1e-6  # the short way round
    arc = math.copysign(along_rim(angle, radius_mm=radius, centre_degrees=centre,
                                  half_span_degrees=180).mm, 1)  # fmt: skip
    assert arc == pytest.approx(radius * abs(math.remainder(math.radians(angle), 2 * math.pi)))


def test_a_tape_is_held_where_there_is_rim() -> None:
    near = along_rim(350, radius_mm=80, centre_degrees=40, half_span_degrees=40)
    assert (near.length, near.way) == ("14.0", "0°\u00a0→\u00a0270°")
    far = along_rim(350, radius_mm=80, centre_degrees=41, half_span_degrees=40)
    assert (far.length, far.way) == ("71.2", "mid\u00a041°\u00a0→\u00a00°")
    there = along_rim(41.0, radius_mm=80, centre_degrees=41, half_span_degrees=40)
    assert there.way == "mid\u00a041°,\u00a0on\u00a0it"


@pytest.mark.parametrize(
    ("angle", "chord", "way"),
    [
        (60, "100.0", "0° → 90°"),  # 60 degrees on 100 mm: three equal sides
        (300, "100.0", "0° → 270°"),
        (-90, "141.4", "0° → 270°"),  # a square's side: 100 x 1.41421
        (90, "141.4", "0° → 90°"),
        (120, "100.0", "180° → 90°"),
        (-120, "100.0", "180° → 270°"),
    ],
)
def test_a_chord_is_measured_from_the_nearer_mark(angle: float, chord: str, way: str) -> None:
    tape = straight(angle, circle_mm=100)
    assert (tape.length, tape.way) == (chord, way.replace(" ", "\u00a0"))


@pytest.mark.parametrize(
    ("middle", "angle", "towards"),
    [
        (150, 151, 180),  # 30 degrees on: the quarter itself is clear of the mark
        (151, 152, 270),
        (210, 209, 180),
        (209, 208, 90),
    ],
)
def test_the_side_that_is_named_is_the_first_quarter_clear_of_the_mark(
    middle: float, angle: float, towards: float
) -> None:
    tape = along_rim(angle, radius_mm=80, centre_degrees=middle, half_span_degrees=40)
    assert (tape.mark_degrees, tape.towards_degrees) == (middle, towards)


@pytest.mark.parametrize("apart", [0.0, 3.0, 8.0])
def test_numbers_of_holes_do_not_cover_each_other(apart: float) -> None:
    holes = [DrawnHole(str(n), 60 + apart * n, 5, 8) for n in range(1, 7)]
    rim = counterweight_drawing(Sector(80, 90, 80, 30), holes, scale=3)
    for view, text in ((disc_drawing(112, holes, scale=10), 27.0), (rim, 8.1)):
        texts = [t.attrib for t in ET.fromstring(view.svg).iter(f"{SVG}text") if t.text.isdigit()]
        places = [complex(float(t["x"]), float(t["y"])) for t in texts]
        assert len(places) == 6
        gaps = [abs(a - b) for n, a in enumerate(places) for b in places[:n]]
        assert min(gaps) >= 1.7 * text  # two circles of 0.85 of the text's size


def test_the_marks_of_the_tape_are_drawn_and_named() -> None:
    view = counterweight_drawing(Sector(80, 200, 60, 30), [DrawnHole("1", 250, 12, 20)], scale=2)
    texts = [t.text for t in ET.fromstring(view.svg).iter(f"{SVG}text")]
    assert texts == ["0° pin 1", "200°", "1"]
    close = counterweight_drawing(Sector(80, 200, 60, 30), [DrawnHole("1", 202, 12, 20)], scale=2)
    assert "200°" not in close.svg  # the hole's number stands there


def test_wording() -> None:
    assert number(2.0) == "2"
    assert gmm_text(99.96) == "100"
    assert at_text(100j * (1 - 1e-12)) == "100 g mm at 90°"
    assert at_text(50 - 1e-9j) == "50.0 g mm at 0°"
    assert drill_text(10.0, DrillsPage()) == "10 mm"
    assert drill_text(12.7, DrillsPage(sizes=["1/2 in"])) == "1/2 in (12.7 mm)"
    assert clean("a\u202eb\x00c\tد\u200cر") == "a b c د\u200cر"
