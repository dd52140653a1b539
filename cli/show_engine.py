"""Bobweights and the shake, for people."""

from balance.engine.bobweights import Bobweight
from balance.engine.steps import BobweightCard, taken_as_usual
from balance.sheet.results import Results
from balance.sheet.wording import capital, sentence
from balance.units import show
from cli.cautions import BARE_SPINNING, SPINNING, caution
from cli.printing import gmm, heading, next_step, say, table, title


def show_bobweights(results: Results) -> None:
    """Print the bobweight card, or the reason why there is none."""
    title("Bobweights", results.job)
    say(f"{capital(results.need.reason)}.")
    if not results.need.needed:
        caution(BARE_SPINNING)
        next_step("spin the crank bare, then heavyspot spin.")
        return
    if usual := taken_as_usual(results.job):
        say("", f"WARNING {sentence(usual)}")
    card = results.card
    heading(f"One for each pin, factor {card.factor:g}")
    rows = [row for weight in card.bobweights for row in _bobweight_rows(card, weight)]
    table(["pin", "cylinders", "", "count x each g", "g"], rows, left=3)
    _placing_matters(card)
    say(
        "Clamp each bobweight with its centre on the pin's centre, across and along. Torque the",
        "clamps and mark them before every run.",
    )
    caution(SPINNING)
    next_step("make them up, spin the crank with them on, then heavyspot spin.")


def _placing_matters(card: BobweightCard) -> None:
    if card.errors is not None:
        one = card.errors.throws[0]
        heading("What an error of one bobweight does, nose bearing and flywheel bearing")
        rows = [
            ["1 g too heavy", *(f"{gmm(u)} g mm" for u in one.mass_gmm)],
            ["0.05 mm off the pin's centre", *(f"{gmm(u)} g mm" for u in one.off_centre_gmm)],
            ["1 mm off along the pin", *(f"{gmm(u)} g mm" for u in one.along_gmm)],
        ]
        table(["", "nose", "flywheel"], rows)
    if card.target is not None:
        near, far = card.target.change_gmm
        say(
            f"A crank sold for this target may be made for {card.target.low_g:.0f} to "
            f"{card.target.high_g:.0f} g: {card.target.verdict}. To change (+ comes off): "
            f"{gmm(near[0])} to {gmm(near[1])} g mm at the nose, {gmm(far[0])} to {gmm(far[1])} "
            "g mm at the flywheel."
        )


def _bobweight_rows(card: BobweightCard, weight: Bobweight) -> list[list[str]]:
    names = " ".join(card.cylinders[index] for index in weight.cylinders)
    rows = [
        ["", "", item.name, f"{item.count:g} x {item.each_g:.2f}", f"{item.mass_g:.2f}"]
        for item in weight.items
    ]
    rows[0][:2] = [str(weight.throw + 1), names]
    return [*rows, ["", "", "make up", "", f"{weight.mass_g:.1f} g"]]


def show_shake(results: Results) -> None:
    """Print what the engine shakes, order by order, and the table of factors."""
    shook = results.shook
    shaking = shook.shaking
    title("Shake", results.job)
    say(f"At {shaking.speed_rpm:.0f} rpm, with the counterweights as ordered.")
    heading("Rotating vectors")
    rows = []
    for index, order in enumerate(shaking.orders):
        rows.append(
            [
                str(order),
                f"{abs(shaking.forward_force_n[index]):.0f}",
                f"{abs(shaking.backward_force_n[index]):.0f}",
                f"{abs(shaking.forward_couple_nm[index]):.0f}",
                f"{abs(shaking.backward_couple_nm[index]):.0f}",
                "with: yes" if order == 1 else "no",
            ]
        )
    columns = ["order", "force with N", "against N", "couple with Nm", "against Nm"]
    columns.append("crank work")
    table(columns, rows, left=1)
    say(
        "'With' turns the way the crank does, 'against' the other way. Metal on the crank can",
        "cancel only what turns with it, at order 1; no crank work can touch the rest.",
    )
    _factors(results)
    next_step("heavyspot spin." if results.need.needed else "spin the crank bare; heavyspot spin.")


def _factors(results: Results) -> None:
    shook = results.shook
    if not shook.ellipses or shook.least_worst is None:
        say("", "The pins cancel, so a balance factor changes nothing in this engine.")
        return
    heading("Balance factor: order 1 left over, in units of one cylinder's m r w2")
    kind = "force" if results.need.force else "couple"
    rows = []
    for ellipse in shook.ellipses:
        shape = getattr(ellipse, kind)
        own = "<- this job" if ellipse.factor == shook.card.factor else ""
        along = f"{round(shape.degrees) % 180}" if shape.major - shape.minor > 1e-6 else "all"
        rows.append([f"{ellipse.factor:g}", f"{shape.major:.3f}", f"{shape.minor:.3f}", along, own])
    table(["factor", f"worst {kind}", f"least {kind}", "worst at deg", ""], rows, left=1)
    best = shook.least_worst
    say(
        f"The smallest worst case is at factor {best.factor:.2f} (it leaves {best.left:.3f}). Any",
        "other factor makes one direction better and the direction across it worse.",
    )
    if shook.built_factor is not None:
        say(f"By the static test the crank was built to a factor of {shook.built_factor:.2f}.")
    if shook.one_percent_gmm is not None:
        near, far = (show(u, "unbalance", "oz in") for u in shook.one_percent_gmm)
        say(
            f"One percent of factor is {gmm(shook.one_percent_gmm[0])} g mm ({near}) at the nose "
            f"bearing and {gmm(shook.one_percent_gmm[1])} g mm ({far}) at the other."
        )
