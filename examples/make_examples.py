"""Make the shipped examples: invented engines whose true unbalance is known here and hidden there.

Everything in the three job files is invented, in scenarios of our own. This program knows the true
masses and the true unbalance, adds the errors of a scale and of a machine, and writes down what the
shop would have read. It shares no code with the package, so that the package's answer can be held
against the truth: a test drills the planned holes into the hidden crank.

Run ``python examples/make_examples.py`` to write the job files again; they come out the same.
"""

from __future__ import annotations

import cmath
import math
import random
from dataclasses import dataclass, field
from pathlib import Path

HERE = Path(__file__).parent


def at(amount: float, degrees: float) -> complex:
    """Return a vector in the crank's frame: 0 at pin 1, counter-clockwise from the flywheel."""
    return cmath.rect(amount, math.radians(degrees))


@dataclass
class Truth:
    """What nobody in the shop can see: true unbalance [g mm, mm] per part of the stack."""

    unbalance: dict[str, list[tuple[complex, float]]]
    throws: list[tuple[float, float]] = field(default_factory=list)  # degrees, z [mm]
    crank_radius: float = 0.0


class Scale:
    """A scale with a division and a repeatability."""

    def __init__(self, seed: int, division: float, scatter: float) -> None:
        self.random, self.division, self.scatter = random.Random(seed), division, scatter

    def read(self, mass: float) -> float:
        """Return one displayed weighing."""
        shown = self.random.gauss(mass, self.scatter) / self.division
        return round(round(shown) * self.division, 6)

    def text(self, mass: float, repeats: int = 1) -> str:
        """Return one or more weighings as the job file writes them."""
        shown = [f'"{self.read(mass):.1f} g"' for _ in range(repeats)]
        return shown[0] if repeats == 1 else "[" + ", ".join(shown) + "]"


def in_planes(pieces: list[tuple[complex, float]], near: float, far: float) -> list[complex]:
    """Return the two vectors in the measuring planes with the same force and the same moment."""
    force = sum(u for u, _ in pieces)
    moment = sum(u * z for u, z in pieces)
    at_far = (moment - force * near) / (far - near)
    return [force - at_far, at_far]


class Display:
    """A machine's two errors and its own way of writing an angle."""

    def __init__(self, seed: int, share: float, degrees: float, least: float) -> None:
        self.random = random.Random(seed)
        self.share, self.degrees, self.least = share, degrees, least

    def disturbed(self, true: complex) -> complex:
        """Return a vector as the pick-ups see it."""
        gain = self.random.gauss(1.0, self.share)
        twist = at(1.0, self.random.gauss(0.0, self.degrees))
        floor = complex(self.random.gauss(0, self.least), self.random.gauss(0, self.least))
        return true * gain * twist + floor


def angle_of(vector: complex) -> float:
    """Return the angle of a vector in [0, 360) degrees."""
    return math.degrees(cmath.phase(vector)) % 360.0


def parts_text(
    scale: Scale,
    *,
    pistons: list[float],
    pins: list[float],
    big_ends: list[float],
    small_ends: list[float],
    repeats: int,
) -> str:
    """Return the tables of pistons, pins and rods as weighed."""
    lines: list[str] = []
    for kind, letter, masses in (("pistons", "P", pistons), ("pins", "N", pins)):
        for number, mass in enumerate(masses, 1):
            lines += [f"[[parts.{kind}]]", f'mark = "{letter}{number}"']
            lines += [f"weight = {scale.text(mass, repeats)}", ""]
    for number, (big, small) in enumerate(zip(big_ends, small_ends, strict=True), 1):
        lines += ["[[parts.rods]]", f'mark = "R{number}"']
        lines += [f"total = {scale.text(big + small)}", f"big_end = {scale.text(big)}"]
        lines += [f"small_end = {scale.text(small)}", ""]
    return "\n".join(lines)


def counterweights_text(rows: list[tuple[float, float, float]], *, shape: str) -> str:
    """Return the counterweights' tables; a row is z, angle of the centre line, half the sector."""
    lines: list[str] = []
    for number, (z, centre, half_span) in enumerate(rows, 1):
        lines += ["[[crank.counterweights]]", f'mark = "W{number}"']
        lines += [f'z = "{z:g} mm"', f'centre = "{centre:g} deg"']
        lines += [f'half_span = "{half_span:g} deg"', shape, ""]
    return "\n".join(lines)


def around(seed: int, middle: float, scatter: float, count: int) -> list[float]:
    """Return masses scattered round a middle."""
    chance = random.Random(seed)
    return [round(chance.gauss(middle, scatter), 3) for _ in range(count)]


# --- a flat-four for a hill-climb car --------------------------------------------------------


def flat_four() -> tuple[str, Truth]:
    """Return the job file and the truth of the flat-four."""
    z_of = {"nose": 30.0, "tail": 240.0}
    truth = Truth(
        {
            "crank": [(at(640, 318), 55.0), (at(510, 171), 205.0)],
            "flywheel": [(at(312, 64), 316.0)],
            "clutch cover": [(at(236, 207), 344.0)],
        }
    )
    scale = Scale(11, 0.1, 0.04)
    display = Display(12, 0.004, 0.3, 1.5)
    spins, turning = [], []
    for name, part in (
        ("crank alone", "crank"),
        ("with flywheel", "flywheel"),
        ("with flywheel and clutch cover", "clutch cover"),
    ):
        turning.append(part)
        pieces = [piece for on in turning for piece in truth.unbalance[on]]
        seen = [display.disturbed(u) for u in in_planes(pieces, *z_of.values())]
        # Clockwise seen from the nose is counter-clockwise seen from the flywheel; 0 is at 37.
        shown = [(abs(u), (angle_of(u) - 37.0) % 360) for u in seen]
        spins.append(spin_text(name, turning, shown, planes=["left", "right"], digits=0))
    parts = parts_text(
        scale,
        pistons=around(1, 388.0, 1.6, 4),
        pins=around(2, 104.0, 0.5, 4),
        big_ends=around(3, 402.0, 2.0, 4),
        small_ends=around(4, 158.0, 1.2, 4),
        repeats=2,
    )
    webs = [(48 + 58 * i + side, (180, 0, 0, 180)[i], 58) for i in range(4) for side in (-16, 16)]
    shape = 'radius = "78 mm"\nwidth = "16 mm"\nmax_depth = "22 mm"'
    text = FLAT_FOUR.format(
        parts=parts,
        counterweights=counterweights_text(webs, shape=shape),
        spins="\n".join(spins),
    )
    return text, truth


def spin_text(
    name: str,
    on: list[str],
    shown: list[tuple[float, float]],
    *,
    planes: list[str],
    digits: int,
    unit: str = "g mm",
    extra: str = "",
) -> str:
    """Return one spin as the job file writes it; ``shown`` goes from nose to flywheel."""
    stack = ", ".join(f'"{part}"' for part in on)
    lines = ["[[spins]]", f'name = "{name}"', f"on = [{stack}]", 'speed = "480 rpm"']
    lines += [extra] if extra else []
    lines.append("readings = [")
    for plane, (amount, degrees) in zip(planes, shown, strict=True):
        value = f'"{amount:.{digits}f} {unit}"'
        lines.append(f'  {{ plane = "{plane}", amount = {value}, angle = "{degrees:.0f} deg" }},')
    return "\n".join([*lines, "]", ""])


def proof_text(
    stuck: tuple[str, int] | None, shown: list[tuple[float, float]], planes: list[str]
) -> str:
    """Return a spin with a known mass of 30 g at 98 mm, or with none, as the job file writes it."""
    lines = ["[[proofs]]"]
    if stuck is not None:
        where = f'mass = "30 g", radius = "98 mm", angle = "{stuck[1]} deg"'
        lines.append(f'stuck = [{{ plane = "{stuck[0]}", {where} }}]')
    lines.append("readings = [")
    for plane, (amount, degrees) in zip(planes, shown, strict=True):
        value = f'"{amount:.2f} oz in"'
        lines.append(f'  {{ plane = "{plane}", amount = {value}, angle = "{degrees:.0f} deg" }},')
    return "\n".join([*lines, "]", ""])


FLAT_FOUR = """\
# heavyspot job file. Everything in it is invented: engine, masses and readings come from
# make_examples.py, which knows the true unbalance that the readings hide.
format = 1

[job]
name = "Flat-four for a hill-climb car"
customer = "nobody: invented for demonstration"
engine = "2.3 litre boxer four, 84 mm stroke"
date = 2026-03-14
balancer = "example"
invented = true

[engine]
layout = "flat-4"
stroke = "84 mm"
rod_length = "136 mm"
bore_spacing = "58 mm"        # from one throw to the next
first_throw_z = "48 mm"

[scale]
resolution = "0.1 g"

[targets]
match_tolerance = "0.5 g"     # piston + pin + small end, lightest to heaviest set
big_end_tolerance = "0.5 g"
service_speed = "7800 rpm"
grade = "G 6.3"

# --- the parts, as weighed ------------------------------------------------------------------

[parts]
ring_set = "34.6 g"
locks = "2.8 g"               # both locks of one piston, weighed as a pair
bearing_shells = "47.0 g"     # both shells of one rod
piston_can_lose = "4 g"       # from the balance pads, after the maker's sheet
small_end_can_lose = "3 g"
big_end_can_lose = "6 g"      # from the cap pad

{parts}
# --- the crank ------------------------------------------------------------------------------

[crank]
mass = "12.4 kg"
material = "forged steel"
density = "7.85 g/cm3"
datum = "centre of main bearing 1; z grows towards the flywheel"
bearings = ["0 mm", "270 mm"]
edge = "3.2 mm"               # metal that must stay between a hole and the side
min_web = "4 mm"              # metal that must stay between two holes

{counterweights}
[[bolted]]
name = "flywheel"
mass = "4.9 kg"
z = "316 mm"
hole_radius = "112 mm"
max_depth = "9 mm"
hole_spacing = "14 mm"
run_out = "0.010 mm"
mark = "punch dot against dowel 1"

[[bolted]]
name = "clutch cover"
mass = "3.8 kg"
z = "344 mm"
hole_radius = "121 mm"
max_depth = "5 mm"
hole_spacing = "14 mm"
density = "7.8 g/cm3"
run_out = "0.008 mm"
clearance = "0.004 mm"
mark = "paint stroke across cover and flywheel"
positions = 3                 # it can be bolted up in three ways

# --- the machine and what it showed ---------------------------------------------------------

[machine]
name = "bench machine"
planes = [
  {{ name = "left", z = "30 mm" }},
  {{ name = "right", z = "240 mm" }},
]
unit = "g mm"
counts = "clockwise"          # the numbers grow clockwise ...
seen_from = "nose"            # ... for someone looking at the nose
zero = "37 deg"               # its 0 lies 37 degrees after pin 1, in the crank's frame
points_to = "heavy"
nose = "left"
amount_error = 0.5            # percent
angle_error = "0.4 deg"
least = "2 g mm"
proven = 2026-03-02           # with a known mass at a known place

[drills]
sizes = ["6 mm", "8 mm", "9 mm"]
point = "118 deg"

{spins}"""


# --- a 90-degree V8 for a workboat -----------------------------------------------------------


def v8() -> tuple[str, Truth]:
    """Return the job file and the truth of the V8, whose crank is too light for its pistons."""
    z_of = {"nose": 40.0, "tail": 420.0}
    throws = [(0.0, 60.0), (90.0, 174.0), (270.0, 288.0), (180.0, 402.0)]
    radius, made_up = 46.0, 2184.0
    # With bobweights of 2183 g the crank is short of counterweight at both ends.
    short = [(at(3350, 8), 60.0), (at(3020, 187), 402.0), (at(410, 120), 231.0)]
    pins = [(at(2183.0 * radius, degrees), z) for degrees, z in throws]
    bare = [*short, *((-u, z) for u, z in pins)]
    truth = Truth({"crank": bare}, throws, radius)
    display = Display(22, 0.004, 0.3, 4.0)
    hung = [(at(made_up * radius, degrees), z) for degrees, z in throws]
    seen = [display.disturbed(u) for u in in_planes([*bare, *hung], *z_of.values())]
    # Clockwise seen from the flywheel, 0 at 300, pointing to the light side, grams at 80 mm.
    shown = [(abs(u) / 80.0, (300.0 - angle_of(-u)) % 360) for u in seen]
    scale = Scale(21, 0.1, 0.05)
    parts = parts_text(
        scale,
        pistons=around(5, 612.0, 2.2, 8),
        pins=around(6, 148.0, 0.8, 8),
        big_ends=around(7, 522.0, 2.5, 8),
        small_ends=around(8, 194.0, 1.5, 8),
        repeats=1,
    )
    webs = [(40, 180, 60), (80, 180, 60), (154, 270, 30), (308, 90, 30), (382, 0, 60), (422, 0, 60)]
    shape = 'radius = "84 mm"\nwidth = "24 mm"\nmax_depth = "30 mm"'
    text = V8.format(
        parts=parts,
        counterweights=counterweights_text(webs, shape=shape),
        spins=spin_text(
            "crank with bobweights",
            ["crank"],
            shown[::-1],  # the machine shows the flywheel end first
            planes=["A", "B"],
            digits=1,
            unit="g",
            extra=f'bobweights = ["{made_up:g} g"]   # as made up, the same on every pin',
        ),
    )
    return text, truth


V8 = """\
# heavyspot job file. Everything in it is invented: engine, masses and readings come from
# make_examples.py, which knows the true unbalance that the readings hide.
format = 1

[job]
name = "V8 for a workboat"
customer = "nobody: invented for demonstration"
engine = "5.9 litre 90-degree V8, cross-plane crank, heavier pistons than before"
date = 2026-04-21
balancer = "example"
invented = true

[engine]
layout = "V-8"
bank_angle = "90 deg"
crank = "cross"
numbering = "pairs"           # 1 and 2 share throw 1
stroke = "92 mm"
rod_length = "157 mm"
bore_spacing = "114 mm"
first_throw_z = "60 mm"

[scale]
resolution = "0.1 g"
repeatability = "0.05 g"

[targets]
match_tolerance = "0.5 g"
big_end_tolerance = "0.5 g"
service_speed = "4600 rpm"
per_bearing = "0.5 oz in"

[bobweights]
factor = 0.5
oil = "5 g"                   # per pin; a convention of the shop, not a measurement

# --- the parts, as weighed ------------------------------------------------------------------

[parts]
ring_set = "58.2 g"
locks = "3.4 g"
bearing_shells = "62.0 g"
piston_can_lose = "6 g"
small_end_can_lose = "3 g"
big_end_can_lose = "8 g"

{parts}
# --- the crank ------------------------------------------------------------------------------

[crank]
mass = "31 kg"
material = "cast steel"
target_bobweight = "2150 g"   # what the crank's maker sold it for
density = "7.80 g/cm3"
datum = "centre of main bearing 1; z grows towards the flywheel"
bearings = ["0 mm", "456 mm"]
edge = "3.2 mm"
min_web = "6 mm"

{counterweights}
# Heavy metal the shop can fit, lengthwise through a counterweight.
[[crank.slugs]]
diameter = "16 mm"
length = "24 mm"
density = "18.0 g/cm3"
wall = "5 mm"                 # metal left between the slug's bore and the rim

[[crank.slugs]]
diameter = "20 mm"
length = "24 mm"
density = "18.0 g/cm3"
wall = "5 mm"

# --- the machine and what it showed ---------------------------------------------------------

[machine]
name = "belt machine"
planes = [
  {{ name = "A", z = "420 mm", radius = "80 mm" }},   # shown first; the nose lies right
  {{ name = "B", z = "40 mm", radius = "80 mm" }},
]
unit = "g"                    # grams at the radius set for each plane
counts = "clockwise"
seen_from = "flywheel"
zero = "300 deg"
points_to = "light"
nose = "right"
amount_error = 0.5
angle_error = "0.4 deg"
least = "5 g mm"
proven = 2026-04-20

[drills]
sizes = ["10 mm", "12 mm", "1/2 in", "16 mm"]
point = "118 deg"

{spins}"""


# --- a 50-degree V-twin ----------------------------------------------------------------------


def v_twin() -> tuple[str, Truth]:
    """Return the job file and the truth of the V-twin with its built-up crank."""
    z_of = {"nose": 30.0, "tail": 74.0}
    throws = [(0.0, 52.0)]
    radius, made_up = 49.0, 1948.0
    pin = (at(1945.0 * radius, 0), 52.0)
    astray = [(at(1160, 205), 30.0), (at(930, 152), 74.0)]
    bare = [*astray, (-pin[0], pin[1])]
    truth = Truth({"crank": bare}, throws, radius)
    display = Display(32, 0.004, 0.3, 3.0)
    hung = [(at(made_up * radius, 0), 52.0)]
    planes = ["timing side", "drive side"]

    def show(extra: list[tuple[complex, float]]) -> list[tuple[float, float]]:
        """The machine turns against the engine and counts with its own rotation: clockwise seen
        from the flywheel, from 15 degrees; it points to where metal is to be added."""
        pieces = [*bare, *hung, *extra]
        seen = [display.disturbed(u) for u in in_planes(pieces, *z_of.values())]
        return [(abs(u) / 720.0778, (15.0 - angle_of(-u)) % 360) for u in seen]

    stuck = [("timing side", 30.0, 0), ("drive side", 74.0, 90)]
    proofs = [proof_text(None, show([]), planes)]
    for plane, z, degrees in stuck:
        proofs.append(proof_text((plane, degrees), show([(at(30 * 98, degrees), z)]), planes))
    scale = Scale(31, 0.1, 0.05)
    parts = parts_text(
        scale,
        pistons=around(9, 496.0, 1.4, 2),
        pins=around(10, 128.0, 0.5, 2),
        big_ends=around(13, 468.0, 1.5, 2),
        small_ends=around(14, 172.0, 0.9, 2),
        repeats=3,
    )
    shape = 'radius = "104 mm"\nwidth = "22 mm"\nmax_depth = "26 mm"'
    text = V_TWIN.format(
        parts=parts,
        counterweights=counterweights_text([(30, 180, 105), (74, 180, 105)], shape=shape),
        proofs="\n".join(proofs),
        spins=spin_text(
            "wheels with bobweight",
            ["crank"],
            show([]),
            planes=planes,
            digits=2,
            unit="oz in",
            extra=f'bobweights = "{made_up:g} g"',
        ),
    )
    return text, truth


V_TWIN = """\
# heavyspot job file. Everything in it is invented: engine, masses and readings come from
# make_examples.py, which knows the true unbalance that the readings hide.
format = 1

[job]
name = "50-degree V-twin for a vintage outfit"
customer = "nobody: invented for demonstration"
engine = "1.1 litre V-twin, built-up crank with two wheels"
date = 2026-05-09
balancer = "example"
invented = true

[engine]
layout = "V-2"
bank_angle = "50 deg"
stroke = "98 mm"
rod_length = "190 mm"
bore_spacing = "30 mm"
first_throw_z = "52 mm"

[scale]
resolution = "0.1 g"

[targets]
match_tolerance = "0.3 g"
service_speed = "5200 rpm"
grade = "G 16"

[bobweights]
factor = 0.6                  # what the owner asks for; heavyspot shake shows what it costs
oil = "2 g"
static_hung = "1900 g"        # on knife edges, rods off, this at the crankpin held it still

# --- the parts, as weighed ------------------------------------------------------------------

[parts]
ring_set = "41.5 g"
locks = "2.2 g"
bearing_shells = "0 g"        # roller big end: its half is in the big-end weighing
piston_can_lose = "5 g"
small_end_can_lose = "2 g"
big_end_can_lose = "3 g"

{parts}
# --- the crank ------------------------------------------------------------------------------

[crank]
mass = "13.8 kg"
material = "steel wheels"
datum = "timing-side bearing; z grows towards the drive side"
bearings = ["0 mm", "104 mm"]
edge = "4 mm"
min_web = "5 mm"

{counterweights}
# --- the machine and what it showed ---------------------------------------------------------

[machine]
name = "soft-bearing machine"
planes = [
  {{ name = "timing side", z = "30 mm" }},
  {{ name = "drive side", z = "74 mm" }},
]
unit = "oz in"
counts = "with"               # the numbers grow the way the machine turns the crank ...
turns = "against engine"      # ... which is against the engine
zero = "15 deg"
points_to = "add"
amount_error = 0.5
angle_error = "0.4 deg"
least = "4 g mm"

# Three spins that prove it: nothing stuck on, then a known mass at a known place in each plane.
{proofs}
[drills]
sizes = ["3/8 in", "1/2 in", "12 mm"]
point = "118 deg"

{spins}"""

EXAMPLES = {"flat-four": flat_four, "v8": v8, "v-twin": v_twin}


def main() -> None:
    """Write every job file beside this program."""
    for name, make in EXAMPLES.items():
        (HERE / f"{name}.toml").write_text(make()[0], encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
