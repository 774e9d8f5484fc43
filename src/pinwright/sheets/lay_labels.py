"""What a piece on the lay says, where it fits, and the arrow that tells its grain and its top."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity

from pinwright.sheets.ink import FINE, Drawing, Mark, Stroke, Words, line
from pinwright.sheets.labels import LEADING, TextLine, block_size
from pinwright.sheets.lay_signs import Sizes, word

Array = NDArray[np.float64]

SHORT = {"right": "R", "left": "L", "right + left": "R+L"}

SMALLER = (1.0, 0.75, 0.55)
"""By how much letters shrink, step by step, where they would stand on a cut or net line."""

ARROW = 10.0
"""Longest grain arrow, in heights of letters."""


def label_blocks(
    number: int, name: str, side: str, flags: Sequence[str], garment: str
) -> list[list[TextLine]]:
    """What a piece may say, from all of it to its number alone; sizes in heights of letters.

    The number, the side and "hold back" stay longest: they keep a cutter from a wrong cut.
    """
    short = SHORT.get(side, "")
    plain = [f for f in flags if not f.startswith("hold back")]
    held = [f for f in flags if f.startswith("hold back")]
    small = [TextLine(", ".join(plain), 0.85)] if plain else []
    whole = [TextLine(part, 0.85, True) for f in held for part in _halves(f)]
    brief = [TextLine("hold back", 0.8, True)] if held else []
    of = [TextLine(garment, 0.85)] if garment else []
    head = TextLine(f"{number}  {name}", 1.2, True)
    big = [TextLine(short, 2.4, True)] if short else []
    together = TextLine(f"{number}  {name} {short}".rstrip(), 1.0, True)
    each = [TextLine(f, 0.75) for f in plain]
    bare = TextLine(f"{number} {short}".rstrip(), 1.1, True)
    blocks = [
        [*big, head, *of, *small, *whole],
        [together, *of, *small, *whole],
        [together, *each, *brief],
        [*_lines(number, name, short), *each, *brief],
        [together, *brief],
        [bare, *each, *brief],
        [bare, *brief],
        [TextLine(f"{together.text} {' '.join(b.text for b in brief)}".rstrip(), 0.8, True)],
        [TextLine(f"{bare.text} {' '.join(b.text for b in brief)}".rstrip(), 0.8, True)],
        *([[TextLine(bare.text, 0.8, True), *brief]] if brief else []),
        [bare],
        [TextLine(str(number), 0.8, True)],
    ]
    found: list[list[TextLine]] = []
    for b in blocks:
        if b not in found:
            found.append(b)
    return found


def _halves(text: str) -> list[str]:
    first, _, rest = text.partition(": ")
    return [f"{first}:", rest] if rest else [first]


def _lines(number: int, name: str, short: str) -> list[TextLine]:
    """Number and side over the words of the name, for narrow pieces."""
    top = TextLine(f"{number} {short}".rstrip(), 1.1, True)
    return [top, *(TextLine(w, 0.85, True) for w in name.split())]


def label(
    blocks: Sequence[Sequence[TextLine]],
    outline: Array,
    z: Sizes,
    waste: shapely.Geometry,
    inner: Drawing = (),
) -> tuple[Words, ...]:
    """The fullest of the blocks that fits inside a piece, level, upright or along the piece.

    outline: (m, 2) cm of cloth. It stands clear of what is drawn inside where it can, and always
    of cut and net lines: for those it is set smaller, or says less. Where not even the number
    fits it stands beside the piece on ``waste``, cloth that is left over, as near as there is room.
    """
    area = shapely.Polygon(outline)
    angles = dict.fromkeys(round(z.upright(a), 3) for a in _angles(area))
    sizes = [replace(z, letter=share * z.letter) for share in (SMALLER if inner else (1.0,))]
    rooms = [tuple(_rooms(area, inner, letters)) for letters in sizes]
    # the name, all flags and "hold back" stay as long as they can, then as large as they can
    tried = [(blocks[:3], k) for k in range(len(sizes))]
    tried += [([block], k) for block in blocks[3:] for k in range(len(sizes))]
    for some, k in tried:
        for (free, across), block in product(rooms[k], some):
            w, h = block_size(block, sizes[k].high())
            # nothing follows the last line, and a line alone needs the height of its capitals
            h -= (0.35 if len(block) > 1 else 0.55) * sizes[k].high(block[-1].size)
            for angle in angles:
                at = _spot(free, area, w, h, angle)
                if at is not None:
                    return _set(block, at, sizes[k], angle, across)
    w, h = block_size(blocks[-1], z.high())
    near = shapely.intersection(waste, area.buffer(2.5 * z.high()))
    at = _spot(near, area, w, 0.75 * h, z.upright(0.0))
    if at is None:
        at = np.array(shapely.point_on_surface(area).coords[0])
    return _set(blocks[-1], at, z, z.upright(0.0))


def _rooms(
    area: shapely.Polygon, inner: Drawing, z: Sizes
) -> Iterable[tuple[shapely.Geometry, bool]]:
    """Where words may stand in a piece, the best place first, and whether across what is drawn.

    What is white behind words that stand across lines is kept off cut and net lines.
    """
    room = shapely.buffer(area, -0.03 * z.scale)
    if not inner:
        yield room, False
        return
    yield shapely.difference(room, _drawn(inner).buffer(0.25 * z.high())), False
    sewn = shapely.union(area.exterior, _drawn(m for m in inner if m.role == "net line"))
    yield shapely.difference(area, sewn.buffer(0.35 * z.high())), True


def _drawn(marks: Iterable[Mark]) -> shapely.Geometry:
    return shapely.union_all(
        [
            shapely.LineString(c.reshape(-1, 2))
            for m in marks
            if not isinstance(m, Words)
            for c in m.chains
        ]
    )


def _angles(area: shapely.Polygon) -> tuple[float, ...]:
    """Level, along a long piece, upright, in degrees."""
    box = shapely.get_coordinates(shapely.oriented_envelope(area))
    sides = np.diff(box[:3], axis=0)
    size = np.hypot(sides[:, 0], sides[:, 1])
    if size.max() < 1.8 * size.min():
        return 0.0, 90.0
    x, y = sides[int(np.argmax(size))]
    angle = float(np.degrees(np.arctan2(y, x)))
    return 0.0, angle, 90.0


def _spot(
    room: shapely.Geometry, area: shapely.Polygon, w: float, h: float, angle: float
) -> Array | None:
    """Centre of a box of this size inside ``room``, nearest the middle with air round it."""
    free = affinity.rotate(room, -angle, origin=(0.0, 0.0))
    if free.is_empty:
        return None
    x0, y0, x1, y1 = free.bounds
    if x1 - x0 < w or y1 - y0 < h:
        return None
    gx, gy = (
        g.ravel()
        for g in np.meshgrid(
            np.linspace(x0 + w / 2, x1 - w / 2, 25), np.linspace(y0 + h / 2, y1 - h / 2, 25)
        )
    )
    boxes = shapely.box(gx - w / 2, gy - h / 2, gx + w / 2, gy + h / 2)
    shapely.prepare(free)
    fits = np.flatnonzero(shapely.contains(free, boxes))
    if not len(fits):
        return None
    air = np.minimum(shapely.distance(boxes[fits], free.boundary), h)
    t = np.radians(angle)
    turn = np.array([[np.cos(t), np.sin(t)], [-np.sin(t), np.cos(t)]])
    centres = np.stack([gx[fits], gy[fits]], axis=1) @ turn
    middle = np.array(area.centroid.coords[0])
    best: Array = centres[int(np.argmax(air - 0.3 * np.hypot(*(centres - middle).T)))]
    return best


def _set(
    lines: Sequence[TextLine], at: Array, z: Sizes, angle: float, halo: bool = False
) -> tuple[Words, ...]:
    """The lines about a place; ``halo`` puts white behind them, for they cross what is drawn."""
    _, height = block_size(lines, z.high())
    t = np.radians(angle)
    down = np.array([np.sin(t), -np.cos(t)])
    words = []
    y = -height / 2
    for entry in lines:
        size = z.high(entry.size)
        base = y + size * (LEADING + 0.72) / 2
        words.append(word(at + down * base, entry.text, size, "middle", entry.bold, angle, halo))
        y += size * LEADING
    return tuple(words)


def grain_arrow(
    outline: Array, rotation: float, words: Sequence[Words], z: Sizes, inner: Drawing = ()
) -> list[Mark]:
    """The grain along the middle of what the words leave free, its head at the top as worn.

    rotation: of the piece, degrees; its top lies towards +x when that is 0. It keeps clear of the
    net lines in ``inner`` where it can. Nothing where there is less than 0.45 cm of room on paper.
    """
    area = shapely.Polygon(outline)
    sewn = _drawn(m for m in inner if m.role == "net line")
    for lines in (sewn, shapely.Polygon()) if inner else (sewn,):
        for head in (z.high(), z.high(0.5)):
            drawn = _arrow(area, lines, rotation, words, z, head)
            if drawn:
                return drawn
    return []


def _arrow(
    area: shapely.Polygon,
    lines: shapely.Geometry,
    rotation: float,
    words: Sequence[Words],
    z: Sizes,
    most_head: float,
) -> list[Mark]:
    """The arrow with a head of this length at most (cm), clear by its width of the cut line and of
    other ``lines``."""
    taken = shapely.union_all([shapely.Polygon(w.corners) for w in words]).convex_hull
    aside = 0.4 * most_head + 0.04 * z.scale
    kept = shapely.union(lines.buffer(aside), taken.buffer(max(aside, z.high(0.3))))
    free = shapely.difference(area.buffer(-aside), kept)
    level = affinity.rotate(free, -rotation, origin=(0.0, 0.0))
    if level.is_empty:
        return []
    x0, y0, x1, y1 = level.bounds
    ys = np.linspace(y0, y1, 33)[1:-1]
    rows = shapely.linestrings([[[x0 - 1.0, y], [x1 + 1.0, y]] for y in ys])
    best: tuple[float, float, float] | None = None
    most = -np.inf
    middle = affinity.rotate(area, -rotation, origin=(0.0, 0.0)).centroid.y
    for y, cut in zip(ys, shapely.intersection(rows, level), strict=True):
        for part in shapely.get_parts(cut):
            a, _, b, _ = part.bounds
            worth = min(b - a, z.high(ARROW)) - 0.1 * abs(y - middle)
            if b - a >= 0.45 * z.scale and worth > most:
                best, most = (float(y), float(a), float(b)), worth
    if best is None:
        return []
    y, a, b = best
    half = min(b - a, z.high(ARROW)) / 2
    tail, tip = np.array([(a + b) / 2 - half, y]), np.array([(a + b) / 2 + half, y])
    long = min(most_head, half)
    head = np.array([tip - [long, 0.4 * long], tip, tip - [long, -0.4 * long]])
    t = np.radians(rotation)
    turn = np.array([[np.cos(t), np.sin(t)], [-np.sin(t), np.cos(t)]])
    pen = z.pen(0.7 * FINE)
    return [
        line(tail @ turn, (tip - [long, 0.0]) @ turn, weight=pen, role="lay grain"),
        Stroke((head @ turn,), pen, closed=True, fill=0.0, role="lay grain"),
    ]
