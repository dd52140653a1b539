"""The job file: what was measured and wanted, on paper."""

from balance._lazy import front_door

__getattr__, __all__ = front_door(
    "balance.job",
    {
        "append": ("append_entries", "append_entry"),
        "drills": ("Drill", "drill", "drill_list"),
        "export": ("as_csv", "job_tables"),
        "lists": ("match_list",),
        "load": ("read_job", "read_text"),
        "model": ("Job",),
        "readings": ("find_wanted", "wanted_weighings"),
        "scales": ("LineScale", "parse_line"),
        "tables": ("read_table",),
        "template": ("starter",),
    },
)
