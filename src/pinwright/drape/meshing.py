"""The pieces of a garment sewn to a shell of triangles, from the seam graph alone.

Nothing here knows a style: what hangs, what is sewn to what and where the vertices stand follows
from the pieces and seams. Pleats are not in the pattern's data, so none are laid.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import chain

import numpy as np

from pinwright.drape.data import Array, Panel, Shell, Whole
from pinwright.drape.hanging import Hanging, Key, hanging
from pinwright.drape.inner_lines import drawn, embedded, soft_places
from pinwright.drape.net_line import Net, grain_of, leg_steps, net_line, places
from pinwright.drape.sewing import Facts, Join, Run, joins
from pinwright.drape.spacing import Spaced, spaced
from pinwright.drape.triangulating import triangulated
from pinwright.drape.welding import checked, flat_rest, signs, welded
from pinwright.errors import GeometryError
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Piece

FOUND = 1e-6
"""A vertex stands at a place of an edge where it is this near, cm."""

Where = Mapping[str, tuple[Array, Whole]]
"""For each edge of a panel the sewn distances of its vertices, cm, and the vertices."""


def shell_of(
    garment: Garment,
    right: Mapping[str, Piece],
    left: Mapping[str, Piece],
    edge: float,
    facts: Facts | None = None,
) -> Shell:
    """A garment's pieces triangulated flat and sewn together.

    Args:
        garment: its seams, and what pieces it has.
        right, left: the pieces of each side as they are now, by name.
        edge: wanted side of the triangles, cm.
        facts: the facts of each side where corrections changed them (``Half.facts``).

    Raises:
        GeometryError: pieces that cannot be sewn or triangulated at this size.
    """
    hung = hanging(garment, right, left)
    joined = joins(garment, hung, edge, facts)
    lines = {}
    soft: dict[tuple[Key, str], Sequence[float]] = {}
    known: dict[int, tuple[tuple[tuple[str, Array], ...], dict[str, tuple[float, ...]]]] = {}
    for key, piece in hung.pieces.items():
        if id(piece) not in known:
            on_piece = drawn(piece)
            known[id(piece)] = on_piece, soft_places(piece, on_piece)
        lines[key], at = known[id(piece)]
        soft |= {(key, name): s for name, s in at.items()}
    knots = spaced(hung, joined, soft, edge)
    panels: list[Panel] = []
    where: dict[Key, Where] = {}
    done: dict[tuple[int, bytes], tuple[Array, Whole, Mapping[str, Whole]]] = {}
    for key, piece in hung.pieces.items():
        own = {e.name: knots.knots[key, e.name] for e in piece.edges}
        net = net_line(piece, own, leg_steps(piece, edge))
        same = id(piece), net.points.tobytes()
        if same not in done:
            done[same] = _flat(piece, net, lines[key], edge)
        where[key] = places(piece, own, net)
        panels.append(_panel(key, piece, net, where[key], *done[same], key[0] in hung.bands))
    return _sewn(garment, hung, joined, knots, panels, where)


def _flat(
    piece: Piece, net: Net, lines: Sequence[tuple[str, Array]], edge: float
) -> tuple[Array, Whole, Mapping[str, Whole]]:
    try:
        extra, chains = embedded(net.points, lines, edge)
        points, triangles = triangulated(net.points, extra, chains.values(), grain_of(piece), edge)
    except GeometryError as error:
        raise GeometryError(f"Piece {piece.name}: {error}") from error
    return points, triangles, chains


def _panel(
    key: Key,
    piece: Piece,
    net: Net,
    where: Where,
    points: Array,
    triangles: Whole,
    chains: Mapping[str, Whole],
    band: bool,
) -> Panel:
    return Panel(
        piece.name,
        key[1],
        piece.home,
        points,
        triangles,
        net.edges,
        net.legs,
        _stations(piece, net, where),
        chains,
        grain_of(piece),
        band,
    )


def _stations(piece: Piece, net: Net, where: Where) -> dict[str, int]:
    """Corners and stations: "edge:station", and the name alone where one place has it."""
    found: dict[str, int] = {}
    plain: dict[str, set[int]] = {}
    for e in piece.edges:
        named = [
            (e.start, int(net.edges[e.name][0][0])),
            (e.end, int(net.edges[e.name][-1][-1])),
        ]
        at, ids = where[e.name]
        for name in e.stations:
            named.append((name, int(ids[np.abs(at - e.distance(name)).argmin()])))
        for name, vertex in named:
            found[f"{e.name}:{name}"] = vertex
            plain.setdefault(name, set()).add(vertex)
    return found | {name: min(ids) for name, ids in plain.items() if len(ids) == 1}


def _sewn(
    garment: Garment,
    hung: Hanging,
    joined: Sequence[Join],
    knots: Spaced,
    panels: Sequence[Panel],
    where: Mapping[Key, Where],
) -> Shell:
    sizes = [len(p.points) for p in panels]
    keys = list(hung.pieces)
    start = dict(zip(keys, np.cumsum([0, *sizes]).tolist(), strict=False))
    pairs: list[tuple[int, int]] = []
    for key, p in zip(keys, panels, strict=True):
        for first, second in p.legs.values():
            pairs += zip((first + start[key]).tolist(), (second + start[key]).tolist(), strict=True)
    along: dict[str, list[int]] = {}
    for join, (rows, held) in zip(joined, knots.pairs, strict=True):
        for (a, b), hold in zip(rows.tolist(), held, strict=True):
            here = [start[k] + v for k, v in _vertices(join.a, a, where)]
            if hold:
                there = [start[k] + v for k, v in _vertices(join.b, b, where)]
                pairs += [(here[0], x) for x in chain(here[1:], there)]
            if join.named:
                along.setdefault(join.name, []).append(here[0])
    n, vertices = welded(sizes, np.array(pairs, dtype=np.int64).reshape(-1, 2))
    ids = np.concatenate(vertices)
    panel = np.repeat(np.arange(len(panels)), [len(p.triangles) for p in panels])
    drawn_so = np.concatenate([v[p.triangles] for p, v in zip(panels, vertices, strict=True)])
    # a right back is drawn as it is seen from outside: its side seam lies to the right
    outside = next((i for i, p in enumerate(panels) if p.home == "back"), 0)
    try:
        checked(n, drawn_so)
        sign = signs(panels, drawn_so, panel, outside)
    except GeometryError as error:
        raise GeometryError(f"{garment.title}: {error}") from error
    turned = sign[panel] < 0
    triangles = drawn_so.copy()
    triangles[turned] = drawn_so[turned][:, [0, 2, 1]]
    rest = np.concatenate([flat_rest(p, int(s)) for p, s in zip(panels, sign, strict=True)])
    seams = {name: _unrepeated(ids[np.array(at)]) for name, at in along.items()}
    return Shell(n, tuple(panels), vertices, triangles, rest, panel, seams, hung.left_out)


def _vertices(run: Run, s: float, where: Mapping[Key, Where]) -> Iterator[tuple[Key, int]]:
    """The vertices at a place of a run: two at a mouth, and where two edges follow each other."""
    for part in run:
        if part.at - FOUND <= s <= part.at + part.edge.length + FOUND:
            at, ids = where[part.key][part.edge.name]
            here = part.along(s)
            low, high = np.searchsorted(at, (here - FOUND, here + FOUND))
            for v in ids[low:high].tolist():
                yield part.key, v


def _unrepeated(ids: Whole) -> Whole:
    return np.asarray(ids[np.concatenate([[True], np.diff(ids) != 0])])
