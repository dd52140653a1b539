"""Exercises: their answers by formulas written out again here, and every slip recognised.

The numbers are read out of the question's text, as an apprentice would, and nothing of the package
computes the answer here. Sources of the formulas: each exercise names its own; inch and ounce from
the international yard and pound agreement of 1959.
"""

import cmath
import math
import re
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.sheet.exercise_form import ADVICE, Ask, Exercise
from balance.sheet.exercises import DIFFICULTIES, TOPICS, exercise, mark_answer
from balance.units import show

OZ, INCH, POUND_KG = 28.349523125, 25.4, 0.45359237
SEEDS = range(1, 13)


def numbers(text: str) -> list[float]:
    """The numbers of a text in their order; those inside names such as V0 do not count."""
    return [float(n) for n in re.findall(r"(?<![A-Za-z\d.])\d+(?:\.\d+)?", text)]


def polar(amount: float, degrees: float) -> complex:
    return cmath.rect(amount, math.radians(degrees))


def apart(v: complex) -> tuple[float, float]:
    return abs(v), math.degrees(cmath.phase(v)) % 360


def unbalance(question: str, level: int) -> tuple[float, ...]:
    mass, across = numbers(question)[:2]
    size = {1: 1.0, 2: 1.0, 3: OZ * INCH}[level]
    return (mass * across / 2 * size,)


def speed(question: str, level: int) -> tuple[float, ...]:
    if level == 3:
        ounce_inches, newton = numbers(question)
        return (math.sqrt(newton / (ounce_inches * OZ * INCH * 1e-6)) * 30 / math.pi,)
    rpm, times = numbers(question)
    return (rpm * times**0.5,)


def correction(question: str, level: int) -> tuple[float, ...]:
    n = numbers(question)
    if level < 3:
        amount, angle, length = n
        mass, place = apart(-polar(amount / (length if level == 1 else length / 2), angle))
        return mass, place
    m1, r1, a1, m2, r2, a2, across = n
    return apart(-(polar(m1 * r1, a1) + polar(m2 * r2, a2)) / (across / 2))


def planes(question: str, level: int) -> tuple[float, ...]:
    near, far, amount, angle, z = numbers(question)
    # Moments about plane B; of an arm that points the other way the share turns round.
    return apart(polar(amount, angle) * (far - z) / (far - near))


def rod(question: str, level: int) -> tuple[float, ...]:
    first, second, third = numbers(question)[:3]
    if level == 3:  # whole, big end, small end
        return (third + (first - second - third) / 3,)
    return (first * third / second,)


def match(question: str, level: int) -> tuple[float, ...]:
    listed = re.search(r"weigh (.*) g\. The", question)
    assert listed
    weights = [sum(numbers(each)) for each in listed[1].split(", ")]
    line = min(weights) + numbers(question.split("be ")[1])[0]
    return (sum(w - line for w in weights if w > line),)


def bobweight(question: str, level: int) -> tuple[float, ...]:
    rods = 2 if "two rods" in question else 1
    big, small, shells, piston, pin, rings, *oil, factor = numbers(question)
    return (rods * (big + shells + factor * (small + piston + pin + rings)) + sum(oil),)


def shake(question: str, level: int) -> tuple[float, ...]:
    if level == 1:
        mass, stroke = numbers(question)
        return (mass * stroke / 4,)
    if level == 2:
        mass, stroke, factor = numbers(question)
        return ((1 - factor) * mass * stroke / 2,)
    bank, mass, stroke, factor = numbers(question)
    return (mass * stroke / 2 * worst_shake(bank, factor),)


def worst_shake(bank: float, factor: float) -> float:
    """The largest force over a turn of the crank, cylinder by cylinder, by looking everywhere."""
    axes = [polar(1, -bank / 2), polar(1, bank / 2)]
    largest = 0.0
    for step in range(7200):
        pin = polar(1, step / 20)
        back = sum((pin * axis.conjugate()).real * axis for axis in axes)
        largest = max(largest, abs(back - factor * 2 * pin))
    return largest


def reading(question: str, level: int) -> tuple[float, ...]:
    shown, zero = numbers(question)[:2]
    with_us = ("counter-clockwise seen from the flywheel. Its" in question) or (
        "grow clockwise seen from the nose" in question
    )
    angle = zero + shown if with_us else zero - shown
    return ((angle + 180 * ("to the light" in question)) % 360,)


def putty(question: str, level: int) -> tuple[float, ...]:
    n = numbers(question)
    zero = n[0] if level == 3 else 0.0  # "a zero 60 deg after crankpin 1"
    n = n[2:] if level == 3 else n
    size, shown, mass, radius, place = n
    way = -1 if level == 3 else 1  # a reading is at zero + way x reading on the crank, and back
    must, angle = apart(polar(size, zero + way * shown) + polar(mass * radius, place))
    return must, (way * (angle - zero)) % 360


def trial(question: str, level: int) -> tuple[float, ...]:
    a0, d0, weight, at, a1, d1 = numbers(question)
    before, after, w = polar(a0, d0), polar(a1, d1), polar(weight, at)
    left = after if "stays on" in question else before
    return apart(-left * w / (after - before))


def hole(question: str, level: int) -> tuple[float, ...]:
    cone_of = 0.5 / math.tan(math.radians(59))
    if level == 1:
        d, depth, radius = numbers(question)[:3]
        mass = 0.00785 * math.pi * d**2 / 4 * (depth + d * cone_of / 3)
        return (mass * radius,)
    if level == 2:
        over, under, rim, deep = numbers(question.replace("/", " / "))[:4]
        return (from_the_rim(over / under * INCH, deep * INCH, rim * INCH),)
    d, want, rim = numbers(question)[:3]
    low, high = 0.0, rim
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if from_the_rim(d, middle, rim) < want else (low, middle)
    return (low,)


def from_the_rim(d: float, depth: float, rim: float) -> float:
    """Moment of a hole by adding thin slices of the drill across its diameter."""
    a, cone, steps = d / 2, d / 2 / math.tan(math.radians(59)), 400
    total = 0.0
    for step in range(steps):  # slice at x from the drill's axis: from the curved rim to the cone
        x = a * math.cos((step + 0.5) * math.pi / steps)
        width = math.pi / steps * math.sqrt(a**2 - x**2)  # dx of the cosine rule
        half = math.sqrt(a**2 - x**2)
        for row in range(20):
            y = half * ((row + 0.5) / 10 - 1)
            top = math.sqrt(rim**2 - x**2)  # the rim is curved across the crank, flat along it
            bottom = rim - depth - cone * (1 - math.hypot(x, y) / a)
            total += width * (half / 10) * (top**2 - bottom**2) / 2
    return total * 0.00785


def tolerance(question: str, level: int) -> tuple[float, ...]:
    mass, rpm, grade, *places = numbers(question)
    kg = mass * POUND_KG if " lb " in question else mass
    whole = grade * kg * 1000 / (rpm * math.pi / 30)
    if level == 1:
        return (whole,)
    if level == 2:
        return (whole / 2 / (OZ * INCH),)
    span, from_a = places
    return (whole * (span - from_a) / span,)


def doubt(question: str, level: int) -> tuple[float, ...]:
    limit, *rest = numbers(question)
    parts = [rest[0], rest[1] if level > 1 else 0.0]
    if level > 2:
        parts.append(2 * math.sin(math.radians(rest[2] / 2)) * rest[3])
    return (limit - 1.65 * math.sqrt(sum(part**2 for part in parts)),)


BY_HAND: dict[str, Callable[[str, int], tuple[float, ...]]] = {
    "unbalance": unbalance, "speed": speed, "correction": correction, "planes": planes, "rod": rod,
    "match": match, "bobweight": bobweight, "shake": shake, "reading": reading, "putty": putty,
    "trial": trial, "hole": hole, "tolerance": tolerance, "doubt": doubt,
}  # fmt: skip


def said(asks: tuple[Ask, ...], values: tuple[float, ...]) -> str:
    """Values in inside units as an answer with its units."""
    pairs = zip(asks, values, strict=True)
    return " at ".join(show(value, ask.kind, ask.unit, decimals=6) for ask, value in pairs)


def every_exercise(topic: str) -> list[Exercise]:
    return [exercise(topic, difficulty=d, seed=s) for d in DIFFICULTIES for s in SEEDS]


def test_every_topic_is_worked_here_by_hand() -> None:
    assert list(BY_HAND) == list(TOPICS)


@pytest.mark.parametrize("topic", TOPICS)
def test_the_answer_by_hand_is_marked_right(topic: str) -> None:
    seeds = range(1, 5) if topic in ("hole", "shake") else SEEDS  # slow by brute force
    for level in DIFFICULTIES:
        for seed in seeds:
            one = exercise(topic, difficulty=level, seed=seed)
            mine = BY_HAND[topic](one.question, level)
            text = " at ".join(
                f"{value:.6f} {ask.unit}" for value, ask in zip(mine, one.asks, strict=True)
            )
            assert mark_answer(one, text).right, (one.question, text, one.answer)
            # A fifth of the tolerance: the true values must agree, not just pass.
            for value, ask in zip(mine, one.asks, strict=True):
                size = ask.value / float(show(ask.value, ask.kind, ask.unit, decimals=9).split()[0])
                off = abs(value * size - ask.value)
                assert min(off, 360 - off if ask.kind == "angle" else off) <= ask.tolerance / 5


@pytest.mark.parametrize("topic", TOPICS)
def test_the_answer_as_printed_is_right(topic: str) -> None:
    for one in every_exercise(topic):
        assert mark_answer(one, one.answer).right, one


@pytest.mark.parametrize("topic", TOPICS)
def test_every_slip_is_recognised_and_explained(topic: str) -> None:
    for one in every_exercise(topic):
        assert one.slips
        for slip in one.slips:
            marked = mark_answer(one, said(one.asks, slip.values))
            assert (marked.right, marked.slip, marked.says) == (False, slip.name, ADVICE[slip.name])


def test_the_usual_slips_of_the_trade_all_occur() -> None:
    found = {slip.name for topic in TOPICS for one in every_exercise(topic) for slip in one.slips}
    assert found | {"right number, wrong unit", "oz-in for oz"} == set(ADVICE)
    assert found >= {
        "180 degrees off", "radius for diameter", "oz for oz-in", "forgot the point",
        "counted against", "static only", "end weights swapped",
    }  # fmt: skip


def test_slips_are_the_mistakes_that_they_are_named_after() -> None:
    """Worked by hand for one exercise of each usual slip, from the question's own numbers."""
    one = exercise("correction", difficulty=2, seed=7)
    amount, angle, across = numbers(one.question)
    mass, there = amount / (across / 2), (angle + 180) % 360
    wrong = {
        "180 degrees off": (mass, angle),
        "counted against": (mass, -there),
        "radius for diameter": (amount / across, there),
        "oz for oz-in": (amount, there),
    }
    for name, (ounces, degrees) in wrong.items():
        assert mark_answer(one, f"{ounces:.4f} oz at {degrees % 360:.1f} deg").slip == name
    two = exercise("planes", difficulty=3, seed=7)
    near, far, amount, angle, z = numbers(two.question)
    assert mark_answer(two, f"{amount} g mm at {angle} deg").slip == "static only"
    share = amount * (z - near) / (far - near)
    assert mark_answer(two, f"{share} g mm at {angle} deg").slip == "end weights swapped"
    three = exercise("hole", difficulty=1, seed=7)
    d, depth, radius = numbers(three.question)[:3]
    flat = 0.00785 * math.pi * d**2 / 4 * depth * radius
    assert mark_answer(three, f"{flat} g mm").slip == "forgot the point"
    four = exercise("rod", difficulty=1, seed=7)
    mass, long, balance_at = numbers(four.question)[:3]
    assert mark_answer(four, f"{mass * (1 - balance_at / long)} g").slip == "end weights swapped"


def test_what_putty_does_is_added() -> None:
    """Two arrows at right angles, by Pythagoras; who takes the putty off points to the far side."""
    one = exercise("putty", difficulty=1, seed=7)
    size, at, mass, radius, place = numbers(one.question)
    assert abs((place - at) % 180) == 90
    must, turned = math.hypot(size, mass * radius), math.degrees(math.atan2(mass * radius, size))
    way = 1 if (place - at) % 360 == 90 else -1
    assert mark_answer(one, f"{must} g mm at {(at + way * turned) % 360} deg").right
    assert mark_answer(one, f"{must} g mm at {(at - way * turned) % 360} deg").slip == (
        "putty taken off"
    )
    assert mark_answer(one, f"{mass * radius} g mm at {place} deg").slip == "putty alone"


def test_the_working_skips_no_step() -> None:
    """What an apprentice stumbled over: arrows added, a turn too far, the numbers of the hole."""
    lumps = exercise("correction", difficulty=3, seed=5).working
    assert lumps[2] == (
        "along 0: 1560 x cos(80) + 420 x cos(90) = 271; "
        "along 90: 1560 x sin(80) + 420 x sin(90) = 1956"
    )
    assert (
        "75 - 215 = -140, which is 220 deg" in exercise("reading", difficulty=2, seed=5).working[1]
    )
    trial_working = exercise("trial", difficulty=1, seed=5).working
    assert trial_working[4] == "mass = 15 g x 3.6 / 4.31 = 12.52 g"
    assert trial_working[5].startswith("angle = 0 + 175 + 180 - 44.9 = 310.1 deg")
    rim = exercise("hole", difficulty=2, seed=5).working
    assert rim[3] == "U = 0.00785 x 71.3 x (12.7 x 67.31 + 0.954 x 60.24) = 510 g mm"
    assert exercise("hole", difficulty=1, seed=3).question.startswith("A 13 mm drill")
    assert "1000 x 60 / (2 pi)" in exercise("tolerance", difficulty=1, seed=5).working[0]
    assert "14.06 kg" in exercise("tolerance", difficulty=2, seed=5).working[1]
    assert exercise("doubt", difficulty=3, seed=5).working[0].endswith("x 70 = 4.9")


def test_ounces_alone_are_no_unbalance() -> None:
    one = exercise("unbalance", difficulty=2, seed=2)
    number = one.answer.split()[0]
    marked = mark_answer(one, f"{number} oz")
    assert (marked.right, marked.slip) == (False, "oz for oz-in")
    with pytest.raises(InputError, match="is a mass, not an unbalance"):
        mark_answer(one, "77 oz")  # a mass that is not even the number: no answer at all


def test_the_right_number_with_the_wrong_unit() -> None:
    one = exercise("tolerance", difficulty=1, seed=2)
    marked = mark_answer(one, f"{one.asks[0].value:.3f} g cm")
    assert (marked.right, marked.slip) == (False, "right number, wrong unit")
    assert marked.says.endswith(f"{one.asks[0].value:.3f} g mm would fit.")
    marked = mark_answer(one, f"{one.asks[0].value / 1000:.4f} g mm")  # a point for a thousand
    assert marked.says.endswith(" kg mm would fit.")


def test_an_unbalance_is_no_mass() -> None:
    one = exercise("correction", difficulty=2, seed=7)
    mass, angle = one.answer.split(" at ")
    marked = mark_answer(one, f"{mass} in at {angle}")
    assert (marked.right, marked.slip) == (False, "oz-in for oz")
    assert "divide the unbalance by the radius" in marked.says
    with pytest.raises(InputError, match="'99 oz in' is an unbalance, mass times radius; a mass"):
        mark_answer(one, "99 oz in at 20 deg")


def test_amount_and_angle_come_in_either_order() -> None:
    one = exercise("correction", difficulty=2, seed=7)
    mass, angle = one.answer.split(" at ")
    texts = (f"{mass}, {angle}", f"{angle} {mass}", f"{angle}; {mass}", f"{mass} {angle}",
             f"{mass} @ {angle}", f"{mass} at {angle.replace(' deg', '°')}")  # fmt: skip
    assert all(mark_answer(one, text).right for text in texts)


def test_speed_in_rpm_hz_or_radians() -> None:
    """1 Hz is 60 rpm; one turn is 2 pi radians."""
    one = exercise("speed", seed=4)
    rpm = one.asks[0].value
    for text in (f"{rpm / 60:.4f} Hz", f"{rpm * math.pi / 30:.4f} rad/s", f"{rpm:.2f} U/min"):
        assert mark_answer(one, text).right
    assert "speed in rpm, Hz or rad/s" in one.asks[0].said


def test_a_blank_may_part_thousands() -> None:
    one = next(
        one for seed in SEEDS for one in (exercise("unbalance", seed=seed),)
        if one.asks[0].value > 1000
    )  # fmt: skip
    whole = f"{one.asks[0].value:.0f}"
    assert mark_answer(one, f"{whole[:-3]} {whole[-3:]} g mm").right


def test_the_sign_slip_of_a_reading_is_known() -> None:
    one = next(
        one for seed in SEEDS for one in (exercise("reading", difficulty=2, seed=seed),)
        if "other way round" in {slip.name for slip in one.slips}
    )  # fmt: skip
    shown, zero = numbers(one.question)[:2]
    assert mark_answer(one, f"{shown - zero:g} deg").slip == "other way round"


@pytest.mark.parametrize("topic", ["correction", "planes", "trial", "reading"])
def test_angles_say_from_where_and_in_which_sense(topic: str) -> None:
    for one in every_exercise(topic):
        assert "0 " in one.asks[-1].frame
        assert one.asks[-1].frame in one.asks[-1].said


def test_any_unit_of_the_kind_will_do() -> None:
    one = exercise("unbalance", difficulty=1, seed=2)
    assert mark_answer(one, f"{one.asks[0].value / (OZ * INCH):.5f} oz-in").right
    assert mark_answer(one, f"{one.asks[0].value / 76:.4f} g at 76 mm").right


def test_half_right_says_which_half() -> None:
    one = exercise("trial", difficulty=2, seed=2)
    mass, angle = (ask.value for ask in one.asks)
    marked = mark_answer(one, f"{mass:.4f} g at {angle + 50:.1f} deg")
    assert (marked.slip, marked.says) == ("", "Your mass is right, your angle is not.")
    marked = mark_answer(one, f"{1.3 * mass:.4f} g at {angle:.1f} deg")
    assert marked.says == "Your angle is right, your mass is not."


def test_angles_go_round() -> None:
    one = exercise("reading", difficulty=1, seed=3)
    assert mark_answer(one, f"{one.asks[0].value + 359:g} deg").right
    assert mark_answer(one, f"{one.asks[0].value - 360:g}").right, "an angle needs no unit"


@pytest.mark.parametrize(
    ("topic", "text", "message"),
    [
        ("rod", "150", "'150' has no unit: write 150 g"),
        ("rod", "", "is not a mass"),
        ("rod", "150 mm", "is not a mass"),
        ("correction", "12 g", "lacks the angle: write mass and angle, as in 12 g at 215 deg"),
        ("correction", "215 deg", "lacks the mass: write mass and angle"),
        ("correction", "12 at 215 deg", "'12' has no unit"),
        ("unbalance", "12 g at 76", "gives a radius without its unit"),
    ],
)
def test_what_is_no_answer_is_asked_again(topic: str, text: str, message: str) -> None:
    with pytest.raises(InputError, match=message):
        mark_answer(exercise(topic), text)


def test_wrong_topics_and_difficulties_are_named() -> None:
    with pytest.raises(InputError, match=r"topic must be one of unbalance, .* got 'rods'"):
        exercise("rods")
    with pytest.raises(InputError, match="difficulty must be 1, 2 or 3, got 4"):
        exercise("rod", difficulty=4)


@settings(max_examples=40)
@given(
    topic=st.sampled_from(list(TOPICS)),
    level=st.sampled_from(DIFFICULTIES),
    seed=st.integers(0, 10**6),
)
def test_the_same_seed_gives_the_same_exercise(topic: str, level: int, seed: int) -> None:
    one = exercise(topic, difficulty=level, seed=seed)
    assert one == exercise(topic, difficulty=level, seed=seed)
    assert mark_answer(one, one.answer).right
    assert one.working
    assert one.source


def test_seeds_differ() -> None:
    assert len({exercise("bobweight", seed=seed).question for seed in range(50)}) > 45
