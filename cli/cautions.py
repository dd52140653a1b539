"""What can hurt people at the machine and at the drill: common practice, no source."""

from cli.printing import bullets, heading

__all__ = ["BARE_SPINNING", "CUTTING", "DRILLING", "SPINNING", "caution"]

CUTTING = (
    "Eye protection, always; hold the part so that nothing can snatch it.",
    "Filings are sharp: brush them, never by hand or air line; wash the part before it is weighed.",
)  # common practice, no source

SPINNING = (
    "Fix every trial mass and bobweight mechanically: bolted or clamped. Tape only for a few "
    "grams at low speed behind a guard.",
    "Close the guard and stand out of the plane of rotation before anything turns.",
    "Lock the machine out before you touch the crank; take trial masses off again.",
    "Eye protection, always.",
)  # common practice, no source

BARE_SPINNING = SPINNING[1:]  # nothing hangs on the crank

DRILLING = (
    "Eye protection, always. Clamp the crank and drill it off the machine.",
    "Swarf is sharp and hot: brush it, never by hand or air line; keep it out of the oil ways.",
    "Hardened cranks (nitrided, induction or case hardened): ask the maker first.",
)  # common practice, no source


def caution(items: tuple[str, ...]) -> None:
    """Print cautions under a heading of their own that says where they come from."""
    heading("Mind your hands and eyes (common practice, no source)")
    bullets(items)
