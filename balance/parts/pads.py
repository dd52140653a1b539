"""What a cut on a rod's pads does to both ends, and the two cuts that bring both ends right."""

from dataclasses import dataclass

from balance.errors import one_not_negative, one_positive

__all__ = ["EndChange", "PadCuts", "end_change", "pad_cuts"]


@dataclass(frozen=True)
class EndChange:
    """What the near and the far end's weight loses [g]; negative: it gains."""

    near_g: float
    far_g: float


@dataclass(frozen=True)
class PadCuts:
    """Grams to mill off the cap pad and the small-end pad."""

    cap_pad_g: float
    small_end_pad_g: float


def end_change(mass_g: float, *, beyond_mm: float, length_mm: float) -> EndChange:
    """Return what metal off a pad takes from each end's weight.

    near = m (l + y) / l, far = -m y / l: a pad lies beyond its bore's centre, so the rod tips
    and the other end grows heavier.

    Parameters
    ----------
    mass_g : float [g]
        Milled off.
    beyond_mm : float [mm]
        From the bore's centre out to the metal removed, y.
    length_mm : float [mm]
        Centre to centre, l.

    Raises
    ------
    InputError
        When the mass or distance is negative or the length not above zero.

    Examples
    --------
    >>> end_change(1.0, beyond_mm=37.5, length_mm=150.0)
    EndChange(near_g=1.25, far_g=-0.25)

    Source: statics of a beam on two supports.
    """
    mass = one_not_negative("mass_g", mass_g)
    lever = one_not_negative("beyond_mm", beyond_mm) / one_positive("length_mm", length_mm)
    return EndChange(mass * (1 + lever), -mass * lever)


def pad_cuts(
    *,
    big_end_g: float,
    small_end_g: float,
    length_mm: float,
    cap_pad_mm: float,
    small_end_pad_mm: float,
) -> PadCuts:
    """Return the cuts on both pads after which both ends have lost what they should.

    cap = (B (l + y_s) + S y_s) / (l + y_b + y_s), small = (S (l + y_b) + B y_b) / (l + y_b + y_s):
    each cut undoes what the other adds to its end, and together they weigh B + S.

    Parameters
    ----------
    big_end_g, small_end_g : float [g]
        What each end is to lose, B and S.
    length_mm : float [mm]
        Centre to centre, l.
    cap_pad_mm, small_end_pad_mm : float [mm]
        From each bore's centre out to the metal removed, y_b and y_s.

    Raises
    ------
    InputError
        When a mass or distance is negative or the length not above zero.

    Examples
    --------
    >>> cuts = pad_cuts(
    ...     big_end_g=4.0, small_end_g=0.0, length_mm=150.0, cap_pad_mm=37.5, small_end_pad_mm=12.5
    ... )
    >>> cuts
    PadCuts(cap_pad_g=3.25, small_end_pad_g=0.75)

    Source: statics of a beam on two supports.
    """
    big = one_not_negative("big_end_g", big_end_g)
    small = one_not_negative("small_end_g", small_end_g)
    length = one_positive("length_mm", length_mm)
    out_big = one_not_negative("cap_pad_mm", cap_pad_mm)
    out_small = one_not_negative("small_end_pad_mm", small_end_pad_mm)
    whole = length + out_big + out_small
    return PadCuts(
        cap_pad_g=(big * (length + out_small) + small * out_small) / whole,
        small_end_pad_g=(small * (length + out_big) + big * out_big) / whole,
    )
