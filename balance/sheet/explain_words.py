"""The working of a limit in other words: ounce inches, grams at a radius, share, grade."""

from collections.abc import Iterator
from functools import partial

from balance.sheet.results import Results
from balance.sheet.working_line import Line, plain, scalar
from balance.spin.spun import PartUnbalance
from balance.spin.tolerance import grade_of

__all__ = ["explain_in_words"]

_line = partial(Line, "spin")
_GRADE = "ISO 21940-11:2016, permissible residual unbalance; from memory"
_PRODUCT = "amount of unbalance is mass times radius, ISO 21940-2; from memory"
_POUND = "inch and pound, international yard and pound agreement of 1959"


def explain_in_words(results: Results, part: PartUnbalance) -> Iterator[Line]:
    """Yield every limit of a part as a weight at its radius, as a share, and as a grade."""
    whole = float(part.permissible_gmm.sum())
    for z, each in zip(part.planes_mm, part.permissible_gmm, strict=True):
        limit = float(each)
        who = f"{part.name}, plane {plain(z)} mm"
        line = partial(_line, names=(part.name, "limit", f"plane {plain(z)}"))
        yield line(
            f"{who}: its limit in ounce inches",
            "U_oz",
            "U_lim / (28.349523125 x 25.4)",
            f"{plain(limit)} / (28.349523125 x 25.4)",
            scalar(limit / (28.349523125 * 25.4), 3, "oz in"),
            _POUND,
        )
        yield from _at_radius(results, part, who, limit, line)
        if len(part.planes_mm) > 1:
            yield line(
                f"{who}: the share of the part's whole limit that it holds",
                "share",
                "100 x U_lim / sum of U_lim",
                f"100 x {plain(limit)} / {plain(whole)}",
                scalar(100 * limit / whole, 0, "%"),
                "definition",
            )
        yield from _as_grade(results, part, who, whole, line)


def _at_radius(
    results: Results, part: PartUnbalance, who: str, limit: float, line: partial[Line]
) -> Iterator[Line]:
    """Yield the mass that makes the limit at the radius where the part is drilled."""
    radius = _radius(results, part)
    if radius is not None:
        yield line(
            f"{who}: its limit as a weight at {plain(radius)} mm radius, where it is drilled",
            "m_lim",
            "U_lim / r",
            f"{plain(limit)} / {plain(radius)}",
            scalar(limit / radius, 2, "g"),
            _PRODUCT,
        )


def _as_grade(
    results: Results, part: PartUnbalance, who: str, whole: float, line: partial[Line]
) -> Iterator[Line]:
    """Yield the grade that the whole limit of a part is at the service speed."""
    speed, mass = results.job.targets.service_speed, _mass_g(results, part)
    if speed is not None and mass is not None:
        grade = float(grade_of(whole, rotor_mass_kg=mass / 1000, speed_rpm=speed))
        yield line(
            f"{who}: the grade that the part's limits amount to together at {plain(speed)} rpm",
            "G",
            "sum of U_lim x (2 x pi x n / 60) / (1000 x m)",
            f"{plain(whole)} x (2 x pi x {plain(speed)} / 60) / (1000 x {plain(mass / 1000)})",
            f"G {grade:.3g}",
            _GRADE,
        )


def _radius(results: Results, part: PartUnbalance) -> float | None:
    job = results.job
    page = next((bolted for bolted in job.bolted if bolted.name == part.name), None)
    if page is not None:
        return page.hole_radius
    weights = job.crank.counterweights if job.crank is not None else ()
    return weights[0].radius if weights else None


def _mass_g(results: Results, part: PartUnbalance) -> float | None:
    job = results.job
    page = next((bolted for bolted in job.bolted if bolted.name == part.name), None)
    if page is not None:
        return page.mass
    return job.crank.mass if job.crank is not None else None
