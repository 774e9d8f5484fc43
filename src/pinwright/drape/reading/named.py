"""Places of a hung garment by their words: the figure's landmarks, and where lines meet seams."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from pinwright.drape.data import Array, Hung, Whole
from pinwright.drape.reading.regions import runs_of
from pinwright.drape.reading.words import LEVELS, LINES, called, mark


def named(hung: Hung, landmarks: Mapping[str, Array]) -> dict[str, Array]:
    """Places by their words: the figure's landmarks, and where balance lines meet seams."""
    found = {called(*mark(k)): np.asarray(p, dtype=float) for k, p in landmarks.items()}
    for panel, vertices in zip(hung.shell.panels, hung.shell.vertices, strict=True):
        p = hung.points[vertices]
        side = panel.edges.get("side")
        middle = next(
            (
                panel.edges[e]
                for e in ("centre", "centre_front", "seat", "front_edge")
                if e in panel.edges
            ),
            None,
        )
        for line in LEVELS:
            at = panel.lines.get(line)
            if at is None or not len(at):
                continue
            level = LINES[line].removesuffix(" level")
            if side is not None and panel.home == "front":
                found[called(f"side seam at the {level}", panel.side)] = p[
                    _meet(panel.points, at, np.concatenate(side))
                ]
            if line == "knee" and "inseam" in panel.edges:
                found[called(f"inseam at the {level}", panel.side)] = p[
                    _meet(panel.points, at, np.concatenate(panel.edges["inseam"]))
                ]
            elif middle is not None and panel.home in ("front", "back"):
                found[f"centre {panel.home} at the {level}"] = p[
                    _meet(panel.points, at, np.concatenate(middle))
                ]
        if "hem" in panel.edges and panel.home == "front" and side is not None:
            run = runs_of(panel, "side")
            low = run[int(np.argmin(panel.points[run, 1]))]
            found[called("side seam at the hem", panel.side)] = p[low]
    return found


def _meet(points: Array, line: Whole, edge: Whole) -> int:
    """The vertex of a line that lies nearest to an edge."""
    apart = np.linalg.norm(points[line][:, None] - points[edge][None], axis=2).min(axis=1)
    return int(line[int(np.argmin(apart))])
