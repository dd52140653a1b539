"""Unbalance to holes and slugs."""

from balance._lazy import front_door

__getattr__, __all__ = front_door(
    "balance.metal",
    {
        "holes": ("axial_hole", "depth_for", "radial_hole"),
        "planning": ("Counterweight", "Plan", "PlannedHole", "plan"),
        "shapes": ("DrilledHole", "Removed", "tip_depth_mm"),
        "webs": ("KeepOut", "Place", "face_mm", "keep_out_mm", "web_mm"),
    },
)
