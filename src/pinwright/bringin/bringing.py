"""Bring in a file: outlines found, and pieces and a garment once they are named."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from pinwright.bringin.dxf import Block, dxf_chains
from pinwright.bringin.fit import TOLERANCE
from pinwright.bringin.garment import garment_from
from pinwright.bringin.names import read_names
from pinwright.bringin.outline import CORNER, LEAST_AREA, Outline, closed_loops, from_curves
from pinwright.bringin.photo import CORNER as PHOTO_CORNER
from pinwright.bringin.photo import photo_outlines, read_grey
from pinwright.bringin.pieces import piece_from
from pinwright.bringin.square import Calibration
from pinwright.bringin.svg import svg_chains
from pinwright.bringin.template import box
from pinwright.errors import OrderError
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Piece

LONGEST = 300.0
"""An outline that reaches further than this, cm, is remarked on."""
PICTURES = (".png", ".jpg", ".jpeg", ".tif", ".tiff", ".bmp", ".webp")


@dataclass(frozen=True, eq=False)
class BroughtIn:
    """What was brought in: outlines as numbered, and pieces and garment when they are named."""

    outlines: tuple[Outline, ...]
    pieces: tuple[Piece, ...] = ()
    garment: Garment | None = None
    calibration: Calibration | None = None
    remarks: tuple[str, ...] = ()


def bring_in(
    file: Path | str,
    names: Path | str | None = None,
    square_cm: float | None = None,
    corners: Sequence[tuple[float, float]] | None = None,
    unit: str | None = None,
    tolerance: float = TOLERANCE,
    corner: float | None = None,
) -> BroughtIn:
    """Outlines from an SVG, a DXF or a photograph; with ``names`` also the pieces.

    ``square_cm`` is the side of the known square in a photograph and ``corners`` its four corners
    in pixels, if it is not to be sought; ``unit`` what a unit of a drawing is. Sampled lines are
    fitted within ``tolerance`` cm; lines that turn by more than ``corner`` degrees make a corner.

    Raises:
        OrderError: a file that cannot be read, no square, no unit, no closed outline, or names
            that do not fit.
        GeometryError: an outline that crosses itself.
    """
    file = Path(file)
    if not 0.001 <= tolerance <= 1.0:
        raise OrderError(f"The tolerance is {tolerance:g} cm; it may be from 0.001 to 1.")
    if corner is not None and not 2.0 <= corner <= 90.0:
        raise OrderError(f"A corner's least turn is {corner:g} degrees; it may be from 2 to 90.")
    calibration = None
    if file.suffix.lower() in PICTURES:
        if square_cm is None:
            raise OrderError(
                f"{file} is a picture; give the side of the known square in it "
                "with --square, in cm."
            )
        if unit is not None:
            raise OrderError(f"{file} is a picture; it is measured by its square, not by a unit.")
        outlines, calibration, told = photo_outlines(
            read_grey(file), square_cm, corners, tolerance, corner or PHOTO_CORNER
        )
        remarks = [*calibration.sentences(), *told]
    else:
        if square_cm is not None or corners is not None:
            raise OrderError(f"{file} is a drawing; a known square is only for photographs.")
        outlines, remarks = _drawn(file, unit, tolerance, corner or CORNER)
    if names is None:
        return BroughtIn(tuple(outlines), calibration=calibration, remarks=tuple(remarks))
    said = read_names(Path(names))
    pieces = tuple(piece_from(outlines, p) for p in said.pieces)
    garment, more = garment_from(pieces, said)
    return BroughtIn(tuple(outlines), pieces, garment, calibration, (*remarks, *more))


def _drawn(
    file: Path, unit: str | None, tolerance: float, corner: float
) -> tuple[list[Outline], list[str]]:
    blocks: dict[str, Block] = {}
    suffix = file.suffix.lower()
    if suffix == ".svg":
        chains, told = svg_chains(file, unit)
    elif suffix == ".dxf":
        chains, blocks, told = dxf_chains(file, unit)
    else:
        raise OrderError(
            f"{file} is neither SVG, DXF nor a picture ({', '.join(PICTURES)}); its name must end "
            "so."
        )
    closed, open_, bridged = closed_loops(chains)
    outlines: list[Outline] = []
    small = 0
    for chain in closed:
        pts = chain.ctrl[:, 0]
        if len(chain.ctrl) < 3 and np.abs(np.diff(chain.ctrl, axis=1)).max() < 1e-9:
            continue
        where = f"Outline {len(outlines) + 1}"
        around = np.ptp(pts, axis=0) if len(pts) > 1 else np.ptp(chain.ctrl[0], axis=0)
        if float(around.min()) * float(around.max()) < LEAST_AREA / 2:
            small += 1
            continue
        outline = from_curves(chain, tolerance, corner, where)
        if outline.area < LEAST_AREA:
            small += 1
            continue
        outlines.append(_with_block(outline, blocks.get(chain.group)))
    if not outlines:
        raise OrderError(_none(file, [c.ctrl for c in open_]))
    remarks = [*told, *(r for i, o in enumerate(outlines, 1) for r in _too_large(i, o))]
    if bridged:
        remarks.append(f"{len(bridged)} gaps of up to {max(bridged):.2f} cm were drawn shut.")
    if small:
        remarks.append(f"{small} closed lines round less than {LEAST_AREA:g} cm² were left out.")
    worst = max(o.fit for o in outlines)
    if worst > 0:
        remarks.append(f"Curves were fitted to points within {worst:.3f} cm.")
    return outlines, remarks


def _too_large(i: int, outline: Outline) -> list[str]:
    """A remark on an outline longer than cloth is cut for a garment."""
    low, high = box(outline)
    across, up = (float(x) for x in high - low)
    if max(across, up) <= LONGEST:
        return []
    return [
        f"Outline {i} is {across:.0f} x {up:.0f} cm, longer than pieces of a garment are: look "
        "whether the drawing's unit is right."
    ]


def _with_block(outline: Outline, block: Block | None) -> Outline:
    if block is None:
        return outline
    return replace(
        outline,
        said=dict(block.said),
        grain=block.grain[0] if len(block.grain) == 1 else None,
        notches=np.array(block.notches) if block.notches else None,
    )


def _none(file: Path, loose: list[np.ndarray[tuple[int, ...], np.dtype[np.float64]]]) -> str:
    if not loose:
        return f"{file} holds no line that could be a piece."
    longest = max(loose, key=lambda c: float(np.hypot(*np.diff(c[:, 0], axis=0).T).sum()))
    a, b = longest[0, 0], longest[-1, 3]
    return (
        f"{file} has no closed outline: the longest line starts at ({a[0]:.1f}, {a[1]:.1f}) and "
        f"ends at ({b[0]:.1f}, {b[1]:.1f}) cm, {float(np.hypot(*(b - a))):.1f} cm apart. Close it."
    )
