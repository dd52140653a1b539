"""Unbalance to holes and slugs."""

from balance._lazy import front_door

__getattr__, __all__ = front_door(
    "balance.metal",
    {
        "axial": ("axial_hole",),
        "chance": ("Aimed", "Chance", "Errors", "chance_of", "chances_at", "plan_for_chance"),
        "flywheels": (
            "Added",
            "Split",
            "bolted_weight",
            "pitch_circle",
            "split",
            "split_on_circle",
        ),
        "guards": (
            "CUTTING_CAUTIONS",
            "PRACTICE",
            "RETENTION_CHECKLIST",
            "TUNGSTEN_CAUTIONS",
            "Practice",
            "practice_warnings",
        ),
        "materials": ("MATERIALS", "Material", "material"),
        "planning": ("Counterweight", "Plan", "PlannedHole", "PlannedSlug", "SlugChoice", "plan"),
        "variants": ("Alternative", "alternatives"),
        "radial": ("depth_for", "radial_hole"),
        "shapes": ("DrilledHole", "Removed", "point_mm", "tip_depth_mm"),
        "slugs": ("SlugGain", "axial_slug", "slug", "slug_force_n", "tear_out_mpa"),
        "surfaces": ("ground_flat", "ground_flat_for", "skim", "skim_for"),
        "staging": ("FirstCut", "Stage", "stage"),
        "webs": ("KeepOut", "Place", "face_mm", "keep_out_mm", "web_mm"),
    },
)
