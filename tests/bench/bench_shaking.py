"""Shaking orders of very many engines: one call beside point-by-point evaluation and multibody.

    python tests/bench/bench_shaking.py [--short]

n is the number of engines, eight cylinders each, eight orders. Baselines are timed on fewer
engines and scaled up.
"""

import math
from collections.abc import Callable, Iterator

import numpy as np
from _measure import growth, side_by_side, timed
from _table import Row, alone

from balance.engine.orders import order_vectors

ROOM = "engine"
SEED = 20240615
SEEDS = str(SEED)
CYLINDERS, ORDERS = 8, (1, 2, 3, 4, 5, 6, 7, 8)
POINTS = 64  # in a turn; at r/l below 0.36 what folds back from order 56 on is below 1e-12
NAMES = ("forward_force_n", "backward_force_n", "forward_couple_nm", "backward_couple_nm")


def variants(count: int) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(SEED)
    each = (count, CYLINDERS)
    return {
        "pin_degrees": rng.uniform(0, 360, each),
        "bank_degrees": rng.uniform(-60, 60, each),
        "arm_mm": rng.uniform(-250, 250, each),
        "reciprocating_g": rng.uniform(300, 900, each),
        "rotating_g": rng.uniform(300, 900, each),
        "radius_mm": rng.uniform(30, 50, count),
        "rod_length_mm": rng.uniform(140, 180, count),
        "speed_rpm": rng.uniform(1000, 9000, count),
    }


def pick(engines: dict[str, np.ndarray], some: slice) -> dict[str, np.ndarray]:
    return {name: values[some] for name, values in engines.items()}


def point_by_point(engines: dict[str, np.ndarray]) -> np.ndarray:
    """Force and couple at every point of a turn from exact accelerations; orders by FFT."""
    e = {name: np.asarray(v, dtype=float) for name, v in engines.items()}
    theta = np.arange(POINTS) * (2 * math.pi / POINTS)
    pin, bank = np.radians(e["pin_degrees"])[..., None], np.radians(e["bank_degrees"])[..., None]
    r, length = (e[k][..., None, None] * 1e-3 for k in ("radius_mm", "rod_length_mm"))
    w2 = (e["speed_rpm"][..., None, None] * math.pi / 30) ** 2
    q = theta + pin - bank
    sine, cosine = np.sin(q), np.cos(q)
    along = np.sqrt(length**2 - (r * sine) ** 2)
    bend = r * cosine + (r**2 * (cosine**2 - sine**2) + (r**2 * sine * cosine / along) ** 2) / along
    force = (
        w2
        * 1e-3
        * (
            e["reciprocating_g"][..., None] * bend * np.exp(1j * bank)
            + e["rotating_g"][..., None] * r * np.exp(1j * (theta + pin))
        )
    )
    turn = np.stack([force.sum(axis=-2), (force * 1e-3 * e["arm_mm"][..., None]).sum(axis=-2)])
    series = np.fft.fft(turn, axis=-1) / POINTS
    ns = np.array(ORDERS)
    return np.stack([part[..., sense * ns] for part in series for sense in (1, -1)])


def one_at_a_time(engines: dict[str, np.ndarray], count: int) -> None:
    for k in range(count):
        point_by_point(pick(engines, slice(k, k + 1)))


def largest_difference(engines: dict[str, np.ndarray]) -> float:
    """Return how far ours lies off the points, as a part of an engine's largest order."""
    found, truth = order_vectors(orders=ORDERS, **engines), point_by_point(engines)
    return max(
        float(np.max(np.abs(getattr(found, name) - t) / np.abs(t).max(axis=-1, keepdims=True)))
        for name, t in zip(NAMES, truth, strict=True)
    )


def multibody_turn() -> Callable[[], None] | None:
    """Return one engine's turn of inverse dynamics of the open tree, for its time only."""
    try:
        import mujoco
    except ImportError:
        return None
    hinge = '<joint type="hinge" axis="0 0 1"/>'
    inertial = '<inertial pos="0 0 0" mass="0.5" diaginertia="1e-6 1e-6 1e-6"/>'
    rods = "".join(
        f'<body pos="0.04 0 {0.1 * k}">{hinge}{inertial}<body pos="0.15 0 0">{hinge}{inertial}'
        "</body></body>"
        for k in range(CYLINDERS)
    )
    model = mujoco.MjModel.from_xml_string(
        f"<mujoco><worldbody><body>{hinge}{inertial}{rods}</body></worldbody></mujoco>"
    )
    data = mujoco.MjData(model)

    def turn() -> None:
        for k in range(POINTS):
            data.qpos[:] = k * 2 * math.pi / POINTS
            data.qvel[:], data.qacc[:] = 100.0, 0.0
            mujoco.mj_inverse(model, data)

    return turn


def rows(*, short: bool) -> Iterator[Row]:
    """Yield ours by number of engines, then the baselines beside the most of them."""
    sizes = (1000, 10_000, 100_000)
    medians = []
    for n in sizes:
        engines = variants(n)
        mine = side_by_side(
            lambda e=engines: order_vectors(orders=ORDERS, **e), repeats=1 if short else 5
        )[0]
        medians.append(mine.seconds)
        aim = n == 100_000
        yield Row(
            room=ROOM,
            what="orders of engines",
            size=n,
            ours_s=mine.seconds,
            growth=growth(sizes, medians) if n == sizes[-1] else None,
            aim="0.3 s" if aim else "",
            kept=mine.seconds <= 0.3 if aim else None,
        )
    few = pick(engines, slice(0, 500 if short else 2000))
    block, singles = len(few["radius_mm"]), 50 if short else 200
    off = largest_difference(few)
    rivals = [
        ("all points", lambda: point_by_point(few), block),
        ("one by one", lambda: one_at_a_time(few, singles), singles),
        ("multibody", multibody_turn(), 1),
    ]
    for name, rival, count in rivals:
        if rival is None:
            yield Row(room=ROOM, what="orders of engines", failed="mujoco is not installed")
            continue
        yield Row(
            room=ROOM,
            what="orders of engines",
            size=sizes[-1],
            ours_s=medians[-1],
            baseline=name,
            baseline_s=timed(rival).seconds * sizes[-1] / count,
            note=f"largest difference {off:.0e} of the engine's largest order (aim 1e-6)"
            if count == block
            else "",
        )


if __name__ == "__main__":
    alone(__doc__, rows)
