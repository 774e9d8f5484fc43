"""Pieces out of outlines, by what the user calls their corners and edges."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pinwright.bringin.inset import inset
from pinwright.bringin.names import DartNames, PieceNames
from pinwright.bringin.outline import Outline
from pinwright.errors import OrderError
from pinwright.geometry.motion import Motion
from pinwright.geometry.outline import self_crossing
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Dart, Edge, Line, Mark, Mouth, Piece, edge

Array = NDArray[np.float64]

REACH = 1.0
"""A point given by its place may lie this far from the outline, cm."""

LEAST = 0.6
"""The least workable allowance, cm; all of an allowance that is smaller."""


@dataclass(frozen=True, eq=False)
class _Stretch:
    """A stretch of outline between two named points; ``name`` is its edge, "" a dart's mouth."""

    name: str
    start: str
    end: str
    path: Path


def piece_from(outlines: Sequence[Outline], names: PieceNames) -> Piece:
    """The piece that an outline is, its edges named.

    Raises:
        OrderError: names that do not fit the outline, in one sentence.
        GeometryError: a net line that crosses itself, or allowances that leave none.
    """
    where = f"Piece {names.name}"
    if names.outline > len(outlines):
        raise OrderError(
            f"{where}: there is no outline {names.outline}; {len(outlines)} were found."
        )
    outline = outlines[names.outline - 1]
    stretches = _stretches(outline, names, where)
    allowance, reserve = _margins(names, where)
    if names.line == "cut":
        stretches = _net(stretches, allowance, reserve, names, where)
    motion, turned = _motion(names, outline)
    edges, mouths = _edges(stretches, names, allowance, reserve, where)
    piece = Piece(
        name=names.name,
        title=names.title or names.name[:1].upper() + names.name[1:].replace("_", " "),
        edges=tuple(edges),
        grain=_grain(names, outline, stretches, where),
        cut=names.cut,
        layer=names.layer,
        darts=tuple(_darts(names.darts, mouths, stretches)),
        lines=tuple(Line(x.name, x.kind, Path.polyline(x.points)) for x in names.lines),
        marks=tuple(Mark(m.name, m.kind, np.array(m.at)) for m in names.marks),
        fold=names.fold or None,
        home=names.home,
        count=names.count,
    )
    return moved(piece, motion) if turned else piece


def _stretches(outline: Outline, names: PieceNames, where: str) -> list[_Stretch]:
    k = len(outline.paths)
    if len(names.corners) != k:
        raise OrderError(
            f"{where}: outline {names.outline} has {k} corners, but {len(names.corners)} names are "
            'given in `corners`; write "" for a corner that an edge runs through.'
        )
    if names.first > k:
        raise OrderError(f"{where}: there is no corner {names.first}; there are {k}.")
    start = names.first - 1
    paths = outline.paths[start:] + outline.paths[:start]
    whole = Path(np.concatenate([_snapped(paths, i) for i in range(k)]))
    sums = np.concatenate([[0.0], np.cumsum([p.length for p in paths])])
    at = {float(sums[i]): n for i, n in enumerate(names.corners) if n}
    for name, p in names.points.items():
        at[_along(whole, p, f"{where}: the point {name}")] = name
    places = sorted(at)
    called = [at[s] for s in places]
    if len(places) < 2:
        raise OrderError(f"{where}: two corners at least must be named.")
    twice = next((n for n in called if called.count(n) > 1), None)
    if twice:
        raise OrderError(f"{where}: two corners are called {twice!r}.")
    if len(names.edges) != len(places):
        raise OrderError(
            f"{where}: between {len(places)} named corners ({', '.join(called)}) lie as many "
            f"edges, but {len(names.edges)} names are given in `edges`."
        )
    if places[0] > 0.0:
        # the outline begins in an edge: begin it at the first named corner instead
        cut = whole.split(places[0])
        whole = cut[1] + cut[0]
        places = [s - places[0] for s in places]
    found = []
    for i, s in enumerate(places):
        stop = places[i + 1] if i + 1 < len(places) else whole.length
        ends = (called[i], called[(i + 1) % len(called)])
        found.append(_Stretch(names.edges[i], *ends, whole.between(s, stop)))
    return _begun(found, where)


def _snapped(paths: Sequence[Path], i: int) -> Array:
    ctrl = paths[i].ctrl.copy()
    ctrl[0, 0] = paths[i - 1].end
    return ctrl


def _begun(found: list[_Stretch], where: str) -> list[_Stretch]:
    """The stretches begun where an edge begins, so that none is torn apart; names checked."""
    if not any(s.name for s in found):
        raise OrderError(f"{where}: no edge has a name.")
    for i in range(len(found)):
        before, here = found[i - 1].name, found[i].name
        if here and before != here and (before or _before(found, i) != here):
            found = found[i:] + found[:i]
            break
    seen: list[str] = []
    for a, b in zip([None, *found], found, strict=False):
        name = b.name
        if a is not None and a.name == name and name:
            raise OrderError(
                f"{where}: two stretches that follow one another are called {name!r}; call the "
                'corner between them "" to make one edge of them.'
            )
        if name and name in seen and _last_named(seen) != name:
            raise OrderError(f"{where}: two edges are called {name!r}.")
        if name:
            seen.append(name)
    return found


def _before(found: list[_Stretch], i: int) -> str:
    return next((found[j].name for j in range(i - 1, i - len(found), -1) if found[j].name), "")


def _last_named(seen: list[str]) -> str:
    return seen[-1] if seen else ""


def _along(path: Path, p: Sequence[float], what: str) -> float:
    s, away = path.nearest(p)
    if away > REACH:
        raise OrderError(
            f"{what} at ({p[0]:g}, {p[1]:g}) lies {away:.1f} cm from the outline; it may be "
            f"{REACH:g} cm at most."
        )
    return s


def _margins(names: PieceNames, where: str) -> tuple[dict[str, float], dict[str, float]]:
    """Allowance and reserve by edge, cm; nothing on the fold."""
    known = {n for n in names.edges if n}
    given = names.allowance
    table = given if isinstance(given, dict) else {}
    for what, rows in (("allowance", table), ("reserve", names.reserve)):
        for name, cm in rows.items():
            if name not in known:
                raise OrderError(
                    f"{where}: {what} names the edge {name!r}; it has {', '.join(sorted(known))}."
                )
            if not 0.0 <= cm <= 30.0:
                raise OrderError(f"{where}: {what} of {name} is {cm:g} cm; it may be from 0 to 30.")
    if names.cut == "fold" and names.fold not in known:
        raise OrderError(
            f"{where} is cut on the fold, but its fold is {names.fold!r}; it must be one of its "
            f"edges {', '.join(sorted(known))}."
        )
    if names.cut != "fold" and names.fold:
        raise OrderError(f"{where} has a fold, but is cut as {names.cut!r}; say cut = 'fold'.")
    plain = 1.0 if isinstance(given, dict) else given
    allowance = {n: 0.0 if n == names.fold else table.get(n, plain) for n in known}
    return allowance, {n: names.reserve.get(n, 0.0) for n in known}


def _net(
    stretches: list[_Stretch],
    allowance: Mapping[str, float],
    reserve: Mapping[str, float],
    names: PieceNames,
    where: str,
) -> list[_Stretch]:
    if any(not s.name for s in stretches):
        raise OrderError(
            f"{where}: a cut line has no dart mouths; give the mouth of each dart as two points "
            "[x, y] on the net line instead."
        )
    wide = [allowance[s.name] + reserve[s.name] for s in stretches]
    paths = inset([s.path for s in stretches], wide, where)
    if self_crossing(paths):
        raise OrderError(
            f"{where}: with these allowances its net line crosses itself; give smaller ones."
        )
    return [_Stretch(s.name, s.start, s.end, p) for s, p in zip(stretches, paths, strict=True)]


def _edges(
    stretches: list[_Stretch],
    names: PieceNames,
    allowance: Mapping[str, float],
    reserve: Mapping[str, float],
    where: str,
) -> tuple[list[Edge], dict[str, str]]:
    """The edges in order, and the edge of each dart."""
    grouped: list[list[_Stretch]] = []
    for s in stretches:
        if grouped and s.name and grouped[-1][0].name == s.name:
            grouped[-1].append(s)
        elif s.name:
            grouped.append([s])
    edges: list[Edge] = []
    owner: dict[str, str] = {}
    used: set[str] = set()
    for group in grouped:
        name = group[0].name
        parts: list[str | Path | Mouth] = [group[0].start]
        for i, s in enumerate(group):
            if i:
                dart = _dart_between(names, group[i - 1].end, s.start)
                if dart is None:
                    raise OrderError(
                        f"{where}: between {group[i - 1].end} and {s.start} lies a dart's mouth, "
                        "but `darts` has none from there to there."
                    )
                owner[dart.name] = name
                parts.append(Mouth(dart.name))
            parts += _with_marks(s, names, owner, used, where)
        parts.append(group[-1].end)
        wide = allowance[name]
        edges.append(
            edge(
                name,
                *parts,
                allowance=wide,
                reserve=reserve[name],
                least=min(LEAST, wide),
            )
        )
    lost = [d.name for d in names.darts if d.name not in owner]
    if lost:
        raise OrderError(f"{where}: no edge holds the mouth of the dart {lost[0]!r}.")
    unknown = [k for k in names.stations if k not in used]
    if unknown:
        raise OrderError(
            f"{where}: stations names {unknown[0]!r}; it must be edge.station, such as "
            f"{edges[0].name}.hip, beside an edge of this piece."
        )
    return edges, owner


def _dart_between(names: PieceNames, start: str, end: str) -> DartNames | None:
    return next((d for d in names.darts if d.mouth == (start, end)), None)


def _with_marks(
    s: _Stretch, names: PieceNames, owner: dict[str, str], used: set[str], where: str
) -> list[str | Path | Mouth]:
    """A stretch with its stations, and with the mouths of darts that are given by points."""
    cuts: list[tuple[float, float, str | Mouth]] = []
    for key, p in names.stations.items():
        name, _, station = key.partition(".")
        if name != s.name or not station:
            continue
        at, away = s.path.nearest(p)
        if away > REACH and any(x.name == name for x in names.darts):
            continue
        if away > REACH:
            raise OrderError(
                f"{where}: the station {key} at ({p[0]:g}, {p[1]:g}) lies {away:.1f} cm from its "
                f"edge; it may be {REACH:g} cm at most."
            )
        used.add(key)
        cuts.append((at, at, station))
    for dart in names.darts:
        a, b = dart.mouth
        if isinstance(a, str) or isinstance(b, str):
            continue
        (at, off_a), (to, off_b) = s.path.nearest(a), s.path.nearest(b)
        if max(off_a, off_b) > REACH or dart.name in owner:
            continue
        if not at < to:
            raise OrderError(
                f"{where}: the mouth of {dart.name} must be given in the order of the edge, "
                "anticlockwise round the piece."
            )
        owner[dart.name] = s.name
        cuts.append((at, to, Mouth(dart.name)))
    out: list[str | Path | Mouth] = []
    begin = 0.0
    for at, to, what in sorted(cuts, key=lambda c: c[0]):
        if at - begin < 0.05:
            raise OrderError(
                f"{where}: on {s.name} two points lie together, {at:.2f} cm from {s.start}."
            )
        out += [s.path.between(begin, at), what]
        begin = to
    if s.path.length - begin < 0.05:
        raise OrderError(f"{where}: a point on {s.name} lies at its end {s.end}.")
    out.append(s.path.between(begin, s.path.length))
    return out


def _darts(
    darts: Sequence[DartNames], owner: Mapping[str, str], stretches: Sequence[_Stretch]
) -> list[Dart]:
    points = {s.start: s.path.start for s in stretches}
    found = []
    for d in darts:
        if isinstance(d.apex, str):
            if d.apex not in points:
                raise OrderError(
                    f"The dart {d.name} ends at {d.apex!r}; it must be a named corner or a point "
                    "[x, y]."
                )
            apex = points[d.apex]
        else:
            apex = np.array(d.apex)
        found.append(Dart(d.name, owner[d.name], np.asarray(apex, dtype=np.float64), d.place))
    return found


def _motion(names: PieceNames, outline: Outline) -> tuple[Motion, bool]:
    """How the piece is turned so that its grain stands upright, and mirrored if it must be."""
    motion = Motion.identity()
    ends = names.grain if names.grain is not None else outline.grain
    if ends is not None and names.upright:
        way = np.array(ends[1]) - np.array(ends[0])
        if names.grain is None and way[1] < 0:
            way = -way
        angle = 90.0 - float(np.degrees(np.arctan2(way[1], way[0])))
        if abs((angle + 180.0) % 360.0 - 180.0) > 0.01:
            motion = Motion.rotation(angle, ends[0])
    if names.mirrored:
        motion = Motion.mirror_x() @ motion
    return motion, not motion.is_identity


def _grain(names: PieceNames, outline: Outline, stretches: Sequence[_Stretch], where: str) -> Array:
    if names.grain is not None:
        grain = np.array(names.grain, dtype=float)
        if float(np.hypot(*(grain[1] - grain[0]))) < 1.0:
            raise OrderError(f"{where}: the two ends of its grain line lie together.")
        return grain
    if outline.grain is not None:
        grain = np.asarray(outline.grain, dtype=float)
        return grain if grain[1, 1] >= grain[0, 1] else grain[::-1].copy()
    pts = np.concatenate([s.path.flatten(0.05)[:-1] for s in stretches])
    low, high = pts.min(axis=0), pts.max(axis=0)
    middle, part = (low + high) / 2.0, 0.3 * (high[1] - low[1])
    return np.array([[middle[0], middle[1] - part], [middle[0], middle[1] + part]])


def moved(piece: Piece, motion: Motion) -> Piece:
    """A piece turned, shifted or mirrored; mirrored its edges run anticlockwise again."""
    edges = [_edge_moved(e, motion) for e in piece.edges]
    return replace(
        piece,
        edges=tuple(reversed(edges)) if motion.mirrored else tuple(edges),
        grain=motion.apply(piece.grain),
        darts=tuple(replace(d, apex=motion.apply(d.apex)) for d in piece.darts),
        lines=tuple(replace(x, path=x.path.transformed(motion)) for x in piece.lines),
        marks=tuple(replace(m, at=motion.apply(m.at)) for m in piece.marks),
    )


def _edge_moved(e: Edge, motion: Motion) -> Edge:
    runs = tuple(r.transformed(motion) for r in e.runs)
    if not motion.mirrored:
        return replace(e, runs=runs)
    n = len(runs)
    stations = {k: (n - 1 - r, runs[r].spans - c) for k, (r, c) in e.stations.items()}
    return replace(
        e,
        start=e.end,
        end=e.start,
        runs=tuple(r.reversed() for r in reversed(runs)),
        darts=tuple(reversed(e.darts)),
        stations=stations,
    )
