"""The lay as SVG: a fragment for a page, whose colours a style sheet decides, and a file at 1:1.

Classes: ``lay`` (the whole), ``lay-piece`` (a piece's group; with ``lay-after``, ``lay-right``,
``lay-left``, ``lay-both``, ``lay-turned``, ``lay-mirrored``), and on the marks ``lay-outline``,
``lay-kept``, ``lay-grain``, ``lay-words``, ``lay-cloth``, ``lay-selvedge``, ``lay-waste``,
``lay-ruler``, ``lay-repeat``, ``lay-flaw``, ``lay-taken``. Lines and words are in
``currentColor``, areas white or grey by attributes, which any rule of a style sheet overrides.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from html import escape
from pathlib import Path

from pinwright.cutting.lay.placing import Lay
from pinwright.cutting.material import Material
from pinwright.measures.units import LengthUnit
from pinwright.sheets.ink import Drawing, bounds
from pinwright.sheets.lay_picture import LaidPiece, LayDrawing, how, lay_parts, side_words
from pinwright.sheets.lay_signs import Sizes, usable
from pinwright.sheets.lay_words import LaidCloth, cloth_title, facts
from pinwright.sheets.svg import elements, slug
from pinwright.sheets.writing import write_whole

MARGIN = 0.5
"""Round the fragment, in cm at the scale it is lettered for."""

ACROSS = 26.0
"""A fragment is lettered as if it stood so many cm wide."""


def lay_svg(
    lay: Lay,
    material: Material,
    scale: float | None = None,
    letter: float = 0.3,
    unit: LengthUnit = "cm",
    name: str = "lay",
    title: str = "",
) -> str:
    """The lay as an ``<svg>`` element to stand in a page; its user unit is the cm of cloth.

    scale: how many times smaller it will stand, for pens and letters (left out: as for a drawing
    26 cm wide). name: begins every id, so that several lays may stand on one page.
    """
    x0, y0, x1, y1 = usable(lay).bounds
    k = scale if scale is not None else max(1.0, (x1 - x0) / ACROSS, (y1 - y0) / ACROSS)
    parts = lay_parts(lay, material, Sizes(k, letter, unit))
    return _svg(parts, LaidCloth(lay, material, title=title), unit, name, MARGIN * k, "")


def write_lay_svg(
    path: Path | str,
    lay: Lay,
    material: Material,
    unit: LengthUnit = "cm",
    title: str = "",
    inner: Mapping[str, Drawing] | None = None,
) -> Path:
    """Write the lay as an SVG file at 1:1: width and height in cm, one user unit a cm.

    ``inner`` is drawn inside the pieces, by key, in the coordinates of their templates.
    """
    parts = lay_parts(lay, material, Sizes(1.0, 1.2, unit), inner)
    cloth = LaidCloth(lay, material, title=title)
    return write_whole(path, (_svg(parts, cloth, unit, "lay", 1.0, "cm") + "\n").encode())


def _svg(
    parts: LayDrawing, cloth: LaidCloth, unit: LengthUnit, name: str, margin: float, real: str
) -> str:
    x0, y0, x1, y1 = bounds(parts.whole)
    w, h = x1 - x0 + 2 * margin, y1 - y0 + 2 * margin
    left, top = x0 - margin, y1 + margin
    base = slug(name)
    size = f' width="{w:.4f}{real}" height="{h:.4f}{real}"' if real else ""
    told = "; ".join((*facts(cloth, unit), *(_said(p) for p in parts.pieces)))
    pieces = "\n".join(_piece(p, base, left, top) for p in parts.pieces)
    title = f"The lay: {cloth_title(cloth, unit)}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="lay" id="{base}" role="img" '
        f'aria-label="{escape(title)}" aria-describedby="{base}-desc"{size} '
        f'viewBox="0 0 {w:.4f} {h:.4f}">\n'
        f"<title>{escape(title)}</title>\n"
        f'<desc id="{base}-desc">{escape(told)}</desc>\n'
        f'<g id="{base}-cloth" data-layer="cloth">\n{_marks(parts.below, left, top)}\n</g>\n'
        f'<g id="{base}-pieces" data-layer="pieces">\n{pieces}\n</g>\n'
        f'<g id="{base}-over" data-layer="repeat and flaws" pointer-events="none">\n'
        f"{_marks(parts.over, left, top)}\n</g>\n</svg>"
    )


def _said(p: LaidPiece) -> str:
    flags = how(p.template, p.at)
    return f"{p.number} {p.title}" + (f": {', '.join(flags)}" if flags else "")


def _piece(p: LaidPiece, base: str, left: float, top: float) -> str:
    t = p.template
    side = "both" if side_words(t) not in ("right", "left") else t.side
    classes = ["lay-piece", f"lay-{side}"]
    classes += ["lay-after"] if t.stage == "after" else []
    classes += ["lay-turned"] if 90.0 < p.at.rotation % 360.0 < 270.0 else []
    classes += ["lay-mirrored"] if t.mirrored else []
    said = escape(_said(p))
    strokes = tuple(
        replace(m, role="lay outline") if m.role == "lay piece" else m for m in p.strokes
    )
    return (
        f'<g id="{slug(base, t.key)}" class="{" ".join(classes)}" data-key="{escape(t.key)}" '
        f'data-garment="{escape(t.garment)}" data-piece="{escape(t.piece)}" data-side="{t.side}" '
        f'data-number="{p.number}" aria-label="{said}">\n<title>{said}</title>\n'
        f"{_marks((*strokes, *p.words), left, top)}\n</g>"
    )


def _marks(drawing: Drawing, left: float, top: float) -> str:
    return "\n".join(elements(drawing, left, top, "currentColor"))
