"""What follows from the waistband: its interfacing and the end that stands under the fly. In cm."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pinwright.geometry.path import Path
from pinwright.makingup.fly import SHIELD_WIDTH
from pinwright.pattern.piece import Edge, Piece


def band_interfacing(band: Piece) -> Piece:
    """Interfacing of the band's own net shape, without seam allowances, so that the seams stay
    thin (common practice)."""
    edges = tuple(replace(e, allowance=0.0, reserve=0.0, least=0.0) for e in band.edges)
    return replace(
        band,
        name="band_interfacing",
        title="waistband interfacing",
        edges=edges,
        layer="interfacing",
        follows=band.name,
    )


def band_underlap(band: Piece) -> Piece:
    """The end of the band over the fly shield, sewn on at the left centre front: as wide as the
    shield and as deep as the band's front end."""
    depth = band.edge("front").length
    box = np.array([[0.0, 0.0], [SHIELD_WIDTH, 0.0], [SHIELD_WIDTH, depth], [0.0, depth]])
    names = ("seam", "front", "top", "free")
    corners = ("free_seam", "band_front", "top_front", "free_top")
    edges = tuple(
        Edge(name, corners[i], corners[(i + 1) % 4], (Path.line(box[i], box[(i + 1) % 4]),))
        for i, name in enumerate(names)
    )
    middle = 0.5 * depth
    return Piece(
        "band_underlap",
        "waistband underlap (left)",
        edges,
        np.array([[0.8, middle], [SHIELD_WIDTH - 0.8, middle]]),
        cut="single",
        home=band.home,
        follows=band.name,
        stage=band.stage,
    )
