"""Weigh, match and trim the parts."""

from balance._lazy import front_door

__getattr__, __all__ = front_door(
    "balance.parts",
    {
        "oddities": ("MAKER_SPAN_G", "OddPart", "outside_span"),
        "pendulum": (
            "STANDARD_GRAVITY_M_S2",
            "TwoPoints",
            "equivalent_points",
            "inertia_from_swing",
            "inertia_from_wires",
        ),
        "rods": ("RodEnds", "rod_ends", "rod_from_centre", "rod_from_one_end"),
        "suspects": ("WrongWeighing", "wrong_weighings"),
        "swing": ("RodSwing", "rod_from_swing"),
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
