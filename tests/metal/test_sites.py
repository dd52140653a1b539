"""What may be drilled on one counterweight: nothing allowed is left out, nothing else is let in."""

import functools
import itertools
from dataclasses import replace

import numpy as np
import pytest

from balance.metal._sites import Rules, clear_across, drill_site, share_metal, share_of
from balance.metal._slugs import SlugChoice, slug_site
from balance.metal._task import Counterweight
from balance.metal.holes import DrilledHole, radial_hole, web_mm

RIM, WEB = 80.0, 4.0
HAIR = 1e-6  # mm: a web that near to the least allowed may be judged either way

OLD = (DrilledHole(-12.0, 8.0, 9.0), DrilledHole(391.5, 12.0, 20.0, point_degrees=135.0))
CASES = {
    "new": {},
    "beside old holes": {"holes": OLD},
    "deepening": {"holes": OLD, "deepen": True},
    "deepening on a disc": {
        "holes": (DrilledHole(177.0, 8.0, 9.0),),
        "deepen": True,
        "span": 180.0,
        "step": 45.0,
    },
    "one angle": {"span": 0.0},
    "old holes near both ends": {  # 10 degrees from the ends: small holes fit there, wide do not
        "holes": (DrilledHole(-22.0, 8.0, 9.0), DrilledHole(42.0, 8.0, 9.0)),
        "step": 6.0,
    },
}


def site_of(name):
    case = {"holes": (), "deepen": False, "span": 42.0, "step": 14.0} | CASES[name]
    rules = Rules(
        (60.0, 540.0),
        (8.0, 12.0, 22.0),
        118.0,
        7.85,
        8.0,
        5.0,
        case["step"],
        WEB,
        3.0,
        case["deepen"],
    )
    weight = Counterweight(100.0, 10.0, case["span"], RIM, 25.0, 25.0, case["holes"])
    return drill_site(3, weight, rules), weight, rules


def hole_at(site, n):
    """Return a candidate as it will be when it is drilled."""
    shape = site.shape[n]
    return DrilledHole(
        float(site.degrees[n]),
        float(site.shapes.diameter_mm[shape]),
        float(site.shapes.depth_mm[shape]),
        RIM,
        point_degrees=118.0,
    )


def old_hole(hole):
    point = 118.0 if hole.point_degrees is None else hole.point_degrees
    return DrilledHole(hole.degrees, hole.diameter_mm, hole.depth_mm, RIM, point_degrees=point)


def deepened(site, n):
    return int(site.shapes.deepens[site.shape[n]])


@pytest.mark.parametrize("name", CASES)
def test_every_hole_that_keeps_the_rules_is_a_candidate_and_no_other(name):
    site, weight, rules = site_of(name)
    last = min(weight.half_span_degrees, 180.0 - rules.angle_step_degrees / 2)
    steps = int((last + weight.half_span_degrees) / rules.angle_step_degrees + 1e-9)
    angles = [
        10.0 - weight.half_span_degrees + rules.angle_step_degrees * k for k in range(steps + 1)
    ]
    wanted = {
        (angle, d, h, -1)
        for angle, d, h in itertools.product(angles, (8.0, 12.0), (5.0, 13.0, 21.0))
        if all(web_mm(DrilledHole(angle, d, h, RIM), old_hole(old)) >= WEB for old in weight.holes)
    }
    if rules.deepen:
        wanted |= {
            (old.degrees, old.diameter_mm, h, n)
            for n, old in enumerate(weight.holes)
            for h in (5.0, 13.0, 21.0)
            if h > old.depth_mm
        }
    found = [hole_at(site, n) for n in range(len(site.x))]
    got = {(h.degrees, h.diameter_mm, h.depth_mm, deepened(site, n)) for n, h in enumerate(found)}
    assert len(got) == len(found)
    assert got == wanted
    assert site.counterweight == 3


@pytest.mark.parametrize("name", CASES)
def test_a_candidate_takes_what_its_hole_takes_and_a_deepened_one_what_it_takes_more(name):
    site, weight, _ = site_of(name)
    for n in range(len(site.x)):
        hole = hole_at(site, n)
        gone = radial_hole(hole.diameter_mm, hole.depth_mm, surface_radius_mm=RIM)
        mass, pull = float(gone.mass_g), float(gone.unbalance_gmm)
        if deepened(site, n) >= 0:
            before = weight.holes[deepened(site, n)]
            less = radial_hole(before.diameter_mm, before.depth_mm, surface_radius_mm=RIM)
            mass, pull = mass - float(less.mass_g), pull - float(less.unbalance_gmm)
        assert site.mass[n] == pytest.approx(mass)
        assert site.x[n] == pytest.approx(pull * np.exp(1j * np.radians(hole.degrees)))


@functools.cache
def together(name):
    """Return which pairs of candidates may be drilled, by the web between the two real holes."""
    site, _, _ = site_of(name)
    size = len(site.x)
    apart = np.ones((size, size), dtype=bool)
    sure = np.ones((size, size), dtype=bool)
    for i, j in itertools.combinations(range(size), 2):
        gap = web_mm(hole_at(site, i), hole_at(site, j))
        same = deepened(site, i) >= 0 and deepened(site, i) == deepened(site, j)
        apart[i, j] = apart[j, i] = gap >= WEB and not same
        sure[i, j] = sure[j, i] = abs(gap - WEB) > HAIR
    np.fill_diagonal(apart, val=False)
    return apart, sure


@pytest.mark.parametrize("name", CASES)
def test_candidates_stand_together_where_the_web_between_their_holes_is_left(name):
    site, _, _ = site_of(name)
    apart, sure = together(name)
    i, j = np.nonzero(sure & ~np.eye(len(site.x), dtype=bool))
    assert (site.clear(i, j) == apart[i, j]).all()
    assert not site.clear(np.arange(len(site.x)), np.arange(len(site.x))).any()


@pytest.mark.parametrize("name", CASES)
def test_no_more_holes_fit_than_the_room_that_is_said(name):
    site, _, _ = site_of(name)
    apart, _ = together(name)

    # one after the other round the crank, from every start, the smallest first: placings that fit
    order = sorted(range(len(site.x)), key=lambda n: (site.degrees[n], site.mass[n]))
    fits = 0
    for start in range(len(order)):
        taken = []
        for n in order[start:] + order[:start]:
            if all(apart[n, other] for other in taken):
                taken.append(n)
        fits = max(fits, len(taken))
    assert fits <= site.room
    if "disc" not in name:  # going round, a disc's last hole also meets the first
        assert fits == site.room


@pytest.mark.parametrize("name", CASES)
def test_no_hole_takes_its_unbalance_for_less_metal_than_the_lower_hull(name):
    site, _, _ = site_of(name)
    fresh = np.unique(site.shape[site.step >= 0])
    u, m = site.shapes.unbalance_gmm[fresh], site.shapes.mass_g[fresh]
    corners, metal = site.hull
    assert set(zip(corners, metal, strict=True)) <= set(zip(u, m, strict=True))
    assert (np.interp(u, corners, metal) <= m * (1 + 1e-12)).all()
    assert (corners[0], corners[-1]) == (u.min(), u.max())
    slopes = np.diff(metal) / np.diff(corners)
    assert (np.diff(slopes) > 0).all()


def fits_beside_old(weight, angle, d, h):
    return all(web_mm(DrilledHole(angle, d, h, RIM), old_hole(old)) >= WEB for old in weight.holes)


@pytest.mark.parametrize("name", CASES)
def test_an_angle_is_open_where_old_holes_keep_no_hole_away(name):
    site, weight, _ = site_of(name)
    shapes = list(itertools.product((8.0, 12.0), (5.0, 13.0, 21.0)))
    by_web = [all(fits_beside_old(weight, angle, d, h) for d, h in shapes) for angle in site.angles]
    assert site.open_angles.tolist() == by_web
    assert all(by_web) == (not weight.holes or "disc" in name)  # nothing is asked of old holes else


@pytest.mark.parametrize("name", CASES)
def test_at_an_angle_that_is_not_open_the_kept_holes_need_the_least_metal(name):
    site, _, _ = site_of(name)
    assert len(set(site.lone)) == len(site.lone)
    assert not site.open_angles[site.step[site.lone]].any()
    for step in np.flatnonzero(~site.open_angles):
        kept = site.lone[site.step[site.lone] == step]
        here = np.flatnonzero(site.step == step)
        assert set(kept) <= set(here)
        if len(here):
            pull, metal = abs(site.x[kept]), site.mass[kept]
            assert (pull[0], pull[-1]) == (abs(site.x[here]).min(), abs(site.x[here]).max())
            within = np.interp(abs(site.x[here]), pull, metal)
            assert (within <= site.mass[here] * (1 + 1e-12)).all()
            assert (np.diff(np.diff(metal) / np.diff(pull)) > 0).all()


def test_round_a_disc_the_last_holes_are_beside_the_first():
    """Every 15 degrees: 2 x 59 mm x sin 7.5 = 15.4 mm between the axes of deep holes of 12 mm."""
    rules = site_of("new")[2]
    wheel = Counterweight(100.0, 0.0, 180.0, RIM, 25.0, 25.0)
    site = drill_site(0, wheel, replace(rules, angle_step_degrees=15.0))
    first, others = np.flatnonzero(site.step == 0), np.flatnonzero(site.step >= 12)
    i, j = np.array(list(itertools.product(first, others))).T
    gaps = np.array([web_mm(hole_at(site, a), hole_at(site, b)) for a, b in zip(i, j, strict=True)])
    assert (site.clear(i, j) == (gaps >= WEB))[abs(gaps - WEB) > HAIR].all()
    assert not (gaps >= WEB)[site.step[j] == 23].all()


@pytest.mark.parametrize(
    ("z_mm", "width_mm", "shared"),
    [
        (100.0, 25.0, True),  # two sectors of one wheel
        (124.9, 25.0, True),
        (125.0, 25.0, False),  # they touch: two pieces
        (75.1, 25.0, True),
        (75.0, 25.0, False),
        (119.9, 15.0, True),  # 12.5 + 7.5
        (120.0, 15.0, False),
        (400.0, 25.0, False),
    ],
)
def test_metal_is_shared_where_two_widths_overlap_along_the_crank(z_mm, width_mm, shared):
    here = Counterweight(100.0, 0.0, 60.0, RIM, 25.0, 25.0)
    there = Counterweight(z_mm, 180.0, 60.0, RIM, width_mm, 25.0)
    assert share_metal(here, there) == share_metal(there, here) == shared


@pytest.mark.parametrize("along", [13.0, 15.0, -16.0, -22.0])
def test_sectors_that_stand_aside_leave_the_web_by_the_turn_or_along_the_crank(along):
    """Drills side by side leave what is between them along z, whatever their depths.

    Holes are nearest to each other at one z: what is enough there is enough beside it, too. What is
    let in leaves the web by its exact geometry; at one z or one angle nothing else is kept out.
    """
    site, weight, rules = site_of("new")
    there = replace(weight, z_mm=weight.z_mm + along)
    other = drill_site(4, there, rules)
    i, j = np.array(list(itertools.product(range(0, len(site.x), 9), range(0, len(site.x), 2)))).T
    clear = clear_across(site, i, other, j)
    pairs = [(hole_at(site, a), hole_at(other, b)) for a, b in zip(i, j, strict=True)]
    for n in np.flatnonzero(clear)[::5]:
        one, two = pairs[n]
        assert web_mm(one, replace(two, z_mm=along)) >= WEB - HAIR
    one_z = np.array([web_mm(a, b) for a, b in pairs])
    beside = np.array([abs(along) - (a.diameter_mm + b.diameter_mm) / 2 for a, b in pairs])
    enough = np.maximum(one_z, beside)
    assert (clear == (enough >= WEB))[abs(enough - WEB) > HAIR].all()

    # an old hole there stands in the way of new ones here in the same way
    old = replace(pairs[0][1], degrees=10.0, surface_radius_mm=None)
    kept = drill_site(3, weight, rules, [replace(there, holes=(old,))])
    got = {(h.degrees, h.diameter_mm, h.depth_mm) for h in map(functools.partial(hole_at, kept),
                                                               range(len(kept.x)))}  # fmt: skip
    for n in range(len(site.x)):
        new = hole_at(site, n)
        left = max(web_mm(new, old_hole(old)), abs(along) - (new.diameter_mm + old.diameter_mm) / 2)
        if abs(left - WEB) > HAIR:
            assert ((new.degrees, new.diameter_mm, new.depth_mm) in got) == (left >= WEB)


@pytest.mark.parametrize("turned", [0.0, 180.0])
def test_a_slug_and_a_hole_of_one_counterweight_leave_the_web(turned):
    site, weight, rules = site_of("new")
    weight = Counterweight(100.0, 10.0 + turned, 42.0, RIM, 25.0, 25.0)
    choice = SlugChoice(19.0, 15.0, bore_depth_mm=20.0)
    seats = slug_site(3, weight, choice, rules)
    assert len(seats.x) == 7
    pairs = itertools.product(range(len(seats.x)), range(0, len(site.x), 5))
    i, j = np.array(list(pairs)).T
    bores = [DrilledHole(float(d), 19.0, 20.0, RIM) for d in seats.degrees]
    gaps = np.array([web_mm(bores[a], hole_at(site, b)) for a, b in zip(i, j, strict=True)])
    assert (clear_across(seats, i, site, j) == (gaps >= WEB))[abs(gaps - WEB) > HAIR].all()
    beside = Counterweight(100.0 + 25.0, 10.0 + turned, 42.0, RIM, 25.0, 25.0)
    assert clear_across(slug_site(4, beside, choice, rules), i, site, j).all()


@pytest.mark.parametrize("z", [-40.0, 60.0, 300.0, 700.0])
def test_shares_keep_force_and_moment(z):
    planes = (60.0, 540.0)
    share = share_of(z, planes)
    assert share.sum() == pytest.approx(1.0)
    assert share @ planes == pytest.approx(z)
