"""Holes, slugs and webs against exact booleans of triangle meshes.

Booleans and gaps by the general-purpose library manifold3d, volumes and centroids by trimesh: none
of our formulas is in it. Every curved face is cut into n, 2 n and 4 n facets; the error of the
facets is a series in 1 / n^2, whose first two terms are taken out (Richardson's extrapolation).
"""

from collections.abc import Callable, Sequence

import manifold3d
import numpy as np
import pytest
import trimesh

from balance.metal.holes import DrilledHole, axial_hole, radial_hole, slug, web_mm
from balance.metal.surfaces import ground_flat, skim

UNIT = 1000.0  # g/cm3: mass in g is then the volume in mm3
TOLERANCE = 1e-7  # relative: what extrapolated facets are good for, far below any drill's error

Mesh = manifold3d.Manifold
LYING = np.eye(3)  # a tool along x
STANDING = np.roll(np.eye(3), 1, axis=1)  # the same tool along z: (x, y, z) -> (y, z, x)


def solid(vertices: np.ndarray, faces: Sequence[Sequence[int]]) -> Mesh:
    mesh = manifold3d.Mesh64(
        vert_properties=np.ascontiguousarray(vertices, dtype=np.float64),
        tri_verts=np.ascontiguousarray(faces, dtype=np.uint64),
    )
    body = Mesh(mesh)
    assert body.status() == manifold3d.Error.NoError
    assert body.volume() > 0
    return body


def turned(rings: Sequence[tuple[float, float]], n: int, frame: np.ndarray = LYING) -> Mesh:
    """A solid of revolution: (distance along the axis, radius) rising; radius 0 is a point."""
    angles = 2 * np.pi * np.arange(n) / n
    circle = np.column_stack([np.zeros(n), np.cos(angles), np.sin(angles)])
    around, after = np.arange(n), (np.arange(n) + 1) % n
    vertices, faces, start = [], [], 0
    for k, (x, radius) in enumerate(rings):
        vertices.append(radius * circle + [x, 0, 0])
        if k:
            low, high = start - n, start
            faces += [[low + i, low + j, high + j] for i, j in zip(around, after, strict=True)]
            faces += [[low + i, high + j, high + i] for i, j in zip(around, after, strict=True)]
        start += n
    last = start - n
    faces += [[start, j, i] for i, j in zip(around, after, strict=True)]
    faces += [[start + 1, last + i, last + j] for i, j in zip(around, after, strict=True)]
    vertices.append(np.array([[rings[0][0], 0, 0], [rings[-1][0], 0, 0]]))
    mesh = trimesh.Trimesh(np.vstack(vertices) @ frame.T, faces, process=False)
    mesh.merge_vertices(digits_vertex=12)  # the n corners of a point become one
    mesh.update_faces(mesh.nondegenerate_faces())
    return solid(mesh.vertices, mesh.faces)


def tip_of(diameter: float, point: float) -> float:
    return 0.0 if point == 180 else diameter / 2 / np.tan(np.radians(point) / 2)


def drill(
    diameter: float, depth: float, point: float, n: int, *, mouth: float, frame: np.ndarray = LYING
) -> Mesh:
    """A drill fed inwards from beyond ``mouth`` to a full-diameter depth under it."""
    tip, shoulder = tip_of(diameter, point), mouth - depth
    bottom = [(shoulder - tip, 0.0)] if tip else []
    rings = [*bottom, (shoulder, diameter / 2), (mouth + 30.0, diameter / 2)]
    return turned(rings, n, frame)


def prism(outline: np.ndarray, low: float, high: float) -> Mesh:
    """A counter-clockwise outline in x, y, star-shaped about its mean, drawn along z."""
    m = len(outline)
    flat = [np.column_stack([outline, np.full(m, z)]) for z in (low, high)]
    ends = [[*outline.mean(axis=0), z] for z in (low, high)]
    faces = []
    for i in range(m):
        j = (i + 1) % m
        faces += [[i, j, m + j], [i, m + j, m + i], [2 * m, j, i], [2 * m + 1, m + i, m + j]]
    return solid(np.vstack([*flat, ends]), faces)


def under_rim(rim: float, half_y: float, n: int, *, floor: float, half_z: float) -> Mesh:
    """Metal with |y| <= half_y, floor <= x, under a rim about z; facets at equal steps of y."""
    y = half_y * np.linspace(-1, 1, 2 * n + 1)
    arc = np.column_stack([np.sqrt(rim**2 - y * y), y])
    return prism(np.vstack([arc, [[floor, half_y], [floor, -half_y]]]), -half_z, half_z)


def moments(body: Mesh) -> np.ndarray:
    """Volume, and its first moment about the plane x = 0."""
    mesh = body.to_mesh64()
    measured = trimesh.Trimesh(mesh.vert_properties[:, :3], mesh.tri_verts, process=False)
    return np.array([measured.volume, measured.volume * measured.center_mass[0]])


def refined(build: Callable[[int], Mesh], n: int) -> np.ndarray:
    """Volume and moment, the 1 / n^2 and 1 / n^4 errors of the facets taken out."""
    coarse, middle, fine = (moments(build(k * n)) for k in (1, 2, 4))
    first, second = (4 * middle - coarse) / 3, (4 * fine - middle) / 3
    return (16 * second - first) / 15


def bored(diameter: float, depth: float, rim: float, point: float) -> Callable[[int], Mesh]:
    """Metal that a radial drill takes out of a rim."""
    floor = rim - depth - tip_of(diameter, point) - 0.4 * rim
    return lambda n: (
        drill(diameter, depth, point, 2 * n, mouth=rim)
        ^ under_rim(rim, diameter / 2, n, floor=floor, half_z=diameter)
    )


@pytest.mark.parametrize(
    ("diameter", "depth", "rim", "point"),
    [
        (12.7, 20.0, 76.0, 118.0),
        (6.0, 40.0, 60.0, 135.0),
        (25.4, 12.0, 60.0, 140.0),
        (12.7, 20.0, 76.0, 180.0),  # flat bottom
        (60.0, 30.0, 35.0, 140.0),  # nearly as wide as the rotor
        (30.0, 55.0, 40.0, 90.0),  # past the crank's axis
        (25.4, 2.077, 40.0, 118.0),  # the full diameter just gone under the rim
        (25.4, 1.5, 40.0, 118.0),  # shallow spots from here on
        (25.4, 0.3, 40.0, 118.0),
        (25.4, 0.0, 40.0, 118.0),  # the point alone
        (25.4, 1.5, 40.0, 180.0),
        (50.0, 3.0, 40.0, 60.0),
    ],
)
def test_radial_hole(diameter: float, depth: float, rim: float, point: float) -> None:
    volume, moment = refined(bored(diameter, depth, rim, point), 128)
    ours = radial_hole(
        diameter, depth, surface_radius_mm=rim, point_degrees=point, density_g_cm3=UNIT
    )
    assert ours.mass_g == pytest.approx(volume, rel=TOLERANCE)
    assert ours.unbalance_gmm == pytest.approx(moment, rel=TOLERANCE)
    assert ours.radius_mm == pytest.approx(moment / volume, rel=TOLERANCE)


def test_radial_holes_at_random() -> None:
    rng = np.random.default_rng(20240611)
    for _ in range(10):
        diameter, depth = rng.uniform(5, 30), rng.uniform(0, 40)
        rim, point = rng.uniform(50, 120), rng.uniform(80, 180)
        expected = refined(bored(diameter, depth, rim, point), 64)
        ours = radial_hole(
            diameter, depth, surface_radius_mm=rim, point_degrees=point, density_g_cm3=UNIT
        )
        assert [ours.mass_g, ours.unbalance_gmm] == pytest.approx(expected, rel=TOLERANCE)


def drilled_disc(
    diameter: float, depth: float, at: float, rim: float, *, point: float, thickness: float
) -> Callable[[int], Mesh]:
    """Metal that a drill parallel to the crank takes out of a disc with its face at z = 0."""

    def build(n: int) -> Mesh:
        tool = drill(diameter, depth, point, 2 * n, mouth=0.0, frame=STANDING)
        disc = under_rim(rim, diameter / 2, n, floor=-rim / 4, half_z=thickness / 2)
        return tool.translate((at, 0, 0)) ^ disc.translate((0, 0, -thickness / 2))

    return build


@pytest.mark.parametrize(
    ("size", "at", "rim", "point", "thickness"),
    [
        ((12.0, 10.0), 60.0, 80.0, 118.0, 30.0),  # inside the rim
        ((12.0, 10.0), 60.0, 80.0, 118.0, 11.0),  # the point breaks out of the back face
        ((12.0, 0.0), 60.0, 80.0, 118.0, 2.0),
        ((12.0, 10.0), 77.0, 80.0, 118.0, 30.0),  # the rim cut
        ((12.0, 10.0), 80.0, 80.0, 118.0, 30.0),  # the axis on the rim
        ((12.0, 10.0), 83.0, 80.0, 118.0, 30.0),  # the axis outside
        ((12.0, 10.0), 77.0, 80.0, 180.0, 30.0),
        ((12.0, 10.0), 77.0, 80.0, 118.0, 11.5),  # rim and back face
        ((40.0, 5.0), 20.0, 35.0, 90.0, 18.0),
    ],
)
def test_axial_hole(
    size: tuple[float, float], at: float, rim: float, point: float, thickness: float
) -> None:
    build = drilled_disc(*size, at, rim, point=point, thickness=thickness)
    ours = axial_hole(
        *size,
        radius_mm=at,
        rim_radius_mm=rim,
        point_degrees=point,
        thickness_mm=thickness,
        density_g_cm3=UNIT,
    )
    assert [ours.mass_g, ours.unbalance_gmm] == pytest.approx(refined(build, 128), rel=TOLERANCE)


@pytest.mark.parametrize("already", [None, (19.05, 30.0), (10.0, 22.0)])
def test_slug(already: tuple[float, float] | None) -> None:
    diameter, depth, rim, length = 19.05, 30.0, 80.0, 22.0
    shoulder = rim - depth

    def bore(n: int) -> Mesh:
        whole = bored(diameter, depth, rim, 118.0)(n)
        return whole - drill(*already, 118.0, 2 * n, mouth=rim) if already else whole

    def metal(n: int) -> Mesh:
        return turned([(shoulder, diameter / 2), (shoulder + length, diameter / 2)], 2 * n)

    lost = np.zeros(2) if already == (diameter, depth) else refined(bore, 64)
    brought = refined(metal, 64)
    ours = slug(
        diameter,
        length,
        surface_radius_mm=rim,
        bore_depth_mm=depth,
        slug_density_g_cm3=18.0,
        density_g_cm3=7.85,
        existing=DrilledHole(40.0, *already) if already else None,
    )
    expected = 0.018 * brought - 0.00785 * lost
    assert [ours.net_mass_g, ours.net_unbalance_gmm] == pytest.approx(expected, rel=TOLERANCE)
    assert ours.slug_mass_g == pytest.approx(0.018 * brought[0], rel=TOLERANCE)
    assert ours.slug_radius_mm == pytest.approx(brought[1] / brought[0], rel=TOLERANCE)


def test_skim_and_flat() -> None:
    rim, width, depth, half_span = 76.0, 20.0, 1.5, 50.0

    def ring(n: int) -> Mesh:
        sector = np.radians(half_span) * np.linspace(-1, 1, 2 * n + 1)
        outer, inner = (
            prism(
                np.vstack([r * np.column_stack([np.cos(sector), np.sin(sector)]), [[0, 0]]]), 0, w
            )
            for r, w in ((rim, width), (rim - depth, 2 * width))
        )
        return outer - inner.translate((0, 0, -width / 2))

    def segment(n: int) -> Mesh:
        half = np.arccos(1 - depth / rim) * np.linspace(-1, 1, 2 * n + 1)
        return prism(rim * np.column_stack([np.cos(half), np.sin(half)]), 0, width)

    place = {"surface_radius_mm": rim, "width_mm": width, "density_g_cm3": UNIT}
    for ours, build in (
        (skim(depth, half_span_degrees=half_span, **place), ring),
        (ground_flat(depth, **place), segment),
    ):
        expected = refined(build, 64)
        assert [ours.mass_g, ours.unbalance_gmm] == pytest.approx(expected, rel=TOLERANCE)


def empty(hole: DrilledHole, rim: float, point: float, n: int) -> Mesh:
    """The void of a hole under its rim, in the crank's frame; its mid-plane outline is exact."""
    body = bored(hole.diameter_mm, hole.depth_mm, rim, point)(n)
    return body.rotate((0, 0, hole.degrees)).translate((0, 0, hole.z_mm))


def random_pair(rng: np.random.Generator) -> tuple[float, float, list[DrilledHole]]:
    rim, point = rng.uniform(50, 110), rng.choice([90.0, 118.0, 135.0, 180.0])
    first, apart = rng.uniform(0, 360), rng.uniform(4, 120)
    holes = [
        DrilledHole(angle, rng.uniform(5, 26), rng.choice([rng.uniform(0, 2), rng.uniform(2, 40)]))
        for angle in (first, first + apart)
    ]
    return rim, point, holes


def test_web_in_one_plane() -> None:
    rng = np.random.default_rng(20240612)
    for _ in range(25):
        rim, point, holes = random_pair(rng)
        ours = web_mm(*holes, surface_radius_mm=rim, point_degrees=point)
        one, two = (empty(hole, rim, point, 64) for hole in holes)
        gap = one.min_gap(two, 500.0)
        # the mesh lies inside the true void: its gap is never the smaller one
        assert ours <= gap + 1e-9
        assert ours == pytest.approx(gap, abs=1e-3)


def test_web_of_holes_at_different_z() -> None:
    rng = np.random.default_rng(20240613)
    for _ in range(8):
        rim, point, holes = random_pair(rng)
        other = DrilledHole(
            holes[1].degrees, holes[1].diameter_mm, max(holes[1].depth_mm, 4.0), rim, 23.0, point
        )
        this = DrilledHole(holes[0].degrees, holes[0].diameter_mm, max(holes[0].depth_mm, 4.0))
        ours = web_mm(this, other, surface_radius_mm=rim, point_degrees=point)
        gap = empty(this, rim, point, 64).min_gap(empty(other, rim, point, 64), 500.0)
        # 128 facets stand inside the round of each hole by up to 13 mm x (1 - cos(pi / 128))
        assert gap - 2 * 0.0040 <= ours <= gap + 1e-9
