"""What the proof spins say of the machine, for people."""

from balance.job.model import Job
from balance.sheet.check_spin_words import RESTS_ON_PROOFS
from balance.spin.proof_steps import Proved, machine_in_words, machine_rests_on
from balance.vectors import whole_degrees
from cli.cautions import SPINNING, caution
from cli.printing import bullets, gmm, heading, next_step, say, title


def show_proof(job: Job, proved: Proved) -> None:
    """Print the convention that was found, how sure, what contradicts it, and the next spin."""
    found = proved.identified
    title("Proof of the machine", job)
    sense = "counter-clockwise" if found.best.sense > 0 else "clockwise"
    first = "nose" if found.best.nose_first else "flywheel"
    say(
        f"From {len(job.proofs)} spins: its numbers run {sense} seen from the flywheel, and it "
        f"shows the plane nearest the {first} first. Probability {found.best.probability:.3f}; "
        f"misfit {found.best.misfit:.3f}, of the next likely way {found.runner_up.misfit:.3f}."
    )
    if found.cross_talk is not None:
        say(
            f"Of an unbalance in one plane {found.cross_talk:.0%} shows in the other; it stays in",
            "every reading.",
        )
    if proved.differences:
        heading("The job file says otherwise")
        bullets(proved.differences)
    meant = proved.found if proved.differences else proved.machine
    if meant is not None and job.machine is not None:
        heading("By these spins a reading means")
        say(machine_in_words(job.machine, meant))
    if proved.differences and meant is not None:
        heading("To follow the spins, write under [machine]")
        bullets(
            [
                f'counts = "{meant.counts}"',
                f'seen_from = "{meant.seen_from}"',
                f'zero = "{meant.zero_degrees:.1f} deg"',
                f'points_to = "{meant.points_to}"',
            ]
        )
    if meant is not None and machine_rests_on(job) == "proofs":
        say("", RESTS_ON_PROOFS)
    if found.warnings:
        heading("Mind")
        bullets(found.warnings)
    _next(job, proved)


def _next(job: Job, proved: Proved) -> None:
    spin = proved.identified.next_spin
    if spin is not None and job.machine is not None:
        caution(SPINNING)
        places = sorted(plane.z for plane in job.machine.planes)
        next_step(
            f"one more spin with a mass of {gmm(spin.unbalance_gmm)} g mm (grams x radius in mm) "
            f"fixed at {whole_degrees(spin.degrees)} deg from crankpin 1, counter-clockwise seen "
            f"from the flywheel, in the plane at {places[spin.plane]:g} mm."
        )
    elif proved.differences:
        next_step("mend [machine] where it differs, before anything is drilled.")
    else:
        next_step("heavyspot spin.")
