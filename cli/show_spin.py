"""What the machine's readings say, for people."""

from balance.metal.drilled_holes import holes_since
from balance.sheet.check_spin_words import RESTS_ON_PROOFS
from balance.sheet.results import Results
from balance.sheet.still_open import bolt_up, still_open
from balance.sheet.wording import sentence
from balance.spin.planes import amplification
from balance.spin.proof_steps import machine_in_words, machine_rests_on
from balance.spin.spun import PartUnbalance, Spun
from balance.spin.tolerance import in_words
from balance.units import show
from balance.vectors import amount, degrees, whole_degrees
from cli.printing import gmm, heading, next_step, say, table, title
from cli.show_check_spin import CLEAR_UP, STOPPED, show_recorded_check

VERDICTS = {"pass": "PASS", "fail": "outside", "not proven": "NOT PROVEN"}
SPIN_FIRST = "SPIN FIRST"


def show_spin(results: Results) -> None:
    """Print how the machine was understood, every part's unbalance, its limit and the verdict."""
    job, spun = results.job, results.spun
    title("Spin", job)
    if job.machine is not None:
        say(machine_in_words(job.machine, spun.machine))
    _warnings(results)
    heading("Unbalance of each part (heavy side; 0 deg is crankpin 1, seen from the flywheel)")
    late = holes_since(job, spun)
    found = still_open(results)
    refuted = found is not None and found.kind == "stop"
    rows = []
    for part in spun.parts:
        verdict = VERDICTS[part.verdict]
        if part.name in late:
            verdict = SPIN_FIRST
        elif refuted and part.verdict == "pass":  # it may not rest on what is contradicted
            verdict = "NOT PROVEN"
        rows += _rows(part, verdict)
    table(["part", "plane mm", "g mm", "oz in", "at deg", "u g mm", "limit g mm", ""], rows, left=1)
    say("u is the standard uncertainty; within 1.65 u of a limit nothing is proven.")
    if late:
        say("SPIN FIRST: what was drilled since is not in this reading; nothing is passed by it.")
    _limits(results)
    _together(spun)
    _history(results)
    next_step(_next(results))


def _next(results: Results) -> str:
    """Return what comes next, by the one rule of what is still open."""
    job, found = results.job, still_open(results)
    if found is None:
        return f"heavyspot report {job.source}; the record is what is kept and signed."
    if found.kind == "stop":
        recorded = results.recorded_check
        return CLEAR_UP if recorded is not None and recorded.contradicts else STOPPED
    if found.kind == "spin":
        return f"spin again and enter it: heavyspot spin {job.source} --add."
    if found.kind == "bolt up":
        return bolt_up(results)
    prove = "prove the machine (heavyspot prove) before any metal is cut; then "
    return f"{prove * (not results.spun.proven)}heavyspot correct."


def _warnings(results: Results) -> None:
    job, recorded = results.job, results.recorded_check
    if not results.spun.proven and not (recorded and recorded.contradicts):
        say(
            "",
            "WARNING this convention is not proven: stick a known mass at a known place, spin,",
            "and see that the reading points there before any metal is cut.",
        )
    show_recorded_check(job, recorded)
    if machine_rests_on(job) == "proofs" and not (recorded and recorded.verdict):
        say("", RESTS_ON_PROOFS)
    if results.spun.contradiction:
        say("", f"STOP: {sentence(results.spun.contradiction)}")
    for doubt in results.spun.doubts:
        say("", f"WARNING {sentence(doubt)}")
    if results.parts_unknown:
        say("", "The parts are not weighed in this job: the bobweights are taken as right.")


def _together(spun: Spun) -> None:
    """Print the last stack as a whole, where more than the crank turned."""
    last = spun.stacks[-1]
    if len(last.on) == 1:
        return
    heading("All together, in the planes of the bearings")
    planes = zip(
        spun.bearings_mm, last.unbalance, last.u_gmm, spun.total_permissible_gmm, strict=True
    )
    rows = [
        [
            f"{z:g}",
            gmm(amount(u)),
            show(float(amount(u)), "unbalance", "oz in").removesuffix(" oz in"),
            whole_degrees(degrees(u)),
            gmm(s),
            gmm(limit),
        ]
        for z, u, s, limit in planes
    ]
    table(["plane mm", "g mm", "oz in", "at deg", "u g mm", "limit g mm"], rows, left=0)


def _history(results: Results) -> None:
    """Print prediction against reading for every correction that was spun again."""
    history = results.history
    if not history.steps:
        return
    heading("After drilling: what the holes should have left, and what was read")
    rows = []
    for step in history.steps:
        zipped = zip(
            results.spun.bearings_mm,
            step.check.predicted,
            step.respun.after.unbalance,
            step.check.u_gmm,
            step.check.agrees,
            strict=True,
        )
        for z, said, read, u, agrees in zipped:
            rows.append(
                [
                    " + ".join(step.on),
                    f"{z:g}",
                    gmm(amount(said)),
                    whole_degrees(degrees(said)),
                    gmm(amount(read)),
                    whole_degrees(degrees(read)),
                    gmm(u),
                    "agrees" if agrees else "DISAGREES",
                ]
            )
    columns = ["stack", "plane mm", "said g mm", "at deg", "read g mm", "at deg", "u g mm", ""]
    table(columns, rows)
    for step in history.steps:
        if not all(step.check.agrees):
            say(f"{' + '.join(step.on)}: {step.check.message}")
    learned = None if results.unexplained else history.learned
    if learned is not None and learned.used and learned.proven:
        say(
            f"Machine and drill together do {learned.scale:.2f} of what is planned, turned by "
            f"{learned.degrees:+.1f} deg."
        )


def _rows(part: PartUnbalance, verdict: str) -> list[list[str]]:
    rows = []
    zipped = zip(part.planes_mm, part.unbalance, part.u_gmm, part.permissible_gmm, strict=True)
    for index, (z, u, s, limit) in enumerate(zipped):
        rows.append(
            [
                part.name if index == 0 else "",
                f"{z:g}",
                gmm(amount(u)),
                show(float(amount(u)), "unbalance", "oz in").removesuffix(" oz in"),
                whole_degrees(degrees(u)),
                gmm(s),
                gmm(limit),
                verdict if index == 0 else "",
            ]
        )
    return rows


def _limits(results: Results) -> None:
    targets, spun = results.job.targets, results.spun
    if targets.grade is not None and targets.service_speed is not None:
        say(
            f"Limits: grade G {targets.grade:g} at {targets.service_speed:.0f} rpm (ISO 21940-11), "
            "each part by its own mass."
        )
    elif targets.per_bearing is not None:
        said = show(targets.per_bearing, "unbalance", "oz in")
        say(f"Limits: {gmm(targets.per_bearing)} g mm ({said}) in each bearing plane, as ordered.")
    for part in spun.parts:
        for z, limit in zip(part.planes_mm, part.permissible_gmm, strict=True):
            say(f"{part.name}, plane {z:g} mm: {_in_words(results, part, float(limit))}.")
        if part.mounting_gmm:
            say(_seat(part))
    remark = amplification(spun.machine.planes_mm, spun.bearings_mm).remark
    if remark and len(spun.machine.planes_mm) > 1:
        say(f"WARNING {remark}.")


def _seat(part: PartUnbalance) -> str:
    """Say what a part's seat amounts to, and what of it a refit may change."""
    if not part.refit_gmm:
        return (
            f"{part.name}: run-out of its seat amounts to {gmm(part.mounting_gmm)} g mm; what its "
            "clearance lets a refit change is not known. Below that nothing is worth chasing."
        )
    return (
        f"{part.name}: run-out and clearance of its seat amount to {gmm(part.mounting_gmm)} g mm, "
        f"of which {gmm(part.refit_gmm)} g mm may change at every refit; below that nothing is "
        "worth chasing."
    )


def _in_words(results: Results, part: PartUnbalance, limit: float) -> str:
    """Return a limit in every way the trade speaks of it, as far as the job lets it be known."""
    job, speed = results.job, results.job.targets.service_speed
    page = next((bolted for bolted in job.bolted if bolted.name == part.name), None)
    weights = job.crank.counterweights if job.crank else ()
    radius = page.hole_radius if page else weights[0].radius if weights else None
    mass = page.mass if page else job.crank.mass if job.crank else 0.0
    if radius is None or speed is None:
        return f"{show(limit, 'unbalance', 'g mm')} = {show(limit, 'unbalance', 'oz in')}"
    share = limit / float(part.permissible_gmm.sum())
    words = in_words(
        limit, rotor_mass_kg=mass / 1000, speed_rpm=speed, radius_mm=radius, share=share
    )
    return str(words)
