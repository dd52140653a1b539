"""Layout, motion, shaking forces, bobweights."""

from balance._lazy import front_door

__getattr__, __all__ = front_door(
    "balance.engine",
    {
        "layouts": ("Cylinder", "Engine", "Link", "Throw", "layout", "middle_mm", "radius_mm"),
        "motion": ("Motion", "harmonics", "offset_harmonics", "piston", "rad_s"),
        "orders": ("OrderVectors", "order_vectors"),
        "shaking": ("Shaking", "shake"),
    },
)
