"""A piece as an SVG group: true Béziers in cm, y turned down, nothing but numbers and classes.

Pure functions; colours, widths and what is shown are left to the style sheet. Everything of a
piece that can be pointed at carries ``data-k`` "piece|edge" (or "piece|line:name",
"piece|dart:name") and stands in a group with ``data-side``.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

import numpy as np

from pinwright.pattern.piece import Piece, dart_cap
from pinwright.sheets.folds import fold_edge, off_fold
from pinwright.sheets.notches import NotchMark
from pinwright.web.svg import Placing, View, number, path_data, points_data

NOTCH = 0.7
"""How far a notch is drawn out from the net line, cm."""


def _path(d: str, kind: str, key: str = "") -> str:
    mark = f' data-k="{escape(key)}"' if key else ""
    return f'<path class="{kind}"{mark} d="{d}"/>'


def net(piece: Piece, placing: Placing, kind: str, keyed: bool = True, places: int = 4) -> str:
    """The net line edge by edge, and what the dart mouths are cut like; a fold as a fold."""
    out = []
    fold = fold_edge(piece)
    for e in piece.edges:
        key = f"{piece.name}|{e.name}" if keyed else ""
        what = "edge fold" if fold is not None and e.name == fold.name else "edge"
        out.append(_path(path_data(e.runs, placing, places), f"{what} {kind}", key))
    return "".join(out)


def cloth(view: View, placing: Placing) -> str:
    """The cloth of a piece with its edge, which is not drawn where it stands on the fold."""
    kind, fold = "cut" if view.is_cut else "cut planned", fold_edge(view.piece)
    if fold is None:
        return _path(points_data(view.cut, placing, closed=True), kind)
    rim = "".join(points_data(run, placing) for run in off_fold(view.cut, fold))
    ground = _path(points_data(view.cut, placing, closed=True), f"{kind} ground-of")
    return ground + _path(rim, f"{kind} rim")


def darts(piece: Piece, placing: Placing, kind: str, keyed: bool = True) -> str:
    """Both legs of every dart with its middle, and the cap over its mouth."""
    out = []
    for d in piece.darts:
        a, b = piece.mouth(d.name)
        key = f"{piece.name}|dart:{d.name}" if keyed else ""
        legs = points_data(np.array([a, d.apex, b]), placing, places=4)
        out.append(_path(legs, f"dart {kind}", key))
        if keyed:
            e = piece.edge(d.edge)
            i = e.darts.index(d.name)
            cap = dart_cap(e.runs[i], e.runs[i + 1], d.apex)
            out.append(_path(path_data(cap, placing), f"cap {kind}"))
            out.append(_path(points_data(np.array([(a + b) / 2, d.apex]), placing), "middle"))
    return "".join(out)


def inner_lines(piece: Piece, placing: Placing, kind: str, keyed: bool = True) -> str:
    """Balance lines, creases, openings, folds and stitching lines, and marked points."""
    out = []
    for line in piece.lines:
        key = f"{piece.name}|line:{line.name}" if keyed else ""
        out.append(_path(path_data(line.path, placing, 3), f"line {line.kind} {kind}", key))
    for m in piece.marks:
        x, y = placing.apply(np.asarray(m.at))
        key = f"{piece.name}|mark:{m.name}" if keyed else ""
        mark = f' data-k="{escape(key)}"' if key else ""
        out.append(
            f'<path class="mark {m.kind} {kind}"{mark} d="M{number(x - 0.5, 3)} {number(y, 3)}h1'
            f'm-.5-.5v1"/>'
        )
    return "".join(out)


def grain(piece: Piece, placing: Placing) -> str:
    """The grain line with a head at each end."""
    a, b = np.asarray(piece.grain, dtype=float)
    size = float(np.hypot(*(b - a)))
    t = (b - a) / size
    n = np.array([-t[1], t[0]])
    head = min(1.6, size / 4)
    d = points_data(np.array([a, b]), placing)
    for tip, way in ((a, t), (b, -t)):
        arms = [tip + head * (way + 0.4 * n), tip, tip + head * (way - 0.4 * n)]
        d += points_data(np.array(arms), placing)
    return _path(d, "grain")


def notch_ticks(marks: Iterable[NotchMark], placing: Placing) -> str:
    """Notches as ticks out from the net line, two or three side by side where they are so cut."""
    d = ""
    for m in marks:
        along = np.array([-m.out[1], m.out[0]])
        for i in range(m.count):
            p = m.at + 0.4 * (i - (m.count - 1) / 2) * along
            d += points_data(np.array([p, p + NOTCH * m.out]), placing)
    return _path(d, "notch") if d else ""


def piece_group(view: View, placing: Placing) -> str:
    """Everything drawn on one piece but its label, as one SVG group."""
    p, was = view.piece, view.before
    changed = "changed" if was is not None else "unchanged"
    state = "moved by the fitting" if was is not None else "not moved by the fitting"
    said = f"{view.title}: {view.count}; {state}"
    body = path_data(p.outline(caps=True), placing) + "Z"
    parts = [
        cloth(view, placing),
        _path(body, "body"),
        _path(path_data(p.outline(caps=True), placing, 2) + "Z", "weave"),
    ]
    if was is not None:
        old = net(was, placing, "before", keyed=False, places=3)
        old += darts(was, placing, "before", keyed=False)
        old += inner_lines(was, placing, "before", keyed=False) if _inside_moved(was, p) else ""
        parts.append(f'<g class="was">{old}</g>')
    parts += [
        f'<g class="now">{inner_lines(p, placing, "after")}{darts(p, placing, "after")}',
        f"{net(p, placing, 'after')}{notch_ticks(view.notches, placing)}</g>",
        grain(p, placing),
    ]
    return (
        f'<g class="piece {p.layer} {changed}" data-piece="{escape(p.name)}" '
        f'data-side="{view.side}" data-of="{escape(view.key)}" role="img" '
        f'aria-label="{escape(said)}">{"".join(parts)}</g>'
    )


def _inside_moved(was: Piece, now: Piece) -> bool:
    for a, b in zip(was.lines, now.lines, strict=True):
        if a.path.ctrl.shape != b.path.ctrl.shape or np.abs(a.path.ctrl - b.path.ctrl).max() > 0.02:
            return True
    return any(
        float(np.abs(a.at - b.at).max()) > 0.02 for a, b in zip(was.marks, now.marks, strict=True)
    )
