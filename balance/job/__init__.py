"""The job file: what was measured and wanted, on paper."""

from balance._lazy import front_door

__getattr__, __all__ = front_door(
    "balance.job",
    {
        "append": ("append_entry",),
        "drills": ("Drill", "drill", "drill_list"),
        "load": ("read_job", "read_text"),
        "model": ("Job",),
        "template": ("starter",),
    },
)
