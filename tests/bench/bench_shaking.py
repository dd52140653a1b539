"""Shaking orders of very many engines: one call beside point-by-point evaluation and multibody.

Run as ``python tests/bench/bench_shaking.py [--short]``. Prints its seeds; writes nothing.
"""

import argparse
import math
import time
from collections.abc import Callable

import numpy as np

from balance.engine.orders import order_vectors

SEED = 20240615
CYLINDERS, ORDERS = 8, (1, 2, 3, 4, 5, 6, 7, 8)
POINTS = 64  # in a turn; at r/l below 0.36 what folds back from order 56 on is below 1e-12
NAMES = ("forward_force_n", "backward_force_n", "forward_couple_nm", "backward_couple_nm")


def best(call: Callable[[], object], repeats: int) -> float:
    """The shortest of several runs: the one the rest of the machine disturbed least."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return min(times)


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


def compare(count: int, sample: int) -> None:
    engines = variants(count)
    print(f"{count} engines of {CYLINDERS} cylinders, {len(ORDERS)} orders, seed {SEED}")
    ours = best(lambda: order_vectors(orders=ORDERS, **engines), 3)
    print(f"  one call:                          {ours:.3f} s")
    few = pick(engines, slice(0, sample))
    found, start = order_vectors(orders=ORDERS, **few), time.perf_counter()
    truth = point_by_point(few)
    block = (time.perf_counter() - start) * count / sample
    off = 0.0
    for name, expected in zip(NAMES, truth, strict=True):
        size = np.abs(expected).max(axis=-1, keepdims=True)
        off = max(off, float(np.max(np.abs(getattr(found, name) - expected) / size)))
    print(f"  point by point, engines together:  {block:.2f} s ({block / ours:.0f} times ours)")
    few_ones = sample // 10

    def one_at_a_time() -> None:
        for k in range(few_ones):
            point_by_point(pick(engines, slice(k, k + 1)))

    single = best(one_at_a_time, 1) * count / few_ones
    print(f"  point by point, engine by engine:  {single:.1f} s ({single / ours:.0f} times ours)")
    print(f"  largest difference, of the engine's largest order: {off:.1e} (wanted 1e-6)")
    multibody(count, ours)


def multibody(count: int, ours: float) -> None:
    """Time only: inverse dynamics of the open tree at every point of a turn of one engine."""
    try:
        import mujoco
    except ImportError:
        print("  multibody: not installed")
        return
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

    each = best(turn, 5) * count
    print(f"  multibody, inverse dynamics:       {each:.1f} s ({each / ours:.0f} times ours)")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--short", action="store_true")
    short = parser.parse_args().short
    compare(5_000 if short else 100_000, 500 if short else 2_000)


if __name__ == "__main__":
    main()
