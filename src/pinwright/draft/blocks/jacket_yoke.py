"""The jacket's block with a yoke: pieces, seams, run-throughs, measures and places together."""

from __future__ import annotations

from dataclasses import replace

from pinwright.draft.blocks.jacket_seams import block_junctions, shoulder_seam
from pinwright.draft.features.yoke import parted, yoke_seam
from pinwright.pattern.garment import Garment, PlaceEdge
from pinwright.pattern.seam import Corner, Junction, Ref, Width


def yoked(garment: Garment) -> Garment:
    """The garment with a yoke: the back parted, its seams, run-throughs and places with it.

    Works on the block as drafted and on the same block corrected.
    """
    below, yoke = parted(garment.piece("back"))
    pieces = tuple(x for p in garment.pieces for x in ((below, yoke) if p.name == "back" else (p,)))
    armhole = garment.seam("armhole")
    armhole = replace(
        armhole,
        b=(armhole.b[0], Ref("yoke", "armhole", reverse=True), armhole.b[1]),
    )
    swap = {"armhole": armhole, "shoulder": shoulder_seam("yoke")}
    seams = (*(swap.get(s.name, s) for s in garment.seams), yoke_seam())
    across = Junction(
        "armhole across the yoke seam",
        Corner("back", "armhole", "yoke"),
        Corner("yoke", "armhole", "yoke"),
    )
    places = dict(garment.places)
    del places["shoulder_dart"]
    for name in ("shoulder_seam", "back_neck", "neckline"):
        places[name] = tuple(
            replace(e, piece="yoke") if e.piece == "back" else e for e in places[name]
        )
    on_yoke = PlaceEdge("back", "yoke", "armhole")
    places["armhole"] = (*places["armhole"], on_yoke)
    places["centre_back"] = (*places["centre_back"], PlaceEdge("back", "yoke", "centre"))
    places["yoke_seam"] = (PlaceEdge("back", "back", "yoke"), PlaceEdge("back", "yoke", "yoke"))
    targets = tuple(
        replace(
            t,
            parts=(
                Width("yoke", "centre:neck_centre", "centre:yoke_centre"),
                Width("back", "centre:yoke_centre", "centre:waist"),
            ),
        )
        if t.name == "back_length"
        else t
        for t in garment.targets
    )
    return replace(
        garment,
        pieces=pieces,
        seams=seams,
        junctions=(*block_junctions("yoke"), across),
        targets=targets,
        places=places,
    )
