"""The balance quality grades that touch engines, as data, each with the edition of its wording.

The older wording goes by the number of cylinders, the newer by how the crank drive behaves; the
same engine can find itself in another row, so a grade is always shown with its edition. Wordings
here are ours, not the standard's.
"""

from dataclasses import dataclass
from typing import Literal

from balance.errors import InputError, instance_of, one_positive

__all__ = ["EDITIONS", "STEPS", "Edition", "GradeRow", "grade_rows"]

Edition = Literal["ISO 1940:1973", "ISO 21940-11:2016"]

EDITIONS: dict[Edition, str] = {
    "ISO 1940:1973": (
        "ISO 1940:1973, also ANSI S2.19-1975, as printed in Bloch & Geitner, Machinery Component "
        "Maintenance and Repair, table 6-5"
    ),
    "ISO 21940-11:2016": "ISO 21940-11:2016, table 1; from memory, check a copy",
}

STEPS = (0.4, 1.0, 2.5, 6.3, 16.0, 40.0, 100.0, 250.0, 630.0, 1600.0, 4000.0)
"""Standard grades [mm/s], a factor of about 2.5 apart (ISO 21940-11, from memory)."""


@dataclass(frozen=True)
class GradeRow:
    """One row: the grade [mm/s], the edition of the wording, and what it is meant for."""

    grade: float
    edition: Edition
    entries: tuple[str, ...]


_ROWS = (
    GradeRow(
        4000, "ISO 1940:1973",
        ("crank drive of a slow marine diesel, rigidly mounted, odd number of cylinders",),
    ),
    GradeRow(1600, "ISO 1940:1973", ("crank drive of a large two-stroke, rigidly mounted",)),
    GradeRow(
        630, "ISO 1940:1973",
        (
            "crank drive of a large four-stroke, rigidly mounted",
            "crank drive of a marine diesel, elastically mounted",
        ),
    ),
    GradeRow(
        250, "ISO 1940:1973",
        ("crank drive of a fast four-cylinder diesel, rigidly mounted",),
    ),
    GradeRow(
        100, "ISO 1940:1973",
        (
            "crank drive of a fast diesel with six or more cylinders",
            "complete engine of a car, truck or locomotive",
        ),
    ),
    GradeRow(
        40, "ISO 1940:1973",
        (
            "crank drive of a fast four-stroke with six or more cylinders, elastically mounted",
            "crank drive of a car, truck or locomotive engine",
            "car wheels, drive shafts",
        ),
    ),
    GradeRow(
        16, "ISO 1940:1973",
        (
            "crank drive of an engine with six or more cylinders, special requirements",
            "single parts of an engine",
            "drive shafts, special requirements",
        ),
    ),
    GradeRow(
        6.3, "ISO 1940:1973",
        ("flywheels", "single parts of an engine, special requirements", "fans, pump impellers"),
    ),
    GradeRow(
        4000, "ISO 21940-11:2016",
        ("crank drive of a large slow marine diesel, inherently unbalanced",),
    ),
    GradeRow(
        1600, "ISO 21940-11:2016",
        ("crank drive of a large slow marine diesel, inherently balanced",),
    ),
    GradeRow(
        630, "ISO 21940-11:2016",
        ("crank drive, inherently unbalanced, elastically mounted",),
    ),
    GradeRow(
        250, "ISO 21940-11:2016",
        ("crank drive, inherently unbalanced, rigidly mounted",),
    ),
    GradeRow(
        100, "ISO 21940-11:2016",
        ("complete piston engine of a car, truck or locomotive",),
    ),
    GradeRow(
        40, "ISO 21940-11:2016",
        ("crank drive, inherently balanced, elastically mounted",),
    ),
    GradeRow(
        16, "ISO 21940-11:2016",
        ("crank drive, inherently balanced, rigidly mounted",),
    ),
)  # fmt: skip


def grade_rows(*, edition: Edition | None = None, grade: float | None = None) -> list[GradeRow]:
    """Return the rows of the grade tables that touch engines, coarsest first in each edition.

    Parameters
    ----------
    edition : str, optional
        Only this wording; a key of ``EDITIONS``.
    grade : float, optional [mm/s]
        Only this grade.

    Raises
    ------
    InputError
        When the edition is not one of the two.

    Examples
    --------
    >>> [row.entries[0] for row in grade_rows(grade=16)]
    ['crank drive of an engine with six or more cylinders, special requirements',
     'crank drive, inherently balanced, rigidly mounted']

    Source: named for each edition in ``EDITIONS``.
    """
    if edition is not None and instance_of("edition", edition, str) not in EDITIONS:
        raise InputError(f"edition must be one of {', '.join(EDITIONS)}, got {edition!r}")
    if grade is not None:
        one_positive("grade", grade)
    return [
        row
        for row in _ROWS
        if edition in (None, row.edition) and (grade is None or grade == row.grade)
    ]
