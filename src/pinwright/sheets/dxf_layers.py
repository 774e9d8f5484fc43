"""The layers of our DXF files, and what each carries.

The numbers are those that people in the trade remember of the published exchange standard for
apparel pieces (ASTM D6673). Its own text was not read, so no conformance is claimed; see
docs/dxf.md for what was followed and each known deviation.
"""

from __future__ import annotations

BOUNDARY = "1"
TURN_POINTS = "2"
CURVE_POINTS = "3"
NOTCHES = "4"
MIRROR_LINE = "6"
GRAIN_LINE = "7"
INTERNAL_LINES = "8"
STRIPE_REFERENCE = "9"
PLAID_REFERENCE = "10"
INTERNAL_CUTOUTS = "11"
DRILL_HOLES = "13"
SEW_LINES = "14"
ANNOTATION = "15"

LAYERS: dict[str, tuple[str, int]] = {
    BOUNDARY: ("cut line", 7),
    TURN_POINTS: ("corners of the cut line", 1),
    CURVE_POINTS: ("points of the cut line between its corners", 3),
    NOTCHES: ("notches", 2),
    MIRROR_LINE: ("edge on the fold", 6),
    GRAIN_LINE: ("grain", 4),
    INTERNAL_LINES: ("lines drawn and not cut", 8),
    STRIPE_REFERENCE: ("lines of a cloth that repeats one way", 30),
    PLAID_REFERENCE: ("lines of a cloth that repeats both ways", 40),
    INTERNAL_CUTOUTS: ("openings cut inside the piece", 5),
    DRILL_HOLES: ("drill holes", 1),
    SEW_LINES: ("net line", 9),
    ANNOTATION: ("words", 7),
}
"""Layer number: what stands on it, and its colour (a colour number of DXF)."""
