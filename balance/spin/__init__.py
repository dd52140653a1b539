"""Readings of a balancing machine to unbalance in the crank's own frame."""

from balance._lazy import front_door

__getattr__, __all__ = front_door(
    "balance.spin",
    {
        "conventions": (
            "Candidate",
            "Identified",
            "KnownSpin",
            "NextSpin",
            "identify",
        ),
        "declared": (
            "differences",
            "identified_machine",
        ),
        "influence": (
            "Conditioning",
            "NoPhase",
            "TrialAnswer",
            "coefficients",
            "conditioning",
            "correction",
            "from_amplitudes",
            "repeatability",
            "trial_answer",
            "trial_size",
        ),
        "machine": (
            "Machine",
            "Reading",
            "crank_degrees",
            "from_crank",
            "statement",
            "to_crank",
        ),
        "doubt": (
            "BobweightDoubt",
            "Budget",
            "Line",
            "ReadingDoubt",
            "bobweight_doubt",
            "doubt_onto",
            "from_bound",
            "reading_doubt",
        ),
        "grades": ("EDITIONS", "STEPS", "Edition", "GradeRow", "grade_rows"),
        "indexing": ("BoltUp", "Component", "Separated", "best_positions", "separate"),
        "noise": ("Sight", "can_see", "chance_within", "left_by_angle_error", "mean_amount"),
        "planes": (
            "Amplification",
            "StaticAndCouple",
            "amplification",
            "static_and_couple",
            "transfer",
        ),
        "tolerance": (
            "GUARD",
            "LimitInWords",
            "Verdict",
            "allocate",
            "four_w_over_n",
            "grade_number",
            "grade_of",
            "in_words",
            "judge",
            "navy_limit",
            "permissible",
        ),
    },
)
