"""The drilling page: all that the person at the drill press needs, on one sheet of paper."""

from collections.abc import Iterator

from balance.errors import MissingInputError
from balance.job.appended import SpinPage
from balance.job.model import Job
from balance.metal.steps import Corrected
from balance.sheet.blocks import Block, Heading, Text, clean
from balance.sheet.results import Results
from balance.sheet.sections_check_spin import check_spin_section
from balance.sheet.sections_metal import (
    cautions_section,
    drill_section,
    seats_section,
    stop_section,
)
from balance.sheet.sections_parts import not_yet
from balance.sheet.sections_spin import angles_section
from balance.sheet.sections_views import views_section
from balance.sheet.wording import number
from balance.spin.check_spin_steps import last_check
from balance.spin.proof_steps import is_proven
from balance.spin.states import alike_spins

__all__ = ["drilling_page", "rests_on"]


def drilling_page(results: Results) -> tuple[Block, ...]:
    """Return the page that goes to the drill press, or what is still to be measured for it."""
    try:
        work = (*drill_section(results), *views_section(results))
    except MissingInputError as missing:
        return (
            Heading("5  Drilling"),
            *angles_section(results),
            Text(clean(not_yet(missing))),
        )
    if results.stop:  # the plan rests on what has been refuted
        why = check_spin_section(results) if results.check_spin.contradiction else ()
        return (Heading("5  Drilling"), *why, *stop_section(results), *angles_section(results))
    if not _planned(results.corrected):
        check = check_spin_section(results)
        return (Heading("5  Drilling"), *check, *work, *angles_section(results))
    return (
        Heading(f"5  Drilling: {clean(results.job.job.name)}", new_page=True),
        Text(" ".join(_whose(results.job))),
        Text(" ".join(rests_on(results)), small=True),
        *check_spin_section(results),
        *cautions_section(results),
        *work,
        *angles_section(results, warn=False),
        *seats_section(results),
    )


def _planned(corrected: Corrected) -> bool:
    """Return whether there is a hole to drill or a slug to fit."""
    plan = corrected.crank.plan
    return bool(plan.holes or plan.slugs or any(disc.plan.holes for disc in corrected.discs))


def _whose(job: Job) -> Iterator[str]:
    """Yield what tells this page from another job's when it lies by itself."""
    about = job.job
    yield f"{clean(about.engine)}." if about.engine else "Engine not named."
    yield f"Date {about.date.isoformat()}." if about.date else "Date not written."
    yield f"By {clean(about.balancer)}." if about.balancer else "Balancer not named."


def rests_on(results: Results) -> Iterator[str]:
    """Yield on which spins the holes rest, what hung on the pins, and what proved the machine."""
    job, spun = results.job, results.spun
    spins = [s for stack in spun.stacks for s in alike_spins(job, stack.on, stack.drilled)]
    yield f"Rests on {'; '.join(_spin(job, spin) for spin in spins)}."
    recorded = last_check(job, spun.machine)
    checked = recorded is not None and recorded.agrees
    yield f"Machine: {_proof(job, checked=checked)}."


def _spin(job: Job, spin: SpinPage) -> str:
    name = clean(spin.name) or "without a name"
    when = spin.time.date().isoformat() if spin.time else "no date"
    speed = f"{spin.speed:.0f} rpm" if spin.speed else "no speed"
    hung = " + ".join(number(mass, 1) for mass in spin.bobweights)
    with_ = f"bobweights {hung} g" if hung else "no bobweights"
    holes = len(job.standing_holes(last=spin.drilled))
    drilled = "no hole yet" if holes == 0 else f"{holes} holes before"
    turned = " + ".join(clean(part) for part in spin.on)
    return f"the spin “{name}” ({turned}, {when}, {speed}, {with_}, {drilled})"


def _proof(job: Job, *, checked: bool) -> str:
    """Return when a known mass proved how the machine counts."""
    if checked:
        return "borne out by this job's check spin with putty"
    if not is_proven(job) or job.machine is None:
        return "NOT PROVEN by a known mass"
    dates = sorted(proof.time.date().isoformat() for proof in job.proofs if proof.time)
    if len(job.proofs) > 1:
        when = dates[-1] if dates else "no date"
        return f"proven by this job's {len(job.proofs)} spins with known masses ({when})"
    return f"proven by a known mass on {job.machine.proven}"
