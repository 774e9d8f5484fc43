"""Levels: hems level as drafted, crotch and armhole clear of the body's."""

from __future__ import annotations

import numpy as np

from pinwright.check.result import Check, Verdict, judged
from pinwright.fitting.ledger import Half

LEVEL = 0.1
"""A drafted hem may be off the level that its shape needs by this, cm."""


def _y(half: Half, piece: str, point: str) -> float:
    row, column = half.garment.layout.station_row(piece, point)
    return float(half.ctrl[row, column, 1])


def hem_checks(half: Half) -> list[Check]:
    """As drafted, every hem is level, but for a back chosen longer than the side.

    Where the side seam flares by an angle the hem must meet it squarely, and so may rise towards
    it by at most half its width times the tangent: the rise of a parabola that leaves the centre
    level (geometry).
    """
    if half.sums:
        return []
    layout = half.garment.layout
    drop = half.garment.choices.get("back_hem_drop", 0.0)
    found = []
    for piece in half.garment.pieces:
        for e in piece.edges:
            if e.name != "hem" or piece.name == "sleeve":
                continue
            low = float(drop) if piece.name == "back" and isinstance(drop, int | float) else 0.0
            rise = _y(half, piece.name, e.end) - _y(half, piece.name, e.start)
            side, _ = layout.neighbours[(piece.name, e.name), True]
            c = half.ctrl[layout.runs[side][0][0]]
            flare = abs(float(c[1, 0] - c[0, 0])) / float(np.hypot(*(c[1] - c[0])))
            ids = layout.span_ids((piece.name, e.name))
            width = abs(float(half.ctrl[ids[-1], 3, 0] - half.ctrl[ids[0], 0, 0]))
            high = low + 0.5 * width * flare / (1.0 - flare * flare) ** 0.5
            found.append(
                judged(
                    f"{piece.title}: hem level",
                    "levels",
                    piece.name,
                    rise,
                    min(max(rise, low), high),
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
        bound="least",
    )
