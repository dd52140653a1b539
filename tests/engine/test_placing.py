import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.engine import _halves, placing
from balance.engine.layouts import Cylinder, Engine, Throw, layout
from balance.engine.placing import place, placed_residual
from balance.engine.shaking import shake
from balance.errors import InputError

SIZE = {"stroke_mm": 80.0, "rod_length_mm": 140.0, "bore_spacing_mm": 100.0}
SMALL = ["single", "twin", "inline-3", "inline-4", "inline-5", "flat-4", "V-2", "V-4", "V-6", "W-3"]

# Masses on a scale of 0.1 g; sums of twelve such numbers are exact to far below this.
ROUNDING_G = 1e-9


def sets(count: int, seed: int, spread: float = 1.0) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(seed)
    return {
        "reciprocating_g": rng.normal(500, spread, count).round(1),
        "rotating_g": rng.normal(600, spread, count).round(1),
    }


def every_order(engine: Engine, masses: dict[str, np.ndarray], keep: dict[int, int]) -> float:
    """Return the least residual of all permutations, from one `shake` for each gram."""
    count = len(engine.cylinders)
    orders = np.array(list(itertools.permutations(range(count))))
    for cylinder, number in keep.items():
        orders = orders[orders[:, cylinder] == number]
    square = np.zeros(len(orders))
    for kind in ("reciprocating", "rotating"):
        grams = np.array([shake_parts(engine, one, one, kind) for one in np.eye(count)])
        mass = np.asarray(masses[f"{kind}_g"], dtype=float)
        left = (mass - mass.mean())[orders] @ grams
        square += np.sum(np.abs(left) ** 2, axis=1)
    return math.sqrt(square.min())


def by_definition(engine: Engine, order: tuple[int, ...], masses: dict[str, np.ndarray]) -> float:
    """Evaluate the objective through `shake`, deviations as masses on top of a constant."""
    reciprocating = masses["reciprocating_g"][list(order)]
    rotating = masses["rotating_g"][list(order)]
    base = min(reciprocating.min(), rotating.min())
    total = 0.0
    for kinds in ("reciprocating", "rotating"):
        heavy = shake_parts(engine, reciprocating - base, rotating - base, kinds)
        even = shake_parts(
            engine,
            np.full_like(reciprocating, (reciprocating - base).mean()),
            np.full_like(rotating, (rotating - base).mean()),
            kinds,
        )
        total += float(np.sum(np.abs(heavy - even) ** 2))
    return math.sqrt(total)


def shake_parts(engine, reciprocating, rotating, kinds):
    moving = reciprocating if kinds == "reciprocating" else 0.0
    turning = rotating if kinds == "rotating" else 0.0
    s = shake(
        engine, reciprocating_g=moving, rotating_g=turning, speed_rpm=30 / math.pi, orders=(1, 2)
    )
    spacing_m = engine.bore_spacing_mm * 1e-3
    parts = [
        s.forward_force_n,
        s.backward_force_n,
        s.forward_couple_nm / spacing_m,
        s.backward_couple_nm / spacing_m,
    ]
    return np.concatenate(parts) / (1e-6 * engine.stroke_mm / 2)


@pytest.mark.parametrize("name", SMALL)
@pytest.mark.parametrize("seed", [1, 2])
def test_best_of_all_permutations(name, seed):
    engine = layout(name, **SIZE)
    masses = sets(len(engine.cylinders), seed)
    found = place(engine, **masses)
    assert found.optimal
    assert found.bound == found.residual
    assert found.residual == pytest.approx(every_order(engine, masses, {}), abs=ROUNDING_G)
    again = placed_residual(engine, found.set_at_cylinder, **masses)
    assert again == pytest.approx(found.residual, abs=ROUNDING_G)


def test_best_of_all_permutations_of_seven():
    engine = layout("inline-7", **SIZE)
    masses = sets(7, 3)
    expected = every_order(engine, masses, {})
    assert place(engine, **masses).residual == pytest.approx(expected, abs=ROUNDING_G)


@pytest.mark.parametrize("name", ["inline-5", "V-6", "narrow-V-6", "radial-5"])
def test_residual_is_what_shake_says(name):
    engine = layout(name, pin_offset_mm=1.0, **SIZE)
    masses, order = sets(len(engine.cylinders), 4), tuple(range(len(engine.cylinders)))[::-1]
    expected = by_definition(engine, order, masses)
    assert placed_residual(engine, order, **masses) == pytest.approx(expected, abs=1e-9)


def test_articulated_rods_count_the_turning_force_of_first_order():
    engine = layout("radial-3", knuckle_radius_mm=30.0, **SIZE)
    masses = sets(3, 5)
    masses["rotating_g"][:] = 600.0
    expected = by_definition(engine, (2, 0, 1), masses)
    assert placed_residual(engine, (2, 0, 1), **masses) == pytest.approx(expected, abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_fixed_sets_stay_and_the_rest_is_best(data):
    engine = layout(data.draw(st.sampled_from(["inline-4", "inline-5", "V-4"])), **SIZE)
    count = len(engine.cylinders)
    masses = sets(count, data.draw(st.integers(0, 1000)))
    cylinders = data.draw(st.lists(st.integers(0, count - 1), unique=True))
    stay = dict(zip(cylinders, data.draw(st.permutations(range(count))), strict=False))
    found = place(engine, fixed=stay, **masses)
    assert all(found.set_at_cylinder[c] == s for c, s in stay.items())
    assert found.residual == pytest.approx(every_order(engine, masses, stay), abs=ROUNDING_G)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 1000), st.permutations(range(8)))
def test_same_parts_in_any_order_give_the_same_engine(seed, order):
    engine = layout("V-8", **SIZE)
    masses = sets(8, seed)
    shuffled = {name: mass[list(order)] for name, mass in masses.items()}
    first, second = place(engine, **masses), place(engine, **shuffled)
    assert second.residual == pytest.approx(first.residual, abs=ROUNDING_G)


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 1000), st.floats(-180, 180), st.floats(-500, 500))
def test_turning_and_moving_the_whole_engine_changes_nothing(seed, degrees, shift):
    engine, masses = layout("V-6", **SIZE), sets(6, seed)
    moved = Engine(
        *SIZE.values(),
        throws=[Throw(t.degrees + degrees, t.z_mm + shift) for t in engine.throws],
        cylinders=[
            Cylinder(c.throw, c.bank_degrees + degrees, c.z_mm + shift) for c in engine.cylinders
        ],
    )
    expected = place(engine, **masses).residual
    assert place(moved, **masses).residual == pytest.approx(expected, abs=ROUNDING_G)


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 1000), st.floats(0.1, 100), st.floats(0, 50))
def test_residual_scales_with_the_deviations_and_ignores_the_mean(seed, factor, more):
    engine, masses = layout("inline-6", **SIZE), sets(6, seed)
    scaled = {name: factor * mass + more for name, mass in masses.items()}
    expected = factor * place(engine, **masses).residual
    assert place(engine, **scaled).residual == pytest.approx(expected, rel=1e-9)


def test_equal_sets_need_no_placing():
    found = place(layout("V-8", **SIZE), reciprocating_g=[500.1] * 8, rotating_g=[600.2] * 8)
    assert found.set_at_cylinder == tuple(range(8))
    assert found.residual == pytest.approx(0, abs=ROUNDING_G)
    assert found.optimal


def test_sets_of_a_kind_are_dealt_by_number():
    found = place(layout("inline-4", **SIZE), reciprocating_g=[1, 0, 1, 0], rotating_g=[5] * 4)
    assert found.set_at_cylinder == (0, 2, 1, 3)


def test_ties_take_the_first_list_of_sets():
    engine = layout("inline-4", **SIZE)
    masses = {"reciprocating_g": [500, 503, 501, 507], "rotating_g": [600, 600, 600, 600]}
    best = every_order(engine, masses, {})
    tied = [
        order
        for order in itertools.permutations(range(4))
        if placed_residual(engine, order, **masses) < best + ROUNDING_G
    ]
    assert len(tied) > 1  # the crank is its own mirror image
    assert place(engine, **masses).set_at_cylinder == min(tied)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**6), st.integers(2, 7), st.integers(1, 14))
def test_single_precision_stays_within_its_bound(seed, count, wide):
    rng = np.random.default_rng(seed)
    task = _halves.Task(
        kinds=rng.uniform(-1, 1, (count, 2)),
        counts=(1,) * count,
        columns=rng.normal(size=(count, 2, wide)) * 10.0 ** rng.integers(-3, 3, wide),
        start=rng.normal(size=wide),
    )
    table = np.einsum("kg,cgd->ckd", task.kinds, task.columns)
    [group] = _halves._splits(task.counts, count // 2, False)
    for split, square in enumerate(_halves._least_squares(task, table, group)):
        exact, _ = _halves._refined(task, table, group, split, np.inf)
        assert abs(float(square) - exact) <= _halves._doubt(table, task.start)


@pytest.mark.parametrize("crank", ["flat", "cross"])
def test_mirrored_engines_are_proven_with_half_the_splits(crank, monkeypatch):
    # half the splits must be as good as all
    engine, masses = layout("V-8", crank=crank, **SIZE), sets(8, 11)
    assert placing._mirrored(placing._columns(engine)) is not None
    half = place(engine, **masses)
    monkeypatch.setattr(placing, "_mirrored", lambda columns: None)
    assert place(engine, **masses) == half


@pytest.mark.parametrize(
    ("name", "options", "halves_swap"),
    [
        ("inline-6", {}, True),
        ("V-12", {}, True),
        ("twin", {}, True),
        ("twin", {"crank_degrees": 180}, True),  # opposite at order 1, alike at order 2
        ("twin", {"crank_degrees": 270}, False),
        ("inline-5", {}, False),
        ("V-8", {}, True),
        ("flat-2", {}, True),
        ("radial-5", {}, False),
    ],
)
def test_mirror_is_seen_where_there_is_one(name, options, halves_swap):
    columns = placing._columns(layout(name, **SIZE, **options))
    assert (placing._mirrored(columns) is not None) is halves_swap


def test_twelve_sets_of_few_kinds_are_proven():
    rng = np.random.default_rng(6)
    engine = layout("V-12", **SIZE)
    masses = {"reciprocating_g": rng.permutation([500.0] * 6 + [501.0] * 6), "rotating_g": [0] * 12}
    found = place(engine, **masses)
    choices = itertools.combinations(range(12), 6)
    rows = np.array([[501.0 if c in heavy else 500.0 for c in range(12)] for heavy in choices])
    same = {"rotating_g": [0] * 12}
    best = min(placed_residual(engine, range(12), reciprocating_g=row, **same) for row in rows)
    assert found.optimal
    assert found.residual == pytest.approx(best, abs=ROUNDING_G)


def test_columns_that_see_nothing_leave_the_numbers_as_they_are():
    one_pin = Engine(*SIZE.values(), throws=[Throw(0, 0)], cylinders=[Cylinder(0, 0, 0)] * 3)
    found = place(one_pin, reciprocating_g=[3, 2, 1], rotating_g=[1, 1, 1])
    assert found.set_at_cylinder == (0, 1, 2)
    assert found.residual == pytest.approx(0, abs=ROUNDING_G)


def test_sixteen_cylinders_state_what_is_proven():
    engine = Engine(
        *SIZE.values(),
        throws=[Throw(90.0 * k, 100.0 * k) for k in (0, 1, 2, 3, 3, 2, 1, 0)],
        cylinders=[Cylinder(k // 2, 45.0 * (-1) ** k, 100.0 * (k // 2)) for k in range(16)],
    )
    masses = sets(16, 7)
    found = place(engine, **masses)
    assert sorted(found.set_at_cylinder) == list(range(16))
    assert 0 <= found.bound <= found.residual
    assert not found.optimal
    rng = np.random.default_rng(8)
    random = [placed_residual(engine, rng.permutation(16), **masses) for _ in range(200)]
    assert found.residual < 0.5 * min(random)


def test_improvement_reaches_a_known_optimum(monkeypatch):
    engine, masses = layout("V-10", **SIZE), sets(10, 9)
    monkeypatch.setattr(_halves, "AT_ONCE", 7)
    proven = place(engine, **masses)
    monkeypatch.setattr("balance.engine.placing.PROVABLE", 1.0)
    found = place(engine, **masses)
    assert not found.optimal
    assert found.bound <= proven.residual <= found.residual + ROUNDING_G
    assert found.residual == pytest.approx(proven.residual, abs=ROUNDING_G)


def test_small_tiles_change_nothing(monkeypatch):
    engine, masses = layout("V-8", **SIZE), sets(8, 10)
    whole = place(engine, **masses)
    monkeypatch.setattr(_halves, "AT_A_TIME", 1000)
    monkeypatch.setattr(_halves, "ONE_CORE", 1000)
    assert place(engine, **masses) == whole


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"reciprocating_g": [1, 2, 3]}, "reciprocating_g must hold one mass for each of the 4"),
        ({"rotating_g": 600.0}, "rotating_g must hold one mass for each of the 4"),
        ({"rotating_g": [[1, 2, 3, 4]]}, "rotating_g must hold one mass for each of the 4"),
        ({"reciprocating_g": [1, 2, 3, math.nan]}, "reciprocating_g must be finite"),
        ({"rotating_g": [1, 2, 3, -4]}, "rotating_g must not be negative"),
        ({"rotating_g": ["a"] * 4}, "rotating_g must be a number"),
        ({"fixed": {4: 0}}, "fixed must map cylinder index to set index, both 0 to 3"),
        ({"fixed": {0: -1}}, "fixed must map cylinder index to set index, both 0 to 3"),
        ({"fixed": {0: 1.0}}, "fixed must map cylinder index to set index, both 0 to 3"),
        ({"fixed": {0: True}}, "fixed must map cylinder index to set index, both 0 to 3"),
        ({"fixed": [0, None, None, 1]}, "fixed must map cylinder index to set index, got"),
        ({"fixed": {0: 1, 2: 1}}, "fixed must put each set in one cylinder only"),
    ],
)
def test_refused(change, message):
    given = {"reciprocating_g": [1, 2, 3, 4], "rotating_g": [1, 2, 3, 4]} | change
    with pytest.raises(InputError, match=message):
        place(layout("inline-4", **SIZE), **given)


def test_placed_residual_wants_every_set_once():
    with pytest.raises(InputError, match="set_at_cylinder must name each of the 2 sets once"):
        placed_residual(layout("twin", **SIZE), (0, 0), reciprocating_g=[1, 2], rotating_g=[1, 2])
