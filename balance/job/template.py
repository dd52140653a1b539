"""A commented job file to begin with: everything to fill in has a question mark or is empty."""

from balance.errors import InputError

__all__ = ["starter"]

_HEAD = """\
# heavyspot job file, format 1. Text after # is for people; write what you measure, with its unit.
# Where a value is "?" it must be filled in. A list in [ ] takes repeated weighings.
format = 1

[job]
name = "{name}"
customer = ""
engine = ""
balancer = ""

[engine]
layout = "{layout}"
stroke = "?"                # twice the crank radius, e.g. "84 mm" or "3.48 in"
rod_length = "?"            # centre to centre
bore_spacing = "?"          # along the crank from one throw to the next
first_throw_z = "0 mm"      # place of throw 1 from the datum of the crank, towards the flywheel
{options}
[scale]
resolution = "0.1 g"        # one division of the display
# repeatability = "0.05 g"  # standard deviation of repeats; pooled from repeats when left out

[targets]
match_tolerance = "0.5 g"   # lightest to heaviest set of piston + pin + small end
big_end_tolerance = "0.5 g"
# service_speed = "7000 rpm"
# grade = "G 6.3"           # or, in each bearing plane: per_bearing = "0.25 oz in"

[bobweights]
factor = 0.5                # share of the reciprocating mass; 0.5 leaves the smallest worst shake
oil = "0 g"                 # allowance per pin; a convention of the shop, not a measurement

# --- the parts ------------------------------------------------------------------------------

[parts]
ring_set = "0 g"            # the rings of one piston
locks = "0 g"               # both locks of one piston, weighed as a pair
bearing_shells = "0 g"      # both shells of one rod
# What the makers allow to be taken off; left out means no limit is known. Never from ring lands,
# crown underside, pin bore walls, rod beam or bolts.
# piston_can_lose = "4 g"
# small_end_can_lose = "3 g"
# big_end_can_lose = "6 g"
"""

_TAIL = """
# --- the crank: take the # away once it is measured -------------------------------------------

# [crank]
# mass = "13 kg"
# datum = "centre of main bearing 1; z grows towards the flywheel"
# bearings = ["0 mm", "400 mm"]     # where the limits hold: first and last main bearing
# density = "7.85 g/cm3"            # steel; ductile iron 7.15
# edge = "3 mm"                     # metal that must stay beside a hole
# min_web = "4 mm"                  # metal that must stay between two holes
#
# [[crank.counterweights]]          # one table for each that may be drilled from its rim
# mark = "W1"
# z = "30 mm"
# centre = "180 deg"                # 0 is crankpin 1; counter-clockwise seen from the flywheel
# half_span = "55 deg"
# radius = "76 mm"
# width = "18 mm"
# max_depth = "25 mm"

# --- the machine: how does it count? Prove it with a known mass at a known place ----------------

# [machine]
# planes = [
#   { name = "left", z = "30 mm" },     # radius = "76 mm" too, if it shows grams
#   { name = "right", z = "370 mm" },
# ]
# unit = "g mm"
# counts = "clockwise"              # which way its numbers grow ...
# seen_from = "nose"                # ... for someone looking at this end
# zero = "0 deg"                    # where its 0 lies on the crank, 0 being crankpin 1
# points_to = "heavy"               # or light, remove, add
# proven = 2026-01-31               # when a known mass last proved it

# [drills]
# sizes = ["8 mm", "10 mm", "1/2 in"]

# --- parts that are bolted on -------------------------------------------------------------------

# [[bolted]]
# name = "flywheel"
# mass = "7 kg"
# z = "440 mm"
# hole_radius = "120 mm"            # circle on which it may be drilled along the crank
# max_depth = "10 mm"
# hole_spacing = "15 mm"
# mark = "punch dot against the dowel"

# --- what the machine showed: one table a spin, new ones at the end -----------------------------

# [[spins]]
# name = "crank alone"
# on = ["crank"]
# bobweights = ["1800 g"]           # as made up; left out where the engine needs none
# readings = [
#   { plane = "left", amount = "412 g mm", angle = "137 deg" },
#   { plane = "right", amount = "265 g mm", angle = "301 deg" },
# ]
"""


def starter(layout: str, *, cylinders: int, name: str) -> str:
    """Return the text of a new job file for an engine layout.

    Parameters
    ----------
    layout : str
        Name of the layout, as `balance.engine.layouts.layout` knows it.
    cylinders : int
        How many sets of parts to make room for.
    name : str
        What the job is called.

    Raises
    ------
    InputError
        When the name has a quote, a backslash or a control character, or there is no cylinder.

    Examples
    --------
    >>> print(starter("inline-4", cylinders=4, name="My four").splitlines()[5])
    name = "My four"
    """
    if cylinders < 1:
        raise InputError(f"cylinders must be at least 1, got {cylinders!r}")
    if any(letter in '"\\' or not letter.isprintable() for letter in name + layout):
        raise InputError(f"{name!r} must be plain text without quotes or backslashes")
    options = 'bank_angle = "?"           # between the banks\n' if layout.startswith("V") else ""
    head = _HEAD.format(name=name, layout=layout, options=options)
    return head + "\n" + _parts(cylinders) + _TAIL


def _parts(cylinders: int) -> str:
    lines: list[str] = []
    for kind, letter in (("pistons", "P"), ("pins", "N")):
        for number in range(1, cylinders + 1):
            lines += [f"[[parts.{kind}]]", f'mark = "{letter}{number}"', "weight = []", ""]
    for number in range(1, cylinders + 1):
        lines += ["[[parts.rods]]", f'mark = "R{number}"']
        lines += ["total = []", "big_end = []", "small_end = []", ""]
    return "\n".join(lines)
