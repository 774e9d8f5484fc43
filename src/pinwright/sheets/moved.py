"""What moved on a piece, in the cutter's words: one wording for sheets, page and command line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pinwright.fitting.changes import Moved, end_names, told
from pinwright.fitting.ledger import Fitted, Half
from pinwright.measures.amounts import amount
from pinwright.measures.units import LengthUnit
from pinwright.pattern.piece import Dart, Line, Piece

Array = NDArray[np.float64]

WORTH = 0.05
"""Smaller movements, cm, are not told."""


@dataclass(frozen=True, slots=True)
class Move:
    """One thing that moved: ``what`` on ``title`` (piece name), ``did`` in words.

    ``key`` is "piece|edge" (or "piece|dart:name", "piece|line:name"), ``most`` the greatest
    movement, cm.
    """

    side: str
    piece: str
    title: str
    what: str
    key: str
    did: str
    most: float


def short_title(title: str) -> str:
    """A piece's title without what stands in brackets and without the garment's name, small."""
    return title.partition(" (")[0].removeprefix("trouser ").lower()


def who(m: Move) -> str:
    """The piece that moved, with its side where only that one did: "right back"."""
    return m.title if m.side == "both" else f"{m.side} {m.title}"


def where(m: Move) -> str:
    """The piece and the place on it: "right back, shoulder", "left back dart"."""
    if m.what.startswith(f"{m.title} "):
        return m.what if m.side == "both" else f"{m.side} {m.what}"
    return ", ".join(filter(None, (who(m), m.what)))


def sentence(m: Move) -> str:
    """The movement in one line: "right front, shoulder: 0.4 down at the tip"."""
    return f"{where(m)}: {m.did}"


def between(before: Fitted, after: Fitted, unit: LengthUnit = "cm") -> tuple[Move, ...]:
    """Everything that differs between two states of a garment, greatest first."""
    found = moves_of(told(before, after), (before, after), unit)
    return tuple(sorted(found, key=lambda m: -m.most))


def moves_of(
    changes: Iterable[tuple[str, Moved]],
    states: tuple[Fitted, Fitted] | None,
    unit: LengthUnit = "cm",
) -> list[Move]:
    """Changes in words; darts and what is drawn inside are read off ``states`` where given."""
    changes = list(changes)
    found = [move(side, m, unit) for side, m in changes if m.kind == "edge"]
    facts = [(side, m) for side, m in changes if m.kind == "fact" and m.edge not in TOLD_BY_LINES]
    found += [move(side, m, unit) for side, m in facts]
    if states is not None:
        found += _inside(*states, unit)
    return _merged([m for m in found if m.did])


def move(side: str, m: Moved, unit: LengthUnit = "cm") -> Move:
    """One change in words."""
    if m.kind == "edge":
        return _edge(side, m, unit)
    return _fact(side, m, unit) if m.kind == "fact" else _inner(side, m, unit)


WAYS = {"hem": ("down", "up"), "waist": ("up", "down"), "shoulder": ("up", "down")}
"""How a cutter says outward and inward of an edge that lies level."""

EDGES = {
    "under_back": "back underarm seam",
    "under_front": "front underarm seam",
    "stand_top": "top of the stand",
    "seam": "lower edge",
}
"""Edges whose own name says too little."""


def edge_words(name: str) -> str:
    """An edge as it is said."""
    return EDGES.get(name, name.replace("_", " "))


def _edge(side: str, m: Moved, unit: LengthUnit) -> Move:
    at = station_words(m.edge, m.at)
    out, into = WAYS.get(m.edge, ("outwards", "inwards"))
    parts = []
    if abs(m.out) >= WORTH:
        parts.append(f"{amount(m.out, unit)} {out if m.out > 0 else into} at the {at}")
    elif abs(m.along) >= WORTH:
        parts.append(f"slides {amount(m.along, unit)} at the {at}")
    if abs(m.longer) >= WORTH:
        parts.append(f"{amount(m.longer, unit)} {'longer' if m.longer > 0 else 'shorter'}")
    title, what = short_title(m.title), edge_words(m.edge)
    return Move(side, m.piece, title, what, f"{m.piece}|{m.edge}", ", ".join(parts), m.most)


SHORT = {"inseam": ("in",), "seam": ("band",), "armhole": ("arm",)}
"""What points call an edge where that is not its name."""

POINTS = {"in": "inseam", "band": "lower edge", "arm": "armhole"}


def station_words(edge: str, at: str) -> str:
    """A station as it is said on its own edge: "hem_side" is "side" on the hem, "hem" on the side.

    The names of points that two edges share are made of both edges' names.
    """
    own = {*edge.split("_"), *SHORT.get(edge, ())}
    words = [w for w in at.split(":")[-1].split("_") if w not in own]
    said = " ".join(words) or at.split(":")[-1].replace("_", " ")
    return POINTS.get(said, said)


TOLD_BY_LINES = ("pocket_length", "pocket_top", "pocket_top_above_hip")
"""Facts that the line drawn for them tells better."""

FACTS = {
    "pocket_length": ("front", "pocket opening", "longer", "shorter"),
    "pocket_top": ("front", "top of the pocket", "lower", "higher"),
    "pocket_top_above_hip": ("front", "top of the pocket above the hip", "higher", "lower"),
    "pocket_width": ("front", "pocket", "wider", "narrower"),
    "patch_pocket_width": ("front", "patch pocket", "wider", "narrower"),
    "gather_front": ("front", "gathers at the waist", "more", "less"),
    "gather_back": ("back", "gathers at the waist", "more", "less"),
    "sleeve_pitch": (
        "sleeve", "marks at the cap", "forward in the armhole", "backward in the armhole",
    ),
}  # fmt: skip
"""Numbers of the draft as they are said: on what, which, what more is, what less is."""


def _fact(side: str, m: Moved, unit: LengthUnit) -> Move:
    usual = (short_title(m.title), m.edge.replace("_", " "), "more", "less")
    title, what, more, less = FACTS.get(m.edge, usual)
    did = f"{amount(m.longer, unit)} {more if m.longer > 0 else less}"
    turned = m.edge == "sleeve_pitch"
    return Move(side, "sleeve" if turned else "", title, what, "sleeve|cap" if turned else "",
                did, m.most)  # fmt: skip


def _inner(side: str, m: Moved, unit: LengthUnit) -> Move:
    name = m.edge.replace("_", " ")
    if m.kind == "dart point":
        name = f"{name} point" if name.endswith("dart") else f"{name} dart point"
    elif m.kind == "line" and not name.endswith(("opening", "pocket", "crease")):
        name = f"{name} line"
    did = step_words(np.array([m.out, m.along]), 0.0, unit)
    did = f"{m.at} {did}" if m.at and did else did
    return Move(side, m.piece, short_title(m.title), name, f"{m.piece}|{m.edge}", did, m.most)


def _inside(before: Fitted, after: Fitted, unit: LengthUnit) -> list[Move]:
    if after.right is after.left and before.right is before.left:
        return _half("both", before.right, after.right, unit)
    return [
        *_half("right", before.right, after.right, unit),
        *_half("left", before.left, after.left, unit),
    ]


def _half(side: str, before: Half, after: Half, unit: LengthUnit) -> list[Move]:
    found = []
    for was, now in zip(before.pieces, after.pieces, strict=True):
        if was is now:
            continue
        title = short_title(now.title)
        for a, b in zip(was.darts, now.darts, strict=True):
            did, most = _dart(was, a, now, b, unit)
            key = f"{now.name}|dart:{b.name}"
            found.append(Move(side, now.name, title, b.name, key, did, most))
        for x, y in zip(was.lines, now.lines, strict=True):
            if x.kind not in ("opening", "stitch", "fold"):
                continue
            steps = line_steps(x, y)
            if x.kind == "opening":
                did, most = line_words(x, y, unit), float(np.hypot(*steps.T).max())
            else:
                middle = steps.mean(axis=0)
                did, most = step_words(middle, 0.0, unit), float(np.hypot(*middle))
            what = y.name.replace("_", " ") + (" line" if y.kind == "fold" else "")
            key = f"{now.name}|line:{y.name}"
            found.append(Move(side, now.name, title, what, key, did, most))
    return found


def line_steps(was: Line, now: Line) -> Array:
    """How far the two ends of a drawn line moved (2, 2), cm."""
    steps: Array = np.stack([now.path.start - was.path.start, now.path.end - was.path.end])
    return steps


def line_words(was: Line, now: Line, unit: LengthUnit) -> str:
    """How a drawn line moved, each end by itself where they did not go alike, and its length.

    What slid along its own line, as an opening in a curved seam, is told by how far it slid.
    """
    steps = line_steps(was, now)
    if float(np.hypot(*(steps[1] - steps[0]))) >= WORTH:
        steps = np.stack([_slid(was, end, step) for end, step in enumerate(steps)])
    said = [step_words(step, 0.0, unit) for step in steps]
    if said[0] == said[1] or float(np.hypot(*(steps[1] - steps[0]))) < WORTH:
        parts = [step_words(steps.mean(axis=0), 0.0, unit)]
    else:
        names = end_names(was.path.start, was.path.end)
        parts = [f"{name} {did}" for name, did in zip(names, said, strict=True) if did]
    parts.append(step_words(np.zeros(2), now.path.length - was.path.length, unit))
    return ", ".join(filter(None, parts))


def _slid(line: Line, end: int, step: Array) -> Array:
    """A step (2,) of one end of a line, along the line there and square to it."""
    t = line.path.end_tangent if end else line.path.start_tangent
    n = np.array([t[1], -t[0]])
    along, across = (t, n) if abs(t[0]) >= abs(t[1]) else (n, t)
    # towards the side, and upwards
    found: Array = np.array([step @ along * np.sign(along[0]), step @ across * np.sign(across[1])])
    return found


def _dart(was: Piece, a: Dart, now: Piece, b: Dart, unit: LengthUnit) -> tuple[str, float]:
    old, new = (np.hypot(*np.subtract(*p.mouth(d.name))) for p, d in ((was, a), (now, b)))
    deeper = float(new - old)
    depth = [np.hypot(*(np.add(*p.mouth(d.name)) / 2 - d.apex)) for p, d in ((was, a), (now, b))]
    longer = float(depth[1] - depth[0])
    parts = []
    if abs(deeper) >= WORTH:
        parts.append(f"mouth {amount(deeper, unit)} {'wider' if deeper > 0 else 'narrower'}")
    if abs(longer) >= WORTH:
        parts.append(f"point {amount(longer, unit)} {'further' if longer > 0 else 'nearer'}")
    return ", ".join(parts), max(abs(deeper), abs(longer))


def step_words(step: Array, longer: float, unit: LengthUnit) -> str:
    """How a place inside a piece moved by ``step`` (2,) cm, and by how much it is longer."""
    parts = []
    if abs(step[1]) >= WORTH:
        parts.append(f"{amount(float(step[1]), unit)} {'higher' if step[1] > 0 else 'lower'}")
    if abs(step[0]) >= WORTH:
        way = "towards the side" if step[0] > 0 else "towards the centre"
        parts.append(f"{amount(float(step[0]), unit)} {way}")
    if abs(longer) >= WORTH:
        parts.append(f"{amount(longer, unit)} {'longer' if longer > 0 else 'shorter'}")
    return ", ".join(parts)


def _merged(found: Sequence[Move]) -> list[Move]:
    """Right and left told once where they did the same."""
    out: list[Move] = []
    for m in found:
        twin = next(
            (
                i
                for i, o in enumerate(out)
                if {o.side, m.side} == {"right", "left"} and (o.key, o.did) == (m.key, m.did)
            ),
            None,
        )
        if twin is None:
            out.append(m)
        else:
            out[twin] = replace(out[twin], side="both")
    return out
