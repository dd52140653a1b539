"""An invented crank on an invented machine, and an operator who makes one slip all the way through.

The machine is not declared: only the proof masses say how it counts. Whoever notes these half a
turn off, the other way round or in the other plane gets a machine that is proven and wrong, and a
plan that is sure of itself. What is physical here is written for this test alone: statics, the
dial of the machine, and drilled metal as a cylinder with its cone.
"""

import cmath
import math
import random
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache

import pytest

from balance.job.load import read_text
from balance.sheet.results import Results
from balance.spin.check_spin_steps import last_check
from balance.spin.proof_steps import machine_job

WEIGHTS = {"W1": (60.0, 180.0), "W2": (150.0, 40.0), "W3": (250.0, 320.0), "W4": (340.0, 180.0)}
RIM, BEARINGS, PLANES = 80.0, (0.0, 400.0), (40.0, 360.0)
Piece = tuple[complex, float]
Dial = tuple[tuple[float, float], tuple[float, float]]


def at(amount: float, degrees: float) -> complex:
    return cmath.rect(amount, math.radians(degrees))


def onto(pieces: list[Piece], planes: tuple[float, float]) -> tuple[complex, complex]:
    near, far = planes
    there = sum(u * (z - near) for u, z in pieces) / (far - near)
    return sum(u for u, _ in pieces) - there, there


@dataclass(frozen=True)
class Hidden:
    """The crank's true unbalance and the machine's true dial, with its errors."""

    crank: tuple[Piece, ...]
    zero: float
    sense: int
    light: bool
    scale: float = 1.0
    talk: float = 0.0
    percent: float = 0.0
    degrees: float = 0.0
    floor: float = 0.0

    def spin(self, stuck: list[Piece], luck: random.Random) -> Dial:
        """What the dials of the left and the right plane show: amount and angle."""
        left, right = onto([*self.crank, *stuck], PLANES)
        pair = (left + self.talk * right, right + self.talk * left)
        return tuple(self._dial(u * self.scale, luck) for u in pair)  # type: ignore[return-value]

    def _dial(self, u: complex, luck: random.Random) -> tuple[float, float]:
        u *= 1 + luck.gauss(0, self.percent / 100)
        u *= cmath.rect(1, math.radians(luck.gauss(0, self.degrees)))
        u += complex(luck.gauss(0, self.floor), luck.gauss(0, self.floor))
        shown = self.sense * (math.degrees(cmath.phase(u)) - self.zero) + 180 * self.light
        return abs(u), shown % 360


@dataclass(frozen=True)
class Notes:
    """How the operator writes down what he did: the proof's angles, and which plane is which."""

    angle: Callable[[float], float] = lambda a: a
    planes: tuple[str, str] = ("left", "right")

    def readings(self, dial: Dial) -> str:
        rows = [
            f'{{ plane = "{name}", amount = {u:.2f}, angle = {a:.2f} }}'
            for name, (u, a) in zip(self.planes, dial, strict=True)
        ]
        return f"readings = [{', '.join(rows)}]\n"


SLIPS = {
    "half a turn off": Notes(angle=lambda a: a + 180),
    "counted the other way": Notes(angle=lambda a: -a),
    "the two planes were exchanged": Notes(planes=("right", "left")),
    "+70 degrees round": Notes(angle=lambda a: a + 70),
}
HONEST = Notes()


def job_text(hidden: Hidden, notes: Notes, luck: random.Random, *, hand: float = 0.0) -> str:
    """The job as the operator writes it up to the first spin; ``hand`` scales his own errors."""
    weights = "".join(
        f'[[crank.counterweights]]\nmark = "{mark}"\nz = {z}\ncentre = {centre}\nhalf_span = 70\n'
        f"radius = {RIM}\nwidth = 24\nmax_depth = 25\n"
        for mark, (z, centre) in WEIGHTS.items()
    )
    proofs = f"[[proofs]]\n{notes.readings(hidden.spin([], luck))}"
    for k, (mass, angle) in enumerate(((12.0, 30.0), (12.0, 120.0))):
        true = at(
            (mass + luck.gauss(0, 0.1 * hand)) * (RIM + luck.gauss(0, hand)),
            angle + luck.gauss(0, hand),
        )
        stuck = (
            f'[{{ plane = "{notes.planes[k]}", mass = {mass}, radius = {RIM}, '
            f"angle = {(notes.angle(angle) + 180) % 360 - 180} }}]"
        )
        dial = hidden.spin([(true, PLANES[k])], luck)
        proofs += f"[[proofs]]\nstuck = {stuck}\n{notes.readings(dial)}"
    errors = f"amount_error = {hidden.percent or 0.5}\nangle_error = {hidden.degrees or 0.5}\n"
    return (
        'format = 1\n[job]\nname = "invented"\n[engine]\nlayout = "flat-4"\nstroke = 80\n'
        'rod_length = 140\nbore_spacing = 100\n[crank]\nmass = "14 kg"\n'
        f"bearings = [{BEARINGS[0]}, {BEARINGS[1]}]\n{weights}"
        f'[machine]\nplanes = [{{ name = "left", z = {PLANES[0]} }}, '
        f'{{ name = "right", z = {PLANES[1]} }}]\nunit = "g mm"\n{errors}'
        f"least = {hidden.floor or 2.0}\n{proofs}"
        "[drills]\nsizes = [8, 10, 12]\n[targets]\nper_bearing = 90\n"
        f'[[spins]]\non = ["crank"]\n{notes.readings(hidden.spin([], luck))}'
    )


def with_check(
    text: str,
    hidden: Hidden,
    notes: Notes,
    stuck: list[tuple[str, float, float]],
    luck: random.Random,
    *,
    hand: float = 0.0,
) -> str:
    """The job with a check spin: putty on counterweights, by mark, mass and angle."""
    pieces = []
    for mark, mass, angle in stuck:
        radius = RIM + hand * luck.uniform(0, 6)  # a lump stands proud of the rim
        true = at((mass + luck.gauss(0, 0.1 * hand)) * radius, angle + luck.gauss(0, 2 * hand))
        pieces.append((true, WEIGHTS[mark][0] + luck.gauss(0, 2 * hand)))
    said = ", ".join(f'{{ part = "{m}", mass = {g}, angle = {a} }}' for m, g, a in stuck)
    dial = hidden.spin(pieces, luck)
    return f"{text}[[spins]]\nstuck = [{said}]\n{notes.readings(dial)}"


def left_by(results: Results, hidden: Hidden) -> tuple[complex, complex]:
    """The true unbalance at the bearings once the planned holes are in the true crank."""
    correction = results.corrected.crank
    pieces = list(hidden.crank)
    for hole in correction.plan.holes:
        z, _ = WEIGHTS[correction.marks[hole.counterweight]]
        cone = hole.diameter_mm / 2 / math.tan(math.radians(59))
        area = 7.85e-3 * math.pi * hole.diameter_mm**2 / 4
        body, tip = area * hole.depth_mm, area * cone / 3
        moment = body * (RIM - hole.depth_mm / 2) + tip * (RIM - hole.depth_mm - cone / 4)
        pieces.append((-at(moment, hole.degrees), z))
    return onto(pieces, BEARINGS)


def heaviest(pieces: tuple[complex, complex]) -> float:
    return max(abs(u) for u in pieces)


CRANK = ((at(520, 150), 70.0), (at(430, 20), 330.0))
MACHINE = Hidden(CRANK, zero=37.0, sense=-1, light=True)


@cache
def trusting(notes: Notes) -> tuple[str, Results]:
    """The job before its check spin, and what it says."""
    text = job_text(MACHINE, notes, random.Random(1))
    return text, Results(read_text(text))


def planned_putty(results: Results) -> list[tuple[str, float, float]]:
    planned = results.check_spin.planned
    assert planned is not None
    return [(p.mark, p.mass_g, p.degrees) for p in planned.places]


def test_an_honest_operator_ends_inside_and_his_check_spin_agrees() -> None:
    text, results = trusting(HONEST)
    assert heaviest(left_by(results, MACHINE)) < 90
    assert results.check_spin.due
    assert not results.check_spin.contradiction
    putty = planned_putty(results)
    checked = Results(read_text(with_check(text, MACHINE, HONEST, putty, random.Random(2))))
    assert checked.check_spin.settled
    assert checked.spun.proven


@pytest.mark.parametrize("named", SLIPS)
def test_a_slip_made_all_the_way_through_is_confident_and_wrong_until_the_check_spin(
    named: str,
) -> None:
    notes = SLIPS[named]
    text, believed = trusting(notes)
    assert believed.spun.doubts == ()
    assert believed.spun.proven  # nothing in the numbers is odd
    assert believed.corrected.feasible
    assert believed.corrected.crank.verdict == "pass"
    assert heaviest(left_by(believed, MACHINE)) > 180  # twice the limit, and the metal is gone
    putty = planned_putty(believed)
    checked = Results(read_text(with_check(text, MACHINE, notes, putty, random.Random(2))))
    assert named in checked.check_spin.contradiction
    assert not checked.spun.proven


@pytest.mark.parametrize(
    ("counts", "points_to", "named"),
    [
        ("clockwise", "heavy", "half a turn off"),
        ("counter-clockwise", "light", "the machine's numbers run the other way round (counts)"),
    ],
)
def test_a_word_about_the_machine_that_nobody_proved_is_found_out_too(
    counts: str, points_to: str, named: str
) -> None:
    """Its numbers run clockwise seen from the flywheel, and it points to the light side."""
    text, _ = trusting(HONEST)
    start, end = text.index("[[proofs]]"), text.index("[drills]")
    said = (
        f'counts = "{counts}"\nseen_from = "flywheel"\nzero = {MACHINE.zero}\n'
        f'points_to = "{points_to}"\n'
    )
    text = text[:start] + said + text[end:]
    believed = Results(read_text(text))
    assert believed.check_spin.due
    assert heaviest(left_by(believed, MACHINE)) > 180
    putty = planned_putty(believed)
    checked = Results(read_text(with_check(text, MACHINE, HONEST, putty, random.Random(2))))
    assert named in checked.check_spin.contradiction


def random_hidden(luck: random.Random) -> Hidden:
    """A crank and a machine as a shop may have them; the errors are those that the job states."""
    crank = tuple((at(luck.uniform(50, 900), luck.uniform(0, 360)), z) for z in (70.0, 330.0))
    return Hidden(
        crank,
        zero=luck.uniform(0, 360),
        sense=luck.choice((-1, 1)),
        light=luck.random() < 0.5,
        scale=luck.uniform(0.9, 1.1),
        talk=luck.uniform(-0.05, 0.05),
        percent=1.0,
        degrees=0.5,
        floor=4.0,
    )


def random_check(luck: random.Random, notes: Notes) -> str:
    """The verdict, and what it says, on putty anywhere on the rims."""
    hidden = random_hidden(luck)
    text = job_text(hidden, notes, luck, hand=1.0)
    mark = luck.choice(sorted(WEIGHTS))
    angle = WEIGHTS[mark][1] + luck.uniform(-70, 70)
    putty = [(mark, luck.choice((10.0, 20.0)), round(angle) % 360)]
    job = read_text(with_check(text, hidden, notes, putty, luck, hand=1.0))
    recorded = last_check(job, machine_job(job))
    assert recorded is not None
    assert recorded.verdict is not None
    return recorded.verdict.verdict


def test_an_honest_operator_is_not_stopped() -> None:
    """200 random cranks, machines and lumps, with the noise that the job declares."""
    luck = random.Random(7)
    said = Counter(random_check(luck, HONEST) for _ in range(200))
    assert said["contradicts"] == 0
    # Half of the lumps are near the middle of the crank, many in line with crankpin 1: these are
    # no places that the plan would ask for, and it is said that they tell too little.
    assert said["agrees"] > 50


def test_half_a_turn_is_never_taken_for_right() -> None:
    luck = random.Random(8)
    said = Counter(random_check(luck, SLIPS["half a turn off"]) for _ in range(20))
    assert said == {"contradicts": 20}


def test_what_a_lump_cannot_tell_is_said() -> None:
    """In line with crankpin 1 the putty shows the same whichever way the angles were counted."""
    notes = SLIPS["counted the other way"]
    text, _ = trusting(notes)
    in_line = with_check(text, MACHINE, notes, [("W1", 20.0, 180.0)], random.Random(2))
    results = Results(read_text(in_line))
    assert results.check_spin.due
    assert results.check_spin.recorded is not None
    assert "cannot tell enough" in results.check_spin.recorded.message
    assert "the angles were counted the other way" in results.check_spin.recorded.message


def test_a_check_spin_is_never_a_state_of_the_rotor() -> None:
    luck = random.Random(3)
    text, one = trusting(HONEST)
    heavy = replace(MACHINE, crank=(*CRANK, (at(4000, 10), 200.0)))
    checked = with_check(text, heavy, HONEST, [("W1", 20.0, 150.0)], luck)
    other = Results(read_text(checked))
    assert other.spun.parts[0].unbalance.tolist() == one.spun.parts[0].unbalance.tolist()
    assert other.planned.crank.plan.holes == one.planned.crank.plan.holes
    assert len(other.history.steps) == len(one.history.steps) == 0
