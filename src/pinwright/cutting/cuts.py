"""From the two halves of a garment to what is cut from a cloth, each with its pieces' points.

Which hand a template is, whether it stands on the fold, how it may lie, and where the points of
its piece are on it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely

from pinwright.cutting import framing
from pinwright.cutting.framing import ACROSS, Array, Frame
from pinwright.cutting.habits import without_reserve
from pinwright.cutting.lay.placing import Template
from pinwright.cutting.material import Material
from pinwright.cutting.shrinking import on_table, scaled_for
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit
from pinwright.pattern.hand import as_drawn
from pinwright.pattern.piece import Layer, Piece

Hand = Literal["right", "left"]
Halves = tuple[Mapping[str, Piece], Mapping[str, Piece]]
"""Pieces of the right half and of the left one, by name."""

TwoOrNone = tuple[Piece | None, Piece | None]
"""A piece of the right half and of the left one, as far as there is one."""

OFF_FOLD = 0.5
"""A fold edge this many degrees off the grain cannot stand on the fold of the cloth."""

TRIM = 0.05
"""Right and left that differ by less (cm) are within what scissors can do."""

APART = 1.0
"""Right and left that differ by more than this (cm) are said to differ much."""

_INNER: tuple[Layer, ...] = ("facing", "interfacing", "pocketing")


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One side's piece within a template, and where its points are on it."""

    hand: Hand
    piece: Piece
    frame: Frame

    def point(self, name: str) -> Array:
        """A point of the piece by name (see Piece.point) on the template, (2,) cm."""
        return self.frame(self.piece.point(name))


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """A template with the pieces it is made of: one, or right and left where both come of it."""

    template: Template
    parts: tuple[Part, ...]
    remark: str = ""

    def part(self, hand: str) -> Part | None:
        """The part of a side, None when the template is the other side's."""
        for p in self.parts:
            if p.hand == hand:
                return p
        return None


def cuts(
    right: Mapping[str, Piece],
    left: Mapping[str, Piece],
    garment: str,
    material: Material,
    unit: LengthUnit = "cm",
    as_cut: Halves = ({}, {}),
) -> tuple[Cut, ...]:
    """What is cut from ``material`` for a garment: all the pieces given.

    Args:
        right: pieces of the right half by name, those that follow by rule among them.
        left: the same of the left half.
        garment: leads every key, "jacket.front.left".
        material: the cloth they are cut from.
        unit: in what lengths are told.
        as_cut: those of the right and of the left half that are cut already, as they were then:
            their cloth stays where it was laid, so their points are reckoned from the same place.

    A pair is two templates on an open cloth and one through both plies of a folded one, where
    sides that differ are cut to the larger. A piece with a fold is opened out on an open cloth
    and where its fold does not follow the grain, and else stands with its fold on y = 0.
    Templates of a cloth that cannot be shrunk first are so much larger.

    Raises:
        LayError: a grain line without length, a fold that is not straight.
        GeometryError: a piece whose net line crosses itself.
    """

    def made(one: Piece, other: Piece, there: TwoOrNone) -> list[Cut]:
        key = f"{garment}.{one.name}"
        both = _cuts(one, other, key, garment, material, unit, there)
        return [_scaled(_kept(c, material), material) for c in both]

    usable = on_table(material).usable
    found: list[Cut] = []
    for name, piece in right.items():
        there = as_cut[0].get(name), as_cut[1].get(name)
        halves = piece, left.get(name, piece)
        several = made(*halves, there)
        if any(_across(c) > usable for c in several):  # will be refused: would less reserve help?
            one, other = without_reserve(halves)
            bare = made(one, other, there)
            several = [
                replace(c, template=replace(c.template, reserve=_across(c) - _across(b)))
                for c, b in zip(several, bare, strict=True)
            ]
        for c in several:
            for n in range(max(1, piece.count)):
                again = c.template.key + (f".{n + 1}" if n else "")
                found.append(replace(c, template=replace(c.template, key=again)))
    return tuple(found)


def _cuts(
    right: Piece,
    left: Piece,
    key: str,
    garment: str,
    material: Material,
    unit: LengthUnit,
    as_cut: TwoOrNone,
) -> list[Cut]:
    make = _Making(key, garment, rotations(right, material), material.right_side == "down", unit)
    folded = material.lay == "folded"
    if right.cut == "fold":
        if folded and abs(framing.whole(right)[1]) <= OFF_FOLD:
            r = material.repeat
            turns = not material.one_way and not (r.along > 0.0 or r.across > 0.0)
            return [make.on_fold(right, left, turns, as_cut)]
        return [make.opened(right, left, as_cut)]
    if right.cut == "single":
        return [make.single(right, left)]
    if folded:
        return [make.double(right, left)]
    return [make.one(right, "right"), make.one(left, "left")]


def rotations(piece: Piece, material: Material) -> tuple[float, ...]:
    """How a piece may lie, in degrees: one way, two ways, and tilted where that does no harm.

    Tilted, in steps of half the tilt, lie facings, interfacing and pocketing, and inner pieces of
    the shell; none of a cloth with a repeat.
    """
    r = material.repeat
    patterned = r.along > 0.0 or r.across > 0.0
    ways = (0.0,) if material.one_way or (patterned and not r.turns) else (0.0, 180.0)
    inner = piece.layer in _INNER or (piece.follows is not None and not worn_outside(piece))
    if not inner or patterned or not material.tilt > 0.0:
        return ways
    t = material.tilt
    return tuple((w + d) % 360.0 for w in ways for d in (0.0, t / 2.0, -t / 2.0, t, -t))


def worn_outside(piece: Piece) -> bool:
    """Whether a piece of the shell is seen when the garment is worn.

    Pieces that follow another lie inside, but for a patch pocket, which is stitched round.
    """
    if piece.layer != "shell":
        return False
    return piece.follows is None or any(e.name == "stitched" for e in piece.edges)


@dataclass(frozen=True, slots=True)
class _Making:
    """Makes the cuts of one piece."""

    key: str
    garment: str
    ways: tuple[float, ...]
    down: bool
    unit: LengthUnit

    def _frame(self, piece: Piece, mirror: bool) -> tuple[Frame, bool]:
        mirror = mirror != self.down
        frame = framing.upright(piece)
        return (frame.then(ACROSS) if mirror else frame), mirror

    def _template(
        self, piece: Piece, side: Literal["right", "left", "both"], shape: shapely.Polygon
    ) -> Template:
        title = piece.title.partition(" (")[0]
        title = title[:1].upper() + title[1:]
        if side != "both":
            title += f", {side}"
        return Template(
            self.key if side == "both" else f"{self.key}.{side}",
            self.garment,
            piece.name,
            side,
            framing.ring(shape),
            self.ways,
            stage=piece.stage,
            title=title,
        )

    def one(self, piece: Piece, side: Hand) -> Cut:
        """One side's piece."""
        frame, mirrored = self._frame(piece, side != as_drawn(piece))
        t = self._template(piece, side, framing.outline(piece, frame))
        return Cut(replace(t, mirrored=mirrored), (Part(side, piece, frame),))

    def single(self, right: Piece, left: Piece) -> Cut:
        """A piece the garment has once, as drawn; the label says whose half it is taken from."""
        note = right.title.partition(" (")[2]
        sides: tuple[Hand, ...] = tuple(
            s for s in ("right", "left") if s in note.replace(")", " ").replace(",", " ").split()
        )
        frame, mirrored = self._frame(right, False)
        if len(sides) == 1:
            piece = right if sides[0] == "right" else left
            frame, mirrored = self._frame(piece, False)
            shape, remark = framing.outline(piece, frame), ""
            parts: tuple[Part, ...] = (Part(sides[0], piece, frame),)
        else:
            shape, remark = _larger(right, left, frame, frame, self.unit)
            parts = _both(right, left, frame, frame)
        t = self._template(right, "both", shape)
        return Cut(replace(t, mirrored=mirrored), parts, remark)

    def double(self, right: Piece, left: Piece) -> Cut:
        """A pair cut through both plies at once."""
        frame, mirrored = self._frame(right, False)
        shape, remark = _larger(right, left, frame, frame, self.unit)
        t = self._template(right, "both", shape)
        return Cut(replace(t, plies=2, mirrored=mirrored), _both(right, left, frame, frame), remark)

    def on_fold(
        self,
        right: Piece,
        left: Piece,
        turns: bool,
        as_cut: TwoOrNone,
    ) -> Cut:
        """A half standing on the fold of the cloth, its cloth on y >= 0.

        In a repeat it lies one way only: turned, its half above the fold is the other one.
        """
        (f, _), (g, _) = framing.whole(right, as_cut[0]), framing.whole(left, as_cut[1])
        shape, remark = _united(framing.half(right, f), framing.half(left, g), right, self.unit)
        f, g = _above(right, f), _above(left, g)
        t = self._template(right, "both", shape)
        t = replace(
            t,
            on_fold=True,
            plies=2,
            rotations=(0.0, 180.0) if turns else (0.0,),
            mirrored=float(np.linalg.det(f.linear)) < 0.0,
        )
        return Cut(t, _both(right, left, f, g), remark)

    def opened(self, right: Piece, left: Piece, as_cut: TwoOrNone) -> Cut:
        """A piece with a fold opened out: each half on its own side of it.

        The half whose hand the drawing is keeps its drawing; the grain is that half's.
        """
        (f, _), (g, _) = framing.whole(right, as_cut[0]), framing.whole(left, as_cut[1])
        drawn = as_drawn(right)
        if (drawn == "left") != self.down:
            f = f.then(ACROSS)
        if (drawn == "right") != self.down:
            g = g.then(ACROSS)
        sides = [_beside(framing.half(p, m), p, m) for p, m in ((right, f), (left, g))]
        shape = framing.biggest(shapely.union(*sides))
        keeps, piece = (f, right) if drawn == "right" else (g, left)
        grain = keeps.linear @ framing.up(piece)
        if abs(float(grain[1])) > 1e-9 * float(np.hypot(*grain)):
            turn = framing.onto_x(grain)
            shape = shapely.transform(shape, lambda c: c @ turn.T)
            f, g = f.then(turn), g.then(turn)
        t = replace(self._template(right, "both", shape), mirrored=self.down)
        return Cut(t, _both(right, left, f, g))


def _across(cut: Cut) -> float:
    """How wide a cut is across the cloth, cm."""
    return float(np.ptp(cut.template.outline[:, 1]))


def _above(piece: Piece, frame: Frame) -> Frame:
    """The motion, mirrored in the fold where needed, that lays a half on y >= 0."""
    return frame if _is_above(piece, frame) else frame.then(ACROSS)


def _is_above(piece: Piece, frame: Frame) -> bool:
    y = frame(np.concatenate([run.ctrl.reshape(-1, 2) for e in piece.edges for run in e.runs]))[
        :, 1
    ]
    return bool(y.max() > -y.min())


def _beside(half: shapely.Polygon, piece: Piece, frame: Frame) -> shapely.Polygon:
    """A half from y >= 0 moved to the side of the fold where its motion lays it."""
    return half if _is_above(piece, frame) else shapely.transform(half, lambda c: c @ ACROSS)


def _both(right: Piece, left: Piece, f: Frame, g: Frame) -> tuple[Part, ...]:
    return Part("right", right, f), Part("left", left, g)


def _larger(
    right: Piece, left: Piece, f: Frame, g: Frame, unit: LengthUnit
) -> tuple[shapely.Polygon, str]:
    """The outline that holds both sides' cut lines, and what is to be said of it."""
    a = framing.outline(right, f)
    return _united(a, a if left is right else framing.outline(left, g), right, unit)


def _united(
    a: shapely.Polygon, b: shapely.Polygon, piece: Piece, unit: LengthUnit
) -> tuple[shapely.Polygon, str]:
    if a is b or a.equals_exact(b, 1e-6):
        return a, ""
    name = piece.title.partition(" (")[0]
    apart = float(shapely.hausdorff_distance(a, b))
    if apart <= TRIM:
        return framing.biggest(shapely.union(a, b)), ""
    much = ", which is much: lay the cloth open instead" if apart > APART else ""
    remark = (
        f"{name[:1].upper()}{name[1:]}: right and left differ by up to {said(apart, unit)}{much}; "
        "it is cut once to the larger, trim each side to its own line."
    )
    return framing.biggest(shapely.union(a, b)), remark


def _kept(cut: Cut, material: Material) -> Cut:
    """Cloth held back round what is cut only after the fitting."""
    if cut.template.stage != "after":
        return cut
    return replace(cut, template=replace(cut.template, kept=material.hold_back))


def _scaled(cut: Cut, material: Material) -> Cut:
    """A cut larger by what the cloth shrinks, where the cloth cannot be shrunk first."""
    along, across = scaled_for(material)
    if along == across == 1.0:
        return cut
    grow = np.array([[along, 0.0], [0.0, across]])
    return Cut(
        replace(cut.template, outline=cut.template.outline @ grow),
        tuple(replace(p, frame=p.frame.then(grow)) for p in cut.parts),
        cut.remark,
    )
