"""What the tables of a job file must not say of each other.

One small rule a function; each yields the place in the file and what is wrong there.
"""

from collections import Counter
from collections.abc import Iterable, Iterator

from balance.errors import InputError
from balance.job.amounts import amount_gmm
from balance.job.appended import ReadingPage, SpinPage
from balance.job.hung import HUNG
from balance.job.lines import Path
from balance.job.model import Job, MachinePage

__all__ = ["contradictions"]

Found = Iterator[tuple[Path, str]]

# No crank that is drilled on a bench is outside these: wide on purpose, own choice.
_LIGHTEST, _HEAVIEST = 200.0, 2e6  # g
_WIDEST = 600.0  # mm
_REACH = 3.0  # bearing spans beyond either bearing


def contradictions(job: Job) -> Found:
    """Yield the path and the message of everything in a job that cannot be true together."""
    for rule in _RULES:
        yield from rule(job)


def _marks(job: Job) -> Found:
    kinds: dict[Path, Iterable[str]] = {
        ("parts", "pistons"): [part.mark for part in job.parts.pistons],
        ("parts", "pins"): [part.mark for part in job.parts.pins],
        ("parts", "rods"): [part.mark for part in job.parts.rods],
        ("crank", "counterweights"): [c.mark for c in job.crank.counterweights]
        if job.crank
        else [],
        ("bolted",): [part.name for part in job.bolted],
    }
    for path, marks in kinds.items():
        yield from _twice(path, list(marks))


def _shared_marks(job: Job) -> Found:
    """Weighings name a part by its mark alone, capitals or not: no two parts may share one."""
    owner: dict[str, tuple[str, str]] = {}
    for kind in ("pistons", "pins", "rods"):
        for index, part in enumerate(getattr(job.parts, kind)):
            other, mark = owner.setdefault(part.mark.casefold(), (kind, part.mark))
            place: Path = ("parts", kind, index, "mark")
            if other != kind:
                message = f"{part.mark!r} is the mark of a {other[:-1]} too: give each its own"
                yield place, f"{message} (P1, N1, R1)"
            elif mark != part.mark:
                yield place, f"{part.mark!r} differs from {mark!r} in capitals only: write another"


def _twice(path: Path, marks: list[str]) -> Found:
    seen: set[str] = set()
    for index, mark in enumerate(marks):
        if mark in seen:
            key = "name" if path == ("bolted",) else "mark"
            yield (*path, index, key), f"{mark!r} is used twice: every part needs a mark of its own"
        seen.add(mark)


def _engine(job: Job) -> Found:
    engine = job.engine
    by_hand = bool(engine.throws or engine.cylinders)
    if engine.layout is None and not by_hand:
        yield ("engine",), 'say layout = "inline-4" (or another), or write throws and cylinders'
    if engine.layout is not None and by_hand:
        yield ("engine", "layout"), "is given and throws and cylinders too: keep one of the two"
    for index, cylinder in enumerate(engine.cylinders):
        if cylinder.throw > len(engine.throws):
            message = f"{cylinder.throw} is no throw: there are {len(engine.throws)}"
            yield ("engine", "cylinders", index, "throw"), message
    if engine.cylinder_names and len(engine.cylinder_names) != engine.cylinder_count:
        message = f"has {len(engine.cylinder_names)} names for {engine.cylinder_count} cylinders"
        yield ("engine", "cylinder_names"), message
    if engine.rod_length and engine.stroke and engine.rod_length <= engine.stroke / 2:
        message = (
            f"{engine.rod_length:g} mm is not longer than half the stroke of {engine.stroke:g} mm"
        )
        yield ("engine", "rod_length"), message


def _crank(job: Job) -> Found:
    if job.crank is None:
        return
    if job.crank.bearings[0] >= job.crank.bearings[1]:
        yield (
            ("crank", "bearings"),
            "must go from the nose to the flywheel, the smaller place first",
        )
    if "density" not in job.crank.model_fields_set and "steel" not in job.crank.material.lower():
        yield (
            ("crank", "material"),
            (
                f"{job.crank.material!r} is no steel: write its density too (ductile iron has "
                "7.15 g/cm3, steel 7.85)"
            ),
        )
    for index, weight in enumerate(job.crank.counterweights):
        place: Path = ("crank", "counterweights", index)
        if not 0 < weight.half_span <= 180:
            message = f"{weight.half_span:g} degrees is not greater than 0 and at most 180"
            yield (*place, "half_span"), message
        if weight.max_depth >= weight.radius:
            message = (
                f"{weight.max_depth:g} mm reaches the axis: the radius is {weight.radius:g} mm"
            )
            yield (*place, "max_depth"), message


def _sizes(job: Job) -> Found:
    """Yield sizes that no crank has: a unit was mistyped."""
    if job.crank is None:
        return
    if not _LIGHTEST <= job.crank.mass <= _HEAVIEST:
        yield ("crank", "mass"), f"{job.crank.mass:g} g is no crank's mass: which unit is meant?"
    near, far = job.crank.bearings
    reach = _REACH * (far - near)
    places: list[tuple[Path, float]] = [
        *(
            (("machine", "planes", k, "z"), plane.z)
            for k, plane in enumerate(job.machine.planes if job.machine else ())
        ),
        *(
            (("crank", "counterweights", k, "z"), w.z)
            for k, w in enumerate(job.crank.counterweights)
        ),
        *((("bolted", k, "z"), part.z) for k, part in enumerate(job.bolted)),
    ]
    for place, z in places:
        if not near - reach <= z <= far + reach:
            yield place, f"{z:g} mm is far outside the bearings ({near:g} to {far:g} mm)"
    for index, weight in enumerate(job.crank.counterweights):
        if weight.radius > _WIDEST:
            message = f"{weight.radius:g} mm is no counterweight's radius: which unit is meant?"
            yield ("crank", "counterweights", index, "radius"), message


def _weighings(job: Job) -> Found:
    single = {*HUNG, *(part.mark for part in (*job.parts.pistons, *job.parts.pins))}
    rods = {rod.mark for rod in job.parts.rods}
    standing = Counter[tuple[str, str, bool]]()
    for index, entry in enumerate(job.weighings):
        place: Path = ("weighings", index)
        key = (entry.part, entry.what, entry.finished)
        if entry.part not in single | rods:
            known = ", ".join(sorted((single | rods) - {*HUNG})) or "none yet"
            yield (*place, "part"), f"{entry.part!r} is no part of this job; its marks are {known}"
        elif (entry.part in rods and entry.part not in single) == (entry.what == "weight"):
            want = "total, big_end or small_end" if entry.part in rods else "weight"
            yield (*place, "what"), f"{entry.what!r} does not fit {entry.part!r}: write {want}"
        elif entry.undo == (entry.value is not None):
            yield place, "needs a value, or undo = true, and not both"
        elif entry.undo and not standing[key]:
            what = "" if entry.what == "weight" else f" {entry.what.replace('_', ' ')}"
            yield place, f"{entry.part}{what}: nothing left to take back"
        else:
            standing[key] += -1 if entry.undo else 1


def _spins(job: Job) -> Found:
    if (job.spins or job.proofs) and job.machine is None:
        first: Path = ("spins", 0) if job.spins else ("proofs", 0)
        yield first, "there is a spin but no [machine] that says how it counts its angles"
        return
    planes = [plane.name for plane in job.machine.planes] if job.machine else []
    for index, proof in enumerate(job.proofs):
        yield from _planes_of(("proofs", index), proof.readings, planes)
        for place, stuck in enumerate(proof.stuck):
            if stuck.plane not in planes:
                message = f"{stuck.plane!r} is no plane of the machine: {', '.join(planes)}"
                yield ("proofs", index, "stuck", place, "plane"), message
    standing: list[tuple[str, ...]] = []
    for index, spin in enumerate(job.spins):
        if not spin.undo:
            standing.append(spin.on)
            yield from _planes_of(("spins", index), spin.readings, planes)
            yield from _putty(job, index, spin, planes)
            yield from _stack(job, index, spin)
        elif spin.readings or spin.stuck:
            yield ("spins", index), "takes a spin back, so it has no readings of its own"
        elif spin.on not in standing:
            yield ("spins", index), f"takes back a spin of {' + '.join(spin.on)} that is not there"
        else:
            standing.remove(spin.on)


def _planes_of(place: Path, readings: tuple[ReadingPage, ...], planes: list[str]) -> Found:
    if sorted(reading.plane for reading in readings) != sorted(planes):
        message = f"must have one reading for each plane of the machine: {', '.join(planes)}"
        yield (*place, "readings"), message


def _putty(job: Job, index: int, spin: SpinPage, planes: list[str]) -> Found:
    marks = [weight.mark for weight in job.crank.counterweights] if job.crank else []
    for number, putty in enumerate(spin.stuck):
        place: Path = ("spins", index, "stuck", number)
        if (putty.part is None) == (putty.plane is None):
            yield place, "must say part (a counterweight) or plane (of the machine), one of the two"
        elif putty.part is not None and putty.part not in marks:
            known = ", ".join(marks) or "none yet"
            yield (*place, "part"), f"{putty.part!r} is no counterweight; there are: {known}"
        elif putty.plane is not None and putty.plane not in planes:
            message = f"{putty.plane!r} is no plane of the machine: {', '.join(planes)}"
            yield (*place, "plane"), message
        elif putty.plane is not None and putty.radius is None:
            yield place, f"how far out was it? Write radius beside plane {putty.plane!r}"


def _stack(job: Job, index: int, spin: SpinPage) -> Found:
    place: Path = ("spins", index)
    bolted = [part.name for part in job.bolted]
    if spin.on[0] != "crank":
        yield (*place, "on"), f'must begin with "crank", found {spin.on[0]!r}'
    if len(set(spin.on)) < len(spin.on):
        yield (*place, "on"), "names a part twice"
    for name in spin.on[1:]:
        if name not in bolted:
            known = ", ".join(bolted) or "none"
            yield (*place, "on"), f"{name!r} is no part under [[bolted]]; there are: {known}"
    if spin.drilled > len(job.drilled):
        message = f"{spin.drilled} holes, but there are {len(job.drilled)} [[drilled]] entries"
        yield (*place, "drilled"), message


def _machine(job: Job) -> Found:
    if job.machine is None:
        return
    names = [plane.name for plane in job.machine.planes]
    places = [plane.z for plane in job.machine.planes]
    if len(set(names)) < len(names) or len(set(places)) < len(places):
        yield ("machine", "planes"), "must have two names and two places"
    yield from _sides(job.machine)
    known = [job.machine.counts, job.machine.zero, job.machine.points_to]
    if None in known and any(value is not None for value in known):
        yield (
            ("machine",),
            (
                "must have all of counts, zero and points_to, or none of them and [[proofs]] that "
                "find them"
            ),
        )
    for index, plane in enumerate(job.machine.planes):
        if plane.radius is None and job.machine.unit in ("g", "oz"):
            message = (
                f"shows {job.machine.unit}, a mass: at which radius is plane {plane.name!r} set?"
            )
            yield ("machine", "planes", index), f'{message} Write radius, or unit = "oz in"'


def _sides(machine: MachinePage) -> Found:
    """Planes that are called left and right lie as the nose of the crank says."""
    at = {plane.name.casefold(): plane.z for plane in machine.planes}
    if machine.nose is None or not {"left", "right"} <= {*at}:
        return
    nearest = min(("left", "right"), key=lambda side: at[side])
    if nearest != machine.nose:
        yield (
            ("machine", "nose"),
            (
                f"the nose is said to lie on the {machine.nose}, but plane {nearest!r} is nearest "
                f"to it (z {at[nearest]:g} mm): mend nose, or the names or z of the planes"
            ),
        )


def _amounts(job: Job) -> Found:
    """Read every amount once, so that a wrong one is found with its line."""
    if job.machine is None:
        return
    planes = {plane.name: plane.radius for plane in job.machine.planes}
    entries = [("proofs", k, proof.readings) for k, proof in enumerate(job.proofs)]
    entries += [("spins", k, spin.readings) for k, spin in enumerate(job.spins)]
    for table, index, readings in entries:
        for place, reading in enumerate(readings):
            radius = planes.get(reading.plane)
            try:
                amount_gmm(reading.amount, unit=job.machine.unit, radius_mm=radius)
            except InputError as wrong:
                yield (table, index, "readings", place, "amount"), str(wrong)


def _drilled(job: Job) -> Found:
    weights = [c.mark for c in job.crank.counterweights] if job.crank else []
    known = [*weights, *(part.name for part in job.bolted)]
    standing = Counter[str]()
    for index, entry in enumerate(job.drilled):
        place: Path = ("drilled", index)
        if entry.part not in known:
            message = (
                f"{entry.part!r} is neither a counterweight nor a bolted part: {', '.join(known)}"
            )
            yield (*place, "part"), message
        elif not entry.undo and entry.hole is None:
            lacking = [key for key in ("angle", "diameter", "depth") if getattr(entry, key) is None]
            yield place, f"needs {' and '.join(lacking)}, or undo = true"
        elif entry.undo and {"angle", "diameter", "depth"} & entry.model_fields_set:
            yield place, f"takes back a hole of {entry.part}, so it has no hole of its own"
        elif entry.undo and not standing[entry.part]:
            yield place, f"takes back a hole of {entry.part} that is not there"
        else:
            standing[entry.part] += -1 if entry.undo else 1


def _targets(job: Job) -> Found:
    if job.targets.grade is not None and job.targets.per_bearing is not None:
        yield ("targets", "grade"), "is given and per_bearing too: keep one of the two"


_RULES = (
    _marks,
    _shared_marks,
    _engine,
    _crank,
    _sizes,
    _weighings,
    _machine,
    _spins,
    _amounts,
    _drilled,
    _targets,
)
