"""A small whole job to break in tests (invented)."""

import pytest

SMALL = """\
format = 1
[job]
name = "small"
[units]
length = "mm"
[engine]
layout = "inline-2"
stroke = "80 mm"
rod_length = "130 mm"
bore_spacing = "90 mm"
[parts]
[[parts.pistons]]
mark = "P1"
weight = ["420.3 g", "420.4 g"]
[[parts.pistons]]
mark = "P2"
weight = 421.0
[crank]
mass = "10 kg"
bearings = [0, "200 mm"]
[[crank.counterweights]]
mark = "W1"
z = 20
centre = "180 deg"
half_span = 60
radius = "70 mm"
width = 20
max_depth = 25
[machine]
planes = [{ name = "L", z = 20 }, { name = "R", z = 180 }]
unit = "g mm"
counts = "clockwise"
seen_from = "nose"
zero = 0
points_to = "heavy"
[targets]
grade = "G 6.3"
service_speed = "6000 rpm"
[[spins]]
on = ["crank"]
readings = [
  { plane = "L", amount = 100, angle = 10 },
  { plane = "R", amount = "0.2 oz in", angle = "20 deg" },
]
"""


@pytest.fixture
def small() -> str:
    return SMALL
