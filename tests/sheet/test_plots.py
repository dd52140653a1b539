"""Pictures of every kind: what is drawn, where, and that the figure can be written."""

import io
import subprocess
import sys
import warnings
from dataclasses import replace
from importlib.resources import files
from types import SimpleNamespace

import numpy as np
import pytest
from matplotlib.figure import Figure

from balance.engine.steps import bobweight_job, shake_job
from balance.errors import InputError
from balance.job.load import read_job
from balance.metal.discs import DiscPlan
from balance.metal.planning import PlannedSlug, SlugChoice
from balance.metal.shapes import DrilledHole
from balance.metal.staging import FirstCut
from balance.metal.steps import correct_job
from balance.parts.steps import match_job
from balance.sheet import (
    counterweight_view,
    disc_view,
    drill_map,
    drilling_cloud,
    force_against_speed,
    polar_chart,
    shake_ellipse_plot,
    stack_vectors,
    weights_before_after,
)
from balance.spin.spun import PartUnbalance
from balance.spin.steps import spin_job
from balance.spin.tolerance import GUARD

NAMES = ["flat-four", "v8", "v-twin"]


def made(name):
    """A job as far as it is quick: the V8's slugs take the planner too long for a unit test."""
    job = read_job(files("cli.examples") / f"{name}.toml")
    matched = match_job(job)
    card = bobweight_job(job, matched)
    spun = spin_job(job, card.bobweights if card.need.needed else ())
    corrected = None if name == "v8" else correct_job(job, spun)
    return SimpleNamespace(
        job=job, matched=matched, spun=spun, shook=shake_job(job, card), corrected=corrected
    )


@pytest.fixture(scope="module")
def jobs():
    return {name: made(name) for name in NAMES}


def draw(figure: Figure) -> bytes:
    """Write a figure: a name taken for a formula, a missing sign or a crowded page would warn."""
    target = io.BytesIO()
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        figure.savefig(target, format="png", dpi=40)
    return target.getvalue()


def named(axes, gid):
    found = axes.findobj(lambda artist: artist.get_gid() == gid)
    assert found, f"nothing called {gid}"
    return found[0]


def ids(axes):
    return {artist.get_gid() for artist in axes.findobj() if artist.get_gid()}


def at(axes, gid):
    """The vector that a marker stands for: 0 degrees up, counter-clockwise."""
    (x,), (y,) = named(axes, gid).get_data()
    return complex(y, -x)


def angle(v):
    return np.degrees(np.angle(v)) % 360


def words(figure):
    return "\n".join(text.get_text() for text in figure.findobj(lambda a: hasattr(a, "get_text")))


def part_of(**new):
    part = PartUnbalance(
        "disc", (0.0,), np.array([300j]), np.array([5.0]), np.array([40.0]), "fail", 0.0, 0.0, 0
    )
    return replace(part, **new)


@pytest.mark.parametrize("name", NAMES)
def test_every_plot_of_every_example_is_written_without_a_warning(jobs, name):
    one = jobs[name]
    figures = [
        weights_before_after(one.matched),
        shake_ellipse_plot(one.shook),
        force_against_speed(one.shook),
        stack_vectors(one.spun),
        *(polar_chart(part) for part in one.spun.parts),
    ]
    if one.corrected:
        figures += [counterweight_view(one.corrected.crank), drill_map(one.corrected.crank)]
    for figure in figures:
        assert draw(figure).startswith(b"\x89PNG")


@pytest.mark.parametrize("name", ["flat-four", "v-twin"])
def test_the_polar_chart_shows_spot_limit_holes_and_residual_where_they_are(jobs, name):
    corrected, part = jobs[name].corrected, jobs[name].spun.parts[0]
    plan = corrected.crank.plan
    figure = polar_chart(part, correction=corrected.crank)
    assert len(figure.axes) == 4  # two planes, each whole and close up
    for n, axes in enumerate(figure.axes[:2]):
        assert at(axes, "heavy-spot") == pytest.approx(part.unbalance[n])
        assert named(axes, "tolerance").get_radius() == part.permissible_gmm[n]
        assert at(axes, "residual") == pytest.approx(plan.residual[n])
        for number, hole in enumerate(plan.holes, start=1):
            assert angle(at(axes, f"mark-{number}")) == pytest.approx(hole.degrees % 360)
    for n, axes in enumerate(figure.axes[2:]):
        guard = named(axes, "guard")
        assert guard.get_radius() == pytest.approx(GUARD * part.u_gmm[n])
        x, y = guard.get_center()
        assert complex(y, -x) == pytest.approx(plan.residual[n])
    assert "Seen from the flywheel end" in words(figure)
    assert "g mm" in words(figure)


def test_the_arrows_lead_from_the_heavy_spot_to_the_residual(jobs):
    corrected, part = jobs["flat-four"].corrected, jobs["flat-four"].spun.parts[0]
    for n, axes in enumerate(polar_chart(part, correction=corrected.crank).axes[:2]):
        arrows = [a for a in axes.texts if getattr(a, "arrow_patch", None) is not None]
        assert len(arrows) == len(corrected.crank.plan.holes)
        (x0, y0), (x1, y1) = arrows[0].xyann, arrows[-1].xy
        assert complex(y0, -x0) == pytest.approx(part.unbalance[n])
        assert complex(y1, -x1) == pytest.approx(corrected.crank.plan.residual[n])


def test_a_bolted_part_has_one_plane_and_its_holes(jobs):
    corrected, part = jobs["flat-four"].corrected, jobs["flat-four"].spun.parts[1]
    disc = corrected.discs[0]
    figure = polar_chart(part, correction=disc)
    assert len(figure.axes) == 2
    assert disc.first_hole == 1 + len(corrected.crank.plan.holes)  # numbered on from the crank's
    mark = at(figure.axes[0], f"mark-{disc.first_hole}")
    assert angle(mark) == pytest.approx(disc.plan.holes[0].degrees)


def test_earlier_spins_are_numbered_and_the_reading_joins_them_once_holes_were_drilled(jobs):
    corrected, part = jobs["flat-four"].corrected, jobs["flat-four"].spun.parts[0]
    earlier = part.unbalance * 1.5j
    assert at(polar_chart(part, history=[earlier]).axes[0], "spin-1") == pytest.approx(earlier[0])
    drilled = replace(corrected.crank, before=part.unbalance - 50)
    axes = polar_chart(part, correction=drilled, history=[earlier]).axes[0]
    assert at(axes, "spin-2") == pytest.approx(part.unbalance[0])
    assert at(axes, "heavy-spot") == pytest.approx(part.unbalance[0] - 50)


def test_a_history_of_another_number_of_planes_is_refused():
    with pytest.raises(InputError, match=r"history must hold 1 planes a spin, got \[\(1\+0j\), "):
        polar_chart(part_of(), history=[[1, 2]])


def test_a_part_without_unbalance_is_drawn():
    assert draw(polar_chart(part_of(unbalance=np.array([0j]))))


def test_a_plan_that_was_not_found_says_why_and_has_no_close_up(jobs):
    corrected, part = jobs["v-twin"].corrected, jobs["v-twin"].spun.parts[0]
    none = replace(corrected.crank.plan, holes=(), feasible=False, reason="no drill reaches 90°")
    crank = replace(corrected.crank, plan=none)
    figure = polar_chart(part, correction=crank)
    assert len(figure.axes) == 2
    for picture in (figure, counterweight_view(crank), drill_map(crank)):
        assert "no drill reaches 90°" in words(picture)
        assert draw(picture)


@pytest.mark.parametrize("name", ["flat-four", "v-twin"])
def test_end_views_show_the_holes_at_their_angle_and_depth(jobs, name):
    crank = jobs[name].corrected.crank
    figure = counterweight_view(crank)
    worked = sorted({hole.counterweight for hole in crank.plan.holes})
    assert len(figure.axes) == len(worked)
    for number, hole in enumerate(crank.plan.holes, start=1):
        axes = figure.axes[worked.index(hole.counterweight)]
        x, y = named(axes, f"hole-{number}").get_xy().T
        outline = y - 1j * x
        rim = crank.counterweights[hole.counterweight].radius_mm
        tip = outline[np.abs(outline).argmin()]
        point = hole.diameter_mm / 2 / np.tan(np.radians(59))  # 118 degrees
        assert abs(tip) == pytest.approx(rim - hole.depth_mm - point)
        assert angle(tip) == pytest.approx(hole.degrees % 360)
        along = (outline * np.exp(-1j * np.radians(hole.degrees))).real
        across = (outline * np.exp(-1j * np.radians(hole.degrees))).imag
        assert np.ptp(across) == pytest.approx(hole.diameter_mm)
        assert np.abs(along - (rim - hole.depth_mm)).min() < 1e-9
        assert f"{number}:  {hole.degrees % 360:g}°  drill " in axes.get_title()
        assert f"{hole.depth_mm:g} mm deep" in axes.get_title()


def test_a_first_cut_is_a_line_across_the_hole_and_a_word(jobs):
    crank = jobs["flat-four"].corrected.crank
    hole = crank.plan.holes[0]
    cut = FirstCut(hole, 0.8, 0.75 * hole.depth_mm, 0.75 * hole.depth_mm + 2.7)
    figure = counterweight_view(crank, first_cut=[cut])
    x, y = named(figure.axes[0], "first-1").get_data()
    ends = (y - 1j * x) * np.exp(-1j * np.radians(hole.degrees))
    rim = crank.counterweights[hole.counterweight].radius_mm
    assert ends.real == pytest.approx(rim - 0.75 * hole.depth_mm)
    assert np.ptp(ends.imag) == pytest.approx(hole.diameter_mm)
    assert f"first cut {cut.depth_mm:.1f} mm deep" in figure.axes[0].get_title()
    assert "first cut" not in figure.axes[1].get_title()
    assert draw(figure)
    whole = FirstCut(hole, 1.0, hole.depth_mm, hole.depth_mm + 2.7)
    at_once = counterweight_view(crank, first_cut=[whole])
    assert "first cut" not in words(at_once)


def test_end_views_keep_one_scale_and_draw_the_sector(jobs):
    crank = jobs["flat-four"].corrected.crank
    figure = counterweight_view(crank, which=range(8))
    assert len({axes.get_xlim() for axes in figure.axes}) == 1
    rim = named(figure.axes[0], "rim")
    assert (rim.theta1, rim.theta2, rim.width) == (122.0, 238.0, 156.0)


def test_old_holes_slugs_and_drill_names_are_drawn(jobs):
    crank = jobs["v-twin"].corrected.crank
    old = replace(crank.counterweights[0], holes=(DrilledHole(120.0, 10.0, 12.0),))
    across = PlannedSlug(SlugChoice(20.0, 22.0, 18.0, wall_mm=4.0), 100.0, 0, 500.0)
    radial = PlannedSlug(SlugChoice(16.0, 15.0, 18.0, bore_depth_mm=20.0), 200.0, 1, 400.0)
    full = replace(
        crank,
        counterweights=(old, crank.counterweights[1]),
        plan=replace(crank.plan, slugs=(across, radial)),
    )
    figure = counterweight_view(full, drill_names={crank.plan.holes[0].diameter_mm: "long one"})
    assert {"old-hole", "slug-1"} <= ids(figure.axes[0])
    x, y = named(figure.axes[0], "slug-1").get_center()
    assert abs(complex(y, -x)) == pytest.approx(104 - 4 - 10)
    assert angle(complex(y, -x)) == pytest.approx(100)
    x, y = named(figure.axes[1], "slug-2").get_xy()[:-1].mean(axis=0)
    assert abs(complex(y, -x)) == pytest.approx(104 - 20 + 7.5)
    assert "drill long one" in figure.axes[0].get_title()
    assert {"slug-1", "slug-2", "old-hole"} <= ids(drill_map(full).axes[0])
    axes = polar_chart(jobs["v-twin"].spun.parts[0], correction=full).axes[0]
    assert angle(at(axes, "mark-S1")) == pytest.approx(100)
    for picture in (figure, drill_map(full)):
        assert draw(picture)


@pytest.mark.parametrize("which", [[], [8], [-1]])
def test_a_counterweight_that_is_not_there_is_refused(jobs, which):
    with pytest.raises(InputError, match=r"which must hold indexes from 0 to 7, got \["):
        counterweight_view(jobs["flat-four"].corrected.crank, which=which)


def test_the_drill_map_has_units_and_every_hole_at_its_place(jobs):
    crank = jobs["flat-four"].corrected.crank
    axes = drill_map(crank).axes[0]
    assert axes.get_xlabel().endswith("[mm]")
    assert axes.get_ylabel().endswith("[°]")
    for number, hole in enumerate(crank.plan.holes, start=1):
        mouth = named(axes, f"hole-{number}")
        assert mouth.get_center() == pytest.approx((hole.z_mm, hole.degrees % 360))
        assert mouth.get_width() == hole.diameter_mm


def test_a_field_over_the_zero_mark_is_drawn_on_both_sides(jobs):
    axes = drill_map(jobs["flat-four"].corrected.crank).axes[0]
    fields = axes.findobj(lambda artist: artist.get_gid() == "field")
    assert len(fields) == 4 + 2 * 4  # four webs at 180 degrees, four across 0
    assert sum(field.get_height() for field in fields) == pytest.approx(8 * 116)


def test_the_disc_view_shows_holes_circle_and_arcs_to_keep_clear(jobs):
    disc = jobs["flat-four"].corrected.discs[0]
    figure = disc_view(
        disc, circle_mm=112.0, keep_clear=[(350.0, 20.0)], existing=[DrilledHole(200, 8, 5)]
    )
    axes = figure.axes[0]
    hole = named(axes, f"hole-{disc.first_hole}")
    x, y = hole.get_center()
    assert abs(complex(y, -x)) == pytest.approx(112)
    assert angle(complex(y, -x)) == pytest.approx(disc.plan.holes[0].degrees)
    assert hole.get_radius() == disc.plan.holes[0].diameter_mm / 2
    assert named(axes, "pitch-circle").get_radius() == 112
    wedge = named(axes, "keep-clear")
    assert (wedge.theta2 - wedge.theta1) % 360 == pytest.approx(30)
    assert "old-hole" in ids(axes)
    assert draw(figure)


def test_a_disc_without_holes_says_why(jobs):
    empty = DiscPlan((), 0j, 0.0, 0, True, "nothing to drill: within it already")
    disc = replace(jobs["flat-four"].corrected.discs[0], plan=empty, before=0j)
    figure = disc_view(disc, circle_mm=100.0)
    assert "within it already" in figure.axes[0].get_title()
    assert draw(figure)


def test_a_disc_without_a_circle_is_refused(jobs):
    with pytest.raises(InputError, match=r"circle_mm must be greater than zero, got 0\.0"):
        disc_view(jobs["flat-four"].corrected.discs[0], circle_mm=0.0)


def test_bars_hold_the_weights_and_the_bands_the_tolerance(jobs):
    matched = jobs["flat-four"].matched
    sets, big_ends, pistons, _, _ = weights_before_after(matched).axes
    assert all(
        axes.get_ylabel().startswith("weight [g], from ") for axes in (sets, big_ends, pistons)
    )
    stays = sets.containers[0]
    for bar, one in zip(stays, matched.sets, strict=True):
        assert bar.get_height() == pytest.approx(one.piston_g + one.pin_g + one.small_end_g)
    band = named(sets, "band")
    assert band.get_height() == pytest.approx(matched.tolerance_g)
    assert band.get_y() + band.get_height() == pytest.approx(matched.match.target_g)
    cuts = [bar.get_height() for bar in pistons.containers[1]]
    assert cuts == pytest.approx([s.piston_cut_g for s in matched.sets if s.piston_cut_g > 0])


@pytest.mark.parametrize("cylinders", [1, 2, 3, 5, 7, 12])
def test_bars_for_one_to_twelve_cylinders(jobs, cylinders):
    matched = jobs["v8"].matched
    sets = tuple(matched.sets[n % 8] for n in range(cylinders))
    figure = weights_before_after(replace(matched, sets=sets))
    assert all(len(axes.containers[0]) == cylinders for axes in figure.axes)
    assert draw(figure)


def test_spare_parts_are_named(jobs):
    matched = jobs["v8"].matched
    figure = weights_before_after(replace(matched, sets=matched.sets[:6]))
    assert "2 spare pistons, 2 spare pins, 2 spare rods" in figure.get_suptitle()


def test_names_with_signs_of_formulas_are_written_as_they_are(jobs):
    one = jobs["v-twin"]
    sets = tuple(replace(s, piston=r"$P_1$ \frac", rod="50% & $x^2$") for s in one.matched.sets)
    marks = ("$W_1$", r"W_{\alpha}$")
    crank = replace(one.corrected.crank, marks=marks)
    pictures = [
        weights_before_after(replace(one.matched, sets=sets)),
        counterweight_view(crank),
        drill_map(crank),
        polar_chart(part_of(name=r"$\undefined$")),
        drilling_cloud([1.0], limit_gmm=2.0, plane_names=[r"a $\bad{$ plane"]),
    ]
    assert all(draw(picture) for picture in pictures)


def test_an_ellipse_is_drawn_for_each_factor_to_its_half_axes(jobs):
    shook = jobs["v-twin"].shook
    figure = shake_ellipse_plot(shook)
    axes = figure.axes[0]
    assert axes.get_title().startswith("order 1 force, by factor")
    for one in shook.ellipses:
        x, y = named(axes, f"factor-{one.factor:g}").get_data()
        size = np.hypot(x, y)
        assert size.max() == pytest.approx(one.force.major, rel=1e-3)
        assert size.min() == pytest.approx(one.force.minor, rel=1e-3, abs=1e-3)
    assert "no couple" in figure.get_suptitle()


def test_the_locus_is_the_force_over_one_turn(jobs):
    shook = jobs["flat-four"].shook
    axes = shake_ellipse_plot(shook).axes[0]  # no bobweights: no ellipses
    x, y = named(axes, "locus-force").get_data()
    force = shook.shaking.force_n(np.linspace(0, 360, 361))
    np.testing.assert_allclose(y - 1j * x, force, atol=1e-9)
    assert at(axes, "start-force") == pytest.approx(complex(force[0]))


def test_force_grows_with_the_square_of_speed(jobs):
    shook = jobs["v-twin"].shook
    left, right = force_against_speed(shook).axes
    assert left.get_xlabel() == "crank speed [rpm]"
    assert (left.get_ylabel(), right.get_ylabel()) == ("largest force [N]", "largest couple [N m]")
    x, y = left.lines[0].get_data()
    np.testing.assert_allclose(y[1:] / x[1:] ** 2, y[-1] / x[-1] ** 2)
    whole = np.abs(shook.shaking.force_n(np.linspace(0, 360, 361))).max()
    assert np.interp(shook.shaking.speed_rpm, x, y) == pytest.approx(whole, rel=1e-3)
    assert "order 1, 2, 4, 6" in right.get_title()  # one throw: no couple at all


def test_the_stack_shows_each_stack_and_the_limit_of_the_assembly(jobs):
    spun = jobs["flat-four"].spun
    for plane, axes in enumerate(stack_vectors(spun).axes):
        assert named(axes, "tolerance").get_radius() == spun.total_permissible_gmm[plane]
        for number, stack in enumerate(spun.stacks, start=1):
            assert at(axes, f"stack-{number}") == pytest.approx(stack.unbalance[plane])
        assert "3: clutch cover adds" in axes.get_title()


def test_the_cloud_parts_inside_from_outside():
    rng = np.random.default_rng(7)
    cloud = rng.normal(size=(500, 2, 2)) @ [1, 1j] * 20
    figure = drilling_cloud(cloud, limit_gmm=[30.0, 50.0], planned_gmm=[1, 2j])
    for n, (axes, limit) in enumerate(zip(figure.axes, (30.0, 50.0), strict=True)):
        inside = int((np.abs(cloud[:, n]) <= limit).sum())
        assert len(named(axes, "inside").get_xdata()) == inside
        assert len(named(axes, "outside").get_xdata()) == 500 - inside
        assert f"{inside} of 500" in axes.get_title()
        assert named(axes, "tolerance").get_radius() == limit
    assert at(figure.axes[1], "planned") == 2j
    assert draw(figure)


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"residual_gmm": []}, r"residual_gmm must hold trials by planes.*got shape \(0, 1\)"),
        ({"residual_gmm": [np.nan]}, r"residual_gmm must be finite, got \[nan\]"),
        ({"limit_gmm": 0.0}, r"limit_gmm must be greater than zero, got 0\.0"),
        ({"limit_gmm": [1, 2]}, r"limit_gmm must hold one limit or 1, got \[1, 2\]"),
        ({"planned_gmm": [1, 2]}, r"planned_gmm must hold 1 values, one a plane, got \[1, 2\]"),
        ({"plane_names": ["a", "b"]}, r"plane_names must hold 1 names, got \['a', 'b'\]"),
    ],
)
def test_a_cloud_that_does_not_fit_is_refused(given, message):
    arguments = {"residual_gmm": [1.0, 2.0], "limit_gmm": 5.0, **given}
    with pytest.raises(InputError, match=message):
        drilling_cloud(arguments.pop("residual_gmm"), **arguments)


def test_the_reader_s_own_settings_do_not_change_a_picture_nor_the_picture_them():
    import matplotlib as mpl

    with mpl.rc_context({"font.size": 33.0, "lines.linewidth": 9.0}):
        axes = polar_chart(part_of()).axes[0]
        assert mpl.rcParams["font.size"] == 33.0
    assert axes.title.get_fontsize() == 9.5


def test_drawing_never_loads_pyplot():
    code = (
        "import sys\n"
        "import balance.sheet as sheet\n"
        "[getattr(sheet, name) for name in sheet.__all__ if not name.startswith('_')]\n"
        "sheet.drilling_cloud([1.0, 3j], limit_gmm=2.0)\n"
        "print('matplotlib.pyplot' in sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "False\n"
