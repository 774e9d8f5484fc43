"""Drawings as SVG, 1:1 in cm: the file's own unit is the centimetre, and it prints true to size."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from html import escape
from pathlib import Path

from pinwright.sheets.arrange import arranged
from pinwright.sheets.drawn import Drawn, Heading
from pinwright.sheets.ink import Drawing, Mark, Stroke, Words, bounds, moved
from pinwright.sheets.layers import Layer, layer_of
from pinwright.sheets.legend import title_block
from pinwright.sheets.lettering import width_of
from pinwright.sheets.pen import SvgPen, trace
from pinwright.sheets.picture import picture
from pinwright.sheets.writing import write_whole

FACE = "Helvetica, Arial, 'Liberation Sans', sans-serif"


Group = tuple[str, str, Mapping[str, str], Drawing]
"""A named part of a drawing: its id, what it is called, ``data-`` attributes, its marks."""


def slug(*parts: str) -> str:
    """An id of small letters, digits and hyphens that starts with a letter."""
    plain = unicodedata.normalize("NFKD", "-".join(p for p in parts if p)).encode("ascii", "ignore")
    text = re.sub(r"[^a-z0-9]+", "-", plain.decode().lower()).strip("-")
    return text if text[:1].isalpha() else f"g-{text}".rstrip("-")


def svg(drawing: Drawing, margin: float = 1.0, title: str = "", name: str = "") -> str:
    """A whole SVG document holding a drawing, cm, with ``margin`` cm round it.

    It is one group called ``name`` (made from the title when there is none), and in it a group a
    layer.
    """
    return document([(slug(name or title or "drawing"), title, {}, drawing)], margin, title)


def document(groups: Sequence[Group], margin: float = 1.0, title: str = "") -> str:
    """An SVG document of named groups at 1:1: one user unit is one cm, and it prints so.

    Within a group the marks of each layer (:mod:`pinwright.sheets.layers`) are a group with the id
    "group-layer" and ``data-layer``.
    """
    x0, y0, x1, y1 = bounds([m for g in groups for m in g[3]])
    w, h = x1 - x0 + 2 * margin, y1 - y0 + 2 * margin
    body = "\n".join(_group(*g, x0 - margin, y1 + margin) for g in groups)
    named = f"<title>{escape(title)}</title>\n" if title else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w:.4f}cm" height="{h:.4f}cm" '
        f'viewBox="0 0 {w:.4f} {h:.4f}">\n{named}{body}\n</svg>\n'
    )


def _group(
    key: str, label: str, data: Mapping[str, str], drawing: Drawing, left: float, top: float
) -> str:
    layers: dict[Layer | None, list[Mark]] = {}
    for m in drawing:
        layers.setdefault(layer_of(m), []).append(m)
    parts = []
    for layer, marks in layers.items():
        inner = "\n".join(elements(tuple(marks), left, top))
        if layer is None:
            parts.append(inner)
        else:
            named = f'id="{key}-{layer.key}" data-layer="{layer.key}"'
            parts.append(f'<g {named} aria-label="{escape(layer.title)}">\n{inner}\n</g>')
    more = "".join(f' data-{k}="{escape(v)}"' for k, v in data.items())
    said = f' aria-label="{escape(label)}"' if label else ""
    return f'<g id="{key}"{said}{more}>\n' + "\n".join(parts) + "\n</g>"


def elements(drawing: Drawing, left: float, top: float, ink: str = "#000") -> list[str]:
    """The elements of a drawing, in cm, with (``left``, ``top``) at the corner and y downwards.

    ``ink`` is the colour of lines and words.
    """
    return [
        _words(m, left, top, ink) if isinstance(m, Words) else _stroke(m, left, top, ink)
        for m in drawing
    ]


def _stroke(m: Stroke, left: float, top: float, ink: str) -> str:
    pen = SvgPen()
    trace([(c - [left, top]) * [1.0, -1.0] for c in m.chains], pen, m.closed)
    fill = "none" if m.fill is None else ink if m.fill == 0.0 else _grey(m.fill)
    dash = f' stroke-dasharray="{" ".join(f"{d:g}" for d in m.dash)}"' if m.dash else ""
    role = f' class="{escape(m.role.replace(" ", "-"))}"' if m.role else ""
    ink = "none" if m.weight == 0.0 else ink
    return (
        f'<path{role} d="{pen.data}" fill="{fill}" stroke="{ink}" stroke-width="{m.weight:g}" '
        f'stroke-linecap="butt" stroke-linejoin="round"{dash}/>'
    )


def _words(m: Words, left: float, top: float, ink: str) -> str:
    x, y = float(m.at[0]) - left, top - float(m.at[1])
    turn = f' transform="rotate({-m.angle:g} {x:.4f} {y:.4f})"' if m.angle else ""
    weight = ' font-weight="bold"' if m.bold else ""
    wide = f"{0.3 * m.size:.3g}"
    halo = f' stroke="#fff" stroke-width="{wide}" paint-order="stroke"' if m.halo else ""
    colour = "" if ink == "#000" else f' fill="{ink}"'
    role = f' class="{escape(m.role.replace(" ", "-"))}"' if m.role else ""
    # the width the layout reckoned with holds in any face the reader has
    length = width_of(m.text, m.size, m.bold)
    return (
        f'<text{role} x="{x:.4f}" y="{y:.4f}" font-family="{FACE}" font-size="{m.size:g}"{weight} '
        f'text-anchor="{m.anchor}" textLength="{length:.4f}" lengthAdjust="spacingAndGlyphs"'
        f"{colour}{halo}{turn}>{escape(m.text)}</text>"
    )


def _grey(value: float) -> str:
    level = round(255 * min(max(value, 0.0), 1.0))
    return f"#{level:02x}{level:02x}{level:02x}"


def svg_sheet(
    path: Path | str, pieces: Sequence[Drawn], heading: Heading, width: float = 90.0
) -> Path:
    """All pieces of a garment side by side at 1:1 under their title block, one SVG in cm.

    Each piece is a group "garment-piece" or "garment-piece-side".
    """
    page = arranged([picture(d) for d in pieces], width, 1e6)[0]
    block, _, _ = title_block(heading)
    groups: list[Group] = []
    for (i, _, _), drawing in zip(page.placed, page.drawings, strict=True):
        d = pieces[i]
        groups.append((piece_id(heading.garment, d), d.title, piece_data(d), drawing))
    groups.sort(key=lambda g: g[0])
    groups.append(("heading", "Heading and key", {}, moved(block, 0.0, page.height + 1.0)))
    text = document(groups, title=f"{heading.garment}, order {heading.order}")
    return write_whole(path, text.encode())


def piece_id(garment: str, d: Drawn) -> str:
    """The id of a piece's group, as "jacket-front-left"."""
    return slug(garment, d.piece.name, "" if d.side == "both" else d.side)


def piece_data(d: Drawn) -> dict[str, str]:
    """What the ``data-`` attributes of a piece say: piece, side, cloth."""
    return {"piece": d.piece.name, "side": d.side, "cloth": d.piece.layer}


def write_svg(path: Path | str, drawing: Drawing, title: str = "", name: str = "") -> Path:
    """Write a drawing as SVG, whole or not at all; see :func:`svg`."""
    return write_whole(path, svg(drawing, title=title, name=name).encode())
