"""Levels: hems level as drafted, crotch and armhole clear of the body's."""

from __future__ import annotations

from pinwright.check.result import Check, Verdict, judged
from pinwright.fitting.ledger import Half

LEVEL = 0.5
"""A drafted hem may rise by this towards the side (cm): where the seam flares the hem must, to
meet it squarely."""


def _y(half: Half, piece: str, point: str) -> float:
    row, column = half.garment.layout.station_row(piece, point)
    return float(half.ctrl[row, column, 1])


def hem_checks(half: Half) -> list[Check]:
    """As drafted, every hem is level, but for a back chosen longer than the side."""
    if half.sums:
        return []
    drop = half.garment.choices.get("back_hem_drop", 0.0)
    found = []
    for piece in half.garment.pieces:
        for e in piece.edges:
            if e.name != "hem" or piece.name == "sleeve":
                continue
            low = float(drop) if piece.name == "back" and isinstance(drop, int | float) else 0.0
            found.append(
                judged(
                    f"{piece.title}: hem level",
                    "levels",
                    piece.name,
                    _y(half, piece.name, e.end) - _y(half, piece.name, e.start),
                    low,
                    LEVEL,
                    says="height of the hem at the side over its other end",
                )
            )
    return found


def clearance_checks(half: Half) -> list[Check]:
    """The fork hangs below the body's crotch, the underarm below the body's.

    The fork's level under the natural waist against the taped (or estimated) body rise; the back
    neck to the underarm against the body's scye depth. As drafted this must hold; after a
    correction that raises them the check asks to look.
    """
    facts = half.facts
    garment = half.garment
    found = []
    if "body_rise" in facts and garment.has("front"):
        found.append(
            _clear(
                "fork below the body's crotch",
                "front",
                facts["waist_level"] - _y(half, "front", "fork") - facts["body_rise"],
                bool(half.sums),
            )
        )
    if "scye_depth" in facts and garment.has("back"):
        neck = "yoke" if garment.has("yoke") else "back"
        depth = _y(half, neck, "neck_centre") - _y(half, "back", "underarm")
        found.append(
            _clear(
                "underarm below the body's", "back", depth - facts["scye_depth"], bool(half.sums)
            )
        )
    return found


def _clear(name: str, where: str, room: float, corrected: bool) -> Check:
    verdict: Verdict = "good" if room >= -1e-6 else ("look" if corrected else "wrong")
    return Check(
        name,
        "levels",
        where,
        room,
        0.0,
        0.0,
        verdict,
        says="room below the body's level (0 or more)",
    )
