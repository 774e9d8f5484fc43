"""Drawings as SVG, 1:1 in cm: the file's own unit is the centimetre, and it prints true to size."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from pathlib import Path

from pinwright.sheets.arrange import arranged
from pinwright.sheets.drawn import Drawn, Heading
from pinwright.sheets.ink import Drawing, Stroke, Words, bounds, moved
from pinwright.sheets.legend import title_block
from pinwright.sheets.lettering import width_of
from pinwright.sheets.pen import SvgPen, trace
from pinwright.sheets.picture import picture
from pinwright.sheets.writing import write_whole

FACE = "Helvetica, Arial, 'Liberation Sans', sans-serif"


def svg(drawing: Drawing, margin: float = 1.0, title: str = "") -> str:
    """A whole SVG document holding a drawing, cm, with ``margin`` cm round it."""
    x0, y0, x1, y1 = bounds(drawing)
    w, h = x1 - x0 + 2 * margin, y1 - y0 + 2 * margin
    body = "\n".join(elements(drawing, x0 - margin, y1 + margin))
    named = f"<title>{escape(title)}</title>\n" if title else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w:.4f}cm" height="{h:.4f}cm" '
        f'viewBox="0 0 {w:.4f} {h:.4f}">\n{named}{body}\n</svg>\n'
    )


def elements(drawing: Drawing, left: float, top: float) -> list[str]:
    """The elements of a drawing, in cm, with (``left``, ``top``) at the corner and y downwards."""
    return [
        _words(m, left, top) if isinstance(m, Words) else _stroke(m, left, top) for m in drawing
    ]


def _stroke(m: Stroke, left: float, top: float) -> str:
    pen = SvgPen()
    trace([(c - [left, top]) * [1.0, -1.0] for c in m.chains], pen, m.closed)
    fill = "none" if m.fill is None else _grey(m.fill)
    dash = f' stroke-dasharray="{" ".join(f"{d:g}" for d in m.dash)}"' if m.dash else ""
    role = f' class="{escape(m.role.replace(" ", "-"))}"' if m.role else ""
    ink = "none" if m.weight == 0.0 else "#000"
    return (
        f'<path{role} d="{pen.data}" fill="{fill}" stroke="{ink}" stroke-width="{m.weight:g}" '
        f'stroke-linecap="butt" stroke-linejoin="round"{dash}/>'
    )


def _words(m: Words, left: float, top: float) -> str:
    x, y = float(m.at[0]) - left, top - float(m.at[1])
    turn = f' transform="rotate({-m.angle:g} {x:.4f} {y:.4f})"' if m.angle else ""
    weight = ' font-weight="bold"' if m.bold else ""
    halo = ' stroke="#fff" stroke-width="0.12" paint-order="stroke"' if m.halo else ""
    role = f' class="{escape(m.role.replace(" ", "-"))}"' if m.role else ""
    # the width the layout reckoned with holds in any face the reader has
    length = width_of(m.text, m.size, m.bold)
    return (
        f'<text{role} x="{x:.4f}" y="{y:.4f}" font-family="{FACE}" font-size="{m.size:g}"{weight} '
        f'text-anchor="{m.anchor}" textLength="{length:.4f}" lengthAdjust="spacingAndGlyphs"'
        f"{halo}{turn}>{escape(m.text)}</text>"
    )


def _grey(value: float) -> str:
    level = round(255 * min(max(value, 0.0), 1.0))
    return f"#{level:02x}{level:02x}{level:02x}"


def svg_sheet(
    path: Path | str, pieces: Sequence[Drawn], heading: Heading, width: float = 90.0
) -> Path:
    """All pieces of a garment side by side at 1:1 under their title block, one SVG in cm."""
    page = arranged([picture(d) for d in pieces], width, 1e6)[0]
    block, _, _ = title_block(heading)
    marks = [m for d in page.drawings for m in d] + list(moved(block, 0.0, page.height + 1.0))
    return write_svg(path, tuple(marks), f"{heading.garment}, order {heading.order}")


def write_svg(path: Path | str, drawing: Drawing, title: str = "") -> Path:
    """Write a drawing as SVG, whole or not at all."""
    return write_whole(path, svg(drawing, title=title).encode())
