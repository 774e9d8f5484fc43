"""An invented client's trousers and jacket, as drafted and after a fitting."""

from __future__ import annotations

from functools import lru_cache

from pinwright.draft import style
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import Fitted, fit
from pinwright.measures import complete, read_record
from pinwright.pattern.garment import Garment
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
