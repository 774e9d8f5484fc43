"""Panels sewn to one shell: vertices that are sewn are one, and all triangles turn alike."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from pinwright.drape.data import Array, Panel, Whole
from pinwright.errors import GeometryError


def welded(sizes: Sequence[int], pairs: Whole) -> tuple[int, tuple[Whole, ...]]:
    """Numbers of the shell's vertices.

    Args:
        sizes: how many vertices each panel has.
        pairs: (k, 2) vertices that are sewn to each other, panels numbered through.

    Returns:
        How many vertices are left, and for each panel the shell's number of each of its vertices,
        in the order in which the panels first have them.
    """
    n = sum(sizes)
    graph = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(n, n))
    _, label = connected_components(graph, directed=False)
    _, first, back = np.unique(label, return_index=True, return_inverse=True)
    order = np.empty(len(first), dtype=np.int64)
    order[np.argsort(first)] = np.arange(len(first))
    ids = order[back]
    starts = np.cumsum([0, *sizes])
    return len(first), tuple(ids[a:b] for a, b in pairwise(starts))


def signs(panels: Sequence[Panel], triangles: Whole, panel: Whole, seen_from_outside: int) -> Whole:
    """For each panel 1, or -1 where its triangles must be turned over for all to turn alike.

    Args:
        panels: the panels, for their names.
        triangles: (m, 3) of shell vertices, each panel's turned as it is drawn.
        panel: (m,) the panel of each.
        seen_from_outside: the panel that keeps its turn.

    Raises:
        GeometryError: a side that more than two triangles have, or a garment that cannot be
            turned alike.
    """
    e = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    of = np.tile(panel, 3)
    low, high = e.min(axis=1), e.max(axis=1)
    key = low * (int(triangles.max()) + 1) + high
    order = np.argsort(key, kind="stable")
    k = key[order]
    same = np.flatnonzero(k[1:] == k[:-1])
    if (np.diff(same) == 1).any():
        i = int(same[np.flatnonzero(np.diff(same) == 1)[0]])
        names = {panels[int(of[order[j]])].name for j in (i, i + 1, i + 2)}
        raise GeometryError(
            f"more than two triangles meet at a side of {', '.join(sorted(names))}; "
            "take smaller triangles"
        )
    one, two = order[same], order[same + 1]
    alike = e[one, 0] != e[two, 0]
    links: dict[tuple[int, int], bool] = {}
    for p, q, good in set(zip(of[one].tolist(), of[two].tolist(), alike.tolist(), strict=True)):
        for pair in ((p, q), (q, p)):
            if links.setdefault(pair, good) != good:
                raise GeometryError(
                    f"{panels[p].name} and {panels[q].name} are sewn so that the cloth is twisted"
                )
    found = np.zeros(len(panels), dtype=np.int64)
    for start in (seen_from_outside, *range(len(panels))):
        if found[start]:
            continue
        found[start] = 1
        todo = [start]
        while todo:
            here = todo.pop()
            for (p, q), good in links.items():
                turn = found[p] if good else -found[p]
                if p != here:
                    continue
                if found[q] == 0:
                    found[q] = turn
                    todo.append(q)
                elif found[q] != turn:
                    raise GeometryError(
                        f"{panels[p].name} and {panels[q].name} are sewn so that the cloth is "
                        "twisted"
                    )
    if any(not good for (p, q), good in links.items() if p == q):
        raise GeometryError("a panel is sewn to itself so that the cloth is twisted")
    return found


def flat_rest(panel: Panel, sign: int) -> Array:
    """Corners (m, 3, 2) of a panel's triangles, x across the grain and y along it, cm."""
    g = panel.grain
    frame = np.array([[sign * g[1], -sign * g[0]], [g[0], g[1]]])
    t = panel.triangles if sign > 0 else panel.triangles[:, [0, 2, 1]]
    return np.asarray((panel.points @ frame.T)[t])


def checked(n: int, triangles: Whole) -> None:
    """Refuse a shell with a triangle that is sewn to nothing, or one twice, or in two parts.

    Raises:
        GeometryError: as said.
    """
    a, b, c = triangles.T
    if ((a == b) | (b == c) | (c == a)).any():
        raise GeometryError("a triangle has two corners sewn to each other; take smaller triangles")
    s = np.sort(triangles, axis=1)
    if len(np.unique((s[:, 0] * n + s[:, 1]) * n + s[:, 2])) != len(s):
        raise GeometryError("two triangles have the same corners; take smaller triangles")
    used = np.zeros(n, dtype=bool)
    used[triangles] = True
    if not used.all():
        raise GeometryError("a vertex of a panel is in no triangle")
    ends = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]]])
    graph = coo_array((np.ones(len(ends)), (ends[:, 0], ends[:, 1])), shape=(n, n))
    if connected_components(graph, directed=False)[0] != 1:
        raise GeometryError("the pieces are not all sewn to one garment")
