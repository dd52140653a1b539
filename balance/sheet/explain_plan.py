"""The working of a plan as a whole: depths, first cuts, how sure it is, and what a slug pulls."""

from collections.abc import Iterator
from functools import partial

from balance.metal.planning import PlannedSlug
from balance.metal.steps import Corrected, CrankCorrection
from balance.sheet.results import Results
from balance.sheet.working_line import Line, plain, scalar, total

__all__ = ["explain_depth", "explain_plan", "explain_pull", "explain_slug_place"]

_line = partial(Line, "correct")
_PLAN = "own search through drills, places and depths; it says itself what of it is proven"
_DRAWN = "JCGM 101:2008, propagation of distributions by a Monte Carlo method; from memory"


def explain_depth(
    results: Results,
    who: str,
    number: int | None,
    size_mm: tuple[float, float],
    names: tuple[str, ...],
) -> Iterator[Line]:
    """Yield drill and depth of a hole, which the plan chose, and how deep to go at first."""
    line = partial(_line, numbers="", names=(*names, "depth"))
    across_mm, depth_mm = size_mm
    drawer = (name for name, mm in results.job.drills.sizes if abs(mm - across_mm) < 1e-6)
    yield line(
        f"{who}: its drill",
        "drill",
        "chosen with place and depth by the plan, from the drills under [drills]",
        result=", ".join(dict.fromkeys((*drawer, f"{plain(across_mm)} mm"))),
        source=_PLAN,
        names=(*names, "drill"),
    )
    yield line(
        f"{who}: its depth at full diameter",
        "depth",
        "chosen with drill and place by the plan, in the steps of depth that the job allows",
        result=scalar(depth_mm, 1, "mm"),
        source=_PLAN,
    )
    staged = results.corrected.crank.stage
    if number is not None and staged is not None:
        first = staged.first_cut[number - 1]
        yield line(
            f"{who}: how deep to go at first, before the next spin",
            "first cut",
            "so deep that drilling too far stays rare, at the fewest spins to be expected",
            result=scalar(first.depth_mm, 1, "mm"),
            source=_DRAWN,
        )


def explain_plan(done: CrankCorrection) -> Iterator[Line]:
    """Yield what was proven of the crank's plan, and the chances that it ends inside."""
    plan = done.plan
    yield _line(
        f"Crank: metal drilled out. {plan.reason[:1].upper()}{plan.reason[1:]}",
        "removed",
        "sum of m",
        total(plain(hole.mass_g) for hole in plan.holes),
        scalar(plan.removed_g, 2, "g"),
        _PLAN,
        ("crank", "metal"),
    )
    yield _line(
        "Crank: the margin, the share of its limits that the plan uses",
        "margin",
        "halved again and again between 1 and 0.1 until the wanted chance is met",
        "",
        scalar(plan.task.margin, 2),
        "own search; the chance from virtual drillings",
        ("crank", "margin"),
    )
    yield from _chances(done)


def _chances(done: CrankCorrection) -> Iterator[Line]:
    """Yield how often the plan ends inside and how often too far, at once and at the first cut."""
    chance, staged = done.chance, done.stage
    if chance is None:
        return
    rows = [
        ("chance of ending inside", "P", chance.inside, ""),
        ("chance of ending outside on the light side: too much came off", "P_light",
         chance.overshoot, ""),
    ]  # fmt: skip
    if staged is not None:
        first = ", drilled to the first cut only"
        rows += [
            ("chance of being inside", "P_first", staged.first_inside, first),
            ("chance of being too far already", "P_first", staged.first_overshoot, first),
        ]
    for what, symbol, share, when in rows:
        yield _line(
            f"Crank: {what}{when}, from virtual drillings with readings, depths, angles and "
            "drills a little off",
            symbol,
            "drillings that end so / all drillings",
            "",
            scalar(100 * share, 1, "%"),
            _DRAWN,
            ("crank", "chance"),
        )


def explain_slug_place(number: int, slug: PlannedSlug, done: CrankCorrection) -> Iterator[Line]:
    """Yield the radius at which the middle of a slug sits."""
    choice, rim = slug.choice, done.counterweights[slug.counterweight].radius_mm
    line = partial(_line, source="geometry", names=(f"slug {number}", "crank"))
    if choice.bore_depth_mm is None:
        yield line(
            f"Slug {number}: the radius of its bore, lengthwise through the counterweight",
            "r",
            "rim - wall - d / 2",
            f"{plain(rim)} - {plain(choice.wall_mm)} - {plain(choice.diameter_mm)} / 2",
            scalar(choice.middle_mm(rim), 1, "mm"),
        )


def explain_pull(results: Results, corrected: Corrected) -> Iterator[Line]:
    """Yield with what force each slug pulls outward at the service speed."""
    done, speed = corrected.crank, results.job.targets.service_speed
    if speed is None:
        return
    for (number, slug), pull_n in zip(done.numbered_slugs, corrected.slug_pull_n, strict=True):
        choice, rim = slug.choice, done.counterweights[slug.counterweight].radius_mm
        wall, deep = choice.wall_mm, choice.bore_depth_mm
        radius = f"({plain(rim)} - {plain(wall)} - {plain(choice.diameter_mm)} / 2)"
        if deep is not None:
            radius = f"({plain(rim)} - {plain(deep)} + {plain(choice.length_mm)} / 2)"
        yield _line(
            f"Slug {number}: with what force it pulls outward at {plain(speed)} rpm",
            "F",
            "10^-9 x m x r x w^2, m = density x pi / 4 x d^2 x length",
            f"10^-9 x {plain(choice.density_g_cm3)} / 1000 x pi / 4 x {plain(choice.diameter_mm)}^2"
            f" x {plain(choice.length_mm)} x {radius} x (2 x pi x {plain(speed)} / 60)^2",
            scalar(pull_n / 1000, 2, "kN"),
            "mechanics: F = m r w^2",
            (f"slug {number}", "pull"),
        )
