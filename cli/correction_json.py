"""The correction for programs: what the screen says, and no plan that nobody may drill by."""

from typing import Any

from balance.metal.steps import CrankCorrection, DiscCorrection
from balance.sheet.results import Results
from balance.vectors import fold
from cli.expected import expected
from cli.printing import plain
from cli.spin_first import recorded_for_programs, since_last_spin

_OF_THE_PLAN = ("plan", "stage", "chance", "verdict", "expected")


def correction_for_programs(results: Results, *, others: bool = False) -> dict[str, Any]:
    """Return the correction as dicts and lists, the angles of its holes in [0, 360)."""
    corrected = results.corrected
    made = plain(corrected) | plain(recorded_for_programs(since_last_spin(results)))
    made["stop"] = results.stop
    made["overruled"] = results.unexplained if results.sure else ""
    made["crank"] = _part(results, "crank", corrected.crank)
    made["discs"] = [_part(results, disc.name, disc) for disc in corrected.discs]
    if not others:
        return dict(_told(made))
    return dict(_told({"plan": made, "others": plain(results.others)}))


def _part(
    results: Results, name: str, correction: CrankCorrection | DiscCorrection
) -> dict[str, Any]:
    """Return one part with what is to be expected; without a plan that nobody may drill by."""
    said = expected(correction, wanted=results.job.targets.chance)
    part = {**plain(correction), "expected": said}
    if name in results.corrected.waiting or results.stop:
        part |= {key: None for key in _OF_THE_PLAN if key in part}
    return part


def _told(value: Any) -> Any:
    """Return a result with every angle from 0 to 360, as it is written on the screen."""
    if isinstance(value, dict):
        return {
            key: float(fold(item)) if key == "degrees" else _told(item)
            for key, item in value.items()
        }
    return [_told(item) for item in value] if isinstance(value, list) else value
