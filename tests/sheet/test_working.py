"""The working: every printed line of arithmetic is worked out again here and must close.

The evaluator below knows nothing of the package: + - x / ^, brackets, pi, sqrt, abs, min, max,
sin, cos and tan in degrees, and arrows ``(492 at 276 deg)``.
"""

import ast
import cmath
import math
import operator
import re
from collections.abc import Callable
from functools import cache
from importlib.resources import files
from typing import Any

import pytest

from balance.errors import InputError, MissingInputError
from balance.job.load import read_text
from balance.sheet import working, working_page
from balance.sheet.explain_given import explain_given
from balance.sheet.results import Results
from balance.sheet.working_line import Line, arrow, plain, scalar

# Half a unit of the last printed digit, and a fiftieth more because the numbers inside a line are
# themselves rounded, to seven digits.
ROUNDING = 1.02

_ARROW = re.compile(r"\((-?[\d.]+) at (-?[\d.]+) deg\)")
_OPERATORS: dict[type, Any] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
    ast.USub: operator.neg,
    ast.LtE: operator.le,
    ast.GtE: operator.ge,
    ast.Lt: operator.lt,
}
_FUNCTIONS: dict[str, Any] = {
    "sqrt": math.sqrt,
    "abs": abs,
    "min": min,
    "max": max,
    "sin": lambda degrees: math.sin(math.radians(degrees)),
    "cos": lambda degrees: math.cos(math.radians(degrees)),
    "tan": lambda degrees: math.tan(math.radians(degrees)),
    "arrow": lambda length, degrees: cmath.rect(length, math.radians(degrees)),
}


def evaluate(text: str) -> Any:
    """Return the value of a line of arithmetic: a number, an arrow, or true or false."""
    assert not re.search(r"\^[-\d]+\^", text), "a power of a power can be read two ways"
    words = _ARROW.sub(r"arrow(\1, \2)", text).replace(" x ", " * ").replace("^", "**")
    return _value(ast.parse(words, mode="eval").body)


def _value(node: ast.AST) -> Any:
    match node:
        case ast.Constant(value=int() | float() as number):
            return number
        case ast.Name(id="pi"):
            return math.pi
        case ast.BinOp(left, op, right):
            return _OPERATORS[type(op)](_value(left), _value(right))
        case ast.UnaryOp(op, operand):
            return _OPERATORS[type(op)](_value(operand))
        case ast.Compare(left, [op], [right]):
            return _OPERATORS[type(op)](_value(left), _value(right))
        case ast.Call(ast.Name(id=name), arguments, []):
            return _FUNCTIONS[name](*map(_value, arguments))
    raise ValueError(f"not arithmetic: {ast.dump(node)}")


def misfit(numbers: str, result: str) -> float:
    """Return how far arithmetic and printed result lie apart; 1 is the printed rounding.

    Of an arrow, its length's and its angle's rounding together. A comparison fits when it holds.
    """
    value = evaluate(numbers)
    if isinstance(value, bool):
        return 0.0 if value else math.inf
    printed = re.match(r"(?:G )?(-?[\d.]+)(?: ([^\d].*?))?(?: at ([\d.]+) deg)?$", result)
    assert printed, result
    size, angle = float(printed[1]), printed[3]
    half = 0.5 * 10.0 ** -_decimals(printed[1])
    if angle is None:  # a vector that rounds to nothing points nowhere
        return abs((abs(value) if isinstance(value, complex) else value) - size) / half
    turned = math.radians(0.5 * 10.0 ** -_decimals(angle))
    away = abs(value - cmath.rect(size, math.radians(float(angle))))
    return away / math.hypot(half, size * turned)


def _decimals(number: str) -> int:
    return len(number.partition(".")[2])


def shipped(name: str, **changes: str) -> str:
    """Return an example's text; each change is ``old -> new`` and must be there."""
    text = (files("cli.examples") / f"{name}.toml").read_text()
    for change in changes.values():
        old, _, new = change.partition(" -> ")
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


@cache
def explained(text: str) -> tuple[Line, ...]:
    return working(_of(text))


@cache
def _of(text: str) -> Results:
    return Results(read_text(text))


_SPIN_AGAIN = """
[[spins]]
on = ["crank"]
readings = [
  { plane = "left", amount = "488 g mm", angle = "275 deg" },
  { plane = "right", amount = "371 g mm", angle = "141 deg" },
]
"""
_DRILLED = """
[[drilled]]
part = "W3"
angle = "313 deg"
diameter = "9 mm"
depth = "12 mm"
"""
# What the machine shows once W3 has its 7 mm: the example's reading less that hole.
_SPIN_DEEPER = """
[[spins]]
drilled = 1
on = ["crank"]
readings = [
  { plane = "left", amount = "284 g mm", angle = "276 deg" },
  { plane = "right", amount = "429 g mm", angle = "132 deg" },
]
"""
_SPARES = """
[[parts.pistons]]
mark = "P5"
weight = "388.2 g"

[[parts.rods]]
mark = "R5"
total = "560.1 g"
big_end = "402.0 g"
small_end = "158.1 g"
"""
_SPARE_ROD = _SPARES.partition("[[parts.rods]]")[1] + _SPARES.partition("[[parts.rods]]")[2]


def _finished(mark: str, what: str, grams: float) -> str:
    return (
        f'\n[[weighings]]\npart = "{mark}"\nwhat = "{what}"\nvalue = "{grams:.1f} g"\n'
        "finished = true\n"
    )


_TOO_FAR = _finished("R4", "small_end", 155.0)


def _cut_on(*spared: str) -> str:
    """Weigh all parts that are cut on at their new stops, but for some."""
    sets = Results(read_text(shipped("flat-four") + _TOO_FAR * 2)).matched.sets
    return "".join(
        _finished(part.mark, kind, part.stop_g) * 2
        for entry in sets
        for part in entry.cut_parts
        for kind in ("weight" if part.what == "piston" else part.what.replace(" ", "_"),)
        if part.cut_g and part.mark not in spared
    )


def _undeclared() -> str:
    """Only the proof spins of the twin say how its machine counts, and how large its unit is."""
    return re.sub(r"(?m)^(counts|turns|zero|points_to) = .*\n", "", shipped("v-twin"))


_TWIN_AGAIN = """
[[spins]]
bobweights = "1948 g"
readings = [
  { plane = "timing side", amount = "1.53 oz in", angle = "347 deg" },
  { plane = "drive side", amount = "1.2 oz in", angle = "44 deg" },
]
"""


def _pin(mark: str, grams: float) -> str:
    return _finished(mark, "weight", grams) * 2


_ENDS = 'total = "560.3 g"\nbig_end = "402.2 g"\nsmall_end = "158.0 g"'
JOBS: dict[str, Callable[[], str]] = {
    "flat-four": lambda: shipped("flat-four"),
    "v-twin": lambda: shipped("v-twin"),
    "two spins of one state": lambda: shipped("flat-four") + _SPIN_AGAIN,
    "holes drilled since": lambda: shipped("flat-four") + _DRILLED,
    "spare parts to choose from": lambda: shipped("flat-four") + _SPARES,
    "a hole made deeper": lambda: (
        shipped("flat-four")
        + _DRILLED.replace("12 mm", "7 mm")
        + _SPIN_DEEPER
    ),
    "spun again after drilling": lambda: (
        shipped("flat-four") + _DRILLED + _SPIN_AGAIN.replace("[[spins]]", "[[spins]]\ndrilled = 1")
    ),
    "a rod without its small end": lambda: shipped(
        "flat-four", rod=f"{_ENDS} -> " + _ENDS.rpartition("\n")[0]
    ),
    "a rod without its big end": lambda: shipped(
        "flat-four", rod='\nbig_end = "402.2 g" -> \nbig_end = []'
    ),
    "a stated repeatability": lambda: shipped(
        "flat-four", scale='resolution = "0.1 g" -> resolution = "0.1 g"\nrepeatability = "0.07 g"'
    ),
    "limits for each bearing": lambda: shipped(
        "flat-four", grade='grade = "G 6.3" -> per_bearing = "0.1 oz in"'
    ),
    "a heavy flywheel end": lambda: shipped(
        "flat-four", crank='mass = "12.4 kg" -> mass = "12.4 kg"\ncentre_of_mass = "240 mm"'
    ),
    "parts that cannot be matched": lambda: shipped(
        "v-twin", piston='piston_can_lose = "5 g" -> piston_can_lose = "0.1 g"',
        rod='small_end_can_lose = "2 g" -> small_end_can_lose = "0.1 g"',
        pin='"496.4 g", "496.3 g", "496.3 g" -> "499.4 g", "499.3 g", "499.3 g"',
    ),
    "offset piston pins": lambda: shipped(
        "v-twin", pin='rod_length = "190 mm" -> rod_length = "190 mm"\npin_offset = "1.5 mm"'
    ),
    "a machine that shows grams": lambda: shipped(
        "v-twin", unit='unit = "oz in" -> unit = "oz"',
        one='{ name = "timing side", z = "30 mm" } -> '
        '{ name = "timing side", z = "30 mm", radius = "95 mm" }',
        two='{ name = "drive side", z = "74 mm" } -> '
        '{ name = "drive side", z = "74 mm", radius = "95 mm" }',
        amount='amount = "1.52 oz in" -> amount = 0.41',
        again='amount = "1.19 oz in" -> amount = 0.3',
    ),
    "a machine that its proofs have found": _undeclared,
    "the same, spun twice": lambda: _undeclared() + _TWIN_AGAIN,
    "a part cut too far": lambda: shipped("flat-four") + _TOO_FAR * 2,
    "cut on after a part was cut too far": lambda: (
        shipped("flat-four") + _TOO_FAR * 2 + _cut_on("R4") + _pin("N1", 107.2)
    ),
    "a big end cut too far for the others": lambda: (
        shipped("flat-four") + _finished("R1", "big_end", 396.0) * 2
    ),
    "a rod in place of one that was scrapped": lambda: (
        shipped("flat-four", rod='mark = "R4"\n -> mark = "R4"\nscrapped = true\n') + _SPARE_ROD
    ),
    "cuts of less than a division": lambda: shipped("flat-four", scale='"0.1 g" -> "2 g"'),
    "a verdict that is not proven": lambda: shipped(
        "v-twin",
        grade='grade = "G 16" -> grade = 72',
        least='least = "4 g mm" -> least = "90 g mm"',
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", JOBS)
def test_every_line_of_arithmetic_closes(name: str) -> None:
    lines = explained(JOBS[name]())
    assert {line.topic for line in lines} == {"match", "bobweight", "shake", "spin", "correct"}
    for line in lines:
        if line.numbers:
            assert misfit(line.numbers, line.result) <= ROUNDING, line


@pytest.mark.parametrize("name", ["flat-four", "v-twin"])
def test_what_has_no_arithmetic_is_short_and_says_why(name: str) -> None:
    """A search, a chance and an exact series fit on no line; everything else must."""
    without = [line for line in explained(JOBS[name]()) if not line.numbers]
    series, chances = {"a_4", "a_6"}, {"P", "P_light", "P_first"}
    searched = {"left", "off", "removed_then", "drill", "depth", "first cut", "margin", "stamp",
                "m_1", "m_2", "reach_angle"}  # fmt: skip
    assert {line.symbol for line in without} <= series | chances | searched


@pytest.mark.parametrize("name", JOBS)
def test_every_line_says_where_it_is_from(name: str) -> None:
    """In words: what a module of the package is called tells an apprentice nothing."""
    for line in (*explained(JOBS[name]()), *explain_given(_results(name))):
        assert "balance." not in line.source
        assert line.about
        assert line.formula
        assert line.result
        assert line.source


def _results(name: str = "flat-four") -> Results:
    return _of(JOBS[name]())


def test_the_results_are_those_of_the_other_commands() -> None:
    """Printed with the rounding of the line, they are the numbers that the steps hand out."""
    results = _results()
    for part, plane in zip(results.spun.parts[0].unbalance, (0, 270), strict=True):
        found = [line for line in working(results, f"plane {plane}") if line.symbol == "U"]
        assert arrow(part, 1, "g mm") in [line.result for line in found]
    for number, hole in enumerate(results.corrected.crank.plan.holes, 1):
        lines = {line.symbol: line.result for line in working(results, f"hole {number}")}
        assert lines["U"] == scalar(hole.unbalance_gmm, 1, "g mm")
        assert lines["m"] == scalar(hole.mass_g, 2, "g")


def test_a_bobweight_is_itemised_down_to_the_weighings() -> None:
    results = _results("v-twin")
    card = results.card
    lines = {line.symbol: line for line in working(results, "bobweight")}
    assert lines["W"].result == scalar(card.bobweights[0].mass_g, 2, "g")
    for entry in card.sets:
        assert plain(entry.rotating_g) in lines["W_rot"].numbers
        assert plain(entry.reciprocating_g) in lines["W_rec"].numbers
        rotating = [line for line in working(results, entry.rod) if line.symbol == "m_rot"]
        assert rotating[0].result == scalar(entry.rotating_g, 3, "g")


@pytest.mark.parametrize("name", ["a machine that its proofs have found", "v-twin"])
def test_every_amount_shown_can_be_followed_to_what_the_next_line_takes(name: str) -> None:
    """A plane that shows one in a hundred too much is set right by a number that is printed."""
    results = _results(name)
    (stack,) = results.spun.stacks
    planes = sorted(results.job.machine.planes, key=lambda each: each.z)
    for plane, shown in zip(planes, stack.shown, strict=True):
        lines = working(results, f"plane {plane.name}")
        (amount,) = (line for line in lines if "the amount shown" in line.about)
        assert evaluate(amount.numbers) == pytest.approx(abs(shown), rel=1e-6)  # seven digits
        (angle,) = (line for line in lines if "the angle shown" in line.about)
        turned = cmath.rect(1.0, math.radians(evaluate(angle.numbers)))
        assert turned == pytest.approx(shown / abs(shown), abs=1e-6)
        scales = [line.result for line in lines if line.symbol == "scale"]
        assert len(scales) == (name != "v-twin")
        assert all(f" x {scale}" in amount.numbers for scale in scales)


def test_the_angle_of_a_machine_is_spelled_out() -> None:
    """Zero at 15, numbers against the frame, light side shown, and a whole turn to come back."""
    results = _results("v-twin")
    shown = results.job.spins[0].readings[0].angle
    lines = working(results, "plane timing side")
    angle = next(line for line in lines if line.symbol == "angle")
    assert angle.numbers == f"15 + (-1) x {shown:g} + 180 + 360 x 1"
    assert angle.result == f"{15 - shown + 180 + 360:.1f} deg"


@pytest.mark.parametrize(
    ("what", "symbol"),
    [("P1", "m"), ("r1", "c"), ("cylinder 1", "sum"), ("hole 1", "t"), ("W3", "t"),
     ("flywheel", "U_seat"), ("flywheel hole 3", "m"), ("plane left", "u_left"),
     ("order 2", "a_2"), ("Plane  270", "U_lim"), ("limit", "U_per"), ("chance", "P"),
     ("390.05", "m")],
)  # fmt: skip
def test_lines_can_be_asked_for(what: str, symbol: str) -> None:
    assert symbol in {line.symbol for line in working(_results(), what)}


def test_a_printed_number_is_found_as_exactly_as_it_was_written() -> None:
    results = _results()
    limit = scalar(results.spun.parts[0].permissible_gmm[0], 1)
    for text in (limit, f"{float(limit):.0f}"):
        assert "U_lim" in {line.symbol for line in working(results, text)}
    with pytest.raises(InputError, match="no number of this job is '123456'"):
        working(results, "123456")


@pytest.mark.parametrize(
    ("what", "message"),
    [
        ("P9", r"nothing is called 'P9'; did you mean P1, P2, P3, P4\?"),
        ("flywheal", r"'flywheal'; did you mean flywheel"),
        (
            "hole 7",
            r"this job has no 'hole 7' \(metal drilled out .*hole 1, hole 2, hole 3, hole 4\?",
        ),
        ("slug", r"this job has no 'slug' \(heavy metal set into"),
        ("410 g mm", r"no number of this job is '410 g mm'; near it: 40\d.\d g mm at 309"),
        ("xyzzy", r"'xyzzy'; ask for a step \(match, bobweight, shake, spin, correct\)"),
    ],
)
def test_what_is_not_there_says_what_may_be_meant(what: str, message: str) -> None:
    with pytest.raises(InputError, match=message) as wrong:
        working(_results(), what)
    assert len(str(wrong.value)) < 300


def test_steps_that_lack_their_input_say_so() -> None:
    head, _, _ = shipped("flat-four").partition("[crank]")
    results = Results(read_text(head))
    last = working(results)[-1]
    assert (last.topic, last.formula, last.numbers) == ("correct", "", "")
    assert "a [crank] table with mass and bearings" in last.result
    with pytest.raises(MissingInputError, match="a \\[crank\\] table"):
        working(results, "spin")
    assert working(results, "match")


def test_a_boxer_without_weighings_still_says_why_it_needs_no_bobweights() -> None:
    head, _, rest = shipped("flat-four").partition("[parts]")
    lines = explained(head + "[crank]" + rest.partition("[crank]")[2])
    force, couple = (line for line in lines if line.topic == "bobweight")
    assert force.result == "0.000 rods"
    assert "cancel as a force and as a couple" in couple.about


def test_the_evaluator_itself() -> None:
    assert evaluate("2 x (3 - 1)^2 / 4 + sqrt(9) - max(0, -1)") == 5.0
    assert evaluate("(2 at 90 deg) + (-1) x (2 at 90 deg)") == 0
    assert misfit("1 / 3", "0.333 g") < ROUNDING < misfit("1 / 3", "0.334 g")
    assert misfit("(10 at 20 deg)", "10.0 N at 20.0 deg") < ROUNDING
    assert misfit("(10 at 21 deg)", "10.0 N at 20.0 deg") > ROUNDING
    assert misfit("2 <= 1", "pass") == math.inf
    with pytest.raises(ValueError, match="not arithmetic"):
        evaluate("x.real")


def test_a_hole_made_deeper_counts_what_it_takes_more() -> None:
    lines = working(_results("a hole made deeper"), "hole 1")
    metal = next(line for line in lines if line.symbol == "m")
    assert metal.formula == "rho / 1000 x A x (depth - depth before)"
    assert metal.numbers.endswith(" - 7)")


def test_the_page_is_self_contained_and_escaped() -> None:
    text = shipped("flat-four", job='"Flat-four for -> "<b>Flat & four</b> for')
    page = working_page(Results(read_text(text.replace('"right"', '"<right>"'))))
    assert "<b>" not in page
    assert "<right>" not in page
    assert "&lt;b&gt;Flat &amp; four&lt;/b&gt;" in page
    assert not re.search(r"<script|<img|<link|https?://|url\(|@import", page)
    assert 'name="viewport"' in page
    assert "everything in this job is invented" in page
    for topic in ("match", "bobweight", "shake", "spin", "correct"):
        assert page.count(f'id="{topic}"') == 1
