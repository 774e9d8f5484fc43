"""Sleeve: its pitch in the armhole and its length."""

from __future__ import annotations

from pinwright.errors import CorrectionError
from pinwright.fitting.correction import Entry, Options
from pinwright.fitting.edges import DOWN, corner, move_edges
from pinwright.fitting.places import closed
from pinwright.fitting.response import Response, Sketch, ramp_field
from pinwright.pattern.garment import Garment

SPREAD = 8.0
"""Below the elbow line the cloth of a lengthened sleeve is added over this many cm."""


def _sleeve(garment: Garment) -> None:
    if not garment.has("sleeve"):
        raise CorrectionError(f"The {garment.owns} no sleeve.")


def turn_pitch(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Turn the sleeve in the armhole by one cm, so that the cuff hangs further forward.

    The sleeve turns as a whole: its crown goes one cm back from the shoulder seam, its own seam
    one cm forward from the side seam. No net line, no length and no ease changes; what changes is
    where the marks are cut. The garment's fact ``sleeve_pitch`` carries the amount (cm, + cuff
    forward) and :mod:`pinwright.fitting.pitch` gives the marks.
    """
    _sleeve(garment)
    sketch = Sketch(garment)
    sketch.facts["sleeve_pitch"] = 1.0
    return closed(sketch)


def lengthen_hem(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Lower the sleeve hem one cm, its width kept; the seams run to it from the elbow."""
    _sleeve(garment)
    sketch = Sketch(garment)
    move_edges(sketch, {("sleeve", "hem"): ramp_field(DOWN)})
    sketch.effect("sleeve_length", 1.0)
    return closed(sketch)


def lengthen_elbow(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Add one cm below the elbow line of a sleeve not yet cut; hem and widths move down as are."""
    _sleeve(garment)
    elbow = float(corner(garment, ("sleeve", "under_front"), "elbow")[1])
    hem = float(corner(garment, ("sleeve", "under_front"), "hem_front")[1])
    sketch = Sketch(garment)
    reach = min(SPREAD, 0.8 * (elbow - hem))
    sketch.field(("sleeve",), ramp_field(DOWN, up=(elbow, elbow - reach)))
    sketch.effect("sleeve_length", 1.0)
    return closed(sketch)


def lengthen_next(garment: Garment, place: str, component: str, options: Options) -> Response:
    """At the elbow the cloth is added there, at the hem at the hem."""
    act = lengthen_elbow if place == "elbow" else lengthen_hem
    return act(garment, place, component, options)


ENTRIES = (
    Entry(
        kind="sleeve_pitch",
        title="Sleeve turned forward or backward",
        plus="turns it so that the cuff hangs further forward (crown back, sleeve seam forward)",
        signs=(
            "folds at the back of the sleeve from the armhole down: the arm hangs more forward, "
            "turn it forward",
            "folds at the front of the sleeve: the arm hangs further back, turn it backward",
        ),
        places=("sleeve",),
        usual=(-1.0, 1.0),
        limit=(-2.5, 2.5),
        unit="cm along the armhole",
        meanings=("length",),
        sources=("sleeve grain with the hanging arm (sources 3.1, R)", "common practice"),
        effects="no length and no girth: forward moves the marks of the sleeve along the cap "
        "towards its front underarm",
        companions=("the sleeve seam leaves the side seam by the amount",),
        order=70,
        cut=turn_pitch,
    ),
    Entry(
        kind="sleeve_length",
        title="Sleeve longer or shorter",
        plus="longer",
        signs=("the sleeve ends above or below the wrist with the arm hanging",),
        places=("elbow", "sleeve_hem"),
        usual=(-2.0, 2.0),
        limit=(-8.0, 8.0),
        meanings=("level",),
        sources=(
            "sleeve bottom inlay 3.8 (sources 3.5, R)",
            "below or above the elbow by where the elbow lies (common practice)",
        ),
        effects="sleeve length by the amount; cloth already cut gives it at the hem",
        order=80,
        cut=lengthen_hem,
        next_draft=lengthen_next,
    ),
)
