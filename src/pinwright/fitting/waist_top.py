"""The top of trousers made longer or shorter where it is sewn to the band."""

from __future__ import annotations

from pinwright.errors import CorrectionError
from pinwright.fitting.hem import slide_edge_end
from pinwright.fitting.places import level
from pinwright.fitting.response import Sketch
from pinwright.pattern.garment import Garment
from pinwright.pattern.layout import EdgeKey

RESERVE = 0.3
"""Intake (cm) a dart keeps at the utmost change, so that it still is a dart."""


def parts(garment: Garment) -> tuple[str, ...]:
    """The pieces the band is sewn to.

    Raises:
        CorrectionError: the garment has no waistband.
    """
    if not garment.has("band") or "waist" not in garment.places:
        raise CorrectionError(f"The {garment.owns} no waistband.")
    return tuple(e.piece for e in garment.places["waist"])


def change_top(sketch: Sketch, piece: str, amount: float, most: float) -> None:
    """Lengthen the top of one piece by ``amount`` cm per unit.

    Its darts give, in proportion to their intakes. A correction moves everything in proportion to
    its amount, so it cannot close a dart first and then turn to the seam: where the darts are too
    small for ``most`` (the largest change, cm) they take the share that leaves them
    :data:`RESERVE` at the utmost, and the side seam the rest, full at the waist and nothing at
    the hip; without darts the side seam gives all.
    Source: waist to band, the difference goes to darts first (common practice, design 6).
    """
    garment = sketch.garment
    p = garment.piece(piece)
    darts = [d.name for d in p.darts if d.edge == "waist"]
    wide = []
    for name in darts:
        a, b = p.mouth(name)
        wide.append(float(((b - a) ** 2).sum() ** 0.5))
    can = sum(wide) - RESERVE * len(darts)
    share = min(max(can / most, 0.0), 1.0) if most > 0.0 else float(can >= 0.0 and bool(darts))
    if share > 0.0:
        for name, intake in zip(darts, wide, strict=True):
            sketch.deepen(piece, name, -share * amount * intake / sum(wide))
    amount *= 1.0 - share
    if amount == 0.0:
        return
    key = next((e.piece, e.edge) for e in garment.places["side_seam"] if e.piece == piece)
    hip, waist = level(garment, key, "hip"), level(garment, key, "waist")
    # the waist turns near the side, so its length grows a little less than the side moves
    trial = Sketch(garment)
    _side_out(trial, key, hip, waist, 1.0)
    _side_out(sketch, key, hip, waist, amount / trial.stretch_rate((piece, "waist")))


def _side_out(sketch: Sketch, key: EdgeKey, hip: float, waist: float, amount: float) -> None:
    """Move a side seam out at the waist, nothing at the hip, and walk it to its own length."""
    alone = Sketch(sketch.garment)
    alone.profile(key, _ramp(hip, waist, amount))
    v = slide_edge_end(alone, key, hip < waist, -alone.stretch_rate(key))
    alone.follow(*alone.layout.neighbours[key, hip < waist], v)
    sketch.ctrl += alone.ctrl


def _ramp(hip: float, waist: float, amount: float) -> tuple[tuple[float, float], ...]:
    return ((hip, 0.0), (waist, amount)) if hip < waist else ((waist, amount), (hip, 0.0))
