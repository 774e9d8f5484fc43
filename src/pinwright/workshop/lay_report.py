"""The lays of an order as data for other programs and as words for the cutter."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from pinwright.cutting.lay.measure import Measured, measured
from pinwright.cutting.lay.placing import Lay, placed
from pinwright.cutting.material import Material
from pinwright.cutting.sentences import capital
from pinwright.cutting.shrinking import on_table
from pinwright.measures.amounts import at_least, needed, size
from pinwright.measures.units import LengthUnit
from pinwright.sheets.lay_signs import from_words
from pinwright.workshop.laying import ClothLay


def lays_data(lays: Sequence[ClothLay]) -> list[dict[str, Any]]:
    """Every lay, JSON-ready: outlines as laid, cm, first point not repeated.

    A remnant's lay comes after the one of the cloth it belongs to and carries its name.
    """
    return [_lay_data(c, i, lay) for c in lays for i, lay in enumerate(c.lays)]


def _lay_data(c: ClothLay, number: int, lay: Lay) -> dict[str, Any]:
    m = measured(lay)
    return {
        "cloth": c.stock.key,
        "layer": c.material.layer,
        **({"remnant": lay.field.name} if number else {}),
        "width": lay.field.width,
        "length": round(lay.length, 3),
        "density": round(m.density, 5),
        "lower_bound": round(m.bound, 3),
        "folded": lay.field.folded,
        "held_back": round(m.held, 2),
        "waste": round(m.waste, 2),
        "largest_empty": [[round(v, 2) for v in r] for r in m.rectangles],
        "in_order": c.stock.in_order,
        "kept": c.kept,
        "on": str(c.on),
        "remarks": list(c.remarks) if not number else [],
        "placed": [
            {
                "piece": t.piece,
                "garment": t.garment,
                "side": t.side,
                "key": t.key,
                "outline": np.round(placed(t, p), 4).tolist(),
                # a pair laid as one is turned twice, and the engine adds noise: 0 to under 360
                "rotation": round(p.rotation % 360.0, 4) % 360.0,
                "mirrored": t.mirrored,
                "on_fold": t.on_fold,
                "plies": t.plies,
                "cut": t.stage,
            }
            for p in lay.placements
            for t in (lay.template(p.key),)
        ],
    }


def lay_words(c: ClothLay, unit: LengthUnit = "cm") -> list[str]:
    """What the cutter is told of a cloth's lay, a sentence each."""
    m = measured(c.lays[0])
    wide = size(c.material.width, unit)
    said = [_head(c, m, unit)]
    if not c.stock.in_order:
        said.append(f"The order names no {c.stock.key}: one of {wide} is reckoned with.")
    said += c.remarks
    for lay in c.lays[1:]:
        titles = ", ".join(lay.template(p.key).title or lay.template(p.key).piece
                           for p in lay.placements)  # fmt: skip
        said.append(f"{lay.field.name}: {titles or 'nothing fits on it'}.")
    if m.rectangles:
        x0, y0, x1, y1 = m.rectangles[0]
        said.append(
            f"The largest piece of cloth left is {at_least(x1 - x0, unit)} along by "
            f"{at_least(y1 - y0, unit)} across, {from_words(x0, 'the cut end', unit)}."
        )
    return said


def _head(c: ClothLay, m: Measured, unit: LengthUnit) -> str:
    pieces = len(c.lays[0].placements)
    name = capital(c.stock.key)
    if not pieces:
        return f"{name}: nothing lies on it."
    many = f"{pieces} pieces take" if pieces > 1 else "1 piece takes"
    return (
        f"{name}: {needed(m.length, unit)} of cloth {_wide(on_table(c.material), unit)}. "
        f"{many} {100 * m.density:.0f} % of it; no lay of them can be shorter than "
        f"{at_least(m.bound, unit)}."
    )


def _wide(m: Material, unit: LengthUnit) -> str:
    wide = f"{size(m.width, unit)} wide"
    return f"{wide}, folded lengthwise" if m.lay == "folded" else wide
