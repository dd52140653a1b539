"""The steps of the job in this room: sets to cylinders, bobweights, and what the engine shakes."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from balance.engine.as_built import (
    TargetCheck,
    check_target,
    existing_factor,
    overbalance_cost,
)
from balance.engine.bobweight_errors import Sensitivities, sensitivities
from balance.engine.bobweights import Bobweight, Need, needed, per_throw
from balance.engine.factors import BestFactor, ShakeEllipse, best_factor, shake_ellipse
from balance.engine.layouts import Cylinder, Engine, Throw, layout
from balance.engine.left_open import assumed_text
from balance.engine.placing import Placement, place
from balance.engine.shaking import Shaking, shake
from balance.errors import InputError, JobFileError, MissingInputError
from balance.job.model import EnginePage, Job
from balance.parts.steps import FinishedSet, Matched
from balance.vectors import vector

__all__ = ["BobweightCard", "Shook", "bobweight_job", "engine_of", "shake_job", "taken_as_usual"]

_FACTORS = (0.3, 0.4, 0.5, 0.6, 0.7, 0.8)

_OPTIONS = {
    "bank_angle": "bank_degrees",
    "bank_offset": "bank_offset_mm",
    "pin_splay": "splay_degrees",
    "crank": "crank",
    "crank_angle": "crank_degrees",
    "throw_angles": "throw_degrees",
    "numbering": "numbering",
    "knuckle_radius": "knuckle_radius_mm",
    "link_length": "link_length_mm",
}


@dataclass(frozen=True)
class BobweightCard:
    """Which set goes where, and the bobweights or the reason why there are none."""

    engine: Engine
    cylinders: tuple[str, ...]
    placement: Placement
    sets: tuple[FinishedSet, ...]
    need: Need
    bobweights: tuple[Bobweight, ...]
    factor: float
    oil_g: float
    errors: Sensitivities | None
    target: TargetCheck | None


@dataclass(frozen=True)
class Shook:
    """What the assembled engine shakes, and the factor question.

    ``ellipses`` holds the order-1 ellipse for each factor of a table and for the job's own.
    """

    card: BobweightCard
    shaking: Shaking
    ellipses: tuple[ShakeEllipse, ...]
    least_worst: BestFactor | None
    one_percent_gmm: tuple[float, float] | None
    built_factor: float | None


def engine_of(job: Job) -> Engine:
    """Return the engine of a job, its throws placed from the crank's datum.

    Parameters
    ----------
    job : Job
        As read from its file.

    Raises
    ------
    JobFileError
        When the layout's name or an option of it is not known.
    MissingInputError
        While stroke, rod length or bore spacing is still to be measured.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> engine_of(read_job(files("cli.examples") / "v8.toml")).throws[0].z_mm
    60.0
    """
    page, lengths = job.engine, _lengths(job)
    if page.layout is None:
        return _by_hand(page, lengths)
    given = {word: getattr(page, key) for key, word in _OPTIONS.items()}
    options = {word: value for word, value in given.items() if value is not None}
    try:
        named = layout(
            page.layout,
            **lengths,
            pin_offset_mm=page.pin_offset,
            **options,
        )
    except InputError as wrong:
        raise JobFileError(str(wrong), path=job.source, key="engine") from None
    return _moved(named, page.first_throw_z)


def taken_as_usual(job: Job) -> str:
    """Return what of the engine is written nowhere though engines of its name differ in it.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> taken_as_usual(read_job(files("cli.examples") / "v8.toml"))
    ''
    """
    page = job.engine
    if page.layout is None:
        return ""
    written = [key for key in _OPTIONS if getattr(page, key) is not None]
    try:
        said = assumed_text(page.layout, written)
    except InputError:  # no layout of this house: said where the engine is needed
        return ""
    return f"engine: {said}" if said else ""


def _lengths(job: Job) -> dict[str, float]:
    """Return stroke, rod length and bore spacing, which may still be waiting to be measured."""
    keys = ("stroke", "rod_length", "bore_spacing")
    if lacking := [key for key in keys if getattr(job.engine, key) is None]:
        raise MissingInputError("the engine", [f"{key} under [engine]" for key in lacking])
    return {f"{key}_mm": getattr(job.engine, key) for key in keys}


def _by_hand(page: EnginePage, lengths: dict[str, float]) -> Engine:
    throws = tuple(Throw(throw.angle, throw.z) for throw in page.throws)
    cylinders = tuple(Cylinder(c.throw - 1, c.bank, c.z) for c in page.cylinders)
    return Engine(**lengths, throws=throws, cylinders=cylinders, pin_offset_mm=page.pin_offset)


def _moved(engine: Engine, by_mm: float) -> Engine:
    throws = tuple(replace(throw, z_mm=throw.z_mm + by_mm) for throw in engine.throws)
    cylinders = tuple(replace(c, z_mm=c.z_mm + by_mm) for c in engine.cylinders)
    return replace(engine, throws=throws, cylinders=cylinders)


def bobweight_job(job: Job, matched: Matched) -> BobweightCard:
    """Return which set goes to which cylinder and the bobweight of every throw.

    Parameters
    ----------
    job : Job
        As read from its file.
    matched : Matched
        Its matched sets, in the order of the sets and not yet of the cylinders.

    Raises
    ------
    JobFileError
        When the engine cannot be built.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.parts.steps import match_job
    >>> job = read_job(files("cli.examples") / "flat-four.toml")
    >>> bobweight_job(job, match_job(job)).need.needed
    False

    Source: as for :func:`balance.engine.placing.place` and
    :func:`balance.engine.bobweights.per_throw`.
    """
    engine = engine_of(job)
    reciprocating = [entry.expected_reciprocating_g for entry in matched.sets]
    rotating = [entry.expected_rotating_g for entry in matched.sets]
    placement = place(engine, reciprocating_g=reciprocating, rotating_g=rotating)
    placed = tuple(matched.sets[index] for index in placement.set_at_cylinder)
    bobweights = per_throw(
        engine,
        rotating_g=[entry.rotating_g for entry in placed],
        reciprocating_g=[entry.reciprocating_g for entry in placed],
        oil_g=job.bobweights.oil,
        factor=job.bobweights.factor,
    )
    need = needed(engine)
    return BobweightCard(
        engine=engine,
        cylinders=job.engine.names,
        placement=placement,
        sets=placed,
        need=need,
        bobweights=tuple(bobweights),
        factor=job.bobweights.factor,
        oil_g=job.bobweights.oil,
        errors=_errors(job, engine, bobweights) if need.needed else None,
        target=_target(job, engine, bobweights) if need.needed else None,
    )


def _errors(job: Job, engine: Engine, weights: Sequence[Bobweight]) -> Sensitivities | None:
    """Return what a wrong gram and a wrong place do, once the bearings are known."""
    if job.crank is None:
        return None
    masses = [weight.mass_g for weight in weights]
    return sensitivities(engine, bobweight_g=masses, planes_mm=job.crank.bearings)


def _target(job: Job, engine: Engine, weights: Sequence[Bobweight]) -> TargetCheck | None:
    """Return whether a bought crank's target bobweight suits these parts."""
    if job.crank is None or job.crank.target_bobweight is None:
        return None
    own = sum(weight.mass_g for weight in weights) / len(weights)
    return check_target(
        engine,
        target_g=job.crank.target_bobweight,
        bobweight_g=own,
        planes_mm=job.crank.bearings,
    )


def shake_job(job: Job, card: BobweightCard) -> Shook:
    """Return what the engine shakes at its service speed with the counterweights as ordered.

    Where bobweights are needed the counterweights carry them exactly; where none are needed the
    crank is taken as balanced by itself.

    Parameters
    ----------
    job : Job
        As read from its file.
    card : BobweightCard
        Its sets at their cylinders and its bobweights.

    Raises
    ------
    MissingInputError
        When the service speed is not written.

    Examples
    --------
    >>> from importlib.resources import files
    >>> from balance.job.load import read_job
    >>> from balance.parts.steps import match_job
    >>> job = read_job(files("cli.examples") / "v-twin.toml")
    >>> round(shake_job(job, bobweight_job(job, match_job(job))).least_worst.factor, 6)
    0.5

    Source: as for :func:`balance.engine.shaking.shake` and `balance.engine.factors`.
    """
    if job.targets.service_speed is None:
        raise MissingInputError("shake", ["service_speed under [targets]"])
    engine, need = card.engine, card.need
    factors = sorted({*_FACTORS, card.factor})
    turning = need.force or need.couple
    shaking = shake(
        engine,
        reciprocating_g=[entry.reciprocating_g for entry in card.sets],
        rotating_g=[entry.rotating_g for entry in card.sets],
        speed_rpm=job.targets.service_speed,
        counterweights=_counterweights(card) if need.needed else (),
    )
    return Shook(
        card=card,
        shaking=shaking,
        ellipses=tuple(shake_ellipse(engine, factor) for factor in factors) if turning else (),
        least_worst=best_factor(engine, couple=not need.force) if turning else None,
        one_percent_gmm=_one_percent(job, card) if need.needed else None,
        built_factor=_built_factor(job, card),
    )


def _counterweights(card: BobweightCard) -> list[tuple[complex, float]]:
    """Return what the counterweights must hold against each pin: its bobweight, opposite."""
    throws = card.engine.throws
    return [
        (
            complex(-vector(weight.unbalance_gmm, throws[weight.throw].degrees)),
            throws[weight.throw].z_mm,
        )
        for weight in card.bobweights
    ]


def _one_percent(job: Job, card: BobweightCard) -> tuple[float, float] | None:
    """Return what one percent of factor costs at each bearing [g mm]."""
    if job.crank is None:
        return None
    reciprocating = [entry.reciprocating_g for entry in card.sets]
    return overbalance_cost(
        card.engine, reciprocating_g=reciprocating, planes_mm=job.crank.bearings
    )


def _built_factor(job: Job, card: BobweightCard) -> float | None:
    """Return the factor the crank was built to, from the static test of a job."""
    page = job.bobweights
    if page.static_hung is None:
        return None
    return existing_factor(
        card.engine,
        hung_g=page.static_hung,
        rotating_g=[entry.rotating_g for entry in card.sets],
        reciprocating_g=[entry.reciprocating_g for entry in card.sets],
        hung_radius_mm=page.static_radius,
    )
