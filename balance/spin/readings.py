"""One plane as the machine shows it, before anything is known of how it counts."""

from dataclasses import dataclass

__all__ = ["Reading"]


@dataclass(frozen=True)
class Reading:
    """What the machine shows for one plane: amount of unbalance and angle of unbalance.

    Parameters
    ----------
    amount : float [the machine's unit]
        As displayed, not negative.
    degrees : float [degree]
        As displayed, on the machine's own scale.
    """

    amount: float
    degrees: float
