"""The waistband: its length, and cloth gathered into it."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from pinwright.errors import CorrectionError
from pinwright.fitting.correction import Entry, Option, Options
from pinwright.fitting.openings import follow_seams
from pinwright.fitting.places import closed
from pinwright.fitting.response import Response, Sketch
from pinwright.fitting.waist_top import change_top, parts
from pinwright.pattern.garment import Garment
from pinwright.pattern.seam import Target

MOST_BAND = 6.0
MOST_GATHER = 6.0
MEASURED = (40.0, 200.0)
"""Waists that can have been measured, cm."""


def change_for_measured_waist(measured: float, ease: float, finished: float) -> float:
    """Change of the band for a waist measured at the fitting, cm (+ longer).

    The band is to measure the waist as measured plus the style's ease; what the finished waist
    measures now, earlier corrections included, is taken off: 76 measured, ease 1, finished 75
    gives + 2. A measured waist replaces what was pinned before, it does not add to it.

    Raises:
        CorrectionError: not a waist.
    """
    low, high = MEASURED
    if not low <= measured <= high:
        raise CorrectionError(
            f"Waistband: a measured waist of {measured:g} cm; it may be {low:g} to {high:g} cm."
        )
    return measured + ease - finished


def style_ease(garment: Garment) -> float:
    """Ease of the finished waistband over the waist, cm.

    Raises:
        CorrectionError: the garment has no waistband.
    """
    return _waist(garment).ease


def from_measured(garment: Garment, measured: float) -> float:
    """Change of the band (cm) for a measured waist, on the garment as drafted.

    What earlier corrections do to the waist is still to be taken off by the caller.

    Raises:
        CorrectionError: not a waist, or a garment without a waistband.
    """
    waist = _waist(garment)
    return change_for_measured_waist(measured, waist.ease, waist.value)


def _waist(garment: Garment) -> Target:
    parts(garment)
    for t in garment.targets:
        if t.name == "waist":
            return t
    raise CorrectionError(f"The {garment.owns} no finished waist to compare with.")


def lengthen(garment: Garment, place: str, component: str, options: Options) -> Response:
    """One cm more finished waist all round: half on each half, front and back in proportion.

    The top of the trousers changes with the band: darts first, else the side seam from the hip.
    """
    sketch = Sketch(garment)
    pieces = parts(garment)
    tops = {p: sketch.edge_length((p, "waist")) for p in pieces}
    whole = sum(tops.values())
    for p in pieces:
        share = 0.5 * tops[p] / whole
        change_top(sketch, p, share, share * MOST_BAND)
    sketch.effect("waist", 1.0)
    follow_seams(sketch)
    return closed(sketch)


def gather(garment: Garment, place: str, component: str, options: Options) -> Response:
    """One cm more cloth gathered into the front or back of the band, right and left together.

    The band keeps its length; the top of the piece gets longer, darts first, else the side seam.
    """
    part = options.get("stretch")
    if part not in ("front", "back"):
        raise CorrectionError("Gathers in the waistband: say where, in the front or in the back.")
    sketch = Sketch(garment)
    for p in parts(garment):
        if sketch.garment.piece(p).home == part:
            change_top(sketch, p, 0.5, 0.5 * MOST_GATHER)
    sketch.facts[f"gather_{part}"] = 1.0
    follow_seams(sketch)
    # declared after the band would have been taken along: it stays, the cloth sewn to it grows
    done = closed(sketch)
    return replace(done, effects=MappingProxyType({**done.effects, "trouser_top": 1.0}))


ENTRIES = (
    Entry(
        kind="waistband_length",
        title="Waistband longer or shorter",
        plus="lengthens it",
        signs=("band cuts in: longer", "band stands off or slips down: shorter"),
        places=("waistband",),
        usual=(-2.0, 2.0),
        limit=(-MOST_BAND, MOST_BAND),
        meanings=("length", "measure"),
        sources=(
            "waist ease 1-2 (sources 2.5, M)",
            "back waist taken in no more than 7.6 in all (sources 3.3, R)",
            "difference to darts, then seams (common practice)",
        ),
        effects="finished waist by the amount, trouser top and band alike",
        order=62,
        companions=("trouser top: darts, else side seam to the hip",),
        one_sided=False,
        measured=from_measured,
        cut=lengthen,
    ),
    Entry(
        kind="waistband_gather",
        title="Cloth gathered into the waistband",
        plus="gathers more in",
        signs=("seat or stomach needs room below a band that fits: more",),
        places=("waistband",),
        usual=(-1.0, 3.0),
        limit=(-MOST_GATHER, MOST_GATHER),
        meanings=("length",),
        options=(Option("stretch", "where it is gathered", ("front", "back"), None),),
        sources=("common practice",),
        effects="trouser top by the amount, the band stays",
        order=63,
        companions=("trouser top: darts, else side seam to the hip",),
        belongs_to="style",
        one_sided=False,
        cut=gather,
    ),
)
