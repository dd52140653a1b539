"""What people read: plots, the work sheet, the balance record, the working."""

from balance._lazy import front_door

__getattr__, __all__ = front_door(
    "balance.sheet",
    {
        "exercise_form": ("Exercise",),
        "exercises": ("DIFFICULTIES", "TOPICS", "Marked", "exercise", "mark_answer"),
        "plots_engine": ("force_against_speed", "shake_ellipse_plot"),
        "plots_metal": ("counterweight_view",),
        "plots_parts": ("weights_before_after",),
        "plots_polar": ("polar_chart",),
        "plots_rims": ("disc_view", "drill_map"),
        "plots_stack": ("drilling_cloud", "stack_vectors"),
        "practice_paper": ("practice_answers", "practice_set", "practice_sheet"),
        "record": ("balance_record",),
        "record_html": ("balance_record_html",),
        "results": ("Results",),
        "scores": ("Score", "Scored", "keep_score", "read_scores", "score_file"),
        "steps_of_working": ("working",),
        "working_html": ("working_page",),
        "worksheet": ("work_sheet",),
    },
)
