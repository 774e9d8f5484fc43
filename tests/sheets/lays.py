"""Lays set by hand for the tests of the sheets: invented pieces on invented cloths."""

from __future__ import annotations

import numpy as np
import shapely

from pinwright.cutting.lay.placing import Array, Field, Lay, Placement, Template, placed
from pinwright.cutting.material import Flaw, Material, Remnant, Repeat


def curved(*points: tuple[float, float], round_by: float = 2.0) -> Array:
    """A polygon with rounded corners, anticlockwise, first point not repeated."""
    area = shapely.Polygon(points).buffer(-round_by).buffer(round_by, quad_segs=8)
    ring = shapely.get_coordinates(shapely.orient_polygons(area).exterior)[:-1]
    return np.asarray(ring, dtype=float)


FRONT = curved((0, 0), (0, 27), (40, 25), (62, 22), (66, 14), (60, 2), (44, 0))
BACK_HALF = np.array(
    [[0, 0], [66, 0], [67.5, 8], [65, 20], [58, 18], [48, 17], [44, 23], [0, 25.0]]
)[::1]
SLEEVE = curved((0, 4), (0, 28), (42, 34), (52, 22), (57, 16), (52, 8), (42, -1), round_by=3)
POCKET = curved((0, 0), (0, 15), (18, 15), (18, 0))
COLLAR = np.array([[0, 0], [0, 22], [7, 24], [8, -2.0]])[::-1]
STRIP = np.array([[0, 0], [52, 0], [52, 4], [0, 4.0]])


def mirrored(outline: Array) -> Array:
    """The other hand of a piece, y from 0 upwards again."""
    flipped = outline * [1.0, -1.0]
    return np.ascontiguousarray(flipped[::-1] - [0.0, flipped[:, 1].min()])


def template(key: str, outline: Array, **more: object) -> Template:
    garment, piece, side = (more.pop(k, d) for k, d in (
        ("garment", "jacket"), ("piece", key.split("-")[0]), ("side", "both")))  # fmt: skip
    return Template(key, garment, piece, side, np.ascontiguousarray(outline, float), **more)  # type: ignore[arg-type]


def single() -> tuple[Lay, Material]:
    """Single napped checked cloth with a flaw: pairs one by one, a collar held back."""
    material = Material(
        name="wool check", width=150.0, selvedge=1.5, direction="nap",
        repeat=Repeat(5.0, 4.0, 1.0, 2.5),
        flaws=(Flaw((70.0, 84.0), (90.0, 97.0)),), gap=0.3, shrink_along=2.0,
    )  # fmt: skip
    field = Field(147.0, None, 0.3, repeat=(5.0, 4.0), flaws=((70.0, 88.5, 84.0, 95.5),))
    templates = (
        template("front-left", FRONT, side="left", rotations=(0.0,)),
        template("front-right", mirrored(FRONT), side="right", mirrored=True, rotations=(0.0,)),
        template("sleeve-left", SLEEVE, side="left", mirrored=True, rotations=(0.0,)),
        template("sleeve-right", mirrored(SLEEVE), side="right", rotations=(0.0,)),
        template("pocket-left", POCKET, side="left", title="patch pocket"),
        template("pocket-right", mirrored(POCKET), side="right", mirrored=True,
                 title="patch pocket"),
        template("collar", COLLAR, stage="after", kept=2.0),
        template("facing-left", STRIP, side="left", title="front facing"),
        template("loop", np.array([[0, 0], [9, 0], [9, 2.5], [0, 2.5]]), title="belt loop"),
    )  # fmt: skip
    where = {
        "front-left": (1, 0), "front-right": (1, 28), "sleeve-left": (2, 60),
        "sleeve-right": (2, 98), "pocket-left": (69, 1), "pocket-right": (69, 20),
        "collar": (72, 45), "facing-left": (0.5, 139), "loop": (70, 110),
    }  # fmt: skip
    placements = tuple(Placement(k, float(x), float(y)) for k, (x, y) in where.items())
    return _lay(field, templates, placements), material


def folded() -> tuple[Lay, Material]:
    """Folded plain cloth: a back on the fold, pairs cut double, a piece turned, one tilted."""
    material = Material(name="plain flannel", width=140.0, selvedge=1.0, lay="folded", gap=0.2,
                        right_side="down", tilt=3.0)  # fmt: skip
    field = Field(69.0, None, 0.2, folded=True)
    templates = (
        template("back", BACK_HALF, on_fold=True),
        template("front", FRONT, plies=2),
        template("sleeve", SLEEVE, plies=2),
        template("facing", STRIP, plies=2, title="front facing"),
        template("undercollar", COLLAR, plies=2, stage="after", kept=1.0),
    )
    placements = (
        Placement("back", 0.5, 0.0),
        Placement("front", 67.0, 55.0, 180.0),
        Placement("sleeve", 70.0, 1.2),
        Placement("facing", 71.0, 63.1, 2.0),
        Placement("undercollar", 78.0, 38.0),
    )
    return _lay(field, templates, placements), material


def remnant() -> tuple[Lay, Material]:
    """A remnant with a corner gone, two pockets on it."""
    outline = ((0.0, 0.0), (48.0, 0.0), (48.0, 30.0), (30.0, 30.0), (22.0, 42.0), (0.0, 40.0))
    material = Material(name="wool check", remnants=(Remnant("from the coat", outline),))
    field = Field(42.0, 48.0, 0.3, outline=np.array(outline), name="from the coat")
    templates = (template("pocket-a", POCKET, side="left", title="patch pocket"),
                 template("pocket-b", POCKET, side="right", title="patch pocket"))  # fmt: skip
    placements = (Placement("pocket-a", 1.0, 1.0), Placement("pocket-b", 21.0, 12.0))
    return _lay(field, templates, placements), material


def long(count: int = 17) -> tuple[Lay, Material]:
    """A lay of many fronts in two rows, longer than one page may be."""
    material = Material(name="lining", layer="lining", width=60.0)
    templates = tuple(
        template(f"front-{k}", FRONT, side="left", title=f"front {k}") for k in range(count)
    )
    placements = tuple(
        Placement(f"front-{k}", 67.0 * (k // 2) + 0.2, 0.1 + 29.0 * (k % 2)) for k in range(count)
    )
    return _lay(Field(58.0, None, 0.3), templates, placements), material


def _lay(field: Field, templates: tuple[Template, ...], at: tuple[Placement, ...]) -> Lay:
    by_key = {t.key: t for t in templates}
    reach = max(float(placed(by_key[p.key], p)[:, 0].max()) for p in at)
    kept = max((by_key[p.key].kept for p in at), default=0.0)
    return Lay(field, templates, at, field.length or reach + kept)
