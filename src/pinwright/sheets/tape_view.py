"""The picture on a card that shows how to tape: a part of the body from a side, the tape on it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.figure.body.model import body
from pinwright.figure.figure import Figure
from pinwright.figure.lines import Line3
from pinwright.figure.picture_parts import TINT
from pinwright.figure.seen import Seen
from pinwright.figure.shadow import Side, flat
from pinwright.sheets.ink import HEAVY, THIN, Array, Mark, Stroke, Words, circle, line
from pinwright.sheets.tape_body import Look, Looks, chains
from pinwright.sheets.tape_places import PLACES, Place, reach

PICTURE = (4.5, 6.7)
"""The picture at the left of a card, cm."""

HIDDEN_DASH = (0.11, 0.09)
"""Strokes and gaps of a tape that the body hides, cm."""

ROOM = 0.6
"""A tape over which the body lies by less, cm, is seen: it lies on the skin."""

STEP = 0.4
"""So far apart, cm, a tape is looked at."""

SPECK = 1.5
"""A stretch of tape that is hidden, or seen, for less, cm, is drawn as what it lies in."""

SAME = 0.5
"""What is hidden and keeps so near to a longer hidden stretch, cm, is drawn with that."""

OUT = 5.0
"""How far beside the body a height is drawn, cm of the body."""

EXAMPLE = 4.0
"""How far under the waist, cm, trousers are shown that are worn at it."""

SHOWN = 0.5
"""A lesser drop, cm, is none."""

ON_TAPE = 1.5
"""A landmark that lies no further from the tape, cm, is marked on it."""

SO_NEAR = 7.0
"""Of neck, shoulder and waist the body is drawn so far beyond what is shown there, cm."""

LETTER = 0.32
"""Letters in the picture, cm: 9 points."""

APART = 3.0
"""A landmark nearer to an end of the tape, cm, is not marked beside it."""

SIDE = "right"
"""Of a measure that is taken on both sides the picture shows this one (common practice)."""


def taped(figure: Figure, term: str, lines: Mapping[str, Line3], looks: Looks) -> list[Mark]:
    """The part of the body, and the tape on it, within :data:`PICTURE`, its upper end at y = 0."""
    place = PLACES[term]
    at = looks[place.side, place.arms]
    low, high = reach(place.part, figure.marks)
    if place.arms == "right" and place.part != "shoulder":
        # no finger is cut off
        low = min(low, float(figure.points[body().arm("right") > 0.5, 2].min()) - 1.0)
    x0, x1 = _sides(place, lines, figure, at, (low, high))
    taken = _taken(figure, term, lines)
    drawn = _drawn(figure, term, taken, lines, at, (x0, x1))
    ends = [p[:, 0] for p, _ in drawn]
    x0, x1 = min(x0, *(float(e.min()) for e in ends)), max(x1, *(float(e.max()) for e in ends))
    size = min(PICTURE[0] / (x1 - x0 + 1.0), PICTURE[1] / (high - low))
    corner = np.array([(PICTURE[0] - size * (x0 + x1)) / 2.0, -size * high])

    def on(p: Array) -> Array:
        found: Array = p * size + corner
        return found

    box = shapely.box(x0 - 1.0, low, x1 + 1.0, high)
    marks = _body(at.seen, box, on)
    if low < 0.0:
        floor = np.array([[x0, 0.0], [x1, 0.0]])
        marks.append(line(*on(floor), weight=THIN, role="figure floor"))
    for points, kind in drawn:
        weight, dash = {"seen": (HEAVY, ()), "hidden": (THIN, HIDDEN_DASH), "thin": (THIN, ())}[
            kind
        ]
        marks.append(Stroke((on(points),), weight, dash, role=_ROLES[kind]))
    marks += [
        circle(on(p), 0.09, 0.03 if clear else THIN, 1.0, "figure point")
        for p, clear in _ends(figure, taken, at)[: 1 if place.lies == "beside" else None]
        if box.buffer(0.5).contains(shapely.Point(p))
    ]
    if term == "worn_waist_drop":
        marks += _lettered(figure, taken, on, x1)
    return marks


def _lettered(
    figure: Figure, drop: Line3 | None, on: Callable[[Array], Array], x1: float
) -> list[Mark]:
    """Which of the levels that the drop (k, 3) runs between is which; x1: where the body ends."""
    assert drop is not None
    waist, worn = (on(np.array([x1, z])) for z in drop.points[[0, -1], 2])
    example = figure.worn_waist_drop < SHOWN
    under = ["top of the trousers", *(["(for example)"] if example else [])]
    rows = [("waist", waist + np.array([-0.1, 0.12]))]
    rows += [(t, worn - np.array([0.1, 0.4 + 0.43 * k])) for k, t in enumerate(under)]
    return [Words(at, t, LETTER, anchor="end", halo=True, role="figure words") for t, at in rows]


def _sides(
    place: Place,
    lines: Mapping[str, Line3],
    figure: Figure,
    at: Look,
    reached: tuple[float, float],
) -> tuple[float, float]:
    """From where to where across the picture the body is drawn, cm.

    reached: from which height up to which. Her right is at the left of what is seen from in front.
    """
    low, high = reached
    part = at.seen.outline.intersection(shapely.box(-200.0, low, 200.0, high))
    x0, _, x1, _ = (float(v) for v in part.bounds)
    if place.part == "neck":
        x = flat(lines["neck_base_girth"].points, place.side)[:, 0]
        return max(x0, float(x.min()) - SO_NEAR), min(x1, float(x.max()) + SO_NEAR)
    if place.part in ("shoulder", "waist"):
        return x0, float(flat(figure.marks["fork"], place.side)[0]) + SO_NEAR
    return x0, x1


_ROLES = {"seen": "figure tape", "hidden": "figure tape hidden", "thin": "figure leader"}


def _body(v: Seen, box: shapely.Polygon, on: Callable[[Array], Array]) -> list[Mark]:
    """Fill, outline and the lines inside, cut off at a box; where it is cut there is no line."""
    shape = v.outline.intersection(box)
    rings = [r for p in shapely.get_parts(shape) for r in (p.exterior, *p.interiors)]
    fill = tuple(on(shapely.get_coordinates(r)) for r in rings)
    rim = chains(shapely.intersection(v.outline.boundary, box))
    marks: list[Mark] = [Stroke(fill, 0.0, closed=True, fill=TINT, role="figure body")]
    marks.append(Stroke(tuple(map(on, rim)), 0.04, role="figure outline"))
    inside = [c for p in v.lines for c in chains(shapely.LineString(p).intersection(box))]
    if inside:
        marks.append(Stroke(tuple(map(on, inside)), THIN, role="figure turning"))
    return marks


def _taken(figure: Figure, term: str, lines: Mapping[str, Line3]) -> Line3 | None:
    """The tape of a measure; of one that has sides that of :data:`SIDE`."""
    if term == "worn_waist_drop":
        # down the side, from the waist to where trousers are worn, or might be
        tape = lines[f"outside_leg_{SIDE}"].points
        drop = figure.worn_waist_drop if figure.worn_waist_drop >= SHOWN else EXAMPLE
        worn = figure.marks.levels["waist"] - drop
        low = [np.interp(-worn, -tape[:, 2], tape[:, k]) for k in (0, 1)]
        down = np.concatenate([tape[tape[:, 2] > worn], [[*low, worn]]])
        return Line3("tape", term, False, down)
    for name in (f"{term}_{SIDE}", term):
        if name in lines:
            return lines[name]
    return None


Drawn = tuple[Array, str]
"""A line of the picture (k, 2), cm of the body, and whether it is seen, hidden or only thin."""


def _drawn(
    figure: Figure,
    term: str,
    taken: Line3 | None,
    lines: Mapping[str, Line3],
    at: Look,
    reached: tuple[float, float],
) -> list[Drawn]:
    """The lines of a measure in the picture; reached: how far the body does to both sides."""
    place, side, marks = PLACES[term], PLACES[term].side, figure.marks
    if term == "shoulder_slope":
        neck, end = (
            flat(marks[f"{n}_{SIDE}"], side)[:2] for n in ("side_neck_point", "shoulder_point")
        )
        level = neck + np.array([1.3 * (end[0] - neck[0]), 0.0])
        return [(np.stack([neck, end]), "seen"), (np.stack([neck, level]), "thin"), _arc(neck, end)]
    if term == "body_rise":
        top = np.array([*marks[f"side_waist_{SIDE}"][:2], marks.levels["waist"]])
        rise = np.stack([top, [*top[:2], marks.levels["fork"]]])
        return [(flat(rise, side)[:, :2], "seen")]
    assert taken is not None
    if term == "worn_waist_drop":
        run = flat(taken.points, side)[:, :2]
        levels = [np.array([[reached[0], z], [reached[1], z]]) for z in run[[0, -1], 1]]
        across = [shapely.LineString(p).intersection(at.seen.outline) for p in levels]
        return [*((c, "thin") for g in across for c in chains(g)), (run, "seen")]
    if place.lies == "on":
        return _split(taken, side, at, ("seen", "hidden"))
    run = flat(taken.points, side)[:, :2]
    if place.lies == "through":
        return [(run, "seen")]
    # behind her: the lower x of the picture on her right, the higher on her left
    x = reached[0] - OUT if side == "right" else reached[1] + OUT
    beside = np.array([[x, z] for z in run[:, 1]])
    top = np.array([run[0], [x - 1.5 if side == "right" else x + 1.5, run[0, 1]]])
    return [(beside, "seen"), (top, "thin")]


def _arc(neck: Array, end: Array) -> Drawn:
    """The angle between the level and the line from neck to end, as an arc."""
    radius = 0.75 * float(np.linalg.norm(end - neck))
    to = float(np.arctan2(*(end - neck)[::-1]))
    start = 0.0 if abs(to) < np.pi / 2 else np.copysign(np.pi, to)
    angles = np.linspace(start, to, 12)
    return neck + radius * np.stack([np.cos(angles), np.sin(angles)], axis=1), "thin"


def _split(line3: Line3, side: Side, at: Look, kinds: tuple[str, str]) -> list[Drawn]:
    """A tape as stretches that are seen and stretches that the body hides; of no kind: left out."""
    points = np.concatenate([line3.points, line3.points[:1]]) if line3.closed else line3.points
    far = _far(points)
    s = np.linspace(0.0, far[-1], max(3, int(np.ceil(far[-1] / STEP)) + 1))
    fine = flat(np.stack([np.interp(s, far, points[:, k]) for k in range(3)], axis=1), side)
    hidden = at.body.hidden(fine, ROOM)
    if line3.closed:
        fine, hidden = _begun(fine, hidden)
    hidden = _steadied(hidden, s, line3.closed)
    found: list[Drawn] = []
    edges = np.flatnonzero(hidden[1:] != hidden[:-1])
    for a, b in zip([0, *(edges + 1)], [*edges, len(s) - 1], strict=True):
        kind = kinds[int(hidden[a])]
        # each stretch goes on to where the next begins
        if kind and a + 1 < len(s):
            found.append((fine[a : b + 2, :2], kind))
    # what is seen lies over what is hidden
    return sorted(_once(found), key=lambda one: one[1] == "seen")


def _once(found: Sequence[Drawn]) -> list[Drawn]:
    """Without what is hidden and lies on more that is: dashes on dashes are neither."""
    hidden = sorted((p for p, kind in found if kind == "hidden"), key=lambda p: -_far(p)[-1])
    left: list[Array] = []
    for p in hidden:
        if not any(shapely.LineString(q).buffer(SAME).covers(shapely.LineString(p)) for q in left):
            left.append(p)
    return [*((p, kind) for p, kind in found if kind != "hidden"), *((p, "hidden") for p in left)]


def _far(line: Array) -> Array:
    """How far along it each point (k, 2 or 3) of a line lies, cm: (k,)."""
    steps = np.linalg.norm(np.diff(line, axis=0), axis=1)
    return np.concatenate([[0.0], np.cumsum(steps)])


def _begun(tape: Array, hidden: NDArray[np.bool_]) -> tuple[Array, NDArray[np.bool_]]:
    """A closed tape begun where a stretch begins, not where it happened to; its end is its start.

    tape: (k, 3). hidden: (k,) whether each place of it is; that of the end is of the last stretch.
    """
    edges = np.flatnonzero(hidden[1:] != hidden[:-1])
    if not len(edges):
        return tape, hidden
    turn = np.roll(np.arange(len(tape) - 1), -int(edges[0]) - 1)
    return tape[np.append(turn, turn[0])], hidden[np.append(turn, turn[-1])]


def _steadied(hidden: NDArray[np.bool_], s: Array, closed: bool) -> NDArray[np.bool_]:
    """Whether each place of a tape is hidden, with specks taken away; s: how far along it lies."""
    found = hidden.copy()
    edges = np.flatnonzero(found[1:] != found[:-1]) + 1
    starts, ends = [0, *edges.tolist()], [*edges.tolist(), len(s)]
    for a, b in zip(starts, ends, strict=True):
        # an open tape may end in a stretch however short
        border = not closed and (a == 0 or b == len(s))
        if s[b - 1] - s[a] < SPECK and not border and len(starts) > 1:
            found[a:b] = ~found[a:b]
    return found


def _ends(figure: Figure, taken: Line3 | None, at: Look) -> list[tuple[Array, bool]]:
    """The ends of a tape and the landmarks it passes, (2,), and whether they are seen."""
    if taken is None:
        return []
    round_it = np.concatenate([taken.points, taken.points[: int(taken.closed)]])
    places = [] if taken.closed else list(taken.points[[0, -1]])
    for p in (figure.marks[name] for name in taken.ends):
        if _off(round_it, p) < ON_TAPE and all(np.linalg.norm(e - p) > APART for e in places):
            places.append(p)
    if not places:
        return []
    lie = flat(np.stack(places), at.seen.side)
    clear = ~at.body.hidden(lie, ROOM)
    # one behind another that is seen is not drawn through it
    away = np.linalg.norm(lie[:, None, :2] - lie[None, clear, :2], axis=2)
    shown = clear | (away.min(axis=1, initial=np.inf) > APART)
    return list(zip(lie[shown, :2], clear[shown].tolist(), strict=True))


def _off(tape: Array, p: Array) -> float:
    """How far a point (3,) lies from an open line (k, 3), cm."""
    step = np.diff(tape, axis=0)
    square = np.maximum((step * step).sum(axis=1), 1e-12)
    part = (((p - tape[:-1]) * step).sum(axis=1) / square).clip(0.0, 1.0)
    return float(np.linalg.norm(tape[:-1] + part[:, None] * step - p, axis=1).min())
