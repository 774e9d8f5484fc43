"""Taking in and letting out a seam, by a profile along it."""

from __future__ import annotations

from pinwright.errors import CorrectionError
from pinwright.fitting.cap import growth, keep_cap_length
from pinwright.fitting.correction import Entry, Option, Options
from pinwright.fitting.crotch import SEAMS, carry_curve, crotch
from pinwright.fitting.hem import slide_edge_end
from pinwright.fitting.openings import follow_seams
from pinwright.fitting.places import (
    Knots,
    closed,
    girth_effects,
    knots,
    level,
    move_level,
    own_length_effects,
    place_edges,
    value_at,
)
from pinwright.fitting.response import Response, Sketch
from pinwright.pattern.garment import Garment
from pinwright.pattern.layout import EdgeKey
from pinwright.pattern.piece import Array

LEVELS = ("underarm", "waist", "hip", "crotch", "thigh", "knee", "hem", "fork", "elbow")
CROTCH_SEAMS = ("seat_seam", "front_crotch_seam")


def let_out(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Move each edge of a seam outward by one cm.

    The profile is constant or tapers between two levels; see :func:`places.knots`. Upright seams
    move level, so that an amount is the same girth at every level (:func:`places.move_level`); the
    shoulder moves along the normals of the drafted edge. A crotch seam fades to nothing at the
    fork, an inseam does where the fork stays; a sleeve seam lets the cap down so that it still
    fits the armhole.
    """
    part = str(options.get("part", "both"))
    shape = str(options.get("shape", "constant"))
    start, stop = (_word(options.get(name)) for name in ("from", "to"))
    sketch = Sketch(garment)
    moved: list[tuple[EdgeKey, Knots]] = []
    for e in place_edges(garment, place, part):
        key = (e.piece, e.edge)
        _not_on_the_fold(garment, key)
        ks = knots(garment, key, shape, start, stop)
        if place in CROTCH_SEAMS:
            ks = _to_the_fork(garment, key, ks)
        if place == "inseam":
            if options.get("fork") == "stays":
                ks = below_the_fork(garment, key, ks)
            _inseam(sketch, key, ks)
        elif place == "shoulder_seam":
            sketch.profile(key, ks)
            girth_effects(sketch, [(key, ks)])
        else:
            move_level(sketch, key, ks)
        moved.append((key, ks))
    if part != "both":
        for key, _ in moved:
            walk_alone(sketch, key)
    own_length_effects(sketch, [key for key, _ in moved])
    if place == "sleeve_seam":
        let_cap_down(sketch)
    elif options.get("crease") == "centred":
        _centre_crease(sketch, moved)
    follow_seams(sketch)
    return closed(sketch)


def walk_alone(sketch: Sketch, key: EdgeKey) -> None:
    """Keep the length of an edge that moves alone, on each side of its seam's anchor.

    A curve moved square to itself changes its length; its ends are walked along its own line, so
    that the edge it is sewn to, which does not move, still meets it.
    """
    g, layout = sketch.garment, sketch.layout
    for seam in g.seams:
        for refs, on in ((seam.a, "a"), (seam.b, "b")):
            if seam.kind != "plain" or [(r.piece, r.edge) for r in refs] != [key]:
                continue
            station = next(s for s in seam.stations if s.name == seam.anchor)
            name = (station.a if on == "a" else station.b).rpartition(":")[2]
            cut = layout.boundary(key, name)
            ids = layout.span_ids(key)
            for last, rows in ((False, ids[:cut]), (True, ids[cut:])):
                if not len(rows):
                    continue
                longer = growth(layout.ctrl[rows], sketch.ctrl[rows])
                if abs(longer) > 1e-9:
                    v = slide_edge_end(sketch, key, last, -longer)
                    follow_end(sketch, key, last, v)


def follow_end(sketch: Sketch, key: EdgeKey, last: bool, v: Array) -> None:
    """Let what meets an edge's end follow it by ``v`` (2,); a hem tilts as a whole.

    A hem is straight from seam to seam: were only its last stretch to follow, it would break at
    the crease.
    """
    other, at_last = sketch.layout.neighbours[key, last]
    if other[1] != "hem":
        sketch.follow(other, at_last, v)
        return
    size = sketch.edge_length(other)
    ramp = ((0.0, 0.0), (size, 1.0)) if at_last else ((0.0, 1.0), (size, 0.0))
    sketch.profile(other, ramp, v, smooth=False, follow=False)


def _word(value: object) -> str | None:
    return None if value is None else str(value)


def _not_on_the_fold(garment: Garment, key: EdgeKey) -> None:
    piece = garment.piece(key[0])
    if piece.cut == "fold" and piece.fold == key[1]:
        raise CorrectionError(
            f"The {piece.title.lower()} is cut on the fold and has no seam at the centre; take in "
            "or let out at the side seams instead."
        )


def _inseam(sketch: Sketch, key: EdgeKey, ks: Knots) -> None:
    """Move an inseam; the crotch curve is re-drawn from the hip to where its fork then lies."""
    move_level(sketch, key, ks, follow=False)
    for last in (False, True):
        end = sketch.layout.run_end(key, last)
        v = sketch.ctrl[end.span, 3 if last else 0].copy()
        other, at_last = sketch.layout.neighbours[key, last]
        if not v.any():
            continue
        part = next((p for p, place in SEAMS.items() if _is(sketch.garment, place, other)), None)
        if part is None:
            sketch.follow(other, at_last, v)
        else:
            carry_curve(sketch, crotch(sketch.garment, part), v)


def below_the_fork(garment: Garment, key: EdgeKey, ks: Knots) -> Knots:
    """The profile of an inseam whose fork stays: nothing there, as asked from the thigh down.

    So no crotch line changes its length, and one leg alone may be altered (common practice: one
    leg's inseam is let out below the fork).
    """
    fork, thigh = level(garment, key, "fork"), level(garment, key, "thigh")
    from_thigh = [(s, y) for s, y in ks if abs(s - fork) > abs(thigh - fork) + 1e-6]
    return tuple(sorted([(fork, 0.0), (thigh, value_at(ks, thigh)), *from_thigh]))


def _is(garment: Garment, place: str, key: EdgeKey) -> bool:
    return any((e.piece, e.edge) == key for e in garment.places.get(place, ()))


def _to_the_fork(garment: Garment, key: EdgeKey, ks: Knots) -> Knots:
    """The profile of a crotch seam: as asked down to the hip, then fading to nothing at the fork.

    The fork end itself is moved by the fork extension (common practice: the seat's reserve runs
    out along the curve).
    """
    total, hip = Sketch(garment).edge_length(key), level(garment, key, "hip")
    if value_at(ks, total) == 0.0:
        return ks
    if value_at(ks, total) > value_at(ks, hip):
        raise CorrectionError(
            "A seat or crotch seam runs out at the fork; to move the fork itself change the fork "
            "extension."
        )
    return (*((s, y) for s, y in ks if s < hip), (hip, value_at(ks, hip)), (total, 0.0))


def let_cap_down(sketch: Sketch) -> None:
    """Let the cap of a widened sleeve down so that it keeps its length, and declare it."""
    before = {p.name for p in sketch.garment.pieces}
    if "sleeve" not in before:
        return
    drop = keep_cap_length(sketch, ("sleeve", "cap"))
    if drop and any(t.name == "sleeve_length" for t in sketch.garment.targets):
        sketch.effect("sleeve_length", -drop)


def _centre_crease(sketch: Sketch, moved: list[tuple[EdgeKey, Knots]]) -> None:
    """Bring the crease back to the middle of the leg as it is at the knee, straight on grain."""
    layout = sketch.layout
    for key, ks in moved:
        where = (key[0], "line", "crease")
        if where not in layout.aux_index:
            continue
        ids = layout.span_ids(key)
        mid = layout.ctrl[ids].mean(axis=(0, 1))[0]
        outward = 1.0 if mid > layout.aux[layout.aux_index[where]][:, 0].mean() else -1.0
        shift = outward * value_at(ks, level(sketch.garment, key, "knee")) / 2.0
        sketch.aux[layout.aux_index[where], 0] += shift


ENTRIES = (
    Entry(
        kind="let_out",
        title="Seam let out or taken in",
        plus="lets out (minus takes in)",
        signs=(
            "tight horizontal folds: too little ease at that level, let out",
            "loose vertical folds: too much ease at that level, take in",
        ),
        places=(
            "side_seam",
            "centre_back",
            "inseam",
            "seat_seam",
            "front_crotch_seam",
            "shoulder_seam",
            "sleeve_seam",
        ),
        usual=(-1.5, 1.5),
        limit=(-3.0, 4.0),
        unit="cm per edge",
        meanings=("edge", "fold", "removed", "girth"),
        ask=True,
        options=(
            Option("part", "which piece moves", ("front", "back", "both"), "both"),
            Option(
                "shape",
                "constant, or full at `from` and nothing at `to`",
                ("constant", "taper"),
                "constant",
            ),
            Option("from", "the level where it starts (full amount)", LEVELS),
            Option("to", "the level where it ends", LEVELS),
            Option(
                "fork",
                "inseam: the fork moves with it, or stays (one leg alone)",
                ("moves", "stays"),
                "moves",
            ),
            Option(
                "crease",
                "where one edge only moves: leave the crease, or bring it back to the middle",
                ("stays", "centred"),
                "stays",
            ),
        ),
        sources=(
            "letting out d on each edge of both side seams adds 4d to the girth (geometry)",
            "1-1.5 per edge before sharing with other seams (common practice, from memory)",
            "cap 1 lower for each 1.5-2 gained round the arm (sources 2.3, M)",
        ),
        effects="each girth its edges reach: the profile there, per edge, on both halves",
        order=60,
        companions=(
            "lining",
            "band",
            "one edge only: the crease leaves the middle of the leg; re-centre it or share",
        ),
        cut=let_out,
    ),
)
