"""What a new job file says, section by section.

Lines with one ``#`` are keys to take into use, lines with ``##`` are for people.
"""

HEAD = """\
## heavyspot job file, format 1. Write what you measure, with its unit: "84 mm", "3.48 in".
## Where a value is "?" fill it in once it is measured. A list in [ ] takes repeated weighings.
## Parts can be weighed and matched first: [scale], [targets] and [parts] are all that needs.
## A line with one # waits: take the # away to use it. Its value is invented: write your own.
## Lines with two # are for people.
format = 1

[job]
name = "{name}"
customer = ""
engine = ""
balancer = ""
# date = 2026-01-31
# note = "what the owner asked for"
# invented = false            # true for demonstration data: every paper then says so

## --- units of numbers without one --------------------------------------------------------------

# [units]
# mass = "g"
# length = "mm"
# unbalance = "g mm"
# speed = "rpm"
# density = "g/cm3"

## --- the engine --------------------------------------------------------------------------------

[engine]
layout = "{layout}"
stroke = "?"                # twice the crank radius
rod_length = "?"            # centre to centre
bore_spacing = "?"          # along the crank from one throw to the next
first_throw_z = "0 mm"      # place of throw 1 from the datum of the crank, towards the flywheel
# pin_offset = "0 mm"         # of the piston pin, to where the crankpin is 90 deg past the bank
# cylinder_names = [{names}]  # as they are to be stamped
{options}"""

BY_HAND = """\
## No layout fits? Take the layout's line out and write every throw and cylinder. Angles count
## counter-clockwise seen from the flywheel: throws from crankpin 1, banks in the fixed engine.
## [[engine.throws]]
## angle = "0 deg"
## z = "0 mm"
## [[engine.cylinders]]
## name = "1"
## throw = 1                  # counted from 1
## bank = "0 deg"
## z = "0 mm"
"""

WANTED = """
## --- scale, limits, bobweights -----------------------------------------------------------------

[scale]
resolution = "0.1 g"        # one division of the display
# repeatability = "0.05 g"    # standard deviation of repeats; pooled from repeats when left out

[targets]
match_tolerance = "0.5 g"   # lightest to heaviest set of piston + pin + small end
big_end_tolerance = "0.5 g"
# service_speed = "7000 rpm"
# grade = "G 6.3"             # balance quality grade; in its place, in each bearing plane:
## per_bearing = "0.25 oz in"
# chance = 0.95               # wanted chance that a drilled plan ends inside the limit

[bobweights]
factor = 0.5                # share of the reciprocating mass; 0.5 leaves the smallest worst shake
oil = "0 g"                 # allowance per pin; a convention of the shop, not a measurement
## How well a bobweight is made up and hung (standard uncertainties):
# mass_error = "0.1 g"
# off_centre_error = "0.01 mm"
# along_error = "0.05 mm"
## An old crank on knife edges, rods off: the mass that held it still, and at which radius.
# static_hung = "1900 g"
# static_radius = "49 mm"     # left out: the crankpin's
"""

PARTS = """
## --- the parts ---------------------------------------------------------------------------------

[parts]
## What hangs on every piston or rod; heavyspot weigh FILE rings (or locks, shells) 38.2 38.3
## keeps readings of them, which then count in place of these.
ring_set = "0 g"            # the rings of one piston
locks = "0 g"               # both locks of one piston, weighed as a pair
bearing_shells = "0 g"      # both shells of one rod
## What the makers allow to be taken off; left out means no limit is known. Never from ring lands,
## crown underside, pin bore walls, rod beam or bolts (common practice, no source).
# piston_can_lose = "4 g"
# small_end_can_lose = "3 g"
# big_end_can_lose = "6 g"

"""

CRANK = """
## --- the crank: once it is measured ------------------------------------------------------------

# [crank]
# mass = "13 kg"
# datum = "centre of main bearing 1; z grows towards the flywheel"
# bearings = ["0 mm", "400 mm"]   # where the limits hold: first and last main bearing
# centre_of_mass = "205 mm"       # z; it shares the limit between the bearings
# material = "steel"              # what it is made of ...
# density = "7.85 g/cm3"          # ... ductile iron 7.15
# hardened = false                # nitrided, induction or case hardened: ask its maker first
# target_bobweight = "1850 g"     # of a bought crank: the bobweight that its maker names
# edge = "3 mm"                   # metal that must stay beside a hole
# min_web = "4 mm"                # metal that must stay between two holes
# min_depth = "5 mm"              # no hole shallower than this
# depth_step = "0.5 mm"           # what the drill press can be set to
# angle_step = "1 deg"            # what can be marked
#
## One table for each counterweight that may be drilled from its rim, with the holes it has.
# [[crank.counterweights]]
# mark = "W1"
# z = "30 mm"
# centre = "180 deg"              # 0 is crankpin 1; counter-clockwise seen from the flywheel
# half_span = "55 deg"            # each side, for the MIDDLE of a hole: the metal reaches on
# radius = "76 mm"
# width = "18 mm"
# max_depth = "25 mm"
# holes = [{ angle = "160 deg", diameter = "12 mm", depth = "15 mm" }]
#
## Heavy metal that the shop can fit: lengthwise, "wall" below the rim, or at the bottom of a
## radial bore.
# [[crank.slugs]]
# diameter = "25 mm"
# length = "18 mm"
# density = "18 g/cm3"
# wall = "4 mm"
#
# [[crank.slugs]]
# diameter = "20 mm"
# length = "15 mm"
# bore_depth = "22 mm"
"""

MACHINE = """
## --- the machine: how does it count? -----------------------------------------------------------

# [machine]
# name = "the shop's machine"
# planes = [
#   { name = "left", z = "30 mm", radius = "76 mm" },     # radius: needed when it shows g or oz
#   { name = "right", z = "370 mm", radius = "76 mm" },
# ]
# unit = "g mm"
# counts = "clockwise"            # which way its numbers grow (or "with" or "against" its turn) ...
# seen_from = "nose"              # ... for someone looking at this end
# zero = "0 deg"                  # where its 0 lies on the crank, 0 being crankpin 1
# points_to = "heavy"             # or light, remove, add
# nose = "left"                   # the crank's nose, seen by the operator
# turns = "with engine"           # how the machine turns the crank
# engine_turns = "counter-clockwise"  # seen from the flywheel
# amount_error = 1.0              # standard uncertainty of an amount, in percent
# angle_error = "0.5 deg"
# least = "5 g mm"                # standard uncertainty of a reading near zero
# proven = 2026-01-31             # when a known mass last proved it

## --- prove it: three spins, the same crank, before anything is drilled -------------------------
## One with nothing stuck on, then a known mass in each plane, a quarter turn apart. Fix the mass
## mechanically; tape only for a few grams at low speed behind a guard. Guard closed, nobody in the
## plane of rotation, machine locked out before you touch the crank, eye protection (common
## practice, no source). Then: heavyspot prove.

# [[proofs]]
# readings = [
#   { plane = "left", amount = "412 g mm", angle = "137 deg" },
#   { plane = "right", amount = "265 g mm", angle = "301 deg" },
# ]
#
# [[proofs]]
# stuck = [{ plane = "left", mass = "10 g", radius = "76 mm", angle = "0 deg" }]
# readings = [
#   { plane = "left", amount = "538 g mm", angle = "31.5 deg" },
#   { plane = "right", amount = "265 g mm", angle = "301 deg" },
# ]
#
# [[proofs]]
# stuck = [{ plane = "right", mass = "10 g", radius = "76 mm", angle = "90 deg" }]
# readings = [
#   { plane = "left", amount = "412 g mm", angle = "137 deg" },
#   { plane = "right", amount = "550 g mm", angle = "75.6 deg" },
# ]
# time = 2026-01-31T10:15:00

## --- the drawer of drills ----------------------------------------------------------------------

# [drills]
# sizes = ["8 mm", "10 mm", "1/2 in"]
# point = "118 deg"
# depth_error = "0.1 mm"          # how well a depth is met (standard uncertainty)
# angle_error = "0.5 deg"         # how well a place is met
# oversize = "0.1 mm"             # the most that a hole comes out too wide
"""

TAIL = """
## --- parts that are bolted on: one table each, in the order in which they go on ------------------

# [[bolted]]
# name = "flywheel"
# mass = "7 kg"
# z = "440 mm"
# mark = "punch dot against the dowel"
# positions = 1                   # equal ways in which it can be bolted up
# run_out = "0.02 mm"             # of its register, total indicator reading
# clearance = "0.02 mm"           # of its register, on the diameter: what a refit may change
# limit = "150 g mm"              # left out: its share of the crank's
# hole_radius = "120 mm"          # circle on which it may be drilled along the crank; without it,
#                                 # max_depth and hole_spacing the part is left as it is
# max_depth = "10 mm"
# hole_spacing = "15 mm"
# keep_clear = [["80 deg", "100 deg"]]  # arcs that must not be drilled, from and to
# density = "7.15 g/cm3"          # ductile iron; steel 7.85

## --- weighed at the bench, new ones at the end (heavyspot weigh writes them) --------------------

# [[weighings]]
# part = "P1"
# value = "389.2 g"
# finished = true                 # weighed after cutting
# instrument = "bench scale"
# time = 2026-01-31T09:30:00
#
# [[weighings]]
# part = "R1"
# what = "big_end"                # total, big_end or small_end of a rod
# value = "467.9 g"
#
## Taken back, never erased: the latest of the same part (and of the same what and finished).
## [[weighings]]
## part = "P1"
## finished = true
## undo = true

## --- what the machine showed: one table a spin, new ones at the end (heavyspot spin --add) ------

# [[spins]]
# name = "crank alone"
# on = ["crank"]                  # the next with the flywheel: ["crank", "flywheel"]
# speed = "500 rpm"
# bobweights = ["1800 g"]         # as made up; left out where the engine needs none
## Weighed as they hung, pin by pin: bobweights = ["1800.2 g", "1799.6 g", "1800 g"]
# drilled = 0                     # how many [[drilled]] entries were in the metal
# readings = [
#   { plane = "left", amount = "412 g mm", angle = "137 deg" },
#   { plane = "right", amount = "265 g mm", angle = "301 deg" },
# ]
# time = 2026-01-31T11:00:00
#
## Taken back, never erased: the latest spin of the same stack.
## [[spins]]
## on = ["crank"]
## undo = true
#
## The check spin, before the first hole: the same crank with putty where holes are to go. It never
## counts as a spin of the crank; it shows whether the machine counts as this file says.
## [[spins]]
## stuck = [
##   { part = "W1", mass = "10 g", angle = "190 deg" },  # on its rim, or in a plane:
##   { plane = "right", mass = "10 g", radius = "76 mm", angle = "10 deg" },
## ]
## bobweights = ["1800 g"]
## readings = [
##   { plane = "left", amount = "405 g mm", angle = "33 deg" },
##   { plane = "right", amount = "550 g mm", angle = "75.6 deg" },
## ]

## --- what was drilled, new ones at the end (heavyspot drilled writes them) ----------------------

# [[drilled]]
# part = "W1"
# angle = "190 deg"
# diameter = "10 mm"
# depth = "14 mm"
# time = 2026-01-31T11:40:00
#
## Taken back, never erased: the latest hole of the same part (heavyspot drilled JOB W1 --undo).
## [[drilled]]
## part = "W1"
## undo = true
"""
