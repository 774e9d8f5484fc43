"""Pictures of a hung garment written as PNG and as SVG."""

from __future__ import annotations

from base64 import b64encode
from functools import lru_cache
from html import escape
from io import BytesIO

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from pinwright.drape.data import Array
from pinwright.drape.pictures.coloured import PAPER, TONES
from pinwright.drape.pictures.picture import SHARP, Picture
from pinwright.drape.pictures.scale import QUANTITIES, scale_of
from pinwright.sheets.ink import Stroke, Words
from pinwright.sheets.lettering import printable
from pinwright.sheets.svg import elements, slug


def png(p: Picture, few: bool = False) -> bytes:
    """The picture with its lines and words as PNG, one point for SHARP² of its own. few: in few
    tones, which takes a third of the bytes."""
    canvas = Image.fromarray(p.pixels)
    draw = ImageDraw.Draw(canvas)
    draw.fontmode = "L"
    for m in p.marks:
        if isinstance(m, Words):
            _words(draw, m, p)
        else:
            _stroke(draw, m, p)
    small = canvas.reduce(SHARP)
    return _encoded(small, few)


def pixels_png(p: Picture, sharp: bool = False) -> bytes:
    """The colours alone, without lines and words; as sharp as they are if so asked."""
    image = Image.fromarray(p.pixels)
    return _encoded(image if sharp else image.reduce(SHARP), True)


def svg(p: Picture, name: str = "drape") -> str:
    """The picture as SVG: colours as an image within it, lines and words as such; its user unit
    is the cm of the body."""
    high, wide = (n / p.per_cm for n in p.pixels.shape[:2])
    key = slug(name)
    body = "\n".join(elements(p.marks, p.left, p.top))
    data = b64encode(pixels_png(p)).decode("ascii")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drape" id="{key}" role="img" '
        f'aria-labelledby="{key}-title" aria-describedby="{key}-desc" '
        f'viewBox="0 0 {wide:.3f} {high:.3f}">\n'
        f'<title id="{key}-title">{escape(p.title)}</title>\n'
        f'<desc id="{key}-desc">{escape(p.words)}</desc>\n'
        f'<rect width="{wide:.3f}" height="{high:.3f}" fill="#fff"/>\n'
        f'<image width="{wide:.3f}" height="{high:.3f}" preserveAspectRatio="none" '
        f'href="data:image/png;base64,{data}"/>\n{body}\n</svg>\n'
    )


def _encoded(image: Image.Image, few: bool) -> bytes:
    buffer = BytesIO()
    if few:
        image = few_tones(image)
    image.save(buffer, "png", compress_level=6)
    return buffer.getvalue()


def few_tones(image: Image.Image) -> Image.Image:
    """An image in the few tones that pictures are made of, each point by the nearest."""
    found = image.quantize(palette=_tones(), dither=Image.Dither.NONE)
    # Pillow looks for the nearest by six bits of each colour, which would make paper off-white
    paper = (np.asarray(image) == PAPER).all(axis=2)
    found.paste(WHITE, mask=Image.fromarray(paper))
    return found


WHITE = 0
"""The number of white among the tones."""


@lru_cache(maxsize=1)
def _tones() -> Image.Image:
    """Greys of body, lines and words; the bands of every scale in their shades, down to black."""
    shades = np.concatenate([np.linspace(1.0, 1.0 - TONES[3, 3], 6), [0.75, 0.55, 0.35]])
    bands = np.unique(np.concatenate([scale_of(q).colours for q in QUANTITIES]), axis=0)
    greys = np.repeat(np.linspace(255.0, 0.0, 256 - len(bands) * len(shades))[:, None], 3, axis=1)
    tones = np.concatenate([greys, (bands[:, None] * shades[:, None]).reshape(-1, 3)])
    image = Image.new("P", (1, 1))
    image.putpalette(np.rint(tones).astype(np.uint8).tobytes())
    return image


def _at(points: Array, p: Picture) -> Array:
    found: Array = (points - [p.left, p.top]) * [p.per_cm, -p.per_cm]
    return found


def _stroke(draw: ImageDraw.ImageDraw, m: Stroke, p: Picture) -> None:
    width = max(1, round(m.weight * p.per_cm))
    for chain in m.chains:
        points = _at(_flattened(chain), p)
        if m.fill is not None:
            tone = round(255 * m.fill)
            draw.polygon([tuple(q) for q in points], fill=(tone, tone, tone))
        if m.weight <= 0.0:
            continue
        if m.closed:
            points = np.concatenate([points, points[:2]])
        parts = _dashed(points, [d * p.per_cm for d in m.dash]) if m.dash else [points]
        for part in parts:
            draw.line([tuple(q) for q in part], fill=(0, 0, 0), width=width, joint="curve")


def _words(draw: ImageDraw.ImageDraw, m: Words, p: Picture) -> None:
    x, y = _at(m.at, p)
    size = m.size * p.per_cm
    bold = 0.022 * size if m.bold else 0.0
    anchor = {"start": "ls", "middle": "ms", "end": "rs"}[m.anchor]
    if m.halo:
        box = _at(m.corners, p)
        low, high = box.min(axis=0), box.max(axis=0)
        draw.rectangle((low[0], low[1], high[0], high[1]), fill=(255, 255, 255))
    draw.text(
        (x, y), printable(m.text), fill=(0, 0, 0), font=_face(round(size)), anchor=anchor,
        stroke_width=bold, stroke_fill=(0, 0, 0),
    )  # fmt: skip


@lru_cache(maxsize=16)
def _face(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    """The face that comes with Pillow, so that a picture is the same everywhere."""
    return ImageFont.load_default(size)


def _flattened(chain: Array) -> Array:
    """A polyline (m, 2), or cubics (n, 4, 2) as one."""
    if chain.ndim == 2:
        return chain
    t = np.linspace(0.0, 1.0, 9)[:, None]
    a, b, c, d = (chain[:, k][:, None] for k in range(4))
    u = 1.0 - t
    found: Array = (a * u**3 + 3 * b * u**2 * t + 3 * c * u * t**2 + d * t**3).reshape(-1, 2)
    return found


def _dashed(points: Array, dash: list[float]) -> list[Array]:
    """The strokes of a line (m, 2)."""
    long = np.linalg.norm(np.diff(points, axis=0), axis=1)
    at = np.concatenate([[0.0], np.cumsum(long)])
    found = []
    start, k = 0.0, 0
    while start < at[-1]:
        end = min(start + dash[k % len(dash)], at[-1])
        if k % 2 == 0:
            inner = (at > start) & (at < end)
            ends = [[np.interp(v, at, points[:, i]) for i in range(2)] for v in (start, end)]
            found.append(np.array([ends[0], *points[inner], ends[1]]))
        start, k = end, k + 1
    return found
