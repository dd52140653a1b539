"""Weigh, match and trim the parts."""

from balance._lazy import front_door

__getattr__, __all__ = front_door(
    "balance.parts",
    {
        "advice": ("Prices", "Replacement", "compare_ways", "worth_replacing"),
        "groups": (
            "KINDS",
            "PinGroup",
            "RodGroup",
            "RodItem",
            "pin_group",
            "rod_group",
            "rod_item",
        ),
        "lots": ("weigh_all",),
        "marks": ("Mark", "punch_list"),
        "matching": (
            "MatchedSet",
            "Partition",
            "SetCuts",
            "SetMatch",
            "Trim",
            "match_each",
            "match_sets",
            "partition",
        ),
        "oddities": ("MAKER_SPAN_G", "OddPart", "outside_span"),
        "pads": ("EndChange", "PadCuts", "end_change", "pad_cuts"),
        "pendulum": (
            "STANDARD_GRAVITY_M_S2",
            "TwoPoints",
            "equivalent_points",
            "inertia_from_swing",
            "inertia_from_wires",
        ),
        "places": ("ORDER_OF_WORK", "PLACES", "Cut", "CutPlace", "cut_place", "plan_cut"),
        "rig": ("RigErrors", "rig_errors"),
        "rods": ("RodEnds", "rod_ends", "rod_from_centre", "rod_from_one_end"),
        "suspects": ("WrongWeighing", "wrong_weighings"),
        "swing": ("RodSwing", "rod_from_swing"),
        "trimming": (
            "DENSITIES_G_CM3",
            "BoreTaper",
            "Chamfer",
            "RectangularPad",
            "RoundPad",
            "depth_of_cut",
            "mass_of_cut",
        ),
        "weighing": (
            "Repeatability",
            "ScaleCheck",
            "Weight",
            "average",
            "check_scale",
            "difference",
            "pooled_repeatability",
            "u_of_sum",
        ),
    },
)
