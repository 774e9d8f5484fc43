"""Hung garments of known shape, for the reading's tests; and that they are what they say."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from pinwright.drape.data import Array, Hung, Panel, Rest, Shell, Side, Surface, Whole

FLAT = Callable[[Array], Array]


def grid(columns: int, rows: int) -> Whole:
    """Triangles of a grid of (columns + 1) x (rows + 1) vertices, anticlockwise in x, y."""
    i = np.arange(rows)[:, None] * (columns + 1) + np.arange(columns)
    a, b, c, d = i, i + 1, i + columns + 2, i + columns + 1
    even = ((np.arange(rows)[:, None] + np.arange(columns)) % 2 == 0)[..., None]
    one = np.where(even, np.stack([a, b, c], -1), np.stack([a, b, d], -1))
    two = np.where(even, np.stack([a, c, d], -1), np.stack([b, c, d], -1))
    found: Whole = np.concatenate([one.reshape(-1, 3), two.reshape(-1, 3)]).astype(np.int64)
    return found


def panel(home: str, side: Side, wide: float, tall: float, columns: int, rows: int,
          levels: Mapping[str, float]) -> Panel:  # fmt: skip
    """A rectangle from the centre (x = 0) to the side, lines at heights over its hem (y = 0)."""
    x, y = np.meshgrid(np.linspace(0.0, wide, columns + 1), np.linspace(0.0, tall, rows + 1))
    n = np.arange((columns + 1) * (rows + 1)).reshape(rows + 1, columns + 1)
    lines = {k: n[round(z / tall * rows)] for k, z in levels.items()}
    return Panel(
        piece=home, side=side, home=home, points=np.stack([x.ravel(), y.ravel()], 1),
        triangles=grid(columns, rows),
        edges={"centre": (n[:, 0],), "hem": (n[0],), "side": (n[:, -1],), "waist": (n[-1],)},
        legs={}, stations={}, lines=lines, grain=np.array([0.0, 1.0]),
    )  # fmt: skip


def tube(round_: float, tall: float, columns: int, rows: int,
         levels: Mapping[str, float] | None = None) -> tuple[Shell, Array, Array]:  # fmt: skip
    """A tube of four panels, and of each vertex where it lies: along (0 to 1) and height.

    Along runs from the centre front by her left side, the back, her right side to the front.
    """
    levels = levels or {}
    quarter: list[tuple[str, Side]] = [
        ("front", "left"), ("back", "left"), ("back", "right"), ("front", "right"),
    ]  # fmt: skip
    panels, vertices, triangles, rest, of = [], [], [], [], []
    row = np.arange(rows + 1)[:, None] * 4 * columns
    for q, (home, side) in enumerate(quarter):
        p = panel(home, side, round_ / 4.0, tall, columns, rows, levels)
        forward = q in (0, 2)
        at = np.arange(columns + 1) if forward else columns - np.arange(columns + 1)
        v = (row + (q * columns + at) % (4 * columns)).ravel()
        t = p.triangles if forward else p.triangles[:, ::-1]
        flat = p.points * ([1.0, 1.0] if forward else [-1.0, 1.0])
        panels.append(p)
        vertices.append(v)
        triangles.append(v[t])
        rest.append(flat[t])
        of.append(np.full(len(t), q))
    n = 4 * columns * (rows + 1)
    shell = Shell(
        n=n, panels=tuple(panels), vertices=tuple(vertices), triangles=np.concatenate(triangles),
        rest=np.concatenate(rest), panel=np.concatenate(of), seams={},
    )  # fmt: skip
    along = np.tile(np.arange(4 * columns) / (4.0 * columns), rows + 1)
    height = np.repeat(np.linspace(0.0, tall, rows + 1), 4 * columns)
    return shell, along, height


def round_at(along: Array, height: Array, radius: Array | float) -> Array:
    """Points on a cylinder about the plumb axis; 0 is the front, 1/4 her left."""
    a = 2.0 * np.pi * along
    return np.stack([radius * np.sin(a), -radius * np.cos(a), height], axis=1)


def closed_tube(a: float, b: float, low: float, high: float, around: int = 96) -> Surface:
    """An elliptic cylinder of half axes a (across) and b, closed at its ends, turned outwards."""
    z = np.arange(low, high + 0.01, (high - low) / max(round((high - low) / 2.0), 1))
    angle = np.arange(around) / around * 2.0 * np.pi
    ring = np.stack([a * np.sin(angle), -b * np.cos(angle)], 1)
    wall = np.column_stack([np.tile(ring, (len(z), 1)), np.repeat(z, around)])
    points = np.concatenate([wall, np.array([[0.0, 0.0, low], [0.0, 0.0, high]])])
    i = np.arange(len(z) - 1)[:, None] * around
    j, k = np.arange(around), (np.arange(around) + 1) % around
    sides = [
        np.stack([i + j, i + k, i + around + k], -1),
        np.stack([i + j, i + around + k, i + around + j], -1),
    ]
    bottom, top = len(points) - 2, len(points) - 1
    last = (len(z) - 1) * around
    caps = [
        np.stack([k, j, np.full(around, bottom)], 1),
        np.stack([last + j, last + k, np.full(around, top)], 1),
    ]
    return Surface(points, np.concatenate([s.reshape(-1, 3) for s in sides] + caps))


def hung(shell: Shell, points: Array, body: Surface, thickness: float = 0.0,
         touch: Array | None = None) -> Hung:  # fmt: skip
    return Hung(
        shell=shell, points=points, body=body, pose="standing",
        touch=np.zeros(shell.n) if touch is None else touch, thickness=thickness,
        rest=Rest(residual=0.001, steps=10, seconds=1.5),
    )  # fmt: skip


def test_the_tube_is_closed_and_turned_outwards() -> None:
    shell, along, height = tube(60.0, 30.0, 6, 10)
    points = round_at(along, height, 60.0 / (2.0 * np.pi))
    corner = points[shell.triangles]
    normal = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    middle = corner.mean(axis=1) * [1.0, 1.0, 0.0]
    assert ((normal * middle).sum(axis=1) > 0.0).all()
    flat = shell.rest
    u, v = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
    assert (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0] > 0.0).all()
    for p, at in zip(shell.panels, shell.vertices, strict=True):
        own = points[at]
        side = 1.0 if p.side == "left" else -1.0
        assert (own[:, 0] * side > -1e-9).all()
        assert (own[:, 1] * (1.0 if p.home == "back" else -1.0) > -1e-9).all()


def test_the_body_is_closed_and_turned_outwards() -> None:
    body = closed_tube(12.0, 9.0, 0.0, 40.0)
    corner = body.points[body.triangles]
    volume = (corner[:, 0] * np.cross(corner[:, 1], corner[:, 2])).sum() / 6.0
    around = 96
    polygon = 0.5 * around * np.sin(2.0 * np.pi / around) * 12.0 * 9.0
    assert abs(volume - polygon * 40.0) < 1e-6
