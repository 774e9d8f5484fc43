"""Where the marks of a sleeve are cut once it is turned in the armhole.

Look at the wearer's right side; she faces to your right. The armhole is a ring, the shoulder seam
at its top, the side seam at its foot, the front notch on the right, the back notch on the left.
The sleeve hangs from the ring like a tube. For the cuff to swing forward (right) the tube turns
about the ring's middle: the crown goes back (left), the front of the cap goes up, the back of the
cap comes down and the sleeve's own seam goes forward past the side seam. So the shoulder seam now
meets a point of the cap that lay in front of the crown: seen on the cap, every mark moves towards
the front underarm. Sleeve cloth itself does not change.
"""

from __future__ import annotations

from collections.abc import Mapping

from pinwright.geometry.path import Path
from pinwright.pattern.piece import Array, Piece


def mark_at(drafted: float, pitch: float, total: float) -> float:
    """Where a mark is cut along the cap of a turned sleeve, from the front underarm, cm.

    Args:
        drafted: where it stood on the sleeve not turned, cm from the front underarm.
        pitch: cm the sleeve is turned, + so that the cuff hangs further forward.
        total: length of the cap; its ends are sewn together, so the marks go on round.
    """
    return (drafted - pitch) % total


def pitch_marks(sleeve: Piece, pitch: float) -> Mapping[str, Array]:
    """Points (2,) on the cap that meet the armhole's own marks, by station.

    Args:
        sleeve: the sleeve; its cap runs from the front underarm over the top to the back one.
        pitch: cm the sleeve is turned forward (fact ``sleeve_pitch``).

    "underarm" is where the side seam meets the cap: on the back of it for a sleeve turned forward.
    """
    cap = sleeve.edge("cap")
    path: Path = cap.runs[0]
    reach = path.cumulative
    at = {name: float(reach[count]) for name, (_, count) in cap.stations.items()}
    at["underarm"] = 0.0
    total = float(path.length)
    return {name: path.at(mark_at(s, pitch, total)) for name, s in at.items()}
