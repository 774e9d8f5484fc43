"""Pieces as a DXF file: a block for each, its layers numbered as `dxf_layers` tells.

Written by ezdxf as R2000 (or R12, which has no header variable for units). Lines are polylines
whose chords lie within ``tolerance`` of the curves.
"""

from __future__ import annotations

import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal

import numpy as np
import shapely
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from numpy.typing import NDArray

from pinwright.cutting.marking import points as points_of
from pinwright.errors import OrderError
from pinwright.geometry import curves
from pinwright.pattern.piece import Piece
from pinwright.sheets import dxf_layers as on
from pinwright.sheets.drawn import Drawn, Heading
from pinwright.sheets.folds import sewn
from pinwright.sheets.writing import write_whole

Array = NDArray[np.float64]
DxfUnit = Literal["cm", "mm", "in"]
Version = Literal["R2000", "R12"]
Points = Literal["thread", "chalk", "drill"]
References = Mapping[str, Mapping[str, Array]]
"""By block name and "stripe" or "plaid" what is matched there, cm in the piece's own coordinates: a
point (2,), or k straight lines (k, 2, 2) that are to lie on lines of the cloth."""

UNITS: dict[DxfUnit, tuple[int, float, int, str]] = {
    "cm": (5, 1.0, 1, "centimetres"),
    "mm": (4, 10.0, 1, "millimetres"),
    "in": (1, 1.0 / 2.54, 0, "inches"),
}
"""$INSUNITS, units to the cm, $MEASUREMENT (1 metric), and the word."""

CORNER = 10.0
"""Where the cut line turns by more degrees than this it is a turn point; else a curve point."""

GAP = 2.0
"""Room between two pieces of the file, cm."""

CROSS = 0.3
"""Half the arm of the cross that marks a thread or chalk point, cm."""

LETTER = 1.0
"""Height of the words, cm."""


def write_dxf(
    path: Path | str,
    drawn: Sequence[Drawn],
    heading: Heading,
    unit: DxfUnit = "cm",
    version: Version = "R2000",
    points: Points = "thread",
    references: References | None = None,
    tolerance: float = 0.01,
) -> Path:
    """Write pieces as one DXF file, whole or not at all.

    ``points`` "drill" puts marks on the drill layer, else they are drawn as crosses. ``references``
    give where "stripe" or "plaid" is matched. ``tolerance`` in cm.

    Raises:
        OrderError: an unknown unit or version, or no piece.
        OSError: the folder cannot be written.
    """
    doc = dxf_document(drawn, heading, unit, version, points, references, tolerance)
    text = io.StringIO()
    doc.write(text)
    # a letter the code page lacks is written \\U+XXXX, as DXF has it
    return write_whole(path, text.getvalue().encode(doc.output_encoding, errors="dxfreplace"))


def dxf_document(
    drawn: Sequence[Drawn],
    heading: Heading,
    unit: DxfUnit = "cm",
    version: Version = "R2000",
    points: Points = "thread",
    references: References | None = None,
    tolerance: float = 0.01,
) -> Any:
    """The file as an ezdxf document; see :func:`write_dxf`."""
    if unit not in UNITS:
        raise OrderError(f"The unit of a DXF file is {unit!r}; it may be {', '.join(UNITS)}.")
    if version not in ("R2000", "R12"):
        raise OrderError(f"The version of a DXF file is {version!r}; it may be R2000 or R12.")
    if not drawn:
        raise OrderError("There is no piece to write as DXF.")
    code, scale, metric, _ = UNITS[unit]
    doc = new(version)
    if version != "R12":  # R12 knows neither variable
        doc.header["$INSUNITS"] = code
        doc.header["$MEASUREMENT"] = metric
    for name, (_, colour) in on.LAYERS.items():
        doc.layers.add(name, color=colour)
    x = 0.0
    for d in drawn:
        block = doc.blocks.new(block_name(d))
        writer = _Block(block, d, scale, tolerance)
        writer.lines()
        writer.points(points)
        writer.matching((references or {}).get(block.name, {}))
        writer.words(piece_words(d, heading, unit))
        low, high = writer.box
        doc.modelspace().add_blockref(
            block.name, ((x - low[0]) * scale, -low[1] * scale), dxfattribs={"layer": on.BOUNDARY}
        )
        x += high[0] - low[0] + GAP
    for i, line in enumerate(file_words(heading, unit, bool(references))):
        text = doc.modelspace().add_text(
            line, height=LETTER * scale, dxfattribs={"layer": on.ANNOTATION}
        )
        text.set_placement((0.0, (-3.0 - 1.6 * LETTER * i) * scale))
    return doc


def block_name(d: Drawn) -> str:
    """The block's name: the piece's, and its side where right and left differ."""
    name = re.sub(r"[^A-Za-z0-9_-]+", "_", d.piece.name)
    return name if d.side == "both" else f"{name}-{d.side}"


def quantity(d: Drawn) -> int:
    """How many pieces of cloth are cut by a block."""
    each = 2 if d.piece.cut == "pair" and d.side == "both" else 1
    return each * d.piece.count


def _hands(d: Drawn) -> str:
    if d.side != "both":
        return f"{d.side} piece as drawn"
    if d.piece.cut == "pair":
        return "a pair: one as drawn, one mirrored"
    if d.piece.cut == "fold":
        return "half a piece: the mirror line stands on the fold"
    return "as drawn"


def piece_words(d: Drawn, heading: Heading, unit: DxfUnit) -> tuple[str, ...]:
    """What a block says of its piece, "key: value" a line."""
    return (
        f"Piece Name: {block_name(d)}",
        f"Quantity: {quantity(d)}",
        f"Side: {d.side}",
        f"Hands: {_hands(d)}",
        f"Material: {d.piece.layer}",
        f"Units: {UNITS[unit][3]}",
        f"Client: {heading.client}",
        f"Order: {heading.order}",
    )


def file_words(heading: Heading, unit: DxfUnit, matched: bool = False) -> tuple[str, ...]:
    """What the file says of itself; ``matched`` where there are references."""
    on_cloth = "Layers 9 and 10: each line is to lie on a line of the stripe or check."
    return (
        f"{heading.client}, order {heading.order}, {heading.garment}, {heading.fitting}, "
        f"{heading.date}",
        f"Units: {UNITS[unit][3]}. Scale 1 to 1.",
        "Layers after the numbers of a published convention; no conformance is claimed.",
        *([on_cloth] if matched else []),
    )


class _Block:
    """Draws one piece into its block; coordinates are turned into file units here."""

    def __init__(self, block: Any, d: Drawn, scale: float, tolerance: float) -> None:
        self.block, self.d, self.scale, self.tolerance = block, d, scale, tolerance
        self.flip = np.array([-1.0 if d.mirror else 1.0, 1.0])
        ring = np.asarray(d.cut_line) * self.flip
        self.box: tuple[Array, Array] = (ring.min(axis=0), ring.max(axis=0))

    def _out(self, pts: Any) -> list[tuple[float, float]]:
        moved = np.atleast_2d(np.asarray(pts, dtype=float)) * self.flip * self.scale
        return [(float(x), float(y)) for x, y in moved]

    def _line(self, pts: Any, layer: str, closed: bool = False) -> None:
        out = self._out(pts)
        if closed and out[0] == out[-1]:
            out = out[:-1]
        self.block.add_polyline2d(out, close=closed, dxfattribs={"layer": layer})

    def _straight(self, ends: Any, layer: str) -> None:
        a, b = self._out(ends)
        self.block.add_line(a, b, dxfattribs={"layer": layer})

    def _point(self, at: Any, layer: str) -> None:
        self.block.add_point(self._out(at)[0], dxfattribs={"layer": layer})

    def _cross(self, at: Array) -> None:
        for arm in ((CROSS, 0.0), (0.0, CROSS)):
            self._straight([at - arm, at + np.array(arm)], on.INTERNAL_LINES)

    def lines(self) -> None:
        """Cut line with its points, net line, fold, grain, darts and what is drawn inside."""
        piece = self.d.piece
        self._line(self.d.cut_line, on.BOUNDARY, closed=True)
        corners, others = corner_points(np.asarray(self.d.cut_line))
        for at in corners:
            self._point(at, on.TURN_POINTS)
        for at in others:
            self._point(at, on.CURVE_POINTS)
        net, closed = sewn_line(piece, self.tolerance)
        self._line(net, on.SEW_LINES, closed)
        if piece.cut == "fold" and piece.fold:
            e = piece.edge(piece.fold)
            self._straight([e.first, e.last], on.MIRROR_LINE)
        self._straight(piece.grain, on.GRAIN_LINE)
        for dart in piece.darts:
            one, two = piece.mouth(dart.name)
            self._line([one, dart.apex, two], on.INTERNAL_LINES)
        for line in piece.lines:
            self._line(curves.flatten(line.path.ctrl, self.tolerance), on.INTERNAL_LINES)

    def points(self, points: Points) -> None:
        """Notches on the cut line, drill holes as points, thread and chalk marks as crosses."""
        ring = shapely.LineString(np.asarray(self.d.cut_line))
        for n in self.d.notches:
            if not n.count:
                continue
            if n.thread:
                self._cross(n.at)
                continue
            along = np.array([-n.out[1], n.out[0]])
            for k in range(n.count):
                at = n.at + n.reach * n.out + along * 0.5 * (k - (n.count - 1) / 2)
                foot = ring.interpolate(ring.project(shapely.Point(at)))
                self._point((foot.x, foot.y), on.NOTCHES)
        # a hole is drilled inside the dart or pocket, and only where it stays hidden
        for m in points_of(self.d.piece, replace(self.d.marking, points=points)):
            if m.kind == "drill":
                self._point(m.at, on.DRILL_HOLES)
            else:
                self._cross(m.at)

    def matching(self, references: Mapping[str, Array]) -> None:
        """Where stripes and checks are matched: points, or lines of the cloth."""
        layers = {"stripe": on.STRIPE_REFERENCE, "plaid": on.PLAID_REFERENCE}
        for kind, at in references.items():
            if kind not in layers:
                raise OrderError(
                    f"A matching reference is {kind!r}; it may be {', '.join(layers)}."
                )
            if at.ndim == 1:
                self._point(at, layers[kind])
                continue
            for ends in at:
                self._straight(ends, layers[kind])

    def words(self, words: Sequence[str]) -> None:
        """The piece's words; name, quantity and units stand with the boundary too."""
        low, high = self.box
        middle = (low + high) / 2.0
        asked = ("Piece Name", "Quantity", "Units")
        rows = [(on.ANNOTATION, w) for w in words]
        rows += [(on.BOUNDARY, w) for w in words if w.partition(":")[0] in asked]
        for i, (layer, text) in enumerate(rows):
            at = (middle + np.array([0.0, 1.6 * LETTER * (len(words) / 2 - i)])) * self.scale
            entity = self.block.add_text(
                text, height=LETTER * self.scale, dxfattribs={"layer": layer}
            )
            entity.set_placement(
                (float(at[0]), float(at[1])), align=TextEntityAlignment.MIDDLE_CENTER
            )


def sewn_line(piece: Piece, tolerance: float = 0.01) -> tuple[Array, bool]:
    """The net line (m, 2) cm, and whether it is closed; open where the fold is left out."""
    paths, closed = sewn(piece)
    parts = [curves.flatten(p.ctrl, tolerance) for p in paths]
    end = parts[0][:1] if closed else parts[-1][-1:]
    return np.concatenate([*(p[:-1] for p in parts), end]), closed


def corner_points(ring: Array) -> tuple[Array, Array]:
    """The vertices of a closed polyline (m, 2) that are corners, and the others."""
    pts = ring[:-1] if np.allclose(ring[0], ring[-1]) else ring
    ahead = np.roll(pts, -1, axis=0) - pts
    behind = pts - np.roll(pts, 1, axis=0)
    cross = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    turn = np.abs(np.degrees(np.arctan2(cross, (behind * ahead).sum(axis=1))))
    sharp = turn > CORNER
    return pts[sharp], pts[~sharp]
