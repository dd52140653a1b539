"""What the proof spins say of the machine, for people."""

from balance.job.model import Job
from balance.spin.machine import statement
from balance.spin.proof_steps import Proved
from cli.cautions import SPINNING, caution
from cli.printing import bullets, heading, next_step, say, title


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
        say(f"Of an unbalance in one plane {found.cross_talk:.0%} shows in the other.")
    if proved.machine is not None:
        heading("So a reading is taken to mean")
        say(statement(proved.machine))
    if proved.differences:
        heading("The job file says otherwise")
        bullets(proved.differences)
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
            f"one more spin: {spin.unbalance_gmm:.0f} g mm fixed at {spin.degrees:.0f} deg of the "
            f"crank in the plane at {places[spin.plane]:g} mm."
        )
    elif proved.differences:
        next_step("mend [machine] where it differs, before anything is drilled.")
    else:
        next_step("heavyspot spin.")
