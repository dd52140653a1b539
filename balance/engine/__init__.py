"""Layout, motion, shaking forces, bobweights."""

from balance._lazy import front_door

__getattr__, __all__ = front_door(
    "balance.engine",
    {
        "as_built": (
            "ExternalShare",
            "TargetCheck",
            "check_target",
            "existing_factor",
            "external_share",
            "overbalance_cost",
        ),
        "bobweight_errors": (
            "BobweightTolerance",
            "Sensitivities",
            "Sensitivity",
            "bobweight_tolerance",
            "sensitivities",
        ),
        "bobweights": (
            "Bobweight",
            "Item",
            "Need",
            "needed",
            "per_throw",
        ),
        "factors": (
            "BestFactor",
            "ResidualPrimary",
            "ShakeEllipse",
            "best_factor",
            "residual_primary",
            "shake_ellipse",
        ),
        "placing": (
            "Placement",
            "place",
            "placed_residual",
        ),
        "layouts": ("Cylinder", "Engine", "Link", "Throw", "layout", "middle_mm", "radius_mm"),
        "loci": ("Ellipse", "Locus", "beyond_crank_work", "ellipse", "locus"),
        "motion": ("Motion", "harmonics", "offset_harmonics", "piston", "rad_s"),
        "orders": ("OrderVectors", "order_vectors"),
        "shaking": ("Shaking", "shake"),
        "torque": (
            "BearingLoads",
            "InertiaTorque",
            "bearing_loads",
            "inertia_defect",
            "inertia_torque",
        ),
    },
)
