"""An invented client's trousers and jacket, as drafted and after a fitting."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from pinwright.draft import style
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import Fitted, fit
from pinwright.measures import complete, read_record
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Piece
from pinwright.sheets.drawn import Drawn, Heading, drawn

MEASURES = {"height": 168, "bust_girth": 92, "waist_girth": 74.5, "hip_girth": 99}
HEADING = Heading("Ingrid Ångström-Løv", "2026-014", "trousers", "first fitting", "4 March 2026")


@lru_cache
def garment(name: str) -> Garment:
    st = style(name)
    choices = st.choose({})
    body = complete(read_record(MEASURES))
    return st.finish(st.block(body, choices), body, choices)


def correction(kind: str, place: str, amount: float, side: str = "both") -> Correction:
    return Correction(kind, place, side, {"amount": amount})  # type: ignore[arg-type]


LEDGERS = {
    "trousers": (
        correction("let_out", "side_seam", -1.0, "right"),
        correction("let_out", "inseam", 0.8),
        correction("hem", "trouser_hem", -1.5, "left"),
    ),
    "jacket": (
        correction("bust_dart_intake", "bust_dart", 1.0, "right"),
        correction("let_out", "side_seam", 1.2, "left"),
    ),
}


@lru_cache
def fitted(name: str, corrected: bool = True) -> Fitted:
    return fit(garment(name), LEDGERS[name] if corrected else ())


@lru_cache
def pieces(name: str, corrected: bool = True) -> tuple[Drawn, ...]:
    return drawn(fitted(name, corrected), HEADING, style(name).derive)


def off_its_fold(piece: Piece, ring: np.ndarray) -> np.ndarray:
    """An outline (m, 2), closed, without the stretch on a straight fold: open there (k, 2)."""
    if piece.cut != "fold":
        return ring
    a, b = piece.edge(piece.fold or "").first, piece.edge(piece.fold or "").last
    normal = np.array([a[1] - b[1], b[0] - a[0]]) / np.hypot(*(b - a))
    points = ring[:-1]
    there = np.abs((points - a) @ normal) < 1e-6
    # begin where the fold ends: on the last of its points
    k = next(i for i in range(len(points)) if there[i] and not there[(i + 1) % len(points)])
    points, there = np.roll(points, -k, axis=0), np.roll(there, -k)
    last = 1 + int(np.flatnonzero(~there)[-1])
    return points[: last + 1]
