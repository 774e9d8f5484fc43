"""Where the marks of a sleeve are cut once it is turned in the armhole."""

from __future__ import annotations

from collections.abc import Mapping

from pinwright.geometry.path import Path
from pinwright.pattern.piece import Array, Piece


def pitch_marks(sleeve: Piece, pitch: float) -> Mapping[str, Array]:
    """Points (2,) on the cap that meet the armhole's own marks, by station.

    Args:
        sleeve: the sleeve; its cap runs from the front underarm over the top to the back one.
        pitch: cm the sleeve is turned forward (fact ``sleeve_pitch``).

    A sleeve turned forward by p meets each mark of the armhole (notches, shoulder seam, side
    seam) with the point of its cap that lay p behind the drafted one, which is p further along
    the cap. Beyond the back underarm the cap goes on at the front one, since its ends are sewn
    together; "underarm" is where the side seam meets it.
    """
    cap = sleeve.edge("cap")
    path: Path = cap.runs[0]
    reach = path.cumulative
    at = {name: float(reach[count]) for name, (_, count) in cap.stations.items()}
    at["underarm"] = 0.0
    total = float(path.length)
    return {name: path.at((s + pitch) % total) for name, s in at.items()}
