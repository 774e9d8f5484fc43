"""The textbook's worked trouser block point by point, and where ours lies.

Handbook numbers: sources 2.1 (rules read in "Practical English for Garments", 3rd ed., part 3,
results computed there for hip 94, waist 68, rise 28, waist to hip 20.6, waist to floor 104,
bottom width 22). Coordinates: crease at x = 0, floor at y = 0, side to the right.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Point

from pinwright.pattern.garment import Garment

from .remeasure import line, sewn

SAME = "same rule"
RISE = "rise ease 0.5 of the regular fit: the crotch line is 0.5 lower"
WALKED = "front and back side seam are walked: the back's hip notch is where the seams agree"
LENGTH = "the height of the waist at the centre follows the client's crotch lengths"
FIT = "set by the sewn waist being exact along its curve"
DARTS = "the seat line takes up the rest at the centre (its waist end lies further in)"


@dataclass(frozen=True)
class Row:
    """A quantity, the handbook's value, how to take ours, how far they may differ, and why."""

    what: str
    handbook: float
    ours: Callable[[Garment], float]
    within: float
    why: str


def _x(piece: str, name: str) -> Callable[[Garment], float]:
    return lambda g: float(g.piece(piece).point(name)[0])


def _y(piece: str, name: str) -> Callable[[Garment], float]:
    return lambda g: float(g.piece(piece).point(name)[1])


def _gap(piece: str, a: str, b: str) -> Callable[[Garment], float]:
    return lambda g: float(np.hypot(*(g.piece(piece).point(a) - g.piece(piece).point(b))))


def _round(level: str) -> Callable[[Garment], float]:
    ends = {"hem": ("hem_in", "hem_side"), "knee": ("inseam:knee", "side:knee")}[level]
    return lambda g: sum(_gap(p, *ends)(g) for p in ("front", "back"))


def _waist(g: Garment) -> float:
    return 2.0 * (sewn(g.piece("front").edge("waist")) + sewn(g.piece("back").edge("waist")))


def _intake(piece: str) -> Callable[[Garment], float]:
    def of(g: Garment) -> float:
        p = g.piece(piece)
        return sum(float(np.hypot(*np.subtract(*p.mouth(d.name)))) for d in p.darts)

    return of


def _corner(piece: str, edge: str) -> Callable[[Garment], float]:
    """Distance of the crotch curve from the corner of hip upright and crotch line."""

    def of(g: Garment) -> float:
        p = g.piece(piece)
        at = Point(float(p.point(f"{edge}:hip")[0]), float(g.facts["crotch_level"]))
        return float(line(p.edge(edge).runs[0].ctrl).distance(at))

    return of


ROWS = (
    Row("crotch line over the floor", 76.0, lambda g: g.facts["crotch_level"], 0.501, RISE),
    Row("hip line over the floor", 83.4, lambda g: g.facts["hip_level"], 1e-9, SAME),
    Row("knee line over the floor", 43.0, lambda g: g.facts["knee_level"], 1e-9, SAME),
    Row("front hip width", 24.0, _gap("front", "centre:hip", "side:hip"), 1e-6, SAME),
    Row("front centre at the hip, x", -9.33, _x("front", "centre:hip"), 0.03, "crease 0.5 off the "
        "middle of the crotch line, instead of hip / 12 + 1.5 from the centre"),
    Row("front side at the hip, x", 14.67, _x("front", "side:hip"), 0.03, "as the line before"),
    Row("front fork, x", -15.71, _x("front", "fork"), 0.03, "as the line before"),
    Row("front extension", 6.375,
        lambda g: _x("front", "centre:hip")(g) - _x("front", "fork")(g), 1e-6, SAME),
    Row("front waist at the centre, x", -8.33, _x("front", "waist_centre"), 0.08, FIT),
    Row("front waist at the centre, y", 104.0, _y("front", "waist_centre"), 0.6, LENGTH),
    Row("front waist at the side, x", 10.92, _x("front", "waist_side"), 0.3, FIT),
    Row("front waist at the side, y", 104.0, _y("front", "waist_side"), 1e-6, SAME),
    Row("front dart", 2.0, _intake("front"), 0.3, FIT),
    Row("front crotch curve from its corner", 3.0, _corner("front", "centre"), 0.3, RISE),
    Row("front hem width", 21.0, _gap("front", "hem_in", "hem_side"), 1e-6, SAME),
    Row("front knee width", 23.6, _gap("front", "inseam:knee", "side:knee"), 1e-6, SAME),
    Row("back hip width", 25.0, _gap("back", "seat:hip", "side:hip"), 1e-6, SAME),
    Row("back side at the hip, x", 18.0, _x("back", "side:hip"), 0.08, "crease 0.5 off the middle"),
    Row("back side at the hip, y", 83.4, _y("back", "side:hip"), 0.35, WALKED),
    Row("back fork, x", -18.90, _x("back", "fork"), 0.08, "crease 0.5 off the middle"),
    Row("back fork, y", 75.5, _y("back", "fork"), 1.1, RISE + "; dropped further until the back "
        "inseam is exactly 0.5 shorter"),
    Row("back seat line at the hip, x", -7.0, _x("back", "seat:hip"), 0.08, "as the back side"),
    Row("back waist at the centre, x", -5.0, _x("back", "waist_centre"), 1.6, "the seat line "
        "slopes from the hip up, not from half way"),
    Row("back waist at the centre, y", 106.0, _y("back", "waist_centre"), 0.6, LENGTH),
    Row("back waist at the side, x", 16.16, _x("back", "waist_side"), 0.3, FIT),
    Row("back darts together", 4.0, _intake("back"), 1.5, DARTS),
    Row("back crotch curve from its corner", 4.25, _corner("back", "seat"), 0.6, RISE),
    Row("back hem width", 23.0, _gap("back", "hem_in", "hem_side"), 1e-6, SAME),
    Row("back knee width", 25.6, _gap("back", "inseam:knee", "side:knee"), 1e-6, SAME),
    Row("sewn waist", 69.0, _waist, 1e-6, SAME),
    Row("hem round the leg", 44.0, _round("hem"), 1e-6, SAME),
    Row("knee round the leg", 49.2, _round("knee"), 1e-6, SAME),
)  # fmt: skip


def table(garment: Garment) -> str:
    """The comparison as it stands in docs/validation/trousers.md."""
    lines = ["| quantity (cm) | handbook | ours | difference | why |", "|---|---|---|---|---|"]
    for row in ROWS:
        ours = row.ours(garment)
        lines.append(
            f"| {row.what} | {row.handbook:.2f} | {ours:.2f} | {ours - row.handbook:+.2f} | "
            f"{row.why} |"
        )
    return "\n".join(line.replace("-0.00", "0.00").replace("+0.00", "0.00") for line in lines)
